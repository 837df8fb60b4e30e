"""The order ruler: one temperature axis with what happens on it, rupture as a band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
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
ROW = 15.0
FOOT = 24.0  # axis numbers and title


@dataclass(frozen=True)
class _Layout:
    """Where the ticks of a ruler and their labels stand at one width."""

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
        self._laid_out: dict[tuple[float, str], _Layout] = {}
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_ruler(self, ruler: Ruler | None, units: Units) -> None:
        """Draw this ruler; None leaves an empty axis."""
        before = self.sizeHint().height()
        self._ruler, self._units = ruler, units
        self._laid_out.clear()
        self.setAccessibleDescription("" if ruler is None else self._spoken(ruler))
        if self.sizeHint().height() != before:
            self.updateGeometry()
        self.update()

    def _spoken(self, ruler: Ruler) -> str:
        return "; ".join(f"{t.label} {self._value(t)}" for t in self._sorted(ruler))

    def _value(self, tick: Tick) -> str:
        assert self._ruler is not None
        number = float(axis_numbers(tick.value, self._ruler.axis, self._units))
        return f"{number_text(number, 3)}\u00a0{unit_of(self._ruler.axis.kind, self._units)}"

    @staticmethod
    def _sorted(ruler: Ruler) -> list[Tick]:
        return sorted((*ruler.ticks, *ruler.basis_ticks), key=lambda tick: tick.value)

    def _label(self, tick: Tick) -> str:
        return f"{tick.label} {self._value(tick)}"

    def _small_font(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(max(font.pointSizeF() - 0.8, 7.0))
        return font

    def _left(self) -> float:
        """Where the axis begins, behind its title."""
        if self._ruler is None:
            return MARGIN
        metrics = QFontMetricsF(self._small_font())
        title = axis_title(self._ruler.axis, self._units)
        return 8.0 + metrics.horizontalAdvance(title) + 14.0

    def _layout_for(self, width: float) -> _Layout:
        """Ticks in order, their labels, and where they stand at a width in pixels."""
        assert self._ruler is not None
        key = (width, self.font().key())
        if key not in self._laid_out:
            ticks = self._sorted(self._ruler)
            low, high = self._range()
            left = self._left()
            scale = (width - left - MARGIN) / (high - low)
            numbers = axis_numbers([t.value for t in ticks], self._ruler.axis, self._units)
            xs = [left + (float(v) - low) * scale for v in np.atleast_1d(numbers)]
            metrics = QFontMetricsF(self._small_font())
            texts = [self._label(t) for t in ticks]
            widths = [metrics.horizontalAdvance(text) + 4 for text in texts]
            places = stack_rows(xs, widths, 4.0, width - 4.0)
            self._laid_out[key] = _Layout(ticks, texts, widths, places, xs)
        return self._laid_out[key]

    def _range(self) -> tuple[float, float]:
        ruler = self._ruler
        assert ruler is not None
        values = [t.value for t in (*ruler.ticks, *ruler.basis_ticks)]
        return axis_range(ruler.axis, values, self._units)

    def _row_count(self) -> int:
        if self._ruler is None or not (self._ruler.ticks or self._ruler.basis_ticks):
            return 2
        places = self._layout_for(float(max(self.width(), 200))).places
        return max((row for _left, row in places), default=0) + 1

    def sizeHint(self) -> QSize:
        return QSize(420, round(self._row_count() * ROW + 14 + FOOT))

    def minimumSizeHint(self) -> QSize:
        return QSize(240, self.sizeHint().height())

    def resizeEvent(self, event: object) -> None:
        self.updateGeometry()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        theme = colours()
        painter.fillRect(self.rect(), QColor(theme.surface))
        self._spots.clear()
        ruler = self._ruler
        if ruler is None:
            return
        width = float(self.width())
        axis_y = self.height() - FOOT
        low, high = self._range()
        begin = self._left()
        scale = (width - begin - MARGIN) / (high - low)
        small = self._small_font()
        painter.setFont(small)
        metrics = QFontMetricsF(small)
        if ruler.band is not None:
            ends = axis_numbers([ruler.band.low, ruler.band.high], ruler.axis, self._units)
            first, last = (begin + (float(v) - low) * scale for v in ends)
            shade = role_colour(ruler.band.role)
            shade.setAlpha(60)
            band = QRectF(first, axis_y - 9, max(last - first, 3.0), 18)
            painter.fillRect(band, shade)
            painter.setPen(QPen(role_colour(ruler.band.role), 1, Qt.PenStyle.DotLine))
            painter.drawRect(band)
        self._paint_axis(painter, metrics, axis_y, low, high, scale)
        if not (ruler.ticks or ruler.basis_ticks):
            return
        out = self._layout_for(width)
        for tick, text, wide, (left, row), x in zip(
            out.ticks, out.texts, out.widths, out.places, out.xs, strict=True
        ):
            colour = role_colour(tick.role)
            base = axis_y - 14 - row * ROW
            painter.setPen(QPen(colour, 1, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(x, axis_y), QPointF(x, base - 1))
            box = QRectF(left, base - ROW + 1, wide, ROW)
            ground = QColor(theme.surface)
            painter.fillRect(box, ground)
            painter.setPen(colour)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
            painter.setPen(QPen(colour, 1.6))
            painter.setBrush(colour)
            draw_shape(painter, tick.shape, QPointF(x, axis_y), 4.2)
            self._spots.append((QPointF(x, axis_y), text))

    def _paint_axis(
        self,
        painter: QPainter,
        metrics: QFontMetricsF,
        y: float,
        low: float,
        high: float,
        scale: float,
    ) -> None:
        assert self._ruler is not None
        theme = colours()
        begin = self._left()
        painter.setPen(QPen(QColor(theme.text), 1.2))
        painter.drawLine(QPointF(begin, y), QPointF(self.width() - MARGIN, y))
        step = _round_step((high - low) / max((self.width() - begin - MARGIN) / 80, 2))
        painter.setPen(QColor(theme.quiet))
        painter.drawText(
            QRectF(8, y - metrics.height() / 2, begin - 14, metrics.height()),
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
            axis_title(self._ruler.axis, self._units),
        )
        value = np.ceil(low / step) * step + 0.0  # no minus before zero
        while value <= high + 1e-9:
            x = begin + (value - low) * scale
            painter.drawLine(QPointF(x, y), QPointF(x, y + 5))
            box = QRectF(x - 30, y + 7, 60, metrics.height())
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, f"{value + 0.0:g}")
            value += step

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
    power = 10.0 ** np.floor(np.log10(max(raw, 1e-9)))
    return float(next(power * f for f in (1, 2, 5, 10) if power * f >= raw))
