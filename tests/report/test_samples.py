"""Reports of the sample systems: complete, equal in every format, repeatable by hand."""

import csv
import datetime as dt
import html
import io
import json
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader

from airrisk.installation.reading import read
from airrisk.report import blocks
from airrisk.report.content import units_for
from airrisk.report.csv import render_csv
from airrisk.report.html import render_html
from airrisk.report.json_output import to_json_text
from airrisk.report.pdf import A4, FOOT, TOP, render_pdf
from airrisk.report.screening_sections import controlling_vessel
from airrisk.report.short_report import build_whole_report
from airrisk.tables import sample_names, sample_path
from airrisk.wording.origin import input_tables
from airrisk.wording.sentences import fire_sentence, fire_verdict
from airrisk.wording.units import Units, gauge_text, quantity_text, time_text
from tests.calculator import calculate
from tests.samples.answers import (
    LARGE,
    dairy_with_a_thick_dryer,
    sample_answer,
    sample_installation,
)

ON = dt.date(2026, 11, 1)


@pytest.fixture(scope="session", params=sample_names())
def sample(request):
    """The answer, the installation and the report of every sample."""
    installation, answer = sample_installation(request.param), sample_answer(request.param)
    return answer, installation, build_whole_report(answer, installation)


def is_large(installation) -> bool:
    return any(installation is sample_installation(name) for name in LARGE)


@pytest.fixture(scope="session")
def printed(sample):
    """The PDF file of a sample, the text of its pages, and how far down each is filled."""
    _, installation, report = sample
    if is_large(installation):
        pytest.skip("too many pages to be printed and read")
    data = render_pdf(report, units_for(installation))
    read_pages = [text_and_fill(page) for page in PdfReader(io.BytesIO(data)).pages]
    return data, [text for text, _ in read_pages], [fill for _, fill in read_pages]


def text_and_fill(page) -> tuple[str, float]:
    """The text of a page, and the share of its height above the lowest line but the foot."""
    heights = []

    def seen(text, outer, inner, _font, _size):
        height = inner[4] * outer[1] + inner[5] * outer[3] + outer[5]
        if text.strip() and height > FOOT:
            heights.append(height)

    text = page.extract_text(visitor_text=seen)
    return text, (A4[1] - TOP - min(heights)) / (A4[1] - TOP - FOOT)


def plain_lines(text: str) -> list[str]:
    return [line.strip().replace("\u00a0", " ") for line in text.split("\n")]


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text.replace("\u00a0", ""))


def test_every_printed_formula_is_repeated_by_a_calculator(sample):
    """Each "numbers put in" line, typed as printed, gives the printed result within 0.5 %."""
    worked = [
        block.worked
        for section in sample[2].sections
        for block in section.blocks
        if isinstance(block, blocks.Formula)
    ]
    assert len(worked) > 10
    for entry in worked:
        typed = entry.filled.replace("×", "*").replace("^", "**").replace("ln(", "log(")
        printed = float(entry.result.split("\u00a0")[0])
        assert calculate(typed, {}) == pytest.approx(printed, rel=5e-3), entry.title


def test_the_same_answer_gives_the_same_bytes(sample, printed):
    answer, installation, _ = sample
    assert (
        render_pdf(build_whole_report(answer, installation), units_for(installation)) == printed[0]
    )


