"""A jet of gas or spray that burns: its power, its length, and the heat in it and beside it.

The jet is level and straight. Outside it radiates as a row of points on its axis; inside a stated
heat falls on what it meets. Wind, buoyancy that bends it, and walls that turn it are in none of
these forms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN
from airrisk.physics.pool_fires import fuels
from airrisk.physics.roots import bracketed_root
from airrisk.quantities import ZERO_CELSIUS
from airrisk.tables import read_toml

Floats = NDArray[np.float64]
LENGTHS = ((2.8893 * 1e-6**0.3728, 0.3728), (0.00326, 0.478))  # m/W^power, power
WIDTH = 0.12  # radius over the distance from the nozzle; at the far end 0.12 L, from memory
LEAST_RADIUS = 0.05  # m, at the nozzle; judgement
# Heat on a cold thing in the jet, by the rate of the leak: NORSOK S-001, its two levels read in an
# abstract, where they part from memory. Gauges on a pipe in jets of 3 to 20 kg/s read 60 to 290 on
# average and up to 425 kW/m2 (Loughborough, NIST collection of fire measurements, read).
SMALL_LEAK = 2.0  # kg/s
SMALL_HEAT, LARGE_HEAT = 250e3, 350e3  # W/m2
CONVECTION = 100.0  # W/m2/K in a jet; reference value of the split, judgement
POINTS = 40  # on the axis
USUAL_COMBUSTION = 50e6  # J/kg: the rate of a jet of which only the length is known; natural gas
COLD = 20.0 + ZERO_CELSIUS


@dataclass(frozen=True)
class JetFuel:
    """Something that burns in a jet."""

    key: str
    heat_of_combustion: float  # J/kg
    radiated: float  # share of the heat release


@cache
def jet_fuels() -> dict[str, JetFuel]:
    """Gases, and the liquids of the table of pools as a spray, by key.

    Source
    ------
    resources/gases.toml and resources/fuels.toml, with a source for each value.
    """
    gases = {
        key: JetFuel(key, float(row["heat_of_combustion"]), float(row["radiated"]))
        for key, row in read_toml("gases.toml").items()
    }
    sprays = {
        key: JetFuel(key, one.heat_of_combustion, one.radiated) for key, one in fuels().items()
    }
    return {**gases, **sprays}


def jet_length(heat: float) -> float:
    """Length of the flame [m] of a heat release [W], the longer by two forms.

    Source
    ------
    Lowesmith et al. 2007 (from memory): 2.8893 Q^0.3728, Q in MW; API 521, figure of flares (from
    memory): 0.00326 Q^0.478. Three level jets of natural gas of 2.9 to 19.5 kg/s (Loughborough,
    read) were longer than the first form and shorter than the second.
    """
    return max(factor * heat**power for factor, power in LENGTHS)


def jet_heat(length: float) -> float:
    """Heat release [W] of a flame of that length [m], the greater by the two forms."""
    return max((length / factor) ** (1.0 / power) for factor, power in LENGTHS)


def heat_in_jet(mass_flow: float) -> float:
    """Heat that falls on a cold thing in the jet [W/m2], by the rate of the leak [kg/s]."""
    return SMALL_HEAT if mass_flow <= SMALL_LEAK else LARGE_HEAT


def flame_temperature_of(heat: float, convection: float = CONVECTION) -> float:
    """Temperature of a black flame [K] that brings a cold thing so much in all.

    Parameters
    ----------
    heat : float
        Radiation and convection onto a wall at 20 degC [W/m2].
    convection : float
        [W/m2/K].
    """

    def missing(kelvin: float) -> float:
        return STEFAN_BOLTZMANN * kelvin**4 + convection * (kelvin - COLD) - heat

    return bracketed_root(missing, COLD, 4000.0, tolerance=1e-6)


def flame_radius(along: ArrayLike) -> Floats:
    """Radius of the flame [m] at a distance from its nozzle [m]."""
    return np.maximum(WIDTH * np.asarray(along, dtype=float), LEAST_RADIUS)


def points_on(start: Floats, end: Floats) -> Floats:
    """The points (POINTS, 3) that a jet from start to end (3,) radiates from."""
    shares = (np.arange(POINTS) + 0.5) / POINTS
    return np.asarray(start + shares[:, None] * (end - start))


def radiated_onto(
    places: Floats,
    normals: Floats,
    ends: tuple[Floats, Floats],
    power: float,
    hidden: NDArray[np.bool_] | None = None,
) -> Floats:
    """Radiation of a jet onto small panels beside it [W/m2].

    Parameters
    ----------
    places, normals : array (n, 3)
        Of the panels [m], and the unit vectors that they look along.
    ends : pair of array (3,)
        Ends of its axis [m].
    power : float
        Radiated in all [W], spread evenly along the axis.
    hidden : array (n, POINTS) of bool or None
        Points that a panel does not see.

    Returns
    -------
    array (n,)

    Source
    ------
    A row of points on the axis, computed; 1.09 and 1.15 times what radiometers beside two jets of
    natural gas read on average, between 0.9 and 1.5 (Loughborough, read).
    """
    ways = points_on(*ends)[None, :, :] - places[:, None, :]
    squares = np.maximum((ways**2).sum(axis=2), 1e-12)
    facing = np.maximum((ways * normals[:, None, :]).sum(axis=2), 0.0) / np.sqrt(squares)
    each = facing / squares
    if hidden is not None:
        each = np.where(hidden, 0.0, each)
    return np.asarray(power / (4.0 * math.pi * POINTS) * each.sum(axis=1))
