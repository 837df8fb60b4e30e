"""Cases whose answer is known without the program."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.balance import closure
from airrisk.fire.curves import curves
from airrisk.fire.outcome import classify
from airrisk.fire.run import run
from airrisk.installation.model import Site
from airrisk.kernel import layout as at
from airrisk.physics.metal_kernel import heat_capacity
from tests.fire.systems import case_of, fire, plug, relief, vessel

WARM = Site(ambient_temperature=308.15, ambient_pressure=101325.0)


def test_without_fire_nothing_happens():
    # analytic: metal, air and surroundings at one temperature stay there
    case = case_of(
        vessel(), plug(), relief(), fire(curve="temperature", temperature=308.15), site=WARM
    )
    result = run(case)
    assert result.converged
    assert [event.event for event in result.events] == ["fire ends"]
    assert np.ptp(result.gas_temperature) < 1e-9
    assert np.ptp(result.mass) == 0.0
    verdict = classify(result)
    assert (verdict.outcome, verdict.safe, verdict.kept_by) == ("outlasts the fire", True, "none")


def test_instant_plug_with_huge_bore_never_lets_the_pressure_rise():
    # analytic: opened at the start, the pressure only falls
    body = plug(bore=0.1, response="follows wall", alloy="Bi44.7Pb22.6In19.1Sn8.3Cd5.3")
    hot = vessel(temperature=330.0)
    result = run(case_of(hot, body, fire()))
    assert result.first_vent == 0.0
    assert result.peak_pressure[0] <= 11.0e5 * (1.0 + 1e-12)
    assert classify(result).outcome == "vents in time"


def test_share_zero_is_no_fire_and_share_one_has_no_cold_zone():
    # analytic
    none = run(case_of(vessel(), plug(), fire(share=0.0), site=WARM))
    assert np.ptp(none.gas_temperature) < 1e-9
    whole = run(case_of(vessel(), plug(), fire(share=1.0)))
    nearly = run(case_of(vessel(), plug(), fire(share=1.0 - 1e-7, plugs_in_fire=("FP1",))))
    assert nearly.first_vent == pytest.approx(whole.first_vent, rel=1e-4)
    assert nearly.peak_pressure[0] == pytest.approx(whole.peak_pressure[0], rel=1e-4)


def test_absorbed_flux_heats_the_shell_at_the_rate_of_its_heat_capacity():
    # analytic: thick shell, little air: dT/dt = q A / (m c); EN 1993-1-2 c at 20 C is 439.8
    tank = vessel(temperature=293.15, pressure=1.05e5)
    burn = fire(curve="flux", flux=1000.0, absorbed=True, duration=60.0)
    case = case_of(tank, burn, convection_factor=0.0)
    result = run(case)
    area = case.floats[case.space_at("R1", at.S_HOT_AREA)]
    mass = case.floats[case.space_at("R1", at.S_HOT_MASS)]
    rise = result.hot_wall[np.searchsorted(result.time, 60.0), 0] - 293.15
    assert rise == pytest.approx(1000.0 * area * 60.0 / (mass * 440.2), rel=2e-3)


@pytest.mark.parametrize("given", [50.0, 2.0])
def test_after_the_fire_the_wall_cools_as_an_unexposed_face(given):
    # published (read): EN 1991-1-2 3.1(5), 4 W/m2/K where radiation counts apart; the 50 W/m2/K of
    # hot gases end with the fire. Analytic: dT/dt = -(e sigma (T^4 - T0^4) + h (T - T0)) A / (m c)
    tank = vessel(temperature=293.15)
    burn = fire(duration=180.0, convection=given, emissivity=0.8)
    case = case_of(tank, plug(bore=0.002), burn, convection_factor=0.0)
    result = run(case)
    area = case.floats[case.space_at("R1", at.S_HOT_AREA)]
    mass = case.floats[case.space_at("R1", at.S_HOT_MASS)]
    first = np.searchsorted(result.time, 180.0, side="right")
    last = min(np.searchsorted(result.time, 600.0), result.time.size - 1)
    ambient = case.floats[at.F_AMBIENT_T]
    wall, time = float(result.hot_wall[first, 0]), float(result.time[first])
    step = (float(result.time[last]) - time) / 4000
    for _ in range(4000):
        loss = 0.8 * 5.670374419e-8 * (wall**4 - ambient**4) + min(given, 4.0) * (wall - ambient)
        wall -= step * loss * area / (mass * heat_capacity(0, wall))
    assert float(result.time[last]) - time > 100.0
    assert float(result.hot_wall[last, 0]) == pytest.approx(wall, abs=1.0)


@pytest.mark.parametrize(
    ("coefficient", "expected"),
    [
        (0.0, {1.0: 0.46458, 2.0: 0.23281, 3.0: 0.12414}),
        (3e4, {1.0: 0.56062, 2.0: 0.31430, 3.0: 0.17620}),
    ],
    ids=["adiabatic", "isothermal"],
)
def test_choked_blow_down_follows_the_closed_form(coefficient, expected):
    # analytic: ideal gas k = 1.4, t+ = t A sqrt(k R T0) / V, choked throughout into near vacuum
    tank = vessel(pressure=1.5e5, temperature=293.15, wall_thickness=0.02)
    body = plug(
        bore=0.02,
        response="follows wall",
        alloy="Bi44.7Pb22.6In19.1Sn8.3Cd5.3",
        discharge_coefficient=1.0,
    )
    burn = fire(curve="temperature", temperature=293.15)
    case = case_of(
        tank,
        body,
        burn,
        site=Site(ambient_temperature=293.15, ambient_pressure=2000.0),
        convection_factor=coefficient,
    )
    opened = case.changed({case.plug_at("FP1", at.P_LIQUIDUS): 293.0})
    result = run(opened)
    volume = case.floats[case.space_at("R1", at.S_VOLUME)]
    unit = volume / (0.25 * math.pi * 0.02**2 * math.sqrt(1.4 * 287.05 * 293.15))
    drawn = curves(result)
    pressure = drawn.parts["R1"].pressure_pa / 1.5e5
    for scaled, ratio in expected.items():
        found = np.exp(np.interp(scaled * unit, drawn.time_s, np.log(pressure)))
        assert found == pytest.approx(ratio, rel=4e-3)


def test_answers_converge_when_the_tolerance_tightens():
    # convergence
    case = case_of(vessel(), plug(), relief(), fire(share=0.25))
    exact = run(case.with_tolerance(1e-9))
    errors = []
    for tolerance in (1e-4, 1e-6, 1e-8):
        result = run(case.with_tolerance(tolerance))
        errors.append(abs(result.peak_use[0] / exact.peak_use[0] - 1.0))
    assert errors[1] < 1e-3
    assert errors[2] < 1e-4
    assert run(case).peak_use[0] == pytest.approx(exact.peak_use[0], rel=1e-3)


def test_a_hotter_fire_a_thinner_wall_and_a_smaller_bore_are_never_better():
    # property: the peak strength use moves one way
    def peak(case):
        return run(case).peak_use[0]

    burn = fire(curve="temperature", temperature=1100.0)
    base = peak(case_of(vessel(), plug(), burn))
    assert peak(case_of(vessel(), plug(), replace(burn, temperature=1200.0))) > base
    assert peak(case_of(vessel(wall_thickness=0.007), plug(), burn)) > base
    assert peak(case_of(vessel(), plug(bore=0.008), burn)) > base
    assert peak(case_of(vessel(), plug(alloy="lead"), burn)) > base


def test_the_balance_of_one_vessel_closes():
    # property: 1e-6 of the mass, 1e-5 of the energy
    found = closure(run(case_of(vessel(), plug(), relief(), fire())))
    assert found.mass_rel < 1e-6
    assert found.energy_rel < 1e-5
    assert found.mass_out > 20.0
