"""Distances from which pools of some sizes are survived, against the search for one pool."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import FireSource
from airrisk.study.keep_clear import STEP, keep_clear
from airrisk.study.keep_clear_table import NEVER, _least, keep_clear_table
from airrisk.study.slices import Slicer
from tests.fire.systems import installation, plug, vessel
from tests.study.map_plants import DAY, lone_vessel

SIZES = (0.5, 2.0)


def test_the_distance_is_that_of_the_search_for_one_pool():
    whole = lone_vessel()
    (row,) = keep_clear_table(whole, ["diesel"], DAY, diameters=SIZES)
    for size in SIZES:
        pool = FireSource(id="P", fuel="diesel", diameter=size, at=(0.0, 9.0))
        one = keep_clear(whole, pool, Slicer(whole, DAY))
        assert row.with_plugs_m[size] == pytest.approx(one["R1"])
    assert row.without_plugs_m == row.with_plugs_m
    assert not row.has_plugs


def test_larger_pools_and_missing_plugs_never_come_nearer():
    """Property."""
    whole = installation(
        vessel(at=(0.0, 0.0), orientation="vertical"), plug(bore=0.025, alloy="Bi58Sn42")
    )
    (row,) = keep_clear_table(whole, ["diesel"], DAY, diameters=SIZES)
    assert row.has_plugs
    assert row.with_plugs_m[0.5] <= row.with_plugs_m[2.0]
    assert row.without_plugs_m[0.5] <= row.without_plugs_m[2.0]
    assert all(row.with_plugs_m[size] <= row.without_plugs_m[size] for size in SIZES)
    bare = replace(whole, plugs=())
    (other,) = keep_clear_table(bare, ["diesel"], DAY, diameters=SIZES)
    assert other.with_plugs_m == row.without_plugs_m


def test_what_cannot_be_run_has_no_distance_and_no_place_no_row():
    (row,) = keep_clear_table(lone_vessel(condensate=1.5), ["diesel"], DAY, diameters=SIZES)
    assert row.failed
    assert row.with_plugs_m == {}
    nowhere = installation(vessel())
    assert keep_clear_table(nowhere, ["diesel"], DAY) == ()


@pytest.mark.parametrize(("first", "known"), [(0, 9), (7, NEVER), (7, 9), (9, 9), (401, NEVER)])
def test_the_least_step_is_found_whatever_is_known(first, known):
    assert _least(lambda steps: steps >= first, known) == first


def test_it_can_be_stopped():
    with pytest.raises(Cancelled):
        keep_clear_table(lone_vessel(), ["diesel"], DAY, should_stop=lambda: True)
    told = []
    keep_clear_table(
        lone_vessel(), ["diesel"], DAY, diameters=(0.5,), progress=lambda *one: told.append(one)
    )
    assert told == [(1.0, "R1")]
    assert STEP == 0.25
