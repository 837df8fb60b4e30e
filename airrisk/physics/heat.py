"""Heat transfer for single values and arrays; the scalars are those of ``heat_kernel``."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics import heat_kernel
from airrisk.physics.air import conductivity, prandtl, viscosity

Array = NDArray[np.float64]

GRAVITY = 9.80665  # m/s2
STEFAN_BOLTZMANN = heat_kernel.STEFAN_BOLTZMANN
INNER_EMISSIVITY = 0.8  # oxidised or oily steel; judgement
# factors on the inner convection that span its uncertainty: forms in use differ by so much (memory)
CONVECTION_DOUBT = (0.6, 1.4)


def net_flux(
    flame: ArrayLike, wall: ArrayLike, emissivity: ArrayLike, convection: ArrayLike
) -> Array:
    """Heat flux from flames into a wall.

    Parameters
    ----------
    flame, wall : array
        Temperatures [K].
    emissivity : array
        Product of the emissivities of flame and wall.
    convection : array
        Heat transfer coefficient [W/m2/K].

    Returns
    -------
    array
        Flux [W/m2].

    Source
    ------
    EN 1991-1-2:2002 3.1, configuration factor 1.
    """
    f, w, e, h = (np.asarray(value, float) for value in (flame, wall, emissivity, convection))
    return np.asarray(heat_kernel.net_flux(f, w, e, h))


def absorbed_flux(
    incident: ArrayLike,
    wall: ArrayLike,
    ambient: ArrayLike,
    emissivity: ArrayLike,
    convection: ArrayLike,
) -> Array:
    """Heat flux into a wall under an incident radiant flux.

    Parameters
    ----------
    incident : array
        Radiant flux that falls on the wall [W/m2].
    wall, ambient : array
        Temperatures [K]; the wall radiates and convects to the ambient.
    emissivity : array
        Absorptivity and emissivity of the wall.
    convection : array
        Heat transfer coefficient [W/m2/K].

    Returns
    -------
    array
        Flux [W/m2].
    """
    values = (
        np.asarray(value, float) for value in (incident, wall, ambient, emissivity, convection)
    )
    return np.asarray(heat_kernel.absorbed_flux(*values))


def rayleigh_number(rho: ArrayLike, wall: ArrayLike, gas: ArrayLike, length: float) -> Array:
    """Rayleigh number of air beside a wall.

    Parameters
    ----------
    rho : array
        Density of the air [kg/m3].
    wall, gas : array
        Temperatures [K].
    length : float
        Characteristic length, the inside diameter [m].

    Returns
    -------
    array
        g beta dT L^3 rho^2 Pr / mu^2, properties of dilute air at the film temperature,
        expansion 1/film temperature.
    """
    r, w, g = (np.asarray(value, float) for value in (rho, wall, gas))
    film = 0.5 * (w + g)
    return (
        GRAVITY * np.abs(w - g) * length**3 * r**2 * prandtl(film) / (film * viscosity(film) ** 2)
    )


def natural_convection(
    rho: ArrayLike, wall: ArrayLike, gas: ArrayLike, length: float = 1.0
) -> Array:
    """Heat transfer coefficient between a wall and the air inside.

    Parameters
    ----------
    rho : array
        Density of the air, mass over volume [kg/m3].
    wall, gas : array
        Temperatures [K].
    length : float
        Characteristic length [m]; it cancels.

    Returns
    -------
    array
        Coefficient [W/m2/K].

    Raises
    ------
    AirRangeError
        The film temperature is outside 80-1600 K.

    Source
    ------
    Nu = 0.13 Ra^(1/3), handbook form above Ra 1e9; uncertainty about 40 %.
    """
    film = 0.5 * (np.asarray(wall, float) + np.asarray(gas, float))
    nusselt = 0.13 * np.cbrt(rayleigh_number(rho, wall, gas, length))
    return nusselt * conductivity(film) / length


def inner_radiation(
    hot: float,
    cold: float,
    hot_area: float,
    cold_area: float,
    emissivity: float = INNER_EMISSIVITY,
) -> float:
    """Radiant heat from the hot to the cold wall zone of one vessel.

    Parameters
    ----------
    hot, cold : float
        Temperatures [K].
    hot_area, cold_area : float
        Areas [m2].
    emissivity : float
        Of both surfaces.

    Returns
    -------
    float
        Heat [W].

    Source
    ------
    Two grey surfaces of an enclosure, view factor Fhc = Ac/(Ah + Ac).
    """
    return heat_kernel.inner_radiation(hot, cold, hot_area, cold_area, emissivity)


def biot_number(coefficient: float, wall: float, conductivity_of_wall: float) -> float:
    """Biot number of a wall heated from one side, h t / k.

    Parameters
    ----------
    coefficient : float
        Heat flux over temperature difference [W/m2/K].
    wall : float
        Thickness [m].
    conductivity_of_wall : float
        Conductivity [W/m/K].

    Returns
    -------
    float
        Biot number; the lumped wall holds to about 0.1.
    """
    return coefficient * wall / conductivity_of_wall
