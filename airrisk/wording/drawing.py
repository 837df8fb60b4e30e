"""The flow drawing of an installation: where each part stands and how it is drawn.

Columns follow the flow from the compressors; a line that passes a column gets a place of its own
there, so that no line runs through a part. The drawing is not to scale.
"""

from __future__ import annotations

import itertools
import math
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Consumer,
    Device,
    Installation,
    Junction,
    Line,
    Plug,
    ReliefValve,
    Valve,
    Vessel,
)
from airrisk.wording import labels
from airrisk.wording.chart_kinds import COLOURS
from airrisk.wording.figures import Disc, Figure, Item, Stroke, Words, rectangle
from airrisk.wording.translation import tr

COLUMN = 104.0
ROW = 84.0
EDGE = 30.0
INK = "#303030"
PALE = "#F2F2F2"


@dataclass(frozen=True)
class Box:
    """Where a part stands: centre, half width, half height, points."""

    id: str
    kind: str  # compressor | vessel | junction | consumer | end
    x: float
    y: float
    half_width: float
    half_height: float


@dataclass(frozen=True)
class Route:
    """The way of one line between two boxes."""

    id: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Layout:
    """Boxes and routes of a drawing of some size."""

    width: float
    height: float
    boxes: Mapping[str, Box]
    routes: Mapping[str, Route]


_SIZES = {
    "compressor": (15.0, 15.0),
    "vessel": (13.0, 21.0),
    "junction": (3.0, 3.0),
    "consumer": (11.0, 8.0),
    "end": (3.0, 3.0),
}
_LOOSE_ENDS = ("closed", "atmosphere")


def _end_name(line: Line, which: str) -> str:
    name = line.from_ if which == "from" else line.to
    return f"{line.id}:{which}" if name in _LOOSE_ENDS else name


def _nodes(installation: Installation) -> dict[str, str]:
    nodes: dict[str, str] = {}
    for part in installation.parts():
        if isinstance(part, Compressor):
            nodes[part.id] = "compressor"
        elif isinstance(part, Vessel):
            nodes[part.id] = "vessel"
        elif isinstance(part, Junction):
            nodes[part.id] = "junction"
        elif isinstance(part, Consumer):
            nodes[part.id] = "consumer"
    for line in installation.lines:
        for which in ("from", "to"):
            name = _end_name(line, which)
            if name not in nodes:
                nodes[name] = "end"
    return nodes


def _columns(installation: Installation, nodes: Mapping[str, str]) -> dict[str, int]:
    neighbours: dict[str, list[str]] = {name: [] for name in nodes}
    for line in installation.lines:
        a, b = _end_name(line, "from"), _end_name(line, "to")
        neighbours[a].append(b)
        neighbours[b].append(a)
    column: dict[str, int] = {}
    starts = [name for name, kind in nodes.items() if kind == "compressor"]
    for start in [*starts, *nodes]:
        if start in column:
            continue
        if start in starts:
            queue = deque(s for s in starts if s not in column)
            column.update(dict.fromkeys(queue, 0))
        else:
            queue = deque([start])
            column[start] = 0
        while queue:
            name = queue.popleft()
            for other in neighbours[name]:
                if other not in column:
                    column[other] = column[name] + 1
                    queue.append(other)
    return column


def lay_out(installation: Installation) -> Layout:
    """Places for all parts and ways for all lines.

    Parameters
    ----------
    installation : Installation
        What to draw.
    """
    nodes = _nodes(installation)
    column = _columns(installation, nodes)
    places: dict[int, list[str]] = {}
    for name in nodes:
        places.setdefault(column[name], []).append(name)
    chains: dict[str, list[str]] = {}
    before: dict[str, list[str]] = {}
    for line in installation.lines:
        a, b = _end_name(line, "from"), _end_name(line, "to")
        if column[a] > column[b]:
            a, b = b, a
        chain = [a]
        for col in range(column[a] + 1, column[b]):
            stop = f"{line.id}@{col}"
            places.setdefault(col, []).append(stop)
            chain.append(stop)
        chain.append(b)
        chains[line.id] = chain
        for first, second in itertools.pairwise(chain):
            before.setdefault(second, []).append(first)
    rows: dict[str, float] = {}
    for col in sorted(places):
        names = places[col]
        order = {name: i for i, name in enumerate(names)}

        def wish(name: str, order: Mapping[str, int] = order) -> tuple[float, int]:
            parents = [rows[p] for p in before.get(name, ()) if p in rows]
            return (sum(parents) / len(parents) if parents else float(order[name]), order[name])

        names.sort(key=wish)
        middle = (len(names) - 1) / 2
        for index, name in enumerate(names):
            rows[name] = index - middle
    tallest = max((len(names) for names in places.values()), default=1)
    widest = max(places, default=0) + 1
    width = 2 * EDGE + (widest - 1) * COLUMN + 40.0
    height = 2 * EDGE + (tallest - 1) * ROW + 66.0
    col_of = {name: col for col, names in places.items() for name in names}

    def position(name: str) -> tuple[float, float]:
        return EDGE + 20.0 + col_of[name] * COLUMN, height / 2 - rows[name] * ROW

    boxes = {name: Box(name, kind, *position(name), *_SIZES[kind]) for name, kind in nodes.items()}
    ports = _ports(installation, boxes, chains, position)
    routes = {
        line.id: _route(line, chains[line.id], boxes, position, column, ports)
        for line in installation.lines
    }
    return Layout(width, height, boxes, routes)