def test_pdf_and_html_hold_the_numbers_of_the_json(sample, printed):
    answer, installation, report = sample
    units = units_for(installation)
    text = squeezed(" ".join(printed[1]))
    page = squeezed(html.unescape(re.sub(r"<[^>]*>", "", render_html(report, units))))
    doc = json.loads(to_json_text(answer))
    wanted = []
    for record in [*doc["vessels"].values(), *doc["lines"].values()]:
        wanted += [
            quantity_text(record["volume_m3"], "volume", units),
            quantity_text(record["pressure_pa"], "pressure", units),
            gauge_text(record["burst_pressure_cold_gauge_pa"], units),
            quantity_text(record["tnt_kg"], "mass", units),
            *(quantity_text(v, "energy", units) for v in record["stored_energy_j"].values()),
            *(
                quantity_text(v, "temperature", units)
                for v in record["rupture_temperature_by_basis_k"].values()
                if v is not None
            ),
        ]
    for fire in doc["fires"]:
        if fire["rupture_nothing_opens_s"] is not None:
            wanted.append(time_text(fire["rupture_nothing_opens_s"]))
        if fire["peak_pressure_pa"] is not None:
            wanted.append(quantity_text(fire["peak_pressure_pa"], "pressure", units))
    for cases in doc["consequences"].values():
        for case in cases.values():
            wanted.append(quantity_text(case["energy_j"], "energy", units))
            wanted.append(quantity_text(case["tnt_kg"], "mass", units))
    for item in wanted:
        assert squeezed(item) in text, item
        assert squeezed(item) in page, item
    for finding in doc["findings"]:
        assert squeezed(finding["text"])[:60] in text
    assert doc["inputs_sha256"] in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_page_is_blank_and_single_pages_are_single(sample, printed, paper):
    answer, installation, report = sample
    texts = printed[1]
    if paper == "Letter":
        if len(installation.vessels) > 1:
            pytest.skip("one paper is enough for the long reports")
        pages = PdfReader(io.BytesIO(render_pdf(report, units_for(installation), paper))).pages
        texts = [page.extract_text() for page in pages]
    assert min(len(text) for text in texts) > 120
    chapter = next(i for i, s in enumerate(report.sections) if s.key == "fire-service")
    lines = [plain_lines(text) for text in texts]
    start = next(n for n, found in enumerate(lines) if report.heading(chapter) in found)
    assert report.heading(chapter + 1) in texts[start + 1]
    assert answer.parts


def test_no_page_but_the_last_is_under_a_third_full(printed):
    fills = printed[2]
    assert len(fills) > 20
    assert max(fills) <= 1.0
    thin = [number for number, fill in enumerate(fills[:-1], start=1) if fill < 1 / 3]
    assert thin == []


@pytest.mark.parametrize("name", sorted(LARGE))
def test_the_page_for_the_fire_service_is_one_page_for_many_vessels(name):
    whole, answer = sample_installation(name), sample_answer(name)
    report = build_whole_report(answer, whole)
    chapters = {one.key: one for one in report.sections}
    two = (chapters["sign-off"], chapters["fire-service"])  # the title stands above the first
    alone = render_pdf(replace(report, sections=two), units_for(whole))
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(alone)).pages]
    told = [number for number, text in enumerate(pages) if "For the fire service" in text]
    assert told
    assert len(pages) - told[-1] == 1, [text[:60] for text in pages]


def test_html_and_csv_are_made_of_the_same_chapters(sample):
    answer, installation, report = sample
    if is_large(installation):
        pytest.skip("too long to be read")
    units = units_for(installation)
    page = render_html(report, units)
    rows = list(csv.reader(io.StringIO(render_csv(report, units))))
    chapters = {row[0] for row in rows[1:]}
    for section in report.sections:
        assert f'id="{section.key}"' in page
        if any(isinstance(b, (blocks.Table, blocks.Paragraph)) for b in section.blocks):
            assert section.key in chapters
    for finding in answer.findings:
        assert finding.part in page


def test_no_text_of_the_report_is_left_unfilled(sample):
    for section in sample[2].sections:
        for block in section.blocks:
            texts = [getattr(block, "text", ""), getattr(block, "caption", "")]
            texts += getattr(block, "items", ())
            texts += [cell for row in getattr(block, "rows", ()) for cell in row]
            for text in texts:
                assert "{" not in text, text
                assert not re.search(r"(^None$| None\b|\(None)", text), text
                assert "nan" not in text.split(), text


