"""One vessel before a pool at any place of the plan: whether every run of it is safe.

The pool heats that vessel alone, behind the walls of the file. Its plugs are reached where the
ordinary rules say so, or by its wall only. Places from which it gets the same heat share their
runs.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from airrisk.fire.stopping import go_on
from airrisk.installation.model import FireSource, Installation, Line, Point, Vessel
from airrisk.installation.sections import Section, section_of, shut_in
from airrisk.study.envelope import corners, envelope, run_corners
from airrisk.study.exposures import Exposure, struck_by
from airrisk.study.fire_map_reach import Harmless
from airrisk.study.fire_map_sections import HIGHEST, OTHERS
from airrisk.study.fire_runs import Corner, FireStudy, StopTest
from airrisk.study.outlines import touching
from airrisk.study.slices import FireSlice, Slicer
from airrisk.study.source_flames import diameter_of
from airrisk.study.standing_fires import source_fire
from airrisk.verdict.rule import is_safe

DIGITS = 6  # of heat that counts as the same
BESIDE = 1e-3  # m: a pool that touches a shell is beside it, whatever the last digit says


@dataclass
class Plant:
    """An installation that a pool is moved about in, with what all of its vessels share."""

    installation: Installation
    slicer: Slicer
    sections: tuple[Section, ...]
    should_stop: StopTest | None = None

    @classmethod
    def of(
        cls, installation: Installation, on: dt.date, should_stop: StopTest | None = None
    ) -> Plant:
        """Of one installation on a date."""
        sections = tuple(shut_in(installation))
        return cls(installation, Slicer(installation, on), sections, should_stop)


@dataclass
class PoolBesideVessel:
    """One vessel and one pool.

    Attributes
    ----------
    plant
        With the plugs that are counted on.
    vessel
        With a place.
    source
        The pool, as large as it is.
    by_wall
        Whether plugs get their heat from the wall only, wherever the flames are.
    known
        What runs have said, by what strikes the vessel; cases with the same plugs share it.
    hard
        Runs that were unsafe before, asked first.
    runs
        How many were made.
    """

    plant: Plant
    vessel: Vessel
    source: FireSource
    by_wall: bool = False
    known: dict[object, bool] = field(default_factory=dict)
    hard: list[Corner] = field(default_factory=list)
    runs: int = 0

    @cached_property
    def section(self) -> Section:
        """The vessel shut in."""
        return section_of(self.plant.sections, self.vessel.id)

    @cached_property
    def diameter(self) -> float:
        """Of the pool [m]."""
        return diameter_of(self.source)

    def place(self, angle: float, gap: float) -> Point:
        """Where the middle of the pool lies in a direction.

        Parameters
        ----------
        angle
            rad from the plan's x axis.
        gap
            Beyond where the pool touches the shell [m].
        """
        at = self.vessel.at or (0.0, 0.0)
        way = (math.cos(angle), math.sin(angle))
        radius = 0.5 * self.diameter
        away = max(gap, BESIDE) + touching(self.vessel, (at[0] + way[0], at[1] + way[1]), radius)
        return at[0] + away * way[0], at[1] + away * way[1]

    def safe(self, at: Point) -> bool:
        """Whether every run is while the pool burns at a place."""
        go_on(self.plant.should_stop)
        cut = self._alone(at)
        if cut is None:
            return True
        key = _alike(cut)
        if key not in self.known:
            self.known[key] = self._is_safe(cut)
        return self.known[key]

    def reaches(self, at: Point) -> tuple[str, ...]:
        """The plugs that the pool surely reaches from a place."""
        go_on(self.plant.should_stop)
        burning = source_fire(self._bare, self._moved(at))
        return tuple(burning.plug_patches)

    def others_hold(self, at: Point) -> bool:
        """Whether the worst runs are safe with all of its section in the heat as well."""
        go_on(self.plant.should_stop)
        plant = self.plant
        source = self._moved(at)
        burning = source_fire(self._whole_section, source)
        if set(burning.struck) <= {self.vessel.id}:
            return True
        found = struck_by(plant.installation, source, burning, self.section)
        if found is None:
            return True
        study = FireStudy(plant.slicer.fire(found), plant.should_stop)
        if self._harmless(study.cut):
            return True
        own = set(corners(study))
        asked = [one for one in dict.fromkeys((*self.hard, HIGHEST, *OTHERS)) if one in own]
        endings = run_corners(study, asked)
        self.runs += len(asked)
        return all(is_safe(one.outcome) for one in endings.values())

    def _moved(self, at: Point) -> FireSource:
        return replace(self.source, id=self.source.id or "pool", at=at)

    @cached_property
    def _bare(self) -> Installation:
        return replace(self._seen, vessels=(self.vessel,), lines=())

    @cached_property
    def _whole_section(self) -> Installation:
        return with_parts(self._seen, self.section.holders)

    @cached_property
    def _seen(self) -> Installation:
        """As the flames see it."""
        whole = self.plant.installation
        return replace(whole, plugs=()) if self.by_wall else whole

    def _alone(self, at: Point) -> FireSlice | None:
        """What strikes the vessel; None: nothing does."""
        source = self._moved(at)
        burning = source_fire(self._bare, source)
        found = struck_by(self._bare, source, burning, self.section)
        if found is None:
            return None
        # of it alone: nothing else of the section is hot, wherever it stands
        return self.plant.slicer.fire(replace(found, not_placed=(), hot_room=""))

    def _is_safe(self, cut: FireSlice) -> bool:
        if self._harmless(cut):
            return True
        study = FireStudy(cut, self.plant.should_stop)
        own = set(corners(study))
        for corner in tuple(self.hard):
            if corner in own:
                self.runs += 1
                if not is_safe(run_corners(study, [corner])[corner].outcome):
                    return False
        whole = envelope(study)
        self.runs += whole.runs
        if not whole.safe and whole.isothermal is None and whole.corner not in self.hard:
            self.hard.append(whole.corner)
        return whole.safe

    def _harmless(self, cut: FireSlice) -> bool:
        """Whether the heat is such that no run can be unsafe, however long it lasts."""
        kinds = [one.exposure for _, patches in cut.exposure.patches for one in patches]
        if any(one.kind == "flames" for one in kinds):
            return False
        return max((one.flux for one in kinds if one.kind == "radiation"), default=0.0) < (
            self._borne
        )

    @cached_property
    def _borne(self) -> float:
        """Flux on any part that the section bears however long it lasts, W/m2."""
        fire = source_fire(self._bare, self._moved(self.vessel.at or (0.0, 0.0))).fire
        everywhere = tuple((name, 1.0) for name in self.section.holders)
        all_of_it = replace(fire, reaches=self.section.holders, exposed_share=everywhere)
        exposure = Exposure(all_of_it, self.section, "stated")
        return Harmless(FireStudy(self.plant.slicer.fire(exposure))).flux


def with_parts(installation: Installation, names: Sequence[str]) -> Installation:
    """The installation with some of its vessels and lines, and what these lines end at."""
    inside = set(names)
    lines: tuple[Line, ...] = tuple(one for one in installation.lines if one.id in inside)
    ends = {end.casefold() for line in lines for end in (line.from_, line.to)}
    vessels = tuple(
        one for one in installation.vessels if one.id in inside or one.id.casefold() in ends
    )
    return replace(installation, vessels=vessels, lines=lines)


def _alike(cut: FireSlice) -> object:
    """What sets the runs of two places of one pool apart."""
    exposure = cut.exposure
    patches = tuple(
        (name, tuple((p.name, p.exposure.kind, _cut(p.share), _cut(p.exposure.flux)) for p in own))
        for name, own in exposure.patches
    )
    credits = tuple((one.uncredited, one.dead) for one in cut.credits)
    return patches, exposure.plug_patches, credits, _cut(exposure.fire.temperature or 0.0)


def _cut(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
