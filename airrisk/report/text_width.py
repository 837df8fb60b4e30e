"""The report's font: registration for the PDF and the width of texts on figures."""

from __future__ import annotations

import functools

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from airrisk.tables import resource_path

REGULAR = "DejaVuSans"
BOLD = "DejaVuSans-Bold"


@functools.cache
def register_fonts() -> None:
    """Make the bundled font known to the PDF library, once."""
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(resource_path(f"fonts/{name}.ttf"))))
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )


@functools.lru_cache(maxsize=20000)
def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a text in points."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size))
