"""The tables of docs/checks.md, made from resources/checks.toml.

``python -m tests.docs.checks_table`` prints them; with ``--write`` they are put into the page.
"""

from __future__ import annotations

from airrisk.wording.checks import (
    against_text,
    experiments,
    kinds_text,
    model_checks,
    pair_text,
    source_text,
)
from tests.docs.marked_block import DOCS, MarkedBlock


def checks_tables() -> str:
    """A table of the models, one of the experiments' numbers and one of what sets them apart."""
    models = [
        (
            one.title,
            kinds_text(one),
            one.checked,
            one.open,
            " ".join(f"`{test}`" for test in one.tests),
        )
        for one in model_checks()
    ]
    numbers = [
        (
            one.title if number == 0 else "",
            point.at,
            pair_text(point.measured, point.unit),
            pair_text(point.computed, point.unit) + (", assumed" if one.assumed else ""),
            against_text(point),
        )
        for one in experiments()
        for number, point in enumerate(one.points)
    ]
    notes = [(one.title, one.differs, one.scatter, source_text(one)) for one in experiments()]
    return "\n".join(
        [
            "",
            "## The models",
            *_table(("Model", "Kind of check", "Checked against", "Open", "Tests"), models),
            "## Experiments beside the models",
            *_table(("Experiment", "At", "Measured", "Computed", "Against measured"), numbers),
            *_table(("Experiment", "How it differs", "Scatter", "Source"), notes),
        ]
    )


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> list[str]:
    lines = [head, tuple("---" for _ in head), *rows]
    return ["", *("| " + " | ".join(cells) + " |" for cells in lines), ""]


CHECKS_TABLES = MarkedBlock(DOCS / "checks.md", "checks", checks_tables)

if __name__ == "__main__":
    CHECKS_TABLES.command()
