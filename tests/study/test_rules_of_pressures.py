"""Rules about pressures, walls and machines: failing, passing and edge."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import (
    Compressor,
    Installation,
    Junction,
    Valve,
)
from airrisk.study.rules.pressures import carried_pressure
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.study.networks import disc, line, relief, vessel
from tests.study.rule_plants import (
    KELVIN,
    TYPED,
    found,
    severities,
    sound,
)

# pressures and walls


@pytest.mark.parametrize(
    ("set_pressure", "expected"), [(1.2e6 + 10.0, ["danger"]), (1.2e6, []), (1.0e6, [])]
)
def test_relief_valve_set_above_design(set_pressure: float, expected: list[str]) -> None:
    plant = sound(relief_valves=(relief("S1", "R1", set_pressure=set_pressure),))
    assert severities("relief-set-above-design", plant) == expected


@pytest.mark.parametrize(("above", "expected"), [(-1e5, 1), (0.0, 1), (10.0, 0), (1e5, 0)])
@pytest.mark.parametrize("kind", ["relief_valves", "bursting_discs"])
def test_relief_below_the_standing_pressure(kind: str, above: float, expected: int) -> None:
    """Property: told where it opens at or below the pressure of its part, and only there."""
    pressure = vessel("R1").pressure + above
    device = (
        relief("S1", "R1", set_pressure=pressure)
        if kind == "relief_valves"
        else replace(disc("S1", "R1"), burst_pressure=pressure)
    )
    rows = found("relief-set-below-running", sound(**{"relief_valves": (), kind: (device,)}))
    assert [(row.severity, row.part, row.values["on"]) for row in rows] == [
        ("warning", "S1", "R1")
    ] * expected


@pytest.mark.parametrize(
    ("valve", "expected"),
    [({"state": "locked open"}, ["R1"]), ({"state": "open"}, []), ({"kind": "non-return"}, ["R1"]),
     ({"kind": "non-return", "reverse": True}, [])],
)  # fmt: skip
def test_relief_below_the_pressure_of_a_neighbour(
    valve: dict[str, Any], expected: list[str]
) -> None:
    """Property: a neighbour counts while nobody can shut its way to the valve."""
    start = vessel("R1").pressure
    plant = sound(
        vessels=(vessel("R1"), vessel("R2", pressure=start - 3e5)),
        lines=(line("L1", "C1", "R1"), line("L2", "R1", "R2", pressure=start - 3e5)),
        valves=(Valve(id="V1", on="L2", end="from", **valve),),
        relief_valves=(relief("S2", "R2", set_pressure=start - 1e5),),
    )
    assert [f.values["on"] for f in found("relief-set-below-running", plant)] == expected


def test_second_relief_valve_may_be_five_per_cent_higher() -> None:
    # from memory: ASME VIII UG-134; design gauge 1.2e6 - 101325
    edge = 1.2e6 + 0.05 * (1.2e6 - 101325.0)
    first = relief("S1", "R1", set_pressure=1.2e6)

    def plant(pressure: float) -> Installation:
        return sound(relief_valves=(first, relief("S2", "R1", set_pressure=pressure)))

    assert found("relief-set-above-design", plant(edge)) == []
    assert severities("relief-set-above-design", plant(edge + 10.0)) == ["warning"]


def test_a_stronger_neighbour_may_have_a_higher_relief_valve() -> None:
    plant = sound(
        vessels=(vessel("R1"), vessel("R2", design_pressure=1.6e6)),
        lines=(line("L1", "C1", "R1"), line("L2", "R1", "R2")),
        relief_valves=(
            relief("S1", "R1", set_pressure=1.2e6),
            relief("S2", "R2", set_pressure=1.6e6),
        ),
    )
    assert found("relief-set-above-design", plant) == []


def test_disc_above_design_counts_too() -> None:
    plant = sound(relief_valves=(), bursting_discs=(disc("B1", "R1"),))  # 13 bar over 12 bar
    assert severities("relief-set-above-design", plant) == ["danger"]


@pytest.mark.parametrize(("pressure", "expected"), [(1.2001e6, ["danger"]), (1.2e6, [])])
def test_standing_pressure_above_design(pressure: float, expected: list[str]) -> None:
    plant = sound(vessels=(vessel("R1", pressure=pressure),))
    assert severities("pressure-above-design", plant) == expected


def test_compressor_that_delivers_more_than_design() -> None:
    strong = replace(sound().compressors[0], discharge_pressure=1.3e6)
    bare = sound(compressors=(strong,), relief_valves=())
    (one,) = found("pressure-above-design", bare)
    assert (one.part, one.values["variant"]) == ("R1", "pumped")
    assert found("pressure-above-design", sound(compressors=(strong,))) == []
    shut = sound(compressors=(strong,), valves=(Valve(id="V9", on="S1"),))
    assert severities("pressure-above-design", shut) == ["danger"]
    equal = replace(strong, discharge_pressure=1.2e6)
    assert found("pressure-above-design", sound(compressors=(equal,), relief_valves=())) == []


def test_wall_for_the_design_pressure() -> None:
    plant = sound()
    # design pressure exactly what the wall carries, then a little more
    edge = carried_pressure(plant.vessels[0]) + 101325.0

    def designed(pressure: float) -> Installation:
        return sound(vessels=(replace(plant.vessels[0], design_pressure=pressure),))

    assert found("wall-thinner-than-design-needs", designed(edge)) == []
    assert severities("wall-thinner-than-design-needs", designed(edge * 1.001)) == ["warning"]
    thin = sound(vessels=(replace(plant.vessels[0], wall_thickness=0.001, measured=True),))
    assert severities("wall-thinner-than-design-needs", thin) == ["danger"]


def test_wall_of_a_cylinder_against_the_shell_formula() -> None:
    # analytic: p = 2 f z t / (Di + t), mean diameter; hemispheres are stronger than the shell
    shell = vessel("R1", heads="hemispherical", measured=True)
    f = min(410e6 / 2.4, 265e6 / 1.5)
    expected = 2 * f * 0.85 * 0.008 / 0.808
    assert carried_pressure(shell) == pytest.approx(expected, rel=1e-9)


def test_wall_of_welded_aluminium_against_the_shell_formula() -> None:
    # analytic, with the strengths beside the weld of EN 1999-1-1 (140 and 92 MPa) and the weld
    # factor once; of 5083-O, which welding does not soften, the weld factor alone
    welded = vessel("R1", heads="hemispherical", measured=True, material="6061-T6")
    f = min(140e6 / 2.4, 92e6 / 1.5)
    assert carried_pressure(welded) == pytest.approx(2 * f * 0.85 * 0.008 / 0.808, rel=1e-9)
    soft = replace(welded, material="5083")
    f = min(270e6 / 2.4, 110e6 / 1.5)
    assert carried_pressure(soft) == pytest.approx(2 * f * 0.85 * 0.008 / 0.808, rel=1e-9)
    (one,) = found("wall-thinner-than-design-needs", sound(vessels=(
        replace(welded, design_pressure=1e7),)))  # fmt: skip
    assert one.values["allowed_stress_pa"] == pytest.approx(140e6 / 2.4)


def test_condensate() -> None:
    wet = sound(vessels=(vessel("R1", condensate=0.04),))
    (one,) = found("condensate-raises-pressure", wet)
    assert one.severity == "warning"
    # published, from memory (steam tables): 3.41 bar at 138 degC
    assert one.values["vapour_difference_pa"] == pytest.approx(3.41e5, rel=5e-3)
    assert found("condensate-raises-pressure", sound()) == []
    drop = sound(vessels=(vessel("R1", condensate=1e-6),))
    (little,) = found("condensate-raises-pressure", drop)
    assert little.severity == "note"
    # arithmetic: a gramme of water evaporates whole, m R T / V
    assert little.values["vapour_difference_pa"] == pytest.approx(
        0.998e-3 * 461.5 * 411.15, rel=1e-3
    )


@pytest.mark.parametrize(("share", "expected"), [(0.1001, "warning"), (0.0999, "note")])
def test_vapour_of_a_tenth_of_the_design_pressure_is_a_warning(share: float, expected: str) -> None:
    # arithmetic: m R T / V of water that evaporates whole
    wanted = share * (1.2e6 - 101325.0)
    litres = wanted / (998.0 * 461.526 * 411.15)
    wet = sound(vessels=(vessel("R1", condensate=litres / (1.0 + litres)),))
    assert severities("condensate-raises-pressure", wet) == [expected]


# machines


@pytest.mark.parametrize(
    ("celsius", "lubrication", "expected"),
    [
        (220.01, "oil-lubricated", ["warning"]),
        (220.0, "oil-lubricated", []),
        (230.0, "oil-free", []),
        (120.1, "oil-flooded", ["warning"]),
        (120.0, "oil-flooded", []),
    ],
)
def test_discharge_temperature(celsius: float, lubrication: Any, expected: list[str]) -> None:
    machine = Compressor(
        id="C1",
        delivery=0.01,
        discharge_pressure=9e5,
        lubrication=lubrication,
        discharge_temperature=celsius + KELVIN,
    )
    plant = sound(compressors=(machine,))
    assert severities("discharge-temperature-too-hot", plant) == expected


def test_computed_discharge_temperature_is_judged_too() -> None:
    machine = Compressor(id="C1", delivery=0.01, discharge_pressure=9e5, efficiency=0.6)
    (one,) = found("discharge-temperature-too-hot", sound(compressors=(machine,)))
    assert one.values["variant"] == "computed"


def test_compressor_that_keeps_running() -> None:
    runs = replace(sound().compressors[0], in_fire="keeps running")
    (one,) = found("no-stop-on-fire-alarm", sound(compressors=(runs,)))
    assert one.values["variant"] == "typed"
    default = replace(runs, given=frozenset())
    assert found("no-stop-on-fire-alarm", sound(compressors=(default,)))[0].values["variant"] == (
        "assumed"
    )
    assert found("no-stop-on-fire-alarm", sound()) == []


def test_oil_in_the_air_is_said() -> None:
    oily = replace(sound().compressors[0], lubrication="oil-flooded")
    assert severities("oil-film-can-burn-inside", sound(compressors=(oily,))) == ["note"]
    assert found("oil-film-can-burn-inside", sound()) == []


def test_assumed_values_are_named_once_a_part() -> None:
    bare = sound(vessels=(vessel("R1", given=frozenset({"measured"})),))
    (one,) = found("value-assumed", bare)
    assert (one.part, one.severity) == ("R1", "note")
    assert dict(zip(one.values["fields"], one.values["values"], strict=True)) == {
        "heads": "torispherical",
        "head thickness": "as the wall thickness",
        "weld factor": "0.85",
        "temperature": "the ambient temperature of the site",
    }
    assert finding_text(one, Units()) == (
        "Vessel R1 counts with assumed values: heads (torispherical), head thickness (as the wall "
        "thickness), weld factor (0.85) and temperature (the ambient temperature of the site)."
    )
    assert found("value-assumed", sound()) == []


def test_a_line_whose_pressure_nothing_gives_is_told() -> None:
    whole = sound()
    alone = line("L2", "J1", "closed", measured=True, given=TYPED)
    plant = replace(whole, junctions=(Junction(id="J1"),), lines=(*whole.lines, alone))
    (one,) = found("value-assumed", plant)
    assert (one.part, one.values["fields"]) == ("L2", ("pressure",))
    joined = replace(plant, lines=(*plant.lines[:1], replace(alone, to="R1")))
    assert found("value-assumed", joined) == []
