"""Every input of the register: a varied value is that of a case built with it in the file."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

from airrisk import quantities
from airrisk.fire import case_scene, case_walls, plug_body
from airrisk.fire.batch import run_batch
from airrisk.fire.case import FireCase
from airrisk.fire.entering import NEVER
from airrisk.fire.plug_body import fouling_resistance
from airrisk.fire.variants import columns, inputs_in, variable_inputs, with_every_plug
from airrisk.installation.inputs import Input, inputs
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study import fire_runs
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import Corner, FireStudy
from airrisk.study.slices import fire_slice
from airrisk.study.what_if_inputs import bounds, varied_inputs
from tests.fire.systems import run_brief
from tests.study.one_receiver import ON

ONE = """
format = 1

[site]
ambient_pressure = "101325 Pa(a)"

[[vessel]]
id = "R1"
inside_diameter = "1100 mm"
volume = "2 m3"
wall_thickness = "8 mm"
measured = true
weld_factor = 0.8
design_pressure = "12 bar(g)"
pressure = "10 bar(g)"
temperature = "35 degC"
material = "P265GH"

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "16 mm"
outlet = "piped"
outlet_length = "3 m"
outlet_diameter = "21.6 mm"
fitted = 2026-01-01
condition = "clean"

[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "78.5 mm2"

[[bursting_disc]]
id = "BD1"
on = "R1"
burst_pressure = "15 bar(g)"
area = "200 mm2"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R1"]
exposed_share = 0.5
plugs_in_fire = ["FP1"]
emissivity = 0.8
convection = "50 W/m2/K"
duration = "60 min"
"""
CONSTANT = ONE.replace('curve = "hydrocarbon"', 'curve = "temperature"\ntemperature = "927 degC"')
FLUX = ONE.replace('curve = "hydrocarbon"', 'curve = "flux"\nflux = "90 kW/m2"')
NETWORK = (
    ONE.replace('reaches = ["R1"]', 'reaches = ["R1", "L2"]')
    + """
[[compressor]]
id = "C1"
delivery = "3 m3/min"
discharge_pressure = "10.5 bar(g)"
cut_in_pressure = "8 bar(g)"
discharge_temperature = "150 degC"

[[vessel]]
id = "R2"
inside_diameter = "800 mm"
volume = "1 m3"
wall_thickness = "6 mm"
measured = true
design_pressure = "12 bar(g)"
pressure = "9 bar(g)"
temperature = "20 degC"
material = "P265GH"

[[junction]]
id = "J1"

[[junction]]
id = "J2"

[[line]]
id = "L1"
from = "C1"
to = "R1"
length = "20 m"
inside_diameter = "54.5 mm"
wall_thickness = "2.9 mm"
loss = 2.0

[[line]]
id = "L2"
from = "R1"
to = "R2"
length = "30 m"
inside_diameter = "70.3 mm"
wall_thickness = "3.2 mm"
measured = true
loss = 4.0

[[line]]
id = "L3"
from = "R1"
to = "J1"
length = "0.5 m"
inside_diameter = "27.2 mm"
wall_thickness = "2.6 mm"
loss = 1.0

[[line]]
id = "L4"
from = "J1"
to = "R2"
length = "0.8 m"
inside_diameter = "27.2 mm"
wall_thickness = "2.6 mm"
loss = 1.0
"""
)
# less of the metal in the fire than the water wets
WET = ONE.replace('temperature = "35', 'condensate = "4 L"\ntemperature = "35').replace(
    "exposed_share = 0.5", "exposed_share = 0.02"
)
WET_NETWORK = NETWORK.replace("loss = 4.0", 'loss = 4.0\ncondensate = "0.5 L"').replace(
    'pressure = "9 bar(g)"', 'condensate = "200 L"\npressure = "9 bar(g)"'
)
SYSTEMS = {
    "one vessel": ONE, "constant": CONSTANT, "flux": FLUX, "network": NETWORK,
    "wet vessel": WET, "wet network": WET_NETWORK,
}  # fmt: skip
# SI as a text of the file, to the last digit
UNITS = {
    "length": "m", "area": "m2", "volume": "m3", "mass": "kg", "temperature": "K", "time": "s",
    "pressure": "Pa(a)", "flow": "m3/s", "flux": "W/m2", "heat_transfer": "W/m2/K",
    "conductance": "W/K", "heat_resistance": "m2 K/W", "temperature_difference": "K",
}  # fmt: skip


def case_of(text: str) -> FireCase:
    """The run as stated of the file's fire, as a what-if study varies it."""
    installation = read(text)
    study = FireStudy(fire_slice(installation, exposures(installation)[0], ON))
    return with_every_plug(study.case(Corner(radiation="on")))


@cache
def present_case(name: str) -> FireCase:
    return case_of(SYSTEMS[name])


def written(value: float, kind: str) -> Any:
    return f"{value!r} {UNITS[kind]}" if kind in UNITS else value


def with_value(text: str, key: str, one: Input, value: float) -> str:
    """The file with a value of a field put in."""
    part, _, rest = key.partition(".")
    other = rest.partition(".")[2]
    changed = SystemText(text)
    if (one.of, one.field) == ("vessel", "wall_thickness"):
        # another wall leaves the cylinder; left out, its length follows heads as thick as the wall
        (tank,) = (tank for tank in read(text).vessels if tank.id == part)
        changed = changed.set(part, "cylinder_length", written(tank.cylinder_length, "length"))
    return changed.set(
        part, one.field, {**_shares(text), other: value} if other else written(value, one.kind)
    ).text  # fmt: skip


def _shares(text: str) -> dict[str, float]:
    fire = read(text).fires[0]
    return {name: fire.share(name) for name in fire.reaches}


Change = Callable[[str, str, float, pytest.MonkeyPatch], str]


def _stronger(text: str, key: str, value: float, _: pytest.MonkeyPatch) -> str:
    """Strength and weld factor are both factors of the burst pressure."""
    part = key.partition(".")[0]
    welds = {one.id: one.weld_factor for one in read(text).holders()}
    return SystemText(text).set(part, "weld_factor", value * welds[part]).text


def _opens_in_part(text: str, key: str, value: float, _: pytest.MonkeyPatch) -> str:
    """Area and discharge coefficient are both factors of the throat."""
    part = key.partition(".")[0]
    given = {one.id: one.discharge_coefficient for one in read(text).plugs}
    return SystemText(text).set(part, "discharge_coefficient", value * given[part]).text


def _oil_film(text: str, key: str, _value: float, _patch: pytest.MonkeyPatch) -> str:
    return SystemText(text).set(key.partition(".")[0], "condition", "oil film").text


def _other_alloy(shift: Callable[[float, float], float]) -> Change:
    """A metal with the heat of the plug's own that melts elsewhere."""

    def change(text: str, _key: str, value: float, patch: pytest.MonkeyPatch) -> str:
        real = plug_body.alloy

        def moved(name: str) -> Any:
            metal = real(name)
            by = shift(value, metal.liquidus)
            return dataclasses.replace(
                metal, solidus=metal.solidus + by, liquidus=metal.liquidus + by
            )

        patch.setattr(plug_body, "alloy", moved)
        return text

    return change


def _more_flux(text: str, key: str, value: float, _: pytest.MonkeyPatch) -> str:
    """All that the net flux is proportional to."""
    changed, fire = SystemText(text), read(text).fires[0]
    if fire.flux is not None:
        return changed.set("F1", "flux", written(value * fire.flux, "flux")).text
    changed = changed.set("F1", "emissivity", value * fire.emissivity)
    changed = changed.set("F1", "convection", written(value * fire.convection, "heat_transfer"))
    head = plug_body._defaults()["emissivity"]
    return changed.set("FP1", "emissivity", value * head).text


def _hotter(text: str, key: str, value: float, _: pytest.MonkeyPatch) -> str:
    stated = read(text).fires[0].temperature
    assert stated is not None
    hotter = written(value + stated, "temperature")
    return SystemText(text).set("F1", "temperature", hotter).text


def _more_convection(text: str, _key: str, value: float, patch: pytest.MonkeyPatch) -> str:
    """The doubt of a verdict, which builds its case with the factor."""
    real = fire_runs.build_case

    def livelier(
        whole: Any, fire: Any, section: Any, settings: case_scene.CaseSettings
    ) -> FireCase:
        return real(whole, fire, section, dataclasses.replace(settings, convection_factor=value))

    patch.setattr(fire_runs, "build_case", livelier)
    return text


def _live_longer(text: str, key: str, value: float, patch: pytest.MonkeyPatch) -> str:
    """The metal of one part with another constant of its curve."""
    name, built = key.partition(".")[0], []
    wall_of, creep_numbers = case_walls.wall_of, case_walls.creep_numbers

    def noted(part: Any, *rest: Any) -> Any:
        built.append(part.id)
        return wall_of(part, *rest)

    def longer(material: str) -> tuple[float, ...]:
        *curve, constant = creep_numbers(material)
        return (*curve, constant - math.log10(value) if built[-1] == name else constant)

    patch.setattr(case_walls, "wall_of", noted)
    patch.setattr(case_walls, "creep_numbers", longer)
    return text


# what is no field of the file: what says the same there
SAME_AS: dict[str, Change] = {
    "strength_factor": _stronger,
    "creep_life": _live_longer,
    "fouling": _oil_film,
    "melting": _other_alloy(lambda value, present: value - present),
    "opening_share": _opens_in_part,
    "works": _other_alloy(lambda _value, _present: NEVER),
    "flux_factor": _more_flux,
    "temperature_shift": _hotter,
    "inner_convection_factor": _more_convection,
}
VALUES = {
    "exposed_area": 5e-4,
    "fouling": fouling_resistance("oil film"), "works": 0.0, "temperature_shift": 60.0,
    "opening_share": 0.6, "creep_life": 2.5,
    "strength_factor": 0.95, "weld_factor": 0.9, "discharge_coefficient": 0.55,
    "exposed_share": 0.3, "ambient_pressure": 85_000.0,
}  # fmt: skip
WET_PARTS = {"R1", "R2", "L2"}
HOTTER = "F1.temperature_shift"  # only a constant fire can be written hotter
CASES = [
    pytest.param(name, key, id=f"{name}: {key}")
    for name in SYSTEMS
    for key in inputs_in(present_case(name))
    if (name in {"one vessel", "network"} and key != HOTTER)
    or (name.startswith("wet") and WET_PARTS & set(key.split(".")))
    or key in {"F1.flux", "F1.temperature", "F1.flux_factor"}
    or (name == "constant" and key == HOTTER)
]
# the last digit of a number moves implicit steps, and with them the answers
CLOSE = {"network": 1e-6, "wet network": 2e-4, "wet vessel": 1e-6}


def test_the_systems_have_every_input_of_the_register():
    seen = {
        (varied.entry.of, varied.entry.field)
        for name in SYSTEMS
        for varied, _ in inputs_in(present_case(name)).values()
    }
    assert seen == {(one.of, one.field) for one in inputs()}


def test_what_is_no_field_has_a_change_of_the_file_that_says_the_same():
    assert set(SAME_AS) == {one.field for one in inputs() if not one.in_file}


@pytest.mark.parametrize(("name", "key"), CASES)
def test_a_varied_value_is_that_of_a_case_built_with_it(name, key, monkeypatch):
    """Property: the numbers of the case, and what the run gives."""
    case, text = present_case(name), SYSTEMS[name]
    varied, present = inputs_in(case)[key]
    one = varied.entry
    value = VALUES.get(one.field, 1.02 * present)
    given = {key: np.array([value])}
    if one.in_file:
        built = case_of(with_value(text, key, one, value))
    else:
        built = case_of(SAME_AS[one.field](text, key, value, monkeypatch))
    variant = case.changed(
        {place: float(np.ravel(v)[0]) for place, v in columns(case, given).items()}
    )
    assert np.array_equal(case.integers, built.integers)
    # a shift and a hotter fire, area and discharge coefficient stand in two places
    if key not in {HOTTER, "FP1.opening_share"}:
        np.testing.assert_allclose(variant.floats, built.floats, rtol=1e-9)
    assert not np.array_equal(case.floats, variant.floats)
    together, alone = run_batch(case, given), run_brief(built)
    assert together.outcome.tolist() == alone.outcome.tolist()
    for number in ("peak_use", "peak_pressure", "first_vent", "rupture_time", "limit_time"):
        np.testing.assert_allclose(
            getattr(together, number),
            getattr(alone, number),
            rtol=CLOSE.get(name, 1e-9),
            err_msg=number,
        )


@pytest.mark.parametrize("name", SYSTEMS)
def test_all_values_at_once_are_those_of_a_case_built_with_them(name):
    """Property: inputs that meet in one number; a volume beside a wall has a test of its own."""
    text = SystemText(SYSTEMS[name])  # what the file leaves out would follow the bore
    text = text.set("FP1", "contact_conductance", "2 W/K").set("FP1", "exposed_area", "900 mm2")
    text = text.set("FP1", "boss_mass", "90 g")
    case, changed, given = case_of(text.text), text.text, {}
    for key, (varied, present) in inputs_in(case).items():
        one = varied.entry
        if one.in_file and one.field != "volume":
            given[key] = np.array([VALUES.get(one.field, 1.02 * present)])
            changed = with_value(changed, key, one, float(given[key][0]))
    found = {place: float(np.ravel(v)[0]) for place, v in columns(case, given).items()}
    built = case_of(changed)
    np.testing.assert_allclose(case.changed(found).floats, built.floats, rtol=1e-9)


@pytest.mark.parametrize("name", SYSTEMS)
def test_a_spread_of_every_input_is_read_back_and_used(name):
    """Property: round trip through the file; without one the default or none counts."""
    text, case = SystemText(SYSTEMS[name]), present_case(name)
    known = inputs_in(case)
    wanted: dict[str, tuple[str, dict[str, float]]] = {}
    for key, (varied, present) in known.items():
        one = varied.entry
        if one.is_yes_or_no:
            wanted[key] = "chance", {"probability": 0.25}
            row: dict[str, Any] = {"probability": 0.25}
        else:
            low, high = bounds(read(SYSTEMS[name]), key)
            ends = {
                "low": max(0.98 * present - 0.01, -np.inf if low is None else low),
                "high": min(1.02 * present + 0.01, np.inf if high is None else high),
            }
            wanted[key] = "uniform", ends
            row = {end: written(value, one.kind) for end, value in ends.items()}
        part, field = key.split(".")[:2]
        text = text.set("spread", f"{part}.{field}", {"distribution": wanted[key][0], **row})
    installation = read(text.text)
    found = {
        item.key: item.distribution
        for item in varied_inputs(installation, variable_inputs(case), case.uncredited)
    }
    assert list(found) == list(known)
    for key, (distribution, parameters) in wanted.items():
        assert found[key].kind == distribution, key
        assert found[key].origin == "typed"
        assert found[key].parameters == pytest.approx(parameters, rel=1e-12), key
    defaults = varied_inputs(read(SYSTEMS[name]), variable_inputs(case), case.uncredited)
    assert [item.key for item in defaults] == [
        key for key, (varied, _) in known.items() if varied.entry.spread is not None
    ]
    assert {item.distribution.origin for item in defaults} == {"default"}


def test_what_is_no_field_starts_at_its_default():
    """Property: so that a spread without a middle is about the value of the case."""
    for name in SYSTEMS:
        for key, (varied, present) in inputs_in(present_case(name)).items():
            if not varied.entry.in_file and varied.entry.spec.default is not None:
                stated = quantities.parse(varied.entry.spec.default, varied.entry.kind)
                assert present == stated, (name, key)


def test_present_values_change_nothing():
    """Property."""
    for name in SYSTEMS:
        case = present_case(name)
        for key, (_, present) in inputs_in(case).items():
            for place, values in columns(case, {key: np.array([present])}).items():
                assert float(np.ravel(values)[0]) == pytest.approx(case.floats[place], rel=1e-9), (
                    name,
                    key,
                )
