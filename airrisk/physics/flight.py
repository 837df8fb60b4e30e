"""Flight of a thrown piece with drag and lift over level ground, in two dimensions.

Everything is nondimensional. With L = M / (rho Cd A), speeds are in sqrt(g L) and lengths in L:
    dw/dt = -1/2 |w| (w - k n x w) - e_z,    k = lift / drag.
The launch is given by u* = (v / sqrt(g L))^2 = rho Cd A v^2 / (M g), elevation and k; the answer is
R* = R / L and the speed ratio at landing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.tables import load_arrays

Array = NDArray[np.float64]
LAUNCH_GRID = np.geomspace(1e-2, 1e5, 57)  # u*
# closer together near the horizon, where a fast piece lands long before it slows down
ELEVATION_GRID = np.pi / 2 * np.linspace(0.0, 1.0, 49) ** 1.5
LIFT_GRID = np.linspace(0.0, 0.3, 5)


@dataclass(frozen=True)
class Landing:
    """Where and how fast pieces land, nondimensional arrays."""

    range_star: Array  # R* = rho Cd A R / M; backwards (negative) after a loop of strong lift
    speed_ratio: Array  # landing speed / launch speed


def fly(
    launch: ArrayLike, elevation: ArrayLike, lift_to_drag: ArrayLike = 0.0, step: float = 0.02
) -> Landing:
    """Integrate flights until they land (fourth-order Runge-Kutta, all flights at once).

    Parameters
    ----------
    launch : u* = rho Cd A v^2 / (M g)
    elevation : rad above the horizon, 0 to pi/2
    lift_to_drag : lift force / drag force, constant, upward at launch
    step : path increment in units of L, also 1/80 of the vacuum flight time at most

    Returns
    -------
    Landing.

    Raises
    ------
    ArithmeticError
        A flight has not landed after 20 000 steps.

    Source: equations of motion with constant drag coefficient and density (Baker et al. form).
    """
    u, angle, lift = np.broadcast_arrays(
        np.asarray(launch, float), np.asarray(elevation, float), np.asarray(lift_to_drag, float)
    )
    shape = u.shape
    w0 = np.sqrt(u.ravel())
    lift = lift.ravel().copy()
    angle = angle.ravel()
    state = np.stack([np.zeros_like(w0), np.zeros_like(w0), w0 * np.cos(angle), w0 * np.sin(angle)])
    longest = w0 / 40.0
    distance = np.zeros_like(w0)
    landing_speed = w0.copy()
    flying = np.flatnonzero((state[3] > 1e-12) | (lift * u.ravel() > 2.0))
    state, lift = state[:, flying], lift[flying]

    def rate(s: Array) -> Array:
        speed = np.hypot(s[2], s[3])
        return np.stack(
            [
                s[2],
                s[3],
                -0.5 * speed * (s[2] + lift * s[3]),
                -0.5 * speed * (s[3] - lift * s[2]) - 1.0,
            ]
        )

    for _ in range(20_000):
        if not flying.size:
            break
        speed = np.hypot(state[2], state[3])
        dt = np.minimum(step / (0.2 + speed), longest[flying])
        k1 = rate(state)
        k2 = rate(state + 0.5 * dt * k1)
        k3 = rate(state + 0.5 * dt * k2)
        k4 = rate(state + dt * k3)
        new = state + dt / 6.0 * (k1 + 2 * k2 + 2 * k3 + k4)
        down = new[1] <= 0.0
        if down.any():
            y0, y1 = state[1, down], new[1, down]
            share = y0 / np.maximum(y0 - y1, 1e-300)
            # one Newton step on the cubic through both ends
            h, v0, v1 = dt[down], state[3, down], new[3, down]
            for _ in range(3):
                s = share
                value = (
                    (2 * s**3 - 3 * s**2 + 1) * y0
                    + (s**3 - 2 * s**2 + s) * h * v0
                    + (-2 * s**3 + 3 * s**2) * y1
                    + (s**3 - s**2) * h * v1
                )
                slope = (
                    (6 * s**2 - 6 * s) * (y0 - y1)
                    + (3 * s**2 - 4 * s + 1) * h * v0
                    + (3 * s**2 - 2 * s) * h * v1
                )
                share = np.clip(s - value / np.where(slope < 0, slope, -np.inf), 0.0, 1.0)
            index = flying[down]
            distance[index] = state[0, down] + share * (new[0, down] - state[0, down])
            end = state[2:, down] + share * (new[2:, down] - state[2:, down])
            landing_speed[index] = np.hypot(*end)
            keep = ~down
            state, lift, flying = new[:, keep], lift[keep], flying[keep]
        else:
            state = new
    if flying.size:
        raise ArithmeticError(f"{flying.size} flights have not landed after 20000 steps")
    return Landing(distance.reshape(shape), (landing_speed / w0).reshape(shape))


@cache
def _table() -> tuple[Array, Array]:
    arrays = load_arrays("flight_table.npz")
    return arrays["range_over_launch"], arrays["speed_ratio"]


def _cell(value: Array, first: float, last: float, count: int) -> tuple[NDArray[np.intp], Array]:
    position = np.clip((value - first) / (last - first), 0.0, 1.0) * (count - 1)
    index = np.minimum(position.astype(np.intp), count - 2)
    return index, position - index


def landing(launch: ArrayLike, elevation: ArrayLike, lift_to_drag: ArrayLike = 0.0) -> Landing:
    """Landing from the table of integrated flights, trilinear in ln u*, elevation and lift.

    Parameters
    ----------
    launch : u*, 0.01 to 1e5; smaller is flight without drag, larger is clipped
    elevation : rad above the horizon
    lift_to_drag : 0 to 0.3, clipped (beyond it steady lift would turn pieces right over)

    Returns
    -------
    Landing; range within 3 % or 0.06 drag lengths of the integration.

    Source: resources/flight_table.npz, made by build_flight_table.
    """
    u, angle, lift = np.broadcast_arrays(
        np.asarray(launch, float), np.asarray(elevation, float), np.asarray(lift_to_drag, float)
    )
    u = np.clip(u, 1e-12, LAUNCH_GRID[-1])
    i, a = _cell(np.log(u), np.log(LAUNCH_GRID[0]), np.log(LAUNCH_GRID[-1]), LAUNCH_GRID.size)
    j, b = _cell((angle / (np.pi / 2)) ** (2 / 3), 0.0, 1.0, ELEVATION_GRID.size)
    k, c = _cell(lift, LIFT_GRID[0], LIFT_GRID[-1], LIFT_GRID.size)
    results = []
    for table in _table():
        total = np.zeros(u.shape)
        for di, wa in ((0, 1 - a), (1, a)):
            for dj, wb in ((0, 1 - b), (1, b)):
                for dk, wc in ((0, 1 - c), (1, c)):
                    total += wa * wb * wc * table[i + di, j + dj, k + dk]
        results.append(total)
    return Landing(np.abs(results[0] * u), results[1])


def longest_range(launch: ArrayLike) -> tuple[Array, Array]:
    """Range at the best elevation without lift, and that elevation.

    Parameters
    ----------
    launch : u*

    Returns
    -------
    R* and elevation in rad.

    Source: table of integrated flights, parabola through the best three elevations.
    """
    u = np.atleast_1d(np.asarray(launch, float))
    ranges = landing(u[:, None], ELEVATION_GRID[None, :]).range_star
    best = np.clip(np.argmax(ranges, axis=1), 1, ELEVATION_GRID.size - 2)
    rows = np.arange(u.size)
    left, middle, right = (ranges[rows, best + d] for d in (-1, 0, 1))
    curvature = left - 2 * middle + right
    shift = np.where(curvature < 0, 0.5 * (left - right) / np.where(curvature < 0, curvature, 1), 0)
    place = (best + shift) / (ELEVATION_GRID.size - 1)
    return middle - 0.25 * (left - right) * shift, np.pi / 2 * place**1.5


def direct_speed(speed: ArrayLike, distance: ArrayLike, drag_length: ArrayLike) -> Array:
    """Speed of a piece in flat flight after a distance.

    Parameters
    ----------
    speed : launch speed, m/s
    distance : m
    drag_length : L = M / (rho Cd A), m

    Returns
    -------
    v exp(-x / (2 L)), m/s.

    Source: drag alone, constant coefficient.
    """
    return np.asarray(speed, float) * np.exp(
        -0.5 * np.asarray(distance, float) / np.asarray(drag_length, float)
    )