def _ports(
    installation: Installation,
    boxes: Mapping[str, Box],
    chains: Mapping[str, list[str]],
    position: Callable[[str], tuple[float, float]],
) -> dict[tuple[str, str], float]:
    """Height at which a line meets a box, so that lines on one side do not run together."""
    sides: dict[tuple[str, str], list[tuple[float, str]]] = {}
    for line in installation.lines:
        chain = chains[line.id]
        for end, other in ((chain[0], chain[1]), (chain[-1], chain[-2])):
            x, _ = position(end)
            nx, ny = position(other)
            sides.setdefault((end, "right" if nx >= x else "left"), []).append((-ny, line.id))
    ports: dict[tuple[str, str], float] = {}
    for (name, _), found in sides.items():
        box = boxes[name]
        room = 2.0 * box.half_height - 14.0 if box.kind == "vessel" else 0.0
        found.sort()
        count = len(found)
        for index, (_, line_id) in enumerate(found):
            shift = 0.0 if count == 1 else room * (0.5 - index / (count - 1))
            ports[line_id, name] = box.y + shift
    return ports


def _route(
    line: Line,
    chain: list[str],
    boxes: Mapping[str, Box],
    position: Callable[[str], tuple[float, float]],
    column: Mapping[str, int],
    ports: Mapping[tuple[str, str], float],
) -> Route:
    points: list[tuple[float, float]] = []
    first, last = boxes[chain[0]], boxes[chain[-1]]
    start, end = ports[line.id, first.id], ports[line.id, last.id]
    if first.x == last.x:  # same column: run beside it
        side = first.x + COLUMN * 0.36
        points = [
            (first.x + first.half_width, start), (side, start), (side, end),
            (last.x + last.half_width, end),
        ]  # fmt: skip
    else:
        x, y = first.x + first.half_width, start
        points = [(x, y)]
        for name in chain[1:]:
            nx, ny = position(name)
            ny = end if name == last.id else ny
            half = boxes[name].half_width if name in boxes else 0.0
            bend = nx - COLUMN * 0.55
            if abs(ny - y) > 0.1:
                points += [(bend, y), (bend, ny)]
            points.append((nx - half, ny))
            y = ny
    if column[_end_name(line, "from")] > column[_end_name(line, "to")]:
        points.reverse()
    return Route(line.id, tuple(points))


def _vessel_items(box: Box) -> list[Item]:
    w, h, bulge = box.half_width, box.half_height, 6.0
    outline = []
    for step in range(9):  # half an ellipse for each head
        angle = math.pi * step / 8
        outline.append((box.x + w * math.cos(angle), box.y + h - bulge + bulge * math.sin(angle)))
    for step in range(9):
        angle = math.pi + math.pi * step / 8
        outline.append((box.x + w * math.cos(angle), box.y - h + bulge + bulge * math.sin(angle)))
    return [Stroke(tuple(outline), INK, 1.2, (), True, PALE)]


