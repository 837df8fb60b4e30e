"""The page to decide on: safe or not, in which fire, how soon, who must go, what first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from airrisk.installation.model import Installation
from airrisk.report.blocks import (
    Block,
    Elsewhere,
    Heading,
    Paragraph,
    Section,
    table_of,
)
from airrisk.report.decision_tables import BREVITIES, Brevity, matrix_table, people_table
from airrisk.report.lines import Lines
from airrisk.report.proofs import deed_keys, overview_keys, proof_of
from airrisk.report.summary_sections import nothing_above_a_note
from airrisk.study.records import Assessment
from airrisk.wording.acceptances import asking, counting
from airrisk.wording.action_deeds import work_cells
from airrisk.wording.cautions import cautions
from airrisk.wording.cure_plans import change_sentence, plan_sentences
from airrisk.wording.findings import worst_finding, worst_first
from airrisk.wording.matrix import classes_sentences, flame_away_sentences, runs_sentence
from airrisk.wording.overview import overview_sentences
from airrisk.wording.sentences import remaining_sentence
from airrisk.wording.translation import tr
from airrisk.wording.units import Units
from airrisk.wording.what_to_do import Deed, deeds_of

BOX = "☐"


@dataclass(frozen=True)
class Deeds:
    """What must happen, numbered as in the report."""

    deeds: tuple[Deed, ...]
    below: str = ""  # what is said of all of them
    planned: bool = False  # a plan, which is proven only as a whole


def deeds_to_do(assessment: Assessment, units: Units) -> Deeds:
    """The first proven plan where plans were asked for, else what the findings ask for."""
    plan = assessment.plans.plans[0] if assessment.plans and assessment.plans.plans else None
    if plan is None:
        ordered = worst_first(asking(assessment.findings))
        return Deeds(tuple(deeds_of(assessment, ordered, units)) if ordered else ())
    causes = assessment.causes or ()
    made = []
    for change in plan.changes:
        same = (change.kind, change.part)
        findings = [
            finding
            for cause in causes
            if any((one.kind, one.part) == same for one in cause.changes)
            for finding in cause.findings
        ]
        text = change_sentence(change, assessment.kinds, units)
        made.append(Deed(text, findings=tuple(findings)))
    return Deeds(tuple(made), " ".join(plan_sentences(plan)), planned=True)


def decision_section(
    assessment: Assessment, installation: Installation, units: Units, lines: Lines, todo: Deeds
) -> Section:
    """The page, and what is printed of it where all of it does not fit on one.

    Parameters
    ----------
    assessment, installation
        The answer and its file.
    units : Units
        Unit set and atmosphere.
    lines : Lines
        Where the proofs stand.
    todo : Deeds
        What must happen.
    """
    ways = [_blocks(assessment, installation, units, lines, (todo, one)) for one in BREVITIES]
    return Section(
        "decision", tr("Decision"), ways[0], own_page=True, one_page=True, briefer=tuple(ways[1:])
    )


def _blocks(
    assessment: Assessment,
    installation: Installation,
    units: Units,
    lines: Lines,
    what: tuple[Deeds, Brevity],
) -> tuple[Block, ...]:
    todo, brevity = what
    count, *others = overview_sentences(assessment, units)
    unsafe = any(verdict.safe is False for verdict in assessment.verdicts)
    blocks: list[Block] = [
        Paragraph(count, "alarm" if unsafe or assessment.failures else "caution")
    ]
    if others:
        blocks.append(Paragraph(" ".join(others), "lead"))
    blocks.append(Paragraph(remaining_sentence(assessment)))
    blocks += proof_of(lines.at(overview_keys(assessment)))
    blocks.append(Heading(tr("Which section survives which fire")))
    blocks.append(matrix_table(assessment, lines, brevity.sections))
    told = [runs_sentence(assessment), *flame_away_sentences(assessment)]
    if brevity.whole:
        told[1:1] = classes_sentences(assessment, units)
    blocks.append(Paragraph(" ".join(told), "small"))
    if not brevity.whole:
        blocks.append(Elsewhere(tr("What the classes of fires are:"), "who-does-what"))
    blocks += _what_must_happen(assessment, lines, todo, brevity)
    people = people_table(assessment, installation, units, lines, brevity.vessels)
    if people is not None:
        blocks += [Heading(tr("People and distances")), people]
        if len(people.rows) < len(installation.vessels):
            blocks.append(Elsewhere(tr("Each vessel by itself:"), "fire-service"))
    blocks += _conclusion(installation)
    return tuple(blocks)


def listed_deeds(deeds: Sequence[Deed], assessment: Assessment, most: int) -> list[int]:
    """Places of the deeds that the page has room for; the one against the worst is among them."""
    shown = list(range(min(most, len(deeds))))
    grave = asking(assessment.findings)
    if not grave or len(deeds) <= most:
        return shown
    worst = worst_finding(worst_first(grave), assessment)
    against = [n for n, deed in enumerate(deeds) if any(f is worst for f in deed.findings)]
    if against and against[0] not in shown:
        shown[-1] = against[0]
    return shown


def _what_must_happen(
    assessment: Assessment, lines: Lines, todo: Deeds, brevity: Brevity
) -> list[Block]:
    """What is to be done, with who does it and by when; blanks where nobody has taken it on."""
    grave = any(f.severity != "note" for f in counting(assessment.findings))
    blocks: list[Block] = [] if grave else [Paragraph(nothing_above_a_note(assessment))]
    if not todo.deeds:
        return blocks
    shown = listed_deeds(todo.deeds, assessment, brevity.deeds)
    rows = []
    for place in shown:
        deed = todo.deeds[place]
        who, when = work_cells(deed.findings, assessment)
        proof = lines.text(deed_keys(deed, assessment))
        text = deed.text if brevity.whole else deed.brief or deed.text
        rows.append([str(place + 1), text, who, when, BOX, proof])
    blocks += [
        Heading(tr("What must happen before the next start-up")),
        table_of(
            [tr("No."), tr("Change"), tr("Who"), tr("By when"), tr("Done"), tr("Proof")],
            rows,
            [0.3, 4.3, 1.1, 0.9, 0.45, 0.7],
            caption=todo.below,
            proof=5,
        ),
    ]
    left = len(todo.deeds) - len(shown)
    if left and todo.planned:
        text = tr("The plan is proven only with all of its changes; {number} more:")
        blocks.append(Elsewhere(text.format(number=left), "cures"))
    elif left:
        text = tr("To be done as well, {number} more:")
        blocks.append(Elsewhere(text.format(number=left), "who-does-what"))
    return blocks


def _conclusion(installation: Installation) -> list[Block]:
    about = installation.about
    choices = "     ".join(
        f"{BOX} {text}"
        for text in (tr("may run"), tr("may run on conditions"), tr("must not run"))
    )  # fmt: skip
    return [
        Heading(tr("Conclusion and sign-off")),
        table_of(
            [tr("Conclusion"), tr("Conditions"), tr("Next review by")],
            [[choices, "", ""]],
            [3.4, 2.4, 0.9],
            row_height=20.0,
        ),
        table_of(
            [tr("Role"), tr("Name"), tr("Registration no."), tr("Signature"), tr("Date")],
            [
                [tr("Prepared by"), about.prepared_by, "", "", ""],
                [tr("Checked by"), about.checked_by, "", "", ""],
                [tr("Accepted by"), "", "", "", ""],
            ],
            [1.0, 1.6, 1.2, 1.8, 0.9],
            row_height=16.0,
        ),
        table_of(
            [tr("Revision"), tr("Date"), tr("What has changed"), tr("By")],
            [[about.revision, "", "", ""]],
            [0.8, 0.9, 3.6, 1.2],
            row_height=16.0,
        ),
        Paragraph(cautions()[0], "small"),
    ]
