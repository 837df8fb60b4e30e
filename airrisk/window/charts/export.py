"""A chart as picture (PNG, SVG) or table (CSV)."""

from __future__ import annotations

import csv
import io

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
    """The numbers of a chart as a table, in the units shown.

    Series do not share their x values, so each has a column pair of its own.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    if isinstance(picture, Chart):
        columns: list[list[str]] = []
        for series in picture.series:
            xs = axis_numbers(series.x, picture.x, units)
            ys = axis_numbers(series.y, picture.y, units)
            head = f"{series.label}: "
            columns.append([head + axis_title(picture.x, units), *(f"{v:.6g}" for v in xs)])
            columns.append([head + axis_title(picture.y, units), *(f"{v:.6g}" for v in ys)])
        length = max((len(column) for column in columns), default=0)
        for row in range(length):
            writer.writerow([c[row] if row < len(c) else "" for c in columns])
        if picture.marks:
            writer.writerow([])
            writer.writerow(["mark", axis_title(picture.x, units), axis_title(picture.y, units)])
            for mark in picture.marks:
                x = axis_numbers(mark.x, picture.x, units)
                y = axis_numbers(mark.y, picture.y, units)
                writer.writerow([mark.label, f"{float(x):.6g}", f"{float(y):.6g}"])
    elif isinstance(picture, BarChart):
        writer.writerow(["", axis_title(picture.axis, units), ""])
        for bar in picture.bars:
            value = float(axis_numbers(bar.value, picture.axis, units))
            writer.writerow([bar.label, f"{value:.6g}", bar.note])
    elif isinstance(picture, SpanChart):
        title = axis_title(picture.axis, units)
        writer.writerow(["", "", f"low end: {title}", f"high end: {title}"])
        for span in picture.spans:
            ends = axis_numbers([span.at_low, span.at_high], picture.axis, units)
            writer.writerow([span.label, span.note, *(f"{float(v):.6g}" for v in ends)])
    elif isinstance(picture, MapChart):
        writer.writerow([axis_title(picture.x, units), axis_title(picture.y, units), ""])
        across = axis_numbers(picture.xs, picture.x, units).tolist()
        up = axis_numbers(picture.ys, picture.y, units).tolist()
        for y, cells in zip(up, picture.cells, strict=True):
            for x, cell in zip(across, cells, strict=True):
                writer.writerow([f"{x:.6g}", f"{y:.6g}", picture.classes[cell].label])
    else:
        writer.writerow(["", axis_title(picture.axis, units)])
        for tick in (*picture.ticks, *picture.basis_ticks):
            value = float(axis_numbers(tick.value, picture.axis, units))
            writer.writerow([tick.label, f"{value:.6g}"])
    return out.getvalue()
