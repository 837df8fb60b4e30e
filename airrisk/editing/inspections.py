"""The upkeep history in the text: entries about one device, valve or part."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from airrisk.installation.reading import check
from airrisk.installation.splice import EditError, SystemText
from airrisk.messages import said, told_of

KIND = "inspection"


@dataclass(frozen=True)
class Entry:
    """One inspection as it stands in the text; ``place`` counts all inspections from 0."""

    place: int
    on: str
    date: str
    by: str = ""
    condition: str = ""
    renewed: bool = False
    note: str = ""


def entries_about(text: SystemText, name: str) -> tuple[Entry, ...]:
    """The inspections of one device, valve or part, newest first.

    Raises
    ------
    EditError
        The text has a syntax error.
    """
    found = []
    tables = text.raw.get(KIND, [])
    for place, table in enumerate(tables if isinstance(tables, list) else []):
        if not isinstance(table, dict) or str(table.get("on", "")).casefold() != name.casefold():
            continue
        found.append(
            Entry(
                place,
                str(table["on"]),
                str(table.get("date", "")),
                str(table.get("by", "")),
                str(table.get("condition", "")),
                table.get("renewed") is True,
                str(table.get("note", "")),
            )
        )
    return tuple(sorted(found, key=lambda entry: (entry.date, entry.place), reverse=True))


def with_entry(
    text: SystemText, values: Mapping[str, Any], place: int | None
) -> tuple[SystemText, dict[str, str]]:
    """The text with an inspection added or changed, and what is wrong with its fields.

    Parameters
    ----------
    text
        Stays as it is.
    values
        Field to typed text, ``date`` as YYYY-MM-DD, ``renewed`` a truth value; empty leaves a
        field out.
    place
        Which inspection to change, None to add one.

    Returns
    -------
    tuple
        New text and field to message; the text is sound when there is no message.
    """
    try:
        day = dt.date.fromisoformat(str(values.get("date", "")).strip())
    except ValueError:
        return text, {"date": said("date-unreadable")}
    fields = {**values, "date": day}
    fields = {key: value for key, value in fields.items() if value not in ("", False)}
    after = text
    try:
        if place is None:
            place = len(text.raw.get(KIND, []))
            after = text.add(KIND, fields)
        else:
            present = text.raw[KIND][place]
            for key in values:
                if key in fields and present.get(key) != fields[key]:
                    after = after.set((KIND, place), key, fields[key])
                elif key not in fields:
                    after = after.unset((KIND, place), key)
    except EditError as error:
        return text, {"": told_of(error)}
    _installation, problems = check(after.text)
    return after, {
        problem.field: f"{problem.message}; valid: {problem.valid}"
        for problem in problems
        if problem.kind == KIND and problem.index == place
    }


def without_entry(text: SystemText, place: int) -> SystemText:
    """The text without one inspection.

    Raises
    ------
    EditError
        There is none at this place, or the text has a syntax error.
    """
    return text.remove((KIND, place))
