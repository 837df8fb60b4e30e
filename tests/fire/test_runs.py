"""What holds for every run: order of events, curves, balances, limits of effort, both paths."""

from __future__ import annotations

import itertools
from functools import cache

import numpy as np
import pytest

from airrisk.fire.balance import closure
from airrisk.fire.curves import curves
from airrisk.fire.outcome import classify
from airrisk.fire.run import FireRun, run, run_many
from airrisk.fire.stopping import Cancelled
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, plug, relief, vessel
from tests.independent.random_systems import random_system
from tests.independent.same_case import cases_of, installation_of

SEEDS = range(40)


@cache
def random_runs() -> tuple[tuple[str, FireRun], ...]:
    """Every fire of some random systems, run once."""
    found = []
    for seed in SEEDS:
        made = installation_of(random_system(seed))
        for burning in made.fires:
            for case in cases_of(made, burning):
                found.append((f"system {seed}, {burning.id}, {case.section}", run(case)))
    return tuple(found)


def test_mass_and_energy_close_in_random_systems():
    # property: 1e-6 of the mass, 1e-5 of the energy at the start; where condensate boils in a
    # network, 5e-6 of the mass
    open_ = [
        f"{name}: mass {found.mass_rel:.1e}, energy {found.energy_rel:.1e}"
        for name, result in random_runs()
        if result.converged
        for found in [closure(result)]
        if not (found.holds or (result.case.pools and found.mass_rel < 5e-6))
        or found.energy_rel > 1e-5
    ]
    assert open_ == []


def test_events_come_in_the_order_of_time():
    # property
    for name, result in random_runs():
        times = [event.time for event in result.events]
        assert times == sorted(times), name
        assert all(0.0 <= time <= result.end_time for time in times), name


def test_curves_are_short_rise_in_time_and_contain_every_event():
    # property
    for name, result in random_runs():
        drawn = curves(result)
        assert drawn.time_s.size <= 2000, name
        assert drawn.time_s.size >= 2 or result.end_time == 0.0, name
        assert np.all(np.diff(drawn.time_s) > 0.0), name
        if len(result.events) < 500:
            missing = {event.time for event in result.events} - set(drawn.time_s.tolist())
            assert not missing, name
        for part in drawn.parts.values():
            assert all(np.all(np.isfinite(values)) for values in vars(part).values()), name


def test_thinned_curves_still_contain_the_events():
    # property
    result = run(case_of(vessel(), plug(), relief(), fire(share=0.25)).with_tolerance(1e-9))
    assert result.time.size > 60
    drawn = curves(result, most=50)
    assert drawn.time_s.size <= 50
    assert {event.time for event in result.events} <= set(drawn.time_s.tolist())


def test_nothing_happens_twice_that_can_happen_once():
    # property
    once = {"plug opens", "disc bursts", "rupture", "line ruptures", "empty", "fire ends"}
    for name, result in random_runs():
        seen = [(e.event, e.part) for e in result.events if e.event in once]
        assert len(seen) == len(set(seen)), name


def test_peaks_are_at_least_what_the_stored_states_show():
    # property: the peak is sought between the time steps as well
    for name, result in random_runs():
        if not result.converged:
            continue
        drawn = curves(result, most=10**9)
        for i, space in enumerate(result.case.spaces):
            if space.part is None:
                continue
            stored = drawn.parts[space.id].pressure_pa.max()
            assert result.peak_pressure[i] >= stored * (1.0 - 1e-6), name


def test_a_stated_start_is_the_first_state():
    # property
    result = run(case_of(vessel(), plug(), fire()))
    part = curves(result).parts["R1"]
    assert part.pressure_pa[0] == pytest.approx(11.0e5, rel=1e-9)
    assert part.gas_temperature_k[0] == pytest.approx(308.15, rel=1e-12)


