"""The chapter on what is checked against what."""

from __future__ import annotations

from airrisk.report.blocks import Table
from airrisk.report.checks_section import checks_section
from airrisk.wording.checks import (
    checks_lead,
    experiments,
    kinds_text,
    model_checks,
    pair_text,
)


def test_the_chapter_has_every_model_every_number_and_every_source():
    section = checks_section()
    models, numbers, notes = (one for one in section.blocks if isinstance(one, Table))
    assert [row[0] for row in models.rows] == [one.title for one in model_checks()]
    assert [row[1] for row in models.rows] == [kinds_text(one) for one in model_checks()]
    assert len(numbers.rows) == sum(len(one.points) for one in experiments())
    assert [row[0] for row in numbers.rows if row[0]] == [one.title for one in experiments()]
    assert [row[0] for row in notes.rows] == [one.title for one in experiments()]
    assumed = [row for row in numbers.rows if "assumed" in row[3]]
    assert len(assumed) == 3
    assert numbers.rows[0][2] == pair_text((10.0, 15.0), "min")
    told = " ".join(checks_lead())
    assert "not validated" in told
