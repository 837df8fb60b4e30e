"""What changed between two versions of an installation: inputs, verdicts, findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from airrisk.installation.model import Installation
from airrisk.report.compare_inputs import file_entries, told_change
from airrisk.report.content import units_for
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.findings import finding_text, finding_title
from airrisk.wording.margins import surety_text
from airrisk.wording.matrix import class_heads, matrix_rows
from airrisk.wording.sentences import margin_text, outcome_text
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text, time_text

Kind = Literal["input", "section", "fire", "part", "finding"]


@dataclass(frozen=True)
class Change:
    """One difference; "" stands for absent."""

    kind: Kind
    where: str  # id of the part, section or fire
    what: str
    before: str
    after: str


def input_changes(before: Installation, after: Installation, unit_set: str) -> list[Change]:
    """Every difference of two system files: values, remarks, inspections, actions, their order.

    Parameters
    ----------
    before, after : Installation
        Two versions, read.
    unit_set : str
        "metric" or "US customary".
    """
    old = file_entries(before, units_for(before, unit_set))
    new = file_entries(after, units_for(after, unit_set))
    found = [
        Change("input", where, what, *told)
        for where, what in dict.fromkeys([*old, *new])
        if (told := told_change(old.get((where, what)), new.get((where, what)))) is not None
    ]
    if not found and before != after:
        found.append(Change("input", "", tr("Order of the entries"), tr("one"), tr("another")))
    return found


def _verdicts(assessment: Assessment) -> dict[tuple[str, str], str]:
    heads = class_heads()
    return {
        (row.title, head): cell.text
        for row in matrix_rows(assessment)
        for head, cell in zip(heads, row.cells, strict=True)
    }


def _fires(assessment: Assessment) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for fire in assessment.fires:
        name, without = f"{fire.id}, {fire.section}", fire.rupture_nothing_opens_s
        if fire.closed_valves:
            name += ", " + labels.named("valve", fire.closed_valves)
        pieces = [outcome_text(fire), margin_text(fire), surety_text(fire)]
        found[name, tr("worst of all its runs")] = ", ".join(p for p in pieces if p)
        found[name, tr("as stated")] = labels.outcome(fire.outcome)
        found[name, labels.result_name("rupture_nothing_opens_s")] = (
            tr("none") if without is None else time_text(without)
        )
    for vessel, away in assessment.flame_away.items():
        found[vessel, tr("Flames away from its plugs: rupture after")] = (
            tr("none") if away.rupture_s is None else time_text(away.rupture_s)
        )
    for vessel, away in assessment.jet_spot.items():
        found[vessel, tr("Jet flame on a spot away from its plugs: rupture after")] = (
            tr("none") if away.rupture_s is None else time_text(away.rupture_s)
        )
    return found


def _parts(assessment: Assessment, units: Units) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for record in assessment.parts.values():
        found[record.id, labels.result_name("rupture_temperature_k")] = quantity_text(
            record.rupture_temperature_k, "temperature", units
        )
        found[record.id, tr("Stored energy, isentropic")] = quantity_text(
            record.stored_energy_j.isentropic, "energy", units
        )
    return found


def _findings(findings: tuple[Finding, ...], units: Units) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for finding in findings:
        fire = finding.values.get("fire")
        title = finding_title(finding) + (f", {fire}" if fire else "")
        text = f"{labels.severity(finding.severity)}: {finding_text(finding, units)}"
        known = found.get((finding.part, title))
        found[finding.part, title] = text if known is None else f"{known} {text}"
    return found


def _differences(
    kind: Kind, old: Mapping[tuple[str, str], str], new: Mapping[tuple[str, str], str]
) -> list[Change]:
    keys = list(dict.fromkeys([*old, *new]))
    return [
        Change(kind, where, what, old.get((where, what), ""), new.get((where, what), ""))
        for where, what in keys
        if old.get((where, what), "") != new.get((where, what), "")
    ]


def compare(
    before: tuple[Assessment, Installation],
    after: tuple[Assessment, Installation],
    unit_set: str = "metric",
) -> tuple[Change, ...]:
    """Every difference in inputs, section verdicts, fire outcomes, rupture and findings.

    Parameters
    ----------
    before, after : (Assessment, Installation)
        Two versions with their answers.
    unit_set : str
        "metric" or "US customary".

    Returns
    -------
    tuple of Change
        Inputs first; empty when nothing a reader sees has changed.
    """
    old, new = units_for(before[1], unit_set), units_for(after[1], unit_set)
    return (
        *input_changes(before[1], after[1], unit_set),
        *_differences("section", _verdicts(before[0]), _verdicts(after[0])),
        *_differences("fire", _fires(before[0]), _fires(after[0])),
        *_differences("part", _parts(before[0], old), _parts(after[0], new)),
        *_differences(
            "finding", _findings(before[0].findings, old), _findings(after[0].findings, new)
        ),
    )
