"""What each number of the short report rests on: the lines of the appendix that prove it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from airrisk.installation.model import Installation
from airrisk.report.blocks import Block, Proof, Section, Table
from airrisk.report.distance_sections import harm_key, people_distances, pieces_key, place_key
from airrisk.report.fire_sections import away_key, fire_key
from airrisk.report.result_sections import finding_key
from airrisk.report.screening_sections import part_key
from airrisk.study.overview import IN_NO_FIRE, KEEP_AWAY_PA, LIKELY_WAY, overview
from airrisk.study.records import Assessment, Finding, VerdictRecord
from airrisk.wording.translation import tr
from airrisk.wording.what_to_do import Deed


def proof_of(labels: tuple[str, ...]) -> list[Block]:
    """A line that says where something is proven; nothing where there is no such place."""
    return [Proof(tr("Proof:"), labels)] if labels else []


def pointed_to(sections: Iterable[Section]) -> frozenset[str]:
    """All labels that stand in the proofs of some chapters."""
    found: set[str] = set()
    for section in sections:
        for block in (*section.blocks, *(one for way in section.briefer for one in way)):
            if isinstance(block, Proof):
                found.update(block.labels)
            elif isinstance(block, Table) and block.proof >= 0:
                for row in block.rows:
                    found.update(row[block.proof].split(", "))
    return frozenset(found - {""})


def pointers(proofs: Sequence[Section]) -> str:
    """What the labels mean, and the chapters that they lead to."""
    listed = "; ".join(f"{one.label} {one.title}" for one in proofs if one.label)
    return tr(
        "Proof F2.3 is row 3 of table F2, in chapter F of the full report. "
        "Its chapters: {chapters}."
    ).format(chapters=listed)


def verdict_keys(verdict: VerdictRecord | None) -> list[str]:
    if verdict is None or verdict.fire is None:
        return []
    return [fire_key(verdict.section, verdict.closed_valves, verdict.fire)]


def overview_keys(assessment: Assessment) -> list[str]:
    """The worst fire, the first rupture, and the distance to keep."""
    seen = overview(assessment)
    keys = [*verdict_keys(seen.worst), *verdict_keys(seen.soonest)]
    if seen.keep_away is not None:
        keys += distance_keys(assessment, seen.keep_away.vessel)
    return keys


def section_keys(
    assessment: Assessment, section: str, closed_valves: tuple[str, ...]
) -> Iterator[str]:
    """The fires that the verdicts of one section name, and its vessels with flames elsewhere."""
    members: tuple[str, ...] = ()
    for verdict in assessment.verdicts:
        if (verdict.section, verdict.closed_valves) == (section, closed_valves):
            members = verdict.members
            yield from verdict_keys(verdict)
    for name in members:
        yield away_key(name)


def distance_keys(assessment: Assessment, vessel: str) -> list[str]:
    """The harms that walls collapse by, and the likely pieces."""
    cases = assessment.consequences.get(vessel) or {}
    harms: dict[str, float] = {}
    for case, record in cases.items():
        if case != IN_NO_FIRE:
            for method in record.methods.values():
                for row in method.thresholds:
                    if row.incident_pa >= KEEP_AWAY_PA and row.plan:
                        harms[row.harm] = max(harms.get(row.harm, 0.0), row.distance_m)
    far = max(harms, key=lambda harm: harms[harm], default=None)
    return [*([harm_key(vessel, far)] if far else []), pieces_key(vessel, LIKELY_WAY)]


def soonest_keys(assessment: Assessment, vessel: str) -> list[str]:
    """The fire in which the section of a vessel ruptures soonest."""
    about = [one for one in assessment.verdicts if vessel in one.members]
    ruptures = [one for one in about if one.rupture_s is not None]
    return verdict_keys(min(ruptures, key=lambda one: one.rupture_s or 0.0, default=None))


def people_keys(assessment: Assessment, installation: Installation, vessel: str) -> list[str]:
    """The soonest rupture of the section of a vessel, its distances and the people near it."""
    return [
        *soonest_keys(assessment, vessel),
        *distance_keys(assessment, vessel),
        *(place_key(place, vessel) for place, _ in people_distances(installation, vessel)),
    ]


def card_keys(assessment: Assessment, vessel: str) -> list[str]:
    """The vessel as it is, its fires, flames elsewhere and distances."""
    fires = [
        fire_key(fire.section, fire.closed_valves, fire.id)
        for fire in assessment.fires
        if vessel in fire.members
    ]
    return [part_key(vessel), *fires, away_key(vessel), *distance_keys(assessment, vessel)]


def deed_keys(deed: Deed, assessment: Assessment) -> list[str]:
    """The fires that a deed is proven for, or the finding that asks for it."""
    keys = [fire_key(fire.section, fire.closed_valves, fire.id) for fire in deed.fires]
    if deed.finding is not None:
        keys.append(finding_key(deed.finding, assessment))
    return keys


def finding_keys(finding: Finding, assessment: Assessment) -> list[str]:
    """The row of a finding, and of the fire that it is about."""
    keys = [finding_key(finding, assessment)]
    if finding.section and finding.fire_class is not None:
        for verdict in assessment.verdicts:
            if (verdict.section, verdict.fire_class) == (finding.section, finding.fire_class):
                keys += verdict_keys(verdict)
    return keys
