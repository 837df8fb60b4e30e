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
from airrisk.report.proofs import pointed_to
from airrisk.report.short_report import build_short_report, build_whole_report
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of
from airrisk.tables import sample_names
from airrisk.wording.findings import finding_text
from airrisk.wording.matrix import matrix_rows
from airrisk.wording.units import Units
from tests.report import hand_made
from tests.report.figures import lengths
from tests.samples.answers import sample_answer, sample_installation
from tests.wording.sentence_rules import MOST_WORDS


def plain(value: str) -> str:
    return re.sub(r"\s+", " ", value.replace("\u00a0", " "))


def tables(section: Section) -> list[Table]:
    return [block for block in section.blocks if isinstance(block, Table)]


def of(name: str):
    installation, answer = sample_installation(name), sample_answer(name)
    return answer, installation, build_short_report(answer, installation)


@pytest.mark.parametrize("name", sample_names())
def test_a_short_report_is_short(name):
    _, installation, report = of(name)
    pages = PdfReader(io.BytesIO(render_pdf(report, units_for(installation)))).pages
    assert len(pages) <= (4 if len(installation.vessels) < 3 else 6)


@pytest.mark.parametrize("name", sample_names())
def test_every_danger_and_warning_stands_on_the_page_of_who_does_what(name):
    answer, installation, report = of(name)
    section = next(one for one in report.sections if one.key == "who-does-what")
    told = [row[1] for table in tables(section) for row in table.rows]
    grave = [f for f in answer.findings if f.severity != "note"]
    if not any(f.counts for f in grave):  # what is not safe asks for something all the same
        grave += [f for f in answer.findings if f.rule == "fire-outcome" and f.severity == "note"]
    assert sorted(told) == sorted(finding_text(f, units_for(installation)) for f in grave)


def test_an_unsafe_section_is_never_announced_in_the_calm_style():
    answer, _, report = of("dairy-hall")
    banner = report.sections[0].blocks[0]
    assert isinstance(banner, Paragraph)
    assert any(verdict.safe is False for verdict in answer.verdicts)
    assert banner.style == "alarm"
    matrix = tables(report.sections[0])[0]
    for row, tones in zip(matrix_rows(answer), matrix.tones, strict=True):
        for cell, tone in zip(row.cells, tones[1:-2], strict=True):
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
    assert mine[2].startswith("A1: See to it.")
    assert mine[3:5] == ("Fitter on duty", "2026-12-24, open")
    assert {one[4] for one in cells if one is not mine} == {"not taken on"}
    assert all(one[2] for one in cells)


def test_the_chapters_that_prove_it_are_named_with_their_letters():
    answer, installation, report = of("joinery")
    pointer = report.sections[1].blocks[0]
    assert isinstance(pointer, Paragraph)
    lettered = [one for one in build_report(answer, installation).sections if one.label]
    assert len(lettered) > 10
    for section in lettered:
        assert f"{section.label} {section.title}" in pointer.text


def lines_by_label(sections) -> dict[str, str]:
    """The text of each numbered row."""
    return {
        f"{table.label}.{number}": plain(" ".join(row))
        for section in sections
        for table in tables(section)
        if table.label
        for number, row in enumerate(table.rows, start=1)
    }


@pytest.mark.parametrize("name", sample_names())
def test_each_number_of_the_first_pages_stands_in_the_line_that_is_named_beside_it(name):
    """Times to rupture, percent of the load and distances, in the rows that prove them."""
    answer, installation, report = of(name)
    known = lines_by_label(build_whole_report(answer, installation).sections)
    asked = 0
    for table in [one for section in report.sections for one in tables(section) if one.proof >= 0]:
        for row in table.rows:
            labels = row[table.proof].split(", ")
            told = " ".join(known[label] for label in labels if label)
            for column, cell in enumerate(row):
                if column == table.proof or table.columns[column] in {
                    "No.",
                    "Change",
                    "What is to be done",
                }:
                    continue
                for number in re.findall(r"(?<![\w.])\d[\d.]* ?(?:min|s|%|m)\b", plain(cell)):
                    asked += 1
                    shown = re.sub(r"^(\S+?) ?%", r"\1 %", number)
                    assert shown in told or is_rounded(shown, told), (labels, shown, cell, told)
    assert asked > 5


def is_rounded(shown: str, told: str) -> bool:
    """Distances to keep stand rounded up on the first page, those of people to two figures."""
    value, _, unit = shown.partition(" ")
    exact = [float(one) for one in re.findall(rf"(\d[\d.]*) {unit}\b", told)]
    return any(one <= float(value) <= 1.4 * one or f"{one:.2g}" == value for one in exact)


def test_a_proof_of_the_whole_report_leads_to_its_line():
    answer, installation, _ = of("joinery")
    report = build_whole_report(answer, installation)
    units = units_for(installation)
    reader = PdfReader(io.BytesIO(render_pdf(report, units)))
    known = lines_by_label(report.sections)
    reached = set()
    for page in reader.pages[:4]:
        for mark in page.get("/Annots", []):
            link = mark.get_object()
            target = link["/Dest"][0].get_object()
            label = link["/Contents"]
            place = next(n for n, one in enumerate(reader.pages) if one.get_object() == target)
            text = plain(reader.pages[place].extract_text())
            if "." in label:
                assert label.partition(".")[0] in text
                assert known[label].split(" ")[0] in text
                reached.add(label)
    # of a chapter that is told in several lengths one is printed
    first, *others = report.sections
    ways = [
        pointed_to([dataclasses.replace(first, blocks=way, briefer=()), *others])
        for way in (first.blocks, *first.briefer)
    ]
    assert reached in [{label for label in way if "." in label} for way in ways]
    page = render_html(report, units)
    for label in ways[0]:
        assert page.count(f'id="{label}"') == 1
        assert f'href="#{label}"' in page


def test_two_short_reports_are_the_same_bytes_and_html_escapes_what_people_wrote():
    answer, installation = hand_made.assessment(), hand_made.installation()
    report = build_short_report(answer, installation)
    units = Units("metric")
    assert render_pdf(report, units) == render_pdf(build_short_report(answer, installation), units)
    named = dataclasses.replace(report, title="<script>alert(1)</script>")
    page = render_html(named, units)
    assert "<script>" not in page
    assert 'class="alarm"' in page or 'class="caution"' in page


@pytest.mark.parametrize("name", sample_names())
def test_no_sentence_of_the_first_pages_is_too_long_to_be_read_in_one_breath(name):
    assert max(lengths(name)) <= MOST_WORDS


def test_people_near_a_vessel_without_a_place_are_not_left_out():
    """Nobody knows how far they are: neither the table nor the card may show a dash for that."""
    installation = sample_installation("dairy-hall")
    lost = installation.vessels[0]
    vessels = (dataclasses.replace(lost, at=None), *installation.vessels[1:])
    report = build_short_report(
        sample_answer("dairy-hall"), dataclasses.replace(installation, vessels=vessels)
    )
    page = plain(render_html(report, units_for(installation)))
    everyone = [one.id for one in installation.people]
    assert everyone
    assert f"not known, {lost.id} has no place on the layout: {everyone[0]}" in page
    assert f"How far people are from vessel {lost.id} is not known, no place is stated" in page
