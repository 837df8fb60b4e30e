"""Stored energy of one part by five measures, beside things that people know."""

from __future__ import annotations

import math

from airrisk.installation.geometry import part_geometry
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.start import start_state
from airrisk.quantities import GRAVITY
from airrisk.study.records import CAR_MASS, FALL, StoredEnergy
from airrisk.study.screening import energies_of


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
