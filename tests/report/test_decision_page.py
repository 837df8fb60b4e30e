"""The decision stands on one page, in every language and on both papers, and loses no danger."""

from __future__ import annotations

import dataclasses
import functools
import io
import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from pypdf import PageObject, PdfReader

from airrisk.report.blocks import Elsewhere, Paragraph, Report, Section, Table
from airrisk.report.content import units_for
from airrisk.report.decision_section import listed_deeds
from airrisk.report.decision_tables import BREVITIES, matrix_table, people_table
from airrisk.report.lines import Lines
from airrisk.report.pdf import PAPERS, render_pdf
from airrisk.report.short_report import build_short_report
from airrisk.study.overview import keep_away, section_rows
from airrisk.tables import sample_names
from airrisk.wording.cautions import cautions
from airrisk.wording.languages import LANGUAGES, speak
from airrisk.wording.matrix import matrix_rows
from airrisk.wording.overview import overview_sentences
from airrisk.wording.translation import tr
from airrisk.wording.units import kept_distance
from airrisk.wording.what_to_do import Deed
from tests.samples.answers import sample_answer, sample_installation

NOWHERE = Lines({}, {})


def plain(value: str) -> str:
    return re.sub(r"\s+", " ", value.replace("\u00a0", " "))


@contextmanager
def spoken(code: str) -> Iterator[None]:
    assert not speak(code)
    try:
        yield
    finally:
        speak("en")


@functools.cache
def short(name: str, code: str) -> Report:
    with spoken(code):
        return build_short_report(sample_answer(name), sample_installation(name))


def first_chapter(report: Report, units, paper: str = "A4") -> list[PageObject]:
    """The pages of the first chapter; the others have a page with their title only."""
    sections = [report.sections[0]]
    empty = (Paragraph("..."),)
    sections += [Section(one.key, one.title, empty, own_page=True) for one in report.sections[1:]]
    made = render_pdf(dataclasses.replace(report, sections=tuple(sections)), units, paper)
    reader = PdfReader(io.BytesIO(made))
    second = reader.get_destination_page_number(reader.outline[1])
    return list(reader.pages)[:second]


@pytest.mark.parametrize("code", LANGUAGES)
@pytest.mark.parametrize("name", sample_names())
def test_the_decision_of_every_sample_stands_on_one_page(name, code):
    """Safe or not, in which fire, how soon, who must go how far, what first, who signs."""
    answer, installation = sample_answer(name), sample_installation(name)
    units, report = units_for(installation), short(name, code)
    with spoken(code):
        for paper in PAPERS:
            pages = first_chapter(report, units, paper)
            assert len(pages) == 1, paper
            page = plain(pages[0].extract_text())
            for sentence in overview_sentences(answer, units):
                assert plain(sentence) in page
            squeezed = page.replace(" ", "")
            for row in matrix_rows(answer):
                for cell in row.cells:
                    if cell.safe is False:
                        assert plain(cell.heading).replace(" ", "") in squeezed
            far = [keep_away(answer, one.id) for one in installation.vessels]
            most = max((one.farthest_m for one in far if one is not None), default=None)
            assert most is None or plain(kept_distance(most, units)) in page
            for text in (tr("Conclusion"), tr("Registration no."), tr("Signature"), cautions()[0]):
                assert plain(text) in page
            # somebody decides; and where anything is not safe there is something to be done first
            unsafe = any(one.safe is False for one in answer.verdicts)
            assert len(re.findall("☐", page)) >= 3 + unsafe


def tables(blocks) -> list[Table]:
    return [block for block in blocks if isinstance(block, Table)]


@pytest.mark.parametrize("most", [one.sections for one in BREVITIES[1:]])
def test_a_shortened_matrix_keeps_the_worst_and_tells_the_rest_by_its_worst(most):
    answer = sample_answer("tile-works")
    rows, whole = section_rows(answer), matrix_table(answer, NOWHERE)
    table = matrix_table(answer, NOWHERE, most)
    assert len(table.rows) <= most < len(whole.rows)
    alone = len(table.rows) - 1
    assert table.rows[0] == whole.rows[0]
    for column in range(4):
        cells = [row[1 + column] for row in whole.rows if row not in table.rows]
        last, tone = table.rows[-1][1 + column], table.tones[-1][1 + column]
        bad = sum(1 for cell in cells if cell[0] in "✖▲△")
        assert (tone == "bad") == (bad > 0)
        assert not bad or f"not safe: {bad}" in last
        shares = [float(n) for cell in cells for n in re.findall(r"([\d.]+)\s%", cell)]
        if not bad and shares:
            (told,) = re.findall(r"at most ([\d.]+)\s%", last)
            assert float(told) == max(shares)
            assert (tone == "doubt") == any("not sure" in cell for cell in cells)
    joined = [row for row in rows if row not in rows[:alone]]
    if any(one.safe and not one.sure for row in joined for one in row.asked):
        assert "doubt" in table.tones[-1] or "bad" in table.tones[-1]


