"""The PDF: same bytes, same numbers as JSON, bookmarks, language, page numbers, both papers."""

import io
import re
import subprocess

import pytest
from pypdf import PdfReader

from airrisk.report import blocks
from airrisk.report.pdf import PAPERS, _together, render_pdf, report_pdf
from airrisk.report.short_report import build_whole_report
from airrisk.wording.units import Units
from tests.report import hand_made


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return report_pdf(hand_made.assessment(), hand_made.installation())


@pytest.fixture(scope="module")
def text(pdf, tmp_path_factory) -> str:
    """What a reader can select and search."""
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def plain(value: str) -> str:
    return re.sub(r"\s+", " ", value.replace("\u00a0", " "))


def test_two_reports_of_one_answer_are_the_same_bytes(pdf):
    assert report_pdf(hand_made.assessment(), hand_made.installation()) == pdf


def test_title_language_and_bookmarks(pdf):
    reader = PdfReader(io.BytesIO(pdf))
    assert reader.metadata.title.startswith("Bench shop")
    assert reader.trailer["/Root"]["/Lang"] == "en"
    report = build_whole_report(hand_made.assessment(), hand_made.installation())
    chapters = [report.heading(place) for place in range(len(report.sections))]
    assert [entry.title for entry in reader.outline] == chapters


def test_the_file_bears_the_day_of_the_assessment_and_not_that_of_the_clock(pdf):
    on = hand_made.assessment().on
    made = PdfReader(io.BytesIO(pdf)).metadata.creation_date
    assert made.date() == on


def test_every_page_says_its_number_and_how_many(pdf):
    reader = PdfReader(io.BytesIO(pdf))
    count = len(reader.pages)
    for index, page in enumerate(reader.pages, start=1):
        assert f"page {index} of {count}" in page.extract_text()


def test_no_page_is_blank(pdf):
    for index, page in enumerate(PdfReader(io.BytesIO(pdf)).pages, start=1):
        assert len(page.extract_text()) > 120, index


def test_paper_sizes():
    for paper, size in PAPERS.items():
        data = report_pdf(hand_made.assessment(), hand_made.installation(), paper=paper)
        box = PdfReader(io.BytesIO(data)).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.1)
    with pytest.raises(KeyError):
        report_pdf(hand_made.assessment(), hand_made.installation(), paper="B7")


def test_charts_are_vectors_and_the_font_is_embedded(pdf):
    fonts = set()
    for page in PdfReader(io.BytesIO(pdf)).pages:
        resources = page["/Resources"]
        assert not [x for x in resources.get("/XObject", {}).values()
                    if x.get_object().get("/Subtype") == "/Image"]  # fmt: skip
        for font in resources["/Font"].values():
            fonts.add(str(font.get_object()["/BaseFont"]))
    assert any("DejaVuSans" in name for name in fonts)


def test_every_table_cell_of_the_content_can_be_found_in_the_text(text):
    """Words are compared without blanks, since cells wrap."""
    squeezed = re.sub(r"\s+", "", text.replace("\u00a0", ""))
    report = build_whole_report(hand_made.assessment(), hand_made.installation())
    for section in report.sections:
        for block in section.blocks:
            for row in getattr(block, "rows", ()):
                for cell in row:
                    for word in cell.split():
                        assert word.replace("\u00a0", "") in squeezed, (section.key, word)


