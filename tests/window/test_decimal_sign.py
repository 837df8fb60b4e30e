"""A number that a person reads in the window has the decimal sign of the language."""

from __future__ import annotations

import re

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from airrisk.installation.fields import spec
from airrisk.installation.reading import read
from airrisk.quantities import parse
from airrisk.window.charts.log_axis import PlainAxis
from airrisk.window.facts.row import FieldRow
from airrisk.window.tryout.knobs import KnobRow, knobs_of
from airrisk.window.tryout.pins import changes_text
from tests.window.conftest import ONE_VESSEL, in_every_language

POINT = re.compile(r"\d\.\d")
COMMA = re.compile(r"\d,\d")


def signs(text: str) -> tuple[bool, bool]:
    return bool(POINT.search(text)), bool(COMMA.search(text))


@in_every_language
def test_the_numbers_of_an_axis(qapp: QApplication, language: str) -> None:
    texts = PlainAxis("bottom").tickStrings([0.5, 1.0, 1.5], 1.0, 0.5)
    mark = "." if language == "en" else ","
    assert texts == [f"0{mark}5", f"1{mark}0", f"1{mark}5"]


@in_every_language
def test_a_knob_shows_the_readers_sign_and_tells_the_file_its_own(
    qtbot: QtBot, language: str
) -> None:
    knobs = {one.spec.key: one for one in knobs_of(read(ONE_VESSEL.encode()), "R1", "F1")}
    row = KnobRow(knobs["wall_thickness"], "metric")
    qtbot.addWidget(row)
    told: list[str] = []
    row.turned.connect(lambda knob, text: told.append(text))
    row.slider.setValue(row.slider.value() + 7)
    shown = row.line.text()
    assert signs(shown) == ((True, False) if language == "en" else (False, True))
    assert signs(told[-1]) == (True, False)
    assert parse(shown, "length") == parse(told[-1], "length")
    assert row.take_typed()
    assert len(told) == 1  # what the row wrote itself was not typed
    row.show_tried(told[-1])
    assert row.line.text() == shown
    row.line.setText("4,5 mm")  # both signs can be typed in every language
    row.line.returnPressed.emit()
    assert row.error.isHidden()
    assert parse(told[-1], "length") == pytest.approx(0.0045)


@in_every_language
def test_range_default_and_kept_values(qtbot: QtBot, language: str) -> None:
    row = FieldRow(spec("vessel", "weld_factor"), "")
    qtbot.addWidget(row)
    row.show_value(None, "", (), "metric")
    wanted = (True, False) if language == "en" else (False, True)
    assert signs(row.editor.toolTip()) == wanted
    assert signs(row.editor.placeholderText()) == wanted  # type: ignore[union-attr]
    assert signs(changes_text({("R1", "wall_thickness"): "4.5 mm"})) == wanted
    assert changes_text({("FP1", "alloy"): "Bi55.5Pb44.5"}).endswith("Bi55.5Pb44.5")
