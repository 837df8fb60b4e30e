"""What each id of a file is, and the order in which people count ids."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Any

from airrisk.installation.model import Installation


def kinds_of_ids(plant: Installation) -> dict[str, str]:
    """What each id of the file is: vessel, plug, non-return valve, ..."""
    groups: tuple[tuple[str, Iterable[Any]], ...] = (
        ("vessel", plant.vessels), ("line", plant.lines), ("compressor", plant.compressors),
        ("junction", plant.junctions), ("consumer", plant.consumers),
        ("plug", plant.plugs), ("relief valve", plant.relief_valves),
        ("bursting disc", plant.bursting_discs), ("fire", plant.fires),
        *((source.kind, (source,)) for source in plant.fire_sources),
        ("wall", plant.walls), ("reading", plant.readings),
        ("room", plant.rooms), ("place", plant.people),
    )  # fmt: skip
    found = {record.id: kind for kind, records in groups for record in records}
    for valve in plant.valves:
        found[valve.id] = "non-return valve" if valve.kind == "non-return" else "valve"
    return found


def in_order(names: Iterable[str]) -> tuple[str, ...]:
    """Names sorted as people count and spell: L2 before L10, a letter with a mark by the bare one.

    No rule of one language: the order is that of a list in any of them, and of the JSON answer.
    """

    def key(name: str) -> tuple[list[tuple[int, int, str]], str]:
        pieces = re.split(r"(\d+)", _bare(name))
        return [(1, int(p), "") if p.isdigit() else (0, 0, p) for p in pieces], name

    return tuple(sorted(names, key=key))


def _bare(name: str) -> str:
    """A name without regard to case and marks."""
    letters = unicodedata.normalize("NFKD", name.casefold())
    return "".join(one for one in letters if not unicodedata.combining(one))
