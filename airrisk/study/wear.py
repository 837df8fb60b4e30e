"""How fast a wall wears away by its dated readings, and how long it lasts at that rate."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from airrisk.installation.model import Installation, Line, Reading, Vessel
from airrisk.physics import metal
from airrisk.study.carried import carried_pressure

YEAR = 365.25  # days
HALVINGS = 60
THICKER = 1.2


@dataclass(frozen=True)
class Wear:
    """The wall of a part by its readings."""

    part: str
    spot: str
    first: dt.date
    last: dt.date
    thinnest_m: float  # the last reading
    rate_m_per_year: float  # 0: it has not become thinner
    needed_m: float | None  # for the design pressure; None: no design pressure is stated
    left_years: float | None  # until it is that thin; None: not at any time, or not known


def wear_of(installation: Installation) -> tuple[Wear, ...]:
    """The wear at each spot with two readings or more, part by part.

    The rate is the greater of that over the whole time and that between the last two readings.
    """
    found = []
    parts = {part.id.casefold(): part for part in installation.holders()}
    groups: dict[tuple[str, str], list[Reading]] = {}
    for reading in installation.readings:
        key = (reading.on.casefold(), reading.spot.strip().casefold())
        groups.setdefault(key, []).append(reading)
    for (name, _), readings in groups.items():
        part = parts.get(name)
        ordered = sorted(readings, key=lambda one: one.date)
        if part is None or ordered[0].date == ordered[-1].date:
            continue
        found.append(_wear(part, ordered, installation.site.ambient_pressure))
    return tuple(found)


def _wear(part: Vessel | Line, readings: list[Reading], ambient: float) -> Wear:
    last = readings[-1]
    rate = max(_rate(readings[0], last), *(_rate(one, last) for one in readings[:-1]), 0.0)
    needed = needed_wall(part, ambient)
    left = None
    if needed is not None and last.thickness <= needed:
        left = 0.0
    elif needed is not None and rate > 0.0:
        left = (last.thickness - needed) / rate
    return Wear(part.id, last.spot, readings[0].date, last.date, last.thickness, rate, needed, left)


def _rate(first: Reading, last: Reading) -> float:
    years = (last.date - first.date).days / YEAR
    return (first.thickness - last.thickness) / years if years > 0.0 else 0.0


def _of_wall(part: Vessel | Line, wall: float) -> Vessel | Line:
    """A part with just this wall, whatever its readings say [m]."""
    if isinstance(part, Vessel):
        part = replace(part, head_worn_to=None)
    return replace(part, wall_thickness=wall, measured=True, worn_to=None)


def needed_wall(part: Vessel | Line, ambient: float) -> float | None:
    """Wall that carries the design pressure at the design stress [m]; None: the heads decide."""
    if part.design_pressure is None:
        return None
    wanted = part.design_pressure - ambient

    def carries(wall: float) -> bool:
        return carried_pressure(_of_wall(part, wall)) >= wanted

    thin, thick = 1e-6, part.wall_thickness
    try:
        while not carries(thick):
            thick *= THICKER
    except metal.TooThick:
        return None  # no wall does, since its heads do not carry it
    for _ in range(HALVINGS):
        middle = 0.5 * (thin + thick)
        thin, thick = (thin, middle) if carries(middle) else (middle, thick)
    return thick
