"""Everything inside the frame of a line chart as one item that paints itself in one go.

One item for all lines, guides, bands, marks and labels repaints several times faster than one
item for each of them, which a dragged knob needs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPen, QTransform
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from airrisk.window.charts.colours import role_colour, role_pen
from airrisk.window.charts.log_axis import PlainAxis
from airrisk.window.charts.placing import Obstacles, Slide, columns, place_labels
from airrisk.window.charts.shapes import draw_shape
from airrisk.window.theme import chart_font, colours

MARK = 4.5  # half the size of a mark in pixels
FAR = 1e5  # pixels; beyond it a line only has to keep its direction


@dataclass(frozen=True, eq=False)
class DrawnLine:
    """A curve in coordinates of the view, x rising."""

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    role: str
    dash: tuple[float, ...]


@dataclass(frozen=True)
class DrawnGuide:
    """A straight line across the view at one value of one axis."""

    vertical: bool
    at: float
    role: str
    dash: tuple[float, ...]


@dataclass(frozen=True)
class DrawnBand:
    """A shaded range of one axis."""

    vertical: bool
    low: float
    high: float
    role: str


@dataclass(frozen=True)
class DrawnMark:
    """A point with a shape."""

    x: float
    y: float
    role: str
    shape: str


@dataclass(frozen=True)
class DrawnLabel:
    """A text beside a point; infinite y is the upper edge, minus infinite x the left one."""

    x: float
    y: float
    text: str
    role: str


@dataclass(frozen=True, eq=False)
class Contents:
    """What the layer paints, from back to front."""

    bands: tuple[DrawnBand, ...] = ()
    guides: tuple[DrawnGuide, ...] = ()
    lines: tuple[DrawnLine, ...] = ()
    marks: tuple[DrawnMark, ...] = ()
    labels: tuple[DrawnLabel, ...] = ()
    label_sizes: list[QSizeF] = field(default_factory=list)


class Layer(pg.GraphicsObject):
    """Paints the contents of a chart and the cursor line."""

    def __init__(self, view: pg.ViewBox, axes: dict[str, PlainAxis]) -> None:
        super().__init__()
        self._view, self._axes = view, axes
        self._contents = Contents()
        self.cursor: float | None = None
        self._font = chart_font()
        self.setZValue(10)

    def show_contents(self, contents: Contents) -> None:
        """Paint this from now on."""
        self._font = chart_font()
        metrics = QFontMetricsF(self._font)
        for label in contents.labels:
            size = QSizeF(metrics.horizontalAdvance(label.text) + 4, metrics.height())
            contents.label_sizes.append(size)
        self._contents = contents
        self.update()

    def put_cursor(self, at: float | None) -> None:
        """Where the read-out line stands; None hides it."""
        if at != self.cursor:
            self.cursor = at
            self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(self._view.viewRect())

    def viewTransformChanged(self) -> None:
        self.prepareGeometryChange()
        self.update()

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        view = self._view.viewRect()
        to_pixels = painter.worldTransform()
        frame = to_pixels.mapRect(QRectF(view))
        painter.save()
        painter.resetTransform()
        for band in self._contents.bands:
            self._paint_band(painter, band, to_pixels, frame)
        self._paint_grid(painter, view, to_pixels, frame)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for guide in self._contents.guides:
            painter.setPen(_pen(guide.role, guide.dash))
            painter.drawLine(_across(guide.vertical, guide.at, to_pixels, frame))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for line in self._contents.lines:
            # a thin line takes a tenth of the time
            painter.setPen(_pen(line.role, line.dash, 1.0 if line.role == "ghost" else 1.4))
            _paint_line(painter, line, to_pixels, frame)
        for mark in self._contents.marks:
            colour = role_colour(mark.role)
            painter.setPen(QPen(colour, 1.4))
            painter.setBrush(QBrush(colour))
            draw_shape(painter, mark.shape, to_pixels.map(QPointF(mark.x, mark.y)), MARK)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        if self.cursor is not None:
            painter.setPen(_pen("neutral", (1.0, 2.0)))
            painter.drawLine(_across(True, self.cursor, to_pixels, frame))
        self._paint_labels(painter, view, to_pixels, frame)
        painter.restore()

    def _paint_grid(
        self, painter: QPainter, view: QRectF, to_pixels: QTransform, frame: QRectF
    ) -> None:
        """Lines at the ticks of both axes."""
        ticks = self._axes["bottom"].main_ticks(view.left(), view.right())
        lines = [_across(True, at, to_pixels, frame) for at in ticks]
        ticks = self._axes["left"].main_ticks(view.top(), view.bottom())
        lines += [_across(False, at, to_pixels, frame) for at in ticks]
        pen = QPen(QColor(colours().raised))
        painter.setPen(pen)
        if lines:
            painter.drawLines(lines)

    @staticmethod
    def _paint_band(
        painter: QPainter, band: DrawnBand, to_pixels: QTransform, frame: QRectF
    ) -> None:
        colour = role_colour(band.role)
        colour.setAlpha(36)
        first = _across(band.vertical, band.low, to_pixels, frame)
        last = _across(band.vertical, band.high, to_pixels, frame)
        painter.fillRect(QRectF(first.p1(), last.p2()).normalized() & frame, colour)

    def label_places(
        self, view: QRectF, to_pixels: QTransform, frame: QRectF
    ) -> list[tuple[DrawnLabel, QRectF]]:
        """Every label that finds room, and where: beside curves, marks and lines if possible."""
        anchors, sizes, shown = [], [], []
        slides: list[Slide] = []
        low, high = sorted((view.left(), view.right()))
        for label, size in zip(self._contents.labels, self._contents.label_sizes, strict=True):
            x = low if math.isinf(label.x) else label.x
            if low <= x <= high:
                y = view.bottom() if math.isinf(label.y) else label.y
                anchors.append(to_pixels.map(QPointF(x, y)))
                sizes.append(size)
                shown.append(label)
                slides.append(_slide(label))
        inside = frame.adjusted(2, 2, -2, -2)
        obstacles = self._obstacles(to_pixels, frame)
        places = place_labels(anchors, sizes, inside, 5.0, obstacles, slides)
        return [(one, where) for one, where in zip(shown, places, strict=True) if where is not None]

    def _obstacles(self, to_pixels: QTransform, frame: QRectF) -> Obstacles:
        contents = self._contents
        count = max(int(frame.width()) + 1, 1)
        curves = [
            (
                to_pixels.m11() * line.x + to_pixels.dx(),
                to_pixels.m22() * line.y + to_pixels.dy(),
            )
            for line in contents.lines
            if line.x.size > 1
        ]
        marks = []
        for mark in contents.marks:
            at = to_pixels.map(QPointF(mark.x, mark.y))
            marks.append(QRectF(at.x() - MARK, at.y() - MARK, 2 * MARK, 2 * MARK))
        lines = [(g, _across(g.vertical, g.at, to_pixels, frame)) for g in contents.guides]
        return Obstacles(
            frame.left(),
            *columns(curves, frame.left(), count),
            tuple(marks),
            tuple(line.x1() for guide, line in lines if guide.vertical),
            tuple(line.y1() for guide, line in lines if not guide.vertical),
        )

    def _paint_labels(
        self, painter: QPainter, view: QRectF, to_pixels: QTransform, frame: QRectF
    ) -> None:
        ground = QColor(colours().surface)
        ground.setAlpha(205)  # lines do not strike a label through, and go on behind it
        painter.setFont(self._font)
        for label, place in self.label_places(view, to_pixels, frame):
            painter.fillRect(place, ground)
            painter.setPen(role_colour(label.role))
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, label.text)


def _slide(label: DrawnLabel) -> Slide:
    """Labels of straight lines stay at their line."""
    if math.isinf(label.x):
        return "along x"
    return "along y" if math.isinf(label.y) else "around"


def _pen(role: str, dash: tuple[float, ...], width: float = 1.0) -> QPen:
    """A pen of the same width on screens and pictures with any number of dots."""
    pen = role_pen(role, dash, width)
    pen.setCosmetic(False)
    return pen


def _across(vertical: bool, at: float, to_pixels: QTransform, frame: QRectF) -> QLineF:
    """The line across the frame at a value of one axis, in pixels."""
    if vertical:
        x = to_pixels.m11() * at + to_pixels.dx()
        return QLineF(x, frame.top(), x, frame.bottom())
    y = to_pixels.m22() * at + to_pixels.dy()
    return QLineF(frame.left(), y, frame.right(), y)


def _paint_line(painter: QPainter, line: DrawnLine, to_pixels: QTransform, frame: QRectF) -> None:
    """The part of a curve that is seen, with one point beyond each edge."""
    x = to_pixels.m11() * line.x + to_pixels.dx()
    first = max(int(np.searchsorted(x, frame.left(), "right")) - 1, 0)
    last = int(np.searchsorted(x, frame.right(), "left")) + 1
    y = to_pixels.m22() * line.y[first:last] + to_pixels.dy()
    if y.size > 1:
        x, y = np.clip(x[first:last], -FAR, FAR), np.clip(y, -FAR, FAR)
        painter.drawPolyline(pg.functions.arrayToQPolygonF(x, y))
