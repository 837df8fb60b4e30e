"""HTML and CSV: hostile names do nothing, contents are those of the one content model."""

import csv
import dataclasses
import html.parser
import io
import re

import pytest

from airrisk.installation.model import Plug
from airrisk.report.content import build_report, units_for
from airrisk.report.csv import report_csv
from airrisk.report.html import report_html
from airrisk.report.plotting import draw
from airrisk.report.svg import figure_svg
from airrisk.wording.charts import Ruler
from airrisk.wording.figures import Figure, Words
from tests.report import hand_made

HOSTILE = "<script>alert('x')</script>\"&=cmd|' /C calc'!A0"


class Outline(html.parser.HTMLParser):
    """Collects tags and checks that they nest."""

    VOID = ("meta", "link", "br", "col", "img", "hr", "circle", "rect", "polygon", "polyline")

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.seen.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def hostile():
    """The hand-made answer with hostile texts wherever a user may type."""
    installation = hand_made.installation(HOSTILE)
    vessel = dataclasses.replace(
        installation.vessels[0], notes=(("wall_thickness", "=1+1" + HOSTILE),)
    )
    plug = Plug(
        id="@SUM(A1)", on="R1", alloy="tin", bore=0.01, discharges_to="=HYPERLINK(1)",
        given=frozenset({"discharges_to"}),
    )  # fmt: skip
    installation = dataclasses.replace(installation, vessels=(vessel,), plugs=(plug,))
    return hand_made.assessment(HOSTILE), installation


def test_hostile_names_are_escaped_in_html():
    text = report_html(*hostile())
    assert "<script" not in text
    assert "&lt;script&gt;" in text
    outline = Outline()
    outline.feed(text)
    assert outline.open == []
    assert "script" not in outline.seen


def test_html_is_one_file_with_language_title_and_vector_charts():
    text = report_html(hand_made.assessment(), hand_made.installation())
    assert '<html lang="en">' in text
    assert "<title>Bench shop" in text
    assert text.count("<svg") >= 7
    assert text.count("<title id=") == text.count("<svg")
    addresses = re.findall(r"(?:src|href)=\"([^\"#][^\"]*)\"", text)
    assert addresses == []  # nothing from outside, "#" jumps only


def test_no_csv_cell_starts_a_formula():
    rows = list(csv.reader(io.StringIO(report_csv(*hostile()))))
    assert len(rows) > 100
    for row in rows:
        for cell in row:
            if cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
                float(cell)  # a number of ours only
    flat = [cell for row in rows for cell in row]
    assert any(cell.startswith("'@SUM") for cell in flat)
    assert any(cell.startswith("'=HYPERLINK") for cell in flat)


def test_html_and_csv_hold_every_table_of_the_content():
    assessment, installation = hand_made.assessment(), hand_made.installation()
    report = build_report(assessment, installation)
    text = report_html(assessment, installation)
    cells = {
        cell.replace("\u00a0", " ")
        for row in csv.reader(io.StringIO(report_csv(assessment, installation)))
        for cell in row
    }
    for section in report.sections:
        assert f'<section id="{section.key}"' in text
        for block in section.blocks:
            for row in getattr(block, "rows", ()):
                for cell in row:
                    assert html.escape(cell, quote=False) in text.replace("&#39;", "'").replace(
                        "&#34;", '"'
                    )
                    assert cell.replace("\u00a0", " ") in {c.lstrip("'") for c in cells}


def test_us_units_run_through_the_whole_report():
    text = report_html(hand_made.assessment(), hand_made.installation(), "US customary")
    assert "psig" in text
    assert "bar(g)" not in text


def test_svg_escapes_what_is_written_on_it():
    figure = Figure(10, 10, (Words(0, 0, "<b>&"),), "a<b", "c&d")
    assert "<b>" not in figure_svg(figure)
    assert "&lt;b&gt;&amp;" in figure_svg(figure)


@pytest.mark.parametrize("unit_set", ["metric", "US customary"])
def test_no_label_of_a_figure_leaves_it_or_covers_another(unit_set):
    from airrisk.report.text_width import text_width

    assessment, installation = hand_made.assessment(), hand_made.installation()
    units = units_for(installation, unit_set)
    report = build_report(assessment, installation, unit_set)
    pictures = [b for s in report.sections for b in s.blocks if hasattr(b, "picture")]
    assert len(pictures) > 6
    for block in pictures:
        figure = draw(block.picture, units, 480.0, block.height * 480.0)
        boxes = []
        for item in figure.items:
            if not isinstance(item, Words):
                continue
            wide = text_width(item.text, item.size, item.bold)
            x, y, w, h = item.x, item.y - 1, wide, item.size * 0.95
            if item.angle:
                x, y, w, h = item.x - item.size * 0.8, item.y, item.size * 0.95, wide
                if item.anchor == "middle":
                    y -= wide / 2
            elif item.anchor == "middle":
                x -= wide / 2
            elif item.anchor == "end":
                x -= wide
            boxes.append((x, y, w, h, item.text))
        for x, y, w, h, text in boxes:
            assert x >= -1, text
            assert y >= -2, text
            assert x + w <= figure.width + 1, text
            assert y + h <= figure.height + 2, text
        for i, (x, y, w, h, text) in enumerate(boxes):
            for X, Y, W, H, other in boxes[i + 1 :]:
                clear = x + w <= X + 0.6 or x + 0.6 >= X + W or y + h <= Y + 1.6 or y + 1.6 >= Y + H
                assert clear, (figure.title, text, other)
        assert isinstance(block.picture, Ruler) or figure.items
