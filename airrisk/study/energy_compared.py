"""Stored energy of one part by five measures, beside things that people know."""

from __future__ import annotations

import math
from dataclasses import dataclass

from airrisk.installation.geometry import part_geometry
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.start import start_state
from airrisk.quantities import GRAVITY
from airrisk.study.records import EnergiesRecord
from airrisk.study.screening import energies_of

FALL = 10.0  # m, a house of three storeys
CAR_MASS = 1500.0  # kg


@dataclass(frozen=True)
class StoredEnergy:
    """What the air of one part could do as it is shut in at the start."""

    energies: EnergiesRecord  # J
    pressure_times_volume_j: float  # gauge pressure times volume: no energy that can be had
    falling_mass_kg: float  # that falls by ``FALL`` with the isentropic energy
    car_speed_m_s: float  # of a car of ``CAR_MASS`` with the isentropic energy


def stored_energy(installation: Installation, part: Vessel | Line) -> StoredEnergy:
    """Stored energy of a vessel or line at the start.

    Parameters
    ----------
    installation
        The checked installation that the part belongs to.
    part
        One of its holders.

    Returns
    -------
    StoredEnergy
        SI. Potential energy m g h, kinetic energy m v^2 / 2.

    Raises
    ------
    air.AirRangeError
        Its state lies outside the air table.
    """
    pressure, temperature = start_state(installation, part)
    volume, site = part_geometry(part).volume, installation.site
    ambient = site.ambient_pressure
    energies = energies_of(pressure, temperature, volume, ambient, site.ambient_temperature)
    return StoredEnergy(
        energies=energies,
        pressure_times_volume_j=max(pressure - ambient, 0.0) * volume,
        falling_mass_kg=energies.isentropic / (GRAVITY * FALL),
        car_speed_m_s=math.sqrt(2.0 * energies.isentropic / CAR_MASS),
    )
