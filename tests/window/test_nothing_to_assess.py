"""What the views say of a file without a vessel, and of one with mistakes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from airrisk.window.frame import Frame
from airrisk.window.theme import colours
from tests.window.conftest import ANSWER_MS, ONE_VESSEL

WRONG = ONE_VESSEL.replace('bore = "20 mm"', 'bore = "20 kg"')
BARE = "format = 1\n"


def opened(frame: Frame, file: Path, text: str) -> None:
    file.write_text(text, encoding="utf-8")
    frame.files.open_name(str(file))


@pytest.mark.parametrize(
    ("text", "said"), [(BARE, "no vessel and no line"), (WRONG, "has mistakes")]
)
def test_the_try_out_says_why_there_is_nothing_to_turn_and_offers_nothing(
    frame: Frame, no_bores: None, tmp_path: Path, text: str, said: str
) -> None:
    opened(frame, tmp_path / "new.toml", text)
    frame.show_view("tryout")
    view: Any = frame.pages["tryout"]
    assert said in view.worded.text()
    assert not view.answer_stack.isVisible()
    for widget in (view.keep_button, view.drop_button, view.pin_button, view.part_box):
        assert not widget.isEnabled()


def test_the_try_out_comes_back_when_the_mistake_is_mended(
    qtbot: QtBot, frame: Frame, no_bores: None
) -> None:
    frame.files.start_with(WRONG)
    frame.show_view("tryout")
    document = frame.session.document
    assert document is not None
    document.replace("mend", ONE_VESSEL)
    view: Any = frame.pages["tryout"]
    qtbot.waitUntil(lambda: view.answer is not None, timeout=ANSWER_MS)
    assert view.answer_stack.isVisible()
    assert view.rows
    for widget in (view.pin_button, view.part_box):
        assert widget.isEnabled()
    assert not view.keep_button.isEnabled()


def test_paper_says_why_there_is_no_report_and_forgets_the_last_one(
    qtbot: QtBot,
    one_vessel: Frame,
    tmp_path: Path,
) -> None:
    one_vessel.show_view("paper")
    view: Any = one_vessel.pages["paper"]
    qtbot.waitUntil(lambda: view.chapter.count() > 0, timeout=ANSWER_MS)
    document = one_vessel.session.document
    assert document is not None
    document.save(tmp_path / "kept.toml")
    opened(one_vessel, tmp_path / "wrong.toml", WRONG)
    one_vessel.show_view("paper")
    assert view.chapter.count() == 0
    assert "has mistakes" in view.preview.toPlainText()
    assert view.assumed_title.text() == ""


def test_reach_draws_no_vessel_where_there_is_none(
    frame: Frame, no_bores: None, answered: Callable[[Frame], None], tmp_path: Path
) -> None:
    opened(frame, tmp_path / "new.toml", BARE)
    answered(frame)
    frame.show_view("reach")
    view: Any = frame.pages["reach"]
    seen = view.plan.grab().toImage()
    ground = QColor(colours().surface)
    assert view.sentence.text() == "Not assessed: no vessel."
    opened(frame, tmp_path / "wrong.toml", WRONG)
    frame.show_view("reach")
    assert "has mistakes" in view.sentence.text()
    assert seen.pixelColor(seen.width() // 2, seen.height() // 2) == ground
