"""How hot the gas under the ceiling of a room gets in which something burns."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from airrisk.tables import read_toml

FACTOR = 6.85  # K in the units of the correlation: kW, m, s
BURNS_WHOLE = 500.0  # K above the air before: from there on all of a room is taken to burn; memory


@dataclass(frozen=True)
class Lining:
    """What walls and ceiling of a room are made of."""

    key: str
    conductivity: float  # W/m/K
    density: float  # kg/m3
    specific_heat: float  # J/kg/K
    thickness: float  # m, usual


@cache
def linings() -> dict[str, Lining]:
    """All linings by key.

    Source
    ------
    resources/linings.toml, with a source for each value.
    """
    return {
        key: Lining(
            key,
            float(row["conductivity"]),
            float(row["density"]),
            float(row["specific_heat"]),
            float(row["thickness"]),
        )
        for key, row in read_toml("linings.toml").items()
    }


def lost_into(lining: Lining, thickness: float, time: float) -> float:
    """Heat that walls and ceiling take up by square metre and degree [W/m2/K].

    Parameters
    ----------
    lining
        What they are made of.
    thickness : float
        [m].
    time : float
        Since the fire began [s].

    Source
    ------
    McCaffrey, Quintiere and Harkleroad as in NUREG-1805 (sheets read): by the square root of time
    until heat comes through, then by conduction.
    """
    stored = lining.density * lining.specific_heat
    through = stored / lining.conductivity * (0.5 * thickness) ** 2
    if time < through:
        return math.sqrt(lining.conductivity * stored / time)
    return lining.conductivity / thickness


def layer_rise(heat: float, surface: float, opening: tuple[float, float], lost: float) -> float:
    """How much hotter than before the gas under the ceiling is [K].

    Parameters
    ----------
    heat : float
        Heat release [W].
    surface : float
        Of walls, ceiling and floor without the opening [m2].
    opening : tuple of float
        Area and height of the openings [m2, m].
    lost : float
        Into walls and ceiling [W/m2/K].

    Source
    ------
    McCaffrey, Quintiere and Harkleroad 1981 as in NUREG-1805 (sheets read).
    """
    area, height = opening
    kilowatts = heat * 1e-3
    return FACTOR * (kilowatts**2 / (area * math.sqrt(height) * surface * lost * 1e-3)) ** (
        1.0 / 3.0
    )


def surface_of(volume: float, height: float) -> float:
    """Surface of a square room [m2]: no other shape of its volume [m3] and height [m] has less."""
    floor = volume / height
    return 2.0 * floor + 4.0 * math.sqrt(floor) * height
