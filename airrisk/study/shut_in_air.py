"""Air and condensate shut in a part: pressure against temperature at constant volume."""

from __future__ import annotations

import numpy as np

from airrisk.fire.case import OVERFULL
from airrisk.installation.geometry import MOST_CONDENSATE
from airrisk.physics import air
from airrisk.physics.water_kernel import ICE_POINT, WATER_DENSITY, WATER_GAS_CONSTANT


class ScreeningError(ValueError):
    """A part that cannot be screened, with the reason."""


def vapour_pressure(water: float, volume: float, temperature: np.ndarray | float) -> np.ndarray:
    """Pressure of water vapour [Pa]: saturated until all of the water has evaporated.

    Parameters
    ----------
    water
        Mass [kg].
    volume
        Room of air and vapour [m3].
    temperature
        Of both [K], shape as given.
    """
    t = np.asarray(temperature, dtype=float)
    if water == 0.0:
        return np.zeros_like(t)
    evaporated = water * WATER_GAS_CONSTANT * t / volume
    # over ice the vapour counts no more than at the melting point, 611 Pa
    return np.minimum(air.saturation_pressure_water(np.maximum(t, ICE_POINT)), evaporated)


class ShutInAir:
    """The air (and condensate) of one part, shut in: pressure against temperature.

    Parameters
    ----------
    pressure, temperature
        State at the start [Pa absolute, K].
    volume
        Inside volume [m3].
    condensate
        Liquid water in it [m3]; it takes up room and makes vapour.

    Raises
    ------
    ScreeningError
        Water fills more than half of it: it would expand, which is not reckoned with.
    """

    def __init__(
        self, pressure: float, temperature: float, volume: float, condensate: float = 0.0
    ) -> None:
        self.volume = volume - condensate
        if condensate > MOST_CONDENSATE * volume:
            raise ScreeningError(OVERFULL)
        self.water = condensate * WATER_DENSITY
        self.start_pressure, self.start_temperature = pressure, temperature
        partial = pressure - float(self.vapour_pressure(temperature))
        self.density = float(air.density(partial, temperature))
        self._isochore = air.Isochore(self.density)
        self.mass = self.density * self.volume

    def vapour_pressure(self, temperature: np.ndarray | float) -> np.ndarray:
        """Pressure of the water vapour [Pa]: saturated until all water has evaporated."""
        return vapour_pressure(self.water, self.volume, temperature)

    def pressure(self, temperature: np.ndarray | float) -> np.ndarray:
        """Absolute pressure [Pa] at a temperature [K], shape as given."""
        t = np.asarray(temperature, dtype=float)
        return self._isochore.pressure(t) + self.vapour_pressure(t)
