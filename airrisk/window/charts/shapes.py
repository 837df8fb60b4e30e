"""The small shapes that tell ticks and points apart without colour."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPolygonF


def draw_shape(painter: QPainter, shape: str, centre: QPointF, radius: float) -> None:
    """Draw one shape with the pen and brush of the painter."""
    x, y, r = centre.x(), centre.y(), radius
    if shape == "circle":
        painter.drawEllipse(centre, r, r)
    elif shape == "square":
        painter.drawRect(QRectF(x - r, y - r, 2 * r, 2 * r))
    elif shape == "triangle":
        painter.drawPolygon(
            QPolygonF([QPointF(x, y - r), QPointF(x + r, y + r), QPointF(x - r, y + r)])
        )
    elif shape == "diamond":
        painter.drawPolygon(
            QPolygonF([QPointF(x, y - r), QPointF(x + r, y), QPointF(x, y + r), QPointF(x - r, y)])
        )
    elif shape == "plus":
        painter.drawLine(QPointF(x - r, y), QPointF(x + r, y))
        painter.drawLine(QPointF(x, y - r), QPointF(x, y + r))
    else:
        painter.drawLine(QPointF(x - r, y - r), QPointF(x + r, y + r))
        painter.drawLine(QPointF(x - r, y + r), QPointF(x + r, y - r))
