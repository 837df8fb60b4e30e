"""The state of a plug on a date: when it is due, what it looks like, whether it is counted on.

The fitting date and the inspections are the history; of two entries on one day the later one in
the file rules. Entries after the date asked for are not known yet, and entries from before the
plug was fitted tell of its predecessor. A fitting date after the date asked for counts as none:
that plug is not there yet, and nobody may count on it.
"""

from __future__ import annotations

import calendar
import datetime as dt
from dataclasses import dataclass
from typing import Literal

from airrisk.installation.inspected import FAULTS, inspections_of, last_found
from airrisk.installation.insulation import is_covered
from airrisk.installation.model import Installation, Plug
from airrisk.installation.sections import holder_volume

# share of a part's volume from which water covers a plug at a place; of the side judgement
UNDER_WATER_FROM: dict[str, float] = {"drain": 0.0, "bottom": 0.0, "side": 0.5, "top": 1.0}
UpkeepStatus = Literal["in date", "due soon", "overdue", "no date", "no credit"]


def add_months(date: dt.date, months: int) -> dt.date:
    """The same day some calendar months later, or the last day of a shorter month.

    31 January and one month is the last day of February.
    """
    count = date.year * 12 + date.month - 1 + months
    year, month = divmod(count, 12)
    return dt.date(year, month + 1, min(date.day, calendar.monthrange(year, month + 1)[1]))


@dataclass(frozen=True)
class PlugState:
    """What the history says about one plug on one date."""

    condition: str
    renewed: dt.date | None  # fitted or last renewed
    due: dt.date | None
    overdue: bool  # a plug without any date counts as overdue
    inspected: dt.date | None  # last inspection
    # why it gets no credit: "" | "offered" | "under water" | "insulated" | "overdue" | "no date" |
    # "alloy" | a condition
    uncredited: str
    under_water: bool = False

    @property
    def credited(self) -> bool:
        """Whether a verdict may count on the plug."""
        return not self.uncredited


def plug_state(installation: Installation, plug: Plug, on: dt.date) -> PlugState:
    """State of one plug on a date.

    Parameters
    ----------
    installation : Installation
    plug : Plug
    on : datetime.date

    Returns
    -------
    PlugState
        A renewal without a stated condition counts as clean.
    """
    history = inspections_of(installation, plug.id, on)
    fitted = plug.fitted if plug.fitted is not None and plug.fitted <= on else None
    renewals = [i.date for i in history if i.renewed]
    if fitted is not None:
        renewals.append(fitted)
    renewed = max(renewals, default=None)
    due = None if renewed is None else add_months(renewed, plug.renew_every)
    overdue = due is None or on > due

    condition: str = plug.condition
    for entry in history:
        if fitted is not None and entry.date < fitted:
            continue
        if entry.condition is not None:
            condition = entry.condition
        elif entry.renewed:
            condition = "clean"
    wet = is_under_water(installation, plug)
    if plug.alloy is None:
        uncredited = "alloy"
    elif wet:
        uncredited = "under water"
    elif is_covered(installation, plug):
        uncredited = "insulated"
    elif plug.offered:
        uncredited = "offered"
    elif condition in FAULTS:
        uncredited = condition
    elif due is None:
        uncredited = "no date"
    else:
        uncredited = "overdue" if overdue else ""
    return PlugState(
        condition,
        renewed,
        due,
        overdue,
        history[-1].date if history else None,
        uncredited,
        wet,
    )


def uncredited_pressure_devices(installation: Installation, on: dt.date) -> dict[str, str]:
    """Relief valves and bursting discs that nobody may count on, with why.

    ``offered``: nobody has confirmed its values; else the condition that an inspection found.
    """
    found: dict[str, str] = {}
    for device in (*installation.relief_valves, *installation.bursting_discs):
        seen = last_found(installation, device.id, on)
        if device.offered:
            found[device.id] = "offered"
        elif seen.faulty:
            found[device.id] = str(seen.condition)
    return found


def is_under_water(installation: Installation, plug: Plug) -> bool:
    """Whether the stated condensate covers the plug: until it has boiled away it keeps it cold.

    At the drain and the bottom any water does; at the side, half a part full; at the top, all of
    it.
    """
    name = plug.on.casefold()
    part = next((one for one in installation.holders() if one.id.casefold() == name), None)
    if part is None or part.condensate <= 0.0:
        return False
    return part.condensate >= UNDER_WATER_FROM[plug.place] * holder_volume(part)


def uncredited_devices(installation: Installation, on: dt.date) -> dict[str, str]:
    """Every plug, relief valve and disc that nobody may count on as of a date, and why."""
    states = {plug.id: plug_state(installation, plug, on).uncredited for plug in installation.plugs}
    found = {name: why for name, why in states.items() if why}
    return found | uncredited_pressure_devices(installation, on)
