"""Several gas spaces, lines, non-return valves, compressors, ruptured lines."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.balance import closure
from airrisk.fire.curves import curves
from airrisk.fire.outcome import classify
from airrisk.fire.run import run, run_many
from airrisk.installation.model import BurstingDisc, Compressor, Valve
from tests.fire.systems import case_of, fire, line, plug, random_case, relief, vessel

TWO = (vessel("R1", volume=0.6), vessel("R2"), line("L1", "R1", "R2"))


def test_a_plug_empties_the_neighbour_through_the_line():
    case = case_of(*TWO, plug(bore=0.02), fire(("R1", "R2", "L1")))
    result = run(case)
    assert {space.id for space in case.spaces} == {"R1", "R2", "L1"}
    assert classify(result).outcome == "vents in time"
    assert np.all(np.isfinite(result.empty_time[list(case.vessel_indices)]))


def test_a_non_return_valve_keeps_the_neighbour_from_venting():
    # R2 stands behind a valve that opens towards it only: its air cannot reach the plug
    valve = Valve(id="NV1", on="L1", end="to", kind="non-return")
    result = run(case_of(*TWO, valve, plug(bore=0.02), fire(("R1", "R2", "L1"))))
    # shut in as it is, R2 passes its limit
    verdict = classify(result)
    assert (verdict.outcome, verdict.controlling_part) == ("ruptures", "R2")
    assert (verdict.reason.opened, verdict.reason.emptying) == (("FP1",), ())
    turned = replace(valve, reverse=True)
    result = run(case_of(*TWO, turned, plug(bore=0.02), fire(("R1", "R2", "L1"))))
    assert classify(result).outcome == "vents in time"


def test_spaces_joined_by_a_line_stay_at_one_pressure_while_heated():
    case = case_of(*TWO, fire(("R1",), curve="standard", duration=400.0))
    drawn = curves(run(case))
    one, two = (drawn.parts[name].pressure_pa for name in ("R1", "R2"))
    assert np.max(np.abs(one / two - 1.0)) < 1e-3
    assert drawn.parts["R1"].gas_temperature_k[-1] > drawn.parts["R2"].gas_temperature_k[-1] + 50


def test_a_line_that_ruptures_lets_the_section_go_on():
    thin = line("L1", "R1", "R2", wall_thickness=0.0002)
    result = run(case_of(TWO[0], TWO[1], thin, fire(("L1",), share=0.5)))
    kinds = [event.event for event in result.events]
    assert kinds[0] == "line ruptures"
    assert kinds.count("empty") == 2
    # but what it lets out does not count
    verdict = classify(result)
    assert (verdict.outcome, verdict.controlling_part) == ("ruptures", "L1")


def test_a_running_compressor_refills_an_opened_vessel_between_its_pressures():
    machine = Compressor(
        id="C1", delivery=0.1, discharge_pressure=11.0e5, discharge_temperature=400.0
    )
    feed = line("L1", "C1", "R1", length=2.0)
    tank = vessel(pressure=10.5e5)
    case = case_of(tank, feed, machine, plug(bore=0.012), fire(duration=1200.0))
    result = run(case)
    stops = replace(machine, in_fire="stops")
    stopped = run(case_of(tank, feed, stops, plug(bore=0.012), fire(duration=1200.0)))
    assert classify(stopped).outcome == "vents in time"
    # kept above the atmosphere by the feed, the hot shell gives way though the plug is open
    assert result.cumulated.mass_in > 10.0
    assert classify(result).outcome == "ruptures"
    assert curves(result).parts["R1"].pressure_pa[-1] > 1.5e5
    assert math.isnan(result.empty_time[0])


def test_a_piped_outlet_lets_out_less_than_an_open_one():
    # a pipe hides the head from the flames; here it is hidden without one too
    free = run(case_of(vessel(), plug(exposed_area=1e-9), fire()))
    narrow = plug(outlet="piped", outlet_length=10.0, outlet_diameter=0.010)
    wide = plug(outlet="piped", outlet_length=1.0, outlet_diameter=0.1)
    slow = run(case_of(vessel(), narrow, fire()))
    same = run(case_of(vessel(), wide, fire()))
    assert slow.empty_time[0] > 1.1 * free.empty_time[0] or math.isnan(slow.empty_time[0])
    assert same.empty_time[0] == pytest.approx(free.empty_time[0], rel=2e-3)


def test_relief_valve_lifts_at_its_set_pressure_and_reseats_below():
    drawn = run(case_of(vessel(), plug(), relief(), fire()))
    times = {event.event: event.time for event in drawn.events}
    shown = curves(drawn)
    at = {
        kind: np.interp(times[kind], shown.time_s, shown.parts["R1"].pressure_pa)
        for kind in ("relief valve lifts", "relief valve reseats")
    }
    assert at["relief valve lifts"] == pytest.approx(12.0e5, rel=1e-5)
    assert at["relief valve reseats"] - 101325.0 == pytest.approx(
        0.9 * (12.0e5 - 101325.0), rel=1e-4
    )


def test_a_bursting_disc_opens_and_stays_open():
    disc = BurstingDisc(
        id="BD1", on="R1", burst_pressure=13.0e5, area=3e-4, discharge_coefficient=0.62
    )
    result = run(case_of(vessel(), disc, fire()))
    assert result.events[0].event == "disc bursts"
    assert classify(result).kept_by == "pressure"
    assert classify(result).outcome == "vents in time"


def test_a_corroded_plug_is_not_credited_unless_asked():
    old = plug(condition="corroded")
    assert run(case_of(vessel(), old, fire())).first_vent is None
    assert run(case_of(vessel(), old, fire(), credit="all")).first_vent is not None
    assert run(case_of(vessel(), plug(), fire(), credit="none")).first_vent is None


def test_balances_close_and_nothing_hangs_in_random_systems():
    # property: mass 1e-6, energy 1e-5, a verdict for each
    rng = np.random.default_rng(20261101)
    cases = [random_case(rng) for _ in range(40)]
    for case, result in zip(cases, run_many(cases), strict=True):
        assert result.converged, (case, result.status)
        found = closure(result)
        assert found.mass_rel < 1e-6
        assert found.energy_rel < 1e-5
        verdict = classify(result)
        assert math.isfinite(verdict.peak_use)
        assert not (verdict.safe and verdict.peak_use > verdict.limit)


def test_a_compressor_that_would_cycle_on_holds_its_pressure_at_cut_out():
    # property: never below what it would reach by cycling, and no endless starts and stops
    machine = Compressor(
        id="C1", delivery=0.02, discharge_pressure=11.0e5, discharge_temperature=400.0
    )
    feed = line("LC", "C1", "R1", inside_diameter=0.04, length=2.0)
    flames = fire(duration=300.0, curve="standard")
    result = run(case_of(vessel(volume=0.02), feed, machine, plug(bore=0.003), flames))
    kinds = [event.event for event in result.events]
    assert kinds.count("compressor starts") <= 10
    assert kinds.count("compressor holds its pressure") == 1
    held = curves(result).parts["R1"].pressure_pa[-1]
    assert 11.0e5 <= held < 11.2e5
    assert result.converged
    assert closure(result).holds
