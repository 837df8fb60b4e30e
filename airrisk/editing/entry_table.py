"""Many parts of one kind entered as a table: rows are parts, columns are their fields.

Nothing is added until every row is right; then all of them are one new text.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from airrisk.editing.edits import free_among, free_id
from airrisk.editing.fields import typed_text, words_for
from airrisk.editing.typed_words import field_words, folded
from airrisk.installation.fields import FIELDS, WITH_ID, FieldSpec
from airrisk.installation.problems import Problem
from airrisk.installation.reading import check
from airrisk.installation.splice import EditError, SystemText
from airrisk.installation.values import fold, id_mistake
from airrisk.messages import Message, listed, quoted, said, told_of
from airrisk.quantities import QuantityError, read_number
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr

ENTERED = tuple(kind for kind in WITH_ID if kind != "action")
MOST_ROWS = 500
NOT_ENTERED = ("notes", "offered")
NEITHER = ("bar", "mbar", "psi", "kPa", "MPa", "hPa")  # neither gauge nor absolute
_DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")
_UNIT_OF_HEAD = re.compile(r"\s*[\[,(]\s*([^\]]*?)\s*[\])]?\s*$")

Row = Mapping[str, str]  # field -> what stands in its cell


@dataclass(frozen=True)
class CellMistake:
    """What is wrong in a row; ``key`` is empty where it is about no single cell."""

    row: int  # from 0
    key: str
    message: str


@dataclass(frozen=True)
class Entered:
    """What came of a table; ``text`` is None while there is a mistake."""

    text: SystemText | None
    names: tuple[str, ...]
    mistakes: tuple[CellMistake, ...]


def columns_of(kind: str) -> tuple[FieldSpec, ...]:
    """The fields of a kind as columns: the id, what must be given, then the others."""
    specs = [one for one in FIELDS[kind] if one.key not in NOT_ENTERED]
    return tuple(sorted(specs, key=lambda one: (one.key != "id", not one.required)))


def new_problems(before: SystemText, after: SystemText) -> list[Problem]:
    """The mistakes that the file's check finds after an edit and did not find before it."""
    known = _mistakes_of(before.text)
    return [one for one in check(after.text)[1] if _facts(one) not in known]


@lru_cache(maxsize=2)  # while somebody types, the file stays as it is
def _mistakes_of(text: str) -> frozenset[tuple[str, str, str]]:
    return frozenset(_facts(one) for one in check(text)[1])


def _facts(problem: Problem) -> tuple[str, str, str]:
    return problem.part, problem.field, problem.message


def key_of(problem: Problem) -> str:
    """The field that a mistake is about, without what stands within it."""
    return problem.field.partition(".")[0].partition("[")[0]


def message_of(problem: Problem) -> str:
    """A mistake with what would be valid."""
    if not problem.valid:
        return problem.message
    return said("mistake-and-valid", text=problem.message, valid=problem.valid)


def entered(text: SystemText, kind: str, rows: Sequence[Row], unit_set: str) -> Entered:
    """The file with the rows as new parts, or the mistakes that keep them out.

    Parameters
    ----------
    text
        Stays as it is.
    kind
        Kind of table of all rows.
    rows
        Cells by field; rows without any text are passed over, and a row without an id gets one.
    unit_set
        Numbers without a unit count in the unit of this set, which stands in the column's head.
    """
    filled = [(number, row) for number, row in enumerate(rows) if any(map(str.strip, row.values()))]
    if len(filled) > MOST_ROWS:
        return Entered(
            None, (), (CellMistake(MOST_ROWS, "", said("too-many-rows", most=MOST_ROWS)),)
        )
    try:
        ids = {fold(name) for name in text.ids()}
    except EditError as error:  # the file cannot be read
        return Entered(None, (), (CellMistake(0, "", told_of(error)),))
    mistakes: list[CellMistake] = []
    names = _names(text, kind, filled, ids, mistakes)
    added = [(number, row) for number, row in filled if number in names]
    tables = [
        {**_values(kind, row, unit_set), "id": names[number]} for number, row in added
    ]  # fmt: skip
    before = len([one for one in text.ids().values() if one == kind])
    after = text.add_all(kind, tables) if tables else text
    for problem in new_problems(text, after) if tables else ():
        place = -1 if problem.index is None else problem.index - before
        if problem.kind == kind and 0 <= place < len(added):
            mistakes.append(CellMistake(added[place][0], key_of(problem), message_of(problem)))
        else:
            subject = listed([one for one in (problem.part, problem.field) if one])
            told = listed([subject, message_of(problem)], ": ")
            mistakes.append(CellMistake(added[0][0], "", told))
    if mistakes or not filled:
        return Entered(None, (), tuple(sorted(mistakes, key=lambda one: one.row)))
    return Entered(after, tuple(names.values()), ())


