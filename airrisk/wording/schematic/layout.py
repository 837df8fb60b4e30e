"""Lays an installation out: layers, order, places, then the ways of the lines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from airrisk.installation.model import Installation
from airrisk.wording.schematic.graph import Flow, Link, components, flow_of, layers
from airrisk.wording.schematic.ordering import layered, put_in_order, put_in_place, spread
from airrisk.wording.schematic.pieces import Lettering, PieceMaker
from airrisk.wording.schematic.placing import keep_places
from airrisk.wording.schematic.records import (
    PITCH,
    XY,
    Cell,
    Course,
    Label,
    Measure,
    Piece,
    Rect,
    Schematic,
    Symbol,
)
from airrisk.wording.schematic.routing import STEPS, Grid, Port, Way

ROWS_BETWEEN = 3  # free steps between what does not hang together
MOST_SPARE = 2  # steps more between layers where lines found no way
TRIES = 2  # to find free ways in another order
Wire = tuple[Link, int, Piece, Piece]  # of a line, to its first or last part: part and stretch
Ways = dict[tuple[str, int], Way | None]
EMPTY = Rect(0.0, 0.0, 0.0, 0.0)


def lay_out(installation: Installation, size: float, measure: Measure) -> Schematic:
    """The schematic of an installation.

    Parameters
    ----------
    installation : Installation
        What to draw. Places that its parts state for the schematic are kept.
    size : float
        Height of the names' type [px].
    measure : Measure
        Width of a name in that type [px].
    """
    flow = flow_of(installation)
    maker = PieceMaker(installation, Lettering(size, measure))
    best: Schematic | None = None
    for spare in range(MOST_SPARE + 1):
        pieces = keep_places(installation, flow, _stacked(flow, maker, spare), maker)
        found = _joined(flow, pieces)
        if best is None or len(found.forced) < len(best.forced):
            best = found
        if not best.forced:
            break
    assert best is not None
    return best


def _stacked(flow: Flow, maker: PieceMaker, spare: int) -> dict[str, Piece]:
    """All pieces in places; what does not hang together stands one below the other."""
    pieces: dict[str, Piece] = {}
    top = 0
    for each in components(flow):
        mine = _placed(each, maker, spare)
        rows = [piece.box() for piece in mine.values()]
        highest, lowest = min(box[2] for box in rows), max(box[3] for box in rows)
        for piece in mine.values():
            piece.y += top - highest
        top += lowest - highest + 1 + ROWS_BETWEEN
        pieces.update(mine)
    return pieces


def _placed(flow: Flow, maker: PieceMaker, spare: int) -> dict[str, Piece]:
    """The pieces of what hangs together, in their columns and rows."""
    layer = layers(flow)
    pieces: dict[str, Piece] = {}
    for name, kind in flow.kinds.items():
        pieces[name] = maker.part(name, kind, _most_on_a_side(name, flow, layer))
    for link in flow.links:
        upright = layer[link.first] == layer[link.last] and link.first != link.last
        backward = layer[link.first] > layer[link.last]
        pieces[link.id] = maker.stretch(link.id, upright, backward)
    found = layered(flow, layer, pieces)
    put_in_order(found)
    row = {name: index for names in found.rows for index, name in enumerate(names)}
    for link in flow.links:
        if link.id in found.across and row[link.first] > row[link.last]:
            pieces[link.id] = maker.stretch(link.id, upright=True, backward=True)
    put_in_place(found, lambda name: side_room(pieces.get(name)), spare)
    for number, names in enumerate(found.rows):
        for name in names:
            if name in pieces:
                pieces[name].x, pieces[name].y = found.x[number], found.y[name]
    return pieces


def _most_on_a_side(name: str, flow: Flow, layer: Mapping[str, int]) -> int:
    sides = {-1: 0, 0: 0, 1: 0}
    for link in flow.links:
        for here, there in ((link.first, link.last), (link.last, link.first)):
            if here == name:
                step = layer[there] - layer[here]
                sides[(step > 0) - (step < 0)] += 1
    most = max(sides[-1], sides[1])
    if flow.kinds[name] == "junction" and most <= 3 and sum(sides.values()) <= 4:
        return 1  # each of its four sides takes one
    return most


def side_room(piece: Piece | None) -> int:
    """How many steps from its middle the outermost line may meet a side of a piece."""
    if piece is None or piece.is_line or piece.kind == "end":
        return 0
    if piece.kind in ("junction", "consumer"):
        return int(piece.half[1] // PITCH)
    # of a vessel: as high as its wall is straight; devices at its side stand above that
    return max(int((piece.half[1] - abs(piece.middle[1])) // PITCH) - 1, 1)


# -- ways ------------------------------------------------------------------------


def _joined(flow: Flow, pieces: Mapping[str, Piece]) -> Schematic:
    """The schematic of pieces in their places."""
    grid = Grid(piece.box() for piece in pieces.values())
    ports = _Ports(pieces, grid)
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


def _routed(grid: Grid, ports: _Ports, wires: Sequence[Wire]) -> tuple[Ways, set[tuple[str, int]]]:
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


def _way(grid: Grid, ports: _Ports, part: Piece, stretch: Piece, number: int) -> Way | None:
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


def stretch_port(piece: Piece, number: int) -> Port:
    """Where a wire meets the first (0) or last (1) end of a line's own stretch."""
    low = (number == 0) != piece.backward
    if piece.upright:
        return (
            ((piece.x, piece.y - piece.up - 1), 3)
            if low
            else ((piece.x, piece.y + piece.down + 1), 1)
        )
    return (
        ((piece.x - piece.left - 1, piece.y), 2)
        if low
        else ((piece.x + piece.right + 1, piece.y), 0)
    )


