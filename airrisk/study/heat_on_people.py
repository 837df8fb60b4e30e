"""What a flame gives to people, where a place may be any on a ring round a vessel."""

from __future__ import annotations

import math

import numpy as np

from airrisk.installation.model import Installation, People, Point
from airrisk.installation.people_places import nearest_on_ring, ring_of
from airrisk.study.outlines import Panels
from airrisk.study.source_flames import NO_WALLS, JetFlame, UprightFlame, Walls

PERSON_HEIGHT = 1.5  # m
STEP = 0.25  # m along a jet, between the points of which the nearest place is asked


def heat_at(
    installation: Installation, place: People, flame: UprightFlame | JetFlame, walls: Walls
) -> float | None:
    """What falls on people at a place who look at the flame.

    Parameters
    ----------
    installation
        With the vessels.
    place
        One of its places with people.
    flame
        As it burns; a jet of any direction turns to them.
    walls
        Those that stand; none hides a place of which the direction is not known.

    Returns
    -------
    float or None
        W/m2, with the factor of the flame; on a ring the most of what its places may get. None:
        the vessel that the place is told from has no plan position.
    """
    if place.at is not None:
        return at_person(place.at, flame, walls)
    ring = ring_of(installation, place)
    if ring is None or ring.middle is None:
        return None
    points = _axis(flame)
    gaps = [math.dist(ring.middle, point) for point in points]
    if isinstance(flame, JetFlame) and min(gaps) <= ring.outer and max(gaps) >= ring.inner:
        return flame.in_it  # it blows across the ring
    return max(at_person(nearest_on_ring(ring, one), flame, NO_WALLS) for one in points)


def _axis(flame: UprightFlame | JetFlame) -> list[Point]:
    """The middle of a flame on the plan, or points along a jet."""
    if not isinstance(flame, JetFlame) or flame.direction is None:
        return [flame.at]
    way = math.cos(flame.direction), math.sin(flame.direction)
    steps = np.linspace(0.0, flame.length, max(math.ceil(flame.length / STEP), 1) + 1)
    return [(flame.at[0] + s * way[0], flame.at[1] + s * way[1]) for s in steps.tolist()]


def at_person(at: Point, flame: UprightFlame | JetFlame, walls: Walls) -> float:
    """What falls on somebody who looks at the flame, W/m2; in the flame all that it gives."""
    turned = flame.aim(at)
    place = np.array([[at[0], at[1], PERSON_HEIGHT]])
    way = turned.layout().nearest(place) - place
    way[:, 2] = 0.0
    away = float(np.linalg.norm(way))
    normal = way / away if away > 0.0 else np.array([[1.0, 0.0, 0.0]])
    far = math.dist(at, turned.at)
    person = Panels(place, normal, np.ones(1), 0.0, np.full(1, math.inf), far)
    if turned.inside(person).any() or (isinstance(turned, UprightFlame) and far <= turned.radius):
        return turned.power if isinstance(turned, UprightFlame) else turned.in_it
    return float(turned.radiation(person, walls)[0])
