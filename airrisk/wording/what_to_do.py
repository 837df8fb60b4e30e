"""What to do, a line each: what the runs have proven first, then the cures of the findings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from airrisk.study.records import Assessment, Cure, Finding, FireRecord
from airrisk.wording import labels
from airrisk.wording.cures import brief_cure_line, cure_line, useful_cures
from airrisk.wording.findings import finding_cure
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

# cures that ask for a plug, or a better one, without a run that proves it
_ASKS_FOR_A_PLUG = ("unprotected-section", "kept-by-pressure-alone", "bore-too-small",
                    "verdict-depends-on-")  # fmt: skip
_ASKS_FOR_A_NEW_ONE = ("plug-condition", "plug-overdue", "plug-due-soon")
_BRINGS_A_PLUG = ("fit", "place", "place and bore", "renew")


@dataclass(frozen=True)
class _Proven:
    """A cure and the fire that it is proven for."""

    cure: Cure
    fire: FireRecord

    @property
    def deed(self) -> tuple[str, str, str]:
        """What makes two cures one deed: the part that gets it, its kind and the alloy."""
        return _carrier(self.cure), self.cure.kind, _alloy(self.cure)


@dataclass(frozen=True)
class Deed:
    """One thing to do, and what asks for it: fires that runs have proven it for, or a finding."""

    text: str
    fires: tuple[FireRecord, ...] = ()
    finding: Finding | None = None
    findings: tuple[Finding, ...] = ()  # all that it is to cure, ``finding`` among them
    brief: str = ""  # the same without the proof and the reason; empty: as ``text``


def what_to_do(assessment: Assessment, ordered: Sequence[Finding], units: Units) -> list[str]:
    """The deeds of ``deeds_of`` as texts."""
    return [deed.text for deed in deeds_of(assessment, ordered, units)]


def deeds_of(assessment: Assessment, ordered: Sequence[Finding], units: Units) -> list[Deed]:
    """The deeds that make the installation better, the proven ones first.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    ordered : sequence of Finding
        Whose cures are told, the gravest first.
    units : Units
        Unit set and atmosphere.
    """
    proven = _fewest(assessment.fires)
    alike: dict[tuple[str, str, str], list[tuple[Cure, FireRecord]]] = {}
    for one in proven:
        alike.setdefault(one.deed, []).append((one.cure, one.fire))
    deeds = [
        Deed(
            cure_line(same, units),
            tuple(fire for _, fire in same),
            findings=tuple(
                f for f in ordered if any(_does(_Proven(cure, fire), f) for cure, fire in same)
            ),
            brief=brief_cure_line(same, units),
        )
        for same in alike.values()
    ]
    told = {deed.text: place for place, deed in enumerate(deeds)}
    for finding in ordered:
        if _stands_already(finding, proven):
            continue
        line = _line(finding, assessment, units)
        if line and line not in told:
            told[line] = len(deeds)
            brief = _line(finding, assessment, units, brief=True)
            deeds.append(Deed(line, finding=finding, findings=(finding,), brief=brief))
        elif line:
            same_line = deeds[told[line]]
            deeds[told[line]] = replace(same_line, findings=(*same_line.findings, finding))
    return deeds


def _fewest(fires: Iterable[FireRecord]) -> list[_Proven]:
    """One cure for each unsafe fire that has any, chosen so that a section gets few deeds."""
    sections: dict[tuple[str, tuple[str, ...]], list[list[_Proven]]] = {}
    for fire in fires:
        cures = [_Proven(cure, fire) for cure in useful_cures(fire)]
        if not fire.safe and cures:
            sections.setdefault((fire.section, fire.closed_valves), []).append(cures)
    found = []
    for left in sections.values():
        while left:
            counts: dict[tuple[str, str, str], int] = {}
            for cures in left:
                for deed in dict.fromkeys(one.deed for one in cures):
                    counts[deed] = counts.get(deed, 0) + 1
            best = max(counts, key=lambda deed: counts[deed])  # of equals the first
            found += [one for cures in left for one in cures[:] if one.deed == best]
            left = [cures for cures in left if all(one.deed != best for one in cures)]
    return found


def _stands_already(finding: Finding, proven: list[_Proven]) -> bool:
    """Whether what a finding asks for is done by a proven cure."""
    cured = {(one.fire.id, one.fire.section) for one in proven}
    if all((fire, finding.section) in cured for fire in _fires_named(finding)):
        return True
    return any(_plug_does(one, finding) for one in proven)


def _fires_named(finding: Finding) -> Sequence[str | None]:
    """The fires that a finding speaks of."""
    fires = finding.values.get("fires") if finding.rule == "fire-outcome" else None
    return fires or [finding.values.get("fire")]


def _does(one: _Proven, finding: Finding) -> bool:
    """Whether a cure is to do something about a finding: about one of its fires, or its plug."""
    here = finding.section == one.fire.section and one.fire.id in _fires_named(finding)
    return here or _plug_does(one, finding)


def _plug_does(one: _Proven, finding: Finding) -> bool:
    """Whether the plug that a cure brings is what a finding asks for."""
    renewed = one.cure.kind == "renew" and one.cure.device == finding.part
    if renewed and finding.rule in _ASKS_FOR_A_NEW_ONE:
        return True
    if one.cure.kind not in _BRINGS_A_PLUG:
        return False
    here = finding.section == one.fire.section or finding.part in one.fire.members
    if here and finding.rule.startswith(_ASKS_FOR_A_PLUG):
        return True
    return finding.rule == "plug-out-of-reach-of-fire" and finding.part == one.cure.device


def _line(finding: Finding, assessment: Assessment, units: Units, *, brief: bool = False) -> str:
    """The cure of a finding; its part comes before it where the cure does not name it."""
    text = finding_cure(finding, units, brief=brief)
    part = finding.part
    if not part or re.search(rf"(?<![\w-]){re.escape(part)}(?![\w-])", text):
        return text
    named = labels.sentence(labels.named_all([part], {**assessment.kinds, **finding.kinds}))
    return tr("{part}: {deed}").format(part=named, deed=text)


def _carrier(cure: Cure) -> str:
    """The part that gets the plug of a cure, or the plug that is changed."""
    return dict(cure.added).get("on", cure.device).strip('"')


def _alloy(cure: Cure) -> str:
    """The alloy that a cure asks for, if it does."""
    return dict(cure.added).get("alloy") or next(
        (text for _, key, text in cure.changes if key == "alloy"), ""
    )