class _Ports:
    """Where wires may meet each part."""

    def __init__(self, pieces: Mapping[str, Piece], grid: Grid) -> None:
        self._grid = grid
        self._wanted: dict[tuple[str, str, int], list[Port]] = {}

    def assign(self, wires: Sequence[tuple[Piece, Piece, int]]) -> None:
        """Share each side of each part out among the wires that come from there."""
        groups: dict[tuple[str, int], list[tuple[int, Piece, Piece, int]]] = defaultdict(list)
        for part, stretch, number in wires:
            (x, y), _ = stretch_port(stretch, number)
            side = _side(part, x, y)
            order = y if side % 2 == 0 else x
            groups[part.id, side].append((order, part, stretch, number))
        for (_, side), members in groups.items():
            members.sort(key=lambda one: (one[0], one[2].y))
            part = members[0][1]
            shifts = spread(len(members), side_room(part) if side % 2 == 0 else 0)
            for (_, part, stretch, number), shift in zip(members, shifts, strict=True):
                port = part_port(part, side, shift)
                self._wanted[part.id, stretch.id, number] = [] if port is None else [port]

    def wanted(self, part: Piece, stretch: Piece, number: int) -> list[Port]:
        """The port on the side where the stretch is; of a junction, whichever is best."""
        if part.kind == "junction" and side_room(part) == 0:
            return self.free(part, stretch, number)
        return self._wanted[part.id, stretch.id, number]

    def free(self, part: Piece, stretch: Piece, number: int) -> list[Port]:
        """Every port that nothing stands before, the nearest first."""
        room = side_room(part)
        places = [0, *(one for step in range(1, room + 1) for one in (step, -step))]
        found = [part_port(part, side, shift) for side in (0, 2) for shift in places]
        found += [part_port(part, side, 0) for side in (1, 3)]
        aim, _ = stretch_port(stretch, number)
        ports = [port for port in found if port is not None]
        ports.sort(key=lambda port: abs(port[0][0] - aim[0]) + abs(port[0][1] - aim[1]))
        return ports

    def cells(self, part: Piece, stretch: Piece, number: int) -> list[Cell]:
        """Where a wire may begin or end, and no wire of another part should pass."""
        return [
            cell for cell, _ in (*self.wanted(part, stretch, number), stretch_port(stretch, number))
        ]

    def every(self, part: Piece, stretch: Piece, number: int) -> list[Port]:
        """Ports to begin at when all else fails."""
        return self.wanted(part, stretch, number) or self.free(part, stretch, number)

    def length(self, part: Piece, stretch: Piece, number: int) -> tuple[bool, int]:
        """Straight ways first, then short ones."""
        (x, y), _ = stretch_port(stretch, number)
        starts = self._wanted[part.id, stretch.id, number] or [((part.x, part.y), 0)]
        (a, b), _ = starts[0]
        return (x != a and y != b, abs(x - a) + abs(y - b))


def _side(part: Piece, x: int, y: int) -> int:
    """On which side of a part a cell lies: right, below, left or above (0 to 3)."""
    left, right, top, bottom = part.box()
    if x > right:
        return 0
    if x < left:
        return 2
    return 1 if y > bottom else 3 if y < top else 0


def part_port(part: Piece, side: int, shift: int) -> Port | None:
    """Where a wire leaves a side of a part; None where a name or a device stands before it."""
    dx, dy = STEPS[side]
    reach = (part.right, part.down, part.left, part.up)[side] + 1
    cell = (
        part.x + dx * reach + (shift if dy else 0),
        part.y + dy * reach + (shift if dx else 0),
    )
    start = part_edge(part, side, shift)
    end = ((cell[0] - part.x) * PITCH, (cell[1] - part.y) * PITCH)
    stub = Rect(
        min(start[0], end[0]), min(start[1], end[1]), max(start[0], end[0]), max(start[1], end[1])
    ).grown(1.0)
    symbols = [one.rect for one in part.symbols if one.id != part.id]
    names = [rect for label in part.labels for rect in (label.rect, label.mark)]
    if any(stub.meets(rect) for rect in [*symbols, *names]):
        return None
    return cell, side


def part_edge(part: Piece, side: int, shift: int) -> XY:
    """Where a wire begins on the outline of a part, against the part's middle."""
    half_x, half_y = part.half
    x, y = part.middle
    aside = shift * PITCH
    if part.kind == "compressor" and aside:
        half_x = half_y = max(half_x**2 - aside**2, 0.0) ** 0.5
    if side % 2 == 0:
        return (x + (half_x if side == 0 else -half_x), aside)
    return (aside, y + (half_y if side == 1 else -half_y))


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
    return Schematic(_area(symbols.values(), labels.values(), courses.values()), symbols, labels,
                     courses, cells)  # fmt: skip


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
    side = _side(part, *cell)
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


def _area(symbols: Iterable[Symbol], labels: Iterable[Label], courses: Iterable[Course]) -> Rect:
    rects = [symbol.rect for symbol in symbols]
    rects += [rect for label in labels for rect in (label.rect, label.mark)]
    rects += [Rect(x, y, x, y) for course in courses for x, y in course.points]
    area = rects[0] if rects else EMPTY
    for rect in rects:
        area = area.joined(rect)
    return area
