"""Samples of uncertain inputs: shares with intervals, quantiles, Sobol indices."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from airrisk.messages import said
from airrisk.study.spreads import Array, SpreadInput

METHODS = ("latin hypercube", "sobol")


@dataclass(frozen=True)
class Share:
    """A share of samples with its 95 % confidence interval."""

    value: float
    low: float
    high: float
    count: int
    total: int


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
) -> SobolIndices:
    """First-order and total Sobol indices of one output.

    Parameters
    ----------
    inputs
        The uncertain inputs.
    outputs
        Takes samples by key (each of length N) and returns N finite values; asked once.
    samples
        Base sample, rounded up to a power of two; ``samples * (len(inputs) + 2)`` runs in all.
    seed
        Makes the answer reproducible.

    Source: Saltelli et al. 2010 (first order, total after Jansen 1999), the estimators of
    ``scipy.stats.sobol_indices``.
    """
    power = 2 ** math.ceil(math.log2(max(samples, 2)))
    keys = tuple(item.key for item in inputs)
    size = len(inputs)

    def evaluate(points: Array) -> Array:
        return np.asarray(
            outputs(
                {
                    item.key: np.asarray(item.distribution.quantile(column))
                    for item, column in zip(inputs, points.T, strict=True)
                }
            ),
            dtype=float,
        )

    points = np.clip(unit_samples(2 * size, power, "sobol", seed), 1e-12, 1.0 - 1e-12)
    first_half, second_half = points[:, :size], points[:, size:]
    swapped = np.tile(first_half, (size, 1, 1))
    for column in range(size):
        swapped[column, :, column] = second_half[:, column]
    found = evaluate(
        np.concatenate([points.reshape(power, 2, size).swapaxes(0, 1), swapped]).reshape(-1, size)
    ).reshape(size + 2, power)
    base, other, mixed = found[0], found[1], found[2:]
    first, total = _indices(base, other, mixed)
    rng = np.random.default_rng(seed)
    resampled = np.array(
        [
            _indices(base[rows], other[rows], mixed[:, rows])
            for rows in rng.integers(0, power, size=(99, power))
        ]
    )
    low, high = np.quantile(resampled, [0.025, 0.975], axis=0)
    rows = (tuple(map(float, row)) for row in (first, total, low[0], high[0], low[1], high[1]))
    first_order, total_order, first_low, first_high, total_low, total_high = rows
    return SobolIndices(
        keys, first_order, total_order, first_low, first_high, total_low, total_high, power
    )


def _indices(base: Array, other: Array, mixed: Array) -> tuple[Array, Array]:
    centre = np.mean(np.concatenate([base, other]))
    variance = np.var(np.concatenate([base, other]))
    if variance == 0.0:
        zeros = np.zeros(len(mixed))
        return zeros, zeros
    first = np.mean((other - centre) * (mixed - base), axis=1) / variance
    total = np.mean((base - mixed) ** 2, axis=1) / (2.0 * variance)
    return first, total
