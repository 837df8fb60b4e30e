"""Stored energy and rupture temperature of one vessel against pressure, volume and temperature.

For a student who turns one knob at a time: the five measures of stored energy, the rupture
temperature with real air and with ideal gas, and how far real air is from ideal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.geometry import burst_factor, shell_grade
from airrisk.installation.model import Installation, Vessel
from airrisk.physics import air, energy, metal
from airrisk.study.screening import HIGHEST_TEMPERATURE

Variable = Literal["pressure", "volume", "temperature"]
VARIABLES: tuple[Variable, ...] = ("pressure", "volume", "temperature")
MEASURES = ("brode", "isentropic", "isothermal", "availability", "isentropic_real")
POINTS = 41
PRESSURE_SPAN = 4.0  # times the design gauge pressure
HOTTEST_START = 600.0  # K
HEATING_POINTS = 801  # about 1.5 K apart; strength is linear between its nodes


@dataclass(frozen=True, eq=False)
class EnergySweep:
    """One quantity varied, the others as in the file."""

    variable: Variable
    x: NDArray[np.float64]  # Pa absolute, m3 or K
    energies_j: Mapping[str, NDArray[np.float64]]  # five measures
    pcc2_j: NDArray[np.float64]
    rupture_real_k: NDArray[np.float64]  # NaN: not within the range of the metal
    rupture_ideal_k: NDArray[np.float64]
    compressibility: NDArray[np.float64]  # Z at the start, 1 for ideal gas
    here: float  # value in the file


@dataclass(frozen=True, eq=False)
class EnergyMap:
    """The sweeps of one vessel."""

    vessel: str
    basis: str
    pressure_pa: float
    volume_m3: float
    temperature_k: float
    ambient_pressure_pa: float
    sweeps: tuple[EnergySweep, ...]


def _first_crossing(
    temperature: NDArray[np.float64], excess: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Temperature at which each row of pressure less burst pressure first reaches 0; else NaN."""
    reached = excess >= 0.0
    index = np.argmax(reached, axis=1)
    rows = np.arange(excess.shape[0])
    before = np.maximum(index - 1, 0)
    low, high = excess[rows, before], excess[rows, index]
    share = np.where(high > low, -low / np.where(high > low, high - low, 1.0), 1.0)
    start, end = temperature[rows, before], temperature[rows, index]
    found = np.where(index == 0, end, start + share * (end - start))
    return np.where(reached.any(axis=1), found, np.nan)


def _range(variable: Variable, vessel: Vessel, ambient: float) -> NDArray[np.float64]:
    if variable == "pressure":
        top = ambient + PRESSURE_SPAN * max(vessel.design_pressure - ambient, 1e5)
        return np.linspace(ambient + 0.02 * (top - ambient), top, POINTS)
    if variable == "volume":
        return np.linspace(0.1 * vessel.volume, 3.0 * vessel.volume, POINTS)
    return np.linspace(253.15, HOTTEST_START, POINTS)


def energy_sweep(
    installation: Installation, vessel: Vessel, variable: Variable, basis: str
) -> EnergySweep:
    """One knob turned over its range.

    Parameters
    ----------
    installation : Installation
        For site and choices.
    vessel : Vessel
        The vessel; its condensate is left out.
    variable : str
        "pressure" [Pa absolute], "volume" [m3] or "temperature" [K].
    basis : str
        Strength basis of the rupture temperature.

    Returns
    -------
    EnergySweep
        SI.

    Raises
    ------
    AirRangeError
        A state lies outside the air table.
    """
    ambient, surroundings = (
        installation.site.ambient_pressure,
        installation.site.ambient_temperature,
    )
    values = _range(variable, vessel, ambient)
    start = np.array([vessel.pressure, vessel.volume, vessel.temperature])
    states = np.tile(start, (values.size, 1))
    states[:, ("pressure", "volume", "temperature").index(variable)] = values
    columns = [
        energy.stored_energies(p, t, v, ambient, surroundings) for p, v, t in states.tolist()
    ]
    pressure, temperature = states[:, 0], states[:, 2]
    factor = burst_factor(vessel, installation.choices.burst_formula, basis)
    top = min(metal.material(vessel.material).max_temperature, HIGHEST_TEMPERATURE)
    density = air.density(pressure, temperature)
    heated = temperature[:, None] + np.linspace(0.0, 1.0, HEATING_POINTS) * np.maximum(
        top - temperature, 0.0
    ).reshape(-1, 1)
    burst = ambient + factor * metal.strength(shell_grade(vessel), basis, heated)
    real = air.pressure(np.broadcast_to(density[:, None], heated.shape), heated)
    ideal = pressure[:, None] * heated / temperature[:, None]
    here = {
        "pressure": vessel.pressure,
        "volume": vessel.volume,
        "temperature": vessel.temperature,
    }[variable]
    return EnergySweep(
        variable,
        values,
        {key: np.array([column[key] for column in columns]) for key in MEASURES},
        np.array([energy.pcc2_energy(p, v) for p, v, _ in states.tolist()]),
        _first_crossing(heated, real - burst),
        _first_crossing(heated, ideal - burst),
        np.asarray(air.compressibility(pressure, temperature)),
        here,
    )


def energy_map(
    installation: Installation, vessel: Vessel, variables: Sequence[Variable] = VARIABLES
) -> EnergyMap:
    """Sweeps of one vessel on the chosen strength basis.

    Parameters
    ----------
    installation : Installation
        The checked installation.
    vessel : Vessel
        One of its vessels.
    variables : sequence of str
        What is varied, each in a sweep of its own.

    Returns
    -------
    EnergyMap
        SI.
    """
    basis = metal.resolve_basis(vessel.material, installation.choices.strength_basis)
    return EnergyMap(
        vessel.id,
        basis,
        vessel.pressure,
        vessel.volume,
        vessel.temperature,
        installation.site.ambient_pressure,
        tuple(energy_sweep(installation, vessel, variable, basis) for variable in variables),
    )
