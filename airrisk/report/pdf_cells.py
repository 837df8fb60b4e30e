"""Plain text in a table cell: words wrapped to the column, without the markup of a paragraph.

A report has some two thousand cells. A paragraph of the PDF library is parsed as markup and
measured letter by letter each time it is asked for its size; here the width of a word is
remembered.
"""

from __future__ import annotations

import functools

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from airrisk.report.pdf_structure import TableTags

PLAIN = HexColor("#555555")  # of a label that leads nowhere in this document


@functools.lru_cache(maxsize=20_000)
def _width(text: str, font: str, size: float) -> float:
    return float(stringWidth(text, font, size))


@functools.lru_cache(maxsize=5_000)
def wrapped(text: str, font: str, size: float, width: float) -> tuple[str, ...]:
    """The lines of a text in a column, broken at blanks and within words that are too long.

    Parameters
    ----------
    text : str
        Without line ends; a no-break space stays.
    font, size
        Name of a registered font and its size [pt].
    width : float
        Of the column [pt].
    """
    blank = _width(" ", font, size)
    lines: list[str] = []
    line, length = "", 0.0
    for word in text.split(" "):
        long = _width(word, font, size)
        if line and length + blank + long <= width:
            line, length = f"{line} {word}", length + blank + long
            continue
        if line:
            lines.append(line)
        while long > width and len(word) > 1:
            count = len(word) - 1
            while count > 1 and _width(word[:count], font, size) > width:
                count -= 1
            lines.append(word[:count])
            word = word[count:]
            long = _width(word, font, size)
        line, length = word, long
    lines.append(line)
    return tuple(lines)


class Cell(Flowable):
    """One cell of a table.

    Parameters
    ----------
    text : str
        Plain text.
    style : ParagraphStyle
        Font, size, leading, colour, and whether it stands to the right.
    """

    def __init__(self, text: str, style: ParagraphStyle) -> None:
        super().__init__()
        self.text = text
        self.style = style
        self._lines: tuple[str, ...] = ()
        self._drawn = False
        self.table: TableTags | None = None  # whose cell it is; None: a line by itself
        self.row = 0
        self.scope = ""  # of a head: "Column" or "Row"

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Width and height that the text takes in a column of this width."""
        style = self.style
        self._lines = wrapped(self.text, style.fontName, style.fontSize, width)
        self.width, self.height = width, len(self._lines) * style.leading
        return self.width, self.height

    def minWidth(self) -> float:
        """Width of the longest word."""
        style = self.style
        words = self.text.split(" ")
        return max(_width(word, style.fontName, style.fontSize) for word in words)

    def draw(self) -> None:
        """Write the lines from the top; the head of a table that is repeated is no content."""
        if self._drawn:
            with self.canv.artifact():
                self._write_lines()
            return
        self._drawn = True
        told = self.canv.told
        element = (
            told.child("P") if self.table is None else self.table.cell(told, self.row, self.scope)
        )
        with self.canv.marked(element):
            self._write_lines()

    def _write_lines(self) -> None:
        style, canvas = self.style, self.canv
        canvas.setFont(style.fontName, style.fontSize)
        canvas.setFillColor(style.textColor)
        y = self.height - 0.8 * style.leading
        for line in self._lines:
            self._write(line, y)
            y -= style.leading

    def _write(self, line: str, y: float) -> None:
        if self.style.alignment == TA_RIGHT:
            self.canv.drawRightString(self.width, y, line)
        else:
            self.canv.drawString(0, y, line)


class NumberCell(Cell):
    """The number of a row, to which something in the document may point."""

    def __init__(self, text: str, style: ParagraphStyle, target: str) -> None:
        super().__init__(text, style)
        self.target = target  # label of the row; empty: nothing points to it

    def draw(self) -> None:
        """Leave the place behind and write the number."""
        if self.target:
            self.canv.bookmarkHorizontal(self.target, 0, self.height + 4.0)
        super().draw()


class ProofCell(Cell):
    """Labels of lines; those that are in the document lead there."""

    def __init__(self, text: str, style: ParagraphStyle, known: frozenset[str]) -> None:
        super().__init__(text, style)
        self.known = known

    def _write(self, line: str, y: float) -> None:
        style, x = self.style, 0.0
        for word in line.split(" "):
            label = word.rstrip(",.;")
            linked = label in self.known
            self.canv.setFillColor(style.textColor if linked else PLAIN)
            self.canv.drawString(x, y, word)
            wide = _width(word, style.fontName, style.fontSize)
            if linked:
                low, high = y - 0.2 * style.fontSize, y + 0.8 * style.fontSize
                self.canv.linkRect(label, label, (x, low, x + wide, high), relative=1)
                self.canv.setLineWidth(0.3)
                self.canv.line(x, y - 1.2, x + wide, y - 1.2)
            x += wide + _width(" ", style.fontName, style.fontSize)
