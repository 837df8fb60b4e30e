"""Where safe turns to unsafe along one input or on a map of two, by bisection in batches."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from airrisk.study.spreads import Array

Flags = NDArray[np.bool_]
STEPS = 14  # halvings of a grid step
Position = tuple[float, float]
Piece = tuple[Position, Position]


def bisected(low: Array, high: Array, at_low: Flags, is_safe: Callable[[Array], Flags]) -> Array:
    """The values between ``low`` and ``high`` at which the answer turns, all at once.

    Parameters
    ----------
    low, high
        Ends with different answers.
    at_low
        Answer at ``low``.
    is_safe
        Answers for trial values, one for each pair of ends.
    """
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    if low.size == 0:
        return low
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        same = is_safe(middle) == at_low
        low = np.where(same, middle, low)
        high = np.where(same, high, middle)
    return 0.5 * (low + high)


def turning_points(
    values: Sequence[float], safe: Flags, is_safe: Callable[[Array], Flags]
) -> tuple[float, ...]:
    """Values between the points of a sweep at which safe turns to unsafe or back."""
    grid = np.asarray(values, dtype=float)
    turns = np.flatnonzero(safe[1:] != safe[:-1])
    found = bisected(grid[turns], grid[turns + 1], safe[turns], is_safe)
    return tuple(found.tolist())


def border_pieces(
    xs: Sequence[float],
    ys: Sequence[float],
    safe: Flags,
    is_safe: Callable[[Array, Array], Flags],
) -> tuple[Piece, ...]:
    """The border between safe and unsafe on a map, as straight pieces, one or two a cell.

    Parameters
    ----------
    xs, ys
        Grid values in rising order.
    safe
        Answers, rows following ``ys``.
    is_safe
        Answers for trial positions (x array, y array).

    Returns
    -------
    tuple of pieces
        In each grid cell whose corners differ, a line between the turning points on its sides.
    """
    x, y = np.asarray(xs, dtype=float), np.asarray(ys, dtype=float)
    along_x = np.argwhere(safe[:, 1:] != safe[:, :-1])  # side from (row, col) to (row, col + 1)
    along_y = np.argwhere(safe[1:, :] != safe[:-1, :])
    low = np.concatenate([x[along_x[:, 1]], y[along_y[:, 0]]])
    high = np.concatenate([x[along_x[:, 1] + 1], y[along_y[:, 0] + 1]])
    other = np.concatenate([y[along_x[:, 0]], x[along_y[:, 1]]])
    start = np.concatenate([safe[along_x[:, 0], along_x[:, 1]], safe[along_y[:, 0], along_y[:, 1]]])
    level = len(along_x)

    def trial(values: Array) -> Flags:
        return is_safe(
            np.concatenate([values[:level], other[level:]]),
            np.concatenate([other[:level], values[level:]]),
        )

    turns = bisected(low, high, start, trial)
    sides: dict[tuple[str, int, int], Position] = {}
    for (row, column), value in zip(along_x.tolist(), turns[:level].tolist(), strict=True):
        sides["x", row, column] = (value, float(y[row]))
    for (row, column), value in zip(along_y.tolist(), turns[level:].tolist(), strict=True):
        sides["y", row, column] = (float(x[column]), value)
    pieces: list[Piece] = []
    for row in range(len(y) - 1):
        for column in range(len(x) - 1):
            around = [
                sides.get(side)
                for side in (
                    ("x", row, column), ("y", row, column + 1),
                    ("x", row + 1, column), ("y", row, column),
                )
            ]  # fmt: skip
            met = [place for place in around if place is not None]
            pieces += [(met[k], met[k + 1]) for k in range(0, len(met) - 1, 2)]
    return tuple(pieces)
