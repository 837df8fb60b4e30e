"""The schematic: nothing stands on anything else, on the samples and on systems made at random."""

from __future__ import annotations

import dataclasses
import itertools

import pytest

from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.report.text_width import text_width
from airrisk.tables import sample_names, sample_path
from airrisk.wording.part_answers import carriers, longest_texts
from airrisk.wording.schematic.layout import lay_out, what_is_laid_out
from airrisk.wording.schematic.records import PITCH, Blocks, Schematic, around
from tests.independent.random_systems import random_system
from tests.report import hand_made
from tests.wording.schematic.invented import network
from tests.wording.schematic.overlaps import band, faults, lie_on_each_other, own_symbols


def _laid_out(installation: Installation, size: float = 12.0, **more) -> Schematic:
    return lay_out(installation, size, lambda name: text_width(name, size, True), **more)


def _answered(installation: Installation, size: float = 12.0, every: int = 1) -> Schematic:
    """With answers on all vessels, and on some of the other parts that may have to carry one."""
    others = [one.id for one in (*installation.lines, *installation.compressors)]
    blocks = Blocks(carriers(installation, others[::every]), longest_texts(installation))
    layout = _laid_out(installation, size, blocks=blocks)
    assert set(layout.blocks) == blocks.parts
    return layout


@pytest.mark.parametrize("size", [12.0, 22.0])
@pytest.mark.parametrize("name", sample_names())
def test_nothing_stands_on_anything_else_on_the_samples(name, size):
    installation = read(sample_path(name).read_bytes(), name)
    for layout in (_laid_out(installation, size), _answered(installation, size, every=3)):
        assert faults(layout, own_symbols(installation)) == []
        assert not layout.forced


def test_nothing_stands_on_anything_else_on_fifty_random_systems():
    for seed in range(50):
        installation = read(random_system(seed).encode(), "random")
        own = own_symbols(installation)
        assert faults(_laid_out(installation), own) == [], seed
        assert faults(_answered(installation, every=1 + seed % 4), own) == [], seed


@pytest.mark.parametrize(("parts", "seeds"), [(6, 12), (12, 12), (25, 4), (50, 1)])
def test_nothing_stands_on_anything_else_in_wild_networks(parts, seeds):
    for seed in range(seeds):
        installation = network(seed, parts)
        own = own_symbols(installation)
        assert faults(_answered(installation, every=2), own) == [], seed
        layout = _laid_out(installation)
        assert faults(layout, own) == [], seed
        drawn = {part.id for part in installation.parts()}
        drawn |= {one.id for one in (*installation.devices(), *installation.valves)}
        assert set(layout.labels) == drawn


@pytest.mark.parametrize("seed", range(6))
def test_a_line_joins_what_the_file_says_and_nothing_else(seed):
    installation = network(seed, 12)
    layout = _laid_out(installation)
    for line in installation.lines:
        points = layout.courses[line.id].points
        for point, name, which in ((points[0], line.from_, "from"), (points[-1], line.to, "to")):
            symbol = layout.symbols.get(name) or layout.symbols[f"{line.id}:{which}"]
            assert symbol.rect.grown(0.5).left <= point[0] <= symbol.rect.grown(0.5).right
            assert symbol.rect.grown(0.5).top <= point[1] <= symbol.rect.grown(0.5).bottom


def test_flow_runs_from_left_to_right_and_a_ring_of_junctions_is_drawn_as_one():
    installation = read(sample_path("dairy-hall").read_bytes(), "dairy-hall")
    at = _laid_out(installation).symbols
    assert at["C1"].x < at["R1"].x < at["D1"].x
    assert at["J1"].x < at["J2"].x == at["J3"].x < at["Filler"].x
    assert at["J2"].y != at["J3"].y


def test_valves_stand_in_the_order_in_which_the_air_meets_them():
    installation = network(3, 12)
    layout = _laid_out(installation)
    for line in installation.lines:
        course = layout.courses[line.id].points
        mine = [v for v in installation.valves if v.on == line.id]
        along = [_distance(course, layout.symbols[v.id]) for v in mine if v.end == "from"]
        along += reversed([_distance(course, layout.symbols[v.id]) for v in mine if v.end == "to"])
        assert along == sorted(along), line.id


def _distance(course, symbol):
    """How far along a course a symbol stands."""
    gone = 0.0
    for stretch in itertools.pairwise(course):
        (a, b), (c, d) = stretch
        if band(stretch).meets(around(symbol.x, symbol.y, 1.0, 1.0)):
            return gone + abs(symbol.x - a) + abs(symbol.y - b)
        gone += abs(c - a) + abs(d - b)
    raise AssertionError(f"{symbol.id} stands on no stretch of its line")


def test_a_stated_place_is_kept_and_everything_else_makes_room():
    installation = network(2, 12)
    vessel = installation.vessels[0]
    there = (40, 3)
    moved = dataclasses.replace(
        installation,
        vessels=(dataclasses.replace(vessel, drawn=there), *installation.vessels[1:]),
    )
    layout = _laid_out(moved)
    assert layout.cells[vessel.id] == there
    assert faults(layout, own_symbols(moved)) == []
    assert _laid_out(installation, cells={vessel.id: there}) == layout


