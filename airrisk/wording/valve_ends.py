"""At which end of its line a valve stands, by the name of the neighbour there."""

from __future__ import annotations

from collections.abc import Mapping

from airrisk.installation.model import Installation, Line
from airrisk.wording.translation import tr


def end_names(installation: Installation, on: str) -> Mapping[str, str]:
    """Both ends of a line in words: "near C1" and "near R1"; empty: there is no such line.

    Parameters
    ----------
    installation : Installation
        The system file, read.
    on : str
        What the valve stands on: a line, or a device, which has no ends.
    """
    line = next((one for one in installation.lines if one.id.casefold() == on.casefold()), None)
    if line is None:
        return {}
    names = {"from": _near(line.from_), "to": _near(line.to)}
    return names if names["from"] != names["to"] else _by_line(line)


def _near(neighbour: str) -> str:
    if neighbour == "closed":
        return tr("at the closed end")
    if neighbour == "atmosphere":
        return tr("at the open end")
    return tr("near {part}").format(part=neighbour)


def _by_line(line: Line) -> Mapping[str, str]:
    """Where both neighbours are called alike."""
    return {
        "from": tr("where {line} begins").format(line=line.id),
        "to": tr("where {line} ends").format(line=line.id),
    }