def _part_items(box: Box, loose: Mapping[str, str]) -> list[Item]:
    x, y, w, h = box.x, box.y, box.half_width, box.half_height
    label = Words(x, y - h - 10.0, box.id, 8.0, "middle", bold=True)
    if box.kind == "compressor":
        r = w
        return [
            Disc(x, y, r, INK, 1.2, PALE),
            Stroke(((x - r * 0.75, y + r * 0.66), (x + r * 0.94, y + r * 0.34)), INK, 1.0),
            Stroke(((x - r * 0.75, y - r * 0.66), (x + r * 0.94, y - r * 0.34)), INK, 1.0),
            label,
        ]
    if box.kind == "vessel":
        return [*_vessel_items(box), label]
    if box.kind == "junction":
        return [Disc(x, y, 2.4, INK, 1.0, INK), Words(x, y - 11.0, box.id, 7.0, "middle")]
    if box.kind == "consumer":
        return [
            Stroke(((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h)), INK, 1.0,
                   (2.0, 1.5), True, "#FFFFFF"),
            label,
        ]  # fmt: skip
    if loose.get(box.id) == "closed":
        return [Stroke(((x, y - 5), (x, y + 5)), INK, 2.0)]
    return [
        Stroke(((x, y - 4), (x + 7, y), (x, y + 4)), INK, 1.2),
        Words(x + 2, y - 12.0, tr("to atmosphere"), 6.5, "middle"),
    ]


def _valve_items(valve: Valve, x: float, y: float, upright: bool, flow: float) -> list[Item]:
    w, h = (3.6, 5.5) if upright else (5.5, 3.6)
    closed = valve.state == "closed"
    fill = INK if closed else "#FFFFFF"
    items: list[Item]
    if upright:
        bow = (
            ((x - w, y - h), (x + w, y - h), (x, y)),
            ((x - w, y + h), (x + w, y + h), (x, y)),
        )
    else:
        bow = (
            ((x - w, y - h), (x - w, y + h), (x, y)),
            ((x + w, y - h), (x + w, y + h), (x, y)),
        )
    if valve.kind == "non-return":
        way = -flow if valve.reverse else flow
        tip = (x, y + way * h) if upright else (x + way * w, y)
        back = (
            ((x - w, y - way * h), (x + w, y - way * h))
            if upright
            else ((x - way * w, y - h), (x - way * w, y + h))
        )
        bar = ((x - w, tip[1]), (x + w, tip[1])) if upright else ((tip[0], y - h), (tip[0], y + h))
        items = [Stroke((*back, tip), INK, 0.9, (), True, "#FFFFFF"), Stroke(bar, INK, 1.2)]
    else:
        items = [Stroke(points, INK, 0.9, (), True, fill) for points in bow]
        if valve.state == "locked open":
            items.append(rectangle((x - 1.8, y + 4.6), (3.6, 3.0), colour=INK, line=0.7, fill=INK))
    name = Words(x, y + (10.0 if valve.state == "locked open" else 7.0), valve.id, 6.5, "middle")
    if upright:
        name = Words(x + 7.0, y - 2.0, valve.id, 6.5, "start")
    return [*items, name]


def _along(
    points: tuple[tuple[float, float], ...], distance: float
) -> tuple[float, float, bool, float]:
    """Point at a distance along a route, whether the way is upright there, and its direction."""
    left = distance
    for (x1, y1), (x2, y2) in itertools.pairwise(points):
        size = abs(x2 - x1) + abs(y2 - y1)
        if size and left <= size:
            part = left / size
            upright = abs(y2 - y1) > abs(x2 - x1)
            direction = (y2 - y1 if upright else x2 - x1) / size
            return x1 + part * (x2 - x1), y1 + part * (y2 - y1), upright, direction
        left -= size
    (x1, y1), (x2, y2) = points[-2], points[-1]
    upright = abs(y2 - y1) > abs(x2 - x1)
    return x2, y2, upright, 1.0


