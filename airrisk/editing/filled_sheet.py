"""A walk sheet that somebody has filled in, read back: inspections, and actions about faults.

Nothing is taken over unless every row can be read. A row without a finding and without a remark is
a stop at which nobody has written anything.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from airrisk.editing.actions import with_action
from airrisk.editing.inspections import KIND as INSPECTION
from airrisk.installation.fields import spec
from airrisk.installation.inspected import FAULTS
from airrisk.installation.model import Installation, Plug
from airrisk.installation.splice import SystemText
from airrisk.messages import said
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr

NEEDED = ("place", "found", "date", "by")
MOST_BYTES = 2_000_000
MOST_TOLD = 20
IN_ORDER = "in order"
_DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")


@dataclass(frozen=True)
class FilledRow:
    """What was written at one stop."""

    line: int  # of the sheet
    on: str
    condition: str  # a word of the file; empty: only a remark
    date: dt.date
    by: str
    note: str

    @property
    def faulty(self) -> bool:
        """Whether it is in a condition in which nobody may count on it."""
        return self.condition in FAULTS


@dataclass(frozen=True)
class FilledSheet:
    """A sheet as it was read."""

    rows: tuple[FilledRow, ...]
    problems: tuple[str, ...]  # what keeps it from being taken over


def read_filled(
    data: bytes, installation: Installation, words: Mapping[str, str] | None = None
) -> FilledSheet:
    """The rows of a filled sheet that say something, and what is wrong with it.

    Parameters
    ----------
    data
        CSV as spreadsheet programs write it: commas or semicolons.
    installation
        Whose walk it was.
    words
        What else may stand under "found", folded -> word of the file.
    """
    if len(data) > MOST_BYTES:
        return FilledSheet((), (said("sheet-too-large", most=MOST_BYTES),))
    text = _decoded(data)
    head = text.lstrip("\r\n").split("\n", 1)[0]
    mark = ";" if head.count(";") > head.count(",") else ","
    table = csv.DictReader(io.StringIO(text, newline=""), delimiter=mark)
    names = [(name or "").strip().casefold() for name in table.fieldnames or ()]
    table.fieldnames = names
    missing = [name for name in NEEDED if name not in names]
    if missing:
        return FilledSheet((), (said("sheet-without-columns", columns=", ".join(missing)),))
    rows: list[FilledRow] = []
    problems: list[str] = []
    try:
        for row in table:
            _read_row(row, table.line_num, (installation, words or {}), rows, problems)
    except csv.Error as error:
        problems.append(said("sheet-unreadable", line=table.line_num, error=str(error)))
    if not rows and not problems:
        problems.append(said("sheet-empty"))
    return FilledSheet(tuple(rows), tuple(problems[:MOST_TOLD]))


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _read_row(
    row: Mapping[str, str | None],
    line: int,
    known: tuple[Installation, Mapping[str, str]],
    rows: list[FilledRow],
    problems: list[str],
) -> None:
    installation, words = known

    def cell(name: str) -> str:
        found = row.get(name)
        # what a spreadsheet might have taken for a formula was written behind a quote
        return found.strip().removeprefix("'") if isinstance(found, str) else ""

    found, remark = cell("found"), _remark(cell("remark"), cell("photo"))
    if not found and not remark:
        return
    place = cell("place")
    if not _is_known(installation, place):
        problems.append(said("sheet-of-another-file", line=line, place=place or "–"))
        return
    condition = _condition(found, words)
    day = _day(cell("date"))
    if condition is None:
        valid = ", ".join((IN_ORDER, *spec(INSPECTION, "condition").choices))
        problems.append(said("found-unknown", line=line, found=found, valid=valid))
    elif _is_plug(installation, place) and condition in ("seized", "leaking"):
        problems.append(said("found-of-a-plug", line=line, found=found, place=place))
    elif day is None:
        problems.append(said("sheet-date-unreadable", line=line, date=cell("date") or "–"))
    elif not cell("by"):
        problems.append(said("sheet-without-name", line=line, place=place))
    else:
        rows.append(FilledRow(line, place, condition, day, cell("by"), remark))


def _remark(remark: str, photo: str) -> str:
    return "; ".join(one for one in (remark, photo) if one)


def _is_known(installation: Installation, place: str) -> bool:
    try:
        installation.find(place)
    except KeyError:
        return False
    return bool(place)


def _is_plug(installation: Installation, place: str) -> bool:
    return isinstance(installation.find(place), Plug)


def _condition(found: str, words: Mapping[str, str]) -> str | None:
    """The word of the file; None: nobody knows it."""
    folded = found.casefold()
    if not folded:
        return ""
    if folded in (IN_ORDER, "ok"):
        return "clean"
    for word in spec(INSPECTION, "condition").choices:
        if folded == word.casefold():
            return word
    return words.get(folded)


def _day(text: str) -> dt.date | None:
    """A day as 2026-11-30 or 30.11.2026; nothing that could be read in two ways."""
    seen = _DAY_FIRST.fullmatch(text)
    try:
        if seen is not None:
            day, month, year = (int(piece) for piece in seen.groups())
            return dt.date(year, month, day)
        return dt.date.fromisoformat(text)
    except ValueError:
        return None


def new_rows(rows: tuple[FilledRow, ...], installation: Installation) -> tuple[FilledRow, ...]:
    """Those that the file does not say yet."""
    known = {
        (one.on.casefold(), one.date, one.by, one.condition or "", one.note)
        for one in installation.inspections
    }
    return tuple(
        row
        for row in rows
        if (row.on.casefold(), row.date, row.by, row.condition, row.note) not in known
    )


def deeds(rows: Iterable[FilledRow]) -> dict[FilledRow, str]:
    """What is to be done about each stop that was found out of order, in words."""
    return {
        row: tr("Put right: {condition}. {remark}")
        .format(condition=choice_word(row.condition), remark=row.note)
        .strip()
        for row in rows
        if row.faulty
    }


def taken_over(
    text: SystemText, rows: tuple[FilledRow, ...], deed: Mapping[FilledRow, str] | None = None
) -> SystemText:
    """The text with the rows as inspections, and an action about each fault that has a deed.

    Parameters
    ----------
    text
        Stays as it is.
    rows
        To be added, in their order.
    deed
        What is to be done about a row.

    Raises
    ------
    EditError
        The text has a syntax error.
    """
    for row in rows:
        fields = {
            "on": row.on, "date": row.date, "by": row.by, "condition": row.condition,
            "note": row.note,
        }  # fmt: skip
        text = text.add(INSPECTION, {key: value for key, value in fields.items() if value})
    for row, what in (deed or {}).items():
        values = {
            "rule": "inspection-found-fault", "part": row.on, "decision": "do", "text": what,
        }  # fmt: skip
        text, _name, mistakes = with_action(text, values)
        if mistakes:
            raise ValueError("; ".join(mistakes.values()))
    return text