def test_inner_radiation_warms_the_cold_zone_and_spares_the_hot_one():
    # property, both settings
    runs = [
        run(case_of(vessel(), fire(share=0.25), inner_radiation=setting))
        for setting in (True, False)
    ]
    drawn = [curves(one).parts["R1"] for one in runs]
    times = [curves(one).time_s for one in runs]
    at_minutes = 120.0
    cold = [
        np.interp(at_minutes, t, p.cold_wall_temperature_k)
        for t, p in zip(times, drawn, strict=True)
    ]
    hot = [
        np.interp(at_minutes, t, p.hot_wall_temperature_k)
        for t, p in zip(times, drawn, strict=True)
    ]
    assert cold[0] > cold[1]
    assert hot[0] < hot[1]


def test_inner_radiation_changes_nothing_where_there_is_one_zone():
    # limit
    runs = [
        run(case_of(vessel(), plug(), fire(share=1.0), inner_radiation=setting))
        for setting in (True, False)
    ]
    assert runs[0].peak_use.tolist() == runs[1].peak_use.tolist()
    assert runs[0].events == runs[1].events


def test_the_run_goes_on_after_the_fire_until_all_falls():
    # property: a thick wall heats the air on after a short fire
    result = run(case_of(vessel(wall_thickness=0.02), fire(duration=300.0)))
    (end,) = [event.time for event in result.events if event.event == "fire ends"]
    assert end == pytest.approx(300.0)
    drawn = curves(result)
    gas = drawn.parts["R1"].gas_temperature_k
    assert gas.max() > np.interp(300.0, drawn.time_s, gas)
    assert gas[-1] < gas.max()
    assert result.end_time <= 300.0 + 1800.0


# effort


def test_a_spent_budget_is_not_converged_and_never_safe():
    case = case_of(vessel(), plug(), fire())
    stopped = run(case.changed(integers={at.I_BUDGET: 40}))
    assert not stopped.converged
    assert stopped.status == "evaluation budget spent"
    verdict = classify(stopped)
    assert (verdict.outcome, verdict.safe) == ("not converged", False)


def test_a_caller_can_stop_a_run():
    case = case_of(vessel(), plug(), fire())
    with pytest.raises(Cancelled):
        run(case, should_stop=lambda: True)
    with pytest.raises(Cancelled):
        run_many([case] * 4, should_stop=lambda: True)


def test_a_caller_is_asked_again_during_a_long_run():
    asked = itertools.count()
    case = case_of(vessel(), plug(), relief(), fire(share=0.25)).with_tolerance(1e-11)
    with pytest.raises(Cancelled):
        run(case, should_stop=lambda: next(asked) >= 2)


def test_runs_on_threads_keep_their_order_and_their_numbers():
    # property
    cases = [case_of(vessel(), plug(bore=0.001 * bore), fire()) for bore in (4, 8, 12, 16)]
    together = run_many(cases)
    assert [one.case for one in together] == cases
    for one, case in zip(together, cases, strict=True):
        alone = run(case)
        assert one.peak_use.tolist() == alone.peak_use.tolist()
        assert one.events == alone.events


# the two paths


def test_interpreted_and_compiled_runs_give_the_same_numbers(kernel):
    """Property: one text, two ways to run it; to 1e-9 (the compiler may fuse operations)."""
    if not kernel:
        pytest.skip("no compiled code here")
    case = case_of(vessel(), plug(bore=0.02), relief(), fire(share=0.5, duration=600.0))
    case = case.with_tolerance(1e-4)
    compiled, plain = run(case), run(case, interpreted=True)
    assert plain.steps == compiled.steps
    assert plain.peak_use == pytest.approx(compiled.peak_use, rel=1e-9)
    assert plain.peak_pressure == pytest.approx(compiled.peak_pressure, rel=1e-9)
    assert [e.event for e in plain.events] == [e.event for e in compiled.events]
    assert [e.time for e in plain.events] == pytest.approx(
        [e.time for e in compiled.events], rel=1e-9
    )
    assert plain.states[-1] == pytest.approx(compiled.states[-1], rel=1e-8, abs=1e-8)


def test_the_same_case_gives_the_same_bits_twice():
    # property
    case = case_of(vessel(), plug(), relief(), fire(share=0.25))
    first, second = run(case), run(case)
    assert first.states.tobytes() == second.states.tobytes()
    assert run(case, store=False).peak_use.tolist() == first.peak_use.tolist()
