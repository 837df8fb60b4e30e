"""Where names stand on the site plan: beside their symbols, never on each other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from airrisk.wording.schematic.records import XY, Rect, around

RINGS = 14  # distances at which a free place is looked for
FARTHER = 12.0  # px from one to the next
DIRECTIONS = (90, 0, 180, 270, 45, 135, 315, 225)  # degrees, clockwise from the right


@dataclass(frozen=True)
class Named:
    """Something that wants a name: what it covers and how large its name with its mark is."""

    name: str
    rect: Rect
    width: float
    height: float


def place_names(wanted: Sequence[Named], also: Iterable[Rect] = ()) -> Mapping[str, Rect]:
    """A free rectangle for each name, the nearest that is free; clear of ``also`` too.

    Whoever is named first has the choice. Where nothing is free the name has no place.
    """
    taken = [*also, *(one.rect for one in wanted)]
    found: dict[str, Rect] = {}
    for one in wanted:
        for spot in _spots(one):
            if not any(spot.meets(other) for other in taken):
                found[one.name] = spot
                taken.append(spot)
                break
    return found


def _spots(one: Named) -> Iterable[Rect]:
    x, y = (one.rect.left + one.rect.right) / 2, (one.rect.top + one.rect.bottom) / 2
    wide = (one.rect.right - one.rect.left + one.width) / 2 + 2.0
    high = (one.rect.bottom - one.rect.top + one.height) / 2 + 1.0
    for ring in range(RINGS):
        for degrees in DIRECTIONS:
            right, down = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            middle = (
                x + _sign(right) * (wide + ring * FARTHER * abs(right)),
                y + _sign(down) * (high + ring * FARTHER * abs(down)),
            )
            yield around(*middle, one.width / 2, one.height / 2)


def _sign(value: float) -> float:
    return 0.0 if abs(value) < 1e-9 else math.copysign(1.0, value)


def leader(owner: Rect, spot: Rect, at: XY) -> tuple[XY, XY]:
    """From what a text belongs to, to where it is written, against a place."""
    middle = ((owner.left + owner.right) / 2, (owner.top + owner.bottom) / 2)
    first, last = nearest_point(owner, nearest_point(spot, middle)), nearest_point(spot, middle)
    return (first[0] - at[0], first[1] - at[1]), (last[0] - at[0], last[1] - at[1])


def nearest_point(rect: Rect, point: XY) -> XY:
    """The point of a rectangle that is nearest to another."""
    return (
        min(max(point[0], rect.left), rect.right),
        min(max(point[1], rect.top), rect.bottom),
    )
