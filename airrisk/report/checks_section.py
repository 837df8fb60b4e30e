"""The chapter on what the models are checked against."""

from __future__ import annotations

from airrisk.report.blocks import Block, Heading, Paragraph, Section, table_of
from airrisk.wording.checks import (
    against_text,
    checks_lead,
    experiments,
    kinds_text,
    model_checks,
    pair_text,
    source_text,
)
from airrisk.wording.translation import tr


def checks_section() -> Section:
    """Every model with its kind of check, and the experiments beside them."""
    blocks: list[Block] = [
        *(Paragraph(text) for text in checks_lead()),
        table_of(
            [tr("Model"), tr("Kind of check"), tr("Checked against"), tr("Open")],
            [[tr(m.title), kinds_text(m), tr(m.checked), tr(m.open)] for m in model_checks()],
            [1.2, 1.0, 2.4, 2.2],
            strong_first=True,
        ),
        Heading(tr("Experiments beside the models")),
        table_of(
            [
                tr("Experiment"),
                tr("At"),
                tr("Measured"),
                tr("Computed"),
                tr("Computed against measured"),
            ],
            [
                [
                    tr(one.title) if number == 0 else "",
                    tr(point.at),
                    pair_text(point.measured, point.unit),
                    tr("{value}, assumed").format(value=pair_text(point.computed, point.unit))
                    if one.assumed
                    else pair_text(point.computed, point.unit),
                    against_text(point),
                ]
                for one in experiments()
                for number, point in enumerate(one.points)
            ],
            [2.1, 1.5, 1.2, 1.3, 1.2],
            (2, 3, 4),
            strong_first=True,
        ),
        table_of(
            [tr("Experiment"), tr("How it differs"), tr("Scatter"), tr("Source")],
            [
                [tr(one.title), tr(one.differs), tr(one.scatter), source_text(one)]
                for one in experiments()
            ],
            [1.4, 2.2, 1.5, 1.5],
            strong_first=True,
        ),
    ]
    return Section("checks", tr("What is checked against what"), tuple(blocks))
