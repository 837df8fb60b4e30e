"""The type of what is written in the drawing."""

from __future__ import annotations

from PySide6.QtGui import QFont, QFontMetricsF

from airrisk.window.theme import FONT_FAMILY


def name_font(pixels: float, bold: bool = False) -> QFont:
    """The type of a name."""
    font = QFont(FONT_FAMILY)
    font.setPixelSize(round(pixels))
    font.setBold(bold)
    return font


def name_width(name: str, pixels: float) -> float:
    """Width of a name when it is bold, as a chosen one is."""
    return QFontMetricsF(name_font(pixels, True)).horizontalAdvance(name)
