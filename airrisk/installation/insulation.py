"""Insulation on the walls of vessels and lines: what it resists, and how hot it may get.

A layer counts in a fire only up to the temperature of its outer face that it holds to. What it
resists is that at a mean temperature; hotter, it resists less.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from airrisk.installation.inspected import is_said_of, last_found, speaks_of_fault
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
# K that must lie between the hottest outer face and what the layer holds to: a flame somewhat
# hotter than reckoned must not take it away; judgement
MARGIN = 50.0
# words of a remark that is about a layer, and that it is good
_LAYER = re.compile(
    r"insul|lagg|clad|jacket|blanket|fib(?:re|er)|isolier|dämm|daemm|ummantel|verkleid",
    re.IGNORECASE,
)
_GOOD = re.compile(
    r"\b(?:whole|sound|intact|complete|undamaged|in (?:good )?order|no damage|unbeschädigt|"
    r"vollständig|in Ordnung|keine Schäden)\b",
    re.IGNORECASE,
)
_FREE = re.compile(r"\b(?:free|clear|cut back|frei|freigeschnitten)\b", re.IGNORECASE)


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
        """Whether it stands an outer face of ``outer`` K, with the margin."""
        return self.holds_to is not None and outer <= self.holds_to - MARGIN


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
    """Whether insulation lies over a plug: on an insulated part each that does not stand free.

    A remark of its inspections that speaks of insulation and not of a free head says so as well.
    """
    if _told_otherwise(installation, plug.id, None, _FREE):
        return True
    name = plug.on.casefold()
    part = next((one for one in installation.holders() if one.id.casefold() == name), None)
    return part is not None and insulation_of(part) is not None and not plug.stands_free


def insulation_is_offered(part: Vessel | Line) -> bool:
    """Whether a value of the insulation was filled in and nobody has confirmed it."""
    return any(key.startswith(PREFIX) for key in part.offered)


def _told_otherwise(
    installation: Installation, name: str, on: dt.date | None, good: re.Pattern[str]
) -> bool:
    """Whether the last remark of an inspection that speaks of insulation does not say it is good.

    ``on``: entries after that date are not known yet; None: all count.
    """
    history = sorted(
        (
            one
            for one in installation.inspections
            if one.on.casefold() == name.casefold() and (on is None or one.date <= on)
        ),
        key=lambda one: one.date,
    )
    told = [one.note for one in history if _LAYER.search(one.note)]
    return bool(told) and (speaks_of_fault(told[-1]) or not is_said_of(good, told[-1]))


def unconfirmed_insulation(installation: Installation, on: dt.date) -> dict[str, str]:
    """Parts whose insulation nobody may count on in any fire as of a date, and why.

    ``offered``: nobody has confirmed it; ``no limit``: nobody says how hot it may get; else the
    condition of the part that an inspection found, ``remark`` where its words tell of a fault, or
    the last that speak of insulation do not say that it is good.
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
        elif seen.doubtful_remark or _told_otherwise(installation, part.id, on, _GOOD):
            found[part.id] = "remark"
    return found
