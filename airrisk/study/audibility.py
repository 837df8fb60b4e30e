"""The plug as a warning: whether its escaping air is heard where people are, and when it opens.

Nobody is called warned by it: the answer is that it is likely to be heard, not likely, or not
sure, and a plug opens only when the metal around it is hot.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from airrisk.installation.model import Installation, Line, People, Plug, Vessel
from airrisk.installation.people_places import Away, away
from airrisk.installation.plug_state import plug_state
from airrisk.physics.noise import ABSORPTION_DB_M, SCATTER_DB, level_to_be_heard
from airrisk.study.consequence_records import DischargeRecord
from airrisk.study.records import FireRecord

Heard = Literal["likely", "not sure", "not likely"]


@dataclass(frozen=True)
class HeardRecord:
    """One plug at one place with people whose background level is stated."""

    place: str
    device: str
    distance_m: float  # the greatest that may be
    level_db: float  # over open ground, from the pressure at the start
    lowest_db: float  # with the scatter of the method and the absorption of air taken off
    highest_db: float
    background_db: float
    needed_db: float
    heard: Heard
    walls: bool  # a building, a room or a pipe lies between: never "likely"
    fires: int  # runs as stated of sections that the plug stands on
    fires_opened: int
    first_open_s: float | None  # in these, None: it opens in none
    last_open_s: float | None
    alarm_after_s: float | None  # of the file


def heard_records(
    installation: Installation,
    discharges: Mapping[str, DischargeRecord],
    fires: Iterable[FireRecord],
    on: dt.date,
) -> tuple[HeardRecord, ...]:
    """Every plug at every place with people whose background level is stated, loudest first.

    Parameters
    ----------
    installation
        Its places and plugs; a plug on a part without a place on the plan is left out.
    discharges
        What each device lets out.
    fires
        Of the same installation.
    on
        The date: a plug that nobody may count on then is never likely to be heard.
    """
    found = []
    known = tuple(fires)
    for place in installation.people:
        if place.background_level is None:
            continue
        for plug in installation.plugs:
            blow = discharges.get(plug.id)
            far = _away(installation, place, plug)
            if blow is not None and far is not None:
                credited = plug_state(installation, plug, on).credited
                one = _record(place, plug, blow, far, known)
                doubted = one.heard == "likely" and not credited
                found.append(replace(one, heard="not sure") if doubted else one)
    return tuple(sorted(found, key=lambda one: (one.place.casefold(), -one.lowest_db)))


def _away(installation: Installation, place: People, plug: Plug) -> Away | None:
    try:
        part = installation.find(plug.on)
    except KeyError:
        return None
    return away(installation, place, part) if isinstance(part, (Vessel, Line)) else None


def _record(
    place: People,
    plug: Plug,
    blow: DischargeRecord,
    far: Away,
    fires: tuple[FireRecord, ...],
) -> HeardRecord:
    background = place.background_level
    assert background is not None
    near_level = blow.noise_at_people_db[place.id]
    # where the direction is not known it is heard only if the farthest place hears it
    level = near_level - 20.0 * math.log10(max(far.farthest, 1.0) / max(far.nearest, 1.0))
    lowest = level - SCATTER_DB - ABSORPTION_DB_M * far.farthest
    highest = near_level + SCATTER_DB
    needed = level_to_be_heard(background)
    walls = place.kind != "outdoors" or blow.room is not None or plug.outlet != "open"
    # walls around both throw sound back, and a pipe may end beside the people
    louder = place.kind == "work place" or plug.outlet != "open"
    about = [fire for fire in fires if plug.on in (fire.members or fire.exposed)]
    opened = [
        min(times)
        for fire in about
        if (times := [e.time_s for e in fire.events if _opens(e.event, e.part, plug)])
    ]
    return HeardRecord(
        place=place.id,
        device=plug.id,
        distance_m=far.farthest,
        level_db=level,
        lowest_db=lowest,
        highest_db=highest,
        background_db=background,
        needed_db=needed,
        heard=_heard((lowest, highest), needed, walls, louder),
        walls=walls,
        fires=len(about),
        fires_opened=len(opened),
        first_open_s=min(opened, default=None),
        last_open_s=max(opened, default=None),
        alarm_after_s=place.alarm_after,
    )


def _opens(event: str, part: str, plug: Plug) -> bool:
    return event == "plug opens" and part == plug.id


def _heard(bounds: tuple[float, float], needed: float, walls: bool, louder: bool) -> Heard:
    """Nothing is likely within the scatter, nor through walls whose loss nobody has stated."""
    lowest, highest = bounds
    if lowest >= needed and not walls:
        return "likely"
    return "not likely" if highest < needed and not louder else "not sure"
