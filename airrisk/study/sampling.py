"""Samples of uncertain inputs: shares with intervals, quantiles, Sobol indices."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from airrisk.messages import said
from airrisk.study.spreads import Array, SpreadInput

METHODS = ("latin hypercube", "sobol")
NOTHING_HELD: Mapping[str, float] = MappingProxyType({})
SLIGHT = 0.01  # of the variance, up to which inputs are left together


@dataclass(frozen=True)
class Share:
    """A share of samples with its 95 % confidence interval."""

    value: float
    low: float
    high: float
    count: int
    total: int


@dataclass(frozen=True)
class Together:
    """Inputs that were varied at once; the total index of each is at most that of all."""

    keys: tuple[str, ...]
    total: float
    total_low: float
    total_high: float


@dataclass(frozen=True)
class SobolIndices:
    """Variance-based sensitivity of one output to each input, with 95 % bootstrap intervals."""

    keys: tuple[str, ...]
    first_order: tuple[float, ...]
    total: tuple[float, ...]
    first_low: tuple[float, ...]
    first_high: tuple[float, ...]
    total_low: tuple[float, ...]
    total_high: tuple[float, ...]
    samples: int
    together: Together | None = None  # inputs of hardly any influence


def unit_samples(dimension: int, count: int, method: str, seed: int) -> Array:
    """Points in the unit cube, shape (count, dimension), reproducible by seed.

    Raises
    ------
    ValueError
        The method is unknown.
    """
    from scipy.stats import qmc

    if method == "latin hypercube":
        return np.asarray(qmc.LatinHypercube(dimension, rng=seed).random(count))
    if method == "sobol":
        engine = qmc.Sobol(dimension, scramble=True, rng=seed)
        powers = max(0, math.ceil(math.log2(max(count, 1))))
        return np.asarray(engine.random_base2(powers))[:count]
    raise ValueError(
        said(
            "sampling-method-unknown",
            method=repr(method),
            methods=", ".join(METHODS),
        )
    )


def draw(inputs: Sequence[SpreadInput], count: int, method: str, seed: int) -> dict[str, Array]:
    """Samples of every input, SI, each of length ``count``."""
    points = unit_samples(len(inputs), count, method, seed)
    points = np.clip(points, 1e-12, 1.0 - 1e-12)
    return {
        item.key: np.asarray(item.distribution.quantile(points[:, column]), dtype=float)
        for column, item in enumerate(inputs)
    }


def share(count: int, total: int) -> Share:
    """Share ``count / total`` with the Wilson score interval at 95 %.

    Source: Wilson 1927, the interval of scipy.stats.binomtest(...).proportion_ci("wilson").
    """
    if total == 0:
        return Share(math.nan, 0.0, 1.0, 0, 0)
    z = 1.959963984540054
    value = count / total
    centre = (value + z * z / (2 * total)) / (1 + z * z / total)
    half = z * math.sqrt(value * (1 - value) / total + z * z / (4 * total**2)) / (1 + z * z / total)
    low = 0.0 if count == 0 else max(0.0, centre - half)
    high = 1.0 if count == total else min(1.0, centre + half)
    return Share(value, low, high, count, total)


def sobol(
    inputs: Sequence[SpreadInput],
    outputs: Callable[[Mapping[str, Array]], Array],
    samples: int,
    seed: int,
    *,
    held: Mapping[str, float] = NOTHING_HELD,
    slight: Collection[str] = (),
) -> SobolIndices:
    """First-order and total Sobol indices of one output.

    Parameters
    ----------
    inputs
        The uncertain inputs.
    outputs
        Takes samples by key (each of length N) and returns N finite values; asked a few times.
    samples
        Base sample, rounded up to a power of two; ``samples * (varied inputs + 2)`` runs in all.
    seed
        Makes the answer reproducible: the same seed gives the same points, whatever is held.
    held
        Inputs that have one value in all runs. They get no indices.
    slight
        Inputs that are likely to matter hardly at all: they are varied at once first, and one by
        one only if their total index together may be more than ``SLIGHT``.

    Source: Saltelli et al. 2010 (first order, total after Jansen 1999), the estimators of
    ``scipy.stats.sobol_indices``. The total index of a group is at least that of each of its
    members: Saltelli et al. 2008, Global Sensitivity Analysis, 1.2.15 (groups), from memory.
    """
    power = 2 ** math.ceil(math.log2(max(samples, 2)))
    size = len(inputs)
    points = np.clip(unit_samples(2 * size, power, "sobol", seed), 1e-12, 1.0 - 1e-12)
    halves = [
        np.column_stack(
            [
                np.full(power, held[item.key])
                if item.key in held
                else np.asarray(item.distribution.quantile(points[:, column + half]), dtype=float)
                for column, item in enumerate(inputs)
            ]
        )
        for half in (0, size)
    ]

    def mixed(columns: Sequence[int]) -> Array:
        rows = halves[0].copy()
        rows[:, columns] = halves[1][:, columns]
        return rows

    def evaluate(sets: Sequence[Array]) -> list[Array]:
        together = np.concatenate(sets)
        values = {item.key: together[:, column] for column, item in enumerate(inputs)}
        return np.split(np.asarray(outputs(values), dtype=float), len(sets))

    drawn = np.random.default_rng(seed).integers(0, power, size=(99, power))
    single = [n for n, item in enumerate(inputs) if item.key not in held]
    base, other = evaluate(halves)
    group = [n for n in single if inputs[n].key in slight]
    together = None
    if len(group) > 1:
        (swapped,) = evaluate([mixed(group)])
        together = _together(
            tuple(inputs[n].key for n in group), _Spread(base, other, swapped[None, :], drawn)
        )
        if together.total_high <= SLIGHT:
            single = [n for n in single if n not in group]
        else:
            together = None
    if not single:
        return SobolIndices((), (), (), (), (), (), (), power, together)
    found = _Spread(base, other, np.array(evaluate([mixed([n]) for n in single])), drawn)
    columns = (found.first, found.total, *found.first_ends, *found.total_ends)
    first, total, first_low, first_high, total_low, total_high = (
        tuple(map(float, column)) for column in columns
    )
    keys = tuple(inputs[n].key for n in single)
    return SobolIndices(
        keys, first, total, first_low, first_high, total_low, total_high, power, together
    )


class _Spread:
    """Indices of some swaps, with the ends of their bootstrap intervals."""

    def __init__(self, base: Array, other: Array, mixed: Array, drawn: NDArray[np.int64]) -> None:
        self.first, self.total = _indices(base, other, mixed)
        resampled = np.array([_indices(base[rows], other[rows], mixed[:, rows]) for rows in drawn])
        low, high = np.quantile(resampled, [0.025, 0.975], axis=0)
        self.first_ends, self.total_ends = (low[0], high[0]), (low[1], high[1])


def _together(keys: tuple[str, ...], found: _Spread) -> Together:
    low, high = found.total_ends
    return Together(keys, float(found.total[0]), float(low[0]), float(high[0]))


def _indices(base: Array, other: Array, mixed: Array) -> tuple[Array, Array]:
    centre = np.mean(np.concatenate([base, other]))
    variance = np.var(np.concatenate([base, other]))
    if variance == 0.0:
        zeros = np.zeros(len(mixed))
        return zeros, zeros
    first = np.mean((other - centre) * (mixed - base), axis=1) / variance
    total = np.mean((base - mixed) ** 2, axis=1) / (2.0 * variance)
    return first, total
