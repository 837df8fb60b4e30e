"""Creep by rate: how fast hot metal creeps, and how that grows with the damage (Omega method).

It stands beside the life by the curves of ``creep`` as another way to the same number; no
verdict counts with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.creep import curve_of
from airrisk.physics.creep_kernel import (
    CREEPS_FROM,
    LEAST_CREEP_STRESS,
    LONGEST_LIFE,
    SHORTEST_LIFE,
)
from airrisk.tables import read_toml

Floats = NDArray[np.float64]
Shape = Literal["bar", "cylinder", "sphere"]
KSI = 6.894757293168361e6  # Pa
HOUR = 3600.0  # s
LEAST_GROWTH = 3.0  # of the creep rate with the strain, whatever the coefficients give

# effective stress and sum of the principal ones, over the greatest one; exponent of the shape
_SHAPES: dict[Shape, tuple[float, float, float]] = {
    "bar": (1.0, 1.0, 1.0),
    "cylinder": (0.75**0.5, 1.5, 2.0),
    "sphere": (1.0, 2.0, 3.0),
}


@dataclass(frozen=True)
class OmegaLaw:
    """Coefficients of the creep rate and of its growth, in ksi, degrees Fahrenheit and hours."""

    key: str
    name: str
    a: tuple[float, float, float, float, float]
    b: tuple[float, float, float, float, float]
    standing: str


@cache
def omega_laws() -> dict[str, OmegaLaw]:
    """All laws by key."""
    return {
        key: OmegaLaw(key, row["name"], tuple(row["a"]), tuple(row["b"]), row["standing"])
        for key, row in read_toml("creep.toml")["omega"].items()
    }


def omega_law_of(metal: str) -> OmegaLaw | None:
    """The law that stands beside the curve of a metal; None: there are no data.

    Raises
    ------
    UnknownMaterial
        No metal has the key.
    """
    curve = curve_of(metal)
    return None if curve is None else omega_laws()[curve.omega]


def omega_damage_rate(
    law: OmegaLaw, stress: ArrayLike, temperature: ArrayLike, shape: Shape = "cylinder"
) -> Floats:
    """Share of its life that metal uses up in a second, by its creep rate.

    Parameters
    ----------
    law
        See ``omega_law_of``.
    stress
        The greatest principal one, of a cylinder that around it [Pa].
    temperature
        Of the metal [K].
    shape
        What is under pressure, or pulled.

    Returns
    -------
    array
        1/s; 0 where ``creep_kernel.damage_rate`` counts nothing.

    Source
    ------
    MPC Omega method of API 579-1 part 10: damage rate e0 Omega_m, with the initial rate e0, the
    growth Omega and the exponent n of the rate against stress. The coefficients stand with their
    source in resources/creep.toml.
    """
    effective, principals, exponent = _SHAPES[shape]
    pulled, heat = np.broadcast_arrays(np.asarray(stress, float), np.asarray(temperature, float))
    counts = (heat > CREEPS_FROM) & (pulled > LEAST_CREEP_STRESS)
    t = 1.8 * np.where(counts, heat, CREEPS_FROM) - 459.67 + 460.0
    s = np.log10(np.where(counts, pulled, LEAST_CREEP_STRESS) * effective / KSI)
    initial = -_lg(law.a, s, t)
    n = -(law.a[2] + s * (2.0 * law.a[3] + 3.0 * s * law.a[4])) / t
    growth = np.maximum(10.0 ** _lg(law.b, s, t) - n, LEAST_GROWTH)
    triaxial = (principals / effective - 1.0) / 3.0
    rate = 10.0**initial * (growth ** (1.0 + triaxial) + exponent * n) / HOUR
    rate = np.clip(rate, 1.0 / LONGEST_LIFE, 1.0 / SHORTEST_LIFE)
    return np.where(counts, rate, 0.0)


def _lg(c: tuple[float, float, float, float, float], s: Floats, t: Floats) -> Floats:
    return c[0] + (c[1] + s * (c[2] + s * (c[3] + s * c[4]))) / t


def omega_life(metal: str, stress: float, temperature: float, shape: Shape = "cylinder") -> float:
    """Time to rupture under a steady stress by the creep rate, s; infinite: none is counted.

    Parameters
    ----------
    metal
        Key of the metal.
    stress, temperature, shape
        As for ``omega_damage_rate``.
    """
    law = omega_law_of(metal)
    rate = 0.0 if law is None else float(omega_damage_rate(law, stress, temperature, shape))
    return 1.0 / rate if rate > 0.0 else float("inf")