def test_no_vessel_vents_sooner_than_its_own_way_out(sample):
    """Property: a vessel's first vent in the record is when its air begins to leave by a plug."""
    answer = sample[0]
    for fire in answer.fires:
        opened = {e.time_s for e in fire.events if e.event in ("plug opens", "disc bursts")}
        for part, begun in fire.first_vent_by_part_s.items():
            assert part in fire.members
            assert begun in opened
            if part not in fire.vessels:  # a line may be fed on, or share the space of a vessel
                continue
            assert fire.curves is not None
            masses = fire.curves.parts[part].gas_mass_kg
            after = [mass for t, mass in zip(fire.curves.time_s, masses, strict=True) if t >= begun]
            assert after[-1] < 0.5 * after[0]


def test_the_fire_service_reads_no_better_time_than_any_fire_gives(sample):
    answer, installation, report = sample
    page = next(s for s in report.sections if s.key == "fire-service")
    table = next(b for b in page.blocks if isinstance(b, blocks.Table))
    for vessel, row in zip(installation.vessels, table.rows, strict=True):
        cells = dict(zip(table.columns, row, strict=True))
        fires = [f for f in answer.fires if vessel.id in f.members]
        asked = [f for f in fires if f.fire_class in ("stated", "whole")]
        if any(vessel.id not in f.first_vent_by_part_s or not f.safe for f in asked):
            assert not cells["A plug or disc opens after"][:1].isdigit(), cells
        known = [(f.rupture_nothing_opens_s, f) for f in fires
                 if f.rupture_nothing_opens_s is not None]  # fmt: skip
        known += [(f.line_rupture_nothing_opens_s[1], f) for f in fires
                  if f.line_rupture_nothing_opens_s is not None]  # fmt: skip
        cell = cells["Rupture after, if nothing opens"].replace("\u00a0", " ")
        shown, unit = cell.replace(",", " ").split(" ")[:2]
        told = float(shown) * {"s": 1.0, "min": 60.0}[unit]
        first = min(time for time, _ in known)
        assert 0.9 * first < told <= first
        # behind the time stands the fire that it is of
        words = {"whole": "all in flames", "beside": "fire beside it", "spot": "small spot"}
        of = [f for time, f in known if time == first]
        assert any(cell.endswith(words.get(f.fire_class, f" {f.id}")) for f in of)


def test_json_has_no_nan_and_null_for_what_is_absent(sample):
    answer = sample[0]

    def refused(word):
        raise AssertionError(word)

    document = json.loads(to_json_text(answer), parse_constant=refused)
    assert document["format"] == 2
    classes = [one["class"] for one in document["verdicts"]]
    assert classes[:4] == ["stated", "whole", "beside", "spot"]
    assert {(v["section"], *v["closed_valves"]) for v in document["verdicts"]} >= {
        (s["id"], *s["closed_valves"]) for s in document["sections"]["shut_in"]
    }
    for one in document["verdicts"]:
        assert (one["fire"] is None) is (one["safe"] is None) is (one["outcome"] is None)
        assert one["sure"] is None or one["safe"] is True
        assert one["creep_damage"] is None or 0.0 <= one["creep_damage"] <= 1.0
    assert document["runs"] == sum(f["runs"] for f in document["fires"]) + 4 * len(
        document["vessels"]
    )
    for stood in ("flame_away", "jet_spot"):
        assert set(document[stood]) == set(document["vessels"])
    for fire in document["fires"]:
        assert fire["class"] in ("stated", "whole", "beside", "spot")
        assert isinstance(fire["reason"], str)
        assert set(fire["reason_values"]) >= {"part", "opened", "emptying"}
        assert (fire["sure"] is None) is (fire["safe"] is not True)
        assert fire["envelope"]["runs"] >= 1


SPOKEN = ("summary", "fire-service", "fires", "assumptions", "questions", "cautions")
NEVER_SAID = (
    "vents too late", "not emptied", "may be shut", "lets its air out", "each with a plug",
    "default_case", "within the limit", "e-0", "e+0",
)  # fmt: skip


def spoken(report: blocks.Report) -> list[str]:
    """The sentences of the chapters that speak of fires."""
    texts: list[str] = []
    for section in report.sections:
        for block in section.blocks if section.key in SPOKEN else ():
            texts += [getattr(block, "text", ""), getattr(block, "caption", "")]
            texts += getattr(block, "items", ())
            for row in getattr(block, "rows", ()):
                if row[0] != "Closure of the run":
                    texts += row
    pieces = (piece for text in texts for piece in re.split(r"(?<=[.;:]) ", text))
    return [piece.replace("\u00a0", " ") for piece in pieces]


