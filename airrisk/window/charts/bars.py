"""Lying bars with their numbers, painted plainly."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from airrisk.window.charts.colours import GREYED, role_colour
from airrisk.window.theme import colours
from airrisk.wording.chart_kinds import BarChart, axis_numbers, bar_ends, bars_title
from airrisk.wording.units import Units

ROW = 30.0
TOP = 6
GAP = 6  # px between groups


class Bars(QWidget):
    """Draws one ``BarChart``."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chart: BarChart | None = None
        self._units = Units()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAutoFillBackground(False)

    def show_chart(self, chart: BarChart, units: Units) -> None:
        """Draw this chart."""
        self._chart, self._units = chart, units
        self.updateGeometry()
        self.update()

    def texts(self) -> list[str]:
        """What stands at the end of each bar: its number with unit, and its note."""
        chart, units = self._chart, self._units
        if chart is None:
            return []
        ends = bar_ends(chart, units, 3)
        return [
            f"{end}, {bar.note}" if bar.note else end
            for bar, end in zip(chart.bars, ends, strict=True)
        ]

    def sizeHint(self) -> QSize:
        rows = 5 if self._chart is None else len(self._chart.bars)
        return QSize(
            420, round(rows * max(ROW, 2 * self._line())) + self._foot() + len(self._gaps()) * GAP
        )

    def minimumSizeHint(self) -> QSize:
        rows = 5 if self._chart is None else len(self._chart.bars)
        return QSize(260, rows * (self._line() + 1) + self._foot() + len(self._gaps()) * GAP)

    def _line(self) -> int:
        return self.fontMetrics().lineSpacing()

    def _foot(self) -> int:
        """Room above the first bar and for the title of the axis below the last."""
        return TOP + self._line() + 6

    def _gaps(self) -> list[int]:
        """Bars before which another group begins, known by its note."""
        notes = [] if self._chart is None else [bar.note for bar in self._chart.bars]
        if len(set(notes)) == len(notes):
            return []
        return [n for n in range(1, len(notes)) if notes[n] != notes[n - 1]]

    def paintEvent(self, event: QPaintEvent) -> None:
        chart = self._chart
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours().surface))
        if chart is None or not chart.bars:
            return
        painter.setOpacity(1.0 if self.isEnabled() else GREYED)
        metrics = QFontMetricsF(self.font())
        text_colour, quiet = QColor(colours().text), QColor(colours().quiet)
        texts = self.texts()
        numbers = [float(axis_numbers(bar.value, chart.axis, self._units)) for bar in chart.bars]
        left = min(
            max(metrics.horizontalAdvance(bar.label) for bar in chart.bars) + 20,
            self.width() * 0.48,
        )
        room = max(metrics.horizontalAdvance(text) for text in texts) + 16
        width = max(self.width() - left - room - 8, 20.0)
        marks = [
            None if bar.mark is None else float(axis_numbers(bar.mark, chart.axis, self._units))
            for bar in chart.bars
        ]
        top_number = max(*numbers, *(mark for mark in marks if mark is not None), 1e-30)
        gaps = self._gaps()
        spare = self.height() - self._foot() - len(gaps) * GAP
        row = min(max(ROW, 2.0 * self._line()), spare / len(chart.bars))
        y = float(TOP)
        for place, (bar, number, text, mark) in enumerate(
            zip(chart.bars, numbers, texts, marks, strict=True)
        ):
            y += GAP if place in gaps else 0
            middle = QRectF(8, y, left - 16, row)
            painter.setPen(text_colour)
            label = metrics.elidedText(bar.label, Qt.TextElideMode.ElideRight, middle.width())
            painter.drawText(
                middle, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, label
            )
            length = max(width * number / top_number, 1.0)
            painter.fillRect(QRectF(left, y + row * 0.2, length, row * 0.6), role_colour(bar.role))
            if mark is not None:
                at = left + width * mark / top_number
                painter.fillRect(QRectF(at - 1, y + row * 0.08, 2, row * 0.84), text_colour)
                length = max(length, at - left)
            painter.drawText(
                QPointF(left + length + 6, y + row / 2 + metrics.ascent() / 2 - 1), text
            )
            y += row
        painter.setPen(quiet)
        painter.drawText(
            QRectF(left, y + 4, self.width() - left, self._line() + 2),
            Qt.AlignmentFlag.AlignLeft,
            bars_title(chart, self._units),
        )
