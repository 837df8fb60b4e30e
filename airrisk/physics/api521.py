"""Relief of a gas-filled vessel in an open fire by the usual formula, for comparison."""

from __future__ import annotations

import math
from dataclasses import dataclass

from airrisk.messages import said
from airrisk.physics.ideal_gas import EXPONENT

CARBON_STEEL_WALL = 866.15  # K (593 C), recommended largest wall temperature
LEAST_FACTOR = 182.0  # F' in SI units
MOLAR_MASS_OF_AIR = 28.96  # kg/kmol


@dataclass(frozen=True)
class GasVesselRelief:
    """Relief area of a gas-filled vessel."""

    area: float | None  # m2; None: no relief valve can protect the wall
    mass_flow: float | None  # kg/s
    gas_temperature: float  # K, at the relieving pressure
    factor: float | None  # F' in SI units
    reason: str  # empty, or why there is no area


def gas_coefficient(exponent: float) -> float:
    """Coefficient C of critical flow in SI units.

    Parameters
    ----------
    exponent : float
        k.

    Returns
    -------
    float
        0.03948 sqrt(k (2/(k+1))^((k+1)/(k-1))) [sqrt(kg kmol K)/(mm2 h kPa)].

    Source
    ------
    API 520-I sizing equation for critical flow.
    """
    k = exponent
    return 0.03948 * math.sqrt(k * (2.0 / (k + 1.0)) ** ((k + 1.0) / (k - 1.0)))


def gas_filled_relief(
    *,
    normal_pressure: float,
    normal_temperature: float,
    relieving_pressure: float,
    exposed_area: float,
    discharge_coefficient: float,
    wall_temperature: float = CARBON_STEEL_WALL,
    exponent: float = EXPONENT,
    molar_mass: float = MOLAR_MASS_OF_AIR,
) -> GasVesselRelief:
    """Relief area of a vessel filled with gas, heated by an open pool fire.

    Parameters
    ----------
    normal_pressure, relieving_pressure : float
        Absolute pressures [Pa].
    normal_temperature, wall_temperature : float
        Temperatures [K]; 593 C is the usual wall limit of carbon steel.
    exposed_area : float
        Surface in the fire [m2].
    discharge_coefficient : float
        Kd.
    exponent : float
        k.
    molar_mass : float
        Molar mass [kg/kmol].

    Returns
    -------
    GasVesselRelief
        Area and flow, or the reason why there is none.

    Raises
    ------
    ValueError
        A number is not above 0.

    Source
    ------
    API 521 (gas expansion, unwetted vessel), from memory, units cross-checked:
    A = F' A'/sqrt(p1), F' = 0.2772/(C Kd) (Tw - T1)^1.25/T1^0.6506 (mm2, m2, kPa, K).
    """
    for name, value in (
        ("normal_pressure", normal_pressure),
        ("normal_temperature", normal_temperature),
        ("relieving_pressure", relieving_pressure),
        ("exposed_area", exposed_area),
        ("discharge_coefficient", discharge_coefficient),
    ):
        if not value > 0.0:
            raise ValueError(f"{name} = {value}: must be above 0")
    t1 = normal_temperature * relieving_pressure / normal_pressure
    if t1 >= wall_temperature:
        return GasVesselRelief(None, None, t1, None, said("gas-as-hot-as-wall-limit"))
    p_kpa = relieving_pressure / 1e3
    coefficient = gas_coefficient(exponent)
    driving = (wall_temperature - t1) ** 1.25
    factor = 0.2772 / (coefficient * discharge_coefficient) * driving / t1**0.6506
    factor = max(factor, LEAST_FACTOR)
    flow = 0.2772 * math.sqrt(molar_mass * p_kpa) * exposed_area * driving / t1**1.1506 / 3600.0
    return GasVesselRelief(factor * exposed_area / math.sqrt(p_kpa) * 1e-6, flow, t1, factor, "")
