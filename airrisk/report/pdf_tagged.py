"""Pieces of a PDF page that say what they are: texts, drawings, tables."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable, LongTable
from reportlab.platypus import Paragraph as Plain


class Text(Plain):
    """A paragraph."""

    tag = "P"

    def draw(self) -> None:
        """Between two marks."""
        with self.canv.marked(self.canv.told.child(self.tag)):
            super().draw()


class Title(Text):
    """The title of the document."""

    tag = "H1"


class ChapterTitle(Text):
    """The heading of a chapter."""

    tag = "H2"


class Subheading(Text):
    """A heading inside a chapter."""

    tag = "H3"


class GridTable(LongTable):
    """A table whose rules and grounds are no content."""

    def _drawBkgrnd(self) -> None:
        with self.canv.artifact():
            super()._drawBkgrnd()

    def _drawLines(self) -> None:
        with self.canv.artifact():
            super()._drawLines()


class Shown(Flowable):
    """A drawing with what it shows in words.

    Parameters
    ----------
    figure : Flowable
        That draws it.
    alt : str
        In words.
    """

    def __init__(self, figure: Flowable, alt: str) -> None:
        super().__init__()
        self.figure, self.alt, self.hAlign = figure, alt, figure.hAlign

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The size of the drawing [pt]."""
        self.width, self.height = self.figure.wrap(available_width, available_height)
        return self.width, self.height

    def draw(self) -> None:
        """Between two marks."""
        canvas: Any = self.canv
        with canvas.marked(canvas.told.child("Figure", alt=self.alt)):
            self.figure._drawOn(canvas)
