"""Lays an installation out: everything in its place, then the ways of the lines."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import replace

from airrisk.installation.model import Installation
from airrisk.wording.schematic.arranging import SHAPE, arranged
from airrisk.wording.schematic.graph import Flow, Link, flow_of
from airrisk.wording.schematic.pieces import Lettering, PieceMaker
from airrisk.wording.schematic.placing import keep_places
from airrisk.wording.schematic.ports import Ports, part_edge, side_of, stretch_port
from airrisk.wording.schematic.records import (
    NO_BLOCKS,
    PITCH,
    XY,
    Blocks,
    Cell,
    Course,
    Label,
    Measure,
    Piece,
    Rect,
    Schematic,
    Symbol,
)
from airrisk.wording.schematic.routing import Grid, Way

MOST_SPARE = 2  # steps more between layers where lines found no way
TRIES = 2  # to find free ways in another order
Wire = tuple[Link, int, Piece, Piece]  # of a line, to its first or last part: part and stretch
Ways = dict[tuple[str, int], Way | None]
EMPTY = Rect(0.0, 0.0, 0.0, 0.0)


def lay_out(
    installation: Installation,
    size: float,
    measure: Measure,
    cells: Mapping[str, Cell] | None = None,
    shape: float = SHAPE,
    blocks: Blocks = NO_BLOCKS,
) -> Schematic:
    """The schematic of an installation.

    Parameters
    ----------
    installation : Installation
        What to draw. Places that its parts state for the schematic are kept.
    size : float
        Height of the names' type [px].
    measure : Measure
        Width of a name in that type [px].
    cells : Mapping, optional
        Places of parts instead of those that the file states, in steps.
    shape : float
        Width to height of the place that the drawing is to fill. Parts with a stated place stand
        among the others as a person has seen them, so the usual shape counts for them.
    blocks : Blocks
        Parts beside which there is to be room for an answer.
    """
    flow = flow_of(installation)
    maker = PieceMaker(installation, Lettering(size, measure, blocks))
    stated = {
        part.id: part.drawn for part in installation.parts() if part.drawn is not None
    } | dict(cells or {})
    best: Schematic | None = None
    # where parts have stated places, what is laid out around them must not wander off
    for spare in range(1 if stated else MOST_SPARE + 1):
        pieces = keep_places(
            stated, flow, arranged(flow, maker, spare, SHAPE if stated else shape), maker
        )
        found = _joined(flow, pieces)
        if best is None or len(found.forced) < len(best.forced):
            best = found
        if not best.forced:
            break
    assert best is not None
    return best


def what_is_laid_out(installation: Installation) -> Hashable:
    """All of an installation that a layout depends on: as long as it is equal, so is the layout."""
    parts = tuple(
        (type(part), part.id, part.drawn, getattr(part, "orientation", ""),
         getattr(part, "from_", ""), getattr(part, "to", ""))
        for part in installation.parts()
    )  # fmt: skip
    devices = tuple(
        (type(one), one.id, one.on, getattr(one, "place", "")) for one in installation.devices()
    )
    valves = tuple(replace(one, notes=(), given=frozenset()) for one in installation.valves)
    return parts, devices, valves


def _joined(flow: Flow, pieces: Mapping[str, Piece]) -> Schematic:
    """The schematic of pieces in their places."""
    grid = Grid(piece.box() for piece in pieces.values())
    ports = Ports()
    wires = []
    for link in flow.links:
        stretch = pieces[link.id]
        for number, name in enumerate((link.first, link.last)):
            wires.append((link, number, pieces[name], stretch))
    ports.assign([(part, stretch, number) for _, number, part, stretch in wires])
    wires.sort(key=lambda wire: ports.length(wire[2], wire[3], wire[1]))
    ways, bad = _routed(grid, ports, wires)
    for _ in range(TRIES):
        if not bad:
            break
        wires.sort(key=lambda wire: (wire[0].id, wire[1]) not in bad)  # those first
        other, worse = _routed(grid, ports, wires)
        if len(worse) < len(bad):
            ways = other
        bad = min(bad, worse, key=len)
    return _drawn(flow, pieces, ways)


def _routed(grid: Grid, ports: Ports, wires: Sequence[Wire]) -> tuple[Ways, set[tuple[str, int]]]:
    """The ways of all wires, one after the other, and which of them found no free one."""
    grid.clear()
    for _, number, part, stretch in wires:
        grid.keep(ports.cells(part, stretch, number))
    ways: Ways = {}
    bad = set()
    for link, number, part, stretch in wires:
        mine = ports.cells(part, stretch, number)
        grid.keep(mine, False)
        way = _way(grid, ports, part, stretch, number)
        grid.keep(mine)  # what it took is taken anyway
        ways[link.id, number] = way
        if way is None or way.forced:
            bad.add((link.id, number))
    return ways, bad


def _way(grid: Grid, ports: Ports, part: Piece, stretch: Piece, number: int) -> Way | None:
    """The way from a part to one end of a line's own stretch."""
    end = stretch_port(stretch, number)
    wanted = ports.wanted(part, stretch, number)
    for starts in (wanted, ports.free(part, stretch, number)):
        free = [port for port in starts if grid.is_free(port[0])]
        way = grid.way(free, end) if free else None
        if way is not None:
            grid.take(way.cells)
            return way
    return grid.forced_way(ports.every(part, stretch, number), end)


