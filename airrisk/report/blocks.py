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
    keys: tuple[str, ...] = ()  # by row: what its numbers are about; empty: nobody points to them
    proof: int = -1  # column of labels of lines that prove the row; -1: none
    numbered: bool = True  # False: its lines have no numbers, even where those of a chapter do
    label: str = ""  # of the table, as in "C3"; then its rows are C3.1, C3.2 and so on


@dataclass(frozen=True, eq=False)
class Drawn:
    """A chart or drawing with its caption."""

    picture: Picture | Figure
    caption: str = ""
    width: float = 1.0  # share of the text width
    height: float = 0.0  # share of the text width; 0: by content
    label: str = ""


@dataclass(frozen=True)
class Formula:
    """One worked formula; ``brief`` where its symbols were explained before."""

    worked: Worked
    brief: bool = False
    label: str = ""


@dataclass(frozen=True)
class Proof:
    """Where something is proven: labels of lines, after some words."""

    text: str
    labels: tuple[str, ...]


@dataclass(frozen=True)
class Elsewhere:
    """Where the rest stands: some words, and the chapter that holds it with its page."""

    text: str
    key: str  # of a section; one that is not in the document is not named


Block = Paragraph | Heading | Bullets | Table | Drawn | Formula | Proof | Elsewhere


@dataclass(frozen=True, eq=False)
class Section:
    """A numbered chapter with a bookmark."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    own_page: bool = False  # starts on a new page and ends with one
    one_page: bool = False  # printed a little smaller where that brings it onto one page
    compact: bool = False  # printed a little smaller where only a rest would take one page more
    label: str = ""  # letter of a chapter of the appendix; empty: its number
    # the same told in less room; of a chapter that is to stay on one page the first that fits is
    # printed, and a page of no fixed length shows ``blocks``
    briefer: tuple[tuple[Block, ...], ...] = ()


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
    linked: frozenset[str] = frozenset()  # labels to which something in it points

    def heading(self, place: int) -> str:
        """The title of a chapter, counted from 0, with its letter or number."""
        section = self.sections[place]
        return f"{section.label or place + 1} {section.title}"

    def heading_of(self, key: str) -> str:
        """The title of a chapter by its key; empty: it is not in the document."""
        places = (n for n, one in enumerate(self.sections) if one.key == key)
        place = next(places, None)
        return "" if place is None else self.heading(place)

    def targets(self) -> frozenset[str]:
        """The labels to which something points and whose lines are in the document."""
        found = set()
        for section in self.sections:
            found.add(section.label)
            for block in section.blocks:
                if isinstance(block, Table) and block.label:
                    found.update(f"{block.label}.{row}" for row in range(1, len(block.rows) + 1))
        return frozenset(self.linked & found)


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
