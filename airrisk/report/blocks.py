"""What a report consists of; HTML and PDF render the same blocks, so they hold the same content."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from airrisk.wording.charts import Picture
from airrisk.wording.figures import Figure
from airrisk.wording.formulas import Worked
from airrisk.wording.translation import language

Style = Literal["normal", "lead", "small", "caution", "strong", "alarm"]
Tone = Literal["", "bad", "doubt"]  # tint of a cell; its text says the same
Align = Literal["left", "right", "centre"]


@dataclass(frozen=True)
class Paragraph:
    """Running text."""

    text: str
    style: Style = "normal"


@dataclass(frozen=True)
class Heading:
    """A heading inside a section."""

    text: str


@dataclass(frozen=True)
class Bullets:
    """A list; ``numbered`` for steps."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Table:
    """A table of texts; empty cells are blanks to be filled in by hand."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...] = ()  # relative; empty: equal
    align: tuple[Align, ...] = ()  # empty: left
    caption: str = ""
    row_height: float = 0.0  # points, at least; for blanks to write in
    strong_first: bool = False
    tones: tuple[tuple[Tone, ...], ...] = ()  # by row and column; empty: none


@dataclass(frozen=True, eq=False)
class Drawn:
    """A chart or drawing with its caption."""

    picture: Picture | Figure
    caption: str = ""
    width: float = 1.0  # share of the text width
    height: float = 0.0  # share of the text width; 0: by content


@dataclass(frozen=True)
class Formula:
    """One worked formula; ``brief`` where its symbols were explained before."""

    worked: Worked
    brief: bool = False


Block = Paragraph | Heading | Bullets | Table | Drawn | Formula


@dataclass(frozen=True, eq=False)
class Section:
    """A numbered chapter with a bookmark."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    own_page: bool = False  # starts on a new page and ends with one
    one_page: bool = False  # printed a little smaller where that brings it onto one page


@dataclass(frozen=True, eq=False)
class Report:
    """A whole document."""

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]  # head of the first page
    sections: tuple[Section, ...]
    footer: str
    language: str = field(default_factory=language)
    author: str = ""
    subject: str = ""
    day: dt.date | None = None  # that the document bears; the clock is never asked


def table_of(
    columns: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float] = (),
    right: Sequence[int] = (), **more: object,
) -> Table:  # fmt: skip
    """A table with some columns set to the right.

    Parameters
    ----------
    columns : sequence of str
        Heads.
    rows : sequence of sequences of str
        Cells.
    widths : sequence of float
        Relative widths.
    right : sequence of int
        Columns of numbers.
    """
    align: tuple[Align, ...] = tuple(
        "right" if index in right else "left" for index in range(len(columns))
    )
    return Table(
        tuple(columns), tuple(tuple(row) for row in rows), tuple(widths), align,
        **more,  # type: ignore[arg-type]
    )  # fmt: skip
