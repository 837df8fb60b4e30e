"""Edits of a whole installation text in the terms of its trade: connect, duplicate, remove, move.

Each function takes the text and what it says and returns the new text; nothing is changed in
place, so that each edit is one undoable step.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from airrisk.installation.fields import OFFERING
from airrisk.installation.model import RECORDS
from airrisk.installation.splice import SystemText

MOST_OF_ID = 40  # characters of an id
KINDS = {record: kind for kind, record in RECORDS.items()}

PREFIXES = {
    "compressor": "C", "vessel": "R", "line": "L", "junction": "J", "consumer": "U",
    "valve": "V", "plug": "FP", "relief_valve": "RV", "bursting_disc": "BD", "fire": "F",
    "fire_source": "Source", "wall": "W", "reading": "M", "people": "P", "room": "Room",
    "action": "A",
}  # fmt: skip

# What a new part starts with: a plain, complete example that the person then changes.
STARTS: dict[str, dict[str, str]] = {
    "compressor": {"delivery": "3 m3/min", "discharge_pressure": "8 bar(g)"},
    "vessel": {
        "inside_diameter": "600 mm", "volume": "500 L", "wall_thickness": "5 mm",
        "material": "P265GH", "design_pressure": "11 bar(g)", "pressure": "8 bar(g)",
    },
    "line": {
        "length": "5 m", "inside_diameter": "41.9 mm", "wall_thickness": "2.6 mm",
    },
    "junction": {},
    "consumer": {},
    "valve": {"kind": "isolating", "state": "open"},
    "plug": {"alloy": "tin", "bore": "10 mm", "condition": "clean"},
    "relief_valve": {"set_pressure": "11 bar(g)", "area": "78.5 mm2"},
    "bursting_disc": {"burst_pressure": "12 bar(g)", "area": "200 mm2"},
    "fire": {"curve": "hydrocarbon"},
    "fire_source": {"fuel": "diesel", "diameter": "2 m"},
    "wall": {"height": "3 m"},
    "reading": {"thickness": "5 mm"},
    "people": {"kind": "work place"},
    "room": {"volume": "200 m3"},
}  # fmt: skip

# Where what stands apart from the parts begins, until somebody moves it.
STANDING: dict[str, dict[str, Any]] = {
    "people": {"at": [10.0, 0.0]}, "fire_source": {"at": [10.0, 0.0]},
    "wall": {"points": [[8.0, -2.0], [8.0, 2.0]]},
}  # fmt: skip


def kind_of(record: object) -> str:
    """The kind of table that a record comes from.

    Raises
    ------
    TypeError
        Not a record of the file.
    """
    kind = KINDS.get(type(record))
    if kind is None:
        raise TypeError(f"{type(record).__name__} does not stand in a system file")
    return kind


def free_id(text: SystemText, kind: str) -> str:
    """An unused id of a kind: its letter and the next number."""
    return text.free_id(f"{PREFIXES[kind]}1")


def added(text: SystemText, kind: str, name: str, more: Mapping[str, Any]) -> SystemText:
    """The text with a new part: a plain, complete example with these fields put over it.

    What the example fills in is only offered until somebody confirms it or types another value.
    """
    fields: dict[str, Any] = {"id": name, **STARTS[kind], **more}
    offered = [key for key in STARTS[kind] if key not in more]
    if kind in OFFERING and offered:
        fields["offered"] = offered
    return text.add(kind, fields)


def moved(text: SystemText, places: Mapping[str, tuple[float, float]]) -> SystemText:
    """The text with new plan positions, metres."""
    for name, point in places.items():
        text = text.set(name, "at", [round(point[0], 2), round(point[1], 2)])
    return text


def drawn_at(text: SystemText, cells: Mapping[str, tuple[int, int]]) -> SystemText:
    """The text with places in the schematic, in steps; plan positions stay as they are."""
    for name, cell in cells.items():
        text = text.set(name, "drawn", list(cell))
    return text


def laid_out(text: SystemText, names: Iterable[str]) -> SystemText:
    """The text without the places that parts had in the schematic."""
    for name in names:
        text = text.unset(name, "drawn")
    return text


def dependents(text: SystemText, names: Iterable[str]) -> list[str]:
    """Ids of what goes too when these are removed: lines at them, devices and valves on them."""
    chosen = {name.casefold() for name in names}
    found: list[str] = []
    for name in names:
        for reference in text.dependents(name):
            if reference.needed and reference.id and reference.id.casefold() not in chosen:
                chosen.add(reference.id.casefold())
                found.append(reference.id)
    return found


def removed(text: SystemText, names: Iterable[str]) -> SystemText:
    """The text without these parts, what hangs on them, and mentions of them."""
    for name in names:
        if name.casefold() in {known.casefold() for known in text.ids()}:
            text = text.remove(name, with_dependents=True)
    return text


def free_among(like: str, taken: set[str]) -> str:
    """An id not among the taken ones (written small), counted up from another."""
    stem = like.rstrip("0123456789")
    number = int(like[len(stem) :] or 1) + 1 if len(like) - len(stem) < 9 else 1
    while True:
        name = f"{stem[: MOST_OF_ID - len(str(number))]}{number}"
        if name.casefold() not in taken:
            return name
        number += 1
