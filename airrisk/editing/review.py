"""Reviewing a file: remarks and inspections may change, everything else stays as it is."""

from __future__ import annotations

from typing import Any

from airrisk.installation.decoding import parse_toml
from airrisk.installation.problems import SystemFileErrors

REVIEWED = "inspection"
REMARKS = "notes"
ACTIONS = "action"


def reviewed_values(text: str) -> dict[str, Any] | None:
    """What a text says apart from remarks and inspections; None while it cannot be read."""
    try:
        tables = parse_toml(text)
    except SystemFileErrors:
        return None
    tables.pop(REVIEWED, None)
    for table in tables.values():
        for entry in table if isinstance(table, list) else [table]:
            if isinstance(entry, dict):
                entry.pop(REMARKS, None)
    return tables


def is_review(before: str, after: str) -> bool:
    """Whether only remarks, inspections and comments differ between two texts."""
    kept = reviewed_values(before)
    return kept is not None and kept == reviewed_values(after)


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
    accepting = [one for one in tables.pop(ACTIONS, []) if one.get("decision") != "do"]
    tables.pop("format", None)  # the first action may raise it
    return {**tables, ACTIONS: accepting}
