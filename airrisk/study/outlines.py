"""Parts as they stand: small panels of their surface on the plan and above the floor.

A vessel is a cylinder with flat ends, of its outside diameter and its volume. Where nobody says how
a lying one lies, it shows the fire its broadside, as near as its end can come, which is more than
it can get. A line is a row of panels along its route, half of its girth towards the fire.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.geometry import reckoned_wall
from airrisk.installation.model import STANDS_AT, Installation, Line, Path, Plug, Point, Vessel
from airrisk.installation.sections import holder_volume
from airrisk.physics.shells import bore_area

Floats = NDArray[np.float64]
AROUND, ALONG = 12, 8  # panels of a shell; with one on the facing line the peak is met
RINGS = (0.5, math.sqrt(0.75))  # of the radius of an end, of 6 panels each
ON_RING = 6
ALONG_LINE = 48  # at least
MOST_ALONG, MOST_OF_LINE = 400, 20_000  # panels
SIDEWAYS = math.cos(math.radians(45.0))  # a plug that faces within this of a side stands on it


@dataclass(frozen=True)
class Panels:
    """Panels of one part."""

    at: Floats  # (n, 3), m
    normal: Floats  # (n, 3), unit vectors outwards
    share: Floats  # (n,) of the surface
    size: float  # m, half the diagonal of the largest
    run: Floats  # (n,) m along the surface from where a flame below the part meets it
    gap: float  # m on the plan between the middle of the fire and the part; 0: under it

    def __len__(self) -> int:
        return len(self.share)


@dataclass(frozen=True)
class Aim:
    """What panels are laid out for: a fire's place, and how fine they must be."""

    at: Point
    step: float  # m, along a long part
    nearest: Callable[[Floats], Floats]  # points of the fire nearest to places (n, 3)
    height: float  # m, where a line gets most


@dataclass(frozen=True)
class _Vessel:
    """A vessel as a cylinder on the plan."""

    centre: Floats  # (2,) m
    axis: Floats | None  # (2,) of a lying one; None: upright
    radius: float
    length: float
    lowest: float
    # where nobody says how it lies: unit vector on the plan to the fire, that both ends count at
    ends_at: Floats | None = None


def outline(vessel: Vessel) -> tuple[float, float]:
    """Outer radius and length of the cylinder that a vessel counts as [m]."""
    wall = reckoned_wall(vessel)
    length = holder_volume(vessel) / bore_area(vessel.inside_diameter) + 2.0 * wall
    return 0.5 * vessel.inside_diameter + wall, length


def part_panels(installation: Installation, part: Vessel | Line, aim: Aim) -> Panels | None:
    """The panels of a part; None: nobody says where it stands.

    Parameters
    ----------
    installation
        With the places of the ends of its lines.
    part
        One of its parts.
    aim
        The fire that they are for.
    """
    if isinstance(part, Line):
        route = line_route(installation, part)
        return None if route is None else _line_panels(part, route, aim)
    if part.at is None:
        return None
    body = _body(part, aim.at)
    return _upright(body, aim) if body.axis is None else _lying(body, aim)


def line_route(installation: Installation, line: Line) -> Path | None:
    """Course of a line on the plan [m]; None: not known from end to end."""
    ends = [_place(installation, name) for name in (line.from_, line.to)]
    first, last = ends
    route = list(line.route)
    if first is None and len(route) < 2:
        return None
    if last is None and len(route) < 2:
        return None
    found = [*([] if first is None else [first]), *route, *([] if last is None else [last])]
    kept = [one for one, before in zip(found, [None, *found], strict=False) if one != before]
    return tuple(kept)


def nearest_on(path: Path, at: Point) -> Point:
    """The point of a path on the plan that is nearest to a place [m]."""
    place = np.array(at, dtype=float)
    found = [np.array(path[0], dtype=float)]
    for first, last in pairwise(path):
        start, piece = np.array(first, dtype=float), np.array(last) - np.array(first)
        share = float(np.clip((place - start) @ piece / (piece @ piece), 0.0, 1.0))
        found.append(start + share * piece)
    best = min(found, key=lambda one: float(np.linalg.norm(one - place)))
    return float(best[0]), float(best[1])


def touching(vessel: Vessel, toward: Point, radius: float) -> float:
    """How far the middle of a circle stands from a vessel's middle where the two meet [m].

    Parameters
    ----------
    vessel
        With a place.
    toward
        Where the circle comes from.
    radius
        Of the circle [m].
    """
    round_, length = outline(vessel)
    if vessel.orientation == "vertical":
        return radius + round_
    half = 0.5 * length
    if vessel.direction is None:
        return radius + math.hypot(round_, half)  # its corner, if it points there
    way = np.array(toward) - np.array(vessel.at or (0.0, 0.0))
    way = way / np.linalg.norm(way) if np.linalg.norm(way) > 0.0 else np.array([1.0, 0.0])
    axis = _unit(vessel.direction)
    along, across = abs(float(way @ axis)), abs(float(way @ np.array([-axis[1], axis[0]])))

    def gap(distance: float) -> float:
        return math.hypot(
            max(distance * along - half, 0.0), max(distance * across - round_, 0.0)
        ) - radius  # fmt: skip

    near, far = 0.0, radius + half + round_
    for _ in range(60):
        middle = 0.5 * (near + far)
        near, far = (middle, far) if gap(middle) < 0.0 else (near, middle)
    return far


