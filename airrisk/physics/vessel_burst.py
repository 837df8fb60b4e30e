"""Blast of a bursting vessel from the table of spherical Euler solutions.

Free-air curve of a massless sphere; the ground is taken into account by doubling the energy (a
hemisphere on the ground) or by near-ground factors, never both; a cylinder by shape factors.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.blast import reflected_from_incident
from airrisk.physics.ideal_gas import EXPONENT, GAS_CONSTANT
from airrisk.physics.shock_tube import starting_overpressure
from airrisk.tables import load_arrays

Array = NDArray[np.float64]
Ground = Literal["surface", "near ground", "free air"]
Shape = Literal["sphere", "cylinder"]
SEARCH_POINTS = 400
SEARCH_END = 1e4  # R*

# (up to R*, pressure factor, impulse factor), from memory (handbooks on pressure-vessel bursts)
CYLINDER_FACTORS = ((0.3, 4.0, 2.0), (1.6, 1.6, 1.1), (3.5, 1.6, 1.0), (np.inf, 1.4, 1.0))
NEAR_GROUND_FACTORS = ((1.0, 2.0, 1.6), (np.inf, 1.1, 1.0))
LAST_GONE = 2.0  # of the last edge: there the last factor holds alone; judgement
ALONE_BEYOND = LAST_GONE * CYLINDER_FACTORS[-2][0]  # R*


@dataclass(frozen=True)
class _Table:
    log_pressure: Array
    log_temperature: Array
    surface: Array
    farthest: float
    values: Array  # (2, p, T, gauge): ln Ps/p0, ln i*
    limits: tuple[float, float, float, float]  # p low, high, T low, high


@cache
def _table() -> _Table:
    arrays = load_arrays("burst_table.npz")
    p, t = arrays["pressure_ratio"], arrays["temperature_ratio"]
    return _Table(
        np.log(p),
        np.log(t),
        arrays["surface"],
        float(arrays["farthest"]),
        np.stack([arrays["log_overpressure"], arrays["log_impulse"]]),
        (float(p[0]), float(p[-1]), float(t[0]), float(t[-1])),
    )


@dataclass(frozen=True)
class BurstCurve:
    """Overpressure and impulse against R* of one burst, free air."""

    log_radius: Array  # ln R*, from the vessel's surface
    log_overpressure: Array  # ln Ps/p0
    log_impulse: Array  # ln i*
    in_range: bool  # False: the nearest edge of the table was taken
    far_scale: float  # constant of the weak-wave law beyond the table

    def overpressure(self, radius: ArrayLike) -> Array:
        """Ps/p0 at R*; inside the surface its value there, beyond the table the weak-wave law."""
        r = np.log(np.asarray(radius, float))
        near = np.interp(r, self.log_radius, self.log_overpressure)
        beyond = np.maximum(r - self.log_radius[-1], 0.0)
        return np.exp(near - beyond - 0.5 * np.log1p(beyond / self.far_scale))

    def impulse(self, radius: ArrayLike) -> Array:
        """i* at R*; beyond the table it falls as 1/R*."""
        r = np.log(np.asarray(radius, float))
        near = np.interp(r, self.log_radius, self.log_impulse)
        return np.exp(near - np.maximum(r - self.log_radius[-1], 0.0))


def burst_curve(pressure_ratio: float, temperature_ratio: float) -> BurstCurve:
    """Curve of one burst, bilinear in ln(p1/p0) and ln(T1/T0) at equal share of ln R*.

    Parameters
    ----------
    pressure_ratio : p1/p0, above 1
    temperature_ratio : T1/T0

    Returns
    -------
    BurstCurve; outside the table the nearest edge, marked.

    Raises
    ------
    ValueError
        The vessel is not above ambient pressure.

    Source: resources/burst_table.npz (own Euler solutions); the start is the exact shock tube of
    the given ratios; far field p ~ 1/(R sqrt(ln R/R0)) of weak spherical shocks.
    """
    if not pressure_ratio > 1 or not temperature_ratio > 0:
        raise ValueError(
            f"a burst needs p1/p0 above 1 and T1/T0 above 0, got {pressure_ratio:g} and "
            f"{temperature_ratio:g}"
        )
    table = _table()
    low_p, high_p, low_t, high_t = table.limits
    inside = low_p * (1 - 1e-12) <= pressure_ratio <= high_p * (1 + 1e-12) and low_t * (
        1 - 1e-12
    ) <= temperature_ratio <= high_t * (1 + 1e-12)
    p = float(np.clip(pressure_ratio, low_p, high_p))
    t = float(np.clip(temperature_ratio, low_t, high_t))
    i, a = _place(table.log_pressure, np.log(p))
    j, b = _place(table.log_temperature, np.log(t))
    v = table.values
    mixed = (
        (1 - a) * (1 - b) * v[:, i, j]
        + a * (1 - b) * v[:, i + 1, j]
        + (1 - a) * b * v[:, i, j + 1]
        + a * b * v[:, i + 1, j + 1]
    )
    mixed[0, 0] = np.log(starting_overpressure(p, t))
    # close in, the first positive phase is cut short by the vessel's own air: never less than
    # farther out
    mixed[1] = np.maximum.accumulate(mixed[1, ::-1])[::-1]
    radius = (3 * (EXPONENT - 1) / (4 * np.pi * (p - 1))) ** (1 / 3)
    log_radius = np.linspace(np.log(radius), np.log(table.farthest), v.shape[3])
    # d ln p / d ln R = -1 - 1/(2 ln(R/R0)): the slope at the end gives ln(R/R0) there
    far = slice(-6, None)
    slope = np.polyfit(log_radius[far], mixed[0, far], 1)[0]
    scale = 0.5 / max(-slope - 1.0, 0.02)
    scale += 0.5 * (log_radius[-1] - log_radius[-6])
    return BurstCurve(log_radius, mixed[0], mixed[1], inside, float(scale))


def _place(axis: Array, value: float) -> tuple[int, float]:
    index = int(np.clip(np.searchsorted(axis, value) - 1, 0, axis.size - 2))
    return index, float((value - axis[index]) / (axis[index + 1] - axis[index]))


def factors_at(table: tuple[tuple[float, float, float], ...], radius: Array) -> tuple[Array, Array]:
    """Factors on pressure and impulse at R*, without steps.

    At its edge each printed factor holds; from there to the next edge it goes over into the next
    one, straight on logarithmic scales. So it is never less than printed.
    """
    edges = np.array([row[0] for row in table[:-1]])
    log_edges = np.log(np.append(edges, LAST_GONE * edges[-1]))
    log_radius = np.log(np.maximum(radius, 1e-9))
    pressure, impulse = (
        np.exp(np.interp(log_radius, log_edges, np.log([row[column] for row in table])))
        for column in (1, 2)
    )
    return pressure, impulse


@dataclass(frozen=True)
class VesselBurst:
    """The blast of one bursting vessel."""

    energy: float  # Brode, of the vessel's air alone, J
    scaled_energy: float  # J that scales distances (doubled on the ground)
    pressure: float  # Pa absolute
    ambient_pressure: float
    ambient_sound_speed: float
    starting_overpressure: float  # Pa
    vessel_radius: float  # m, of the equal (hemi)sphere
    curve: BurstCurve
    ground: Ground
    shape: Shape
    in_range: bool

    @property
    def length(self) -> float:
        """Length that scales distances, (E/p0)^(1/3), m."""
        return float((self.scaled_energy / self.ambient_pressure) ** (1 / 3))

    def scaled_radius(self, distance: ArrayLike) -> Array:
        """R* = R (p0/E)^(1/3) at a distance (m)."""
        return np.asarray(distance, float) / self.length

    def _factor(self, radius: Array) -> tuple[Array, Array]:
        p, i = np.ones(radius.shape), np.ones(radius.shape)
        for used, table in (
            (self.shape == "cylinder", CYLINDER_FACTORS),
            (self.ground == "near ground", NEAR_GROUND_FACTORS),
        ):
            if used:
                fp, fi = factors_at(table, radius)
                p, i = p * fp, i * fi
        return p, i

    def incident(self, distance: ArrayLike) -> Array:
        """Incident overpressure (Pa) at distances (m) from the vessel's centre."""
        r = np.atleast_1d(self.scaled_radius(distance))
        factor, _ = self._factor(r)
        free = self.curve.overpressure(r) * self.ambient_pressure
        # no factor can lift the wave above the vessel's own pressure
        return np.minimum(free * factor, self.pressure - self.ambient_pressure)

    def sphere_incident(self, distance: ArrayLike) -> Array:
        """Incident overpressure (Pa) at distances (m) if the vessel were a sphere."""
        return self.curve.overpressure(self.scaled_radius(distance)) * self.ambient_pressure

    def reflected(self, distance: ArrayLike) -> Array:
        """Normally reflected overpressure (Pa) at distances (m)."""
        return reflected_from_incident(self.incident(distance), self.ambient_pressure)

    def incident_impulse(self, distance: ArrayLike) -> Array:
        """Impulse of the positive phase (Pa s) at distances (m)."""
        r = np.atleast_1d(self.scaled_radius(distance))
        _, factor = self._factor(r)
        scale = self.ambient_pressure ** (2 / 3) * self.scaled_energy ** (1 / 3)
        return self.curve.impulse(r) * factor * scale / self.ambient_sound_speed

    def distance_for(self, overpressure: ArrayLike) -> Array:
        """Largest distance (m) at which an incident overpressure (Pa) is reached; 0: nowhere.

        Nothing is said about distances inside the vessel's own (hemi)sphere.
        """
        wanted = np.atleast_1d(np.asarray(overpressure, float))
        length = self.length
        start = float(np.exp(self.curve.log_radius[0]))
        r = np.geomspace(start, SEARCH_END, SEARCH_POINTS)
        p = self.incident(r * length)
        # largest distance counts: make the curve monotone from outside in
        p = np.maximum.accumulate(p[::-1])[::-1]
        found = np.exp(np.interp(np.log(wanted), np.log(p[::-1]), np.log(r[::-1])))
        return np.where(wanted <= p[0], found * length, 0.0)


