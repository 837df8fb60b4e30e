"""Reviewing a file: remarks and inspections may change, everything else stays as it is."""

from __future__ import annotations

from typing import Any

from airrisk.installation.decoding import parse_toml
from airrisk.installation.problems import SystemFileErrors

REVIEWED = "inspection"
REMARKS = "notes"


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
