"""How far places with people are from parts; one may be told as a distance from a vessel.

Then nobody knows on which side of the vessel it is: it may be anywhere on a ring. What hurts is
asked of the nearest place on it, what must reach people of the farthest. The distance that is told
may have been measured from the middle of the vessel or from its shell; both are on the ring.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from airrisk.installation.model import Installation, Line, People, Point, Vessel


@dataclass(frozen=True)
class Ring:
    """Where a place may be that is told as a distance from a vessel.

    Attributes
    ----------
    vessel
        Id of the vessel.
    middle
        Where that stands, m; None: nobody says.
    inner, outer
        Distances from its middle, m: as told, and with half of its greatest extent added.
    """

    vessel: str
    middle: Point | None
    inner: float
    outer: float


@dataclass(frozen=True)
class Away:
    """Least and greatest distance of a place with people from the middle of something, m."""

    nearest: float
    farthest: float


def ring_of(installation: Installation, place: People) -> Ring | None:
    """The ring that a place is told by; None: it has a place on the plan, or its vessel is gone."""
    if place.at is not None or place.distance is None:
        return None
    vessel = next(
        (one for one in installation.vessels if one.id.casefold() == place.from_.casefold()), None
    )
    if vessel is None:
        return None
    return Ring(vessel.id, vessel.at, place.distance, place.distance + _half_extent(vessel))


def _half_extent(vessel: Vessel) -> float:
    """Half of what a vessel measures on the plan at most, m."""
    lying = 0.0 if vessel.orientation == "vertical" else vessel.cylinder_length
    return 0.5 * (lying + vessel.inside_diameter)


def away(installation: Installation, place: People, part: Vessel | Line) -> Away | None:
    """How far a place is from a part.

    Parameters
    ----------
    installation
        With the vessels.
    place
        One of its places with people.
    part
        A vessel or line, taken at its plan position.

    Returns
    -------
    Away or None
        None: a plan position that is needed is not stated.
    """
    ring = ring_of(installation, place)
    if ring is not None and ring.vessel == part.id:
        return Away(ring.inner, ring.outer)
    return None if part.at is None else away_from(installation, place, part.at)


def away_from(installation: Installation, place: People, at: Point) -> Away | None:
    """How far a place is from a point on the plan; None: nobody knows where its ring lies."""
    if place.at is not None:
        straight = math.dist(place.at, at)
        return Away(straight, straight)
    ring = ring_of(installation, place)
    if ring is None or ring.middle is None:
        return None
    gap = math.dist(ring.middle, at)
    return Away(max(ring.inner - gap, gap - ring.outer, 0.0), gap + ring.outer)


def nearest_on_ring(ring: Ring, at: Point) -> Point:
    """The point of a ring with a middle that is nearest to another; that itself if it is on it."""
    assert ring.middle is not None
    gap = math.dist(ring.middle, at)
    radius = min(max(gap, ring.inner), ring.outer)
    if gap <= 0.0:
        return (ring.middle[0] + radius, ring.middle[1])
    share = radius / gap
    return (
        ring.middle[0] + share * (at[0] - ring.middle[0]),
        ring.middle[1] + share * (at[1] - ring.middle[1]),
    )


def unknown_from(installation: Installation, part: Vessel | Line) -> tuple[str, ...]:
    """Places with people of which nobody knows how far they are from a part."""
    return tuple(one.id for one in installation.people if away(installation, one, part) is None)


def rings(installation: Installation) -> Sequence[tuple[People, Ring]]:
    """The places that are told by a distance, each with its ring."""
    found = [(one, ring_of(installation, one)) for one in installation.people]
    return [(one, ring) for one, ring in found if ring is not None]