def _label_place(
    points: tuple[tuple[float, float], ...],
    total: float,
    valves: tuple[int, int],
    used: list[tuple[float, float]],
    others: Sequence[tuple[tuple[float, float], ...]] = (),
) -> tuple[float, float, bool, float]:
    """Where a line carries its name and devices: its longest level stretch that is left free.

    ``valves`` are their numbers on the first and on the last stretch, ``used`` the places that
    other lines have taken; the chosen one is added. A stretch that one of the ``others`` runs
    along too is the last choice. Place, whether the line is upright there, and how far the name
    stands off the place.
    """
    stretches = list(itertools.pairwise(points))
    level = []
    beside = abs(points[0][0] - points[-1][0]) < 0.1  # runs beside a column, on its own upright
    for index, ((x1, y1), (x2, y2)) in enumerate(stretches):
        if beside or abs(y2 - y1) >= 0.1 or abs(x2 - x1) <= 18.0:
            continue
        way = 1.0 if x2 > x1 else -1.0
        first, last = index == 0, index == len(stretches) - 1
        start = x1 + way * (_taken(valves[0]) if first else 0.0)
        end = x2 - way * (_taken(valves[1]) if last else 0.0)
        low, high = min(start, end), max(start, end)
        alone = _alone(low, high, y1, others) if way * (end - start) > 0.0 else []
        level += [(False, b - a, (a + b) / 2, y1) for a, b in alone if b - a > 10.0]
        level.append((True, way * (end - start), (start + end) / 2, y1))
        if way * (end - start) > 50.0:  # long enough to stand apart from a line that shares it
            level.append((True, 10.0, start + 0.9 * (end - start), y1))
    upright_alone = _upright_alone(stretches, others, used)
    for shared, free, x, y in sorted(level, key=lambda found: (found[0], -found[1])):
        if shared and upright_alone is not None:
            break
        if all(abs(x - other) > 20.0 or abs(y - height) > 8.0 for other, height in used):
            shift = 0.2 * free if free > 40.0 else 0.0
            crowded = any(abs(x - shift - other) < 20.0 and abs(y - h) < 8.0 for other, h in used)
            used.append((x, y))
            return x, y, False, shift if crowded else -shift
    if upright_alone is not None:
        used.append(upright_alone)
        return *upright_alone, True, 0.0
    for (x1, y1), (_, y2) in stretches:
        if abs(y2 - y1) > 18.0:
            used.append((x1, (y1 + y2) / 2))
            return x1, (y1 + y2) / 2, True, 0.0
    x, y, upright, _ = _along(points, 0.5 * total)
    used.append((x, y))
    return x, y, upright, 0.0


def _upright_alone(
    stretches: Sequence[tuple[tuple[float, float], tuple[float, float]]],
    others: Sequence[tuple[tuple[float, float], ...]],
    used: Sequence[tuple[float, float]],
) -> tuple[float, float] | None:
    """The middle of an upright stretch that no other line runs along and no name stands at."""
    turned = [tuple((y, x) for x, y in points) for points in others]
    for (x1, y1), (x2, y2) in stretches:
        if abs(x2 - x1) > 0.1 or abs(y2 - y1) <= 18.0:
            continue
        for low, high in _alone(min(y1, y2), max(y1, y2), x1, turned):
            middle = (low + high) / 2
            free = all(abs(x1 - x) > 20.0 or abs(middle - y) > 12.0 for x, y in used)
            if high - low > 18.0 and free:
                return x1, middle
    return None


def _alone(
    low: float, high: float, y: float, others: Sequence[tuple[tuple[float, float], ...]]
) -> list[tuple[float, float]]:
    """The pieces of a level stretch that no other line runs along."""
    pieces = [(low, high)]
    for (x1, y1), (x2, y2) in itertools.chain.from_iterable(map(itertools.pairwise, others)):
        if abs(y1 - y) < 0.1 and abs(y2 - y) < 0.1:
            left, right = min(x1, x2), max(x1, x2)
            pieces = [
                (a, b)
                for start, end in pieces
                for a, b in ((start, min(end, left)), (max(start, right), end))
                if b > a
            ]
    return pieces


def _taken(valves: int) -> float:
    """Length of a stretch that valves at its end take."""
    return 24.0 + 15.0 * (valves - 1) if valves else 0.0


def _length(points: tuple[tuple[float, float], ...]) -> float:
    return sum(abs(x2 - x1) + abs(y2 - y1) for (x1, y1), (x2, y2) in itertools.pairwise(points))


def _device_items(device: object, x: float, y: float) -> list[Item]:
    plug = COLOURS["plug"][0]
    other = COLOURS["device"][0]
    name = getattr(device, "id", "")
    stem: list[Item] = [Stroke(((x, y), (x, y + 7)), INK, 1.0)]
    if isinstance(device, Plug):
        body = Stroke(
            ((x - 4, y + 7), (x + 4, y + 7), (x + 3, y + 15), (x - 3, y + 15)), plug, 1.2, (),
            True, plug,
        )  # fmt: skip
        return [*stem, body, Words(x, y + 18.0, name, 6.5, "middle")]
    if isinstance(device, ReliefValve):
        body = Stroke(
            ((x - 4, y + 7), (x + 4, y + 7), (x, y + 14)), other, 1.2, (), True, "#FFFFFF"
        )
        spring = Stroke(
            ((x, y + 14), (x - 2.5, y + 15.5), (x + 2.5, y + 17), (x - 2.5, y + 18.5), (x, y + 20)),
            other, 1.0,
        )  # fmt: skip
        return [*stem, body, spring, Words(x, y + 23.0, name, 6.5, "middle")]
    return [
        *stem,
        Stroke(((x - 5, y + 7), (x + 5, y + 7)), other, 1.6),
        Stroke(((x - 5, y + 7), (x, y + 11), (x + 5, y + 7)), other, 1.0),
        Words(x, y + 14.0, name, 6.5, "middle"),
    ]


