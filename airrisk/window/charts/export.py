"""A chart as picture (PNG, SVG) or table (CSV)."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from PySide6.QtCore import QBuffer, QIODevice, QPoint, QRectF, QSize
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QWidget

from airrisk.window.theme import colours
from airrisk.wording.chart_kinds import (
    BarChart,
    Chart,
    MapChart,
    Picture,
    Ruler,
    SpanChart,
    axis_numbers,
    axis_title,
)
from airrisk.wording.units import Units


def picture_of(widget: QWidget, factor: float = 2.0) -> QImage:
    """The widget as an image with ``factor`` pixels a point."""
    image = QImage(widget.size() * factor, QImage.Format.Format_ARGB32)
    image.setDevicePixelRatio(factor)
    image.fill(QColor(colours().surface))
    painter = QPainter(image)
    widget.render(painter, QPoint())
    painter.end()
    return image


def png_of(widget: QWidget) -> bytes:
    """The widget as a PNG picture."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    picture_of(widget).save(buffer, "PNG")  # type: ignore[call-overload]  # takes str as well
    return bytes(buffer.data().data())


def svg_of(widget: QWidget, title: str) -> bytes:
    """The widget as SVG text."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    size: QSize = widget.size()
    generator.setSize(size)
    generator.setViewBox(QRectF(0, 0, size.width(), size.height()))
    generator.setTitle(title)
    painter = QPainter(generator)
    painter.fillRect(QRectF(0, 0, size.width(), size.height()), QColor(colours().surface))
    widget.render(painter, QPoint())
    painter.end()
    return bytes(buffer.data().data())


def csv_of(picture: Picture, units: Units) -> str:
    """The numbers of a chart as a table, in the units shown."""
    if isinstance(picture, Chart):
        rows = _chart_rows(picture, units)
    elif isinstance(picture, BarChart):
        rows = _bar_rows(picture, units)
    elif isinstance(picture, SpanChart):
        rows = _span_rows(picture, units)
    elif isinstance(picture, MapChart):
        rows = _map_rows(picture, units)
    else:
        rows = _ruler_rows(picture, units)
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def _chart_rows(chart: Chart, units: Units) -> Iterator[list[str]]:
    """Series do not share their x values, so each has a column pair of its own."""
    columns: list[list[str]] = []
    for series in chart.series:
        xs = axis_numbers(series.x, chart.x, units)
        ys = axis_numbers(series.y, chart.y, units)
        head = f"{series.label}: "
        columns.append([head + axis_title(chart.x, units), *(f"{v:.6g}" for v in xs)])
        columns.append([head + axis_title(chart.y, units), *(f"{v:.6g}" for v in ys)])
    length = max((len(column) for column in columns), default=0)
    for row in range(length):
        yield [c[row] if row < len(c) else "" for c in columns]
    if chart.marks:
        yield []
        yield ["mark", axis_title(chart.x, units), axis_title(chart.y, units)]
        for mark in chart.marks:
            x = axis_numbers(mark.x, chart.x, units)
            y = axis_numbers(mark.y, chart.y, units)
            yield [mark.label, f"{float(x):.6g}", f"{float(y):.6g}"]


def _bar_rows(chart: BarChart, units: Units) -> Iterator[list[str]]:
    yield ["", axis_title(chart.axis, units), ""]
    for bar in chart.bars:
        value = float(axis_numbers(bar.value, chart.axis, units))
        yield [bar.label, f"{value:.6g}", bar.note]


def _span_rows(chart: SpanChart, units: Units) -> Iterator[list[str]]:
    title = axis_title(chart.axis, units)
    yield ["", "", f"low end: {title}", f"high end: {title}"]
    for span in chart.spans:
        ends = axis_numbers([span.at_low, span.at_high], chart.axis, units)
        yield [span.label, span.note, *(f"{float(v):.6g}" for v in ends)]


def _map_rows(chart: MapChart, units: Units) -> Iterator[list[str]]:
    yield [axis_title(chart.x, units), axis_title(chart.y, units), ""]
    across = axis_numbers(chart.xs, chart.x, units).tolist()
    up = axis_numbers(chart.ys, chart.y, units).tolist()
    for y, cells in zip(up, chart.cells, strict=True):
        for x, cell in zip(across, cells, strict=True):
            yield [f"{x:.6g}", f"{y:.6g}", chart.classes[cell].label]


def _ruler_rows(ruler: Ruler, units: Units) -> Iterator[list[str]]:
    yield ["", axis_title(ruler.axis, units)]
    for tick in (*ruler.ticks, *ruler.basis_ticks):
        value = float(axis_numbers(tick.value, ruler.axis, units))
        yield [tick.label, f"{value:.6g}"]
