"""Examinations of vessels and tests of relief valves: when they are due, and what rules ask for.

The class of a vessel is its design pressure above the atmosphere times its volume. The rules are
those that the file chooses; local law and the licensed inspector decide.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from airrisk.installation.model import Installation, ReliefValve, Vessel
from airrisk.installation.plug_state import add_months
from airrisk.study.upkeep import step_after

BAR_LITRE = 100.0  # Pa m3
# BetrSichV annex 2 part 4, air (read): from 50 bar L by a qualified person at most every 10 years,
# above 1000 bar L by an approved body, inner examination every 5 years.
QUALIFIED_FROM, APPROVED_ABOVE = 50.0, 1000.0  # bar L
QUALIFIED_MONTHS, APPROVED_MONTHS = 120, 60
# PSSR 2000: written scheme from 250 bar L (read, second hand); it gives the interval.
SCHEME_FROM = 250.0  # bar L

AskedBy = Literal["", "qualified person", "approved body", "written scheme"]
ExaminationStatus = Literal["in date", "due soon", "overdue", "no date"]


@dataclass(frozen=True)
class ExaminationRow:
    """A vessel or relief valve that is examined."""

    part: str
    kind: str  # "vessel" | "relief valve"
    pressure_volume_j: (
        float | None
    )  # design pressure above the atmosphere times volume; None: valve
    asked_by: AskedBy  # what the chosen rules ask for
    examined: dt.date | None
    every_months: int | None  # the file's, else the rules' at the latest
    longest_months: int | None  # that the rules allow
    due: dt.date | None
    status: ExaminationStatus | None  # None: nobody asks for it


def examination_rows(installation: Installation, on: dt.date) -> tuple[ExaminationRow, ...]:
    """Every vessel and relief valve, the most urgent first.

    Parameters
    ----------
    installation
        With the rules of examination that it chooses.
    on
        The date.
    """
    rows = [
        *(_vessel(installation, vessel, on) for vessel in installation.vessels),
        *(_valve(installation, valve, on) for valve in installation.relief_valves),
    ]
    order = {"overdue": 0, "no date": 1, "due soon": 2, "in date": 3, None: 4}
    return tuple(
        sorted(rows, key=lambda row: (order[row.status], row.due or dt.date.max, row.part))
    )


def _vessel(installation: Installation, vessel: Vessel, on: dt.date) -> ExaminationRow:
    size = (vessel.design_pressure - installation.site.ambient_pressure) * vessel.volume
    asked, longest = _asked(installation.choices.examination_rules, size / BAR_LITRE)
    return _row(installation, (vessel.id, "vessel"), vessel, on, (size, asked, longest))


def _valve(installation: Installation, valve: ReliefValve, on: dt.date) -> ExaminationRow:
    return _row(installation, (valve.id, "relief valve"), valve, on, (None, "", None))


def _row(
    installation: Installation,
    name: tuple[str, str],
    record: Vessel | ReliefValve,
    on: dt.date,
    asked: tuple[float | None, AskedBy, int | None],
) -> ExaminationRow:
    size, by, longest = asked
    every = record.examine_every or longest
    due = None
    if record.examined is not None and every is not None:
        due = add_months(record.examined, every)
    soon = step_after(on, installation.choices.due_soon)
    status: ExaminationStatus | None
    if due is not None:
        status = "overdue" if due < on else "due soon" if due <= soon else "in date"
    else:
        status = "no date" if record.examine_every is not None or by else None
    return ExaminationRow(*name, size, by, record.examined, every, longest, due, status)


def _asked(rules: str, bar_litre: float) -> tuple[AskedBy, int | None]:
    if rules == "BetrSichV":
        if bar_litre > APPROVED_ABOVE:
            return "approved body", APPROVED_MONTHS
        if bar_litre > QUALIFIED_FROM:
            return "qualified person", QUALIFIED_MONTHS
    if rules == "PSSR" and bar_litre >= SCHEME_FROM:
        return "written scheme", None
    return "", None
