"""Steam of condensate in a fire: it counts until the vessel's air gets out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from airrisk.firetest.bores import smallest_bore
from airrisk.firetest.case import build_case
from airrisk.firetest.outcome import classify
from airrisk.firetest.run import run
from airrisk.installation.model import Valve
from airrisk.physics import air
from airrisk.study.fire_cures import search_bores
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.fire_runs import STATED, FireStudy
from airrisk.study.slices import fire_slice
from airrisk.study.steam import (
    judge,
    neighbour_steam,
    steam_pressure,
    steam_sources,
    with_steam,
)
from tests.firetest.systems import fire, installation, line, plug, relief, vessel
from tests.study.one_fire import of_class, stated
from tests.study.test_fire_outcomes import DAY, FITTED

WATER = 0.02  # m3


def test_steam_is_the_saturation_pressure_while_water_is_left():
    """Published: 200 degC, 15.55 bar (steam tables, from memory), less that of the start."""
    part = vessel(condensate=WATER)
    added = float(steam_pressure(part, np.array([473.15]))[0])
    start = float(air.saturation_pressure_water(part.temperature))
    assert added == pytest.approx(15.55e5 - start, rel=2e-3)


def test_steam_counts_until_the_vent_and_not_after():
    part = vessel(condensate=WATER)
    time = np.array([0.0, 100.0, 200.0])
    pressure = np.full(3, 2.0e6)
    gas = np.full(3, 473.15)
    use = np.full(3, 0.4)
    wet, wet_use = with_steam(part, 101325.0, 150.0, time, pressure, gas, use)
    assert wet[0] == wet[1] > 3.4e6
    assert wet[2] == 2.0e6
    assert wet_use[:2] == pytest.approx(0.4 * (wet[:2] - 101325.0) / (2.0e6 - 101325.0))
    assert wet_use[2] == 0.4


def test_water_makes_an_unvented_vessel_rupture_sooner():
    dry = installation(vessel(), fire())
    wet = installation(vessel(condensate=WATER), fire())
    times = []
    for whole in (dry, wet):
        exposure = stated(whole)
        record = fire_record(whole, exposure, DAY, bores=False)
        assert record.outcome == "ruptures"
        assert record.events[-1].event == "rupture"
        assert record.curves is not None
        assert record.curves.time_s[-1] == pytest.approx(record.events[-1].time_s)
        assert max(record.curves.parts["R1"].strength_use) == pytest.approx(1.0, abs=0.02)
        times.append(record.rupture_nothing_opens_s or math.inf)
    assert times[1] < times[0] - 5.0


def test_no_water_changes_nothing_and_water_never_helps():
    for tank in ({}, {"condensate": WATER}):
        whole = installation(vessel(**tank), plug(**FITTED), fire())
        exposure = stated(whole)
        result = run(build_case(whole, exposure.fire, exposure.section, uncredited=()))
        dry, wet = classify(result), judge(whole, result)
        assert wet.peak_use >= dry.peak_use
        assert wet.safe <= dry.safe
        if not tank:
            assert wet == dry


def test_a_verdict_falls_when_the_steam_passes_the_limit():
    late = {**FITTED, "alloy": "tin", "bore": 0.03}
    whole = installation(vessel(condensate=WATER), plug(**late), fire())
    exposure = stated(whole)
    result = run(build_case(whole, exposure.fire, exposure.section, uncredited=()))
    result = replace(result, case=replace(result.case, limit=1.0))
    assert classify(result).outcome == "vents in time"
    peak = judge(whole, result).peak_use
    assert classify(result).peak_use < 0.95 * peak < 0.95
    strict = replace(result.case, limit=0.99 * peak)
    fallen = judge(whole, replace(result, case=strict))
    assert fallen.outcome == "passes the limit"
    assert fallen.reason.steam
    assert not fallen.safe


def test_the_highest_pressure_is_that_of_the_whole_vessel():
    """Property: what steam would do after the rupture counts for nothing."""
    whole = installation(vessel(condensate=WATER), fire())
    exposure = stated(whole)
    record = fire_record(whole, exposure, DAY, bores=False)
    shown = record.curves.parts["R1"].pressure_pa
    assert record.peak_pressure_pa == pytest.approx(max(shown), rel=0.02)
    assert record.rupture_state["pressure_pa"] == pytest.approx(record.peak_pressure_pa, rel=0.02)


def test_a_relief_valve_lifts_when_air_and_steam_together_reach_its_set_pressure():
    """Property: never at a pressure above the set one."""
    valve = relief(set_pressure=1.6e6, area=2e-4)
    times = {}
    for water in (0.0, WATER):
        whole = installation(vessel(condensate=water), valve, fire())
        exposure = stated(whole)
        record = fire_record(whole, exposure, DAY, bores=False)
        lift = next(e for e in record.events if e.event == "relief valve lifts")
        curve = record.curves.parts["R1"].pressure_pa
        at_lift = np.interp(lift.time_s, record.curves.time_s, curve)
        assert at_lift == pytest.approx(valve.set_pressure, rel=0.03)
        times[water] = lift.time_s
        assert [e.time_s for e in record.events] == sorted(e.time_s for e in record.events)
    assert times[WATER] < times[0.0] - 2.0


def test_the_rupture_is_found_between_the_steps_of_the_run():
    """Property: at the rupture the strength use is 1, and its time is on the curve."""
    whole = installation(vessel(condensate=WATER), fire())
    exposure = stated(whole)
    record = fire_record(whole, exposure, DAY, bores=False)
    burst = record.events[-1]
    assert burst.event == "rupture"
    assert burst.time_s in record.curves.time_s
    assert {event.time_s for event in record.events} <= set(record.curves.time_s)
    assert record.curves.parts["R1"].strength_use[-1] == pytest.approx(1.0, abs=1e-3)
    assert record.rupture_nothing_opens_s == pytest.approx(burst.time_s, rel=1e-6)
    assert len(record.curves.time_s) <= 2000


@pytest.mark.parametrize(("wall", "enough"), [(0.010, False), (0.020, True)])
def test_no_bore_is_printed_that_the_steam_would_reject(wall, enough):
    """Property: the search judges as the verdict does; dry air alone would pass in both."""
    late = plug(**{**FITTED, "alloy": "lead"})
    whole = installation(
        vessel(condensate=WATER, wall_thickness=wall), late, fire(plugs_in_fire=())
    )
    exposure = stated(whole)
    case = build_case(whole, exposure.fire, exposure.section, uncredited=())
    dry = smallest_bore(case, "FP1", extras=False).exact_m
    assert dry is not None
    study = FireStudy(fire_slice(whole, exposure, DAY))
    bore = search_bores(study, STATED, extras=False)["FP1"].exact_m
    assert (bore is not None) == enough
    if bore is not None:
        assert bore > dry
        fitted = replace(whole, plugs=(replace(late, bore=bore),))
        case = build_case(fitted, exposure.fire, exposure.section, uncredited=())
        assert judge(fitted, run(case)).outcome == "vents in time"


def test_water_in_a_line_that_is_shut_in_by_itself_makes_steam_too():
    """Property: the line stands for itself, so that its water counts like that of a vessel."""
    times = []
    for water in (0.0, 0.05):
        pipe = line("L1", "closed", "closed", inside_diameter=0.2, pressure=11e5, condensate=water)
        whole = installation(pipe, fire(("L1",)))
        exposure = stated(whole)
        record = fire_record(whole, exposure, DAY, bores=False)
        assert record.outcome == "ruptures"
        times.append(record.events[-1].time_s)
    assert times[1] < times[0] - 20.0
    assert record.reason.steam


def joined(water: float, *more: object, in_line: float = 0.0):
    """A weak dry vessel and a strong wet one, joined by a line in the fire."""
    return installation(
        vessel("R1"),
        vessel("R2", wall_thickness=0.02, condensate=water),
        line("L1", "R1", "R2", condensate=in_line),
        *more,
        fire(("R1", "R2", "L1")),
    )


def first_rupture_of(whole) -> tuple[str, float]:
    exposure = stated(whole)
    record = fire_record(whole, exposure, DAY, bores=False)
    burst = next(event for event in record.events if event.event == "rupture")
    return burst.part, burst.time_s


def test_steam_of_one_vessel_bursts_the_weaker_one_beside_it():
    """Property: the air of both is joined, so that the pressure rises in both."""
    dry, wet = first_rupture_of(joined(0.0)), first_rupture_of(joined(0.1))
    assert dry[0] == wet[0] == "R1"
    assert wet[1] < dry[1] - 5.0


def test_steam_does_not_pass_a_closed_or_a_turned_valve():
    shut = Valve(id="V1", on="L1", end="to")
    check = Valve(id="V1", on="L1", end="to", kind="non-return")  # from R1 to R2
    for valve in (shut, check):
        whole = joined(0.1, valve)
        exposure = next(one for one in of_class(whole, "stated") if "R1" in one.section.vessels)
        result = run(build_case(whole, exposure.fire, exposure.section))
        assert steam_sources(whole, result).get("R1", ()) == ()


def test_water_of_a_line_in_the_fire_makes_steam_in_its_vessel():
    dry, wet = first_rupture_of(joined(0.0)), first_rupture_of(joined(0.0, in_line=0.01))
    assert wet[1] < dry[1] - 1.0


def test_steam_fills_both_parts():
    """Arithmetic: 2 kg of water, all evaporated, ideal gas in the room of line and vessel."""
    source = line("L1", "R1", "closed", condensate=2e-3)
    target = vessel()
    room = 0.25 * math.pi * source.inside_diameter**2 * source.length - 2e-3 + target.volume
    added = neighbour_steam(source, (11e5, 273.16), target, np.array([700.0]))[0]
    by_hand = 2e-3 * 998.0 * 461.52 * 700.0 / room - 611.7
    assert added == pytest.approx(by_hand, rel=1e-3)


def test_a_wet_line_whose_steam_counts_in_a_dry_vessel_is_named():
    pipe = line("L1", "R1", "closed", condensate=2e-3)
    whole = installation(vessel(), pipe, fire(("R1", "L1")))
    exposure = stated(whole)
    assert fire_record(whole, exposure, DAY, bores=False).wet_parts == ("L1",)
