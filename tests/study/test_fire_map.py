"""The map of where a fire is survived, against the full answer for a pool at single places."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import FireSource, Installation, Room
from airrisk.installation.reading import load_bytes
from airrisk.study.fire_map import MapWatcher, fire_map
from airrisk.study.fire_map_grid import (
    FireMapError,
    jet_to_move,
    pool_to_move,
    ring_of,
    squares_around,
)
from airrisk.study.fire_map_reach import part_distance
from airrisk.study.fire_map_records import (
    BETWEEN,
    BY_ENVELOPE,
    BY_FOUR,
    BY_PLACE,
    NOT_ASKED,
    NOT_ASSESSED,
    NOT_SURE,
    RUPTURES,
    SURVIVED,
    FireMap,
)
from airrisk.study.fire_map_sections import Reached
from airrisk.study.source_heat import heat_of
from airrisk.study.standing_fires import source_record
from airrisk.tables import sample_path
from tests.fire.systems import line, vessel
from tests.study.map_plants import DAY, contradiction, full_answer_at, lone_vessel, two_vessels

DIESEL = pool_to_move("diesel", 1.0, 0.05)


def drawn(whole: Installation, positions: int = 150, **options: object) -> FireMap:
    source = options.pop("source", DIESEL)
    return fire_map(whole, source, DAY, positions=positions, **options)  # type: ignore[arg-type]


def test_the_map_says_what_the_full_answer_says_at_single_places():
    whole = two_vessels()
    seen = drawn(whole, 250)
    rng = np.random.default_rng(3)
    rows, columns = np.nonzero(seen.outcome >= NOT_ASSESSED)
    unsafe = rng.permutation(len(rows))[:8]
    places = [(rows[k], columns[k]) for k in unsafe]
    rows, columns = np.nonzero(seen.outcome < NOT_ASSESSED)
    places += [(rows[k], columns[k]) for k in rng.permutation(len(rows))[:12]]
    assert len(places) == 20
    found = [
        contradiction(seen, int(r), int(c), *full_answer_at(whole, seen, int(r), int(c)))
        for r, c in places
    ]
    assert not [told for told in found if told]


def test_every_safe_place_beside_an_unsafe_one_had_all_runs():
    seen = drawn(two_vessels())
    beside = ring_of(seen.unsafe)
    assert seen.unsafe.any()
    assert beside.any()
    assert set(seen.grounds[beside].tolist()) <= {0, BY_ENVELOPE}  # or needs no run


def test_nothing_of_few_runs_reads_survived():
    seen = drawn(two_vessels(), borders=False)
    few = np.isin(seen.grounds, (BY_FOUR, BETWEEN))
    assert few.any()
    assert not (seen.outcome[few] == SURVIVED).any()
    assert not (seen.outcome == NOT_ASKED).any()


def test_moving_the_whole_plan_changes_nothing():
    whole = two_vessels()
    away = replace(
        whole,
        vessels=tuple(
            replace(one, at=(one.at[0] + 512.0, one.at[1] - 256.0)) for one in whole.vessels
        ),
    )
    first, second = drawn(whole, borders=False), drawn(away, borders=False)
    assert first.x_m + 512.0 == pytest.approx(second.x_m)
    assert (first.outcome == second.outcome).all()
    assert second.rupture_s == pytest.approx(first.rupture_s, rel=1e-3, nan_ok=True)


def test_nearer_is_never_safer():
    seen = drawn(lone_vessel(), 200)
    x, y = np.meshgrid(seen.x_m, seen.y_m)
    away = np.hypot(x, y)
    assert seen.unsafe.any()
    assert away[seen.unsafe].max() < away[~seen.unsafe].min() + 0.5 * seen.pitch_m


def test_larger_is_never_safer():
    farthest = []
    for diameter in (0.7, 1.5, 3.0):
        seen = drawn(lone_vessel(), 200, source=pool_to_move("diesel", diameter), borders=False)
        x, y = np.meshgrid(seen.x_m, seen.y_m)
        farthest.append(np.hypot(x, y)[seen.unsafe].max() + seen.pitch_m)
    assert farthest == sorted(farthest)
    assert farthest[2] > farthest[0] + 1.0


@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
def test_nothing_gets_more_than_the_most_at_its_distance(orientation):
    """Property, of what sets the distance beyond which no run is made."""
    rng = np.random.default_rng(7)
    plant = replace(
        lone_vessel(), lines=(line("L1", "R1", "R9"),),
        vessels=(
            vessel(at=(0.0, 0.0), orientation=orientation), vessel("R9", at=(6.0, 5.0)),
        ),
    )  # fmt: skip
    pools = [pool_to_move(*one) for one in (("diesel", 2.0), ("ethanol", 0.5), ("petrol", 6.0))]
    jets = [jet_to_move(3.0, None, None, None), jet_to_move(8.0, "propane", 0.5, 0.7)]
    for source in (*pools, *jets):
        heat = heat_of(plant, source)
        for x, y in rng.uniform(-25.0, 25.0, (40, 2)).tolist():
            got = source_record(plant, replace(source, id="P", at=(x, y)))
            for part in plant.holders():
                near = float(part_distance(plant, part, np.array([x]), np.array([y]))[0])
                seen = got.exposures[part.id]
                assert seen.incident_w_m2 <= heat.most_flux(near) * (1.0 + 1e-9)
                assert near <= seen.distance_m + 1e-9


def test_a_part_without_a_place_is_told_and_then_nothing_reads_survived():
    whole = two_vessels()
    lost = replace(whole, vessels=(whole.vessels[0], replace(whole.vessels[1], at=None)))
    seen = drawn(lost, borders=False)
    assert seen.not_placed == ("R2", "L1")
    assert not (seen.outcome == SURVIVED).any()
    assert (seen.doubtful[seen.outcome == NOT_SURE] == BY_PLACE).all()


def test_a_section_that_cannot_be_run_reads_not_assessed():
    full = lone_vessel(condensate=1.5)  # of 2 m3: it would expand
    seen = drawn(full, 60, borders=False)
    assert seen.sections[0].failed
    middle = seen.nearest(0.0, 0.0)
    assert middle is not None
    assert seen.outcome[middle] == NOT_ASSESSED
    x, y = np.meshgrid(seen.x_m, seen.y_m)
    near = np.hypot(x, y) < 5.0
    assert (seen.outcome[near] == NOT_ASSESSED).all()


def test_pointing_finds_the_position_and_nothing_off_the_map():
    seen = drawn(lone_vessel(), 60, borders=False)
    row, column = seen.nearest(0.1, -0.1)
    assert math.hypot(seen.x_m[column], seen.y_m[row]) < 0.8 * seen.pitch_m
    assert seen.nearest(1e4, 0.0) is None
    assert seen.class_at(row, column) == "ruptures"
    assert seen.sections[int(seen.section[row, column])].vessels == ("R1",)


@pytest.mark.parametrize(
    ("fuel", "diameter", "told"),
    [("coal", 1.0, 'fuel "coal"'), ("diesel", 0.1, "0.2 to 50 m"), ("diesel", math.nan, "nan m")],
)
def test_a_pool_that_is_none_is_refused(fuel, diameter, told):
    with pytest.raises(FireMapError, match=told):
        pool_to_move(fuel, diameter)


def test_a_plan_without_places_or_of_a_kilometre_is_refused():
    whole = two_vessels()
    nowhere = replace(whole, vessels=tuple(replace(one, at=None) for one in whole.vessels))
    with pytest.raises(FireMapError, match="field at"):
        drawn(nowhere)
    far = replace(whole, vessels=(whole.vessels[0], replace(whole.vessels[1], at=(1500.0, 0.0))))
    with pytest.raises(FireMapError, match="1502 m apart"):
        drawn(far)
    wide = replace(whole, vessels=(whole.vessels[0], replace(whole.vessels[1], at=(900.0, 900.0))))
    with pytest.raises(FireMapError, match="a larger one"):
        drawn(wide, source=pool_to_move("diesel", 0.3))


def test_sections_that_are_not_run_between_safe_positions_change_no_class(monkeypatch):
    seen = drawn(two_vessels(), 300, borders=False)
    monkeypatch.setattr(Reached, "load_around", lambda *_: None)
    whole = drawn(two_vessels(), 300, borders=False)
    assert seen.runs < whole.runs
    assert (seen.outcome == whole.outcome).all()


def test_where_no_position_is_unsafe_all_runs_are_made_where_the_load_is_highest():
    seen = drawn(lone_vessel(), 80, source=pool_to_move("diesel", 1.0, 0.002))
    assert not seen.unsafe.any()
    full = seen.grounds == BY_ENVELOPE
    assert full.any()
    few = seen.grounds == BY_FOUR
    assert np.nanmax(seen.load[full]) >= np.nanmax(seen.load[few], initial=0.0) - 0.05


def test_a_jet_is_dangerous_as_far_as_it_reaches_whichever_way_it_points():
    any_way = drawn(lone_vessel(), 60, source=jet_to_move(3.0, None, None, None), borders=False)
    x, y = np.meshgrid(any_way.x_m, any_way.y_m)
    away = np.hypot(x, y)
    assert any_way.unsafe.any()
    assert 1.5 < away[any_way.unsafe].max() < 6.0
    assert x[any_way.unsafe].min() < -2.0
    assert x[any_way.unsafe].max() > 2.0


def test_a_jet_that_points_one_way_is_dangerous_behind_its_nozzle_only():
    east = jet_to_move(3.0, None, None, 0.0)
    seen = drawn(lone_vessel(), 60, source=east, borders=False)
    x, _ = np.meshgrid(seen.x_m, seen.y_m)
    assert seen.unsafe.any()
    assert x[seen.unsafe].min() < -3.0  # from the west it strikes the vessel
    assert x[seen.unsafe].max() < 1.5  # from the east it misses
    assert not (seen.grounds == BETWEEN).any()


@pytest.mark.parametrize("direction", [None, 0.0])
def test_the_map_of_a_jet_says_what_the_full_answer_says(direction):
    whole = lone_vessel()
    seen = drawn(whole, 60, source=jet_to_move(3.0, None, None, direction), borders=False)
    rng = np.random.default_rng(5)
    rows, columns = np.nonzero(seen.section >= 0)
    places = [(int(rows[k]), int(columns[k])) for k in rng.permutation(len(rows))[:6]]
    found = [contradiction(seen, r, c, *full_answer_at(whole, seen, r, c)) for r, c in places]
    assert not [told for told in found if told]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((0.01, None, None, None), "0.1 to 200 m"), ((None, "propane", 1e3, None), "0.0001 to"),
        ((None, "coal", 1.0, None), 'fuel "coal"'),
    ],
)  # fmt: skip
def test_a_jet_that_is_none_is_refused(given, told):
    with pytest.raises(FireMapError, match=told):
        jet_to_move(*given)


def test_goods_have_a_map():
    goods = FireSource(id="Stack", kind="goods", at=(0.0, 0.0), diameter=1.0, heat_release=5e5)
    assert drawn(lone_vessel(), 60, source=goods, borders=False).unsafe.any()


def test_a_source_in_a_room_of_unknown_or_hot_gas_never_reads_survived():
    whole = replace(lone_vessel(), rooms=(Room(id="Hall", volume=500.0),))
    inside = replace(DIESEL, area="Hall")
    seen = drawn(whole, 60, source=inside, borders=False)
    assert seen.hot_room == "Hall"
    assert not (seen.outcome == SURVIVED).any()
    assert drawn(whole, 60, borders=False).hot_room == ""


def test_it_can_be_stopped_and_says_how_far_it_is():
    told: list[float] = []
    stages: list[str] = []

    def progress(share: float, stage: str) -> None:
        told.append(share)
        stages.append(stage)

    seen: list[FireMap] = []
    drawn(two_vessels(), watcher=MapWatcher(progress=progress, partial=seen.append))
    assert all(0.0 <= share <= 1.0 for share in told)
    assert stages == sorted(stages, key=("coarse", "picture", "borders").index)
    assert set(stages) == {"coarse", "picture", "borders"}
    assert seen[0].stage == "coarse"
    assert (seen[0].outcome == NOT_ASKED).any()
    asked = iter([False, False, True])
    with pytest.raises(Cancelled):
        drawn(two_vessels(), watcher=MapWatcher(should_stop=lambda: next(asked, True)))


def test_a_map_that_was_stopped_goes_on_where_it_was():
    kept: dict[str, object] = {}
    whole = two_vessels()
    shares: list[float] = []

    def stop() -> bool:
        return bool(shares) and shares[-1] > 0.3

    def progress(share: float, _: str) -> None:
        shares.append(share)

    watcher = MapWatcher(progress=progress, should_stop=stop)
    with pytest.raises(Cancelled):
        drawn(whole, borders=False, watcher=watcher, kept=kept)
    stopped = kept["map"].map("picture")  # type: ignore[attr-defined]
    again = drawn(whole, borders=False, kept=kept)
    once = drawn(whole, borders=False)
    assert 0 < stopped.runs < again.runs <= once.runs + 16 * 4 * 3
    assert (again.outcome == once.outcome).all()


def test_squares_around_a_position_hold_it():
    assert list(squares_around(1, 1, 2, (4, 4))) == [((0, 0), (0, 2), (2, 0), (2, 2))]
    assert len(list(squares_around(2, 2, 2, (5, 5)))) == 4
    assert list(squares_around(3, 3, 2, (4, 4))) == []


def test_a_sample_with_pools_has_a_map_with_all_its_classes():
    whole, _ = load_bytes(sample_path("joinery.toml"))
    seen = fire_map(whole, whole.fire_sources[0], DAY, positions=150, borders=False)
    assert {SURVIVED, NOT_SURE, RUPTURES} <= set(np.unique(seen.outcome).tolist())
    assert not seen.not_placed
