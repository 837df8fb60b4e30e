"""What each id of a file is, and the order in which people count ids."""

from __future__ import annotations

import re
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
    """Names sorted as people count: L2 before L10."""

    def key(name: str) -> list[tuple[int, int, str]]:
        pieces = re.split(r"(\d+)", name.casefold())
        return [(1, int(p), "") if p.isdigit() else (0, 0, p) for p in pieces]

    return tuple(sorted(names, key=key))
