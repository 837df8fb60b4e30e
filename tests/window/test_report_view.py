"""The report in the window is that of the present file."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from airrisk.tables import sample_path
from airrisk.window.frame import Frame
from tests.window.conftest import ANSWER_MS


def test_pages_of_another_file_are_gone_at_once(qtbot: QtBot, one_vessel: Frame) -> None:
    frame = one_vessel
    frame.show_view("paper")
    view = frame.pages["paper"]
    qtbot.waitUntil(lambda: view.chapter.count() > 3, timeout=ANSWER_MS)
    assert view.preview.toPlainText()
    frame.files.open_sample(str(sample_path("school-laboratory.toml")))
    assert view.preview.toPlainText() == ""
    assert view.chapter.count() == 0
