"""Contrast of two colours, by WCAG 2.1 (relative luminance, success criteria 1.4.3 and 1.4.11)."""

from __future__ import annotations

from PySide6.QtGui import QColor

TEXT = 4.5  # at least, of text (1.4.3)
SHAPE = 3.0  # at least, of what is needed to find a control (1.4.11)


def luminance(colour: QColor) -> float:
    """Relative luminance, 0 to 1."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor | str, other: QColor | str) -> float:
    """From 1 (equal) to 21 (black on white)."""
    high, low = sorted((luminance(QColor(one)), luminance(QColor(other))), reverse=True)
    return (high + 0.05) / (low + 0.05)