@pytest.mark.parametrize("most", [one.vessels for one in BREVITIES[1:]])
def test_a_shortened_table_of_people_keeps_the_soonest_rupture_and_the_farthest_distance(most):
    answer, installation = sample_answer("tile-works"), sample_installation("tile-works")
    units = units_for(installation)
    whole = people_table(answer, installation, units, NOWHERE)
    table = people_table(answer, installation, units, NOWHERE, most)
    assert len(table.rows) <= most < len(whole.rows)

    def ahead(text: str) -> float:
        return float(re.match(r"[\d.]+", text.strip())[0])

    times = [ahead(row[1]) for row in whole.rows if row[1][0].isdigit()]
    assert ahead(table.rows[0][1]) == min(times)
    assert max(ahead(row[2]) for row in table.rows) == max(ahead(row[2]) for row in whole.rows)
    told = " ".join(row[3] for row in table.rows)
    for place in installation.people:
        assert place.id in told
    # every vessel and place has its place on the layout
    assert not any("not known" in row[3] for one in (table, whole) for row in one.rows)


def test_people_near_a_vessel_without_a_place_are_not_left_out_of_a_joined_row():
    answer, installation = sample_answer("tile-works"), sample_installation("tile-works")
    vessels = tuple(dataclasses.replace(one, at=None) for one in installation.vessels)
    lost = dataclasses.replace(installation, vessels=vessels)
    table = people_table(answer, lost, units_for(installation), NOWHERE, 3)
    assert "not known of" in table.rows[-1][3]
    assert all("not known" in row[3] for row in table.rows)


def test_who_and_when_stand_with_the_deeds_of_the_decision():
    """Two actions of the tile works are about plugs that the first deeds renew."""
    report = short("tile-works", "en")
    answer = sample_answer("tile-works")
    owners = {one.owner for one in answer.actions}
    found = 0
    for blocks in (report.sections[0].blocks, *report.sections[0].briefer):
        deeds = next(one for one in tables(blocks) if "Change" in one.columns)
        for row in deeds.rows:
            told = dict(zip(deeds.columns, row, strict=True))
            mine = [one for one in answer.actions if f"plug {one.part}," in told["Change"]]
            assert bool(told["Who"]) == bool(mine), told
            for action in mine:
                found += 1
                assert told["Who"] == f"{action.owner} ({action.id})"
                assert told["By when"] == action.due.isoformat()
    assert owners
    assert found >= 2


def test_what_has_no_room_is_pointed_to_with_its_page():
    report = short("tile-works", "en")
    section = report.sections[0]
    for brevity, blocks in zip(BREVITIES[1:], section.briefer, strict=True):
        keys = {block.key for block in blocks if isinstance(block, Elsewhere)}
        assert keys == {"who-does-what", "fire-service"}, brevity
    units = units_for(sample_installation("tile-works"))
    (page,) = first_chapter(report, units)
    laid_out = plain(page.extract_text(extraction_mode="layout"))
    pages = re.findall(r"chapter (\d) .{10,40}?, page (\d+)", laid_out)
    assert {("2", "2"), ("4", "4")} == set(pages)
    second = report.sections[1]
    done = " ".join(row[2] for table in tables(second.blocks) for row in table.rows)
    numbers = set(re.findall(r"No\. (\d+)", done))
    deeds = next(one for one in tables(section.blocks) if "Change" in one.columns)
    assert numbers >= {row[0] for row in deeds.rows}


def test_the_deed_against_the_worst_is_always_among_those_listed():
    answer = sample_answer("dairy-hall")
    worst = next(
        f for f in answer.findings
        if f.counts and f.severity == "danger" and f.rule == "fire-outcome"
    )  # fmt: skip
    changed = dataclasses.replace(answer, findings=(worst,))
    deeds = [Deed(f"deed {n}") for n in range(5)] + [Deed("against it", findings=(worst,))]
    assert listed_deeds(deeds, changed, 3) == [0, 1, 5]
    assert listed_deeds(deeds, changed, 9) == [0, 1, 2, 3, 4, 5]


def test_what_was_accepted_and_until_when_stands_on_the_page_of_findings():
    answer, report = sample_answer("slate-quarry"), short("slate-quarry", "en")
    (action,) = answer.actions
    (table,) = tables(report.sections[1].blocks)
    rows = [row for row in table.rows if "accepted" in row[4]]
    assert len(rows) == 1
    assert action.reason in rows[0][2]
    assert rows[0][3] == action.by
    assert rows[0][4].startswith(action.until.isoformat())


def test_in_another_language_too_only_what_is_not_sure_is_tinted_as_a_doubt():
    answer = sample_answer("joinery")
    with spoken("de"):
        told = matrix_table(answer, NOWHERE).tones
    assert told == matrix_table(answer, NOWHERE).tones
