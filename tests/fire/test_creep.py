"""Time at temperature in a fire run: the damage, the rupture by it, and the verdict."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.bores import excess
from airrisk.fire.case import FireCase
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.fire.creep_edges import by_omega, creep_edges
from airrisk.fire.curves import curves
from airrisk.fire.outcome import classify
from airrisk.fire.run import run
from airrisk.kernel import layout as at
from airrisk.kernel.places import damage_place
from airrisk.physics.creep import creep_numbers
from airrisk.physics.creep_kernel import damage_rate
from airrisk.physics.creep_omega import omega_damage_rate, omega_laws
from airrisk.verdict.rule import DAMAGE_LIMIT
from tests.fire.systems import fire, installation, line, plug, relief, run_brief, vessel
from tests.study.one_fire import stated

HOLD = {"curve": "temperature", "temperature": 873.15}


def case_of(*parts: object) -> FireCase:
    whole = installation(*parts)
    exposure = stated(whole)
    return build_case(whole, exposure.fire, exposure.section, CaseSettings(uncredited=()))


def held(duration: float, wall: float = 0.0195, **more: object) -> FireCase:
    """A vessel that a steady flame of 600 degC heats, its pressure held by a relief valve."""
    return case_of(
        vessel(wall_thickness=wall), relief(set_pressure=1.6e6, area=2e-4),
        fire(duration=duration, **{**HOLD, **more}),
    )  # fmt: skip


def test_the_damage_is_the_life_used_up_along_the_run():
    """Arithmetic: the curve of the metal summed over stress and temperature of the stored run."""
    result = run(held(3600.0))
    drawn = curves(result).parts["R1"]
    factor = result.case.floats[result.case.space_at("R1", at.S_BURST_FACTOR)]
    time = curves(result).time_s
    rates = [
        damage_rate((p - 101325.0) / factor, t, *creep_numbers("P265GH"))
        for p, t in zip(drawn.pressure_pa, drawn.hot_wall_temperature_k, strict=True)
    ]
    middle = 0.5 * (np.array(rates)[1:] + np.array(rates)[:-1])
    by_hand = float(np.sum(middle * np.diff(time)))
    assert result.creep_damage[0] > 0.01
    assert result.creep_damage[0] == pytest.approx(by_hand, rel=0.02)
    column = result.states[:, damage_place(result.case.integers)]
    assert np.all(np.diff(column) >= 0.0)


def test_a_long_hold_passes_the_limit_and_a_longer_one_ruptures_below_the_strength():
    """Property: the same use at the end; only the time is longer."""
    found = {hours: run(held(3600.0 * hours)) for hours in (0.5, 20.0)}
    short, long = (classify(one) for one in found.values())
    assert short.outcome == "outlasts the fire"
    assert long.outcome == "ruptures"
    assert long.reason.creep
    assert long.peak_use < 0.9
    assert found[20.0].creep_damage[0] == pytest.approx(1.0, abs=1e-6)
    middle = 0.75 * long.rupture_time
    passed = classify(run(held(middle)))
    assert passed.outcome == "passes the limit"
    assert passed.reason.creep
    assert passed.peak_use < passed.limit
    assert DAMAGE_LIMIT < passed.creep_damage < 1.0
    assert excess(run(held(middle))) > 0.0


@pytest.mark.parametrize("hours", [0.5, 20.0])
def test_batch_and_single_run_agree_on_the_damage(hours):
    for case in (held(3600.0 * hours), case_of(vessel(), fire(duration=1800.0, **HOLD))):
        single, brief = run(case), run_brief(case)
        assert brief.creep_damage[0] == pytest.approx(single.creep_damage[0], rel=0.01, abs=1e-5)
        when = single.rupture_time[0]
        assert brief.rupture_time[0] == pytest.approx(float(when), rel=2e-3, nan_ok=True)


def test_a_network_counts_each_vessel_by_its_own_metal():
    low = vessel("R1", wall_thickness=0.0195, material="P235GH")
    medium = vessel("R2", wall_thickness=0.0195)
    result = run(
        case_of(
            low, medium, line("L1", "R1", "R2"), relief(set_pressure=1.6e6, area=2e-4),
            fire(("R1", "R2"), duration=1200.0, **HOLD),
        )
    )  # fmt: skip
    damage = dict(zip(result.case.names, result.creep_damage, strict=True))
    assert damage["R1"] > 3.0 * damage["R2"] > 0.0


def test_metal_without_a_curve_has_no_damage_and_is_named():
    case = case_of(vessel(material="5083", wall_thickness=0.03), fire(duration=600.0))
    assert case.no_creep_data == ("R1",)
    assert run(case).creep_damage[0] == 0.0
    assert case_of(vessel(), fire()).no_creep_data == ()


def test_a_cold_or_vented_vessel_takes_no_damage():
    soon = plug(bore=0.02, alloy="tin", condition="clean")
    assert run(case_of(vessel(), soon, fire())).creep_damage[0] < 1e-6
    assert run(case_of(vessel(), fire(curve="flux", flux=5e3))).creep_damage[0] == 0.0


def test_the_run_after_the_fire_goes_on_while_the_metal_creeps():
    """Property: of one space a run may end early, but not while damage is still to come."""
    case = case_of(vessel(wall_thickness=0.02), fire(duration=1500.0, **HOLD))
    brief, single = run_brief(case), run(case)
    whole = run(case.changed({at.F_RTOL: 1e-8}))
    assert single.creep_damage[0] == pytest.approx(whole.creep_damage[0], abs=2e-3)
    assert brief.creep_damage[0] == pytest.approx(whole.creep_damage[0], abs=2e-3)


def test_a_run_with_damage_beyond_its_limit_is_never_safe():
    """Property of the rule, whatever opened."""
    result = run(case_of(vessel(), plug(bore=0.02, alloy="tin", condition="clean"), fire()))
    assert classify(result).outcome == "vents in time"
    ends = ((0.51, "passes the limit"), (1.0, "ruptures"), (math.nan, "not converged"))
    for damage, outcome in ends:
        worse = replace(result, creep_damage=np.array([damage]))
        assert classify(worse).outcome == outcome


@pytest.mark.parametrize(("celsius", "wall"), [(800.0, 0.020), (850.0, 0.030)])
def test_a_thick_vessel_held_hotter_than_the_tests_went_is_not_safe(celsius, wall):
    """Property: the curves are drawn on; two hours at half the strength use it up."""
    tank = vessel(
        volume=0.25, inside_diameter=0.4, cylinder_length=1.9, wall_thickness=wall, pressure=8e5
    )
    case = case_of(
        tank, relief(set_pressure=9e5, area=2e-4),
        fire(curve="temperature", temperature=celsius + 273.15, convection=25.0, duration=7200.0),
    )  # fmt: skip
    verdict = classify(run(case))
    assert verdict.reason.creep
    assert not verdict.safe


def test_the_creep_rate_is_summed_along_the_run_and_the_mean_is_a_share():
    """Arithmetic: the rate summed over the stored run; 2.818 is the printed quotient of lives."""
    result = run(held(3600.0))
    edges = creep_edges(result)["R1"]
    drawn = curves(result, most=10**9)
    factor = result.case.floats[result.case.space_at("R1", at.S_BURST_FACTOR)]
    time = np.linspace(0.0, drawn.time_s[-1], 20001)
    own = drawn.parts["R1"]
    stress = (np.interp(time, drawn.time_s, own.pressure_pa) - 101325.0) / factor
    heat = np.interp(time, drawn.time_s, own.hot_wall_temperature_k)
    rates = omega_damage_rate(omega_laws()["carbon"], stress, heat)
    by_hand = float(np.sum(0.5 * (rates[1:] + rates[:-1]) * np.diff(time)))
    assert edges.omega[-1] > 0.01
    assert edges.omega[-1] == pytest.approx(by_hand, rel=0.02)
    assert np.all(np.diff(edges.omega) >= 0.0)
    assert edges.least[-1] == result.creep_damage[0]
    assert edges.least[-1] / edges.mean[-1] == pytest.approx(2.818, rel=1e-3)
    assert own.creep_damage[-1] == result.creep_damage[0]
    assert own.creep_damage_omega[-1] == edges.omega[-1]


def test_a_run_without_damage_or_without_data_has_nothing_beside_it():
    weak = run(case_of(vessel(), fire(curve="flux", flux=5e3)))
    aluminium = run(case_of(vessel(material="5083", wall_thickness=0.03), fire(duration=600.0)))
    lost = run(held(3600.0))
    lost.states[:, damage_place(lost.case.integers)] = math.nan
    for one in (weak, aluminium, lost):
        assert creep_edges(one) == {}
        assert by_omega(one) is None
        assert curves(one).parts["R1"].creep_damage.size == 0


def test_of_two_vessels_each_is_counted_by_its_own_law():
    steel = vessel("R1", wall_thickness=0.0195)
    tough = vessel("R2", wall_thickness=0.008, material="316L")
    result = run(
        case_of(
            steel, tough, line("L1", "R1", "R2"), relief(set_pressure=1.6e6, area=2e-4),
            fire(("R1", "R2"), duration=7200.0, **(HOLD | {"temperature": 933.15})),
        )
    )  # fmt: skip
    edges, other = creep_edges(result), by_omega(result)
    assert other is not None
    share = {}
    for name in ("R1", "R2"):
        index = result.case.names.index(name)
        assert other.creep_damage[index] == edges[name].omega[-1]
        share[name] = edges[name].omega[-1] / result.creep_damage[index]
    # published curves: at 50 to 90 MPa and 650 degC some 0.8 of carbon steel, 0.2 of 316H
    assert share["R1"] > 0.5 > 2.0 * share["R2"] > 0.1
