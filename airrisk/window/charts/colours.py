"""From the role of a line to a pen in the theme in use."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPen

from airrisk.window.theme import colours
from airrisk.wording.chart_kinds import COLOURS

GREYED = 0.4  # opacity of a chart whose answer is older than the last change


def role_colour(role: str) -> QColor:
    """The colour of a role on the present ground."""
    return QColor(COLOURS[role][1 if colours().dark else 0])


def role_pen(role: str, dash: tuple[float, ...] = (), width: float = 1.0) -> QPen:
    """A cosmetic pen; dashes in points."""
    pen = QPen(role_colour(role))
    pen.setCosmetic(True)
    pen.setWidthF(width)
    if dash:
        pen.setStyle(Qt.PenStyle.CustomDashLine)
        pen.setDashPattern([max(length / max(width, 1.0), 0.5) for length in dash])
    return pen
