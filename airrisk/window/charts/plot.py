"""A line chart on screen: series, marks, guides, bands, read-out under the mouse or arrow keys."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
)
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from airrisk.window.charts.colours import role_colour, role_pen
from airrisk.window.charts.log_axis import PlainAxis
from airrisk.window.charts.placing import place_labels
from airrisk.window.theme import FONT_FAMILY, colours
from airrisk.wording.chart_kinds import (
    Chart,
    axis_numbers,
    axis_range,
    axis_title,
    chart_values,
)
from airrisk.wording.units import Units, number_text, unit_of

SYMBOLS = {
    "circle": "o", "square": "s", "triangle": "t1", "diamond": "d", "cross": "x", "plus": "+",
}  # fmt: skip


class _Labels(pg.GraphicsObject):
    """All labels of a chart in one item, placed anew whenever the view changes."""

    def __init__(self, view: pg.ViewBox) -> None:
        super().__init__()
        self._view = view
        self._entries: list[tuple[float, float, str, str]] = []  # x, y, text, role
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations, False)
        self.setZValue(50)

    def set_entries(self, entries: list[tuple[float, float, str, str]]) -> None:
        self._entries = entries
        self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(self._view.viewRect())

    def viewTransformChanged(self) -> None:
        self.prepareGeometryChange()
        self.update()

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        if not self._entries:
            return
        view_rect = self._view.viewRect()
        transform = painter.worldTransform()
        frame = transform.mapRect(QRectF(view_rect))
        painter.save()
        painter.resetTransform()
        font = QFont(FONT_FAMILY)
        font.setPixelSize(11)
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        low_x, high_x = sorted((view_rect.left(), view_rect.right()))
        anchors, sizes, shown = [], [], []
        for x, y, text, role in self._entries:
            if not low_x <= x <= high_x:
                continue
            at_y = view_rect.bottom() if math.isinf(y) else y
            anchors.append(transform.map(QPointF(x, at_y)))
            sizes.append(QSizeF(metrics.horizontalAdvance(text) + 4, metrics.height()))
            shown.append((text, role))
        ground = QColor(colours().surface)
        ground.setAlpha(160)
        places = place_labels(anchors, sizes, frame.adjusted(2, 2, -2, -2), 5.0)
        for (text, role), place in zip(shown, places, strict=True):
            if place is not None:
                painter.fillRect(place, ground)
                painter.setPen(role_colour(role))
                painter.drawText(place, Qt.AlignmentFlag.AlignCenter, text)
        painter.restore()


class _Grid(pg.GraphicsObject):
    """Lines at the ticks of both axes; much faster than the grid that the axes can draw."""

    def __init__(self, view: pg.ViewBox, axes: dict[str, PlainAxis]) -> None:
        super().__init__()
        self._view = view
        self._axes = axes
        self.setZValue(-100)

    def boundingRect(self) -> QRectF:
        return QRectF(self._view.viewRect())

    def viewTransformChanged(self) -> None:
        self.prepareGeometryChange()
        self.update()

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        rect = self.boundingRect()
        pen = QPen(QColor(colours().raised))
        pen.setCosmetic(True)
        painter.setPen(pen)
        for x in self._axes["bottom"].main_ticks(rect.left(), rect.right()):
            painter.drawLine(QPointF(x, rect.top()), QPointF(x, rect.bottom()))
        for y in self._axes["left"].main_ticks(rect.top(), rect.bottom()):
            painter.drawLine(QPointF(rect.left(), y), QPointF(rect.right(), y))


class Plot(pg.PlotWidget):
    """Draws one ``Chart``; ``read`` tells what stands under the cursor line."""

    read = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        self._axes = {side: PlainAxis(side) for side in ("bottom", "left")}
        super().__init__(parent, background=colours().surface, axisItems=self._axes)
        self._chart: Chart | None = None
        self._ghost: Chart | None = None
        self._units = Units()
        self._curves: dict[str, Any] = {}
        self._shape: tuple[Any, ...] | None = None
        self._range: list[tuple[float, float]] = []
        self._cursor = pg.InfiniteLine(angle=90, movable=False)
        self._labels = _Labels(self.getViewBox())
        self.getPlotItem().hideButtons()
        self.setMenuEnabled(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.scene().sigMouseMoved.connect(self._mouse_at)

    # -- what is shown -----------------------------------------------------------

    def show_chart(self, chart: Chart, units: Units, ghost: Chart | None = None) -> None:
        """Draw the chart, with an earlier one behind it as a ghost."""
        shape = (
            chart.key, units.name, colours().dark, (chart.x.label, chart.x.kind, chart.x.scale),
            (chart.y.label, chart.y.kind, chart.y.scale),
            tuple((s.key, s.role) for s in chart.series), len(chart.marks), len(chart.guides),
            len(chart.bands), ghost is None,
        )  # fmt: skip
        same = self._shape == shape and not chart.bands
        self._chart, self._ghost, self._units = chart, ghost, units
        if not same:
            self._build()
            self._shape = shape
        self._fill()
        if not same or not self._zoomed():
            self.reset_view()

    def _build(self) -> None:
        """Make the items anew: another chart, theme or unit set."""
        chart = self._chart
        assert chart is not None
        theme = colours()
        self.setBackground(theme.surface)
        item = self.getPlotItem()
        item.clear()
        self._curves.clear()
        item.setLogMode(chart.x.scale == "log", chart.y.scale == "log")
        item.addItem(_Grid(self.getViewBox(), self._axes), ignoreBounds=True)
        font = QFont(FONT_FAMILY)
        font.setPixelSize(11)
        for side, axis in (("bottom", chart.x), ("left", chart.y)):
            drawn = item.getAxis(side)
            drawn.setPen(theme.line)
            drawn.setTextPen(theme.text)
            drawn.setStyle(tickFont=font)
            drawn.enableAutoSIPrefix(False)
            drawn.setLabel(axis_title(axis, self._units), color=theme.text, **{"font-size": "9pt"})
        for band in chart.bands:
            self._add_band(band)
        for number, guide in enumerate(chart.guides):
            angle = 90 if guide.axis == "x" else 0
            line = pg.InfiniteLine(angle=angle, pen=role_pen(guide.role, guide.dash))
            item.addItem(line, ignoreBounds=True)
            self._curves[f"guide {number}"] = line
        if self._ghost is not None:
            for series in self._ghost.series:
                curve = pg.PlotDataItem(pen=role_pen("ghost", series.dash))
                item.addItem(curve, ignoreBounds=True)
                curve.setClipToView(True)
                self._curves[f"ghost {series.key}"] = curve
        for series in chart.series:
            curve = pg.PlotDataItem(pen=role_pen(series.role, series.dash))
            item.addItem(curve)
            curve.setClipToView(True)
            self._curves[f"series {series.key}"] = curve
        for number, mark in enumerate(chart.marks):
            colour = role_colour(mark.role)
            dot = pg.ScatterPlotItem(
                size=9, symbol=SYMBOLS[mark.shape], pen=pg.mkPen(colour), brush=QBrush(colour)
            )
            item.addItem(dot, ignoreBounds=True)
            self._curves[f"mark {number}"] = dot
        self._cursor.setPen(role_pen("neutral", (1.0, 2.0)))
        self._cursor.hide()
        item.addItem(self._cursor, ignoreBounds=True)
        self._labels = _Labels(self.getViewBox())
        item.addItem(self._labels, ignoreBounds=True)

    def _add_band(self, band: Any) -> None:
        chart = self._chart
        assert chart is not None
        axis = chart.x if band.axis == "x" else chart.y
        ends = [float(v) for v in self._position(np.array([band.low, band.high]), axis)]
        colour = role_colour(band.role)
        colour.setAlpha(36)
        region = pg.LinearRegionItem(
            ends, orientation="vertical" if band.axis == "x" else "horizontal",
            movable=False, brush=QBrush(colour), pen=pg.mkPen(None),
        )  # fmt: skip
        self.getPlotItem().addItem(region, ignoreBounds=True)

    def _fill(self) -> None:
        """Put the numbers into the items."""
        chart, units = self._chart, self._units
        assert chart is not None
        for prefix, source in (("ghost", self._ghost), ("series", chart)):
            if source is None:
                continue
            for series in source.series:
                curve = self._curves.get(f"{prefix} {series.key}")
                if curve is not None:
                    curve.setData(
                        axis_numbers(series.x, chart.x, units),
                        axis_numbers(series.y, chart.y, units),
                    )
        entries: list[tuple[float, float, str, str]] = []
        for number, mark in enumerate(chart.marks):
            x = float(self._position(np.array([mark.x]), chart.x)[0])
            y = float(self._position(np.array([mark.y]), chart.y)[0])
            self._curves[f"mark {number}"].setData([x], [y])
            entries.append((x, y, mark.label, mark.role))
        low = axis_range(chart.x, chart_values(chart, "x"), units)[0]
        for number, guide in enumerate(chart.guides):
            axis = chart.x if guide.axis == "x" else chart.y
            at = float(self._position(np.array([guide.value]), axis)[0])
            self._curves[f"guide {number}"].setValue(at)
            if guide.axis == "x":
                entries.append((at, math.inf, guide.label, guide.role))
            else:
                start = math.log10(low) if chart.x.scale == "log" and low > 0 else low
                entries.append((start, at, guide.label, guide.role))
        self._labels.set_entries(entries)

    def _position(self, values: np.ndarray, axis: Any) -> np.ndarray:
        """Coordinates in the view: displayed numbers, their logarithm on a log axis."""
        numbers = axis_numbers(values, axis, self._units)
        if axis.scale == "log":
            return np.log10(np.maximum(numbers, 1e-12))
        return numbers

    # -- view --------------------------------------------------------------------

    def reset_view(self) -> None:
        """Show everything again."""
        chart = self._chart
        if chart is None:
            return
        ranges = []
        for which, axis in (("x", chart.x), ("y", chart.y)):
            values = chart_values(chart, which)  # type: ignore[arg-type]
            low, high = axis_range(axis, values, self._units)
            if axis.scale == "log":
                low, high = math.log10(max(low, 1e-9)), math.log10(max(high, 1e-8))
            ranges.append((low, high))
        if ranges != self._range:
            self._range = ranges
            self.getPlotItem().setRange(xRange=ranges[0], yRange=ranges[1], padding=0)
        elif self._zoomed():
            self.getPlotItem().setRange(xRange=ranges[0], yRange=ranges[1], padding=0)

    def _zoomed(self) -> bool:
        """Whether the person has moved away from the whole chart."""
        seen = self.getViewBox().viewRange()
        return any(
            abs(now - then) > 1e-6 * max(abs(then), 1e-6)
            for axis, wanted in zip(seen, self._range, strict=False)
            for now, then in zip(axis, wanted, strict=True)
        )

    def zoom(self, factor: float) -> None:
        """Zoom about the middle; below 1 comes nearer."""
        self.getViewBox().scaleBy((factor, factor))

    # -- read-out ----------------------------------------------------------------

    def _mouse_at(self, where: QPointF) -> None:
        if self._chart is not None and self.getPlotItem().sceneBoundingRect().contains(where):
            self.read_at(self.getViewBox().mapSceneToView(where).x())

    def read_at(self, x: float) -> None:
        """Put the cursor line at a view coordinate and tell the values there."""
        chart, units = self._chart, self._units
        if chart is None:
            return
        self._cursor.setValue(x)
        self._cursor.show()
        at = 10**x if chart.x.scale == "log" else x
        unit_x, unit_y = unit_of(chart.x.kind, units), unit_of(chart.y.kind, units)
        pieces = [f"{chart.x.label} {number_text(at, 4)} {unit_x}".rstrip()]
        for series in chart.series:
            xs = axis_numbers(series.x, chart.x, units)
            if len(xs) < 2 or not xs[0] <= at <= xs[-1]:
                continue
            y = float(np.interp(at, xs, axis_numbers(series.y, chart.y, units)))
            pieces.append(f"{series.label} {number_text(y, 4)} {unit_y}".rstrip())
        self.read.emit("   ".join(pieces))

    def leaveEvent(self, event: Any) -> None:
        self._cursor.hide()
        self.read.emit("")
        super().leaveEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.reset_view()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        view = self.getViewBox().viewRect()
        step = view.width() / 100
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(0.8)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1.25)
        elif key in (Qt.Key.Key_0, Qt.Key.Key_Home):
            self.reset_view()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and self._chart is not None:
            sign = 1 if key == Qt.Key.Key_Right else -1
            start = self._cursor.value() if self._cursor.isVisible() else view.center().x()
            self.read_at(min(max(start + sign * step, view.left()), view.right()))
        else:
            super().keyPressEvent(event)
            return
        event.accept()
