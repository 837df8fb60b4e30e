"""Pools that stand somewhere: what they do to parts by their place, and how far they must stay."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.model import Choices, FireSource, Installation, People, Vessel
from airrisk.physics import pool_fires
from airrisk.physics.flame_view import panel_factor
from airrisk.study.assessment import assess
from airrisk.study.exposures import exposures
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.keep_clear import keep_clear
from airrisk.study.outlines import outline
from airrisk.study.slices import Slicer
from airrisk.study.source_flames import WITHOUT_VOLUME
from airrisk.study.standing_fires import (
    LEAST_FLUX,
    SourceRecord,
    source_fire,
    source_record,
)
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.margins import surety_text
from airrisk.wording.units import Units
from tests.fire.systems import installation, line, plug, vessel

DAY = dt.date(2026, 11, 1)


def pool(**changes: object) -> FireSource:
    values: dict[str, object] = {
        "id": "Tank", "fuel": "diesel", "diameter": 2.0, "volume": 0.2, "at": (8.0, 0.0),
    }  # fmt: skip
    return FireSource(**{**values, **changes})  # type: ignore[arg-type]


def plant(source: FireSource, *more: object, **changes: object) -> Installation:
    tank = vessel(at=(3.0, 0.0), orientation="vertical", **changes)
    return replace(installation(tank, *more), fire_sources=(source,))


def record(source: FireSource, *more: object, **changes: object) -> SourceRecord:
    return source_record(plant(source, *more, **changes), source)


def test_the_highest_flux_is_that_of_the_panel_that_faces_the_flame():
    """Analytic: the facing line of an upright shell, at the height that gets most."""
    source = pool()
    seen = record(source).exposures["R1"]
    fuel = pool_fires.fuels()["diesel"]
    heat = pool_fires.heat_release(fuel, 2.0)
    height = pool_fires.flame_height(heat, 2.0)
    power = 2.0 * pool_fires.emissive_power(heat, 2.0, height, fuel.radiated)
    z = np.linspace(0.3, 0.3 + 2.0 / (0.25 * math.pi * 1.1**2), 200)
    along = panel_factor(5.0 - 0.558, z, 0.0, 0.0, 1.0, height) * power
    assert seen.incident_w_m2 == pytest.approx(float(along.max()), rel=0.01)
    # some of the flame is in view over arccos((r - R)/d)/pi of the girth, and from both ends
    shell = math.acos((0.558 - 1.0) / 5.0) / math.pi
    ends = 0.558 / (0.558 + outline(plant(source).vessels[0])[1])
    assert seen.facing_share == pytest.approx((1.0 - ends) * shell + ends, abs=0.09)
    assert (seen.flames_share, seen.flame_temperature_k) == (0.0, None)


def test_a_vessel_in_the_pool_stands_in_its_flame():
    around = record(pool(at=(3.0, 0.0))).exposures["R1"]
    assert around.flames_share == pytest.approx(1.0)
    assert around.flame_temperature_k == pool_fires.HOTTEST_LOW
    partly = record(pool(at=(4.2, 0.0))).exposures["R1"]
    # arccos((d2 + r2 - R2)/(2 d r))/pi of the girth, by hand
    share = math.acos((1.2**2 + 0.558**2 - 1.0) / (2.0 * 1.2 * 0.558)) / math.pi
    assert partly.flames_share == pytest.approx(share, abs=0.09)


@settings(max_examples=40, deadline=None)
@given(
    x=st.floats(-500.0, 500.0), y=st.floats(-500.0, 500.0), turn=st.floats(0.0, 6.28),
    away=st.floats(2.0, 30.0), lying=st.booleans(),
)  # fmt: skip
def test_moving_or_turning_the_whole_layout_changes_nothing(x, y, turn, away, lying):
    """Property."""

    def seen(at, where):
        tank = vessel(at=at, orientation="horizontal" if lying else "vertical")
        source = pool(at=where)
        whole = replace(installation(tank), fire_sources=(source,))
        return source_record(whole, source).exposures["R1"]

    first = seen((0.0, 0.0), (away, 0.0))
    moved = seen((x, y), (x + away * math.cos(turn), y + away * math.sin(turn)))
    assert moved.incident_w_m2 == pytest.approx(first.incident_w_m2, rel=1e-6)
    assert moved.facing_share == pytest.approx(first.facing_share, abs=0.1)


@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
def test_farther_away_a_pool_gives_less(orientation):
    """Property, of the highest and of the mean flux."""
    found = []
    for x in (5.5, 6.0, 7.0, 10.0, 20.0, 50.0):
        tank = vessel(at=(3.0, 0.0), orientation=orientation)
        source = pool(at=(x, 0.0))
        whole = replace(installation(tank), fire_sources=(source,))
        seen = source_record(whole, source).exposures["R1"]
        found.append((seen.incident_w_m2, seen.mean_w_m2 * seen.facing_share))
    assert found == sorted(found, reverse=True)


def test_patches_are_a_whole_wall_and_no_cooler_than_what_falls_on_it():
    for x in (3.5, 4.2, 4.8, 6.0, 8.0, 15.0):
        source = pool(at=(x, 0.0))
        whole = plant(source)
        patches = source_fire(whole, source).struck["R1"]
        seen = source_record(whole, source).exposures["R1"]
        assert math.fsum(p.share for p in patches) == pytest.approx(1.0)
        given_ = sum(p.share * p.exposure.flux for p in patches)
        assert given_ >= seen.mean_w_m2 * seen.facing_share - LEAST_FLUX
    assert source_fire(plant(pool(at=(300.0, 0.0))), pool(at=(300.0, 0.0))).struck == {}


def test_the_fire_lasts_as_long_as_the_liquid_and_an_hour_without_a_volume():
    fuel = pool_fires.fuels()["diesel"]
    fire = source_fire(plant(pool()), pool()).fire
    assert fire.duration == pytest.approx(pool_fires.burning_time(fuel, 2.0, 0.2))
    endless = source_fire(plant(pool(volume=None)), pool(volume=None)).fire
    assert endless.duration == WITHOUT_VOLUME


def test_a_pool_is_a_stated_fire_of_the_sections_that_it_reaches():
    near, far = plant(pool()), plant(pool(at=(300.0, 0.0)))
    assert [one.fire.id for one in exposures(near) if one.fire_class == "stated"] == ["Tank"]
    assert [one for one in exposures(far) if one.fire_class == "stated"] == []


def record_of(whole: Installation):
    exposure = next(one for one in exposures(whole) if one.fire_class == "stated")
    return fire_record(whole, exposure, DAY, bores=False)


def test_nearer_or_larger_or_longer_is_never_safer():
    """Property, over the verdict of all runs."""
    fitted = plug(alloy="Bi58Sn42", fitted=DAY, bore=0.02)
    worse = [
        [pool(at=(x, 0.0)) for x in (30.0, 12.0, 8.0, 6.0, 5.0)],
        [pool(diameter=d, volume=None) for d in (0.5, 1.0, 2.0, 4.0)],
        [pool(volume=v) for v in (0.01, 0.05, 0.2, 0.5)],
    ]
    for sources in worse:
        found = []
        for source in sources:
            whole = plant(source, fitted)
            stated = [one for one in exposures(whole) if one.fire_class == "stated"]
            if stated:
                result = fire_record(whole, stated[0], DAY, bores=False)
                found.append((not result.safe, min(result.worst_use or 0.0, 1.0)))
        assert found
        for (unsafe, use), (then, after) in pairwise(found):
            assert then or not unsafe
            assert after >= use * (1.0 - 1e-3)


def test_a_part_without_a_place_leaves_the_verdict_unsure_and_is_found():
    source = pool(at=(12.0, 0.0), volume=0.05)
    tank = vessel(at=(3.0, 0.0), orientation="vertical")
    lost = vessel("R2")
    whole = replace(installation(tank, lost, line("L1", "R1", "R2")), fire_sources=(source,))
    result = record_of(whole)
    assert result.not_placed == ("R2", "L1")
    assert result.safe
    assert result.sure is False
    assert "the place of vessel R2 and line L1 is not stated" in surety_text(result)
    answer = assess(whole, DAY, bores=False)
    (told,) = [one for one in answer.findings if one.rule == "place-not-stated"]
    assert "vessel R2" in finding_text(told, Units())


def test_a_verdict_that_still_air_alone_gives_is_not_sure():
    """A flame of some 6 m that leans over by 45 degrees reaches 4 m; at 12 m it does not."""
    fitted = plug(alloy="Bi58Sn42", fitted=DAY, bore=0.02)
    near, far = (record_of(plant(pool(at=(x, 0.0), volume=0.05), fitted)) for x in (7.0, 16.0))
    assert (near.leaned_on, far.leaned_on) == (("R1",), ())
    assert (near.safe, near.sure) == (True, False)
    assert (far.safe, far.sure) == (True, True)
    assert "wind that leans the flame over" in surety_text(near)


def test_the_distance_to_keep_is_safe_and_a_step_less_is_not():
    """Property: a record of the pool moved there, and a step nearer."""
    source = pool()
    whole = plant(source, plug(alloy="tin", fitted=DAY, bore=0.01))
    clear = keep_clear(whole, source, Slicer(whole, DAY))["R1"]
    assert clear is not None
    assert clear > 0.0
    tank = whole.vessels[0]
    assert isinstance(tank, Vessel)
    for gap, safe in ((clear, True), (clear - 0.25, False)):
        x = 3.0 + 1.0 + 0.5 * tank.inside_diameter + tank.wall_thickness + gap
        moved = pool(at=(x, 0.0))
        assert record_of(replace(whole, fire_sources=(moved,))).safe is safe


def test_a_pool_that_stands_too_near_is_found_with_its_distance():
    source = pool(at=(5.5, 0.0))
    whole = plant(source, plug(alloy="tin", fitted=DAY, bore=0.01))
    answer = assess(whole, DAY, bores=True)
    (told,) = [one for one in answer.findings if one.rule == "fire-source-too-near"]
    clear = answer.fire_sources["Tank"].keep_clear_m["R1"]
    assert clear is not None
    assert answer.fire_sources["Tank"].gap_m["R1"] < clear
    assert finding_text(told, Units()).startswith("Pool Tank stands")
    assert "vessel R1" in finding_cure(told, Units())


def test_a_pool_under_a_vessel_is_too_near_only_where_its_fire_is_not_safe():
    """Its plug in the flames may save what a pool beside it does not."""
    good = plug(alloy="Bi58Sn42", fitted=DAY, bore=0.03)
    for fitted in (good, replace(good, condition="corroded")):
        answer = assess(plant(pool(at=(3.0, 0.0)), fitted), DAY, bores=True)
        fire = next(one for one in answer.fires if one.source_kind)
        told = [one for one in answer.findings if one.rule == "fire-source-too-near"]
        assert bool(told) is not fire.safe
        assert fire.sure is not True  # wind takes the flame off the plug
        for one in told:
            assert finding_text(one, Units()).startswith("Pool Tank reaches under vessel R1.")


def test_the_factor_of_caution_is_on_the_parts_and_not_on_the_people():
    source = pool()
    person = People(id="P1", at=(12.0, 0.0))
    found = {}
    for factor in (1.0, 2.0):
        whole = replace(
            plant(source), choices=Choices(flame_radiation_factor=factor), people=(person,)
        )
        found[factor] = source_record(whole, source)
    one, two = found[1.0], found[2.0]
    assert two.exposures["R1"].incident_w_m2 == pytest.approx(
        2.0 * one.exposures["R1"].incident_w_m2
    )
    assert two.people["P1"] == pytest.approx(one.people["P1"])
    assert two.emissive_power_w_m2 == pytest.approx(one.emissive_power_w_m2)
    warm = assess(
        replace(plant(source), people=(replace(person, at=(10.0, 0.0)),)), DAY, bores=False
    )
    (told,) = [one for one in warm.findings if one.rule == "heat-reaches-people"]
    assert told.severity == "warning"


def test_a_lying_vessel_is_as_near_as_it_can_lie():
    """By hand: 2 m3 at a bore of 1.1 m are 2.1 m long; a corner may be 1.2 m nearer."""
    source = pool(at=(8.0, 0.0))
    whole = replace(
        installation(vessel(at=(3.0, 0.0), orientation="horizontal")), fire_sources=(source,)
    )
    half = 0.5 * (2.0 / (0.25 * math.pi * 1.1**2) + 2 * 0.008)
    found = source_record(whole, source)
    assert found.exposures["R1"].distance_m == pytest.approx(
        5.0 - math.hypot(half, 0.558), abs=1e-6
    )
    assert found.gap_m["R1"] == pytest.approx(4.0 - math.hypot(half, 0.558), abs=1e-6)


def test_no_pool_falls_between_the_panels_of_a_long_line():
    for x in np.linspace(40.0, 45.0, 11):
        source = pool(at=(float(x), 0.0), diameter=0.5)
        ends = (vessel(at=(0.0, 0.0)), vessel("R2", at=(200.0, 0.0)))
        whole = replace(installation(*ends, line("L1", "R1", "R2")), fire_sources=(source,))
        assert source_record(whole, source).exposures["L1"].flames_share > 0.0
