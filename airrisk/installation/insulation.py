"""Insulation on the walls of vessels and lines: what it resists, and how hot it may get.

A layer counts in a fire only up to the temperature of its outer face that it holds to. What it
resists is that at a mean temperature; hotter, it resists less.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from airrisk.installation.inspected import last_found
from airrisk.installation.model import Installation, Line, Plug, Vessel

PREFIX = "insulation_"
# K, 10 degC: mean temperature of the tests of insulation for buildings (EN 12667, from memory);
# data sheets that name no other mean are of these
KNOWN_AT = 283.15
# radiation through a fibrous layer grows with the third power of its mean temperature, conduction
# by air and fibres more slowly: the whole taken to grow so errs towards more heat; judgement
GROWTH = 3.0
# K, 500 degC: steel is given up before its inner face gets hotter; judgement, for the mean
INNER_FACE = 773.15


@dataclass(frozen=True)
class Insulation:
    """The insulation of a part as it is stated."""

    resistance: float  # m2 K/W, as if it were flat
    curved: float  # share of that round the part, on the surface of its wall
    known_at: float  # K, mean temperature at which it is known
    holds_to: float | None  # K, of its outer face; None: not stated, so it counts for nothing

    def resistance_in(self, outer: float) -> float:
        """What it resists in a fire that makes its outer face ``outer`` K hot, m2 K/W."""
        mean = 0.5 * (outer + min(outer, INNER_FACE))
        return self.curved * self.resistance * min(self.known_at / mean, 1.0) ** GROWTH

    def holds(self, outer: float) -> bool:
        """Whether it stands an outer face of ``outer`` K."""
        return self.holds_to is not None and outer <= self.holds_to


def insulation_of(part: Vessel | Line) -> Insulation | None:
    """The insulation that is stated of a part; None: none."""
    resistance, curved = part.insulation_resistance, 1.0
    if resistance is None:
        thickness = part.insulation_thickness
        if thickness is None or part.insulation_conductivity is None:
            return None
        resistance = thickness / part.insulation_conductivity
        # as around a sphere, r / (r + s), which is less than around a cylinder, ln(1 + s/r) r/s
        radius = 0.5 * part.inside_diameter + part.wall_thickness
        curved = radius / (radius + thickness)
    known_at = KNOWN_AT if part.insulation_known_at is None else part.insulation_known_at
    return Insulation(resistance, curved, known_at, part.insulation_holds_to)


def is_covered(installation: Installation, plug: Plug) -> bool:
    """Whether insulation lies over a plug: on an insulated part each that does not stand free."""
    name = plug.on.casefold()
    part = next((one for one in installation.holders() if one.id.casefold() == name), None)
    return part is not None and insulation_of(part) is not None and not plug.stands_free


def insulation_is_offered(part: Vessel | Line) -> bool:
    """Whether a value of the insulation was filled in and nobody has confirmed it."""
    return any(key.startswith(PREFIX) for key in part.offered)


def unconfirmed_insulation(installation: Installation, on: dt.date) -> dict[str, str]:
    """Parts whose insulation nobody may count on in any fire as of a date, and why.

    ``offered``: nobody has confirmed it; ``no limit``: nobody says how hot it may get; else the
    condition of the part that an inspection found, ``remark`` where its words tell of a fault.
    """
    found: dict[str, str] = {}
    for part in installation.holders():
        insulation = insulation_of(part)
        if insulation is None:
            continue
        seen = last_found(installation, part.id, on)
        if insulation_is_offered(part):
            found[part.id] = "offered"
        elif insulation.holds_to is None:
            found[part.id] = "no limit"
        elif seen.faulty:
            found[part.id] = str(seen.condition)
        elif seen.doubtful_remark:
            found[part.id] = "remark"
    return found
