"""Tables of the chapter on upkeep: examinations that are due, and walls that wear away."""

from __future__ import annotations

from airrisk.messages import Texts
from airrisk.report.blocks import Block, Heading, Paragraph, table_of
from airrisk.study.records import Assessment
from airrisk.wording import labels
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units, number_text, quantity_text

_ASKED: Texts[dict[str, str]] = {
    "": "nobody", "qualified person": "qualified person", "approved body": "approved body",
    "written scheme": "written scheme",
}  # fmt: skip


def examination_blocks(assessment: Assessment, units: Units) -> list[Block]:
    """What is examined and when; empty: nothing is stated and no rules ask."""
    rows = [
        [
            labels.named(row.kind, [row.part]),
            "–" if row.pressure_volume_j is None
            else quantity_text(row.pressure_volume_j, "pressure_volume", units, 3),
            tr(_ASKED[row.asked_by]),
            date_text(row.examined) if row.examined else "–",
            tr("{number} months").format(number=row.every_months) if row.every_months else "–",
            date_text(row.due) if row.due else "–",
            labels.upkeep_status(row.status),
        ]
        for row in assessment.examinations
        if row.status is not None
    ]  # fmt: skip
    if not rows:
        return []
    return [
        Heading(tr("Examinations")),
        table_of(
            [tr("Part"), tr("Pressure times volume"), tr("The chosen rules ask for"),
             tr("Examined"), tr("Every"), tr("Due"), tr("Status")],
            rows, [1.1, 1.1, 1.2, 1, 0.9, 1, 0.9], (1,), strong_first=True,
        ),
        Paragraph(tr("Local law decides on intervals and on who may examine.")),
    ]  # fmt: skip


def wear_blocks(assessment: Assessment, units: Units) -> list[Block]:
    """How fast walls become thinner; empty: there are no two readings of one spot."""
    rows = [
        [
            one.part,
            one.spot or "–",
            date_text(one.last),
            quantity_text(one.thinnest_m, "length", units, 3),
            quantity_text(one.rate_m_per_year, "length", units, 2),
            "–" if one.needed_m is None else quantity_text(one.needed_m, "length", units, 3),
            "–" if one.left_years is None else number_text(one.left_years, 2),
        ]
        for one in assessment.wear
    ]
    if not rows:
        return []
    return [
        Heading(tr("Wear of walls")),
        table_of(
            [tr("Part"), tr("Spot"), tr("Last reading"), tr("Thickness"), tr("Lost in a year"),
             tr("Needed for the design pressure"), tr("Years left at that rate")],
            rows, [0.9, 1, 1, 0.9, 1, 1.2, 1], (3, 4, 5, 6), strong_first=True,
        ),
    ]  # fmt: skip
