"""Exact solutions of the plane shock tube of ideal gases, for the solver to be held against."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.shock_tube import starting_overpressure

Array = NDArray[np.float64]
EXPONENT = 1.4


def pressure_ratio_for_shock(
    overpressure: ArrayLike,
    temperature_ratio: ArrayLike = 1.0,
    heat_ratio_inside: float = EXPONENT,
    heat_ratio_outside: float = EXPONENT,
) -> Array:
    """Vessel pressure ratio that drives a shock of given strength.

    Parameters
    ----------
    overpressure : x = Ps/p0 of the shock
    temperature_ratio : T1/T0, the same gas on both sides
    heat_ratio_inside, heat_ratio_outside : cp/cv

    Returns
    -------
    p1/p0; infinite where no pressure drives so strong a shock.

    Source: shock-tube relation,
    p1/p0 = (x+1) [1 - (g1-1)(a0/a1) x / sqrt(2 g0 (2 g0 + (g0+1) x))]^(-2 g1/(g1-1)).
    """
    x = np.asarray(overpressure, float)
    g1, g0 = heat_ratio_inside, heat_ratio_outside
    sound_ratio = np.sqrt(g0 / (g1 * np.asarray(temperature_ratio, float)))
    bracket = 1 - (g1 - 1) * sound_ratio * x / np.sqrt(2 * g0 * (2 * g0 + (g0 + 1) * x))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(
            bracket > 0,
            (x + 1) * np.maximum(bracket, 1e-300) ** (-2 * g1 / (g1 - 1)),
            np.inf,
        )


@dataclass(frozen=True)
class TubeState:
    """Density, velocity and pressure along a shock tube (arrays)."""

    density: Array
    velocity: Array
    pressure: Array


def exact_shock_tube(
    position_over_time: ArrayLike,
    left: tuple[float, float],
    right: tuple[float, float],
    heat_ratio: float = EXPONENT,
) -> TubeState:
    """Exact solution of the shock tube at rest on both sides, high pressure left.

    Parameters
    ----------
    position_over_time : x/t from the diaphragm
    left, right : (density, pressure)
    heat_ratio : cp/cv, the same gas

    Returns
    -------
    TubeState.

    Raises
    ------
    ValueError
        The left pressure is not above the right one.

    Source: Riemann's solution (rarefaction, contact, shock).
    """
    (rho1, p1), (rho0, p0) = left, right
    if not p1 > p0:
        raise ValueError("exact shock tube: the left pressure must be above the right one")
    g = heat_ratio
    a1, a0 = np.sqrt(g * p1 / rho1), np.sqrt(g * p0 / rho0)
    temperature_ratio = (p1 / rho1) / (p0 / rho0)
    x = starting_overpressure(p1 / p0, temperature_ratio, g, g)
    p = p0 * (1 + x)
    mach = np.sqrt(1 + (g + 1) / (2 * g) * x)
    shock = a0 * mach
    u = a0 * x / g / mach
    behind = rho0 * shock / (shock - u)
    inside = rho1 * (p / p1) ** (1 / g)
    a_inside = np.sqrt(g * p / inside)
    s = np.asarray(position_over_time, float)
    fan = (s > -a1) & (s < u - a_inside)
    a_fan = np.clip(2 / (g + 1) * (a1 - (g - 1) / 2 * s), a_inside, a1)
    u_fan = 2 / (g + 1) * (a1 + s)
    p_fan = p1 * (a_fan / a1) ** (2 * g / (g - 1))
    rho_fan = rho1 * (a_fan / a1) ** (2 / (g - 1))
    zones = [s <= -a1, fan, (s >= u - a_inside) & (s < u), (s >= u) & (s < shock)]
    return TubeState(
        np.select(zones, [rho1, rho_fan, inside, behind], rho0),
        np.select(zones, [0.0, u_fan, u, u], 0.0),
        np.select(zones, [p1, p_fan, p, p], p0),
    )
