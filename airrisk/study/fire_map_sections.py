"""One section of a map: from where the source acts on it, and its runs for one position."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.batch import BatchResult, run_changes
from airrisk.installation.model import Fire
from airrisk.installation.sections import Section
from airrisk.messages import told_of
from airrisk.study.envelope import corners, envelope, run_corners
from airrisk.study.exposures import Exposure
from airrisk.study.fire_map_grid import Place, squares_around
from airrisk.study.fire_map_reach import Harmless
from airrisk.study.fire_map_records import (
    BY_DOUBT,
    BY_ENVELOPE,
    BY_FEW_RUNS,
    BY_FOUR,
    LIMIT,
    NO_DOUBT,
    NOT_ASKED,
    NOT_ASSESSED,
    NOT_SURE,
    RUPTURES,
    MapSection,
)
from airrisk.study.fire_outcomes import record_of
from airrisk.study.fire_runs import Corner, Ending, FireStudy, StopTest
from airrisk.study.slices import Slicer
from airrisk.study.source_heat import SourceHeat
from airrisk.verdict.rule import OUTCOMES, is_safe, load_of

Floats = NDArray[np.float64]
OF_OUTCOME = {
    "vents in time": NOT_SURE,
    "outlasts the fire": NOT_SURE,
    "passes the limit": LIMIT,
    "ruptures": RUPTURES,
    "not converged": NOT_ASSESSED,
}
SAFE_BY_FAR = 0.8  # of what is allowed, around a position that is not run
HIGHEST = Corner(start=1.0)
OTHERS = (Corner(start=1.0, heat=0.5), Corner(), Corner(heat=0.5))


@dataclass(frozen=True)
class Found:
    """What is known of one position from one section or from the worst of them."""

    outcome: int  # of CLASSES
    section: int
    use: float = math.nan
    load: float = math.nan  # of what is allowed
    rupture: float = math.nan  # s
    vent: float = math.nan  # s
    grounds: int = BY_FOUR
    doubtful: int = NO_DOUBT
    runs: int = 0

    def rank(self) -> tuple[float, ...]:
        """Sorts from good to bad; of ruptures the earliest is the worst."""
        time = -self.rupture if math.isfinite(self.rupture) else -math.inf
        load = self.load if math.isfinite(self.load) else -1.0
        return (self.outcome, time if self.outcome == RUPTURES else 0.0, load)


@dataclass(frozen=True)
class Asking:
    """What all sections of a map are asked with."""

    fire: Fire  # of the source, wherever it stands
    slicer: Slicer
    lost: tuple[str, ...]  # parts without a place


@dataclass
class Reached:
    """One section, and where the source acts on it.

    Attributes
    ----------
    number, section
        Which.
    by_part
        A map for each of its placed parts: from each position to the nearest that any point of it
        can be, m.
    struck_within, runs_within
        Beyond these distances nothing of it is struck, and no run is needed, m.
    lost
        Its parts without a place.
    doubted
        Whether the full answer is unsure whatever the heat.
    failed
        Why nothing could be proven of it; empty: it could.
    plugs
        Those of it that may be counted on.
    hard
        Runs that were unsafe at other positions, asked first.
    """

    number: int
    section: Section
    by_part: Floats
    struck_within: float
    runs_within: float
    lost: tuple[str, ...] = ()
    doubted: bool = True
    failed: str = ""
    plugs: tuple[str, ...] = ()
    hard: list[Corner] = field(default_factory=list)
    outcome: NDArray[np.int8] = field(init=False)  # of its own, by position
    load: Floats = field(init=False)
    distance: Floats = field(init=False)  # to the nearest of its parts

    def __post_init__(self) -> None:
        self.distance = self.by_part.min(axis=0)
        self.outcome = np.full(self.distance.shape, NOT_ASKED, dtype=np.int8)
        self.load = np.full(self.distance.shape, np.nan)

    @classmethod
    def of(
        cls, number: int, section: Section, by_part: Floats, heat: SourceHeat, asked: Asking
    ) -> Reached:
        """A section against a source."""
        struck = heat.struck_within
        lost = tuple(name for name in section.holders if name in asked.lost)
        found = cls(number, section, by_part, struck, struck, lost)
        everywhere = tuple((name, 1.0) for name in section.holders)
        some = replace(asked.fire, reaches=section.holders, exposed_share=everywhere)
        try:
            cut = asked.slicer.fire(Exposure(some, section, "stated"))
            credited = {one.device for one in cut.credits if not one.uncredited}
            found.plugs = tuple(name for name in section.plugs if name in credited)
            harmless = Harmless(FireStudy(cut))
            found.doubted = harmless.doubted
            if harmless.flux > 0.0:
                found.runs_within = min(struck, heat.distance_of(harmless.flux))
        except Exception as error:  # nothing is proven of it: its runs tell
            found.failed = told_of(error) or type(error).__name__
        return found

    def note(self, place: Place, outcome: int, load: float) -> None:
        """Keep what it came to at one position."""
        self.outcome[place], self.load[place] = outcome, load

    def load_around(self, place: Place, size: int) -> float | None:
        """Its worst load at the corners of a square around a position.

        None where it is not safe by far at all of them, or a part is nearer than to each of them.
        """
        for around in squares_around(*place, size, self.distance.shape):
            loads = [0.0 if self.proven(one) else float(self.load[one]) for one in around]
            safe = all(self.proven(one) or self.outcome[one] <= NOT_SURE for one in around)
            if safe and np.max(loads) <= SAFE_BY_FAR and self.no_nearer(place, around):
                return float(np.max(loads))
        return None

    def no_nearer(self, place: Place, around: Sequence[Place]) -> bool:
        """Whether no part of it is nearer to a position than to all of some others."""
        nearest = np.min([self.by_part[:, row, column] for row, column in around], axis=0)
        return bool((self.by_part[:, place[0], place[1]] >= nearest).all())

    def proven(self, place: Place) -> bool:
        """Whether no run is needed there."""
        return bool(self.distance[place] >= self.runs_within)

    @property
    def touched(self) -> NDArray[np.bool_]:
        """Positions from which something of it may be struck."""
        return np.asarray(self.distance < self.struck_within)

    @property
    def open(self) -> NDArray[np.bool_]:
        """Positions at which only runs can tell."""
        return np.asarray(self.distance < self.runs_within)

    def record(self) -> MapSection:
        """As the map tells of it."""
        held = self.section
        return MapSection(
            held.id, held.vessels, held.lines, self.plugs, self.struck_within, self.runs_within,
            self.failed,
        )  # fmt: skip


def few_runs(one: Reached, study: FireStudy) -> Found:
    """The worst of at most four runs of a section.

    Parameters
    ----------
    one
        The section.
    study
        What strikes it from the position.
    """
    case = study.case()
    limit = case.limit
    hottest = run_changes(case, [study.changes(case, HIGHEST)], should_stop=study.should_stop)
    made = [_as_found(hottest, 0, one.number, limit)]
    stated, highest = study.starts(Corner()), study.starts(HIGHEST)
    milder = all(stated[name] <= pressure for name, pressure in highest.items())
    # in a run in which nothing opens, less heat and less pressure are no worse
    if not (milder and (made[0].outcome == RUPTURES or math.isnan(made[0].vent))):
        changes = [study.changes(case, corner) for corner in OTHERS]
        rest = run_changes(case, changes, should_stop=study.should_stop)
        made += [_as_found(rest, k, one.number, limit) for k in range(len(OTHERS))]
    worst = max(made, key=Found.rank)
    few = BY_FEW_RUNS if worst.outcome == NOT_SURE else NO_DOUBT
    return replace(worst, doubtful=few, runs=len(made))


def all_runs(one: Reached, study: FireStudy, unsure: bool, should_stop: StopTest | None) -> Found:
    """Every run of the envelope of a section; its doubts too, where these decide how sure it is.

    Parameters
    ----------
    one
        The section.
    study
        What strikes it from the position.
    unsure
        Whether something else makes the position unsure anyway.
    should_stop
        Asked at least every 50 ms.
    """
    own = set(corners(study))
    for corner in (corner for corner in tuple(one.hard) if corner in own):
        ending = run_corners(study, [corner])[corner]
        if not is_safe(ending.outcome):
            return _of_ending(ending, one.number, study.runs)
    if unsure:
        whole = envelope(study)
        if not whole.safe and whole.isothermal is None and whole.corner not in one.hard:
            one.hard.append(whole.corner)
        doubtful = BY_DOUBT if whole.safe else NO_DOUBT
        return replace(_of_ending(whole.ending, one.number, study.runs), doubtful=doubtful)
    record = record_of(study.cut, bores=False, should_stop=should_stop)
    seen = record.envelope
    time = None if seen is None or record.safe else seen.rupture_s
    outcome = OF_OUTCOME[record.worst_outcome]
    return Found(
        outcome if record.safe else max(outcome, NOT_ASSESSED),
        one.number,
        math.nan if record.worst_use is None else record.worst_use,
        record.worst_load,
        math.nan if time is None else time,
        grounds=BY_ENVELOPE,
        doubtful=BY_DOUBT if record.safe and not record.sure else NO_DOUBT,
        runs=study.runs + record.runs,
    )


def _as_found(found: BatchResult, k: int, section: int, limit: float) -> Found:
    times = [float(found.rupture_time[k]), float(found.line_rupture_time[k])]
    known = [time for time in times if math.isfinite(time)]
    use = float(found.peak_use[k])
    return Found(
        OF_OUTCOME[OUTCOMES[int(found.outcome[k])]],
        section,
        use,
        load_of(use, float(found.creep_damage[k]), limit),
        min(known, default=math.nan),
        float(found.first_vent[k]),
    )


def _of_ending(ending: Ending, section: int, runs: int) -> Found:
    time = math.nan if ending.rupture_time is None else ending.rupture_time
    return Found(
        OF_OUTCOME[ending.outcome], section, ending.peak_use, ending.load, time,
        grounds=BY_ENVELOPE, runs=runs,
    )  # fmt: skip
