"""One-dimensional Euler equations of an ideal gas in plane or spherical symmetry.

Finite volumes, MUSCL-Hancock with the van Leer limiter on density, velocity and pressure, HLLC
fluxes; exact cell volumes and face areas, so that mass and energy are conserved to rounding.
Nondimensional or SI, as the caller likes. Numba compiles the stepper; without it the same code runs
interpreted on small grids.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from airrisk.physics.ideal_gas import EXPONENT

Array = NDArray[np.float64]
F = TypeVar("F", bound=Callable[..., Any])
COURANT = 0.45


def _compiled(function: F) -> F:
    try:
        from numba import njit
    except ImportError:
        return function
    return njit(cache=True, fastmath=False)(function)  # type: ignore[no-any-return]


@_compiled
def _limited(a: float, b: float) -> float:
    product = a * b
    if product <= 0.0:
        return 0.0
    return 2.0 * product / (a + b)


@_compiled
def _hllc(
    rl: float, ul: float, pl: float, rr: float, ur: float, pr: float, g: float
) -> tuple[float, float, float]:
    """Mass, momentum and energy flux through a face, pressure included in the momentum."""
    al = (g * pl / rl) ** 0.5
    ar = (g * pr / rr) ** 0.5
    # star pressure of the linearised problem; good enough for wave speeds
    pm = max(0.0, 0.5 * (pl + pr) - 0.125 * (ur - ul) * (rl + rr) * (al + ar))
    ql = 1.0 if pm <= pl else (1.0 + (g + 1.0) / (2.0 * g) * (pm / pl - 1.0)) ** 0.5
    qr = 1.0 if pm <= pr else (1.0 + (g + 1.0) / (2.0 * g) * (pm / pr - 1.0)) ** 0.5
    sl = min(ul - al * ql, ur - ar)
    sr = max(ur + ar * qr, ul + al)
    el = pl / (g - 1.0) + 0.5 * rl * ul * ul
    er = pr / (g - 1.0) + 0.5 * rr * ur * ur
    if sl >= 0.0:
        return rl * ul, rl * ul * ul + pl, ul * (el + pl)
    if sr <= 0.0:
        return rr * ur, rr * ur * ur + pr, ur * (er + pr)
    dl = rl * (sl - ul)
    dr = rr * (sr - ur)
    sm = (pr - pl + ul * dl - ur * dr) / (dl - dr)
    if sm >= 0.0:
        k = dl / (sl - sm)
        e = k * (el / rl + (sm - ul) * (sm + pl / dl))
        return (
            rl * ul + sl * (k - rl),
            rl * ul * ul + pl + sl * (k * sm - rl * ul),
            ul * (el + pl) + sl * (e - el),
        )
    k = dr / (sr - sm)
    e = k * (er / rr + (sm - ur) * (sm + pr / dr))
    return (
        rr * ur + sr * (k - rr),
        rr * ur * ur + pr + sr * (k * sm - rr * ur),
        ur * (er + pr) + sr * (e - er),
    )


class _Grid(NamedTuple):
    """The cells and the arrays that a step works in."""

    q: Array  # density, momentum and energy of each cell
    w: Array  # density, velocity and pressure of each cell
    slope: Array  # of w across each cell
    flux: Array  # through each face
    area: Array  # of each face
    volume: Array  # of each cell
    dx: float
    heat_ratio: float


class _Gauges(NamedTuple):
    """Cells whose pressure is recorded, and the record."""

    cells: NDArray[np.int64]
    time: Array
    pressure: Array


@_compiled
def _to_primitives(grid: _Grid, lo: int, hi: int, ambient_p: float) -> tuple[float, int]:
    """Fill w; the fastest wave (negative: the flow broke down) and the last disturbed cell."""
    q, w, g = grid.q, grid.w, grid.heat_ratio
    n = q.shape[1]
    fastest = 0.0
    front = lo
    for i in range(max(lo - 2, 0), min(hi + 2, n)):
        r = q[0, i]
        u = q[1, i] / r
        p = (g - 1.0) * (q[2, i] - 0.5 * r * u * u)
        w[0, i] = r
        w[1, i] = u
        w[2, i] = p
        s = abs(u) + (g * p / r) ** 0.5
        if not s < 1e300:
            return -1.0, front
        fastest = max(fastest, s)
        if abs(p - ambient_p) > 1e-9 * ambient_p:
            front = i
    return fastest, front


@_compiled
def _to_mid_step(grid: _Grid, lo: int, hi: int, dt: float) -> None:
    """Limited slopes, and w taken on by half a step."""
    w, slope, area, volume = grid.w, grid.slope, grid.area, grid.volume
    n, dx, g = w.shape[1], grid.dx, grid.heat_ratio
    half = 0.5 * dt / dx
    for i in range(max(lo - 1, 0), min(hi + 1, n)):
        for m in range(3):
            # mirror at the centre or wall: scalars even, velocity odd
            mirror = -w[m, 0] if m == 1 else w[m, 0]
            back = w[m, i] - (w[m, i - 1] if i > 0 else mirror)
            ahead = w[m, i + 1] - w[m, i] if i < n - 1 else 0.0
            slope[m, i] = _limited(back, ahead)
    for i in range(max(lo - 1, 0), min(hi + 1, n)):
        r, u, p = w[0, i], w[1, i], w[2, i]
        dr, du, dp = slope[0, i], slope[1, i], slope[2, i]
        # half-step predictor with the spreading of the geometry
        inner, outer = area[i], area[i + 1]
        spread = (outer - inner) * dx / volume[i] * u
        w[0, i] = r - half * (u * dr + r * (du + spread))
        w[1, i] = u - half * (u * du + dp / r)
        w[2, i] = p - half * (u * dp + g * p * (du + spread))
        if w[0, i] <= 0.0 or w[2, i] <= 0.0:
            w[0, i], w[1, i], w[2, i] = r, u, p
            slope[0, i] = slope[1, i] = slope[2, i] = 0.0


@_compiled
def _through_faces(grid: _Grid, lo: int, hi: int) -> None:
    """Fluxes through the faces lo to hi; a mirror at the centre, free outflow at the far end."""
    w, slope, flux, g = grid.w, grid.slope, grid.flux, grid.heat_ratio
    n = w.shape[1]
    for f in range(lo, hi + 1):
        if f == 0:
            u0 = w[1, 0] - 0.5 * slope[1, 0]
            r0 = w[0, 0] - 0.5 * slope[0, 0]
            p0 = w[2, 0] - 0.5 * slope[2, 0]
            a, b, c = _hllc(r0, -u0, p0, r0, u0, p0, g)
        elif f == n:
            r0, u0, p0 = w[0, n - 1], w[1, n - 1], w[2, n - 1]
            a, b, c = _hllc(r0, u0, p0, r0, u0, p0, g)
        else:
            j = f - 1
            a, b, c = _hllc(
                w[0, j] + 0.5 * slope[0, j],
                w[1, j] + 0.5 * slope[1, j],
                w[2, j] + 0.5 * slope[2, j],
                w[0, f] - 0.5 * slope[0, f],
                w[1, f] - 0.5 * slope[1, f],
                w[2, f] - 0.5 * slope[2, f],
                g,
            )
        flux[0, f], flux[1, f], flux[2, f] = a, b, c


@_compiled
def _into_cells(grid: _Grid, lo: int, hi: int, dt: float) -> None:
    """What the fluxes bring into the cells lo to hi - 1."""
    q, w, flux, area = grid.q, grid.w, grid.flux, grid.area
    for i in range(lo, hi):
        inner, outer = area[i], area[i + 1]
        k = dt / grid.volume[i]
        # pressure at mid step on the side walls of the cell
        wall = w[2, i] * (outer - inner)
        q[0, i] -= k * (outer * flux[0, i + 1] - inner * flux[0, i])
        q[1, i] -= k * (outer * flux[1, i + 1] - inner * flux[1, i] - wall)
        q[2, i] -= k * (outer * flux[2, i + 1] - inner * flux[2, i])


@_compiled
def _record(grid: _Grid, gauges: _Gauges, step: int, time: float) -> None:
    """Pressures at the gauges after a step, as long as the record has room."""
    if step >= gauges.time.shape[0]:
        return
    q, g = grid.q, grid.heat_ratio
    gauges.time[step] = time
    for m in range(gauges.cells.shape[0]):
        i = gauges.cells[m]
        r = q[0, i]
        gauges.pressure[step, m] = (g - 1.0) * (q[2, i] - 0.5 * q[1, i] ** 2 / r)


@_compiled
def _advance(
    grid: _Grid,
    cells: tuple[int, int],
    times: tuple[float, float],
    courant: float,
    step_limit: int,
    gauges: _Gauges,
) -> tuple[float, int, int]:
    """March cells lo..hi-1 until the end, the step limit, or the wave nears cell hi.

    ``cells`` are lo and hi, ``times`` now and the end. Returns time (negative: the flow broke
    down), number of steps and the last disturbed cell. Cells lo-1 and hi are frozen.
    """
    lo, hi = cells
    time, end = times
    q, far = grid.q, grid.q.shape[1] - 1
    ambient_p = (grid.heat_ratio - 1.0) * (q[2, far] - 0.5 * q[1, far] ** 2 / q[0, far])
    steps = 0
    front = lo
    while time < end and steps < step_limit:
        fastest, front = _to_primitives(grid, lo, hi, ambient_p)
        if fastest < 0.0:
            return -1.0, steps, front
        if front >= hi - 4 and hi <= far:
            return time, steps, front
        dt = min(courant * grid.dx / fastest, end - time)
        _to_mid_step(grid, lo, hi, dt)
        _through_faces(grid, lo, hi)
        _into_cells(grid, lo, hi, dt)
        time += dt
        _record(grid, gauges, steps, time)
        steps += 1
    return time, steps, front


class EulerFailure(ArithmeticError):
    """The flow computation broke down; the message says when."""


@dataclass
class Flow:
    """A plane or spherical flow on a uniform grid.

    ``q`` holds density, momentum and total energy of each cell (per volume); ``spherical`` flows
    start at the centre, plane ones at a wall at the left edge.
    """

    q: Array
    dx: float
    spherical: bool = True
    heat_ratio: float = EXPONENT
    time: float = 0.0
    origin: float = 0.0
    steps: int = 0
    first_cell: int = 0  # cells before it are frozen: they can no longer reach the front
    courant: float = COURANT
    _work: dict[str, Array] = field(default_factory=dict, repr=False)

    @property
    def faces(self) -> Array:
        """Radii or positions of the cell faces."""
        return self.origin + self.dx * np.arange(self.q.shape[1] + 1)

    @property
    def volumes(self) -> Array:
        """Cell volumes (per steradian when spherical)."""
        faces = self.faces
        return np.diff(faces**3) / 3 if self.spherical else np.diff(faces)

    @property
    def centres(self) -> Array:
        """Cell centres."""
        faces = self.faces
        return 0.5 * (faces[1:] + faces[:-1])

    @property
    def density(self) -> Array:
        """Density of each cell."""
        return self.q[0]

    @property
    def velocity(self) -> Array:
        """Velocity of each cell."""
        return self.q[1] / self.q[0]

    @property
    def pressure(self) -> Array:
        """Pressure of each cell."""
        return (self.heat_ratio - 1) * (self.q[2] - 0.5 * self.q[1] ** 2 / self.q[0])

    def totals(self) -> tuple[float, float]:
        """Mass and energy on the grid (per steradian when spherical)."""
        v = self.volumes
        return float(self.q[0] @ v), float(self.q[2] @ v)

    def advance(
        self,
        end: float,
        *,
        gauges: NDArray[np.int64] | None = None,
        last_cell: int | None = None,
        step_limit: int = 10_000_000,
        samples: int = 0,
    ) -> tuple[Array, Array, int]:
        """March on.

        Parameters
        ----------
        end : time to reach
        gauges : cells whose pressure is recorded at every step
        last_cell : march only up to this cell and stop when the wave comes near it
        step_limit : most steps in this call
        samples : most recorded steps

        Returns
        -------
        Recorded times, recorded pressures (one column a gauge), last disturbed cell.

        Raises
        ------
        EulerFailure
            Pressure or density became negative or not a number.
        """
        n = self.q.shape[1]
        work = self._work
        if "w" not in work or work["w"].shape[1] != n:
            faces = self.faces
            work["w"], work["slope"] = np.zeros((3, n)), np.zeros((3, n))
            work["flux"] = np.zeros((3, n + 1))
            work["area"] = faces**2 if self.spherical else np.ones(n + 1)
            work["volume"] = self.volumes
        cells = np.zeros(0, np.int64) if gauges is None else np.asarray(gauges, np.int64)
        kept = _Gauges(cells, np.zeros(samples), np.zeros((samples, cells.size)))
        grid = _Grid(
            self.q, work["w"], work["slope"], work["flux"], work["area"], work["volume"],
            self.dx, self.heat_ratio,
        )  # fmt: skip
        last = n if last_cell is None else min(last_cell, n)
        time, steps, front = _advance(
            grid, (self.first_cell, last), (self.time, end), self.courant, step_limit, kept
        )
        if time < 0:
            raise EulerFailure(f"flow computation broke down near time {self.time:g}")
        self.time = time
        self.steps += steps
        count = min(steps, samples)
        return kept.time[:count], kept.pressure[:count], front

    def coarsen(self) -> None:
        """Merge pairs of cells, conserving mass, momentum and energy."""
        v = self.volumes
        if self.q.shape[1] % 2:
            raise ValueError("only an even number of cells can be merged in pairs")
        total = (self.q * v).reshape(3, -1, 2).sum(axis=2)
        self.q = total / v.reshape(-1, 2).sum(axis=1)
        self.dx *= 2
        self.first_cell = (self.first_cell + 1) // 2
        self._work.clear()

    def extend(self, cells: int) -> None:
        """Add cells of the outermost state at the far end."""
        self.q = np.hstack([self.q, np.repeat(self.q[:, -1:], cells, axis=1)])
        self._work.clear()


def flow_of(
    density: Array,
    velocity: Array,
    pressure: Array,
    dx: float,
    *,
    spherical: bool = True,
    heat_ratio: float = EXPONENT,
) -> Flow:
    """A flow from densities, velocities and pressures of cells of width ``dx``."""
    energy = pressure / (heat_ratio - 1) + 0.5 * density * velocity**2
    q = np.ascontiguousarray(np.stack([density, density * velocity, energy]), float)
    return Flow(q, dx, spherical=spherical, heat_ratio=heat_ratio)
