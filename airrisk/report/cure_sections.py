"""The chapter on causes and cure plans."""

from __future__ import annotations

from airrisk.report.blocks import Block, Bullets, Heading, Paragraph, Section, table_of
from airrisk.study.records import Assessment
from airrisk.wording.cure_plans import (
    before_and_after,
    cause_cure,
    cause_heading,
    cause_lines,
    cause_work,
    causes_sentence,
    change_sentence,
    plan_heading,
    plan_sentences,
    search_sentences,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text


def cures_section(assessment: Assessment, units: Units) -> Section | None:
    """Causes by rank with their findings, and each plan before and after; None: not asked for.

    Parameters
    ----------
    assessment : Assessment
        With causes and plans.
    units : Units
        Unit set and atmosphere.
    """
    if assessment.causes is None:
        return None
    blocks: list[Block] = [Paragraph(causes_sentence(assessment), "strong")]
    for number, cause in enumerate(assessment.causes, start=1):
        blocks.append(Paragraph(f"{number}. {cause_heading(cause)}", "strong"))
        blocks.append(Paragraph(cause_cure(cause, assessment.kinds, units)))
        work = cause_work(cause, assessment)
        if work:
            blocks.append(Paragraph(" ".join(work)))
        blocks.append(Bullets(tuple(cause_lines(cause, units))))
    if assessment.plans is not None:
        blocks += _plans(assessment, units)
    return Section("cures", tr("Causes and cure plans"), tuple(blocks))


def _plans(assessment: Assessment, units: Units) -> list[Block]:
    blocks: list[Block] = [Heading(tr("Cure plans"))]
    blocks.append(Bullets(tuple(search_sentences(assessment.plans, assessment))))
    for number, plan in enumerate(assessment.plans.plans, start=1):
        rows = [
            [str(step), change_sentence(change, assessment.kinds, units),
             number_text(change.cost, 2)]
            for step, change in enumerate(plan.changes, start=1)
        ]  # fmt: skip
        blocks += [
            Heading(plan_heading(number, plan)),
            table_of([tr("No."), tr("Change"), tr("Cost")], rows, [0.3, 5.0, 0.5], (2,)),
            table_of(
                [tr("Isolable section"), tr("Fire"), tr("Before"), tr("After")],
                [list(row) for row in before_and_after(assessment, plan)],
                [1.2, 1.2, 1.8, 1.8],
            ),
            Paragraph(" ".join(plan_sentences(plan)), "small"),
        ]
    return blocks
