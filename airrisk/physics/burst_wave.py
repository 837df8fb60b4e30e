"""Blast wave of a bursting sphere of compressed air, computed with the spherical Euler equations.

Nondimensional: ambient pressure and density are 1, lengths are in (E/p0)^(1/3) with Brode's energy
E = (p1 - p0) V / (k - 1), so that radii are R* and the impulse times a0 is i*. Free air, massless
shell, one ideal gas (k = 1.4) inside and outside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.physics.euler_sphere import Array, flow_of
from airrisk.physics.ideal_gas import EXPONENT

SOUND = np.sqrt(EXPONENT)
CELLS_IN_VESSEL = 100  # at least, at the start
WINDOW = 3.0  # R* behind the front that is still followed
LONGEST_PHASE = 1.6  # R* the front runs on while the last gauge's positive phase ends


@dataclass(frozen=True)
class BurstWave:
    """Peak and impulse of one burst at fixed gauges (nondimensional arrays)."""

    radius: Array  # R*
    overpressure: Array  # Ps/p0, front extrapolated
    highest_sample: Array  # largest recorded overpressure, clipped by the grid
    impulse: Array  # i*
    arrival: Array  # t a0 / (E/p0)^(1/3)
    energy_error: float  # relative, until the first cells are frozen
    steps: int


def vessel_radius(pressure_ratio: float) -> float:
    """R* of the surface of a spherical vessel in free air.

    Parameters
    ----------
    pressure_ratio : p1/p0

    Returns
    -------
    (3 (k-1) / (4 pi (p1/p0 - 1)))^(1/3).
    """
    return float((3 * (EXPONENT - 1) / (4 * np.pi * (pressure_ratio - 1))) ** (1 / 3))


def gauge_radii(pressure_ratio: float, farthest: float, count: int) -> Array:
    """R* of the gauges, in equal steps of ln R from the vessel's surface to the farthest."""
    return np.geomspace(vessel_radius(pressure_ratio), farthest, count)


def _front_peak(time: Array, over: Array, dx: float) -> tuple[float, float]:
    """Peak of the leading shock, extrapolated back to its middle, and its time.

    Close to a strong vessel its own air follows with a higher static pressure than the shock's;
    the shock is what travels, so the first top counts.
    """
    foot = int(np.argmax(over >= 0.01 * over.max()))
    rate = np.diff(over[foot:]) / np.diff(time[foot:])
    steepest = np.maximum.accumulate(rate)
    top = foot + int(np.argmax(rate < 0.05 * steepest))
    half = 0.5 * over[top]
    rise = int(np.argmax(over[: top + 1] >= half))
    if rise == 0:
        return float(over[top]), float(time[0])
    share = (half - over[rise - 1]) / (over[rise] - over[rise - 1])
    arrival = float(time[rise - 1] + share * (time[rise] - time[rise - 1]))
    # a weak shock is spread over more cells: scale the fitted stretch by its own rise
    width = max(float(time[top]) - arrival, dx / SOUND)
    used = (time > time[top] + 0.5 * width) & (time < time[top] + 3.0 * width)
    if used.sum() < 4:
        return float(over[top]), arrival
    slope, level = np.polyfit(time[used] - arrival, over[used], 1)
    return float(max(level, over[top]) if slope < 0 else over[top]), arrival


def _positive_impulse(time: Array, over: Array, arrival: float) -> float:
    top = int(np.argmax(over))
    below = np.flatnonzero(over[top:] <= 0)
    if not below.size:
        raise ArithmeticError("the positive phase had not ended when the computation stopped")
    end = top + int(below[0])
    t, p = time[: end + 1], np.maximum(over[: end + 1], 0.0)
    return float(np.trapezoid(p, t))


