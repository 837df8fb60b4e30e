"""Order within the layers, and coordinates, of what hangs together. Steps of the routing grid."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from airrisk.wording.schematic.graph import Flow
from airrisk.wording.schematic.records import Piece

SWEEPS = 12
Wire = tuple[str, str]  # from one layer to the next
BETWEEN = 1  # free steps between two boxes of a layer


@dataclass
class Layered:
    """Pieces in layers; a line that passes a layer has a lane there (a name without a piece)."""

    pieces: Mapping[str, Piece]
    rows: list[list[str]] = field(default_factory=list)  # names of each layer, from above
    wires: list[Wire] = field(default_factory=list)
    across: dict[str, tuple[str, str]] = field(default_factory=dict)  # upright line -> its ends
    y: dict[str, int] = field(default_factory=dict)
    x: list[int] = field(default_factory=list)  # middle of each layer


def layered(flow: Flow, layer: Mapping[str, int], pieces: Mapping[str, Piece]) -> Layered:
    """Put parts into even layers and lines into the odd ones between them."""
    count = 2 * max(layer.values()) + 1
    found = Layered(pieces, [[] for _ in range(count + 1)])
    for name in flow.kinds:
        found.rows[2 * layer[name]].append(name)
    for link in flow.links:
        first, last = 2 * layer[link.first], 2 * layer[link.last]
        if first == last and link.first != link.last:
            found.rows[first].append(link.id)
            found.across[link.id] = (link.first, link.last)
            continue
        start, end = (link.first, link.last) if first <= last else (link.last, link.first)
        low, high = min(first, last), max(first, last)
        found.rows[low + 1].append(link.id)
        found.wires.append((start, link.id))
        before = link.id
        for number in range(low + 2, high):
            lane = f"{link.id}@{number}"
            found.rows[number].append(lane)
            found.wires.append((before, lane))
            before = lane
        if high > low:
            found.wires.append((before, end))
    if not found.rows[-1]:
        found.rows.pop()
    return found


def put_in_order(found: Layered) -> None:
    """Order each layer so that few wires cross."""
    before, after = _sides(found.wires)
    best = [list(row) for row in found.rows]
    least = _crossings(found)
    for sweep in range(SWEEPS):
        forward = sweep % 2 == 0
        numbers = range(len(found.rows)) if forward else range(len(found.rows) - 1, -1, -1)
        for number in numbers:
            other = number - 1 if forward else number + 1
            if 0 <= other < len(found.rows):
                _sort(found, number, other, before if forward else after)
        crossed = _crossings(found)
        if crossed < least:
            least, best = crossed, [list(row) for row in found.rows]
        if least == 0:
            break
    found.rows = best
    for number in range(len(found.rows)):
        _upright_between(found, number)


def _sides(wires: Sequence[Wire]) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    before: dict[str, list[str]] = defaultdict(list)
    after: dict[str, list[str]] = defaultdict(list)
    for first, last in wires:
        before[last].append(first)
        after[first].append(last)
    return before, after


def _sort(found: Layered, number: int, other: int, beside: Mapping[str, list[str]]) -> None:
    place = {name: index for index, name in enumerate(found.rows[other])}
    row = found.rows[number]
    share = len(found.rows[other]) / max(len(row), 1)
    wish = {}
    for index, name in enumerate(row):
        known = [place[one] for one in beside.get(name, ()) if one in place]
        wish[name] = sum(known) / len(known) if known else index * share
    for name in row:
        if name in found.across:
            first, last = found.across[name]
            wish[name] = (wish[first] + wish[last]) / 2
    row.sort(key=lambda name: wish[name])
    _upright_between(found, number)


def _upright_between(found: Layered, number: int) -> None:
    """Put each upright line behind the upper one of its ends, if it does not stand between."""
    row = found.rows[number]
    for name in [name for name in row if name in found.across]:
        first, last = found.across[name]
        row.remove(name)
        row.insert(min(row.index(first), row.index(last)) + 1, name)


def _crossings(found: Layered) -> int:
    place = {name: index for row in found.rows for index, name in enumerate(row)}
    layer = {name: number for number, row in enumerate(found.rows) for name in row}
    groups: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for first, last in found.wires:
        groups[layer[first]].append((place[first], place[last]))
    count = 0
    for pairs in groups.values():
        pairs.sort()
        for index, (_, end) in enumerate(pairs):
            count += sum(1 for _, other in pairs[index + 1 :] if other < end)
    return count


# -- coordinates -----------------------------------------------------------------


def put_in_place(found: Layered, most: Callable[[str], int], spare: int) -> None:
    """Give every layer its column and every piece its row.

    ``most`` tells how far apart the outermost of some number of lines may stand on a side;
    ``spare`` steps more are left between layers.
    """
    shifts = _shifts(found, most)
    exact = {
        name: float(value) for row in found.rows for name, value in _stacked(found, row).items()
    }
    before, after = _sides(found.wires)
    for sweep in range(2 * SWEEPS):
        forward = sweep % 2 == 0
        rows = found.rows if forward else reversed(found.rows)
        for row in rows:
            if sweep < SWEEPS:
                wishes = {name: _wishes(name, exact, shifts, before if forward else after)
                          for name in row}  # fmt: skip
            else:
                wishes = {name: _straight(name, exact, shifts, (before, after)) for name in row}
            exact.update(_levelled(found, row, exact, wishes))
    found.y = {name: round(value) for name, value in exact.items()}
    _put_columns(found, shifts, spare)


def _extent(found: Layered, name: str) -> tuple[int, int]:
    piece = found.pieces.get(name)
    return (0, 0) if piece is None else (piece.up, piece.down)


def _apart(found: Layered, upper: str, lower: str) -> int:
    """Steps from one middle to the next below."""
    crowded = sum(
        found.pieces[name].kind == "junction" for name in (upper, lower) if name in found.pieces
    )  # lines may leave a junction above and below
    return _extent(found, upper)[1] + _extent(found, lower)[0] + 1 + BETWEEN + crowded


def _offsets(found: Layered, row: Sequence[str]) -> list[int]:
    """Rows of the pieces of a layer that stand as near to each other as they may."""
    offsets = [0] if row else []
    for upper, lower in pairwise(row):
        offsets.append(offsets[-1] + _apart(found, upper, lower))
    return offsets


def _stacked(found: Layered, row: Sequence[str]) -> dict[str, int]:
    offsets = _offsets(found, row)
    middle = offsets[-1] // 2 if offsets else 0
    return {name: offset - middle for name, offset in zip(row, offsets, strict=True)}


def _wishes(
    name: str,
    exact: Mapping[str, float],
    shifts: Mapping[Wire, tuple[int, int]],
    side: Mapping[str, list[str]],
) -> list[float]:
    """Rows of a piece at which each of its wires to one side would run straight."""
    found = []
    for other in side.get(name, ()):
        wire = (other, name) if (other, name) in shifts else (name, other)
        here, there = shifts[wire] if wire[0] == name else shifts[wire][::-1]
        found.append(exact[other] + there - here)
    return found


def _straight(
    name: str,
    exact: Mapping[str, float],
    shifts: Mapping[Wire, tuple[int, int]],
    sides: Sequence[Mapping[str, list[str]]],
) -> list[float]:
    """The row at which most wires of a piece run straight; of two, that to the freer end."""
    before, after = (_wishes(name, exact, shifts, side) for side in sides)
    if len(before) == len(after) == 1:
        crowd_before = len(sides[1].get(sides[0][name][0], ()))
        crowd_after = len(sides[0].get(sides[1][name][0], ()))
        return before if crowd_before <= crowd_after else after
    both = sorted([*before, *after])
    return both[len(both) // 2 : len(both) // 2 + 1] if len(both) % 2 else both


def _levelled(
    found: Layered,
    row: Sequence[str],
    exact: Mapping[str, float],
    wanted: Mapping[str, Sequence[float]],
) -> dict[str, float]:
    """Rows as near as can be to what the pieces of a layer wish."""
    wishes, weights = [], []
    for name in row:
        mine = wanted[name]
        if name in found.across and found.pieces[name].upright:
            mine = [sum(exact[end] for end in found.across[name]) / 2]
        wishes.append(sum(mine) / len(mine) if mine else exact[name])
        weights.append(float(len(mine)) if mine else 0.05)
    offsets = _offsets(found, row)
    rising = _rising([wish - offset for wish, offset in zip(wishes, offsets, strict=True)], weights)
    return {name: rising[i] + offsets[i] for i, name in enumerate(row)}


def _rising(wishes: Sequence[float], weights: Sequence[float]) -> list[float]:
    """The rising values nearest to the wishes (pools of neighbours that would cross)."""
    pools: list[list[float]] = []  # sum of weights, weighted mean, how many
    for wish, weight in zip(wishes, weights, strict=True):
        pools.append([weight, wish, 1])
        while len(pools) > 1 and pools[-2][1] > pools[-1][1]:
            heavy, mean, count = pools.pop()
            total = pools[-1][0] + heavy
            pools[-1][1] = (pools[-1][0] * pools[-1][1] + heavy * mean) / total
            pools[-1][0] = total
            pools[-1][2] += count
    return [mean for _weight, mean, count in pools for _ in range(int(count))]


def _shifts(found: Layered, most: Callable[[str], int]) -> dict[Wire, tuple[int, int]]:
    """How far a wire meets a part above (-) or below the middle of its side."""
    place = {name: index for row in found.rows for index, name in enumerate(row)}
    shift: dict[Wire, list[int]] = {wire: [0, 0] for wire in found.wires}
    for end in (0, 1):
        groups: dict[str, list[Wire]] = defaultdict(list)
        for wire in found.wires:
            groups[wire[end]].append(wire)
        for name, wires in groups.items():
            wires.sort(key=lambda wire: place[wire[1 - end]])
            for wire, value in zip(wires, spread(len(wires), most(name)), strict=True):
                shift[wire][end] = value
    return {wire: (pair[0], pair[1]) for wire, pair in shift.items()}


def spread(count: int, most: int) -> list[int]:
    """Steps against the middle for some lines on one side of a part.

    ``most`` is how far the first and the last may stand from the middle; with 0 all meet it.
    """
    if most == 0 or count < 2:
        return [0] * count
    if count % 2:
        return [number - count // 2 for number in range(count)]
    half = count // 2
    return [number - half + (1 if number >= half else 0) for number in range(count)]


def _put_columns(found: Layered, shifts: Mapping[Wire, tuple[int, int]], spare: int) -> None:
    layer = {name: number for number, row in enumerate(found.rows) for name in row}
    tracks = [0] * len(found.rows)
    for number in range(len(found.rows) - 1):
        spans = []
        for first, last in found.wires:
            if layer[first] == number:
                start = found.y[first] + shifts[first, last][0]
                end = found.y[last] + shifts[first, last][1]
                if start != end:
                    spans.append((min(start, end), max(start, end)))
        tracks[number] = _depth(spans)
    at = 0
    found.x = []
    for number, row in enumerate(found.rows):
        pieces = [found.pieces[name] for name in row if name in found.pieces]
        left = max((piece.left for piece in pieces), default=0)
        right = max((piece.right for piece in pieces), default=0)
        found.x.append(at + left)
        at += left + right + 2 + tracks[number] + 2 * spare


def _depth(spans: Sequence[tuple[int, int]]) -> int:
    """The largest number of upright runs beside each other."""
    events = sorted([(low, 0) for low, _ in spans] + [(high, 1) for _, high in spans])
    depth = most = 0
    for _, ends in events:
        depth += -1 if ends else 1
        most = max(most, depth)
    return most
