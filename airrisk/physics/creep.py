"""Creep: which curve of rupture life counts for a metal, and the life by it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from airrisk.physics.creep_kernel import damage_rate
from airrisk.physics.metal import material
from airrisk.tables import read_toml


@dataclass(frozen=True)
class CreepCurve:
    """Larson-Miller parameter against stress; constants for the least and the mean life."""

    key: str
    name: str
    a: tuple[float, float, float, float]  # K, against the logarithm of the stress in MPa
    least: float
    mean: float
    standing: str
    omega: str  # law of creep rate that stands beside it


NO_CURVE = (0.0, 0.0, 0.0, 0.0, 0.0)


@cache
def curves() -> dict[str, CreepCurve]:
    """All curves by key."""
    return {
        key: CreepCurve(
            key,
            row["name"],
            tuple(row["a"]),
            row["least"],
            row["mean"],
            row["standing"],
            row["omega"],
        )
        for key, row in read_toml("creep.toml")["life"].items()
    }


def curve_of(metal: str) -> CreepCurve | None:
    """The curve that counts for a metal; None: there are no data.

    Raises
    ------
    UnknownMaterial
        No metal has the key.
    """
    key = material(metal).creep
    return None if key is None else curves()[key]


def creep_numbers(metal: str) -> tuple[float, ...]:
    """Polynomial and constant of the least life of a metal, as the kernel takes them."""
    curve = curve_of(metal)
    return NO_CURVE if curve is None else (*curve.a, curve.least)


def rupture_life(metal: str, stress: float, temperature: float, *, mean: bool = False) -> float:
    """Time to rupture under a steady stress, s; infinite where no damage is counted.

    Parameters
    ----------
    metal
        Key of the metal.
    stress
        Pa.
    temperature
        Of the metal [K].
    mean
        By the middle of the tests instead of their lower bound.
    """
    curve = curve_of(metal)
    numbers = creep_numbers(metal)
    if curve is not None and mean:
        numbers = (*curve.a, curve.mean)
    rate = damage_rate(stress, temperature, *numbers)
    return 1.0 / rate if rate > 0.0 else float("inf")