def burst_wave(
    pressure_ratio: float,
    temperature_ratio: float = 1.0,
    *,
    cell: float = 0.002,
    farthest: float = 10.0,
    gauges: int = 41,
    radii: Array | None = None,
) -> BurstWave:
    """Compute one burst.

    Parameters
    ----------
    pressure_ratio : p1/p0, above 1
    temperature_ratio : T1/T0
    cell : largest cell width, R*; the start is finer, so that the vessel has 100 cells or more
    farthest : R* of the last gauge
    gauges : number of gauges between vessel and farthest
    radii : R* of the gauges instead

    Returns
    -------
    BurstWave.

    Raises
    ------
    ValueError
        The vessel is not above ambient pressure.
    ArithmeticError
        The computation broke down or a positive phase did not end.

    Source: own solution of the Euler equations.
    """
    if not pressure_ratio > 1 or not temperature_ratio > 0:
        raise ValueError("a burst needs p1/p0 above 1 and T1/T0 above 0")
    radius = vessel_radius(pressure_ratio)
    places = gauge_radii(pressure_ratio, farthest, gauges) if radii is None else radii
    level = max(0, int(np.ceil(np.log2(CELLS_IN_VESSEL * cell / radius))))
    in_vessel = int(np.ceil(radius / cell * 2**level))
    dx = radius / in_vessel
    count = 8 * in_vessel + (8 * in_vessel) % 2
    inside = np.arange(count) < in_vessel
    flow = flow_of(
        np.where(inside, pressure_ratio / temperature_ratio, 1.0),
        np.zeros(count),
        np.where(inside, pressure_ratio, 1.0),
        dx,
        heat_ratio=EXPONENT,
    )
    start_energy = flow.totals()[1]
    energy_error = 0.0
    last = float(places[-1]) + LONGEST_PHASE
    times: list[Array] = []
    rows: list[Array] = []
    widths: list[Array] = []
    front = in_vessel
    while front * flow.dx < last:
        # the first gauge lies on a face and belongs to the cell outside
        cells = np.minimum((places / flow.dx + 1e-6).astype(np.int64), flow.q.shape[1] - 1)
        off_grid = places / flow.dx >= flow.q.shape[1]
        t, p, front = flow.advance(
            np.inf,
            gauges=cells,
            last_cell=flow.q.shape[1] - 1,
            step_limit=500,
            samples=500,
        )
        p[:, off_grid] = 1.0
        times.append(t)
        rows.append(p - 1.0)
        widths.append(np.full(t.size, flow.dx))
        if flow.first_cell == 0:
            energy_error = max(energy_error, abs(flow.totals()[1] / start_energy - 1))
        if front >= flow.q.shape[1] - 6:
            size = flow.q.shape[1]
            if level > 0:
                if size % 2:
                    flow.extend(1)
                    size += 1
                flow.coarsen()
                front //= 2
                level -= 1
                flow.extend(size // 2)
            else:
                flow.extend(size)
            if flow.first_cell == 0:
                # new ambient cells bring their own energy
                start_energy = flow.totals()[1]
        flow.first_cell = max(flow.first_cell, front - int(WINDOW / flow.dx))
    time = np.concatenate(times)
    over = np.vstack(rows)
    width = np.concatenate(widths)
    peaks, arrivals, impulses = [], [], []
    for column in over.T:
        peak, arrival = _front_peak(time, column, float(width[int(np.argmax(column))]))
        peaks.append(peak)
        arrivals.append(arrival)
        impulses.append(_positive_impulse(time, column, arrival) * SOUND)
    return BurstWave(
        np.asarray(places, float),
        np.array(peaks),
        over.max(axis=0),
        np.array(impulses),
        np.array(arrivals) * SOUND,
        energy_error,
        flow.steps,
    )


def table_axes() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Pressure ratios and temperature ratios of the burst table."""
    return (
        np.array([2, 2.5, 3.2, 4, 5, 6.5, 8.5, 11, 15, 20, 28, 40, 60, 90, 140, 220, 340, 500.0]),
        np.array([0.7, 1.0, 1.4, 2.0, 2.8, 4.0]),
    )