# -- the drawing -----------------------------------------------------------------


def _drawn(
    flow: Flow, pieces: Mapping[str, Piece], ways: Mapping[tuple[str, int], Way | None]
) -> Schematic:
    symbols: dict[str, Symbol] = {}
    labels: dict[str, Label] = {}
    courses: dict[str, Course] = {}
    for piece in pieces.values():
        at = (piece.x * PITCH, piece.y * PITCH)
        symbols.update((one.id, one.moved(*at)) for one in piece.symbols)
        labels.update((one.id, one.moved(*at)) for one in piece.labels)
    for link in flow.links:
        courses[link.id] = _course(link, pieces, ways)
        for number, name in enumerate((link.first, link.last)):
            if flow.kinds[name] == "end":
                symbols[name] = _end_symbol(symbols[name], courses[link.id], number)
    cells = {name: (pieces[name].x, pieces[name].y) for name in flow.kinds}
    blocks = {
        piece.id: piece.block.moved(piece.x * PITCH, piece.y * PITCH)
        for piece in pieces.values()
        if piece.block is not None
    }
    area = _area(symbols.values(), labels.values(), courses.values(), blocks.values())
    return Schematic(area, symbols, labels, courses, cells, blocks)


def _course(
    link: Link, pieces: Mapping[str, Piece], ways: Mapping[tuple[str, int], Way | None]
) -> Course:
    """The points of a line from its first part to its last."""
    points: list[XY] = []
    forced = False
    for number, name in enumerate((link.first, link.last)):
        way = ways[link.id, number]
        forced = forced or way is None or way.forced
        cells = () if way is None else way.cells
        run = [_edge_point(pieces[name], cells[0])] if cells else [_middle(pieces[name])]
        run += [(x * PITCH, y * PITCH) for x, y in cells]
        points += run if number == 0 else reversed(run)
    return Course(link.id, _without_straight(points), forced)


def _middle(piece: Piece) -> XY:
    return piece.x * PITCH, piece.y * PITCH


def _edge_point(part: Piece, cell: Cell) -> XY:
    """Where the way that begins at a cell leaves the outline of its part."""
    side = side_of(part, *cell)
    shift = cell[1] - part.y if side % 2 == 0 else cell[0] - part.x
    x, y = part_edge(part, side, shift)
    return part.x * PITCH + x, part.y * PITCH + y


def _without_straight(points: Sequence[XY]) -> tuple[XY, ...]:
    """Corners only."""
    kept: list[XY] = []
    for point in points:
        if kept and abs(kept[-1][0] - point[0]) < 1e-6 and abs(kept[-1][1] - point[1]) < 1e-6:
            continue
        while len(kept) > 1 and _on_one_line(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return tuple(kept)


def _on_one_line(a: XY, b: XY, c: XY) -> bool:
    return any(abs(a[k] - b[k]) < 1e-6 and abs(b[k] - c[k]) < 1e-6 for k in (0, 1))


def _end_symbol(symbol: Symbol, course: Course, number: int) -> Symbol:
    """An open or closed end, turned as its line arrives."""
    inner, outer = course.points[1 if number == 0 else -2], course.points[0 if number == 0 else -1]
    if abs(outer[0] - inner[0]) >= abs(outer[1] - inner[1]):
        turn = 0.0 if outer[0] >= inner[0] else 180.0
    else:
        turn = 90.0 if outer[1] >= inner[1] else -90.0
    return replace(symbol, turn=turn)


def _area(
    symbols: Iterable[Symbol], labels: Iterable[Label], courses: Iterable[Course],
    blocks: Iterable[Rect],
) -> Rect:  # fmt: skip
    rects = [*(symbol.rect for symbol in symbols), *blocks]
    rects += [rect for label in labels for rect in (label.rect, label.mark)]
    rects += [Rect(x, y, x, y) for course in courses for x, y in course.points]
    area = rects[0] if rects else EMPTY
    for rect in rects:
        area = area.joined(rect)
    return area
