"""What a person must see first: how many sections are not safe, the worst, and how far to keep.

The sections stand worst first, by one order for window, report and command: what is not safe
before what is, the graver outcome first, then where a vessel and not only a line comes to it, then
the more stored energy, then the more people that a burst reaches, then the earlier rupture.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from airrisk.study.consequence_records import CaseRecord, ReachRecord
from airrisk.study.records import Assessment, VerdictRecord
from airrisk.verdict.rule import badness, load_of, rank_of

KEEP_AWAY_PA = 1.38e4  # walls and roofs collapse in part; eardrums are hurt nearer
LIKELY_WAY = "few pieces, likely"
IN_NO_FIRE = "cold_burst"  # far above the working pressure: no fire brings it about

Place = tuple[str, tuple[str, ...]]  # section and closed valves


@dataclass(frozen=True)
class SectionRow:
    """The verdicts of one section in one position of the valves."""

    section: str
    closed_valves: tuple[str, ...]
    verdicts: tuple[VerdictRecord, ...]

    @property
    def members(self) -> tuple[str, ...]:
        """Its parts."""
        return self.verdicts[0].members

    @property
    def asked(self) -> tuple[VerdictRecord, ...]:
        """The verdicts on fires that there are."""
        return tuple(one for one in self.verdicts if one.outcome is not None)

    @property
    def unsafe(self) -> tuple[VerdictRecord, ...]:
        """Those that are not safe, the worst first."""
        found = [one for one in self.asked if not one.safe]
        return tuple(sorted(found, key=verdict_rank, reverse=True))


@dataclass(frozen=True)
class KeepAway:
    """How far to keep from a vessel in a fire, m."""

    vessel: str
    blast_m: float
    pieces_m: float
    blast_case: str  # of the consequences, that it comes from
    pieces_case: str

    @property
    def farthest_m(self) -> float:
        """The farther of the two."""
        return max(self.blast_m, self.pieces_m)

    @property
    def case(self) -> str:
        """Where the farther of the two comes from."""
        return self.pieces_case if self.pieces_m >= self.blast_m else self.blast_case


@dataclass(frozen=True)
class Overview:
    """The answer of a whole assessment in one record."""

    rows: tuple[SectionRow, ...]  # worst first
    worst: VerdictRecord | None  # None: every one is safe
    soonest: VerdictRecord | None  # the earliest rupture, where it is not the worst one
    # of the vessels that are not safe or that a flame away from plugs ruptures; of all where all
    # are safe
    keep_away: KeepAway | None
    without_distance: tuple[str, ...]  # parts that are not safe and of which no distance is known


def verdict_rank(verdict: VerdictRecord) -> tuple[int, float, float]:
    """Sorts verdicts on fires from good to bad."""
    assert verdict.outcome is not None
    load = load_of(verdict.peak_strength_use or 0.0, verdict.creep_damage or 0.0,
                   verdict.limit or 1.0)  # fmt: skip
    return rank_of(verdict.outcome, load, verdict.rupture_s)


def section_rows(assessment: Assessment) -> tuple[SectionRow, ...]:
    """The matrix by sections, the worst first."""
    found: dict[Place, list[VerdictRecord]] = {}
    for verdict in assessment.verdicts:
        found.setdefault((verdict.section, verdict.closed_valves), []).append(verdict)
    rows = [SectionRow(section, closed, tuple(row)) for (section, closed), row in found.items()]
    return tuple(sorted(rows, key=lambda row: _gravity(assessment, row), reverse=True))


def _gravity(assessment: Assessment, row: SectionRow) -> tuple[float, ...]:
    asked, unsafe = row.asked, row.unsafe
    gravest = max((badness(one.outcome) for one in unsafe or asked if one.outcome), default=-1)
    times = [one.rupture_s for one in unsafe if one.rupture_s is not None]
    parts = [one.part for one in unsafe if one.outcome and badness(one.outcome) == gravest]
    kinds = {assessment.parts[name].kind for name in parts if name in assessment.parts}
    return (
        bool(unsafe),
        gravest,
        "vessel" in kinds,
        any(one.safe and not one.sure for one in asked),
        stored_energy(assessment, row.members),
        len(people_reached(assessment, row.members)),
        -min(times, default=math.inf),
    )


def stored_energy(assessment: Assessment, members: Iterable[str]) -> float:
    """Energy of the air in some parts at the start, J, isentropic."""
    parts = assessment.parts
    return sum(parts[name].stored_energy_j.isentropic for name in members if name in parts)


def people_reached(assessment: Assessment, members: Iterable[str]) -> tuple[str, ...]:
    """Places with people that a burst of one of some vessels reaches in a fire."""
    inside = set(members)
    reach: tuple[ReachRecord, ...] = assessment.people_reach
    found = {
        one.people
        for one in reach
        if one.vessel in inside and one.case != IN_NO_FIRE and one.reached_by_people_harm
    }
    return tuple(sorted(found))


def keep_away(assessment: Assessment, vessel: str) -> KeepAway | None:
    """Distances to keep in a fire: from collapsing walls, and from nine of ten likely fragments.

    Parameters
    ----------
    assessment
        The answer.
    vessel
        Id of the vessel.

    Returns
    -------
    KeepAway or None
        The most of the cases that a fire can bring about, the worst run of every fire among
        them (cold bursts far above the working pressure are left out); None without consequences.
    """
    cases: Mapping[str, CaseRecord] = assessment.consequences.get(vessel) or {}
    blast: list[tuple[float, str]] = []
    pieces: list[tuple[float, str]] = []
    for case, record in cases.items():
        if case == IN_NO_FIRE:
            continue
        for method in record.methods.values():
            blast += [
                (r.distance_m, case) for r in method.thresholds if r.incident_pa >= KEEP_AWAY_PA
            ]
        pieces += [(w.range_90_m, case) for w in record.fragments.ways if w.way == LIKELY_WAY]
    if not (blast and pieces):
        return None
    (blast_m, blast_case), (pieces_m, pieces_case) = max(blast), max(pieces)
    return KeepAway(vessel, blast_m, pieces_m, blast_case, pieces_case)


def overview(assessment: Assessment) -> Overview:
    """What a person must see first."""
    rows = section_rows(assessment)
    unsafe = [one for row in rows for one in row.unsafe]
    vessels = [name for name, part in assessment.parts.items() if part.kind == "vessel"]
    worst = _worst_of(rows[0], vessels) if unsafe else None
    ruptures = [one for one in unsafe if one.rupture_s is not None]
    soonest = min(ruptures, key=lambda one: one.rupture_s or 0.0, default=None)
    if worst is not None and soonest is not None and not _is_sooner(soonest, worst):
        soonest = None
    endangered = {name for row in rows if row.unsafe for name in row.members}
    asked = [name for name in vessels if name in endangered] if unsafe else vessels
    known = {name: keep_away(assessment, name) for name in asked}
    # a safe vessel may still burst in a flame away from its plugs: nobody is told to come nearer
    # because another one is not safe
    away = [n for n, one in assessment.flame_away.items() if one.rupture_s is not None]
    far = [one for one in (*known.values(), *(keep_away(assessment, n) for n in away)) if one]
    lines = {
        one.part for row in rows if not endangered.isdisjoint(row.members) for one in row.unsafe
        if one.part and one.part not in vessels
    }  # fmt: skip
    return Overview(
        rows=rows,
        worst=worst,
        soonest=soonest,
        keep_away=max(far, key=lambda one: one.farthest_m, default=None),
        without_distance=(*(n for n, one in known.items() if one is None), *sorted(lines)),
    )


def _worst_of(row: SectionRow, vessels: Collection[str]) -> VerdictRecord:
    """The worst verdict of a section; of those equally grave one on a vessel before a line.

    A thin line ruptures sooner, and a vessel takes more with it.
    """
    gravest = [one for one in row.unsafe if one.outcome == row.unsafe[0].outcome]
    return next((one for one in gravest if one.part in vessels), gravest[0])


def _is_sooner(one: VerdictRecord, than: VerdictRecord) -> bool:
    if one.rupture_s is None or one.part == than.part:
        return False
    return than.rupture_s is None or one.rupture_s < than.rupture_s