def test_text_holds_the_numbers_of_the_json(text):
    """The numbers of vessel R1 and fire F1 in the units of the report, from the JSON's SI."""
    from airrisk.report.json_output import to_json_dict
    from airrisk.wording.units import Units, gauge_text, number_text, quantity_text, time_text

    units = Units("metric", hand_made.AMBIENT)
    doc = to_json_dict(hand_made.assessment())
    vessel, fire = doc["vessels"]["R1"], doc["fires"][0]
    wanted = [
        quantity_text(vessel["volume_m3"], "volume", units),
        quantity_text(vessel["pressure_pa"], "pressure", units),
        gauge_text(vessel["burst_pressure_cold_gauge_pa"], units),
        quantity_text(vessel["rupture_temperature_k"], "temperature", units),
        quantity_text(vessel["rupture_pressure_pa"], "pressure", units),
        quantity_text(vessel["tnt_kg"], "mass", units),
        *(quantity_text(v, "energy", units) for v in vessel["stored_energy_j"].values()),
        *(
            quantity_text(v, "temperature", units)
            for v in vessel["rupture_temperature_by_basis_k"].values()
        ),
        time_text(fire["rupture_nothing_opens_s"]),
        *(time_text(event["time_s"]) for event in fire["events"]),
        number_text(fire["peak_strength_use"], 3),
        quantity_text(fire["peak_pressure_pa"], "pressure", units),
        quantity_text(fire["smallest_bore_m"]["FP1"], "length", units),
    ]
    squeezed = re.sub(r"\s+", "", text.replace("\u00a0", ""))
    for item in wanted:
        assert item.replace("\u00a0", "").replace(" ", "") in squeezed, item


def test_pdftotext_reads_words_with_fi_and_fl(pdf, tmp_path):
    """No ligature may turn "fire" or "flow" into something else."""
    path = tmp_path / "report.pdf"
    path.write_bytes(pdf)
    try:
        out = subprocess.run(
            ["pdftotext", str(path), "-"], capture_output=True, check=True, timeout=30
        ).stdout.decode("utf-8")
    except FileNotFoundError:
        pytest.skip("pdftotext is not installed")
    for word in ("For the fire service", "Schematic", "10 bar(g)", "Findings"):
        assert word in plain(out), word
    assert "\ufb01" not in out


def test_a_table_of_long_texts_does_not_leave_the_page_before_it_half_empty():
    long = blocks.table_of(["A", "B"], [[f"row {i}", "word " * 60] for i in range(11)], [1, 4])
    lines = tuple(blocks.Paragraph(f"line {i}") for i in range(25))
    report = blocks.Report("T", "S", (), (blocks.Section("s", "S", (*lines, long)),), "foot")
    pages = PdfReader(io.BytesIO(render_pdf(report, Units(), "A4"))).pages
    assert "line 24" in pages[0].extract_text()
    assert "row 0" in pages[0].extract_text()


def test_a_bookmark_leads_to_the_page_of_its_chapter(pdf):
    reader = PdfReader(io.BytesIO(pdf))
    pages = [plain(page.extract_text()) for page in reader.pages]
    for entry in reader.outline:
        place = reader.get_destination_page_number(entry)
        assert plain(entry.title) in pages[place], entry.title
    assert len({reader.get_destination_page_number(entry) for entry in reader.outline}) > 5


def test_the_small_print_below_a_figure_stays_on_its_page():
    figure = blocks.Drawn(None)  # type: ignore[arg-type]
    small, text = blocks.Paragraph("signs", "small"), blocks.Paragraph("more")
    table = blocks.Table(("a",), (("1",),) * 60)
    groups = _together((figure, small, small, text, table, small))
    assert groups[0] == [figure, small, small]
    # small print below anything else may begin a page
    assert groups[-1] == [small]


@pytest.mark.parametrize("lines", [48, 55, 62, 75])
def test_a_compact_chapter_leaves_no_rest_on_a_page_of_its_own(lines):
    """Of which it fills less than a third, where print a little smaller spares the page."""
    text = tuple(blocks.Paragraph(f"line {i}") for i in range(lines))
    after = blocks.Section("b", "B", (blocks.Paragraph("end"),), own_page=True)
    made = []
    for compact in (False, True):
        one = blocks.Section("a", "A", text, compact=compact)
        report = blocks.Report("T", "S", (), (after, one, after), "foot")
        reader = PdfReader(io.BytesIO(render_pdf(report, Units(), "A4")))
        made.append([page.extract_text().count("line ") for page in reader.pages][1:-1])
    plain_pages, compact_pages = made
    first, *rest = plain_pages
    assert sum(compact_pages) == sum(plain_pages) == lines
    if rest and rest[0] < first / 5:
        assert len(compact_pages) == 1
    if not rest or rest[0] > first / 2:
        assert compact_pages == plain_pages