def _names(
    text: SystemText,
    kind: str,
    filled: Sequence[tuple[int, Row]],
    taken: set[str],
    mistakes: list[CellMistake],
) -> dict[int, str]:
    """The id of each row, by its number; that of a row whose id is taken is a mistake."""
    found: dict[int, str] = {}
    for number, row in filled:
        name = row.get("id", "").strip()
        if name and id_mistake(name):
            mistakes.append(CellMistake(number, "id", id_mistake(name)))
        elif name and fold(name) in taken:
            mistakes.append(CellMistake(number, "id", said("typed-id-taken", name=name)))
        elif name:
            found[number] = name
            taken.add(fold(name))
    for number, row in filled:
        if not row.get("id", "").strip():
            like = free_id(text, kind)
            found[number] = free_among(like, taken) if fold(like) in taken else like
            taken.add(fold(found[number]))
    return {number: found[number] for number, _row in filled if number in found}


def _values(kind: str, row: Row, unit_set: str) -> dict[str, Any]:
    """The cells as they would stand in the file."""
    specs = {one.key: one for one in FIELDS[kind]}
    return {
        key: _value(specs[key], cell.strip(), unit_set)
        for key, cell in row.items()
        if cell.strip() and key in specs
    }


def _value(spec: FieldSpec, cell: str, unit_set: str) -> Any:
    if spec.is_quantity:
        return _quantity(spec, cell, unit_set)
    if spec.kind == "date":
        seen = _DAY_FIRST.fullmatch(cell)
        try:
            return cell if seen is None else dt.date(int(seen[3]), int(seen[2]), int(seen[1]))
        except ValueError:
            return cell
    if spec.kind == "flag":
        words = {folded(tr("yes")): "true", folded(tr("no")): "false"}
        return words.get(folded(cell), cell)
    if spec.choices or spec.kind in ("material", "alloy"):
        for word in words_for(spec, None, ""):
            if folded(cell) in (folded(word), folded(choice_word(word))):
                return word
    return typed_text(spec, cell)


def _quantity(spec: FieldSpec, cell: str, unit_set: str) -> str:
    """A number alone counts in the unit of the column's head."""
    try:
        read_number(cell)
    except QuantityError:
        if spec.kind == "pressure" and _unit_alone(cell) in NEITHER:
            return f"{cell}(a)" if spec.absolute else f"{cell}(g)"
        return cell
    return f"{cell} {spec.unit_in(unit_set)}".strip()


def _unit_alone(cell: str) -> str:
    """What stands behind the number of a cell."""
    return cell.lstrip("+-0123456789., \u00a0").strip()


# -- the clipboard of a spreadsheet ----------------------------------------------


def cells_of(clipboard: str) -> list[list[str]]:
    """The cells of a text with tabs between them, as spreadsheet programs copy them."""
    table = csv.reader(io.StringIO(clipboard.replace("\x00", ""), newline=""), delimiter="\t")
    try:
        rows = [[cell.strip() for cell in row] for row in table]
    except csv.Error:
        rows = [line.split("\t") for line in clipboard.splitlines()]
    while rows and not any(rows[-1]):
        rows.pop()
    return rows


def heads_in(kind: str, row: Sequence[str]) -> list[str] | None:
    """The fields that a first row names as heads of its columns; None: it holds values.

    A column whose head names no field is "". A head with a unit of its own that is not the one
    of our column is no head: its numbers would be taken in another unit.
    """
    known = field_words(kind)
    found = []
    for cell in row:
        spec = known.get(folded(cell))
        if spec is None:
            spec = known.get(folded(_UNIT_OF_HEAD.sub("", cell)))
        found.append("" if spec is None else spec.key)
    named = [key for key in found if key]
    if len(named) < 2 and not (len(row) == 1 and named):
        return None
    return found if 2 * len(named) > len([cell for cell in row if cell]) else None


def units_of_heads(kind: str, row: Sequence[str]) -> dict[str, str]:
    """The unit that stands in the head of a column, by field: "Bore [mm]" gives mm."""
    known = field_words(kind)
    found = {}
    for cell in row:
        unit = _UNIT_OF_HEAD.search(cell)
        spec = known.get(folded(_UNIT_OF_HEAD.sub("", cell)))
        if unit is not None and unit[1] and spec is not None and folded(cell) not in known:
            found[spec.key] = unit[1]
    return found


def with_unit(cell: str, unit: str) -> str:
    """A number of a column with a unit in its head gets that unit; all else stays as it is."""
    try:
        read_number(cell)
    except QuantityError:
        return cell
    return f"{cell} {unit}" if unit else cell


def head_of(spec: FieldSpec, unit_set: str) -> str:
    """The head of a column, with the unit in which plain numbers of it count."""
    unit = spec.unit_in(unit_set) if spec.is_quantity else ""
    return f"{tr(spec.label)} [{unit}]" if unit else tr(spec.label)


def told_cell(kind: str, mistake: CellMistake) -> str:
    """A mistake with the number of its row and the label of its column."""
    label: str = next((one.label for one in FIELDS[kind] if one.key == mistake.key), Message(""))
    place = said("row-and-field", row=mistake.row + 1, field=quoted(label)) if label else said(
        "row-of-table", row=mistake.row + 1
    )  # fmt: skip
    return listed([place, mistake.message], ": ")