def plug_panels(vessel: Vessel, plug: Plug, aim: Aim) -> Panels:
    """Where on a vessel a plug may stand, by its place and by the side that it faces.

    All of them count: it stands on the one that a fire heats least.
    """
    body = _body(vessel, aim.at)
    if plug.place in ("bottom", "drain"):
        return _spots(body, lambda n: n[:, 2] < -SIDEWAYS, aim)
    if plug.place == "top":
        return _spots(body, lambda n: n[:, 2] > SIDEWAYS, aim)
    if plug.faces is None:
        return _spots(body, lambda n: abs(n[:, 2]) < SIDEWAYS, aim)
    faces = np.append(_unit(plug.faces), 0.0)
    if vessel.orientation == "horizontal" and vessel.direction is None:
        # it faces there however the vessel lies: the side is as near as an end
        panels = _spots(body, lambda n: abs(n[:, 2]) < SIDEWAYS, aim)
        return Panels(panels.at, np.broadcast_to(faces, panels.normal.shape), panels.share,
                      panels.size, panels.run, panels.gap)  # fmt: skip
    return _spots(body, lambda n: n @ faces > SIDEWAYS, aim, faces)


def _spots(
    body: _Vessel, wanted: Callable[[Floats], Any], aim: Aim, faces: Floats | None = None
) -> Panels:
    """The panels that look where a plug does; if none does, all of them."""
    panels = _upright(body, aim) if body.axis is None else _lying(body, aim)
    chosen = np.asarray(wanted(panels.normal), dtype=bool)
    if not chosen.any():
        chosen[:] = True
    normal = panels.normal[chosen]
    if faces is not None:
        normal = np.broadcast_to(faces, normal.shape)
    return Panels(panels.at[chosen], normal, panels.share[chosen], panels.size,
                  panels.run[chosen], panels.gap)  # fmt: skip


def _unit(angle: float) -> Floats:
    return np.array([math.cos(angle), math.sin(angle)])


def _body(vessel: Vessel, toward: Point) -> _Vessel:
    radius, length = outline(vessel)
    centre = np.array(vessel.at, dtype=float)
    lowest = STANDS_AT if vessel.elevation is None else vessel.elevation
    if vessel.orientation == "vertical":
        return _Vessel(centre, None, radius, length, lowest)
    if vessel.direction is not None:
        return _Vessel(centre, _unit(vessel.direction), radius, length, lowest)
    way = np.array(toward) - centre
    away = float(np.linalg.norm(way))
    way = way / away if away > 0.0 else np.array([1.0, 0.0])
    nearer = min(math.hypot(0.5 * length, radius) - radius, away)  # a corner, if it points there
    across = np.array([-way[1], way[0]])
    return _Vessel(centre + nearer * way, across, radius, length, lowest, way)


def _facing(body: _Vessel, aim: Aim) -> Floats:
    """Unit vector on the plan from a vessel towards the fire."""
    way = np.array(aim.at) - body.centre
    away = float(np.linalg.norm(way))
    return way / away if away > 0.0 else np.array([1.0, 0.0])


def _upright(body: _Vessel, aim: Aim) -> Panels:
    first = _facing(body, aim)
    side = np.array([-first[1], first[0]])
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND  # the first looks at the fire
    rows = (np.arange(ALONG) + 0.5) / ALONG * body.length
    turns, rise = (one.ravel() for one in np.meshgrid(turn, rows))
    flat = np.cos(turns)[:, None] * first + np.sin(turns)[:, None] * side
    shell = np.column_stack([body.centre + body.radius * flat, body.lowest + rise])
    looks = np.column_stack([flat, np.zeros(len(turns))])
    disc = _disc(body.radius)
    ring = disc[:, :1] * first + disc[:, 1:] * side
    ends, end_looks = [], []
    for height, up in ((body.lowest, -1.0), (body.lowest + body.length, 1.0)):
        ends.append(np.column_stack([body.centre + ring, np.full(len(ring), height)]))
        end_looks.append(np.tile([0.0, 0.0, up], (len(ring), 1)))
    at = np.vstack([shell, *ends])
    hit = np.array(aim.at)
    gap = max(float(np.linalg.norm(hit - body.centre)) - body.radius, 0.0)
    # from the place under the bottom to the rim, up the side and over the top
    rims = np.linalg.norm(shell[:, :2] - hit, axis=1)
    run = np.concatenate([
        rims + rise,
        np.linalg.norm(ends[0][:, :2] - hit, axis=1),
        body.radius + body.length + np.linalg.norm(ends[1][:, :2] - hit, axis=1),
    ])  # fmt: skip
    share = _shares(body, len(shell), len(ring))
    size = math.hypot(math.pi * body.radius / AROUND, 0.5 * body.length / ALONG)
    return Panels(at, np.vstack([looks, *end_looks]), share, max(size, 0.5 * body.radius), run,
                  gap)  # fmt: skip


