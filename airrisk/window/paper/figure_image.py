"""A figure of plain strokes as an image."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPen, QPolygonF

from airrisk.window.theme import FONT_FAMILY
from airrisk.wording.figures import Clip, Disc, Figure, Item, Stroke, Words


def figure_image(figure: Figure, scale: float = 2.0, ground: str = "#FFFFFF") -> QImage:
    """Paint a figure.

    Parameters
    ----------
    figure
        Points, y upwards.
    scale
        Pixels a point.
    ground
        Colour behind it.
    """
    width, height = max(round(figure.width * scale), 1), max(round(figure.height * scale), 1)
    image = QImage(width, height, QImage.Format.Format_ARGB32)
    image.fill(QColor(ground))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(scale, scale)
    for item in figure.items:
        _paint(painter, item, figure.height)
    painter.end()
    return image


def _paint(painter: QPainter, item: Item, height: float) -> None:
    if isinstance(item, Clip):
        x, y, width, tall = item.box
        painter.save()
        painter.setClipRect(QRectF(x, height - y - tall, width, tall))
        for inner in item.items:
            _paint(painter, inner, height)
        painter.restore()
    elif isinstance(item, Stroke):
        _stroke(painter, item, height)
    elif isinstance(item, Disc):
        painter.setPen(_pen(item.colour, item.width, ()))
        painter.setBrush(QColor(item.fill) if item.fill else Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(item.x, height - item.y), item.radius, item.radius)
    elif isinstance(item, Words):
        _words(painter, item, height)


def _pen(colour: str | None, width: float, dash: tuple[float, ...]) -> QPen:
    if colour is None:
        return QPen(Qt.PenStyle.NoPen)
    pen = QPen(QColor(colour), width)
    if dash:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)  # a short one stays as short as it is
        pen.setDashPattern([max(length / max(width, 0.1), 0.1) for length in dash])
    return pen


def _stroke(painter: QPainter, item: Stroke, height: float) -> None:
    painter.setPen(_pen(item.colour, item.width, item.dash))
    points = QPolygonF([QPointF(x, height - y) for x, y in item.points])
    if item.closed:
        if item.fill:
            fill = QColor(item.fill)
            fill.setAlphaF(item.opacity)
            painter.setBrush(fill)
        else:
            painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolygon(points)
    else:
        painter.drawPolyline(points)


def _words(painter: QPainter, item: Words, height: float) -> None:
    font = QFont(FONT_FAMILY)
    font.setPixelSize(max(round(item.size * 10), 1))  # hinting off the pixel grid at 1/10
    font.setBold(item.bold)
    metrics = QFontMetricsF(font)
    width = metrics.horizontalAdvance(item.text) / 10
    shift = {"start": 0.0, "middle": -width / 2, "end": -width}[item.anchor]
    painter.save()
    painter.translate(item.x, height - item.y)
    painter.rotate(-item.angle)
    painter.translate(shift, 0)
    painter.scale(0.1, 0.1)
    painter.setFont(font)
    painter.setPen(QColor(item.colour))
    painter.drawText(QPointF(0, 0), item.text)
    painter.restore()
