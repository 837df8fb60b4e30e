"""What is found, what is to be done about it, and who does it."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.report.action_tables import action_status
from airrisk.report.blocks import Block, Bullets, Heading, Paragraph, Section, table_of
from airrisk.report.lines import Lines
from airrisk.report.proofs import finding_keys, pointers
from airrisk.report.summary_sections import nothing_above_a_note
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of, is_about
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.acceptances import asking, counting
from airrisk.wording.action_deeds import action_deed
from airrisk.wording.findings import finding_cure, finding_text, worst_finding, worst_first
from airrisk.wording.matrix import classes_sentences, unsure_sentences
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units, and_list
from airrisk.wording.what_to_do import Deed


def who_does_what_section(
    assessment: Assessment,
    units: Units,
    lines: Lines,
    proofs: Sequence[Section],
    deeds: Sequence[Deed],
) -> Section:
    """Every danger and warning, accepted ones too, with who has taken it on."""
    counted = counting(assessment.findings)
    notes = sum(1 for one in counted if one.severity == "note")
    above = any(one.severity != "note" for one in counted)
    accepted = [f for f in assessment.findings if not f.counts and f.severity != "note"]
    asked = worst_first(asking(assessment.findings))
    grave = [*asked, *worst_first(tuple(accepted))]
    blocks: list[Block] = [Paragraph(pointers(proofs), "small")]
    if not above:
        blocks.append(Paragraph(nothing_above_a_note(assessment)))
    if asked:
        worst = worst_finding(asked, assessment)
        grave.sort(key=lambda finding: finding is not worst)
    if grave:
        blocks.append(
            table_of(
                [
                    tr("Severity"),
                    tr("Finding"),
                    tr("What is to be done"),
                    tr("Who"),
                    tr("Due, or until, and status"),
                    tr("Proof"),
                ],
                _rows(grave, assessment, units, lines, deeds),
                [0.75, 3.5, 2.9, 0.85, 0.95, 0.6],
                strong_first=True,
                proof=5,
            )
        )
    if notes:
        text = tr("Notes, in chapter {chapter} of the full report: {number}.")
        blocks.append(
            Paragraph(
                text.format(number=notes, chapter=lines.chapters.get("findings", "–")), "small"
            )
        )
    unsure = unsure_sentences(assessment)
    if unsure:
        blocks.append(Heading(tr("What safe verdicts that are not sure hang on")))
        blocks.append(Bullets(tuple(unsure)))
    blocks.append(Paragraph(" ".join(classes_sentences(assessment, units)), "small"))
    title = tr("What is found, and who does it")
    return Section("who-does-what", title, tuple(blocks), compact=True)


def _rows(
    grave: Sequence[Finding],
    assessment: Assessment,
    units: Units,
    lines: Lines,
    deeds: Sequence[Deed],
) -> list[list[str]]:
    """A row for each finding; a deed that several ask for is told in words once."""
    told: set[int] = set()
    rows = []
    for finding in grave:
        actions = _actions_about(finding, assessment)
        shape, word = labels.severity_shape(finding.severity), labels.severity(finding.severity)
        asked = [f"{row.id}: {action_deed(row, assessment, units)}" for row in actions]
        for number, deed in enumerate(deeds, start=1):
            if any(one is finding for one in deed.findings):
                pattern = (
                    tr("No. {number}, as above") if number in told else tr("No. {number}: {deed}")
                )
                asked.append(pattern.format(number=number, deed=deed.text))
                told.add(number)
        rows.append(
            [
                f"{shape} {word}",
                finding_text(finding, units),
                " ".join(_ended(text) for text in asked) or finding_cure(finding, units),
                _listed({row.owner for row in actions if row.owner}),
                "; ".join(_when(row) for row in actions) or tr("not taken on"),
                lines.text(finding_keys(finding, assessment)),
            ]
        )
    return rows


def _when(row: ActionRow) -> str:
    """By when an action is due, and how it stands."""
    status = action_status(row.status)
    return f"{date_text(row.due)}, {status}" if row.due else status


def _ended(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _listed(texts: set[str]) -> str:
    return and_list(sorted(texts)) if texts else ""


def _actions_about(finding: Finding, assessment: Assessment) -> list[ActionRow]:
    facts = facts_of(finding)
    about = {action.id for action in assessment.actions if is_about(action, facts)}
    return [row for row in assessment.action_register if row.id in about]