def flow_drawing(installation: Installation) -> Figure:
    """The installation as a flow drawing with parts, lines, valves and devices.

    Parameters
    ----------
    installation : Installation
        What to draw.

    Returns
    -------
    Figure
        Not to scale; its natural size grows with the number of parts.
    """
    layout = lay_out(installation)
    loose = {
        _end_name(line, which): (line.from_ if which == "from" else line.to)
        for line in installation.lines
        for which in ("from", "to")
    }
    items: list[Item] = []
    used: list[tuple[float, float]] = []
    for line in installation.lines:
        route = layout.routes[line.id]
        items.append(Stroke(route.points, COLOURS["air"][0], 1.4))
    for line in installation.lines:
        points = layout.routes[line.id].points
        total = _length(points)
        for which in ("from", "to"):
            ordered = sorted(
                (v for v in installation.valves if v.on == line.id and (v.end or "from") == which),
                key=lambda v: v.order,
            )
            for index, valve in enumerate(ordered):
                step = min(16.0 + 15.0 * index, 0.45 * total)
                x, y, upright, flow = _along(points, step if which == "from" else total - step)
                items += _valve_items(valve, x, y, upright, flow)
        mine = [v.end or "from" for v in installation.valves if v.on == line.id]
        counts = (mine.count("from"), mine.count("to"))
        others = [route.points for name, route in layout.routes.items() if name != line.id]
        x, y, upright, shift = _label_place(points, total, counts, used, others)
        items.append(
            Words(x + 4.0, y - 3.0, line.id, 6.5, "start", COLOURS["air"][0])
            if upright
            else Words(
                x + shift, y - 9.0, line.id, 6.5, "middle",
                COLOURS["air"][0],
            )
        )  # fmt: skip
        for device, shift in _in_a_row(installation, line.id, 16.0):
            items += _standing_items(installation, device, x + shift, y)
    for box in layout.boxes.values():
        items += _part_items(box, loose)
        for device, shift in _in_a_row(installation, box.id, 22.0):
            top = box.y + box.half_height - (4.0 if shift and box.kind == "vessel" else 0.0)
            stand = max(-box.half_width + 2.0, min(box.half_width - 2.0, shift))
            if abs(stand - shift) > 0.1:
                items.append(Stroke(((box.x + stand, top), (box.x + shift, top + 4.0)), INK, 1.0))
                top += 4.0
            items += _standing_items(installation, device, box.x + shift, top)
    return Figure(
        layout.width,
        layout.height,
        tuple(items),
        tr("Flow drawing, not to scale"),
        describe(installation),
    )


def _in_a_row(installation: Installation, part: str, step: float) -> list[tuple[Device, float]]:
    """The devices on a part, each with its shift from the middle [points]."""
    fitted = [device for device in installation.devices() if device.on == part]
    return [(d, (index - (len(fitted) - 1) / 2) * step) for index, d in enumerate(fitted)]


def _standing_items(installation: Installation, device: Device, x: float, y: float) -> list[Item]:
    """A device with the valves below it."""
    items = _device_items(device, x, y)
    for valve in installation.valves:
        if valve.on == device.id:
            items += _valve_items(valve, x, y + 3.5, True, 1.0)
    return items


def describe(installation: Installation) -> str:
    """The drawing in words: every line with what it joins, every device with its place."""
    joins = [
        tr("{line} from {a} to {b}").format(line=line.id, a=line.from_, b=line.to)
        for line in installation.lines
    ]
    devices = [
        tr("{kind} {device} on {part}").format(
            kind=labels.part_kind(_device_kind(device)), device=device.id, part=device.on
        )
        for device in installation.devices()
    ]
    return "; ".join([*joins, *devices]) + "."


def _device_kind(device: object) -> str:
    if isinstance(device, Plug):
        return "plug"
    if isinstance(device, BurstingDisc):
        return "bursting_disc"
    return "relief_valve"
