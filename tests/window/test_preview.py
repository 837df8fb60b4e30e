"""The preview of the report: every kind of block and style of a report can be shown."""

from typing import get_args

from airrisk.report.blocks import Style
from airrisk.report.short_report import build_whole_report
from airrisk.window.paper.preview import STYLES, report_rich_text
from tests.report import hand_made
from tests.window.contrast import TEXT, contrast


def test_every_style_of_a_paragraph_can_be_shown():
    assert set(STYLES) == set(get_args(Style))


def test_the_preview_shows_chapters_and_lines_by_the_same_labels_as_the_pages():
    report = build_whole_report(hand_made.assessment(), hand_made.installation())
    shown = report_rich_text(report, {}, 600)
    for place in range(len(report.sections)):
        assert report.heading(place) in shown
    for section in report.sections:
        for block in section.blocks:
            label = getattr(block, "label", "")
            assert not label or label in shown or type(block).__name__ == "Drawn"


def test_what_has_a_ground_of_its_own_has_an_ink_that_can_be_read_on_it():
    """A caution stood in the light ink of the dark look on its own light ground."""
    marked = 0
    for style, rules in STYLES.items():
        told = dict(rule.split(": ") for rule in rules.rstrip(";").split("; ") if rule)
        if "background-color" in told:
            marked += 1
            assert contrast(told["color"], told["background-color"]) >= TEXT, style
    assert marked >= 2
