"""Where the parts stand in the drawing: the file's positions, or layers in flow order.

Pure arithmetic, no Qt. Positions are metres, x to the right, y up.
"""

from __future__ import annotations

import bisect
from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise

from airrisk.installation.model import Installation

Point = tuple[float, float]
LAYER_STEP = 3.0  # m between layers of the automatic layout
ROW_STEP = 2.2  # m between parts of one layer
NARROWEST, WIDEST = 84.0, 150.0  # pixels between neighbours when not drawn to scale


def node_ids(installation: Installation) -> list[str]:
    """Everything that has a place of its own: all parts except lines."""
    lines = {line.id for line in installation.lines}
    return [part.id for part in installation.parts() if part.id not in lines]


def placed_by_file(installation: Installation) -> bool:
    """Whether every part that has a place states it."""
    lines = {line.id for line in installation.lines}
    parts = [part for part in installation.parts() if part.id not in lines]
    return bool(parts) and all(part.at is not None for part in parts)


def _layers(
    nodes: list[str], links: Iterable[tuple[str, str]], sources: list[str]
) -> dict[str, int]:
    """Longest way from the sources in flow direction; links that close a ring are left out."""
    after: dict[str, list[str]] = defaultdict(list)
    for first, second in links:
        after[first].append(second)
    layer: dict[str, int] = {}
    on_way: set[str] = set()

    def walk(node: str, depth: int) -> None:
        if node in on_way or layer.get(node, -1) >= depth or depth > len(nodes):
            return
        layer[node] = depth
        on_way.add(node)
        for following in after[node]:
            walk(following, depth + 1)
        on_way.discard(node)

    entered = {second for _first, second in links}
    for node in sources or [n for n in nodes if n not in entered] or nodes[:1]:
        walk(node, 0)
    for node in nodes:
        if node not in layer:
            walk(node, 0)
    return layer


def layered(installation: Installation) -> dict[str, Point]:
    """Positions by flow order: compressors left, points of use right."""
    nodes = node_ids(installation)
    known = {node.casefold(): node for node in nodes}
    links = [
        (known[line.from_.casefold()], known[line.to.casefold()])
        for line in installation.lines
        if line.from_.casefold() in known and line.to.casefold() in known
    ]
    sources = [compressor.id for compressor in installation.compressors]
    layer = _layers(nodes, links, sources)
    rows: dict[int, list[str]] = defaultdict(list)
    for node in nodes:
        rows[layer[node]].append(node)
    before: dict[str, list[str]] = defaultdict(list)
    for first, second in links:
        before[second].append(first)
    places: dict[str, Point] = {}
    for depth in sorted(rows):
        members = rows[depth]

        def wanted(node: str) -> float:
            ys = [places[b][1] for b in before[node] if b in places]
            return -sum(ys) / len(ys) if ys else 0.0

        members.sort(key=wanted)  # stable: file order among equals
        height = (len(members) - 1) * ROW_STEP
        for row, node in enumerate(members):
            places[node] = (depth * LAYER_STEP, height / 2 - row * ROW_STEP)
    return places


def positions(installation: Installation) -> dict[str, Point]:
    """A place for every part that has one; stated places are kept, missing ones are found."""
    stated = {
        part.id: part.at
        for part in installation.parts()
        if part.at is not None and part.id in set(node_ids(installation))
    }
    automatic = layered(installation)
    if not stated:
        return automatic
    neighbours: dict[str, list[str]] = defaultdict(list)
    for line in installation.lines:
        neighbours[line.from_].append(line.to)
        neighbours[line.to].append(line.from_)
    places: dict[str, Point] = dict(stated)
    taken = set(places.values())
    for node in node_ids(installation):
        if node in places:
            continue
        near = [places[n] for n in neighbours[node] if n in places]
        if near:
            x = sum(p[0] for p in near) / len(near) + LAYER_STEP * 0.6
            y = sum(p[1] for p in near) / len(near)
        else:
            x = max(p[0] for p in places.values()) + LAYER_STEP
            y = min(p[1] for p in places.values())
        while any(abs(x - px) < 1.5 and abs(y - py) < 1.2 for px, py in taken):
            y -= ROW_STEP
        places[node] = (x, y)
        taken.add((x, y))
    return places


class Stretch:
    """Plan metres to pixels and back, each axis by itself.

    To scale both axes are one straight line. Otherwise wide gaps are drawn narrower and narrow
    ones wider, so that every part can be read; the order of the parts stays as it is.
    """

    def __init__(self, places: dict[str, Point], to_scale: bool) -> None:
        """Make the two axes for parts at these places."""
        self.scale = drawing_scale(places)
        xs = [place[0] for place in places.values()]
        ys = [place[1] for place in places.values()]
        self._x = _Axis(xs, self.scale, to_scale)
        self._y = _Axis(ys, self.scale, to_scale)

    def to_pixels(self, place: Point) -> Point:
        """A plan position as pixels, y down."""
        return self._x.forward(place[0]), -self._y.forward(place[1])

    def to_metres(self, point: Point) -> Point:
        """Pixels, y down, as plan position rounded to a centimetre."""
        return round(self._x.back(point[0]), 2), round(self._y.back(-point[1]), 2)


class _Axis:
    """One rising, piecewise straight map from metres to pixels."""

    def __init__(self, values: list[float], scale: float, to_scale: bool) -> None:
        self._scale = scale
        self._metres = sorted(set(values)) or [0.0]
        self._pixels = [self._metres[0] * scale]
        for before, after in pairwise(self._metres):
            gap = (after - before) * scale
            if not to_scale and after - before > 0.3:
                gap = min(max(gap, NARROWEST), WIDEST)
            self._pixels.append(self._pixels[-1] + gap)

    def _map(self, value: float, source: list[float], target: list[float], end: float) -> float:
        if value <= source[0]:
            return target[0] + (value - source[0]) * end
        if value >= source[-1]:
            return target[-1] + (value - source[-1]) * end
        index = bisect.bisect_right(source, value) - 1
        share = (value - source[index]) / (source[index + 1] - source[index])
        return target[index] + share * (target[index + 1] - target[index])

    def forward(self, metres: float) -> float:
        return self._map(metres, self._metres, self._pixels, self._scale)

    def back(self, pixels: float) -> float:
        return self._map(pixels, self._pixels, self._metres, 1.0 / self._scale)


def drawing_scale(places: dict[str, Point]) -> float:
    """Pixels a metre, so that neighbours stand about a hand's breadth of symbols apart."""
    points = list(places.values())
    gaps = []
    for i, (x, y) in enumerate(points):
        others = [max(abs(x - px), abs(y - py)) for j, (px, py) in enumerate(points) if j != i]
        if others:
            gaps.append(min(others))
    gaps = sorted(gap for gap in gaps if gap > 1e-6)
    if not gaps:
        return 50.0
    return min(max(120.0 / gaps[len(gaps) // 4], 4.0), 160.0)
