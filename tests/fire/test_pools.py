"""Condensate in a fire run: what warms it, where its steam goes, and what it does to a verdict."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from airrisk.fire.balance import closure
from airrisk.fire.batch import run_table
from airrisk.fire.bores import smallest_bore
from airrisk.fire.case import FireCase
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.fire.outcome import classify
from airrisk.fire.run import FireRun, run
from airrisk.installation.geometry import part_geometry, wetted_surface
from airrisk.installation.model import Installation, Valve
from airrisk.kernel import layout as at
from airrisk.physics import air
from airrisk.physics.water_kernel import saturation_pressure
from tests.fire.systems import fire, installation, line, plug, relief, run_brief, vessel
from tests.study.one_fire import of_class, stated

WATER = 0.02  # m3
TIN = {"alloy": "tin", "condition": "clean"}
STEAM = 461.526  # J/kg/K


def case_of(whole: Installation, **options: object) -> FireCase:
    exposure = stated(whole)
    assumed = CaseSettings(uncredited=(), **options)  # type: ignore[arg-type]
    return build_case(whole, exposure.fire, exposure.section, assumed)


def run_of(*parts: object) -> FireRun:
    return run(case_of(installation(*parts)))


def time_of(result: FireRun, event: str) -> float:
    return next(one.time for one in result.events if one.event == event)


def joined(water: float, *more: object, in_line: float = 0.0) -> Installation:
    """A weak dry vessel and a strong wet one, joined by a line in the fire."""
    return installation(
        vessel("R1"),
        vessel("R2", wall_thickness=0.02, condensate=water),
        line("L1", "R1", "R2", condensate=in_line),
        *more,
        fire(("R1", "R2", "L1")),
    )


BALANCED = {
    "shut in": (vessel(condensate=WATER), fire()),
    "a wide plug, boils dry": (vessel(condensate=0.01), plug(bore=0.03, **TIN), fire()),
    "a narrow plug": (vessel(condensate=0.1), plug(bore=0.012, **TIN), fire()),
    "a relief valve": (
        vessel(condensate=WATER, wall_thickness=0.02),
        relief(set_pressure=1.6e6, area=2e-4),
        fire(),
    ),
    "two vessels": (
        vessel("R1", wall_thickness=0.02),
        vessel("R2", wall_thickness=0.02, condensate=WATER),
        line("L1", "R1", "R2", condensate=2e-3),
        plug(on="R1", bore=0.03, **TIN),
        fire(("R1", "R2", "L1")),
    ),
}


@pytest.mark.parametrize("name", BALANCED)
def test_water_gas_and_energy_close(name):
    """Property: liquid, vapour and what left; gas as so many moles of air, and its energy."""
    result = run_of(*BALANCED[name])
    assert result.converged
    pools = np.array(list(result.pools.values()))
    held = (pools[:, :, 0] + pools[:, :, 2]).sum(axis=0)
    left = held[-1] + result.cumulated.vapour_out
    # vapour is carried as a share of the gas, whose flows between spaces are far larger
    assert left == pytest.approx(held[0], rel=1e-6 if len(result.case.spaces) == 1 else 3e-6)
    found = closure(result)
    assert found.mass_rel < 1e-6
    assert found.energy_rel < 1e-5
    # the steam and no more came in beside what was there
    boiled = (pools[:, 0, 0] - pools[:, -1, 0]).sum()
    assert found.mass_in == pytest.approx(28.96546 / 18.01527 * boiled)


def test_the_vapour_is_saturated_while_liquid_lasts():
    """Property: behind a warming pool the vapour lags by less than 3 % of the pressure."""
    result = run_of(vessel(condensate=WATER), fire())
    liquid, temperature, vapour = result.pools["R1"].T
    room = result.case.floats[result.case.space_at("R1", at.S_VOLUME)]
    partial = vapour * STEAM * result.gas_temperature[:, 0] / room
    saturated = np.array([saturation_pressure(one) for one in temperature])
    assert liquid[-1] > 1.0
    # gas that warms faster than the water carries its vapour along
    assert np.all(partial <= 1.005 * saturated)
    assert partial[-1] == pytest.approx(saturated[-1], rel=0.03)


def test_the_pool_takes_up_the_whole_flux_over_its_surface():
    """Arithmetic: q A t warms and evaporates, long before it boils; the metal adds a little."""
    flux = 2e4
    part = vessel(condensate=0.1)
    burning = fire(curve="flux", flux=flux, absorbed=True, convection=0.0, duration=60.0)
    result = run_of(part, burning)
    row = int(np.searchsorted(result.time, 60.0))
    pool = result.pools["R1"]
    taken = 0.1 * 998.0 * 4190.0 * (pool[row, 1] - pool[0, 1])
    taken += 2.42e6 * (pool[0, 0] - pool[row, 0])  # steam tables at 35 degC, from memory
    given = flux * wetted_surface(part) * result.time[row]
    assert 0.99 * given < taken < 1.1 * given


def test_water_of_which_a_part_of_the_shell_is_in_the_fire_is_taken_to_be_there():
    """Property: the fire heats the water as far as it heats as much of the shell."""
    part = vessel(condensate=WATER)
    area = part_geometry(part).outer_surface
    wet = wetted_surface(part)
    for share in (1.0, 0.25, 0.5 * wet / area):
        case = case_of(installation(part, fire(exposed_share=(("R1", share),))))
        row = int(case.integers[at.I_F_POOL])
        assert case.floats[row + at.W_WETTED] == pytest.approx(min(wet, share * area))


def test_steam_from_a_vent_flows_as_an_ideal_gas():
    """Arithmetic: choked air of as many moles carries off what a steady flux boils.

    Published: saturated steam flows faster, lb/s = psia x in2 / 70 (Napier, from memory), so that
    it holds at least 0.75 of this pressure.
    """
    flux, bore = 4e4, 0.016
    part = vessel(condensate=0.5, wall_thickness=0.03)
    burning = fire(curve="flux", flux=flux, absorbed=True, convection=0.0, duration=5400.0)
    result = run_of(part, plug(bore=bore, response="follows wall", **TIN), burning)
    row = int(np.searchsorted(result.time, 0.9 * result.time[-1]))
    liquid, boiling, _ = result.pools["R1"][row]
    steam = -(result.pools["R1"][row + 1, 0] - result.pools["R1"][row - 1, 0]) / (
        result.time[row + 1] - result.time[row - 1]
    )
    assert liquid > 50.0
    gas = result.gas_temperature[row, 0]
    room = result.case.floats[result.case.space_at("R1", at.S_VOLUME)]
    pressure = float(air.pressure(result.mass[row, 0] / room, gas))
    area = 0.6 * 0.25 * math.pi * bore**2
    choked = math.sqrt(1.35) * (2.0 / 2.35) ** (2.35 / 0.7)
    ideal = 28.96546 / 18.01527 * steam * math.sqrt(287.05 * gas) / (choked * area)
    assert pressure == pytest.approx(ideal, rel=0.03)
    assert pressure == pytest.approx(saturation_pressure(boiling), rel=0.05)
    per_pascal = 0.45359237 / (70.0 * 6894.757 * 0.0254**2)
    superheat = math.sqrt(gas / boiling)
    assert 0.7 < steam * superheat / (per_pascal * area * pressure) < 1.0


def test_a_vessel_boils_dry_and_empties():
    result = run_of(vessel(condensate=0.01), plug(bore=0.03, **TIN), fire())
    assert result.status == "ended"
    assert abs(result.pools["R1"][-1, 0]) < 0.003 * result.pools["R1"][0, 0]
    assert result.end_time < 3600.0
    assert result.end_use.max() < 0.2


def test_water_makes_a_vessel_rupture_sooner():
    dry, wet = (run_of(vessel(condensate=water), fire()) for water in (0.0, WATER))
    assert time_of(wet, "rupture") < time_of(dry, "rupture") - 3.0


def test_water_in_a_line_that_is_shut_in_by_itself_counts_too():
    times = []
    for water in (0.0, 0.05):
        pipe = line("L1", "closed", "closed", inside_diameter=0.2, pressure=11e5, condensate=water)
        result = run_of(pipe, fire(("L1",)))
        assert classify(result).outcome == "ruptures"
        times.append(time_of(result, "rupture"))
    assert times[1] < times[0] - 3.0


def test_a_line_with_water_is_a_space_of_its_own_however_small():
    pipe = line("L1", "R1", "R2", length=0.5, condensate=1e-4)
    case = case_of(installation(vessel("R1"), vessel("R2"), pipe, fire(("R1", "R2"))))
    assert case.pools == ("L1",)


def test_steam_of_one_vessel_loads_the_weaker_one_beside_it():
    dry, wet = (run(case_of(joined(water))) for water in (0.0, 0.05))
    assert dry.rupture.part == wet.rupture.part == "R1"
    assert wet.rupture.time < dry.rupture.time - 1.0


def test_steam_does_not_pass_a_closed_or_a_turned_valve():
    shut = Valve(id="V1", on="L1", end="to")
    check = Valve(id="V1", on="L1", end="to", kind="non-return")  # from R1 to R2
    for valve in (shut, check):
        uses = []
        for water in (0.0, 0.1):
            whole = joined(water, valve)
            exposure = next(one for one in of_class(whole, "stated") if "R1" in one.section.vessels)
            result = run(build_case(whole, exposure.fire, exposure.section))
            uses.append(result.rupture.time)
        # into the dry strong vessel the air of the weak one flows away a little longer
        assert uses[1] == pytest.approx(uses[0], rel=0.01)


def test_a_relief_valve_lifts_sooner_with_steam_and_lets_it_out():
    valve = relief(set_pressure=1.6e6, area=2e-4)
    strong = {"wall_thickness": 0.02}
    dry, wet = (run_of(vessel(condensate=w, **strong), valve, fire()) for w in (0.0, WATER))
    assert time_of(wet, "relief valve lifts") < time_of(dry, "relief valve lifts") - 2.0
    assert wet.cumulated.vapour_out > 0.5
    before_loss = wet.time < time_of(wet, "relief valve lost to heat")
    assert wet.mass[before_loss, 0].max() < 1.5 * wet.mass[0, 0]


@cache
def end_of(water: float, bore: float) -> tuple[str, float]:
    verdict = classify(run_of(vessel(condensate=water), plug(bore=bore, **TIN), fire()))
    return verdict.outcome, verdict.peak_use


def test_a_vented_vessel_half_full_of_water_does_not_vent_in_time():
    """Property: dry it empties in minutes; the water boils for the rest of the hour."""
    assert end_of(0.0, 0.012)[0] == "vents in time"
    assert end_of(0.5, 0.02)[0] == "ruptures"


def test_more_water_is_never_safer_and_a_larger_bore_never_worse():
    amounts, sizes = (0.0, 0.002, 0.01, 0.05, 0.2), (0.012, 0.02, 0.03, 0.04)
    safe = np.array([[end_of(w, bore)[0] == "vents in time" for bore in sizes] for w in amounts])
    assert np.all(np.diff(safe.astype(int), axis=0) <= 0)
    assert np.all(np.diff(safe.astype(int), axis=1) >= 0)
    assert safe.any()
    assert not safe.all()


def test_the_smallest_bore_carries_the_steam_off_too():
    """Property: the printed bore passes, 3 % less does not; without water it is smaller."""

    def fitted(water: float, bore: float) -> Installation:
        return installation(vessel(condensate=water), plug(bore=bore, **TIN), fire())

    wet, dry = (smallest_bore(case_of(fitted(w, 0.02)), "FP1", extras=False) for w in (0.03, 0.0))
    assert wet.exact_m > 1.2 * dry.exact_m
    ends = [
        classify(run(case_of(fitted(0.03, share * wet.exact_m)))).outcome for share in (1.001, 0.97)
    ]
    assert ends[0] == "vents in time" != ends[1]


@pytest.mark.parametrize("name", BALANCED)
def test_a_run_of_a_batch_ends_as_a_single_one(name):
    case = case_of(installation(*BALANCED[name]))
    single, brief = run(case), run_brief(case)
    assert brief.peak_use[0] == pytest.approx(
        max(single.peak_use[k] for k in case.vessel_indices), rel=1e-4
    )
    first = single.first_vent
    opened = math.nan if first is None else first
    assert brief.first_vent[0] == pytest.approx(opened, rel=1e-4, nan_ok=True)


def test_water_can_vary_in_a_batch():
    """Property: another amount of water in the row is another case with this water."""
    case = case_of(installation(*BALANCED["a wide plug, boils dry"]))
    places = np.array([int(case.integers[at.I_F_POOL]) + at.W_MASS])
    table = case.floats[places] * np.array([[1.0], [0.5]])
    found = run_table(case, places, table)
    alone = run_brief(case.changed({int(places[0]): float(table[1, 0])}))
    assert found.peak_use[1] == alone.peak_use[0] != found.peak_use[0]


def test_the_plain_functions_give_the_same_run():
    case = case_of(installation(*BALANCED["two vessels"]))
    short = case.changed({at.F_FIRE_END: 150.0})
    one, other = run(short), run(short, interpreted=True)
    assert one.peak_use == pytest.approx(other.peak_use, rel=1e-7)
    assert one.steps == other.steps


@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
def test_the_wet_surface_goes_from_nothing_to_the_whole(orientation):
    """Analytic: empty, half and full."""
    part = vessel(orientation=orientation)
    shape = part_geometry(part)
    share = [
        wetted_surface(replace(part, condensate=water)) / shape.outer_surface
        for water in (1e-6, 0.5 * shape.volume, 0.999 * shape.volume)
    ]
    assert share[0] < 0.01 if orientation == "vertical" else share[0] < 0.02
    assert share[1] == pytest.approx(0.5, abs=0.03)
    assert 0.8 < share[2] <= 1.0


def test_a_head_full_of_water_is_wet_all_over():
    shape = part_geometry(vessel())
    full = wetted_surface(vessel(condensate=shape.head_volume))
    assert full == pytest.approx(shape.head_outer_surface)
