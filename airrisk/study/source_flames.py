"""Flames of sources that stand somewhere: what is in them, what they radiate, what walls hide.

Flames of pools and goods are upright cylinders without wind; that of a jet is level and straight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.model import FireSource, Installation, Point, Wall
from airrisk.physics import jet_fires, pool_fires
from airrisk.physics.flame_view import panel_factor
from airrisk.study.outlines import Aim, Panels, nearest_on

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
WITHOUT_VOLUME = 3600.0  # s, of a source of which nobody says how long it burns
LONGEST = 86400.0  # s
STEP = 0.5  # of the radius of a flame: panels of a long part are no farther apart
LINE_HIGHEST = 3.0  # m above the floor at most, where the flame gives most; judgement
LINE_ABOVE = 0.3  # m above a source that stands higher; judgement
FLAME_CONVECTION = 25.0  # W/m2/K, EN 1991-1-2 (read)
LEANS = math.sin(math.radians(45.0))  # of its height a flame reaches sideways in wind; judgement
JET_LEANS = 0.3  # of its length a jet bends or spreads sideways; judgement
NOZZLE_AT = 1.0  # m above the floor if nobody says; judgement
JET_STEP = 0.1  # m
ACROSS = 9  # sight lines over the width of a flame
CLEAN = 0.35  # radiated share of goods, NIST correlation guide's usual value (read)


class Flame(Protocol):
    """What burns, as far as parts and people feel it."""

    heat: float  # W
    lasts: float  # s
    convection: float  # W/m2/K in it

    def aim(self, towards: Point) -> Flame:
        """The flame as it meets something at a place: a jet of any direction turns to it."""

    def layout(self) -> Aim:
        """What panels are laid out for."""

    def inside(self, panels: Panels) -> Bools:
        """Which panels are in the flame or in the hot gas above it."""

    def temperature(self, places: Floats) -> Floats:
        """Temperature in it at places (n, 3) [K]."""

    def radiation(self, panels: Panels, walls: Walls) -> Floats:
        """What falls on panels beside it [W/m2]."""

    def leaned_on(self, panels: Panels) -> bool:
        """Whether it may touch the part, or leave it, when it leans over."""


@dataclass(frozen=True)
class Walls:
    """Walls between a fire and a part, and those that hid something."""

    standing: tuple[Wall, ...] = ()
    partly: bool = False  # a panel is hidden as soon as part of the flame is

    def hide(self, places: Floats, flame: UprightFlame) -> Bools:
        """Which of some places (n, 3) do not see an upright flame."""
        hidden = np.zeros(len(places), dtype=bool)
        for wall in self.standing:
            # one that stands in the fire hides nothing surely, and may hide a plug
            if self.partly or _nearest_to(wall, flame.at) > flame.radius:
                hidden |= self._hides(wall, places, flame)
        return hidden

    def _hides(self, wall: Wall, places: Floats, flame: UprightFlame) -> Bools:
        way = np.array(flame.at) - places[:, :2]
        away = np.linalg.norm(way, axis=1)
        outside = away > flame.radius
        safe = np.where(outside, away, 1.0)
        across = np.column_stack([-way[:, 1], way[:, 0]]) / safe[:, None]
        top = flame.base + flame.height
        rays = []
        for share in np.linspace(-1.0, 1.0, ACROSS):
            targets = np.array(flame.at) + share * flame.radius * across
            # never 0: a place in the middle of the flame sees it whatever a wall does
            line = np.maximum(np.linalg.norm(targets - places[:, :2], axis=1), 1e-9)
            front = np.maximum(line - flame.radius, 1e-6)
            # the steepest line of sight to the top: that to its nearest side, seen from below
            behind = np.where(top > places[:, 2], front, line + flame.radius)
            at = _crossings(wall, places[:, :2], targets) * line
            seen = places[:, 2] + (top - places[:, 2]) * np.minimum(at / behind, 1.0)
            rays.append((at <= (line if self.partly else front)) & (seen <= wall.height))
        found = np.any(rays, axis=0) if self.partly else np.all(rays, axis=0)
        return np.asarray(outside & found)

    def hide_points(self, places: Floats, points: Floats) -> Bools:
        """Which points (m, 3) of a jet some places (n, 3) do not see."""
        found = np.zeros((len(places), len(points)), dtype=bool)
        for wall in self.standing:
            for index, point in enumerate(points):
                target = np.broadcast_to(point[:2], (len(places), 2))
                at = _crossings(wall, places[:, :2], target)
                crossed = np.isfinite(at)
                high = places[:, 2] + np.where(crossed, at, 0.0) * (point[2] - places[:, 2])
                found[:, index] |= crossed & (high <= wall.height)
        return found


NO_WALLS = Walls()


def _crossings(wall: Wall, starts: Floats, ends: Floats) -> Floats:
    """Where on the ways from starts to ends (n, 2) a wall first crosses, 0 to 1; inf: nowhere."""
    ways = ends - starts
    first = np.full(len(starts), np.inf)
    for begin, end in pairwise(wall.points):
        piece = np.array(end) - np.array(begin)
        turn = ways[:, 0] * piece[1] - ways[:, 1] * piece[0]
        level = np.abs(turn) < 1e-12
        divisor = np.where(level, 1.0, turn)
        gap = np.array(begin) - starts
        along = (gap[:, 0] * piece[1] - gap[:, 1] * piece[0]) / divisor
        beside = (gap[:, 0] * ways[:, 1] - gap[:, 1] * ways[:, 0]) / divisor
        met = ~level & (along >= 0.0) & (along <= 1.0) & (beside >= 0.0) & (beside <= 1.0)
        first = np.where(met & (along < first), along, first)
    return first


def _nearest_to(wall: Wall, at: Point) -> float:
    """Least distance of a wall from a place on the plan, m."""
    return math.dist(nearest_on(wall.points, at), at)


@dataclass(frozen=True)
class UprightFlame:
    """The flame of a pool or of goods."""

    at: Point
    base: float  # m above the floor
    radius: float
    height: float
    heat: float
    power: float  # W/m2, with the factor of caution
    lasts: float
    convection: float = FLAME_CONVECTION

    def aim(self, towards: Point) -> UprightFlame:
        """Itself: it burns the same to all sides."""
        return self

    def layout(self) -> Aim:
        """See ``Flame``."""
        above = min(0.5 * self.height, max(LINE_HIGHEST - self.base, LINE_ABOVE))
        return Aim(self.at, STEP * self.radius, self._nearest, self.base + above)

    def _nearest(self, places: Floats) -> Floats:
        high = np.clip(places[:, 2], self.base, self.base + self.height)
        return np.column_stack([np.broadcast_to(self.at, (len(places), 2)), high])

    def _away(self, places: Floats) -> Floats:
        return np.asarray(np.hypot(places[:, 0] - self.at[0], places[:, 1] - self.at[1]))

    def inside(self, panels: Panels) -> Bools:
        """Over the pool; of what the flame meets from below, as far as it reaches along it."""
        away, above = self._away(panels.at), panels.at[:, 2] - self.base
        over = (away <= self.radius) & (above >= 0.0)
        lowest = float(above.min())
        if panels.gap <= 0.0 and lowest >= 0.0:
            over |= panels.run <= max(self.height - lowest, 0.0)
        if not over.any() and panels.gap < self.radius and above.max() >= 0.0:
            over[np.argmin(np.where(above >= 0.0, away, np.inf))] = True  # between two panels
        return np.asarray(over)

    def temperature(self, places: Floats) -> Floats:
        """On its axis, at the height of the places."""
        return np.array([
            pool_fires.flame_temperature_at(self.heat, 2.0 * self.radius, max(z - self.base, 0.0))
            for z in places[:, 2]
        ])  # fmt: skip

    def radiation(self, panels: Panels, walls: Walls = NO_WALLS) -> Floats:
        """By the view of the cylinder."""
        if self.power <= 0.0:
            return np.zeros(len(panels))
        to_axis = np.array(self.at) - panels.at[:, :2]
        away = np.hypot(to_axis[:, 0], to_axis[:, 1])
        level = np.hypot(panels.normal[:, 0], panels.normal[:, 1])
        clear = level * away > 1e-12
        cosine = (panels.normal[:, :2] * to_axis).sum(axis=1)
        cosine = np.where(clear, cosine / np.where(clear, level * away, 1.0), 1.0)
        aside = np.arccos(np.clip(cosine, -1.0, 1.0))
        factor = panel_factor(
            away, panels.at[:, 2] - self.base, aside, panels.normal[:, 2], self.radius, self.height
        )
        flux = self.power * factor
        if walls.standing:
            flux = np.where(walls.hide(panels.at, self), 0.0, flux)
        return np.asarray(flux)

    def leaned_on(self, panels: Panels) -> bool:
        """Within what a flame may lean in wind."""
        nearest = float(self._away(panels.at).min())
        return min(nearest, panels.gap) - self.radius < LEANS * self.height


@dataclass(frozen=True)
class JetFlame:
    """The flame of a jet."""

    nozzle: tuple[float, float, float]
    direction: float | None  # rad on the plan; None: any
    length: float
    heat: float
    power: float  # W radiated in all, with the factor of caution
    in_it: float  # W/m2 on a cold thing in it
    lasts: float
    convection: float = jet_fires.CONVECTION

    @property
    def at(self) -> Point:
        """Place of the nozzle on the plan."""
        return self.nozzle[0], self.nozzle[1]

    def aim(self, towards: Point) -> JetFlame:
        """Turned to a place, where its direction is not stated."""
        if self.direction is not None:
            return self
        x, y = towards[0] - self.nozzle[0], towards[1] - self.nozzle[1]
        return replace(self, direction=math.atan2(y, x))

    def _ends(self) -> tuple[Floats, Floats]:
        turn = self.direction or 0.0
        start = np.array(self.nozzle)
        return start, start + self.length * np.array([math.cos(turn), math.sin(turn), 0.0])

    def _beside(self, places: Floats) -> tuple[Floats, Floats]:
        """Distance along the axis, and from it."""
        start, end = self._ends()
        way = (end - start) / self.length
        along = (places - start) @ way
        return along, np.linalg.norm(places - start - along[:, None] * way, axis=1)

    def _nearest(self, places: Floats) -> Floats:
        start, end = self._ends()
        along, _ = self._beside(places)
        return np.asarray(start + np.clip(along / self.length, 0.0, 1.0)[:, None] * (end - start))

    def layout(self) -> Aim:
        """See ``Flame``."""
        return Aim(self.at, JET_STEP, self._nearest, self.nozzle[2])

    def inside(self, panels: Panels) -> Bools:
        """Within its cone; a panel counts as soon as its edge may be."""
        along, off = self._beside(panels.at)
        reach = jet_fires.flame_radius(along) + panels.size
        return np.asarray(
            (along >= -panels.size) & (along <= self.length + panels.size) & (off <= reach)
        )

    def temperature(self, places: Floats) -> Floats:
        """Of a black flame that brings the stated heat, all along it."""
        return np.full(len(places), jet_fires.flame_temperature_of(self.in_it))

    def radiation(self, panels: Panels, walls: Walls = NO_WALLS) -> Floats:
        """A row of points on the axis; never more than in the flame."""
        start, end = self._ends()
        hidden = None
        if walls.standing:
            points = jet_fires.points_on(start, end)
            hidden = walls.hide_points(panels.at, points)
        flux = jet_fires.radiated_onto(panels.at, panels.normal, (start, end), self.power, hidden)
        return np.asarray(np.minimum(flux, self.in_it))

    def leaned_on(self, panels: Panels) -> bool:
        """Within what a jet may bend or spread to the side."""
        ends = np.linalg.norm(self._nearest(panels.at) - panels.at, axis=1)
        return float(ends.min()) < JET_LEANS * self.length


def flame_of(installation: Installation, source: FireSource) -> UprightFlame | JetFlame:
    """The flame of a source.

    Parameters
    ----------
    installation
        With the factor of caution on radiation.
    source
        Of the file.
    """
    factor = installation.choices.flame_radiation_factor
    lasts = WITHOUT_VOLUME if source.duration is None else source.duration
    if source.kind == "jet":
        return _jet(source, factor, lasts)
    base = source.elevation or 0.0
    diameter = diameter_of(source)
    if source.kind == "goods":
        heat, radiated = source.heat_release or 0.0, CLEAN
    else:
        fuel = pool_fires.fuels()[source.fuel or ""]
        heat, radiated = pool_fires.heat_release(fuel, diameter), fuel.radiated
        if source.volume is not None:
            lasts = min(pool_fires.burning_time(fuel, diameter, source.volume), LONGEST)
    height = pool_fires.flame_height(heat, diameter)
    power = pool_fires.emissive_power(heat, diameter, height, radiated)
    return UprightFlame(source.at, base, 0.5 * diameter, height, heat, factor * power, lasts)


def diameter_of(source: FireSource) -> float:
    """Diameter of a pool or of goods [m]."""
    if source.surface is not None:
        return pool_fires.diameter_of(source.surface)
    return source.diameter or 0.0


def _jet(source: FireSource, factor: float, lasts: float) -> JetFlame:
    fuel = None if source.fuel is None else jet_fires.jet_fuels()[source.fuel]
    heat = None
    if source.mass_flow is not None and fuel is not None:
        heat = source.mass_flow * fuel.heat_of_combustion
    if source.length is not None:
        length = source.length
        heat = jet_fires.jet_heat(length) if heat is None else heat
    else:
        heat = heat or 0.0
        length = jet_fires.jet_length(heat)
    radiated = CLEAN if fuel is None else fuel.radiated
    rate = source.mass_flow or heat / jet_fires.USUAL_COMBUSTION
    in_it = source.incident_flux or jet_fires.heat_in_jet(rate)
    z = NOZZLE_AT if source.elevation is None else source.elevation
    nozzle = (source.at[0], source.at[1], z)
    return JetFlame(nozzle, source.direction, length, heat, factor * radiated * heat, in_it, lasts)
