"""Energy stored in compressed air, by several measures, and its TNT equivalent."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from airrisk.physics import air
from airrisk.physics.ideal_gas import EXPONENT
from airrisk.quantities import ZERO_CELSIUS

PCC2_AMBIENT = 101_000.0  # Pa, ASME PCC-2
PCC2_EXPONENT = 0.286
PCC2_TNT_ENERGY = 4_266_920.0  # J/kg, its SI form
ENERGY_MEASURES = ("brode", "isentropic", "isothermal", "availability", "isentropic_real")
# Energy that boiling water sets free when it flashes to 1 atm without losses: temperature of the
# saturated liquid in degC, kJ/kg, rounded up. Worked out with IAPWS-95 as CoolProp has it; straight
# lines between lie above the curve, by less than 4 % from 120 degC.
FLASHING = (
    (99.97, 0.0), (110.0, 3.7), (120.0, 8.4), (140.0, 20.7), (160.0, 36.5), (180.0, 55.8),
    (200.0, 78.3), (220.0, 104.1), (240.0, 133.1), (260.0, 165.5), (280.0, 201.5),
    (300.0, 241.7), (320.0, 287.0), (340.0, 339.6), (350.0, 370.3), (360.0, 406.7),
    (365.0, 429.0), (370.0, 457.4), (373.0, 487.0), (373.94, 520.4),
)  # fmt: skip


def brode_energy(p: float, volume: float, p0: float, exponent: float = EXPONENT) -> float:
    """Energy to raise the pressure at constant volume (Brode).

    Parameters
    ----------
    p, p0 : float
        Absolute pressure of the air and of the surroundings [Pa].
    volume : float
        Volume [m3].
    exponent : float
        k.

    Returns
    -------
    float
        (p - p0) V/(k - 1) [J].

    Source
    ------
    Brode (1959), Phys. Fluids 2, 217.
    """
    return (p - p0) * volume / (exponent - 1.0)


def isentropic_energy(p: float, volume: float, p0: float, exponent: float = EXPONENT) -> float:
    """Work of an isentropic expansion of an ideal gas, the atmosphere not deducted.

    Parameters
    ----------
    p, p0 : float
        Absolute pressure of the air and of the surroundings [Pa].
    volume : float
        Volume [m3].
    exponent : float
        k.

    Returns
    -------
    float
        p V/(k - 1) [1 - (p0/p)^((k-1)/k)] [J].
    """
    ratio = (p0 / p) ** ((exponent - 1.0) / exponent)
    return p * volume / (exponent - 1.0) * (1.0 - ratio)


def isothermal_energy(p: float, volume: float, p0: float) -> float:
    """Work of an isothermal expansion, p V ln(p/p0) [J], the atmosphere not deducted.

    Parameters
    ----------
    p, p0 : float
        Absolute pressure of the air and of the surroundings [Pa].
    volume : float
        Volume [m3].

    Returns
    -------
    float
        Energy [J].
    """
    return p * volume * math.log(p / p0)


def availability(p: float, volume: float, p0: float) -> float:
    """Most work against the atmosphere from air at its temperature.

    Parameters
    ----------
    p, p0 : float
        Absolute pressure of the air and of the surroundings [Pa].
    volume : float
        Volume [m3].

    Returns
    -------
    float
        p V [ln(p/p0) - (1 - p0/p)] [J].

    Source
    ------
    Crowl (1992), Process Safety Progress 11, 94.
    """
    return p * volume * (math.log(p / p0) - (1.0 - p0 / p))


@dataclass(frozen=True)
class RealExpansion:
    """Isentropic expansion of real air to ambient pressure."""

    energy: float  # J, m (u1 - u(s1, p0))
    mass: float  # kg
    end_temperature: float  # K
    note: str  # empty, or why the end state is an equilibrium one with liquid


def real_isentropic_expansion(
    p: float, temperature: float, volume: float, p0: float
) -> RealExpansion:
    """Drop of internal energy of real air expanding isentropically to ambient pressure.

    Parameters
    ----------
    p, p0 : float
        Absolute pressure of the air and of the surroundings [Pa].
    temperature : float
        Temperature of the air [K].
    volume : float
        Volume [m3].

    Returns
    -------
    RealExpansion
        Energy, mass and end state.

    Raises
    ------
    AirRangeError
        The state is outside the table.
    """
    rho = float(air.density(p, temperature))
    start = float(air.internal_energy(rho, temperature))
    end = air.isentropic_state(rho, temperature, p0)
    mass = rho * volume
    return RealExpansion(mass * (start - end.internal_energy), mass, end.temperature, end.note)


def stored_energies(
    p: float, temperature: float, volume: float, p0: float, t0: float
) -> dict[str, float]:
    """Energy stored in compressed air by five measures.

    Parameters
    ----------
    p, p0 : float
        Absolute pressure of the air and of the surroundings [Pa].
    temperature, t0 : float
        Temperature of the air and of the surroundings [K]. None of the five needs ``t0``;
        it is asked for so that a measure that does can be added.
    volume : float
        Volume [m3].

    Returns
    -------
    dict
        brode, isentropic, isothermal, availability (k = 1.4) and isentropic_real [J];
        all 0 without pressure above the surroundings.

    Raises
    ------
    AirRangeError
        The state is outside the table of air.
    """
    if p <= p0:
        return dict.fromkeys(ENERGY_MEASURES, 0.0)
    return {
        "brode": brode_energy(p, volume, p0),
        "isentropic": isentropic_energy(p, volume, p0),
        "isothermal": isothermal_energy(p, volume, p0),
        "availability": availability(p, volume, p0),
        "isentropic_real": real_isentropic_expansion(p, temperature, volume, p0).energy,
    }


def pcc2_energy(p: float, volume: float) -> float:
    """Stored energy of the pressure-test rule.

    Parameters
    ----------
    p : float
        Absolute pressure [Pa].
    volume : float
        Volume [m3].

    Returns
    -------
    float
        2.5 p V [1 - (101 kPa/p)^0.286] [J]; 0 below 101 kPa.

    Source
    ------
    ASME PCC-2 article 5.1 mandatory appendix II, air.
    """
    if p <= PCC2_AMBIENT:
        return 0.0
    return 2.5 * p * volume * (1.0 - (PCC2_AMBIENT / p) ** PCC2_EXPONENT)


def tnt_mass(energy: float, tnt_energy: float = 4.184e6) -> float:
    """TNT equivalent.

    Parameters
    ----------
    energy : float
        Stored energy [J].
    tnt_energy : float
        Energy of TNT [J/kg]; printed values run from 4.184 to 4.686 MJ/kg.

    Returns
    -------
    float
        Mass [kg].
    """
    return energy / tnt_energy


def flash_energy(temperature: float) -> float:
    """Energy that hot water sets free when its vessel bursts and part of it flashes to steam.

    Parameters
    ----------
    temperature : float
        Of the saturated liquid [K].

    Returns
    -------
    float
        Internal energy less that after isentropic expansion to 1 atm [J/kg]; 0 below boiling.

    Source
    ------
    IAPWS-95, see ``FLASHING``; from the critical point on, without liquid, its value there.
    """
    celsius, kilojoules = zip(*FLASHING, strict=True)
    return 1e3 * float(np.interp(temperature - ZERO_CELSIUS, celsius, kilojoules))
