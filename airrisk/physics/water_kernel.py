"""Water that boils in a shut-in part, as scalar functions that can be compiled.

Plain Python without decorators, restricted to what numba compiles in nopython mode.
"""

from __future__ import annotations

import math

WATER_GAS_CONSTANT = 461.526  # J/kg/K, IAPWS-IF97
WATER_CRITICAL_TEMPERATURE = 647.096  # K, IAPWS-95
WATER_CRITICAL_PRESSURE = 22.064e6  # Pa, IAPWS-95
WATER_DENSITY = 998.0  # kg/m3, at 20 degC
HOTTEST_LIQUID = 640.0  # K, liquid is not followed closer to the critical point
ICE_POINT = 273.16  # K, over ice the vapour counts no more than at the triple point
WATER_SPECIFIC_HEAT = 4190.0  # J/kg/K, of the liquid; 4180 to 4200 up to 80 degC, 4500 at 200 degC


def saturation_pressure(temperature):
    """Pressure of the vapour over liquid water.

    Parameters
    ----------
    temperature : float
        Of the liquid [K]; below ``ICE_POINT`` and above ``HOTTEST_LIQUID`` these count.

    Returns
    -------
    float
        Pressure [Pa].

    Source
    ------
    Wagner and Pruss (1993), J. Phys. Chem. Ref. Data 22, 783, equation 1.
    """
    t = min(max(temperature, ICE_POINT), HOTTEST_LIQUID)
    v = 1.0 - t / WATER_CRITICAL_TEMPERATURE
    root = math.sqrt(v)
    cube = v * v * v
    exponent = (
        -7.85951783 * v
        + 1.84408259 * v * root
        - 11.7866497 * cube
        + 22.6807411 * cube * root
        - 15.9618719 * cube * v
        + 1.80122502 * cube * cube * v * root
    )
    return WATER_CRITICAL_PRESSURE * math.exp(exponent * WATER_CRITICAL_TEMPERATURE / t)


def heat_of_evaporation(temperature):
    """Heat that evaporates water.

    Parameters
    ----------
    temperature : float
        Of the liquid [K].

    Returns
    -------
    float
        Heat [J/kg].

    Source
    ------
    Watson's rule with the exponent 0.38 from 2.257 MJ/kg at 373.15 K (handbooks, from memory).
    """
    t = min(max(temperature, ICE_POINT), HOTTEST_LIQUID)
    share = (WATER_CRITICAL_TEMPERATURE - t) / (WATER_CRITICAL_TEMPERATURE - 373.15)
    return 2.257e6 * math.exp(0.38 * math.log(share))
