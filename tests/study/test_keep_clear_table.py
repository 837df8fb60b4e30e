"""Distances from which pools of some sizes are survived, against the search for one pool."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import FireSource, Wall
from airrisk.study.keep_clear import STEP, keep_clear
from airrisk.study.keep_clear_table import DIRECTIONS, NEVER, _lasting, _least, keep_clear_table
from airrisk.study.slices import Slicer
from tests.fire.systems import installation, line, plug, vessel
from tests.study.map_plants import DAY, lone_vessel

SIZES = (0.5, 2.0)
NORTH, SOUTH = 0, 4


def test_the_distance_is_that_of_the_search_for_one_pool_in_every_direction():
    whole = lone_vessel()
    (row,) = keep_clear_table(whole, ["diesel"], DAY, diameters=SIZES)
    for size in SIZES:
        pool = FireSource(id="P", fuel="diesel", diameter=size, at=(0.0, 9.0))
        one = keep_clear(whole, pool, Slicer(whole, DAY))
        assert row.with_plugs_m[size] == pytest.approx([one["R1"]] * len(DIRECTIONS))
    assert row.without_plugs_m == row.with_plugs_m
    assert not row.has_plugs
    assert not row.others_decide


def test_larger_pools_and_missing_plugs_never_come_nearer():
    """Property."""
    whole = installation(
        vessel(at=(0.0, 0.0), orientation="vertical"), plug(bore=0.025, alloy="Bi58Sn42")
    )
    (row,) = keep_clear_table(whole, ["diesel"], DAY, diameters=SIZES)
    assert row.has_plugs
    for told in (row.with_plugs_m, row.without_plugs_m):
        assert all(a <= b for a, b in zip(told[0.5], told[2.0], strict=True))
    for size in SIZES:
        both = zip(row.with_plugs_m[size], row.without_plugs_m[size], strict=True)
        assert all(a <= b for a, b in both)
    bare = replace(whole, plugs=())
    (other,) = keep_clear_table(bare, ["diesel"], DAY, diameters=SIZES)
    assert other.with_plugs_m == row.without_plugs_m


def test_a_wall_lets_a_pool_stand_nearer_on_its_side_only():
    wall = Wall(id="W", points=((-6.0, 0.9), (6.0, 0.9)), height=12.0, resists=7200.0)
    (bare,) = keep_clear_table(lone_vessel(), ["diesel"], DAY, diameters=(2.0,))
    whole = replace(lone_vessel(), walls=(wall,))
    (row,) = keep_clear_table(whole, ["diesel"], DAY, diameters=(2.0,))
    assert row.with_plugs_m[2.0][NORTH] < bare.with_plugs_m[2.0][NORTH]
    assert row.with_plugs_m[2.0][SOUTH] == bare.with_plugs_m[2.0][SOUTH]
    open_ = replace(whole, walls=(replace(wall, resists=None),))
    (same,) = keep_clear_table(open_, ["diesel"], DAY, diameters=(2.0,))
    assert same.with_plugs_m == bare.with_plugs_m  # nobody says how long it stands


def test_a_weak_line_of_the_section_keeps_a_pool_farther_away():
    whole = replace(
        lone_vessel(),
        lines=(line("L1", "R1", "closed", route=((3.0, 0.0), (6.0, 0.0)), wall_thickness=3e-4),),
    )
    (row,) = keep_clear_table(whole, ["diesel"], DAY, diameters=(1.0,))
    east, west = 2, 6
    assert (1.0, east, False) in row.others_decide
    assert (1.0, west, False) not in row.others_decide
    assert row.without_plugs_m[1.0][east] > row.without_plugs_m[1.0][west] + 1.0


def test_what_cannot_be_run_has_no_distance_and_no_place_no_row():
    (row,) = keep_clear_table(lone_vessel(condensate=1.5), ["diesel"], DAY, diameters=SIZES)
    assert row.failed
    assert row.with_plugs_m == {}
    nowhere = installation(vessel())
    assert keep_clear_table(nowhere, ["diesel"], DAY) == ()


@pytest.mark.parametrize(("first", "known"), [(0, 9), (7, NEVER), (7, 9), (9, 9), (401, NEVER)])
@pytest.mark.parametrize("guess", [None, 1, 5, 7, 8])
def test_the_least_step_is_found_whatever_is_known_or_guessed(first, known, guess):
    assert _least(lambda steps: steps >= first, known, guess) == first


@pytest.mark.parametrize(
    ("unsafe", "bare", "least"),
    [
        (set(), 20, 3),
        ({8, 9, 10}, 20, 11),  # far enough for the plug to stay shut, too near for the wall
        ({13, 14}, 20, 15),
        (set(), NEVER, 3),
        ({8, 9}, NEVER, 10),
        ({9, 20}, NEVER, NEVER),  # no end is known
    ],
)
def test_a_plug_that_opens_beside_the_pool_only_does_not_set_the_distance(unsafe, bare, least):
    assert _lasting(lambda step: step not in unsafe, 3, bare) == least


def test_directions_go_round_from_north():
    assert [round(math.degrees(one)) for one in DIRECTIONS[:3]] == [90, 45, 0]


def test_it_can_be_stopped():
    with pytest.raises(Cancelled):
        keep_clear_table(lone_vessel(), ["diesel"], DAY, should_stop=lambda: True)
    told = []
    keep_clear_table(
        lone_vessel(), ["diesel"], DAY, diameters=(0.5,), progress=lambda *one: told.append(one)
    )
    assert told == [(1.0, "R1")]
    assert STEP == 0.25