def vessel_burst(
    pressure: float,
    temperature: float,
    volume: float,
    ambient_pressure: float,
    ambient_temperature: float,
    *,
    ground: Ground = "surface",
    shape: Shape = "sphere",
) -> VesselBurst:
    """Blast of a vessel of air that bursts.

    Parameters
    ----------
    pressure : at burst, Pa absolute
    temperature : of the air inside, K
    volume : m3
    ambient_pressure : Pa absolute
    ambient_temperature : K
    ground : "surface" doubles the energy (hemisphere), "near ground" takes factors instead,
        "free air" neither
    shape : "cylinder" takes the factors of elongated vessels (broadside)

    Returns
    -------
    VesselBurst.

    Raises
    ------
    ValueError
        The vessel is not above ambient pressure, or a value is not positive.

    Source: scaling R* = R (p0/E)^(1/3), i* = i a0 / (p0^(2/3) E^(1/3)), E = (p1-p0) V/(k-1), twice
    that at ground level; factors from memory.
    """
    if not (volume > 0 and ambient_pressure > 0 and ambient_temperature > 0):
        raise ValueError("volume (m3), ambient pressure (Pa) and temperature (K) must be above 0")
    curve = burst_curve(pressure / ambient_pressure, temperature / ambient_temperature)
    energy = (pressure - ambient_pressure) * volume / (EXPONENT - 1)
    doubled = 2.0 if ground == "surface" else 1.0
    start = starting_overpressure(pressure / ambient_pressure, temperature / ambient_temperature)
    return VesselBurst(
        energy=energy,
        scaled_energy=doubled * energy,
        pressure=pressure,
        ambient_pressure=ambient_pressure,
        ambient_sound_speed=float(np.sqrt(EXPONENT * GAS_CONSTANT * ambient_temperature)),
        starting_overpressure=start * ambient_pressure,
        vessel_radius=float((3 * volume * doubled / (4 * np.pi)) ** (1 / 3)),
        curve=curve,
        ground=ground,
        shape=shape,
        in_range=curve.in_range,
    )
