"""Walls cut into patches with exposures of their own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from airrisk.fire.balance import closure
from airrisk.fire.batch import run_changes, suits_explicit_steps
from airrisk.fire.case import FireCase, FireCaseError
from airrisk.fire.changes import heat, hottest_wall_of
from airrisk.fire.curves import curves
from airrisk.fire.patches import Exposure, Patch
from airrisk.fire.run import run
from airrisk.fire.variants import columns
from airrisk.kernel import layout as at
from airrisk.kernel.records import Case
from airrisk.kernel.rhs import wall_rates
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN, inner_radiation
from airrisk.physics.metal_kernel import heat_capacity
from tests.fire.systems import case_of, fire, line, plug, relief, run_brief, vessel

FLAMES = Exposure("flames")
AMBIENT = Exposure("ambient")
FINE = 1e-9  # of the time steps


def shining(flux: float, begins: float = 0.0, ends: float | None = None) -> Exposure:
    return Exposure("radiation", flux=flux, begins=begins, ends=ends)


def cut(*patches: tuple[str, float, Exposure]) -> dict[str, tuple[Patch, ...]]:
    """The wall of R1 in these patches."""
    return {"R1": tuple(Patch(*one) for one in patches)}


def struck(
    exposures: dict[str, tuple[Patch, ...]], *more: Any, minutes: float = 30.0, **choices: Any
) -> FireCase:
    """R1 alone, its wall in patches, in a fire that reaches it in part."""
    flames = fire(share=0.25, duration=60.0 * minutes)
    return case_of(vessel(), *more, flames, exposures=exposures, credit="all", **choices)


def test_flames_and_ambient_are_the_two_zones_to_the_last_digit():
    """Property: a wall in flames and out of them is the wall that the fire itself describes."""
    for share in (0.25, 1.0):
        flames = fire(share=share)
        exposures = cut(("in", share, FLAMES), ("out", 1.0 - share, AMBIENT))
        if share == 1.0:
            exposures = cut(("in", 1.0, FLAMES))
        zones = case_of(vessel(), plug(), relief(), flames)
        patched = case_of(vessel(), plug(), relief(), flames, exposures=exposures)
        assert np.array_equal(zones.floats, patched.floats)
        assert np.array_equal(zones.integers, patched.integers)


THREE = cut(
    ("flames", 0.2, FLAMES), ("pool side", 0.3, shining(45e3, 60.0, 300.0)), ("back", 0.5, AMBIENT)
)
HALVES = {
    "flames": cut(
        ("flames", 0.12, FLAMES), ("more flames", 0.08, FLAMES),
        ("pool side", 0.3, shining(45e3, 60.0, 300.0)), ("back", 0.5, AMBIENT),
    ),
    "radiation": cut(
        ("flames", 0.2, FLAMES), ("pool side", 0.1, shining(45e3, 60.0, 300.0)),
        ("pool side below", 0.2, shining(45e3, 60.0, 300.0)), ("back", 0.5, AMBIENT),
    ),
    "ambient": cut(
        ("flames", 0.2, FLAMES), ("pool side", 0.3, shining(45e3, 60.0, 300.0)),
        ("back", 0.4, AMBIENT), ("top", 0.1, AMBIENT),
    ),
}  # fmt: skip


@pytest.mark.parametrize("minutes", [6, 30])  # it holds and it ruptures
@pytest.mark.parametrize("name", HALVES)
def test_a_patch_split_in_two_changes_nothing(name, minutes):
    """Property, to 1e-6: strength use, pressure and events; creep grows as a high power of both."""
    # a plug takes its heat from one patch, at the back, which then stays whole
    devices = (relief(),) if name == "ambient" else (relief(), plug(alloy="Bi58Sn42"))
    whole, halves = (
        run(struck(exposures, *devices, minutes=minutes).with_tolerance(FINE))
        for exposures in (THREE, HALVES[name])
    )
    assert whole.converged
    assert halves.converged
    assert (whole.rupture is None) == (minutes == 6)
    assert halves.peak_use == pytest.approx(whole.peak_use, rel=1e-6)
    assert halves.peak_pressure == pytest.approx(whole.peak_pressure, rel=1e-6)
    assert halves.creep_damage == pytest.approx(whole.creep_damage, rel=1e-4, abs=1e-9)
    shown = [[(e.event, e.part) for e in one.events] for one in (whole, halves)]
    assert shown[0] == shown[1]
    times = [[e.time for e in one.events] for one in (whole, halves)]
    assert times[1] == pytest.approx(times[0], rel=2e-6)


def test_more_radiation_never_ruptures_later():
    """Property."""
    last = np.inf
    ruptures = 0
    for flux in (10e3, 30e3, 60e3, 90e3, 150e3, 250e3):
        result = run(struck(cut(("front", 0.4, shining(flux)), ("back", 0.6, AMBIENT))))
        assert result.converged
        time = result.rupture.time if result.rupture else np.inf
        assert time <= last
        last = time
        ruptures += result.rupture is not None
    assert ruptures >= 2


def test_mass_and_energy_close():
    """Convergence, for one vessel and for two with a line between them."""
    one = struck(THREE, relief(), plug())
    exposures = {**THREE, "R2": (Patch("all", 1.0, shining(20e3)),), "L1": (
        Patch("front", 0.5, shining(60e3)), Patch("back", 0.5, AMBIENT)
    )}  # fmt: skip
    two = case_of(
        vessel(), vessel("R2"), line("L1", "R1", "R2", length=40.0), relief(), plug(on="R2"),
        fire(share=0.25, duration=1800.0), exposures=exposures, credit="all",
    )  # fmt: skip
    assert int(two.integers[at.I_PATCHES]) == 3
    for case in (one, two):
        result = run(case)
        assert result.converged
        assert closure(result).holds


def test_a_patch_comes_to_the_temperature_at_which_it_loses_what_it_absorbs():
    """Analytic: e flux = e sigma (T^4 - Ta^4) + h (T - Ta), nothing passing inside."""
    exposure = Exposure("radiation", emissivity=0.7, convection=10.0, flux=25e3)
    exposures = cut(("front", 0.4, exposure), ("back", 0.6, AMBIENT))
    case = case_of(
        vessel(pressure=3e5), fire(share=0.25, duration=4.0 * 3600.0), exposures=exposures,
        inner_radiation=False, convection_factor=0.0,
    )  # fmt: skip
    ambient = float(case.floats[at.F_AMBIENT_T])

    def left(wall: float) -> float:
        lost = STEFAN_BOLTZMANN * (wall**4 - ambient**4)
        return float(0.7 * (25e3 - lost) - 10.0 * (wall - ambient))

    result = run(case)
    warm = result.patch_temperature("R1", "front")
    burning = result.time <= case.fire.duration
    assert warm[burning][-1] == pytest.approx(brentq(left, 300.0, 1200.0), abs=0.5)
    assert warm[-1] < warm[burning][-1] - 100.0  # the source is gone after the fire


def test_a_source_burns_from_its_begin_to_its_end():
    """Analytic: nothing warms before; between, the metal stores what is absorbed; then it cools."""
    exposure = Exposure("radiation", convection=0.0, flux=50e3, begins=300.0, ends=360.0)
    exposures = cut(("front", 0.4, exposure), ("back", 0.6, AMBIENT))
    start = {"temperature": 293.15}
    case = case_of(
        vessel(**start), fire(share=0.25, duration=900.0), exposures=exposures,
        inner_radiation=False, convection_factor=0.0,
    )  # fmt: skip
    case = case.changed({at.F_AMBIENT_T: 293.15})
    result = run(case)
    warm = np.interp([299.9, 360.0, 600.0], result.time, result.patch_temperature("R1", "front"))
    assert warm[0] == pytest.approx(293.15, abs=1e-6)
    area, mass = (float(case.floats[case.patch_at(2, key)]) for key in (at.Q_AREA, at.Q_MASS))
    # 450 J/kg/K of steel about 40 degC (EN 1993-1-2: 425 + 0.773 T - ...), and a few W/m2 lost
    stored = 0.8 * 50e3 * area * 60.0 / (mass * 460.0)
    assert warm[1] - 293.15 == pytest.approx(stored, rel=0.05)
    assert warm[2] < warm[1]


def test_inner_radiation_of_two_patches_is_that_of_the_two_zones():
    """Analytic: the node of mean radiosity between two surfaces is the formula for two."""
    exposures = cut(("front", 0.4, shining(0.0)), ("back", 0.6, AMBIENT))
    gained = []
    for inner in (True, False):
        case = struck(exposures, inner_radiation=inner)
        y = np.array([10.0, 2e6, 300.0, 400.0, 900.0])
        dy = np.zeros(5)
        mode = np.zeros(10, dtype=np.int64)
        wall_rates(0, 400.0, 5.0, 300.0, True, y, dy, Case(case.floats, case.integers), mode)
        gained.append(dy[3])
    space = case.space_at("R1", 0)
    cold_area = float(case.floats[space + at.S_COLD_AREA])
    hot_area = float(case.floats[case.patch_at(2, at.Q_AREA)])
    capacity = float(case.floats[space + at.S_COLD_MASS]) * heat_capacity(0, 400.0)
    expected = inner_radiation(900.0, 400.0, hot_area, cold_area, 0.8)
    assert (gained[0] - gained[1]) * capacity == pytest.approx(expected, rel=1e-10)


def test_inner_radiation_gives_away_what_it_takes():
    """Property: between four patches of any temperatures the heat sums to nothing."""
    exposures = HALVES["radiation"]
    rates = []
    for inner in (True, False):
        case = struck(exposures, inner_radiation=inner)
        y = np.array([10.0, 2e6, 1000.0, 350.0, 700.0, 500.0])
        dy = np.zeros(6)
        mode = np.zeros(10, dtype=np.int64)
        wall_rates(0, 400.0, 5.0, 1200.0, True, y, dy, Case(case.floats, case.integers), mode)
        rates.append(dy[2:].copy())
    space = case.space_at("R1", 0)
    places = [space + at.S_HOT_MASS, space + at.S_COLD_MASS]
    places += [case.patch_at(2, at.Q_MASS), case.patch_at(3, at.Q_MASS)]
    heats = [
        float(case.floats[place]) * heat_capacity(0, wall) * change
        for place, wall, change in zip(places, y[2:], rates[0] - rates[1], strict=True)
    ]
    assert abs(sum(heats)) < 1e-9 * sum(abs(one) for one in heats)


def test_a_plug_opens_by_what_its_patch_feels():
    """Property: on the struck patch sooner than on the one behind; its head in it, sooner still."""
    times = []
    for patch, listed in (("front", ("FP1",)), ("front", ()), ("back", ())):
        flames = fire(share=0.25, duration=1800.0, plugs_in_fire=listed)
        case = case_of(
            vessel(), plug(alloy="Bi58Sn42"), flames, credit="all",
            exposures=cut(("front", 0.5, shining(60e3)), ("back", 0.5, AMBIENT)),
            plug_patches={"FP1": patch},
        )  # fmt: skip
        times.append(run(case).first_vent)
    assert None not in times
    assert times == sorted(times)
    assert times[0] < 0.9 * times[1]
    assert times[1] < 0.5 * times[2]


def test_a_plug_that_nobody_placed_stands_where_it_is_heated_least():
    hot, warm = shining(90e3), shining(9e3)
    exposures = cut(("hot", 0.3, hot), ("warm", 0.3, warm), ("back", 0.4, AMBIENT))
    row = at.PI_PATCH
    unplaced = struck(exposures, plug())
    assert unplaced.integers[int(unplaced.integers[at.I_I_PLUG]) + row] == at.AMBIENT_PATCH
    exposures = cut(("hot", 0.3, hot), ("warm", 0.7, warm))
    both = struck(exposures, plug())
    assert both.integers[int(both.integers[at.I_I_PLUG]) + row] == at.FIRST_PATCH + 1
    with pytest.raises(FireCaseError, match="no patch side; valid: hot, warm"):
        struck(exposures, plug(), plug_patches={"FP1": "side"})


@pytest.mark.parametrize("devices", [(), (plug(),), (plug(alloy="Bi58Sn42"), relief())])
def test_a_batch_answers_as_a_single_run(devices):
    """Regression: explicit and implicit steps agree on patches to 1e-5 of the strength use."""
    for exposures in (THREE, *HALVES.values()):
        case = struck(exposures, *devices)
        assert suits_explicit_steps(case)
        single = run(case)
        explicit = run_brief(case, steps="explicit")
        assert explicit.status[0] in (at.ENDED, at.RUPTURED, at.RUNNING)
        many = run_brief(case)
        assert many.peak_use[0] == pytest.approx(single.peak_use[0], rel=1e-5)
        if single.rupture:
            assert many.rupture_time[0] == pytest.approx(single.rupture.time, rel=1e-4)


def test_most_patches_go_through_the_explicit_steps():
    case = struck(THREE, plug(alloy="Bi58Sn42"))
    assert run_brief(case, steps="explicit").status[0] in (at.ENDED, at.RUPTURED)


def test_plain_functions_give_the_same_numbers():
    case = struck(cut(("front", 0.4, shining(120e3, 20.0, 300.0)), ("back", 0.6, AMBIENT)))
    case = case.changed({at.F_FIRE_END: 300.0})
    compiled, plain = run(case), run(case, interpreted=True)
    assert plain.peak_use == pytest.approx(compiled.peak_use, rel=1e-9)
    assert plain.end_time == pytest.approx(compiled.end_time, rel=1e-9)


def test_less_heat_is_less_radiation():
    """``heat`` scales what falls on the patches as it scales the flames."""
    case = struck(THREE, relief(), minutes=6)
    half = case.changed(heat(case, 0.5))
    place = case.patch_at(2, at.Q_FLUX)
    assert half.floats[place] == 0.5 * case.floats[place]
    assert run(half).peak_use[0] < run(case).peak_use[0]


def test_condensate_is_warmed_by_what_strikes_the_wall_over_it():
    """Water stands where the fire strikes, the worst first; its mass closes."""
    wet = vessel(condensate=0.1)
    exposures = cut(
        ("hot", 0.01, shining(60e3)), ("warm", 0.6, shining(20e3)), ("b", 0.39, AMBIENT)
    )
    case = case_of(wet, relief(), fire(share=0.25, duration=1800.0), exposures=exposures)
    pool = int(case.integers[at.I_F_POOL])
    wetted = [float(case.floats[case.patch_at(k, at.Q_WETTED)]) for k in (2, 3)]
    assert case.floats[pool + at.W_WETTED] == 0.0
    assert wetted[0] == case.floats[case.patch_at(2, at.Q_AREA)]
    assert sum(wetted) == pytest.approx(case.floats[pool + at.W_SURFACE])
    result = run(case)
    water = result.pools["R1"]
    total = water[:, 0] + water[:, 2]
    assert result.converged
    assert total[0] - total[-1] == pytest.approx(result.cumulated.vapour_out, abs=1e-4)
    assert water[:, 1].max() > water[0, 1] + 50.0


@pytest.mark.parametrize(
    ("exposures", "says"),
    [
        (cut(*((str(k), 0.2, AMBIENT) for k in range(5))), "5 patches; valid: 1 to 4"),
        (cut(("a", 0.5, FLAMES), ("a", 0.5, AMBIENT)), "one name"),
        (cut(("a", 0.5, FLAMES), ("b", 0.6, AMBIENT)), "valid: above 0, 1 in all"),
        (cut(("a", 1.0, Exposure("radiation", emissivity=0.0, flux=1e4))), "a: emissivity 0"),
        (cut(("a", 1.0, Exposure("radiation", flux=float("nan")))), "a: flux nan W/m2"),
        (cut(("a", 1.0, Exposure("flames", convection=-1.0))), "a: convection -1 W/m2/K"),
        (cut(("a", 1.0, shining(1e4, 0.0, 3600.0))), "within the 1800 s of the fire"),
        (cut(("a", 1.0, shining(1e4, 90.0, 60.0))), "from 90 to 60 s"),
    ],
)  # fmt: skip
def test_patches_that_make_no_wall_are_named(exposures, says):
    with pytest.raises(FireCaseError, match=f"R1: .*{says}"):
        struck(exposures)


def _varied(case: FireCase, **values: float) -> FireCase:
    given = {key.replace("__", "."): np.array([value]) for key, value in values.items()}
    return case.changed({place: float(v[0]) for place, v in columns(case, given).items()})


def test_varied_inputs_reach_the_patches():
    """A varied case is the case that is built so."""
    exposures = cut(
        ("flames", 0.2, FLAMES), ("own flames", 0.2, Exposure("flames", emissivity=0.5)),
        ("front", 0.2, shining(45e3)), ("back", 0.4, AMBIENT),
    )  # fmt: skip
    flames = fire(share=0.25, duration=1800.0)

    def built(part: Any = None, burning: Any = None) -> FireCase:
        return case_of(part or vessel(), burning or flames, exposures=exposures)

    case = built()
    thin = _varied(case, R1__wall_thickness=0.006)
    assert thin.floats == pytest.approx(built(vessel(wall_thickness=0.006)).floats, rel=1e-12)
    less = _varied(case, F1__emissivity=0.6)
    assert less.floats == pytest.approx(
        built(burning=replace(flames, emissivity=0.6)).floats, rel=1e-12
    )
    cooled = _varied(case, F1__convection=30.0)
    assert cooled.floats == pytest.approx(
        built(burning=replace(flames, convection=30.0)).floats, rel=1e-12
    )
    more = _varied(case, F1__flux_factor=1.2)
    radiation = case.patch_at(3, at.Q_FLUX)
    assert more.floats[radiation] == pytest.approx(1.2 * 45e3)
    longer = _varied(case, R1__volume=2.2)
    ratio = longer.floats[case.patch_at(3, at.Q_AREA)] / case.floats[case.patch_at(3, at.Q_AREA)]
    zone = case.space_at("R1", at.S_COLD_AREA)
    assert ratio == pytest.approx(longer.floats[zone] / case.floats[zone], rel=1e-12)
    assert ratio > 1.05


def test_no_wall_gets_hotter_than_its_bound():
    """Property: flames of a constant temperature that is low, and radiation beside it."""
    exposures = cut(("front", 0.4, shining(80e3)), ("flames", 0.6, FLAMES))
    mild = fire(share=0.25, duration=1800.0, curve="temperature", temperature=600.0)
    case = case_of(vessel(pressure=1.5e5), mild, exposures=exposures)
    result = run(case)
    assert result.patch_temperature("R1", "front").max() > 620.0
    assert np.max(result.walls(0)) < hottest_wall_of(case)


def test_curves_show_the_worst_of_the_struck_metal():
    case = struck(THREE, relief())
    result = run(case)
    shown = curves(result, most=10**6).parts["R1"]
    struck_metal = np.maximum(result.hot_wall[:, 0], result.patch_temperature("R1", "pool side"))
    assert shown.hot_wall_temperature_k.max() == struck_metal.max()
    assert shown.strength_use.max() == pytest.approx(result.peak_use[0], rel=2e-3)


def test_a_changed_batch_runs_with_patches():
    """The envelope's way: changes of one case, here of the heat."""
    case = struck(THREE, relief(), minutes=6)
    found = run_changes(case, [heat(case, share) for share in (1.0, 0.7, 0.4)])
    assert np.all(np.diff(found.peak_use) < 0.0)
    assert found.peak_use[0] == pytest.approx(run(case).peak_use[0], rel=5e-5)
