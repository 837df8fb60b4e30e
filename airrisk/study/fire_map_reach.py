"""How far a fire acts on a section: beyond it nothing is struck, or no run can be unsafe.

Radiation heats metal to a balance with its loss and no further, and air to no more than its metal.
Where a section with all of its air and metal as hot as that is within its limit, every run of it
is: less heat, air that flows and devices that open only lessen what its walls bear.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from airrisk.fire import changes as change
from airrisk.fire.case import FireCase, strength_limit
from airrisk.installation.geometry import MUCH_CONDENSATE, condensate_share
from airrisk.installation.model import Installation, Line, Point, Vessel
from airrisk.installation.sections import holder_volume
from airrisk.kernel.flames import COOLING_CONVECTION
from airrisk.messages import Message
from airrisk.physics.joints import come_apart, lets_go
from airrisk.study.fire_runs import CAUTIOUS_BASIS, FireStudy
from airrisk.study.outlines import line_route, outline
from airrisk.study.shut_in_air import ScreeningError, ShutInAir

Floats = NDArray[np.float64]
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, CODATA 2018
# K: above it creep may tell in hours, which no balance of pressure sees; ordinary steels have their
# creep range above some 370 degC (from memory), judgement
HOTTEST_WITHOUT_RUN = 623.15
NEAR = 0.95  # of the limit; air that rushes from part to part may be a little hotter; judgement


class FireMapError(ValueError):
    """A map that cannot be drawn, with the reason for people."""

    def __init__(self, message: Message) -> None:
        super().__init__(message)


@dataclass(frozen=True)
class Harmless:
    """The heat that a section bears however long it lasts."""

    study: FireStudy  # of any fire against the section

    @cached_property
    def temperature(self) -> float:
        """The highest that all its metal and air may have, K; 0: none, it must be run."""
        cut = self.study.cut
        if any(one.in_fire == "keeps running" for one in cut.installation.compressors):
            return 0.0
        top = HOTTEST_WITHOUT_RUN
        for line in cut.installation.lines:
            if line.joints is not None and come_apart(line.joints):
                top = min(top, (lets_go(line.joints) or 0.0) - 1.0)
        low = self._hottest_start
        if not self._within(low):
            return 0.0
        if self._within(top):
            return top
        for _ in range(20):
            middle = 0.5 * (low + top)
            if self._within(middle):
                low = middle
            else:
                top = middle
        return low

    @cached_property
    def flux(self) -> float:
        """The highest flux on any part of it that needs no run, W/m2; 0: none."""
        hot = self.temperature
        if hot <= 0.0:
            return 0.0
        ambient = self.study.installation.site.ambient_temperature
        emissivity = self.study.fire.emissivity
        lost = COOLING_CONVECTION / emissivity * (hot - ambient)
        return max(STEFAN_BOLTZMANN * (hot**4 - ambient**4) + lost, 0.0)

    @property
    def doubted(self) -> bool:
        """Whether the full answer would be unsure whatever the heat."""
        cut, case = self.study.cut, self._cases[0]
        much = any(condensate_share(case.parts[one]) > MUCH_CONDENSATE for one in case.pools)
        return bool(cut.unconfirmed or case.no_creep_data or much)

    @cached_property
    def _cases(self) -> tuple[FireCase, ...]:
        found = [self.study.case()]
        if self.study.basis != CAUTIOUS_BASIS:
            found.append(self.study.case(basis=CAUTIOUS_BASIS))
        return tuple(found)

    @cached_property
    def _hottest_start(self) -> float:
        case = self._cases[0]
        return max(change.start_temperature(case, name) for name in case.names)

    def _within(self, temperature: float) -> bool:
        """Whether all bear the highest pressure of any, air and metal at one temperature."""
        highest = dict(self.study.cut.highest)
        ambient = self.study.installation.site.ambient_pressure
        case = self._cases[0]
        gauge = 0.0
        for part in self.study.installation.holders():
            start = change.start_temperature(case, part.id) if part.id in case.names else None
            if start is None:
                continue
            try:
                shut = ShutInAir(highest[part.id], start, holder_volume(part), part.condensate)
            except ScreeningError:
                return False
            gauge = max(gauge, float(shut.pressure(max(temperature, start))) - ambient)
        basis = (self.study.basis, CAUTIOUS_BASIS)
        for one, name in zip(self._cases, basis, strict=False):
            limit = NEAR * strength_limit(self.study.installation, name)
            for index, part_name in enumerate(one.names):
                if part_name in highest:
                    burst = change.burst_gauge(one, index, temperature)
                    if not gauge <= limit * burst:
                        return False
        return True


def outline_of(installation: Installation, part: Vessel | Line) -> tuple[list[Point], float]:
    """Points in a row that a part runs along, and how far it may reach beside them, m.

    No points: nobody says where it stands.
    """
    if isinstance(part, Vessel):
        return ([] if part.at is None else [part.at]), reach_of(part)
    return list(line_route(installation, part) or ()), 0.0


def part_distance(
    installation: Installation, part: Vessel | Line, x: Floats, y: Floats
) -> Floats | None:
    """From positions [m] to the nearest that any point of a part can be; None: not placed."""
    points, reach = outline_of(installation, part)
    if not points:
        return None
    pieces = zip(points, points[1:] or points, strict=False)
    away = np.min([_to_piece(first, last, x, y) for first, last in pieces], axis=0)
    return np.asarray(np.maximum(away - reach, 0.0))


def reach_of(vessel: Vessel) -> float:
    """How far a vessel may reach from its middle on the plan, m."""
    radius, length = outline(vessel)
    return radius if vessel.orientation == "vertical" else math.hypot(radius, 0.5 * length)


def _to_piece(first: Point, last: Point, x: Floats, y: Floats) -> Floats:
    """Distance from positions to a straight piece, m."""
    dx, dy = last[0] - first[0], last[1] - first[1]
    whole = dx * dx + dy * dy
    along = np.zeros_like(x)
    if whole > 0.0:
        along = np.clip(((x - first[0]) * dx + (y - first[1]) * dy) / whole, 0.0, 1.0)
    return np.asarray(np.hypot(x - first[0] - along * dx, y - first[1] - along * dy))
