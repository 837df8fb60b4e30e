"""Lying bars with their numbers, painted plainly."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from airrisk.window.charts.colours import GREYED, role_colour
from airrisk.window.theme import colours
from airrisk.wording.chart_kinds import BarChart, axis_numbers, axis_title
from airrisk.wording.units import Units, number_text, unit_of

ROW = 30.0


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

    def sizeHint(self) -> QSize:
        rows = 5 if self._chart is None else len(self._chart.bars)
        return QSize(420, round(rows * ROW) + 46)

    def minimumSizeHint(self) -> QSize:
        return QSize(260, self.sizeHint().height() // 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        chart = self._chart
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours().surface))
        if chart is None or not chart.bars:
            return
        painter.setOpacity(1.0 if self.isEnabled() else GREYED)
        metrics = QFontMetricsF(self.font())
        text_colour, quiet = QColor(colours().text), QColor(colours().quiet)
        numbers = [float(axis_numbers(bar.value, chart.axis, self._units)) for bar in chart.bars]
        unit = unit_of(chart.axis.kind, self._units)
        texts = [f"{number_text(number, 3)}\u00a0{unit}".rstrip() for number in numbers]
        left = min(
            max(metrics.horizontalAdvance(bar.label) for bar in chart.bars) + 20,
            self.width() * 0.48,
        )
        room = max(metrics.horizontalAdvance(text) for text in texts) + 16
        width = max(self.width() - left - room - 8, 20.0)
        top_number = max(*numbers, 1e-30)
        row = min(ROW, (self.height() - 34) / len(chart.bars))
        y = 6.0
        for bar, number, text in zip(chart.bars, numbers, texts, strict=True):
            middle = QRectF(8, y, left - 16, row)
            painter.setPen(text_colour)
            label = metrics.elidedText(bar.label, Qt.TextElideMode.ElideRight, middle.width())
            painter.drawText(
                middle, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, label
            )
            length = max(width * number / top_number, 1.0)
            painter.fillRect(QRectF(left, y + row * 0.2, length, row * 0.6), role_colour(bar.role))
            painter.drawText(
                QPointF(left + length + 6, y + row / 2 + metrics.ascent() / 2 - 1), text
            )
            y += row
        painter.setPen(quiet)
        painter.drawText(
            QRectF(left, y + 4, self.width() - left, 22),
            Qt.AlignmentFlag.AlignLeft,
            axis_title(chart.axis, self._units),
        )
