"""How symbols look: outlines that window and report draw alike.

Compressor, valves, vessel and bursting disc follow ISO 14617 and ISO 1219-1 (from memory, editions
not checked); a fusible plug and a point of use have no sign there that is known here: a plug is a
trapezium that narrows outward to its core, a point of use a cup with an arrow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from airrisk.wording.schematic.records import XY, Symbol

ARC_STEPS = 12  # straight pieces to a quarter of a circle
HEAD = 15.0  # px, height of a vessel's head


@dataclass(frozen=True)
class Outline:
    """One stroke of a symbol against its middle: an area (``filled`` with ink or not) or a line."""

    points: tuple[XY, ...]
    closed: bool = False
    filled: bool = False


def outlines(symbol: Symbol, no_credit: bool = False) -> tuple[Outline, ...]:
    """What to draw for a symbol, turned as it is, around its own middle.

    A device that nobody may count on has no core and is struck through.
    """
    upright = abs(math.sin(math.radians(symbol.turn))) > 0.5
    half = (symbol.half_height, symbol.half_width) if upright else (
        symbol.half_width, symbol.half_height
    )  # fmt: skip
    made = _MAKERS[symbol.kind](half, symbol)
    if no_credit:
        made = (*(one for one in made if not one.filled), _struck(half))
    return tuple(Outline(turned(one.points, symbol.turn), one.closed, one.filled) for one in made)


def turned(points: tuple[XY, ...], degrees: float) -> tuple[XY, ...]:
    """Points turned clockwise around the origin."""
    if degrees % 360.0 == 0.0:
        return points
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((x * cos - y * sin, x * sin + y * cos) for x, y in points)


def _arc(middle: XY, half: XY, start: float, end: float) -> tuple[XY, ...]:
    """Points of an ellipse from one angle to another, degrees clockwise from the right."""
    count = max(int(abs(end - start) / 90.0 * ARC_STEPS), 2)
    angles = [math.radians(start + (end - start) * i / count) for i in range(count + 1)]
    return tuple(
        (middle[0] + half[0] * math.cos(a), middle[1] + half[1] * math.sin(a)) for a in angles
    )


def _vessel(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A shell with dished heads, along its longer side."""
    x, y = half
    if y >= x:
        head = min(HEAD, y / 2)
        top = _arc((0.0, -y + head), (x, head), 180.0, 360.0)
        low = _arc((0.0, y - head), (x, head), 0.0, 180.0)
        return (Outline((*top, *low), closed=True),)
    head = min(HEAD, x / 2)
    right = _arc((x - head, 0.0), (head, y), -90.0, 90.0)
    left = _arc((-x + head, 0.0), (head, y), 90.0, 270.0)
    return (Outline((*right, *left), closed=True),)


def _compressor(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A circle with two lines that narrow in flow direction."""
    r = half[0]
    lines = (
        Outline(((-r * 0.5, way * r * 0.866), (r * 0.96, way * r * 0.28))) for way in (-1.0, 1.0)
    )
    return (Outline(_arc((0.0, 0.0), half, 0.0, 360.0), closed=True), *lines)


def _junction(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A dot, or a bar where many lines meet."""
    x, y = half
    if y > x:
        bar = ((-x, -y), (x, -y), (x, y), (-x, y))
        return (Outline(bar, closed=True, filled=True),)
    return (Outline(_arc((0.0, 0.0), half, 0.0, 360.0), closed=True, filled=True),)


def _consumer(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A cup with an arrow into it."""
    x, y = half
    return (
        Outline(((-x, -y), (x, -y), (x, y), (-x, y))),
        Outline(((-x, 0.0), (0.5 * x, 0.0))),
        Outline(((0.1 * x, -4.0), (0.5 * x, 0.0), (0.1 * x, 4.0))),
    )


def _end(half: XY, symbol: Symbol) -> tuple[Outline, ...]:
    """A blank across a closed end; an open end is a triangle that points out."""
    x, y = half
    if symbol.sign == "atmosphere":
        return (Outline(((-x, -y), (x, 0.0), (-x, y)), closed=True),)
    return (Outline(((-x, 0.0), (0.0, 0.0))), Outline(((0.0, -y), (0.0, y))))


def _valve(half: XY, symbol: Symbol) -> tuple[Outline, ...]:
    """Two triangles point to point; non-return, one against a bar that it flows toward."""
    x, y = half
    if symbol.sign == "non-return":
        return (
            Outline(((-x, -y), (x - 1.0, 0.0), (-x, y)), closed=True, filled=symbol.shut),
            Outline(((x - 0.5, -y), (x - 0.5, y))),
        )
    left, right = ((-x, -y), (0.0, 0.0), (-x, y)), ((x, -y), (0.0, 0.0), (x, y))
    return (
        Outline(left, closed=True, filled=symbol.shut),
        Outline(right, closed=True, filled=symbol.shut),
    )


def _plug(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A trapezium, wide outside, with its core."""
    x, y = half
    body = ((-0.95 * x, -y), (0.95 * x, -y), (0.55 * x, y), (-0.55 * x, y))
    return (
        Outline(body, closed=True),
        Outline(((-0.35 * x, -y), (0.35 * x, -y), (0.2 * x, y), (-0.2 * x, y)), True, True),
    )


def _struck(half: XY) -> Outline:
    """A stroke across a symbol, longer than it."""
    x, y = 1.3 * half[0], 1.2 * half[1]
    return Outline(((-x, y), (x, -y)))


def _relief_valve(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A triangle under a spring."""
    x, y = half
    spring = [(0.0, 0.05 * y)]
    spring += [(way * 0.5 * x, -step * y) for way, step in
               ((1.0, 0.12), (-1.0, 0.36), (1.0, 0.6), (-1.0, 0.84))]  # fmt: skip
    return (
        Outline(((-0.8 * x, y), (0.8 * x, y), (0.0, 0.05 * y)), closed=True),
        Outline((*spring, (0.0, -y))),
    )


def _bursting_disc(half: XY, _symbol: Symbol) -> tuple[Outline, ...]:
    """A disc that bulges outward between two flanges."""
    x, y = half
    dome = _arc((0.0, y), (0.9 * x, 1.3 * y), 180.0, 360.0)
    return (
        Outline(((-x, -0.5 * y), (x, -0.5 * y), (x, y), (-x, y)), closed=True),
        Outline(dome),
    )


_MAKERS = {
    "vessel": _vessel,
    "compressor": _compressor,
    "junction": _junction,
    "consumer": _consumer,
    "end": _end,
    "valve": _valve,
    "plug": _plug,
    "relief_valve": _relief_valve,
    "bursting_disc": _bursting_disc,
}
LOCK = Outline(((-3.0, 0.0), (3.0, 0.0), (3.0, 5.0), (-3.0, 5.0)), closed=True, filled=True)
SHACKLE = Outline(_arc((0.0, 0.0), (2.2, 3.2), 180.0, 360.0))