def _lying(body: _Vessel, aim: Aim) -> Panels:
    assert body.axis is not None
    side = np.array([-body.axis[1], body.axis[0]])
    if float(side @ (np.array(aim.at) - body.centre)) < 0.0:
        side = -side  # the first panel of each ring looks to the fire's side
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND
    count = min(max(ALONG + 1, math.ceil(body.length / aim.step)), MOST_ALONG) | 1
    steps = ((np.arange(count) + 0.5) / count - 0.5) * body.length  # one in the middle
    turns, along = (one.ravel() for one in np.meshgrid(turn, steps))
    middle = body.lowest + body.radius
    shell = np.column_stack([
        body.centre + along[:, None] * body.axis + body.radius * np.cos(turns)[:, None] * side,
        middle + body.radius * np.sin(turns),
    ])  # fmt: skip
    looks = np.column_stack([np.cos(turns)[:, None] * side, np.sin(turns)])
    disc = _disc(body.radius)
    ends, end_looks = [], []
    for way in (-1.0, 1.0):
        looks_to, half, flat = way * body.axis, 0.5 * body.length, side
        if body.ends_at is not None:
            looks_to, half, flat = way * body.ends_at, body.radius, body.axis
        plan = body.centre + half * looks_to + disc[:, :1] * flat
        ends.append(np.column_stack([plan, middle + disc[:, 1]]))
        end_looks.append(np.tile([*looks_to, 0.0], (len(disc), 1)))
    hit = np.array(aim.at) - body.centre
    place, off = float(hit @ body.axis), abs(float(hit @ side))
    gap = math.hypot(max(abs(place) - 0.5 * body.length, 0.0), max(off - body.radius, 0.0))
    arc = body.radius * np.abs(_turned(turns + 0.5 * np.pi))  # from the lowest line
    run = np.concatenate([
        np.hypot(along - place, arc),
        *(np.hypot(abs(0.5 * way * body.length - place), end[:, 2] - body.lowest)
          for way, end in zip((-1.0, 1.0), ends, strict=True)),
    ])  # fmt: skip
    share = _shares(body, len(shell), len(disc))
    size = math.hypot(math.pi * body.radius / AROUND, 0.5 * body.length / count)
    return Panels(np.vstack([shell, *ends]), np.vstack([looks, *end_looks]), share,
                  max(size, 0.5 * body.radius), run, gap)  # fmt: skip


def _turned(angle: Floats) -> Floats:
    """Angles between -pi and pi."""
    return np.mod(angle + np.pi, 2.0 * np.pi) - np.pi


def _disc(radius: float) -> Floats:
    """Middles of panels of one size on an end, (n, 2) m, some of them towards the fire."""
    turn = 2.0 * np.pi * np.arange(ON_RING) / ON_RING
    return np.vstack([
        radius * ring * np.column_stack([np.cos(turn), np.sin(turn)]) for ring in RINGS
    ])  # fmt: skip


def _shares(body: _Vessel, on_shell: int, on_end: int) -> Floats:
    shell = 2.0 * body.radius * body.length
    end = body.radius**2
    whole = shell + 2.0 * end
    return np.concatenate([
        np.full(on_shell, shell / whole / on_shell), np.full(2 * on_end, end / whole / on_end)
    ])  # fmt: skip


def _line_panels(line: Line, route: Path, aim: Aim) -> Panels:
    """A line as a row of panels; half of its girth looks at the fire."""
    if len(route) == 1:
        places = np.array([route[0]], dtype=float)
        count = 1
    else:
        legs = np.array([math.dist(a, b) for a, b in pairwise(route)])
        walked = np.concatenate([[0.0], np.cumsum(legs)])
        # so close that no fire falls between two of them
        count = min(max(math.ceil(walked[-1] / aim.step), ALONG_LINE), MOST_OF_LINE)
        at = (np.arange(count) + 0.5) / count * walked[-1]
        places = np.column_stack([np.interp(at, walked, [p[i] for p in route]) for i in (0, 1)])
    height = aim.height if line.elevation is None else line.elevation
    at = np.column_stack([places, np.full(count, height)])
    way = aim.nearest(at) - at
    away = np.linalg.norm(way, axis=1, keepdims=True)
    looks = np.where(away > 0.0, way / np.where(away > 0.0, away, 1.0), [1.0, 0.0, 0.0])
    gap = float(np.linalg.norm(places - np.array(aim.at), axis=1).min())
    spacing = float(np.linalg.norm(np.diff(places, axis=0), axis=1).max()) if count > 1 else 0.0
    return Panels(
        np.vstack([at, at]),
        np.vstack([looks, -looks]),
        np.full(2 * count, 0.5 / count),
        0.5 * spacing,
        np.full(2 * count, np.inf),
        gap,
    )


def _place(installation: Installation, name: str) -> Point | None:
    try:
        record: Any = installation.find(name)
    except KeyError:
        return None
    return getattr(record, "at", None)