def test_every_sentence_is_short_and_has_one_unit_of_time(sample):
    for text in spoken(sample[2]):
        assert len(text.split()) <= 30, text
        assert "  " not in text, text
        assert len(set(re.findall(r"\d (s|min|h)\b", text))) <= 1, text
        for word in NEVER_SAID:
            assert word not in text, text


def test_no_number_of_a_verdict_is_better_than_that_of_the_run_as_stated(sample):
    """Property: the worst of all runs is at least as bad as the fire as stated."""
    for fire in sample[0].fires:
        seen = fire.envelope
        ended = fire.outcome == "ruptures"  # a line may end the run before a vessel is loaded more
        assert ended or seen.peak_strength_use >= min(fire.peak_strength_use, 1.0) - 1e-3
        ruptured = [e.time_s for e in fire.events if e.event in ("rupture", "line ruptures")]
        if fire.outcome == "ruptures":
            assert seen.rupture_s <= min(ruptured) * (1.0 + 1e-3)


def test_no_text_calls_a_section_safe_that_is_not(sample):
    """Property: every cell, table and sentence about a fire goes by the worst of its runs."""
    answer = sample[0]
    units = Units("metric", answer.ambient_pressure_pa)
    for fire in answer.fires:
        verdict = fire_verdict(fire, "tensile")
        assert verdict.safe is fire.safe
        assert verdict.word == fire.worst_outcome
        text = fire_sentence(fire, units)
        if not fire.safe:
            told = text.split(". ")[0]
            assert "vents in time" not in told
            assert "outlasts" not in told
            assert verdict.cautious == ""
        else:
            assert verdict.cautious.startswith("sure" if fire.sure else "not sure")


def test_source_lines_carry_one_standing(sample):
    for finding in sample[0].findings:
        assert not re.search(r"\) \(", finding.source), finding.source
        assert "resources/" not in finding.source


def _table(report: blocks.Report, key: str, first: str) -> blocks.Table:
    section = next(s for s in report.sections if s.key == key)
    return next(
        b for b in section.blocks if isinstance(b, blocks.Table) and b.columns[0].startswith(first)
    )


def test_an_empty_list_that_was_typed_reads_none_and_not_the_default():
    """Ferry F2 is stated with closed = []: nothing is shut."""
    ferry = read(sample_path("river-ferry").read_bytes(), "river-ferry")
    rows = {t.id: {r.field: r.value for r in t.rows} for t in input_tables(ferry, Units())}
    assert rows["F2"]["closed"] == "none"
    assert rows["F1"]["closed"] == "V1, V2"
    mill = read(sample_path("sawmill").read_bytes(), "sawmill")
    rows = {t.id: {r.field: r.value for r in t.rows} for t in input_tables(mill, Units())}
    assert rows["F1"]["plugs_in_fire"] == "none"
    assert "absorbed" not in rows["F1"]


def test_a_part_without_relief_valve_does_not_claim_a_temperature_range(sample):
    _, installation, report = sample
    table = _table(report, "screening", "Part")
    fitted = {valve.on for valve in installation.relief_valves}
    if "Relief lifts at" not in table.columns:  # left out where no part has one
        assert fitted.isdisjoint(row[0] for row in table.rows)
        return
    for row in table.rows:
        cell = row[table.columns.index("Relief lifts at")]
        assert (cell == "–") is (row[0] not in fitted)


def test_the_hand_calculation_is_of_the_vessel_that_ruptures_first():
    assert controlling_vessel(sample_answer("dairy-hall")) == "D1"
    _, answer = dairy_with_a_thick_dryer()
    assert controlling_vessel(answer) == "R1"
    record = answer.parts["R1"]
    wet = next(t for t in record.traces if t.key == "wet_pressure" and t.state == "rupture")
    assert wet.result == pytest.approx(record.rupture_pressure_pa, rel=1e-9)
