"""Which side of a vessel its plug should face, against the full answer at single places."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import Installation, Plug, Wall
from airrisk.study.exposures import exposures
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.keep_clear_table import DIRECTIONS
from airrisk.study.plug_sides import SidesOfVessel, candidates, plug_like, plug_sides
from airrisk.study.pool_beside_vessel import Plant, PoolBesideVessel
from tests.fire.systems import installation, plug, vessel
from tests.study.map_plants import DAY, lone_vessel

POOL = pool_to_move("diesel", 1.5)
NORTH, SOUTH = 0, 4


def plant(**changes: object) -> Installation:
    return installation(
        vessel(at=(0.0, 0.0), orientation="vertical"),
        plug(bore=0.025, alloy="Bi58Sn42", **changes),
    )


@cache
def upright() -> SidesOfVessel:
    (found,) = plug_sides(plant(), POOL, DAY, across=5)
    return found


def test_sides_that_only_a_turn_of_the_plan_sets_apart_answer_alike():
    found = upright()
    assert not found.failed
    assert 0 < found.dangerous <= found.places == 25
    counts = {side.faces: side.answered for side in found.sides}
    straight = {counts[angle] for angle in counts if angle is not None and _is_straight(angle)}
    assert len(counts) == 9
    assert len(straight) == 1


def _is_straight(angle: float) -> bool:
    return abs(math.remainder(angle, math.pi / 2.0)) < 1e-9


def test_none_answers_more_than_there_is_and_the_best_comes_first():
    found = upright()
    counts = [side.answered for side in found.sides]
    assert counts == sorted(counts, reverse=True)
    assert all(found.anywhere <= one <= found.dangerous for one in counts)
    if found.pair is not None:
        assert counts[0] < found.pair[2] <= found.dangerous


def test_a_plug_on_one_side_misses_fires_on_the_other():
    north = next(one for one in upright().sides if one.faces == pytest.approx(math.pi / 2.0))
    assert SOUTH in north.blind
    assert NORTH not in north.blind


@pytest.mark.parametrize("put", [("top", None), ("side", 90.0), ("side", -90.0)])
def test_a_place_is_answered_where_the_full_answer_is_safe(put):
    place, degrees = put
    faces = None if degrees is None else math.radians(degrees)
    whole = plant(place=place, faces=faces)
    beside = PoolBesideVessel(Plant.of(whole, DAY), whole.vessels[0], POOL)
    for gap in (0.0, 0.75):
        at = beside.place(math.pi / 2.0, gap)
        there = replace(whole, fire_sources=(replace(POOL, id="P", at=at),))
        (struck,) = [one for one in exposures(there) if one.patches]
        record = fire_record(there, struck, DAY, bores=False)
        assert record.envelope is not None
        assert beside.safe(at) is (
            record.envelope.outcome in ("vents in time", "outlasts the fire")
        )
        assert bool(beside.reaches(at)) is bool(struck.plug_patches)


def test_a_wall_never_lets_the_fire_reach_more():
    """Property."""
    whole = plant()
    wall = Wall(id="W", points=((-4.0, 1.0), (4.0, 1.0)), height=3.0, resists=7200.0)
    beside = PoolBesideVessel(Plant.of(whole, DAY), whole.vessels[0], POOL)
    behind = PoolBesideVessel(Plant.of(replace(whole, walls=(wall,)), DAY), whole.vessels[0], POOL)
    for angle in DIRECTIONS:
        at = beside.place(angle, 1.0)
        assert set(behind.reaches(at)) <= set(beside.reaches(at))
    assert behind.safe(beside.place(math.pi / 2.0, 1.5))  # hidden


def test_the_ends_of_a_lying_vessel_are_places_too_and_no_low_one_is():
    lying = vessel(at=(0.0, 0.0), orientation="horizontal", direction=math.radians(30.0))
    found = candidates(lying)
    assert {place for place, _, _ in found} == {"top", "side"}
    ends = [math.degrees(faces) for _, faces, end in found if end and faces is not None]
    assert sorted(ends) == pytest.approx([-150.0, 30.0])
    sides = [math.degrees(faces) for _, faces, end in found if not end and faces is not None]
    assert sorted(sides) == pytest.approx([-60.0, 120.0])
    assert len(candidates(replace(lying, direction=None))) == 9


def test_the_plug_that_is_tried_is_one_of_the_file():
    whole = installation(
        vessel(at=(0.0, 0.0)), vessel("R2"), plug(bore=0.01), plug("FP2", bore=0.02),
        plug("FP3", on="R2", bore=0.03), plug("FP4", bore=0.04, alloy=None),
    )  # fmt: skip
    assert plug_like(whole, "r1").id == "FP2"
    assert plug_like(replace(whole, plugs=whole.plugs[2:3]), "R1").id == "FP3"
    (found,) = plug_sides(lone_vessel(), POOL, DAY)
    assert found.like == ""
    assert found.sides == ()


def test_a_plug_that_nobody_may_count_on_is_tried_as_a_good_one():
    worn: Plug = plug(bore=0.025, alloy="Bi58Sn42", condition="leaking", fitted=None)
    whole = installation(vessel(at=(0.0, 0.0), orientation="vertical"), worn)
    (found,) = plug_sides(whole, POOL, DAY, across=3)
    (good,) = plug_sides(plant(), POOL, DAY, across=3)
    assert len(found.sides) == 9
    assert [one.answered for one in found.sides] == [one.answered for one in good.sides]


def test_what_cannot_be_run_has_no_counts_and_it_can_be_stopped():
    full = installation(vessel(at=(0.0, 0.0), condensate=1.5, orientation="vertical"), plug())
    (found,) = plug_sides(full, POOL, DAY)
    assert found.failed
    assert found.sides == ()
    with pytest.raises(Cancelled):
        plug_sides(plant(), POOL, DAY, should_stop=lambda: True)
