"""The order ruler: one temperature axis with what happens on it, rupture as a band."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from airrisk.window.charts.colours import role_colour
from airrisk.window.charts.placing import stack_rows
from airrisk.window.charts.shapes import draw_shape
from airrisk.window.theme import colours
from airrisk.wording.chart_kinds import Ruler, Tick, axis_numbers, axis_range, axis_title
from airrisk.wording.units import Units, number_text, unit_of

MARGIN = 18.0


@dataclass(frozen=True)
class _Layout:
    """Where the axis of a ruler, its ticks and their labels stand at one width."""

    title: str
    begin: float  # left end of the axis, behind its title
    low: float  # displayed numbers at the ends of the axis
    high: float
    scale: float  # pixels for 1
    ticks: list[Tick]
    texts: list[str]
    widths: list[float]
    places: list[tuple[float, int]]  # left edge and row of each label
    xs: list[float]


class OrderRuler(QWidget):
    """Draws one ``Ruler``."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._ruler: Ruler | None = None
        self._units = Units()
        self._spots: list[tuple[QPointF, str]] = []
        self._laid_out: dict[float, _Layout] = {}
        self._measure()
        self.setMouseTracking(True)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)  # nothing shines through
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_ruler(self, ruler: Ruler | None, units: Units) -> None:
        """Draw this ruler; None leaves an empty axis."""
        before = self.sizeHint().height()
        self._ruler, self._units = ruler, units
        self._laid_out.clear()
        spoken = "" if ruler is None else "; ".join(self._layout_for(self._wide()).texts)
        self.setAccessibleDescription(spoken)
        if self.sizeHint().height() != before:
            self.updateGeometry()
        self.update()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._measure()
            self._laid_out.clear()
            self.updateGeometry()

    def _measure(self) -> None:
        """Heights that go with the font."""
        self._small = self._small_font()
        tall = QFontMetricsF(self._small).height()
        self._row = math.ceil(tall) + 2.0  # of labels
        self._foot = math.ceil(tall) + 11.0  # numbers under the axis

    def _small_font(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(max(font.pointSizeF() - 0.8, 7.0))
        return font

    def _wide(self) -> float:
        """The width that the rows are counted at."""
        return float(max(self.width(), 200))

    def _layout_for(self, width: float) -> _Layout:
        """Ticks in order, their labels, and where they stand at a width in pixels."""
        ruler = self._ruler
        assert ruler is not None
        if width not in self._laid_out:
            axis, units = ruler.axis, self._units
            metrics = QFontMetricsF(self._small)
            title = axis_title(axis, units)
            begin = 8.0 + metrics.horizontalAdvance(title) + 14.0
            ticks = sorted((*ruler.ticks, *ruler.basis_ticks), key=lambda tick: tick.value)
            values = [tick.value for tick in ticks]
            low, high = axis_range(axis, values, units)
            scale = (width - begin - MARGIN) / (high - low)
            numbers = axis_numbers(values, axis, units).tolist()
            xs = [begin + (number - low) * scale for number in numbers]
            unit = unit_of(axis.kind, units)
            texts = [
                f"{tick.label} {number_text(_at_once(number, high - low), 3)}\u00a0{unit}"
                for tick, number in zip(ticks, numbers, strict=True)
            ]
            widths = [metrics.horizontalAdvance(text) + 4 for text in texts]
            places = stack_rows(xs, widths, 4.0, width - 4.0)
            self._laid_out[width] = _Layout(
                title, begin, low, high, scale, ticks, texts, widths, places, xs
            )
        return self._laid_out[width]

    def label_boxes(self) -> list[QRectF]:
        """Where the labels stand, in the order of their values."""
        if self._ruler is None:
            return []
        out, foot = self._layout_for(float(self.width())), self.height() - self._foot - 13
        return [
            QRectF(left, foot - (row + 1) * self._row, wide, self._row)
            for (left, row), wide in zip(out.places, out.widths, strict=True)
        ]

    def _row_count(self) -> int:
        if self._ruler is None or not (self._ruler.ticks or self._ruler.basis_ticks):
            return 2
        places = self._layout_for(self._wide()).places
        return max((row for _left, row in places), default=0) + 1

    def sizeHint(self) -> QSize:
        return QSize(420, round(self._row_count() * self._row + 14 + self._foot))

    def minimumSizeHint(self) -> QSize:
        return QSize(240, self.sizeHint().height())

    def resizeEvent(self, event: object) -> None:
        self.updateGeometry()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = colours()
        ground = QColor(theme.surface)
        painter.fillRect(self.rect(), ground)
        self._spots.clear()
        ruler = self._ruler
        if ruler is None:
            return
        out = self._layout_for(float(self.width()))
        axis_y = self.height() - self._foot
        painter.setFont(self._small)
        if ruler.band is not None:
            ends = axis_numbers([ruler.band.low, ruler.band.high], ruler.axis, self._units)
            first, last = (out.begin + (float(v) - out.low) * out.scale for v in ends)
            shade = role_colour(ruler.band.role)
            shade.setAlpha(60)
            band = QRectF(first, axis_y - 9, max(last - first, 3.0), 18)
            painter.fillRect(band, shade)
            painter.setPen(QPen(role_colour(ruler.band.role), 1, Qt.PenStyle.DotLine))
            painter.drawRect(band)
        self._paint_axis(painter, out, axis_y)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # dots stay dots
        for tick, (_, row), x in zip(out.ticks, out.places, out.xs, strict=True):
            painter.setPen(QPen(role_colour(tick.role), 1, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(x, axis_y), QPointF(x, axis_y - 15 - row * self._row))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        # over the lines of all ticks
        for tick, text, box, x in zip(
            out.ticks, out.texts, self.label_boxes(), out.xs, strict=True
        ):
            colour = role_colour(tick.role)
            painter.fillRect(box, ground)
            painter.setPen(colour)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
            painter.setPen(QPen(colour, 1.6))
            painter.setBrush(colour)
            draw_shape(painter, tick.shape, QPointF(x, axis_y), 4.2)
            self._spots.append((QPointF(x, axis_y), text))

    def _paint_axis(self, painter: QPainter, out: _Layout, y: float) -> None:
        theme = colours()
        end = self.width() - MARGIN
        tall = QFontMetricsF(self._small).height()
        painter.setPen(QPen(QColor(theme.text), 1.2))
        painter.drawLine(QPointF(out.begin, y), QPointF(end, y))
        step = _round_step((out.high - out.low) / max((end - out.begin) / 80, 2))
        painter.setPen(QColor(theme.quiet))
        painter.drawText(
            QRectF(8, y - tall / 2, out.begin - 14, tall),
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
            out.title,
        )
        value = math.ceil(out.low / step) * step
        lines = []
        while value <= out.high + 1e-9:
            x = out.begin + (value - out.low) * out.scale
            lines.append(QLineF(x, y, x, y + 5))
            box = QRectF(x - 30, y + 7, 60, tall)
            painter.drawText(
                box, Qt.AlignmentFlag.AlignCenter, number_text(value + 0.0, 6)
            )  # no minus 0
            value += step
        painter.drawLines(lines)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        near = [
            text for spot, text in self._spots if (spot - event.position()).manhattanLength() < 12
        ]
        if near:
            QToolTip.showText(event.globalPosition().toPoint(), "\n".join(near), self)
        else:
            QToolTip.hideText()


def _round_step(raw: float) -> float:
    """The next 1, 2 or 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(max(raw, 1e-9)))
    return float(next(power * f for f in (1, 2, 5, 10) if power * f >= raw))


def _at_once(number: float, span: float) -> float:
    """A number that nobody can tell from nothing on its axis is nothing."""
    return 0.0 if abs(number) < 1e-5 * span else number
