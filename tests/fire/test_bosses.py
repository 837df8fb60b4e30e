"""The boss that a plug is screwed into: a metal of its own between wall and plug."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from airrisk.fire.case import FireCase
from airrisk.fire.changes import no_flames_on
from airrisk.fire.plug_body import dimensions, plug_body
from airrisk.fire.run import FireRun, run
from airrisk.installation.model import Site
from airrisk.kernel import layout as at
from airrisk.physics.air import internal_energy
from airrisk.physics.metal_kernel import heat_capacity
from tests.fire.systems import case_of, fire, plug, vessel

STRONG = {"wall_thickness": 0.03, "pressure": 3e5}
MILD = Site(ambient_temperature=308.15)


def opens(result: FireRun) -> float:
    return next(event.time for event in result.events if event.event == "plug opens")


def opening(boss: float, *, shielded: bool = False, **changes: object) -> float:
    """Seconds until a plug with this boss opens; its body weighs 70 g."""
    other = plug(boss_mass=boss, body_mass=0.07, **changes)
    case = case_of(vessel(**STRONG), other, fire())
    return opens(run(hidden(case) if shielded else case))


def hidden(case: FireCase) -> FireCase:
    """No flame touches boss and head."""
    return case.changed(no_flames_on(case, ["FP1"]))


def test_more_shielded_boss_is_never_sooner() -> None:
    # property
    times = [opening(boss, shielded=True) for boss in (1e-4, 0.02, 0.1, 0.3, 0.6, 2.0)]
    assert times == sorted(times)
    assert times[-1] > times[0] + 100.0


def test_in_the_flames_a_usual_boss_hardly_counts_and_a_heavy_one_delays() -> None:
    # property: as a fin it warms the plug, as a mass it holds the plug back
    none, usual, heavy = (
        opens(run(case_of(vessel(), plug(boss_mass=boss, body_mass=0.07), fire())))
        for boss in (0.0, 0.065, 1.0)
    )
    assert usual == pytest.approx(none, rel=0.05)
    assert heavy > none + 30.0


def test_a_heavy_boss_without_flames_opens_after_the_rupture() -> None:
    def shut_in(boss: float) -> FireRun:
        return run(hidden(case_of(vessel(), plug(boss_mass=boss, body_mass=0.07), fire())))

    light, heavy = shut_in(0.05), shut_in(1.5)
    assert light.rupture is None
    assert opens(light) < 150.0
    assert heavy.rupture is not None
    assert not heavy.opened


def test_a_plug_that_follows_the_wall_has_no_boss() -> None:
    times = [opening(boss, response="follows wall") for boss in (0.0, 0.5)]
    assert times[0] == times[1]


def test_the_heat_of_an_absorbed_flux_is_all_found_again() -> None:
    """Balance: what enters wall, boss and head is in wall, boss, plug and air."""
    flux, end = 2e4, 60.0
    case = case_of(
        vessel(),
        plug(boss_mass=0.4, body_mass=0.07),
        fire(curve="flux", flux=flux, absorbed=True, duration=600.0),
        site=MILD,
    )
    case = case.changed({at.F_RTOL: 1e-8})
    result = run(case)
    row = int(np.searchsorted(result.time, end))
    time, state = float(result.time[row]), result.states[row]
    assert not result.opened or opens(result) > time
    space, body = case.space_at("R1", 0), case.bodies["FP1"]
    area = float(case.floats[space + at.S_HOT_AREA])
    mass = float(case.floats[space + at.S_HOT_MASS])
    entered = flux * time * (area + body.boss_area + body.flame_area)
    wall = mass * quad(lambda T: heat_capacity(0, T), 308.15, state[2])[0]
    boss = body.boss_capacity * (state[5] - 308.15)
    rho = state[0] / float(case.floats[space + at.S_VOLUME])
    air = state[0] * float(internal_energy(rho, state[1]) - internal_energy(rho, 308.15))
    assert wall + boss + float(state[4]) + air == pytest.approx(entered, rel=2e-5)
    # the boss is warmer than at the start and colder than the wall
    assert 320.0 < state[5] < state[2]


def test_a_pipe_on_the_outlet_hides_the_head() -> None:
    piped = plug(outlet="piped", outlet_length=2.0, outlet_diameter=0.02)
    assert plug_body(piped, "clean").flame_area == 0.0
    assert plug_body(plug(), "clean").flame_area > 0.0
    typed = plug(outlet="piped", outlet_length=2.0, outlet_diameter=0.02, exposed_area=1e-3)
    assert plug_body(typed, "clean").flame_area == 1e-3


@pytest.mark.parametrize(("thread", "mass"), [(0.021, 0.055), (0.033, 0.166), (0.060, 0.585)])
def test_the_usual_boss_weighs_as_half_a_coupling(thread: float, mass: float) -> None:
    # half couplings by their outer diameter and length, from memory; a bore is half a thread
    found = dimensions(plug(), {"bore": np.array([0.5 * thread])})["boss_mass"][0]
    assert found == pytest.approx(mass, rel=0.35)
