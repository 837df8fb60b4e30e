"""The thinnest reading of a wall, put where every calculation finds it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from airrisk.installation.geometry import Holder, worn
from airrisk.installation.model import Installation
from airrisk.installation.values import fold


def thinnest_readings(installation: Installation) -> dict[str, float]:
    """Thinnest reading of each part that has any [m], by its id as ``fold`` writes it.

    An older reading that is thinner than a later one counts: a wall does not grow.
    """
    found: dict[str, float] = {}
    for one in installation.readings:
        name = fold(one.on)
        found[name] = min(found.get(name, one.thickness), one.thickness)
    return found


def with_readings(installation: Installation) -> Installation:
    """An installation whose vessels and lines are as thin as their thinnest reading.

    Parameters
    ----------
    installation : Installation
        As its file says it, no reading counted yet.
    """
    thinnest = thinnest_readings(installation)
    if not thinnest:
        return installation
    return replace(
        installation,
        vessels=_worn(installation.vessels, thinnest),
        lines=_worn(installation.lines, thinnest),
    )


def _worn(parts: Iterable[Holder], thinnest: Mapping[str, float]) -> tuple[Holder, ...]:
    return tuple(
        worn(part, thinnest[fold(part.id)]) if fold(part.id) in thinnest else part for part in parts
    )
