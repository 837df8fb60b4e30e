"""The runs of one fire: its cases from its slice, and the verdict on what they give."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from airrisk.fire.batch import run_changes
from airrisk.fire.case import Credit, FireCase
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.fire.changes import Changes, fire_lasts, heat, starts_at
from airrisk.fire.covers import Layers
from airrisk.fire.known_runs import KnownRuns
from airrisk.fire.patches import Patch, shrunk
from airrisk.fire.run import FireRun, run_many
from airrisk.installation.model import Fire, Installation
from airrisk.installation.start import start_state
from airrisk.study.progressing import Ran
from airrisk.study.slices import FireSlice
from airrisk.verdict.rule import DAMAGE_LIMIT, OUTCOMES, Outcome, is_safe, load_of, rank_of

Radiation = Literal["on", "off"]
Devices = Literal["credited", "working"]
Machines = Literal["as stated", "stopped"]
StopTest = Callable[[], bool]
CAUTIOUS_BASIS = "yield"
WHOLE_LIFE = 1e-6  # so near 1 the creep damage has ruptured the metal


@dataclass(frozen=True)
class Corner:
    """What sets one run of a fire apart: see the envelope."""

    start: float | None = None  # None: as stated; else this share of the highest, in gauge
    heat: float = 1.0  # incident radiation over the stated one
    share: float | None = None  # None: as stated; else no part has more of its shell in the fire
    devices: Devices = "credited"
    radiation: Radiation = "off"
    water: float | None = None  # None: as stated; else this share of all condensate
    layers: Layers = "counted"  # of insulation, that are there
    machines: Machines = "as stated"  # compressors in the fire
    lasts: float | None = None  # s, the fire ends then; None: as stated


STATED = Corner()


@dataclass(frozen=True)
class Ending:
    """What one run of the envelope came to."""

    outcome: Outcome
    peak_use: float
    rupture_time: float | None  # s
    limit: float  # of the strength use
    creep_damage: float = 0.0
    opened: tuple[float, ...] = ()  # s, when plugs and discs opened, each that did

    @property
    def load(self) -> float:
        """What it takes of what is allowed, 1 at the limit."""
        return load_of(self.peak_use, self.creep_damage, self.limit)

    @property
    def by_creep(self) -> bool:
        """Whether the time at temperature makes it unsafe, and the strength does not."""
        ruptures = self.outcome == "ruptures"
        damage = 1.0 - WHOLE_LIFE if ruptures else DAMAGE_LIMIT
        enough = self.peak_use < 1.0 if ruptures else self.peak_use <= self.limit
        return not is_safe(self.outcome) and enough and self.creep_damage > damage

    def rank(self) -> tuple[int, float, float]:
        """Sorts endings from good to bad."""
        return rank_of(self.outcome, self.load, self.rupture_time)


class FireStudy:
    """Builds and runs the cases of one slice.

    Parameters
    ----------
    cut
        What burns, and what it can feel.
    should_stop
        Asked during the runs.
    ran
        Called with how many runs were made, again and again.
    known
        Answers of earlier runs; without it a study remembers its own.
    """

    def __init__(
        self,
        cut: FireSlice,
        should_stop: StopTest | None = None,
        ran: Ran | None = None,
        known: KnownRuns | None = None,
    ) -> None:
        self.cut = cut
        self.ran = ran
        self.known = KnownRuns() if known is None else known
        self.installation, self.exposure = cut.installation, cut.exposure
        self.should_stop = should_stop
        self.uncredited = tuple(one.device for one in cut.credits if one.uncredited)
        self.dead = tuple(one.device for one in cut.credits if one.dead)
        self.conditions = {one.device: one.condition for one in cut.credits}
        self.basis = cut.installation.choices.strength_basis
        self.runs = 0
        # of a plug of unknown alloy nobody can say what it does if it works
        plugs = {plug.id: plug for plug in cut.installation.plugs}
        self.may_still_work = any(
            name not in self.dead and (name not in plugs or plugs[name].alloy is not None)
            for name in self.uncredited
        )
        self._cases: dict[tuple[object, ...], FireCase] = {}

    @property
    def fire(self) -> Fire:
        """What burns."""
        return self.exposure.fire

    @cached_property
    def plugs_in_flames(self) -> bool:
        """Whether all that the section holds is in the flames, its plugs too."""
        section, fire = self.exposure.section, self.fire
        if any(fire.share(name) < 1.0 for name in section.holders):
            return False
        named = fire.plugs_in_fire
        return named is None or set(section.plugs) <= set(named)

    @cached_property
    def has_two_zones(self) -> bool:
        """Whether a part has metal in the fire and out of it."""
        return any(0.0 < self.fire.share(name) < 1.0 for name in self.exposure.section.holders)

    @cached_property
    def has_condensate(self) -> bool:
        """Whether a part of the section holds condensate."""
        inside = set(self.exposure.section.holders)
        return any(
            part.condensate > 0.0 for part in self.installation.holders() if part.id in inside
        )

    @cached_property
    def layers(self) -> tuple[Layers, ...]:
        """Which insulation to run with: where some does not count, without it and with it.

        It may hold longer than anybody says, keep heat in or plugs cold.
        """
        if all(one.counted for one in self.case().covers.values()):
            return ("counted",)
        return ("counted", "all") if self.plugs_in_flames else ("counted", "unstruck", "all")

    @cached_property
    def machines(self) -> tuple[Machines, ...]:
        """With which compressors to run: what goes on feeding may fail in the fire as well.

        Air that is fed can be the worse for its pressure, or the better for cooling the metal.
        """
        return ("as stated", "stopped") if self.case().feeds else ("as stated",)

    @cached_property
    def stated_starts(self) -> dict[str, float]:
        """Pressure of each part as stated, Pa absolute."""
        return {
            part.id: start_state(self.installation, part)[0] for part in self.installation.holders()
        }

    def starts(self, corner: Corner) -> dict[str, float]:
        """Pressure of each part when the fire of a corner starts, Pa absolute."""
        if corner.start is None:
            return self.stated_starts
        ambient = self.installation.site.ambient_pressure
        return {
            name: ambient + corner.start * (pressure - ambient)
            for name, pressure in self.cut.highest
        }

    def _fire_with(self, share: float | None) -> Fire:
        if share is None:
            return self.fire
        named = self.fire.plugs_in_fire
        if named is None:  # the plugs keep their places, in the flames or out of them
            named = tuple(
                plug.id
                for plug in self.installation.plugs
                if plug.on in self.fire.reaches and self.fire.share(plug.on) >= 1.0
            )
        return replace(
            self.fire,
            exposed_share=tuple((n, min(own, share)) for n, own in self.fire.exposed_share),
            plugs_in_fire=named,
        )

    def _with_water(self, share: float | None) -> Installation:
        """The installation with a share of the stated condensate in every part."""
        if share is None:
            return self.installation
        return replace(
            self.installation,
            vessels=tuple(
                replace(one, condensate=share * one.condensate) for one in self.installation.vessels
            ),
            lines=tuple(
                replace(one, condensate=share * one.condensate) for one in self.installation.lines
            ),
        )

    def _with_machines(self, machines: Machines, installation: Installation) -> Installation:
        """An installation with its compressors as they are stated, or stopped by the fire."""
        if machines == "as stated":
            return installation
        stopped = tuple(replace(one, in_fire="stops") for one in installation.compressors)
        return replace(installation, compressors=stopped)

    def _patches_with(self, share: float | None) -> dict[str, tuple[Patch, ...]]:
        """The patches of the walls, with no more than a share of each in the fire."""
        found = {}
        for name, patches in self.exposure.patches:
            own = math.fsum(p.share for p in patches if p.exposure.kind != "ambient")
            less = 1.0 if share is None or own <= 0.0 else min(1.0, share / own)
            found[name] = patches if less == 1.0 else shrunk(patches, less)
        return found

    def case(
        self,
        corner: Corner = STATED,
        credit: Credit | None = None,
        *,
        basis: str | None = None,
        convection: float = 1.0,
    ) -> FireCase:
        """The case of one corner; ``credit`` left out: as the corner says."""
        if credit is None:
            credit = "as fitted" if corner.devices == "credited" else "all"
        key = (
            corner.share, corner.water, corner.radiation, corner.layers, corner.machines, credit,
            basis, convection,
        )  # fmt: skip
        if key not in self._cases:
            self._cases[key] = build_case(
                self._with_machines(corner.machines, self._with_water(corner.water)),
                self._fire_with(corner.share),
                self.exposure.section,
                CaseSettings(
                    basis=basis or self.basis,
                    inner_radiation=corner.radiation == "on",
                    credit=credit,
                    convection_factor=convection,
                    uncredited=self.uncredited,
                    conditions=self.conditions,
                    dead=self.dead,
                    exposures=self._patches_with(corner.share),
                    plug_patches=dict(self.exposure.plug_patches),
                    layers=corner.layers,
                    unconfirmed_layers=self.cut.unconfirmed_layers,
                ),
            )
        found = self._cases[key]
        changed = self.changes(found, corner)
        return found.changed(changed) if changed else found

    def changes(self, case: FireCase, corner: Corner) -> Changes:
        """What start and heat of a corner change in a case."""
        found: Changes = {}
        if corner.start is not None:
            found |= starts_at(case, self.starts(corner))
        if corner.heat != 1.0:
            found |= heat(case, corner.heat)
        if corner.lasts is not None:
            found |= fire_lasts(corner.lasts)
        return found

    def run(self, cases: Sequence[FireCase]) -> list[FireRun]:
        """Run cases in the order given, with their histories."""
        found = {place: self.known.whole(case) for place, case in enumerate(cases)}
        new = [place for place, run in found.items() if run is None]
        made = run_many([cases[place] for place in new], should_stop=self.should_stop)
        for place, run in zip(new, made, strict=True):
            found[place] = run
            self.known.keep_whole(run)
        self.count(len(cases))
        return [run for run in found.values() if run is not None]

    def count(self, runs: int) -> None:
        """Note that runs were made."""
        self.runs += runs
        if self.ran is not None:
            self.ran(runs)

    def endings(self, case: FireCase, changes: Sequence[Changes]) -> list[Ending]:
        """What a case comes to with some of its numbers changed, one after the other."""
        if not changes:
            return []
        told = 0

        def made(done: int, _: int) -> None:
            nonlocal told
            self.count(done - told)
            told = done

        found = run_changes(
            case,
            changes,
            progress=made,
            should_stop=self.should_stop,
            known=self.known,
        )
        return [
            Ending(
                OUTCOMES[int(found.outcome[k])],
                float(found.peak_use[k]),
                _first(float(found.rupture_time[k]), float(found.line_rupture_time[k])),
                case.limit,
                float(found.creep_damage[k]),
                tuple(sorted({float(t) for t in found.opened[k] if np.isfinite(t)})),
            )
            for k in range(len(changes))
        ]


def _first(vessel: float, line: float) -> float | None:
    times = [time for time in (vessel, line) if np.isfinite(time)]
    return min(times, default=None)
