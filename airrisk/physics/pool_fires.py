"""A pool of liquid that burns: its heat, how long, its flame, and how hot it is in it.

Diameters in m, heat release in W. The pool is taken round, steady and still: wind, a bund that
overflows and a rim above the liquid are in none of these forms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from airrisk.quantities import ZERO_CELSIUS
from airrisk.tables import read_toml

USUAL_RADIATED = 0.35  # of the heat release; NIST correlation guide (read)
HOTTEST = 900.0 + ZERO_CELSIUS  # K, cap of EN 1991-1-2 annex C
# In the lowest part of pools from 2 m plate thermometers read 985 degC where that annex has its cap
# of 900 (steel column in pools, NIST collection of fire measurements, read); the part and the
# temperature are judgement.
LARGE_POOL = 1.8  # m
HOTTEST_LOW = 1000.0 + ZERO_CELSIUS  # K
LOW_PART = 0.08  # m/kW^0.4
CONVECTED = 0.8  # of the heat release, in the annex


@dataclass(frozen=True)
class Fuel:
    """A liquid that burns in a pool."""

    key: str
    burning_rate: float  # kg/m2/s of a large pool
    heat_of_combustion: float  # J/kg
    k_beta: float  # 1/m
    density: float  # kg/m3
    radiated: float  # share of the heat release


@cache
def fuels() -> dict[str, Fuel]:
    """All fuels by key.

    Source
    ------
    resources/fuels.toml, with a source for each value. Where pools burned faster than the table of
    rates has it, the measured rate counts.
    """
    return {
        key: Fuel(
            key,
            max(float(row["burning_rate"]), float(row.get("measured", 0.0))),
            float(row["heat_of_combustion"]),
            float(row["k_beta"]),
            float(row["density"]),
            float(row.get("radiated", USUAL_RADIATED)),
        )
        for key, row in read_toml("fuels.toml").items()
    }


def area_of(diameter: float) -> float:
    """Area of a round pool [m2]."""
    return 0.25 * math.pi * diameter**2


def diameter_of(area: float) -> float:
    """Diameter of the round pool of an area [m]."""
    return math.sqrt(4.0 * area / math.pi)


def burning_rate(fuel: Fuel, diameter: float) -> float:
    """Rate of a pool [kg/m2/s]: m" (1 - exp(-k beta D)).

    Source
    ------
    Babrauskas 1983, as in NUREG-1805 (sheets read); for pools above 0.2 m.
    """
    return -fuel.burning_rate * math.expm1(-fuel.k_beta * diameter)


def heat_release(fuel: Fuel, diameter: float) -> float:
    """Heat release of a pool [W]."""
    return burning_rate(fuel, diameter) * fuel.heat_of_combustion * area_of(diameter)


def burning_time(fuel: Fuel, diameter: float, volume: float) -> float:
    """How long a volume [m3] burns in a pool of a diameter [s], at the rate of its heat release.

    Source
    ------
    Balance of mass.
    """
    return volume * fuel.density / (burning_rate(fuel, diameter) * area_of(diameter))


def flame_height(heat: float, diameter: float) -> float:
    """Mean height of the flame [m], 0 where it does not hold together.

    Parameters
    ----------
    heat : float
        Heat release [W].
    diameter : float
        Of the pool [m].

    Source
    ------
    Heskestad: L = 0.235 Q^(2/5) - 1.02 D with Q in kW; NUREG-1805 and NIST guide (read).
    """
    return max(0.235 * (heat / 1e3) ** 0.4 - 1.02 * diameter, 0.0)


def emissive_power(heat: float, diameter: float, height: float, radiated: float) -> float:
    """Radiation from the surface of the flame [W/m2].

    Parameters
    ----------
    heat, diameter, height
        Of the pool and its flame [W, m, m].
    radiated : float
        Share of the heat release that is radiated.

    Returns
    -------
    float
        58 kW/m2 10^(-0.00823 D), and no more than what is radiated spread over the flame's side.

    Source
    ------
    Shokri and Beyler 1989 as in NUREG-1805 (sheets read); the cap is that of the NIST correlation
    guide's program (read).
    """
    if height <= 0.0:
        return 0.0
    sooty = 58e3 * 10.0 ** (-0.00823 * diameter)
    return min(sooty, radiated * heat / (math.pi * diameter * height))


def flame_temperature_at(heat: float, diameter: float, height: float) -> float:
    """Temperature on the axis of flame and plume at a height above the pool [K].

    Parameters
    ----------
    heat, diameter
        Of the pool [W, m].
    height : float
        Above the liquid [m].

    Source
    ------
    EN 1991-1-2:2002 annex C.2 (from memory): 20 + 0.25 (0.8 Q)^(2/3) (z - z0)^(-5/3), at most
    900 degC; in the lowest part of pools from about 2 m 1000 degC instead, as measured.
    """
    origin = 0.00524 * heat**0.4 - 1.02 * diameter
    above = height - origin
    low = diameter >= LARGE_POOL and height <= LOW_PART * (heat / 1e3) ** 0.4
    cap = HOTTEST_LOW if low else HOTTEST
    if above <= 0.0:
        return cap
    rise = 0.25 * (CONVECTED * heat) ** (2.0 / 3.0) * above ** (-5.0 / 3.0)
    if low:
        return cap
    return min(20.0 + ZERO_CELSIUS + rise, cap)
