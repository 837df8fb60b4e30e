"""Span charts and maps on screen: the same figure as on paper, fitted to the width."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from airrisk.report.plotting import draw
from airrisk.window.charts.colours import GREYED
from airrisk.window.paper.figure_image import figure_image
from airrisk.wording.chart_kinds import MapChart, SpanChart
from airrisk.wording.units import Units

NARROWEST = 300.0  # points; below it the figure is scaled down
POINTS_PER_PIXEL = 0.75


class DrawnChart(QWidget):
    """Draws one ``SpanChart`` or ``MapChart`` on white."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chart: SpanChart | MapChart | None = None
        self._units = Units()
        self._image: QImage | None = None
        self._drawn_for: tuple[float, float] = (0.0, 0.0)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_chart(self, chart: SpanChart | MapChart, units: Units) -> None:
        """Draw this chart."""
        self._chart, self._units = chart, units
        self._image = None
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        rows = len(self._chart.spans) if isinstance(self._chart, SpanChart) else 12
        return QSize(520, 90 + 20 * rows)

    def minimumSizeHint(self) -> QSize:
        return QSize(260, self.sizeHint().height() // 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._chart is None:
            return
        width, height = float(self.width()), float(self.height())
        pixels = self.devicePixelRatioF()
        if self._image is None or self._drawn_for != (width, height):
            points = max(width * POINTS_PER_PIXEL, NARROWEST)
            tall = max(points * height / width - 50.0, 120.0)
            figure = draw(self._chart, self._units, points, tall)
            scale = min(width / figure.width, height / figure.height)
            self._image = figure_image(figure, scale * pixels)
            self._image.setDevicePixelRatio(pixels)
            self._drawn_for = (width, height)
        painter = QPainter(self)
        painter.fillRect(self.rect(), "#FFFFFF")
        painter.setOpacity(1.0 if self.isEnabled() else GREYED)
        painter.drawImage(QPointF(0.0, 0.0), self._image)
        painter.end()
