"""The scale of a plan: a bar of a round length, and where north is."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from airrisk.window.theme import colours
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, displayed, number_text, unit_of

LENGTH = 90.0  # px, about


def paint_scale_bar(painter: QPainter, area: QRectF, scale: float, units: Units) -> None:
    """Draw the bar at the lower left of an area; ``scale`` in pixels a metre."""
    per_unit = float(displayed([1.0], "distance", units)[0])
    wanted = LENGTH / scale * per_unit
    power = 10.0 ** math.floor(math.log10(wanted))
    size = next(power * f for f in (1, 2, 5, 10) if power * f >= wanted * 0.7)
    length = size / per_unit * scale
    x, y = area.left() + 12.0, area.bottom() - 14.0
    painter.setPen(QPen(QColor(colours().text), 2))
    painter.drawLine(QPointF(x, y), QPointF(x + length, y))
    text = f"{number_text(size)}\u00a0{unit_of('distance', units)}, " + tr("north is up")
    painter.drawText(QPointF(x + 4 + length, y + 4), text)
