"""Copies of parts with what stands on them: devices, and valves on lines and devices.

A copy stands for another piece of equipment. What only the first one was seen to be (measured,
clean, fitted on a day, examined) is not taken over as if somebody had said it of the copy.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from airrisk.editing.edits import free_among
from airrisk.installation.decoding import parse_toml
from airrisk.installation.fields import DEVICES, FIELDS, OFFERING, PARTS, REPEATED, WITH_ID
from airrisk.installation.problems import SystemFileErrors
from airrisk.installation.splice import SystemText

# Kept in a copy, but only offered: somebody has to say it of the copy.
SEEN = ("condition", "fitted")
# Left out of a copy: a measurement or an examination of one piece, its year, what was said of it.
OF_ONE_PIECE = ("measured", "examined", "year_made", "notes")
# Where a part stands: distances to people and fires are worked out from it.
PLACES = ("at", "drawn", "route")
ASIDE = (1.5, -1.5)  # m
MENTIONED = ("on", "from", "to", "outlet_place", "part")


def with_what_stands_on(text: SystemText, names: Iterable[str]) -> list[str]:
    """The parts with the devices on them and the valves on lines and devices, each once."""
    wanted = {name.casefold() for name in names}
    ids = text.ids()
    for kinds in (DEVICES, ("valve",)):
        for name, kind in ids.items():
            on = text.block(name).get("on") if kind in kinds else None
            if isinstance(on, str) and on.casefold() in wanted:
                wanted.add(name.casefold())
    return [name for name in ids if name.casefold() in wanted]


def as_another_piece(kind: str, fields: dict[str, Any]) -> dict[str, Any]:
    """The fields of a copy: without what was measured, seen or said of the first piece only."""
    left_out = (*OF_ONE_PIECE, *PLACES) if kind in PARTS else OF_ONE_PIECE
    found = {key: value for key, value in fields.items() if key not in left_out}
    if kind not in OFFERING:
        return found
    before = fields.get("offered")
    offered = {str(one) for one in before} if isinstance(before, list) else set()
    offered |= {key for key in SEEN if key in found}
    if fields.get("measured") is True and "wall_thickness" in found:
        offered.add("wall_thickness")
    if offered:
        found["offered"] = [spec.key for spec in FIELDS[kind] if spec.key in offered]
    return found


def duplicated(text: SystemText, names: Iterable[str]) -> tuple[SystemText, dict[str, str]]:
    """The text with copies of parts and of what stands on them.

    Parts begin without a place; what must have one stands a little aside in the plan.

    What the copies say of each other follows the new ids: a plug on a copied vessel stands on
    the copy, a line between two copied vessels joins the copies.

    Returns
    -------
    tuple
        New text, and the new id of each copied part.

    Raises
    ------
    EditError
        There is no such part, or the text has a syntax error.
    """
    chosen = list(names)
    for name in chosen:
        text.address(name)
    blocks = [(text.address(one)[0], text.block(one)) for one in with_what_stands_on(text, chosen)]
    taken = {name.casefold() for name in text.ids()}
    renamed: dict[str, str] = {}
    for _kind, block in blocks:
        name = str(block["id"])
        renamed[name.casefold()] = free_among(name, taken)
        taken.add(renamed[name.casefold()].casefold())
    for kind, block in blocks:
        fields = as_another_piece(kind, block)
        fields["id"] = renamed[str(block["id"]).casefold()]
        for key in MENTIONED:
            mentioned = fields.get(key)
            if isinstance(mentioned, str):
                fields[key] = renamed.get(mentioned.casefold(), mentioned)
        place = fields.get("at")
        if isinstance(place, list) and len(place) == 2:
            fields["at"] = [round(place[0] + ASIDE[0], 2), round(place[1] + ASIDE[1], 2)]
        text = text.add(kind, fields)
    return text, {str(block["id"]): renamed[str(block["id"]).casefold()] for _k, block in blocks}


def copied(text: SystemText, names: Iterable[str]) -> str:
    """The blocks of these parts as a text of their own, for the clipboard."""
    alone = SystemText("")
    for name in names:
        kind, _index = text.address(name)
        alone = alone.add(kind, text.block(name))
    return alone.text.lstrip("\n")


def pasted(
    text: SystemText, clipboard: str, *, moved: bool = False
) -> tuple[SystemText, list[str]] | None:
    """The text with the parts of a clipboard text added; taken ids are counted up.

    References among the pasted parts follow the new ids. None when the clipboard holds none.
    ``moved``: they were cut out of the same file and are the same pieces as before; else they
    stand for others, of which nobody has seen or measured anything.
    """
    try:
        tables = parse_toml(clipboard)
    except SystemFileErrors:
        return None
    blocks = [
        (kind, dict(entry))
        for kind in REPEATED
        if kind in WITH_ID and isinstance(tables.get(kind), list)
        for entry in tables[kind]
        if isinstance(entry, dict) and isinstance(entry.get("id"), str)
    ]
    if not blocks:
        return None
    taken = {name.casefold() for name in text.ids()}
    renamed: dict[str, str] = {}
    for number, (kind, entry) in enumerate(blocks):
        old = entry["id"]
        if old.casefold() in taken:
            renamed[old] = free_among(old, taken)
        if old in renamed or not moved:
            entry = {**as_another_piece(kind, entry), "id": renamed.get(old, old)}
            blocks[number] = (kind, entry)
        taken.add(entry["id"].casefold())
    names = []
    for kind, entry in blocks:
        for key in MENTIONED:
            if isinstance(entry.get(key), str) and entry[key] in renamed:
                entry[key] = renamed[entry[key]]
        text = text.add(kind, entry)
        names.append(str(entry["id"]))
    return text, names
