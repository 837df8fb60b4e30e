"""Plane shock tube of ideal gases: starting overpressure of a bursting vessel."""

from __future__ import annotations

import math
from functools import lru_cache

from airrisk.physics.ideal_gas import EXPONENT
from airrisk.physics.roots import bracketed_root


@lru_cache(maxsize=4096)
def starting_overpressure(
    pressure_ratio: float,
    temperature_ratio: float = 1.0,
    heat_ratio_inside: float = EXPONENT,
    heat_ratio_outside: float = EXPONENT,
) -> float:
    """Overpressure of the shock that leaves a bursting vessel, as a share of ambient pressure.

    Parameters
    ----------
    pressure_ratio : p1/p0, above 1
    temperature_ratio : T1/T0
    heat_ratio_inside, heat_ratio_outside : cp/cv

    Returns
    -------
    Ps/p0 at the vessel's surface.

    Raises
    ------
    ValueError
        A ratio is out of range.

    Source: shock-tube relation, bracketed root.
    """
    if not pressure_ratio >= 1 or not temperature_ratio > 0:
        raise ValueError(
            f"starting overpressure: pressure ratio {pressure_ratio:g} and temperature ratio "
            f"{temperature_ratio:g}; valid are at least 1 and above 0"
        )
    if pressure_ratio == 1:
        return 0.0

    g1, g0 = heat_ratio_inside, heat_ratio_outside
    sound_ratio = math.sqrt(g0 / (g1 * temperature_ratio))

    def miss(x: float) -> float:
        bracket = 1 - (g1 - 1) * sound_ratio * x / math.sqrt(2 * g0 * (2 * g0 + (g0 + 1) * x))
        if bracket <= 0:
            return 1.0
        # logarithms: the power itself overflows near the strongest shock
        return math.log1p(x) - 2 * g1 / (g1 - 1) * math.log(bracket) - math.log(pressure_ratio)

    return bracketed_root(miss, 0.0, pressure_ratio - 1 + 1e-12, tolerance=1e-12, relative=1e-13)
