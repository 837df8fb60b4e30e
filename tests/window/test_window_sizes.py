"""Small windows can be worked in: what must be in view is, what must be read is large enough."""

from __future__ import annotations

import pyqtgraph as pg
import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QApplication, QTableWidget, QWidget
from pytestqt.qtbot import QtBot

from airrisk.window.charts.view import ChartView
from airrisk.window.frame import Frame
from airrisk.window.tables import TextTable
from airrisk.window.views import VIEWS
from tests.window.conftest import in_every_language

LEAST_CHART = 160  # px
WITH_A_FRAME = (1276, 761)  # what is left of 1280 x 800 within the frame of a window


def to_size(qtbot: QtBot, frame: Frame, size: tuple[int, int]) -> None:
    frame.resize(*size)
    qtbot.waitUntil(lambda: (frame.width(), frame.height()) == size)
    for _ in range(3):
        QApplication.processEvents()


def in_view(widget: QWidget) -> QRect:
    """What can be seen of a widget."""
    return widget.visibleRegion().boundingRect()


def low_charts(frame: Frame) -> list[str]:
    """Charts that can be seen and are less high than they must be."""
    found = []
    for chart in frame.findChildren(ChartView):
        plot = chart.findChild(pg.PlotWidget)
        if plot is not None and plot.isVisible() and plot.height() < LEAST_CHART:
            found.append(f"{chart.accessibleName()} {plot.height()} px")
    return found


@in_every_language
@pytest.mark.parametrize("size", [(1024, 700), WITH_A_FRAME])
def test_the_status_line_is_in_view_and_no_chart_is_low(
    qtbot: QtBot, one_vessel: Frame, size: tuple[int, int]
) -> None:
    frame = one_vessel
    to_size(qtbot, frame, size)
    for view in VIEWS:
        frame.show_view(view)
        to_size(qtbot, frame, size)  # no view asks for more
        assert in_view(frame.status).height() == frame.status.height(), view
        assert not low_charts(frame), view


def test_pinned_cases_and_the_chart_are_both_to_be_read_in_a_small_window(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    frame = one_vessel
    frame.show_view("tryout")
    to_size(qtbot, frame, (1024, 700))
    view = frame.pages["tryout"]
    qtbot.waitUntil(lambda: view.answer is not None and view.answer.complete, timeout=60_000)  # type: ignore[attr-defined]
    for _ in range(3):
        view.pin_button.click()  # type: ignore[attr-defined]
    to_size(qtbot, frame, (1024, 700))
    pins = view.pinned.table  # type: ignore[attr-defined]
    assert len(pins.pins) == 3
    two_rows = pins.rowHeight(0) + pins.rowHeight(1)
    assert in_view(pins.viewport()).height() >= two_rows
    assert not low_charts(frame)
    assert in_view(frame.status).height() == frame.status.height()
    for button in (view.keep_button, view.drop_button, view.pin_button):  # type: ignore[attr-defined]
        assert in_view(button).size() == button.size()


@in_every_language
def test_the_harms_by_distance_can_be_read_in_a_small_window(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    frame = one_vessel
    frame.show_view("reach")
    page = frame.pages["reach"]
    page.tables.setCurrentWidget(page.harms)  # type: ignore[attr-defined]
    to_size(qtbot, frame, (1024, 700))
    table = page.harms  # type: ignore[attr-defined]
    assert isinstance(table, QTableWidget)
    assert table.rowCount() > 5
    assert not cut_cells(table, 0)


def cut_cells(table: QTableWidget, column: int) -> list[str]:
    """Cells of a column whose text does not fit, even where it goes on below."""
    found = []
    wide = table.columnWidth(column) - 2 * table.style().pixelMetric(
        table.style().PixelMetric.PM_FocusFrameHMargin
    )
    for row in range(table.rowCount()):
        item = table.item(row, column)
        text = "" if item is None else item.text()
        need = table.fontMetrics().boundingRect(
            QRect(0, 0, wide, 10_000), int(Qt.TextFlag.TextWordWrap), text
        )
        if need.width() > wide or need.height() > table.rowHeight(row):
            found.append(f"{text!r} needs {need.width()} x {need.height()}, has {wide}")
    return found


@in_every_language
@pytest.mark.parametrize("size", [(1024, 700), WITH_A_FRAME])
def test_no_word_of_a_table_is_cut(qtbot: QtBot, one_vessel: Frame, size: tuple[int, int]) -> None:
    cut = []
    for view in VIEWS:
        one_vessel.show_view(view)
        to_size(qtbot, one_vessel, size)
        for table in one_vessel.findChildren(TextTable):
            for column in range(table.columnCount() if table.isVisible() else 0):
                words = [
                    (table.fontMetrics().horizontalAdvance(word), word)
                    for row in range(table.rowCount())
                    if (cell := table.item(row, column)) is not None
                    for word in cell.text().split()
                ]
                need, word = max(words, default=(0, ""))
                if need > table.columnWidth(column):
                    cut.append(f"{view}, {table.accessibleName()}: {word!r}")
    assert not cut, "\n".join(cut)