def test_two_parts_put_on_each_other_are_drawn_there_and_the_line_without_a_way_is_told():
    installation = network(0, 6)
    place = (10, 10)
    names = [part.id for part in (*installation.vessels, *installation.junctions)]
    layout = _laid_out(installation, cells=dict.fromkeys(names, place))
    assert {layout.cells[name] for name in names} == {place}
    assert layout.forced


def test_a_plan_position_does_not_move_the_schematic():
    """Distances are read off the site plan; the schematic has none."""
    installation = network(1, 12)
    placed = dataclasses.replace(
        installation,
        vessels=tuple(dataclasses.replace(one, at=(90.0, -7.0)) for one in installation.vessels),
    )
    assert _laid_out(placed) == _laid_out(installation)


def test_ids_are_joined_without_regard_to_case():
    plant = hand_made.installation()
    lines = tuple(dataclasses.replace(one, to=one.to.lower()) for one in plant.lines)
    assert "L1:to" not in _laid_out(dataclasses.replace(plant, lines=lines)).symbols


def test_a_line_from_a_part_to_itself_and_a_part_alone_are_drawn_too():
    plant = network(0, 6)
    line = plant.lines[0]
    itself = dataclasses.replace(line, id="LX", from_=plant.vessels[0].id, to=plant.vessels[0].id)
    more = dataclasses.replace(plant, lines=(*plant.lines, itself))
    assert faults(_laid_out(more), own_symbols(more)) == []
    alone = dataclasses.replace(plant, lines=(), valves=(), plugs=(), relief_valves=(),
                                bursting_discs=())  # fmt: skip
    assert faults(_laid_out(alone), {}) == []
    empty = Installation(title="Nothing yet")
    assert _laid_out(empty).symbols == {}


def test_devices_keep_their_distance_to_the_grid_of_lines():
    """Symbols of parts stand on the grid, so that what is dragged lines up again."""
    layout = _laid_out(network(1, 12))
    for name, (x, y) in layout.cells.items():
        symbol = layout.symbols[name]
        assert abs(symbol.x - x * PITCH) < 1e-9
        assert abs(symbol.y - y * PITCH) <= symbol.half_height


def test_the_check_finds_lines_that_share_a_piece_or_touch_in_a_bend():
    level = ((0.0, 0.0), (10.0, 0.0))
    assert lie_on_each_other(level, ((5.0, 0.0), (20.0, 0.0)))
    assert lie_on_each_other(level, ((5.0, 0.0), (5.0, 9.0)))
    assert not lie_on_each_other(level, ((5.0, -5.0), (5.0, 9.0)))
    assert not lie_on_each_other(level, ((0.0, 5.0), (10.0, 5.0)))


@pytest.mark.parametrize("seed", range(3))
def test_what_a_layout_depends_on_tells_two_of_them_apart(seed):
    """Property: equal keys, equal layouts; what the layout shows is in the key."""
    plant = network(seed, 6)
    key = what_is_laid_out(plant)
    thicker = tuple(dataclasses.replace(one, wall_thickness=0.02) for one in plant.vessels)
    assert what_is_laid_out(dataclasses.replace(plant, vessels=thicker)) == key
    changed = [
        dataclasses.replace(plant, vessels=(dataclasses.replace(plant.vessels[0], drawn=(1, 1)),
                                            *plant.vessels[1:])),
        dataclasses.replace(plant, lines=plant.lines[1:]),
        dataclasses.replace(plant, lines=(dataclasses.replace(plant.lines[0], to="closed"),
                                          *plant.lines[1:])),
        dataclasses.replace(plant, plugs=()),
        dataclasses.replace(plant, valves=plant.valves[:-1]),
        dataclasses.replace(plant, valves=tuple(dataclasses.replace(one, state="closed")
                                                for one in plant.valves)),
    ]  # fmt: skip
    for other in changed:
        assert what_is_laid_out(other) != key


@pytest.mark.parametrize("name", ["dairy-hall", "tile-works"])
def test_a_part_that_is_dragged_a_little_leaves_alone_what_it_is_not_joined_to(name):
    installation = read(sample_path(name).read_bytes(), name)
    before = _laid_out(installation)
    for part in installation.vessels:
        x, y = before.cells[part.id]
        assert _laid_out(installation, cells={part.id: (x, y)}) == before
    last = installation.consumers[-1].id
    x, y = before.cells[last]
    after = _laid_out(installation, cells={last: (x + 2, y)})
    joined = {line.id for line in installation.lines if last in (line.from_, line.to)}
    on_it = {one.id for one in (*installation.devices(), *installation.valves) if one.on in joined}
    for other, label in before.labels.items():
        assert other in {last} | joined | on_it or after.labels[other] == label, other
