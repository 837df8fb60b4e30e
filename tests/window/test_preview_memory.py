"""What the preview of the report holds: one report, and the figures of it that were seen."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtGui import QImage, QTextDocument
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from airrisk.window.frame import Frame
from airrisk.window.paper import figure_image
from tests.window.conftest import ANSWER_MS


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> list[QImage]:
    """The figures that are painted."""
    made: list[QImage] = []
    paint = figure_image.figure_image

    def note(*what: Any) -> QImage:
        made.append(paint(*what))
        return made[-1]

    monkeypatch.setattr(figure_image, "figure_image", note)
    return made


def preview_of(qtbot: QtBot, frame: Frame) -> Any:
    frame.show_view("paper")
    view: Any = frame.pages["paper"]
    qtbot.waitUntil(lambda: view.chapter.count() > 0, timeout=ANSWER_MS)
    return view


def test_each_report_takes_the_place_of_the_last_one(
    qtbot: QtBot, qapp: QApplication, one_vessel: Frame
) -> None:
    """Each stayed behind with its images, some ten megabytes."""
    view = preview_of(qtbot, one_vessel)
    for unit_set in ("US customary", "metric", "US customary"):
        with qtbot.waitSignal(view.preview.textChanged, timeout=ANSWER_MS):
            one_vessel.session.set_unit_set(unit_set)
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert view.preview.findChildren(QTextDocument) == [view.preview.document()]


def test_a_figure_is_painted_when_it_is_seen(
    qtbot: QtBot, qapp: QApplication, one_vessel: Frame, painted: list[QImage]
) -> None:
    view = preview_of(qtbot, one_vessel)
    qapp.processEvents()
    figures = view.preview.document().toHtml().count("<img ")
    assert len(painted) < figures
    seen = view.preview.verticalScrollBar()
    for place in range(0, seen.maximum() + 1, view.preview.viewport().height() // 2):
        seen.setValue(place)
        view.preview.viewport().grab()
    assert len(painted) == figures > 3
    assert not any(image.isNull() for image in painted)
