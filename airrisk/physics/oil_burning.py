"""Oil that burns at once in shut-in air: how much of it makes how much pressure.

The heat goes into the air alone, at constant volume: the walls stay as they are, nothing leaves,
and what burns counts as air. A bound for screening: real combustion loses heat to the walls, and
above some 2000 K part of the products falls apart again. A detonation is not covered.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from airrisk.physics import air
from airrisk.physics.metal_kernel import heat_capacity
from airrisk.physics.roots import bracketed_root
from airrisk.tables import read_toml

HOTTEST = 6000.0  # K, above what all the oxygen of cold air can give
STEPS = 200  # of the heat content of metal


@dataclass(frozen=True)
class Oil:
    """What is known of lubricating oil."""

    heat_of_combustion: float  # J/kg
    oxygen_demand: float  # kg/kg
    oxygen_in_air: float  # kg/kg
    density: float  # kg/m3

    @property
    def burnt_by_air(self) -> float:
        """Most oil that a kilogramme of air burns, kg/kg."""
        return self.oxygen_in_air / self.oxygen_demand


@cache
def oil() -> Oil:
    """The numbers of resources/oil.toml, with source and standing there."""
    table = read_toml("oil.toml")
    return Oil(**{key: float(table[key]["value"]) for key in Oil.__dataclass_fields__})


class HeatedAir:
    """Air at one density that takes up heat, beyond the table of real air drawn on straight.

    Pressure and energy go on with the slopes at the end of the table. Real air takes more heat
    there, so that oil is counted too low and pressure too high.

    Parameters
    ----------
    density
        kg/m3.
    start
        Temperature at the start [K].

    Raises
    ------
    AirRangeError
        The state at the start is outside the table.
    """

    def __init__(self, density: float, start: float) -> None:
        self.density, self.start = density, start
        self._isochore = air.Isochore(density)
        self._first = float(air.internal_energy(density, start))
        self._top = air.air_state(density, air.HIGHEST_TEMPERATURE)

    def pressure(self, temperature: float) -> float:
        """Pressure [Pa] at a temperature [K]."""
        beyond = temperature - air.HIGHEST_TEMPERATURE
        if beyond > 0.0:
            return float(self._top.pressure) + float(self._top.dp_dt) * beyond
        return float(self._isochore.pressure(temperature))

    def heat(self, temperature: float) -> float:
        """Heat from the start to a temperature [K], in J for a kilogramme of air."""
        beyond = temperature - air.HIGHEST_TEMPERATURE
        if beyond > 0.0:
            top = float(self._top.internal_energy)
            return top + float(self._top.cv) * beyond - self._first
        return float(air.internal_energy(self.density, temperature)) - self._first

    def temperature_of_pressure(self, pressure: float) -> float | None:
        """Temperature [K] at which a pressure [Pa] is reached; None: the start is above it."""
        if self.pressure(self.start) >= pressure:
            return None
        return self._where(lambda t: self.pressure(t) - pressure)

    def temperature_of_heat(self, heat: float) -> float:
        """Temperature [K] after so much heat for a kilogramme of air [J/kg]."""
        return self._where(lambda t: self.heat(t) - heat)

    def _where(self, excess) -> float:  # type: ignore[no-untyped-def]
        top = HOTTEST
        while excess(top) < 0.0:
            top *= 2.0
        return bracketed_root(excess, self.start, top, tolerance=1e-6)


def metal_heat(family: int, mass: float, start: float, end: float) -> float:
    """Heat that warms metal from one temperature to another.

    Parameters
    ----------
    family : int
        Code of the metal's family.
    mass : float
        Of the metal [kg].
    start, end : float
        Temperatures [K].

    Returns
    -------
    float
        Heat [J].

    Source
    ------
    Heat capacities as in ``metal_kernel``.
    """
    step = (end - start) / STEPS
    middles = (start + (k + 0.5) * step for k in range(STEPS))
    return mass * step * sum(heat_capacity(family, t) for t in middles)
