"""The short report: the first page answers, the second says who, nothing in it is made up."""

import dataclasses
import datetime as dt
import io
import re

import pytest
from pypdf import PdfReader

from airrisk.installation.model import Action
from airrisk.report.blocks import Paragraph, Section, Table
from airrisk.report.content import build_report, units_for
from airrisk.report.html import render_html
from airrisk.report.pdf import render_pdf
from airrisk.report.short_report import build_short_report
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of
from airrisk.study.overview import keep_away
from airrisk.tables import sample_names
from airrisk.wording.findings import finding_text
from airrisk.wording.matrix import matrix_rows
from airrisk.wording.overview import overview_sentences
from airrisk.wording.units import Units, kept_distance
from tests.report import hand_made
from tests.samples.answers import sample_answer, sample_installation


def plain(value: str) -> str:
    return re.sub(r"\s+", " ", value.replace("\u00a0", " "))


def tables(section: Section) -> list[Table]:
    return [block for block in section.blocks if isinstance(block, Table)]


def of(name: str):
    installation, answer = sample_installation(name), sample_answer(name)
    return answer, installation, build_short_report(answer, installation)


@pytest.mark.parametrize("name", sample_names())
def test_the_first_page_alone_answers(name):
    """Safe or not, in which fire, after how long, who must go how far, what first, who signs."""
    answer, installation, report = of(name)
    units = units_for(installation)
    pages = PdfReader(io.BytesIO(render_pdf(report, units))).pages
    first = plain(pages[0].extract_text())
    # of a large plant the table of distances and the sign-off stand on a second page
    large = len(installation.vessels) > 5
    decision = first + plain(pages[1].extract_text()) if large else first
    assert "What is found, and who does it" not in decision
    for sentence in overview_sentences(answer, units):
        assert plain(sentence) in first
    for row in matrix_rows(answer):
        for cell in row.cells:
            assert plain(cell.heading) in first
    for vessel in installation.vessels:
        far = keep_away(answer, vessel.id)
        assert far is None or plain(kept_distance(far.farthest_m, units)) in decision
    for word in ("Conclusion", "Registration no.", "Signature"):
        assert word in decision
    assert len(pages) <= (4 if len(installation.vessels) < 3 else 6)


@pytest.mark.parametrize("name", sample_names())
def test_every_danger_and_warning_stands_on_the_page_of_who_does_what(name):
    answer, installation, report = of(name)
    section = next(one for one in report.sections if one.key == "who-does-what")
    told = [row[1] for table in tables(section) for row in table.rows]
    grave = [f for f in answer.findings if f.severity != "note" and f.counts]
    assert sorted(told) == sorted(finding_text(f, units_for(installation)) for f in grave)


def test_an_unsafe_section_is_never_announced_in_the_calm_style():
    answer, _, report = of("dairy-hall")
    banner = report.sections[0].blocks[0]
    assert isinstance(banner, Paragraph)
    assert any(verdict.safe is False for verdict in answer.verdicts)
    assert banner.style == "alarm"
    matrix = tables(report.sections[0])[0]
    for row, tones in zip(matrix_rows(answer), matrix.tones, strict=True):
        for cell, tone in zip(row.cells, tones[1:-1], strict=True):
            assert (tone == "bad") == (cell.safe is False)
            assert tone != "" or cell.safe is None or cell.sure == "sure"


def test_the_person_who_took_a_finding_on_stands_beside_it():
    answer, installation, _ = of("dairy-hall")
    finding = next(f for f in answer.findings if f.severity == "danger" and f.counts)
    facts = facts_of(finding)
    action = Action(
        id="A1", decision="do", rule=facts.rule, part=facts.part, section=facts.section,
        fire_class=facts.fire_class or None, text="See to it", owner="Fitter on duty",
        due=dt.date(2026, 12, 24),
    )  # fmt: skip
    row = ActionRow(
        id="A1", decision="do", rule=facts.rule, part=facts.part, text="See to it",
        owner="Fitter on duty", due=dt.date(2026, 12, 24), done=None, evidence="", status="open",
        days_left=53,
    )  # fmt: skip
    changed = dataclasses.replace(answer, actions=(action,), action_register=(row,))
    report = build_short_report(changed, installation)
    cells = [cells for one in report.sections[1:2] for table in tables(one) for cells in table.rows]
    mine = next(one for one in cells if one[1] == finding_text(finding, units_for(installation)))
    assert mine[2:] == ("Fitter on duty", "2026-12-24", "open")
    assert {one[4] for one in cells if one is not mine} == {"not taken on"}


def test_pointers_lead_to_the_chapters_of_the_full_report():
    answer, installation, report = of("joinery")
    full = build_report(answer, installation)
    pointer = report.sections[1].blocks[0]
    assert isinstance(pointer, Paragraph)
    found = re.findall(r"[:;] ([^;:]+), chapter (\d+)", pointer.text)
    assert len(found) >= 5
    for title, number in found:
        assert full.sections[int(number) - 1].title == title


def test_two_short_reports_are_the_same_bytes_and_html_escapes_what_people_wrote():
    answer, installation = hand_made.assessment(), hand_made.installation()
    report = build_short_report(answer, installation)
    units = Units("metric")
    assert render_pdf(report, units) == render_pdf(build_short_report(answer, installation), units)
    named = dataclasses.replace(report, title="<script>alert(1)</script>")
    page = render_html(named, units)
    assert "<script>" not in page
    assert 'class="alarm"' in page or 'class="caution"' in page
