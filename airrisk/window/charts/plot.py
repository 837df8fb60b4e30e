"""A line chart on screen: series, marks, guides, bands, read-out under the mouse or arrow keys."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import QFont, QFontMetricsF, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from airrisk.window.charts.colours import GREYED
from airrisk.window.charts.layer import (
    Contents,
    DrawnBand,
    DrawnGuide,
    DrawnLabel,
    DrawnLine,
    DrawnMark,
    Layer,
)
from airrisk.window.charts.log_axis import PlainAxis
from airrisk.window.theme import FONT_FAMILY, chart_font, colours, text_points, text_size
from airrisk.wording.chart_kinds import (
    Axis,
    Chart,
    Ghost,
    Series,
    axis_numbers,
    axis_range,
    axis_title,
    chart_values,
)
from airrisk.wording.units import Units, number_text, unit_of

AIR = 0.12  # share of an axis left free when it has to grow under a turning knob
ROOM = 1.6  # while a knob turns the axes stay as long as the curves fill this part of them


class Plot(pg.PlotWidget):
    """Draws one ``Chart``; ``read`` tells what stands under the cursor line."""

    read = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        self._axes = {side: PlainAxis(side) for side in ("bottom", "left")}
        self._chart: Chart | None = None  # a resize can come before the rest is there
        self._title_fits = True
        super().__init__(parent, background=colours().surface, axisItems=self._axes)
        self._ghosts: Sequence[Ghost] = ()
        self._units = Units()
        self._shape: tuple[Any, ...] | None = None
        self._range: list[tuple[float, float]] = []
        self._layer = Layer(self.getViewBox(), self._axes)
        self.getPlotItem().addItem(self._layer, ignoreBounds=True)
        self.getViewBox().disableAutoRange()
        self.getPlotItem().layout.setContentsMargins(0, 6, 8, 0)  # numbers at the ends of axes
        self.getPlotItem().hideButtons()
        self.setMenuEnabled(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.scene().sigMouseMoved.connect(self._mouse_at)

    # -- what is shown -----------------------------------------------------------

    def show_chart(self, chart: Chart, units: Units, ghosts: Sequence[Ghost] = ()) -> None:
        """Draw the chart, with others pale behind it."""
        shape = (
            chart.key, units.name, colours().dark, text_size(),
            chart.x.label, chart.x.kind, chart.x.scale, chart.y.label, chart.y.kind, chart.y.scale,
        )  # fmt: skip
        same = self._shape == shape
        keep = same and self._zoomed()
        self._chart, self._ghosts, self._units = chart, ghosts, units
        if not same:
            self._dress()
            self._shape = shape
        self._layer.show_contents(self._contents())
        if not keep:
            self._fit(tight=not same or not ghosts)

    def _dress(self) -> None:
        """Axes and ground of another chart, theme or unit set."""
        chart = self._chart
        assert chart is not None
        theme = colours()
        self.setBackground(theme.surface)
        item = self.getPlotItem()
        item.setLogMode(chart.x.scale == "log", chart.y.scale == "log")
        font = chart_font()
        for side, axis in (("bottom", chart.x), ("left", chart.y)):
            drawn = item.getAxis(side)
            drawn.setPen(theme.line)
            drawn.setTextPen(theme.text)
            drawn.setStyle(tickFont=font)
            drawn.enableAutoSIPrefix(False)
            size = {"font-size": f"{text_points():g}pt"}
            drawn.setLabel(axis_title(axis, self._units), color=theme.text, **size)
        self._title_fits = True
        self._fit_title()
        self._layer.put_cursor(None)

    def _fit_title(self) -> None:
        """The vertical title in two lines where the axis is shorter than one."""
        chart = self._chart
        if chart is None:
            return
        text = axis_title(chart.y, self._units)
        font = QFont(FONT_FAMILY)
        font.setPointSizeF(text_points())
        room = self.height() - 60
        fits = QFontMetricsF(font).horizontalAdvance(text) <= room or " " not in text
        if fits != self._title_fits:
            self._title_fits = fits
            if not fits:
                spaces = [at for at, letter in enumerate(text) if letter == " "]
                at = min(spaces, key=lambda where: abs(where - len(text) / 2))
                text = f"{text[:at]}<br>{text[at + 1 :]}"
            style = {"font-size": f"{text_points():g}pt"}
            self.getPlotItem().getAxis("left").setLabel(text, color=colours().text, **style)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_title()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.EnabledChange:
            self._layer.setOpacity(1.0 if self.isEnabled() else GREYED)

    def _contents(self) -> Contents:
        """The chart, and its ghosts behind it, in coordinates of the view."""
        chart = self._chart
        assert chart is not None
        lines, labels = [], []
        for ghost in self._ghosts:
            for series in ghost.chart.series:
                lines.append(self._line(series, chart, "ghost"))
                if ghost.sign and series.x.size:
                    x = self._position(float(series.x[-1]), chart.x)
                    y = self._position(float(series.y[-1]), chart.y)
                    labels.append(DrawnLabel(x, y, ghost.sign, "ghost"))
        lines += [self._line(series, chart, series.role) for series in chart.series]
        marks, guides = [], []
        for mark in chart.marks:
            x, y = self._position(mark.x, chart.x), self._position(mark.y, chart.y)
            marks.append(DrawnMark(x, y, mark.role, mark.shape))
            labels.append(DrawnLabel(x, y, mark.label, mark.role))
        for guide in chart.guides:
            vertical = guide.axis == "x"
            at = self._position(guide.value, chart.x if vertical else chart.y)
            guides.append(DrawnGuide(vertical, at, guide.role, guide.dash))
            where = (at, math.inf) if vertical else (-math.inf, at)
            labels.append(DrawnLabel(*where, guide.label, guide.role))
        bands = []
        for band in chart.bands:
            axis = chart.x if band.axis == "x" else chart.y
            ends = self._position(band.low, axis), self._position(band.high, axis)
            bands.append(DrawnBand(band.axis == "x", *ends, band.role))
        return Contents(tuple(bands), tuple(guides), tuple(lines), tuple(marks), tuple(labels))

    def _line(self, series: Series, chart: Chart, role: str) -> DrawnLine:
        return DrawnLine(
            self._positions(series.x, chart.x),
            self._positions(series.y, chart.y),
            role,
            series.dash,
        )

    def _position(self, value: float, axis: Axis) -> float:
        return float(self._positions(np.array([value]), axis)[0])

    def _positions(self, values: np.ndarray, axis: Axis) -> np.ndarray:
        """Coordinates in the view: displayed numbers, their logarithm on a log axis."""
        numbers = axis_numbers(values, axis, self._units)
        if axis.scale == "log":
            return np.log10(np.maximum(numbers, 1e-12))
        return numbers

    # -- view --------------------------------------------------------------------

    def reset_view(self) -> None:
        """Show everything again."""
        if self._chart is not None:
            self._fit(tight=True)

    def _fit(self, tight: bool) -> None:
        """Show the whole chart and its ghosts; unless tight, leave axes that still fit."""
        chart = self._chart
        assert chart is not None
        ranges = []
        for number, (which, axis) in enumerate((("x", chart.x), ("y", chart.y))):
            values = chart_values(chart, which)  # type: ignore[arg-type]
            for ghost in self._ghosts:
                values += chart_values(ghost.chart, which)  # type: ignore[arg-type]
            low, high = axis_range(axis, values, self._units)
            if axis.scale == "log":
                low, high = math.log10(max(low, 1e-9)), math.log10(max(high, 1e-8))
            if not tight:
                first, last = self._range[number]
                if first <= low and high <= last and last - first <= ROOM * (high - low):
                    low, high = first, last
                else:  # some air, so that the next movements fit as well
                    air = AIR * (high - low)
                    low -= air if axis.low is None else 0.0
                    high += air
            ranges.append((low, high))
        if ranges != self._range or self._zoomed():
            self._range = ranges
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
        self._layer.put_cursor(x)
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
        self._layer.put_cursor(None)
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
            start = self._layer.cursor if self._layer.cursor is not None else view.center().x()
            self.read_at(min(max(start + sign * step, view.left()), view.right()))
        else:
            super().keyPressEvent(event)
            return
        event.accept()
