"""Chosen chapters, the page of who does what, and tables without empty columns."""

import dataclasses
import datetime as dt
import io
import re

import pytest
from pypdf import PdfReader

from airrisk.installation.model import Action
from airrisk.report.blocks import Section, Table, table_of
from airrisk.report.chapters import CHAPTERS, NoSuchChapters, build_chapters
from airrisk.report.content import units_for
from airrisk.report.lines import EMPTY, labelled, lines_of, without_empty_columns
from airrisk.report.pdf import render_pdf
from airrisk.report.short_report import build_whole_report
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of
from airrisk.tables import sample_names
from airrisk.wording.findings import finding_text
from tests.report import hand_made
from tests.samples.answers import sample_answer, sample_installation


def test_chosen_chapters_have_the_letters_of_the_whole_report():
    answer, installation = sample_answer("joinery"), sample_installation("joinery")
    whole = build_whole_report(answer, installation)
    some = build_chapters(answer, installation, ("fires", "decision", "findings"))
    assert [one.key for one in some.sections] == ["decision", "fires", "findings"]
    letters = {one.key: one.label for one in whole.sections}
    assert all(one.label == letters[one.key] for one in some.sections)
    pages = PdfReader(io.BytesIO(render_pdf(some, units_for(installation)))).pages
    assert len(pages) > 2
    with pytest.raises(NoSuchChapters):
        build_chapters(answer, installation, ("cures",))


def test_every_chapter_of_a_report_can_be_chosen():
    whole = build_whole_report(sample_answer("joinery"), sample_installation("joinery"))
    keys = [one.key for one in whole.sections]
    assert [key for key in CHAPTERS if key in keys] == keys


def taken_on():
    """The hand-made answer with an action about its first finding, and one of nobody."""
    answer = hand_made.assessment()
    facts = facts_of(answer.findings[0])
    action = Action(
        id="A1", decision="do", rule=facts.rule, part=facts.part, section=facts.section,
        fire_class=facts.fire_class or None, text="See to it", owner="Fitter on duty",
        due=dt.date(2026, 12, 24),
    )  # fmt: skip
    rows = [
        ActionRow(
            id=name, decision="do", rule=facts.rule, part=facts.part, text="See to it",
            owner=owner, due=due, done=None, evidence="", status=status, days_left=None,
        )
        for name, owner, due, status in (
            ("A2", "", None, "open"),
            ("A1", "Fitter on duty", dt.date(2026, 12, 24), "open"),
            ("A3", "Fitter on duty", dt.date(2026, 11, 9), "overdue"),
            ("A4", "Fitter on duty", dt.date(2026, 11, 9), "done"),
        )
    ]  # fmt: skip
    return dataclasses.replace(answer, actions=(action,), action_register=tuple(rows))


def test_the_page_of_who_does_what_names_each_owner_once_and_what_nobody_does():
    answer, installation = taken_on(), hand_made.installation()
    report = build_chapters(answer, installation, ("owners",))
    (table,) = [one for one in report.sections[0].blocks if isinstance(one, Table)]
    assert [row[1].partition(":")[0] for row in table.rows[:3]] == ["A3", "A1", "A2"]
    assert "A4" not in " ".join(row[1] for row in table.rows)
    units = units_for(installation)
    grave = [f for f in answer.findings if f.severity != "note"]
    left = [f for f in grave if f is not answer.findings[0]]
    told = [row[1] for row in table.rows[3:]]
    assert len(told) == len(left)
    for finding, text in zip(left, told, strict=True):
        assert finding_text(finding, units) in text


@pytest.mark.parametrize("name", ["dairy-hall", "school-laboratory"])
def test_the_page_of_who_does_what_is_one_page(name):
    installation = sample_installation(name)
    report = build_chapters(sample_answer(name), installation, ("owners",))
    assert len(PdfReader(io.BytesIO(render_pdf(report, units_for(installation)))).pages) == 1
    section = report.sections[0]
    for blocks in (section.blocks, *section.briefer):
        told = [row[1] for one in blocks if isinstance(one, Table) for row in one.rows]
        assert all(re.search(r"[^\W\d_]{2}", text.partition("Because")[0]) for text in told)


@pytest.mark.parametrize("name", sample_names())
def test_no_column_of_the_proofs_is_empty(name):
    report = build_whole_report(sample_answer(name), sample_installation(name))
    for section in report.sections:
        for table in section.blocks:
            if isinstance(table, Table) and table.label and table.rows and len(table.columns) > 2:
                for place in range(1, len(table.columns)):
                    cells = {row[place].strip() for row in table.rows}
                    assert not cells <= EMPTY, (table.label, table.columns[place])


def test_a_column_that_is_left_out_is_named_and_keys_stay():
    table = table_of(
        ["Fire", "Ruptures after", "Load"], [["F1", "–", "80 %"], ["F2", "", "90 %"]],
        [1, 2, 3], (2,), caption="Worst runs.", keys=("a", "b"),
    )  # fmt: skip
    told = without_empty_columns(table)
    assert told.columns == ("Fire", "Load")
    assert told.rows == (("F1", "80 %"), ("F2", "90 %"))
    assert told.widths == (1, 3)
    assert told.align == ("left", "right")
    assert told.caption == "Worst runs. Left out, because nothing stands there: Ruptures after."
    (section,) = labelled([Section("s", "S", (table,))], frozenset())
    assert lines_of([section]).at(["b"]) == ("A1.2",)
