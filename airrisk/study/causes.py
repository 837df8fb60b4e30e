"""Findings grouped by what one change would cure, found by trying.

A cause is a change of the installation after which its findings are gone. What no tried change
cures stays together by what it is about: the fires of one section with the rules that only say
the same of them, and else the findings of one rule. Every finding stands in exactly one cause.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from airrisk.study.cure_changes import Change
from airrisk.study.cure_plan import curing_together
from airrisk.study.cure_trials import Bench, Cell, Trial, touched
from airrisk.study.overview import people_reached, stored_energy
from airrisk.study.records import SEVERITIES, Assessment, Finding, Severity
from airrisk.study.section_cures import SectionCures

WEIGHTS: dict[str, int] = {"danger": 10_000, "warning": 100, "note": 1}
# rules that say again of a section what its fires come to
RESTATES = frozenset(
    {
        "fire-outcome", "unprotected-section", "kept-by-pressure-alone", "bore-too-small",
        "bore-without-margin", "verdict-depends-on-strength-basis",
        "verdict-depends-on-relief-valve", "verdict-depends-on-convection",
        "verdict-depends-on-creep-rate", "verdict-depends-on-insulation",
        "verdict-depends-on-slow-plug",
        "verdict-depends-on-whole-bore", "people-within-reach",
    }
)  # fmt: skip


@dataclass(frozen=True)
class CauseRecord:
    """Findings that one change cures, or that nothing tried cures.

    Attributes
    ----------
    changes
        One change, or several that cure only together; none: nothing tried cures them.
    findings
        The gravest first.
    severity
        Of the gravest.
    energy_j
        Isentropic energy of the parts concerned at the start.
    people
        Places with people that a burst of them reaches.
    cured
        Verdicts (section, class) that are safe after the change.
    """

    changes: tuple[Change, ...]
    findings: tuple[Finding, ...]
    severity: Severity
    energy_j: float
    people: tuple[str, ...]
    cured: tuple[tuple[str, str], ...] = ()


def causes_of(
    bench: Bench, changes: Sequence[Change], sections: SectionCures | None = None
) -> tuple[CauseRecord, ...]:
    """The causes of an assessment, by rank.

    Parameters
    ----------
    bench
        The installation and its assessment.
    changes
        Worth trying, see ``cure_candidates``.
    sections
        Finds more changes of one section together; None: that is not asked.

    Raises
    ------
    Cancelled
        The caller asked to stop.
    """
    found = bench.trials(changes)
    left = set(range(len(bench.before.findings)))
    made = _taken(bench, found, left)
    made += _taken(bench, curing_together(bench, changes, sections), left)
    made += [_record(bench.before, places) for places in _together(bench.before, left)]
    return tuple(sorted(made, key=_rank))


def _taken(bench: Bench, tried: Sequence[Trial], left: set[int]) -> list[CauseRecord]:
    """Causes out of what was tried, the one that cures most first; ``left`` gets less."""
    useful = [trial for trial in tried if trial.gone and not trial.harm]
    made: list[CauseRecord] = []
    while left and useful:
        best = max(useful, key=lambda one: _gain(bench, one, left))
        places = sorted(left.intersection(best.gone))
        if not places:
            break
        made.append(_record(bench.before, places, best))
        left -= set(places)
    return made


def _gain(bench: Bench, trial: Trial, left: set[int]) -> tuple[float, float]:
    """What a change cures of what is left, and of equals the cheaper one."""
    findings = bench.before.findings
    gain = sum(WEIGHTS[findings[place].severity] for place in left.intersection(trial.gone))
    return gain, -sum(change.cost for change in trial.changes)


def _together(before: Assessment, left: Iterable[int]) -> list[list[int]]:
    """What nothing cures, by what it is about; of notes alone their rule tells that."""
    groups: dict[tuple[str, str], list[int]] = {}
    for place in sorted(left):
        one = before.findings[place]
        key = ("section", _section(before, one)) if one.rule in RESTATES else ("rule", one.rule)
        groups.setdefault(key, []).append(place)
    found: dict[tuple[str, str], list[int]] = {}
    for (kind, name), places in groups.items():
        if all(before.findings[place].severity == "note" for place in places):
            for place in places:
                found.setdefault(("rule", before.findings[place].rule), []).append(place)
        else:
            found[kind, name] = [*found.get((kind, name), ()), *places]
    return list(found.values())


def _section(before: Assessment, finding: Finding) -> str:
    """The isolable section that a finding is about."""
    return finding.section or next(
        (one.id for one in before.shut_in if finding.part in one.members), finding.part
    )


def _record(before: Assessment, places: Sequence[int], trial: Trial | None = None) -> CauseRecord:
    findings = sorted(
        (before.findings[place] for place in places),
        key=lambda one: (SEVERITIES.index(one.severity), one.rule not in RESTATES),
    )
    parts = _parts(before, findings)
    cured: frozenset[Cell] = frozenset() if trial is None else trial.cured
    return CauseRecord(
        changes=() if trial is None else trial.changes,
        findings=tuple(findings),
        severity=findings[0].severity,
        energy_j=stored_energy(before, parts),
        people=people_reached(before, parts),
        cured=tuple(sorted((cell.section, cell.fire_class) for cell in cured)),
    )


def _parts(before: Assessment, findings: Iterable[Finding]) -> tuple[str, ...]:
    """The parts of the sections that findings are about."""
    about = frozenset().union(*(touched(one) for one in findings))
    on = {str(one.values["on"]) for one in findings if isinstance(one.values.get("on"), str)}
    wanted = about | on
    inside = {
        name
        for section in before.shut_in
        if not wanted.isdisjoint((*section.members, *section.plugs, *section.relief_valves))
        for name in section.members
    }
    return tuple(sorted(inside or wanted))


def _rank(cause: CauseRecord) -> tuple[int, float, int, str, str]:
    """Sorts causes, the gravest first: severity, energy, people within reach."""
    first = cause.findings[0]
    return (
        SEVERITIES.index(cause.severity),
        -cause.energy_j,
        -len(cause.people),
        first.part,
        first.rule,
    )
