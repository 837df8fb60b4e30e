"""What stands in the text for one table, as a person would read it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from airrisk.installation.decoding import parse_toml
from airrisk.installation.problems import SystemFileErrors


@lru_cache(maxsize=4)
def _tables(text: str) -> dict[str, Any] | None:
    try:
        return parse_toml(text)
    except SystemFileErrors:
        return None


def is_readable(text: str) -> bool:
    """Whether the text has no syntax error."""
    return _tables(text) is not None


def table_values(text: str, kind: str, name: str = "") -> dict[str, str]:
    """The typed values of one table: key -> text; empty when the table is not there.

    Parameters
    ----------
    text
        The whole file.
    kind
        Kind of table, "" for the top of the file.
    name
        Id of the entry, for kinds that stand more than once.
    """
    tables = _tables(text)
    if tables is None:
        return {}
    if not kind:
        return {k: value_text(v) for k, v in tables.items() if not isinstance(v, (dict, list))}
    found = tables.get(kind)
    if isinstance(found, dict):
        return {key: value_text(value) for key, value in found.items()}
    if isinstance(found, list):
        for entry in found:
            if isinstance(entry, dict) and str(entry.get("id", "")).casefold() == name.casefold():
                return {key: value_text(value) for key, value in entry.items()}
    return {}


def offered_keys(text: str, kind: str, name: str) -> tuple[str, ...]:
    """Keys of the fields of one table that the program filled in and nobody has confirmed."""
    found = (_tables(text) or {}).get(kind)
    for entry in found if isinstance(found, list) else ():
        if isinstance(entry, dict) and str(entry.get("id", "")).casefold() == name.casefold():
            offered = entry.get("offered")
            return tuple(map(str, offered)) if isinstance(offered, list) else ()
    return ()


@dataclass(frozen=True)
class Place:
    """Where the entry of a part stands: kind of table, number in its list, length of the list."""

    name: str
    kind: str
    number: int
    count: int

    def renamed_in(self, text: str) -> Place | None:
        """The entry that stands here in another text, None where the list has grown or shrunk."""
        found = (_tables(text) or {}).get(self.kind)
        if not isinstance(found, list) or len(found) != self.count:
            return None
        entry = found[self.number]
        name = entry.get("id") if isinstance(entry, dict) else None
        return replace(self, name=name) if isinstance(name, str) and name else None


def place_in_text(text: str, name: str) -> Place | None:
    """Where the table with this id stands, also while the file has content errors."""
    for kind, found in (_tables(text) or {}).items():
        if isinstance(found, list):
            for number, entry in enumerate(found):
                given = str(entry.get("id", "")) if isinstance(entry, dict) else ""
                if given and given.casefold() == name.casefold():
                    return Place(given, kind, number, len(found))
    return None


def kind_in_text(text: str, name: str) -> str | None:
    """The kind of table that holds this id, also while the file has content errors."""
    place = place_in_text(text, name)
    return None if place is None else place.kind


def value_text(value: Any) -> str:
    """A value as it is typed into a form: texts without quotes, lists with commas."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (dt.date, dt.datetime)):
        return value.isoformat()
    if isinstance(value, list):
        if all(isinstance(item, str) for item in value):
            return ", ".join(value)
        if all(isinstance(item, (int, float)) for item in value):
            return ", ".join(str(item) for item in value)
        return "[" + ", ".join(_nested(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_nested(v)}" for k, v in value.items()) + " }"
    return str(value)


def _nested(value: Any) -> str:
    if isinstance(value, str):
        return '"' + value + '"'
    if isinstance(value, list):
        return "[" + ", ".join(_nested(item) for item in value) + "]"
    return value_text(value)
