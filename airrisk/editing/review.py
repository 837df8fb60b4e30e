"""Reviewing a file: remarks, inspections and what is to be done may change, and nothing else.

What has been accepted stays: it takes findings out of what counts, which is not a reviewer's to do.
"""

from __future__ import annotations

from typing import Any

from airrisk.installation.decoding import parse_toml
from airrisk.installation.problems import SystemFileErrors

REVIEWED = "inspection"
REMARKS = "notes"
ACTIONS = "action"


def reviewed_values(text: str) -> dict[str, Any] | None:
    """What a text says apart from what a review may change; None while it cannot be read."""
    tables = _without_work(text)
    if tables is None:
        return None
    tables.pop(REVIEWED, None)
    for table in tables.values():
        for entry in table if isinstance(table, list) else [table]:
            if isinstance(entry, dict):
                entry.pop(REMARKS, None)
    return tables


def is_review(before: str, after: str) -> bool:
    """Whether only remarks, inspections, comments and what is to be done differ in two texts.

    Nothing that somebody has asked for goes: an action may be noted as done, not taken away. The
    number of the format may rise, because the first action of a file may need it.
    """
    kept = reviewed_values(before)
    if kept is None or kept != reviewed_values(after):
        return False
    old, new = _asked_for(before), _asked_for(after)
    return old[0] <= new[0] and old[1] <= new[1]


def _asked_for(text: str) -> tuple[int, set[str]]:
    """Number of the format, and ids of what is to be done, of a text that can be read."""
    tables = parse_toml(text)
    work = [one for one in _tables(tables) if one.get("decision") == "do"]
    number = tables.get("format")
    return number if isinstance(number, int) else 0, {
        str(one.get("id", "")).casefold() for one in work
    }


def _tables(tables: dict[str, Any]) -> list[dict[str, Any]]:
    found = tables.get(ACTIONS, [])
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def same_but_work(before: str, after: str) -> bool:
    """Whether two texts differ in comments and in what is to be done at most: no answer moves.

    Acceptances count: they take findings out of what counts.
    """
    if before == after:
        return True
    kept = _without_work(before)
    return kept is not None and kept == _without_work(after)


def _without_work(text: str) -> dict[str, Any] | None:
    try:
        tables = parse_toml(text)
    except SystemFileErrors:
        return None
    accepting = [one for one in _tables(tables) if one.get("decision") != "do"]
    tables.pop("format", None)  # the first action may raise it
    return {**tables, ACTIONS: accepting}
