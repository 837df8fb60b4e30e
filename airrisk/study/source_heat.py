"""What a source of fire gives at most at a distance, whichever way it points."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass

from airrisk.installation.model import FireSource, Installation
from airrisk.physics import jet_fires
from airrisk.physics.flame_view import panel_factor
from airrisk.study.outlines import ALONG, AROUND, outline
from airrisk.study.source_flames import JET_LEANS, LEANS, UprightFlame, flame_of
from airrisk.study.standing_fires import LEAST_FLUX

FARTHEST = 1000.0  # m
HALVINGS = 50


class SourceHeat(ABC):
    """Bounds that hold for every part.

    Attributes
    ----------
    radius
        Within this distance from the source a part may be in the flames [m].
    height
        Of the flame, or the length of a jet [m].
    leans
        How much farther wind may lean it [m].
    pitch
        Of positions, so that it passes no part unseen between two of them [m].
    smooth
        Whether what lies farther from it never gets more.
    """

    radius: float
    height: float
    leans: float
    pitch: float
    smooth: bool

    @abstractmethod
    def most_flux(self, distance: float) -> float:
        """On any panel so far from the source [W/m2]; infinite where it may be in the flames."""

    def distance_of(self, flux: float) -> float:
        """From which distance on no more than a flux falls on anything, m."""
        low, high = self.radius, FARTHEST
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            if self.most_flux(middle) <= flux:
                high = middle
            else:
                low = middle
        return high

    @property
    def struck_within(self) -> float:
        """Beyond this distance nothing is struck, m."""
        return self.distance_of(0.999 * LEAST_FLUX)


@dataclass(frozen=True)
class PoolHeat(SourceHeat):
    """Of the upright flame of a pool or of goods, from its axis."""

    radius: float  # m
    height: float  # m, of the flame
    power: float  # W/m2, with the factor of caution

    @property
    def leans(self) -> float:  # type: ignore[override]
        """See ``SourceHeat``."""
        return LEANS * self.height

    @property
    def pitch(self) -> float:  # type: ignore[override]
        """See ``SourceHeat``."""
        return 2.0 * self.radius

    smooth = True

    def most_flux(self, distance: float) -> float:
        """On a panel that faces the middle of the flame."""
        if distance <= self.radius:
            return math.inf
        if self.height <= 0.0:
            return 0.0
        middle = 0.5 * self.height
        return self.power * float(
            panel_factor(distance, middle, 0.0, 0.0, self.radius, self.height)
        )


@dataclass(frozen=True)
class JetHeat(SourceHeat):
    """Of a jet, from its nozzle, whichever way it points.

    Attributes
    ----------
    grain
        Of the panels of all parts [m]: a panel counts as in the jet when its edge is.
    power, in_it
        W radiated in all, and W/m2 on what stands in it.
    any_way
        Whether it is pointed at each part in turn.
    """

    height: float
    grain: float
    power: float
    in_it: float
    any_way: bool

    @property
    def radius(self) -> float:  # type: ignore[override]
        """See ``SourceHeat``."""
        wide = float(jet_fires.flame_radius(self.height))
        return math.hypot(self.height + self.grain, wide + self.grain)

    @property
    def leans(self) -> float:  # type: ignore[override]
        """See ``SourceHeat``."""
        return JET_LEANS * self.height

    @property
    def pitch(self) -> float:  # type: ignore[override]
        """See ``SourceHeat``: the width of the flame; of one that is pointed, half its length."""
        wide = 2.0 * float(jet_fires.flame_radius(self.height))
        return max(wide, 0.5 * self.height) if self.any_way else wide

    smooth = False  # it is narrow at its nozzle, and passes what it is not pointed at

    def most_flux(self, distance: float) -> float:
        """As if all of it radiated from its far end; never more than in it."""
        if distance <= self.radius:
            return math.inf
        around = 4.0 * math.pi * (distance - self.height) ** 2
        return min(self.power / around, self.in_it)


def heat_of(installation: Installation, source: FireSource) -> SourceHeat:
    """Of one source, whose place does not matter.

    Parameters
    ----------
    installation
        With the vessels that it may meet, and the factor of caution on radiation.
    source
        Of the file, or asked for.
    """
    flame = flame_of(installation, source)
    if isinstance(flame, UprightFlame):
        return PoolHeat(flame.radius, flame.height, flame.power)
    grain = max((_grain(*outline(one)) for one in installation.vessels), default=0.0)
    return JetHeat(
        flame.length, max(grain, LINE_GRAIN), flame.power, flame.in_it, source.direction is None
    )


LINE_GRAIN = 0.25  # m: more than half the spacing of the panels of a line of 5 km


def _grain(radius: float, length: float) -> float:
    """Size of the largest panel of a vessel, m."""
    return max(math.hypot(math.pi * radius / AROUND, 0.5 * length / ALONG), 0.5 * radius)
