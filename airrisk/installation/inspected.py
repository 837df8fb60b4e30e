"""What the inspections say about a device, a valve or a part on a date.

The register is the history; of two entries on one day the later one in the file rules, and
entries after the date asked for are not known yet.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from airrisk.installation.model import Inspection, Installation

# conditions in which nobody may count on a device
FAULTS: frozenset[str] = frozenset(
    {"corroded", "scaled", "painted over", "unknown", "seized", "leaking"}
)
_FAULT = re.compile(
    r"\b(?:seiz|stuck|jam|froze|leak|corro|rust|crack|broke|bent|defect|damag|worn|block|"
    r"painted over|passing\b(?!\s+(?:the\s+)?test)|(?:does|did|do|would|will|can)\s*not\s+"
    r"(?:open|close|shut|lift|move|turn)|(?:cannot|can't|won't|doesn't|didn't)\s+"
    r"(?:open|close|shut|lift|move|turn))",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"\b(?:no|not|nor|none|nothing|never|without|free (?:of|from))\b(?:\W+\w+){0,3}\W*$",
    re.IGNORECASE,
)
_DENIES = re.compile(r"\b(?:no|not|nor|never|without|nicht|kein\w*|nie|ohne)\b", re.IGNORECASE)
_MENDED = re.compile(
    r"\b(?:repaired|removed|renewed|replaced|cleaned|fixed|cured|mended)\b", re.IGNORECASE
)


@dataclass(frozen=True)
class LastFound:
    """The last that the inspections say about one thing."""

    condition: str | None  # None: no entry states one
    date: dt.date | None  # of the entry that states the condition; without one: of the last entry
    remark: str  # of the last entry

    @property
    def faulty(self) -> bool:
        """Whether the condition is one in which nobody may count on a device."""
        return self.condition in FAULTS

    @property
    def doubtful_remark(self) -> bool:
        """Whether the remark of the last entry speaks of a fault."""
        return speaks_of_fault(self.remark)


def inspections_of(installation: Installation, name: str, on: dt.date) -> tuple[Inspection, ...]:
    """Inspections of one thing up to and including a date, oldest first."""
    wanted = name.casefold()
    return tuple(
        sorted(
            (i for i in installation.inspections if i.on.casefold() == wanted and i.date <= on),
            key=lambda inspection: inspection.date,
        )
    )


def last_found(installation: Installation, name: str, on: dt.date) -> LastFound:
    """What the inspections say last about a device, a valve or a part.

    Parameters
    ----------
    installation : Installation
    name : str
        Its id.
    on : datetime.date

    Returns
    -------
    LastFound
        A renewal without a stated condition counts as clean.
    """
    history = inspections_of(installation, name, on)
    condition: str | None = None
    date = history[-1].date if history else None
    for entry in history:
        if entry.condition is not None or entry.renewed:
            condition = entry.condition or "clean"
            date = entry.date
    return LastFound(condition, date, history[-1].note if history else "")


def is_said_of(words: re.Pattern[str], remark: str) -> bool:
    """Whether a remark says one of some words, and denies nothing: "whole", not "not whole"."""
    return words.search(remark) is not None and not _DENIES.search(words.sub("", remark))


def speaks_of_fault(remark: str) -> bool:
    """Whether free words tell of a fault: "corroded, seized", and not "no leak found".

    Parameters
    ----------
    remark : str
        What somebody wrote.
    """
    for clause in re.split(r"[.,;:!?\n]|\bbut\b|\band\b", remark):
        for found in _FAULT.finditer(clause):
            if not _DENIED.search(clause[: found.start()]) and not _MENDED.search(clause):
                return True
    return False
