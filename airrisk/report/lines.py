"""Numbers of lines: every row and formula of the appendix can be pointed to, as C3.7.

The letter is that of the chapter, the number that of its table, formula or figure, and behind the
point stands the row. Whoever builds a table says what each row is about (``keys``); whoever prints
one of its numbers elsewhere asks for the labels of those keys.
"""

from __future__ import annotations

import string
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from airrisk.report.blocks import Block, Drawn, Formula, Section, Table
from airrisk.wording.translation import tr

EMPTY = frozenset({"", "–"})


@dataclass(frozen=True)
class Lines:
    """Where the rows of an appendix stand."""

    places: Mapping[str, str]  # key -> label
    chapters: Mapping[str, str]  # key of a section -> letter

    def at(self, keys: Iterable[str]) -> tuple[str, ...]:
        """The labels of some keys in their order, each once; unknown keys are passed over."""
        found = (self.places.get(key) or self.chapters.get(key) for key in keys)
        return tuple(dict.fromkeys(label for label in found if label))

    def text(self, keys: Iterable[str]) -> str:
        """The same as the text of a cell."""
        return ", ".join(self.at(keys))


def letter(place: int) -> str:
    """Letter of a chapter, counted from 0: A to Z, then AA, AB."""
    letters = string.ascii_uppercase
    more, last = divmod(place, len(letters))
    return (letters[more - 1] if more else "") + letters[last]


def labelled(sections: Sequence[Section], without: frozenset[str]) -> tuple[Section, ...]:
    """Chapters with letters, and their tables, formulas and figures with labels.

    Parameters
    ----------
    sections : sequence of Section
        In their order.
    without : frozenset of str
        Keys of those that get no letter.
    """
    found, count = [], 0
    for section in sections:
        if section.key in without:
            found.append(section)
            continue
        name = letter(count)
        count += 1
        found.append(replace(section, label=name, blocks=tuple(_blocks(section.blocks, name))))
    return tuple(found)


def _blocks(blocks: Iterable[Block], chapter: str) -> Iterator[Block]:
    count = 0
    for block in blocks:
        if isinstance(block, (Formula, Drawn)) or (isinstance(block, Table) and block.numbered):
            count += 1
            told = without_empty_columns(block) if isinstance(block, Table) else block
            yield replace(told, label=f"{chapter}{count}")
        else:
            yield block


def without_empty_columns(table: Table) -> Table:
    """A table without the columns in which nothing stands; below it they are named."""
    empty = [
        place
        for place in range(1, len(table.columns))
        if table.rows and place != table.proof
        and all(row[place].strip() in EMPTY for row in table.rows)
    ]  # fmt: skip
    if not empty or len(table.columns) - len(empty) < 2:
        return table

    def kept(items: Sequence[str] | Sequence[float]) -> tuple[Any, ...]:
        return tuple(item for place, item in enumerate(items) if place not in empty)

    heads = dict.fromkeys(table.columns[place] for place in empty)
    told = tr("Left out, because nothing stands there: {heads}.").format(heads=", ".join(heads))
    return replace(
        table,
        columns=kept(table.columns),
        rows=tuple(kept(row) for row in table.rows),
        widths=kept(table.widths),
        align=kept(table.align),
        tones=tuple(kept(tones) for tones in table.tones),
        caption=f"{table.caption} {told}".strip(),
    )


def lines_of(sections: Iterable[Section]) -> Lines:
    """Where the rows of labelled chapters stand."""
    places: dict[str, str] = {}
    chapters = {}
    for section in sections:
        if section.label:
            chapters[section.key] = section.label
        for block in section.blocks:
            if isinstance(block, Table) and block.label:
                for row, key in enumerate(block.keys, start=1):
                    if key:
                        places.setdefault(key, f"{block.label}.{row}")
    return Lines(places, chapters)


def with_line_numbers(table: Table) -> Table:
    """A table whose first column numbers its rows, under its label."""
    if not table.label:
        return table
    widths = table.widths or tuple([1.0] * len(table.columns))
    return replace(
        table,
        columns=(table.label, *table.columns),
        rows=tuple((str(number), *row) for number, row in enumerate(table.rows, start=1)),
        widths=(0.03 * sum(widths), *widths),
        align=("right", *(table.align or tuple(["left"] * len(table.columns)))),
        tones=tuple(("", *tones) for tones in table.tones),
        proof=table.proof + 1 if table.proof >= 0 else -1,
    )
