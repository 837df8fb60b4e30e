"""Pieces of a burst vessel: how many, how fast, how far.

Speeds by the Moore/Gurney form, by an energy share, by Baum's fits and by blow-down thrust; ranges
by flight with drag for a fixed, seeded spread of pieces and launch directions.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.flight import direct_speed, landing, longest_range
from airrisk.physics.ideal_gas import EXPONENT, GAS_CONSTANT
from airrisk.physics.shells import bore_area
from airrisk.quantities import GRAVITY

Array = NDArray[np.float64]
LIKELY_SHARE = 0.2  # of the stored energy, from memory
BOUND_SHARE = 0.6
SAMPLE = 600  # flights in a spread
SEED = 20260301
SHELL_DRAG = (0.8, 1.3)  # on the mean projected area; judgement, cube 0.8-1.05, plate 1.17
FLAT_SHARE = 0.5  # of pieces that keep some lift; judgement
HIGHEST_LIFT = 0.3  # lift / drag of those pieces; judgement


@dataclass(frozen=True, kw_only=True)
class BurstSource:
    """A vessel at the moment it lets go (SI, absolute pressures)."""

    pressure: float
    temperature: float
    volume: float
    ambient_pressure: float
    ambient_temperature: float
    casing_mass: float
    head_mass: float  # one head
    inside_diameter: float
    length: float  # heads included
    wall_thickness: float
    metal_density: float
    heat_ratio: float = EXPONENT

    @property
    def sound_speed(self) -> float:
        """Speed of sound of the air inside, m/s, ideal."""
        return float(np.sqrt(self.heat_ratio * GAS_CONSTANT * self.temperature))

    @property
    def gas_mass(self) -> float:
        """Mass of the air inside, kg, ideal."""
        return self.pressure * self.volume / (GAS_CONSTANT * self.temperature)

    @property
    def ambient_density(self) -> float:
        """Density of the surrounding air, kg/m3."""
        return self.ambient_pressure / (GAS_CONSTANT * self.ambient_temperature)


@dataclass(frozen=True)
class FlightSpread:
    """Ranges and speeds of the sampled pieces of one way of breaking."""

    launch_speed: float  # m/s, the same for every piece
    mass_quantiles: tuple[float, float, float]  # kg at 10, 50, 90 %
    ranges: Array  # m, sorted
    hazardous_share: float  # of pieces that land with the hazardous energy or more
    hazardous_range: float | None  # m, farthest such landing; None: none is hazardous
    longest: float  # m, best elevation of the farthest-flying piece, no lift
    median_drag_length: float  # m
    longest_drag_length: float  # m, 99 % of pieces
    farthest_drag_length: float  # m, of the piece of ``longest``

    def range_at(self, share: ArrayLike) -> Array:
        """Ranges not exceeded by these shares of pieces, m."""
        place = np.linspace(0.0, 1.0, self.ranges.size)
        return np.interp(np.asarray(share, float), place, self.ranges)


def moore_speed(
    energy: ArrayLike,
    casing_mass: ArrayLike,
    gas_mass: ArrayLike,
    shape: Literal["cylinder", "sphere"] = "cylinder",
) -> Array:
    """Initial speed of the pieces of a burst vessel, Gurney form.

    Parameters
    ----------
    energy : stored energy, J
    casing_mass : kg
    gas_mass : kg
    shape : cylinder or sphere

    Returns
    -------
    1.092 sqrt(E G / M), m/s, with G = 1/(1 + C/(2M)) or 1/(1 + 3C/(5M)).

    Source: Moore 1967, from memory.
    """
    m = np.asarray(casing_mass, float)
    ratio = np.asarray(gas_mass, float) / m
    g = 1 / (1 + ratio / 2) if shape == "cylinder" else 1 / (1 + 3 * ratio / 5)
    return 1.092 * np.sqrt(np.asarray(energy, float) * g / m)


def energy_share_speed(energy: ArrayLike, mass: ArrayLike, share: float = LIKELY_SHARE) -> Array:
    """Speed when a share of the stored energy becomes kinetic energy of the casing.

    Parameters
    ----------
    energy : J
    mass : kg
    share : 0.2 likely, 0.6 upper bound

    Returns
    -------
    sqrt(2 A E / M), m/s.

    Source: shares from memory (handbooks on pressure-vessel bursts).
    """
    return np.sqrt(2 * share * np.asarray(energy, float) / np.asarray(mass, float))


def baum_force(
    pressure_difference: float, radius: float, mass_per_area: float, sound_speed: float
) -> float:
    """Baum's force number F = (p1 - p0) r / (m a0^2).

    Parameters
    ----------
    pressure_difference : Pa
    radius : m
    mass_per_area : kg/m2
    sound_speed : of the gas inside, m/s

    Returns
    -------
    F, dimensionless.

    Source: Baum, from memory.
    """
    return pressure_difference * radius / (mass_per_area * sound_speed**2)


def baum_many_speed(force: float, sound_speed: float) -> float:
    """Speed of many small pieces, 0.88 a0 F^0.55, m/s.

    Parameters
    ----------
    force : Baum's F
    sound_speed : m/s

    Source: Baum, from memory.
    """
    return 0.88 * sound_speed * force**0.55


def baum_end_cap_speed(force: float, sound_speed: float) -> float:
    """Speed of an end cap that comes off, 2 a0 F^0.5, m/s.

    Parameters
    ----------
    force : Baum's F with the cap's mass on the bore's area
    sound_speed : m/s

    Source: Baum, from memory.
    """
    return 2.0 * sound_speed * force**0.5


@cache
def _nodes() -> tuple[Array, Array]:
    return np.polynomial.legendre.leggauss(40)


def rocket_speed(source: BurstSource, mass: float) -> float:
    """Speed of a vessel driven by the air leaving a full-bore open end.

    Parameters
    ----------
    source : vessel state
    mass : kg of what is driven

    Returns
    -------
    m/s; an upper bound: no friction, no gravity, no mass of air carried along.

    Source: momentum of isentropic blow-down of an ideal gas through an open end, sonic until the
    critical pressure ratio, then expanding to ambient pressure.
    """
    k, p0, p1 = source.heat_ratio, source.ambient_pressure, source.pressure
    if p1 <= p0:
        return 0.0
    x, w = _nodes()
    # m ~ p^(1/k) along the isentrope; integrate over ln p
    half = 0.5 * np.log(p1 / p0)
    p = p0 * np.exp(half * (x + 1))
    weight = w * half
    t = source.temperature * (p / p1) ** ((k - 1) / k)
    gas_constant = GAS_CONSTANT
    throat = p * (2 / (k + 1)) ** (k / (k - 1))
    choked = throat >= p0
    exit_pressure = np.where(choked, throat, p0)
    exit_temperature = t * (exit_pressure / p) ** ((k - 1) / k)
    speed = np.sqrt(np.maximum(2 * k / (k - 1) * gas_constant * (t - exit_temperature), 0))
    flux = exit_pressure / (gas_constant * exit_temperature) * speed
    thrust_per_flow = speed + (exit_pressure - p0) / np.maximum(flux, 1e-12)
    gas = source.gas_mass * (p / p1) ** (1 / k)
    impulse = float(np.sum(weight * thrust_per_flow * gas / k))
    return impulse / mass


@cache
def _spread() -> Mapping[str, Array]:
    """Unit random numbers of the sampled flights, the same for every vessel."""
    rng = np.random.default_rng(SEED)
    pieces = rng.integers(1, 4, SAMPLE)
    cuts = np.sort(rng.random((SAMPLE, 2)), axis=1)
    thirds = np.diff(np.hstack([np.zeros((SAMPLE, 1)), cuts, np.ones((SAMPLE, 1))]))
    pick = rng.integers(0, 3, SAMPLE)
    rows = np.arange(SAMPLE)
    mass = np.where(
        pieces == 1,
        1.0,
        np.where(pieces == 2, rng.uniform(0.1, 0.9, SAMPLE), np.maximum(thirds[rows, pick], 0.02)),
    )
    many = np.exp(rng.normal(0.0, 0.8, SAMPLE))
    lift = np.where(rng.random(SAMPLE) < FLAT_SHARE, rng.uniform(0, HIGHEST_LIFT, SAMPLE), 0.0)
    return {
        "few": mass,
        "many": many / many.mean(),
        "drag": rng.uniform(*SHELL_DRAG, SAMPLE),
        "elevation": np.arcsin(rng.random(SAMPLE)),  # isotropic over the upper half
        "lift": lift,
    }


@dataclass(frozen=True)
class Launch:
    """One way of breaking: the same launch speed for a sample of pieces."""

    speed: float  # m/s
    masses: Array  # kg
    areas: Array  # mean projected, m2
    flat: bool  # some pieces are plate and feel lift


def fly_pieces(
    launches: Sequence[Launch], source: BurstSource, hazardous_energy: float
) -> list[FlightSpread]:
    """Ranges of sampled pieces, all ways of breaking at once.

    Parameters
    ----------
    launches : ways of breaking
    source : gives the density of the surrounding air
    hazardous_energy : J

    Returns
    -------
    A FlightSpread for each launch.

    Source: flight table; drag coefficients and lift of SHELL_DRAG, HIGHEST_LIFT (judgement).
    """
    unit = _spread()
    speed = np.array([[launch.speed] for launch in launches])
    masses = np.array([launch.masses for launch in launches])
    areas = np.array([launch.areas for launch in launches])
    lift = np.array([unit["lift"] * launch.flat for launch in launches])
    drag_length = masses / (source.ambient_density * unit["drag"] * areas)
    u = speed**2 / (GRAVITY * drag_length)
    down = landing(u, unit["elevation"], lift)
    ranges = down.range_star * drag_length
    hazardous = 0.5 * masses * (speed * down.speed_ratio) ** 2 >= hazardous_energy
    rows = np.arange(len(launches))
    far = np.argmax(drag_length, axis=1)
    best, _ = longest_range(u[rows, far])
    longest = best * drag_length[rows, far]
    farthest_hazard = np.where(hazardous, ranges, -1.0).max(axis=1)
    ordered = np.sort(ranges, axis=1)
    sorted_mass = np.sort(masses, axis=1)
    sorted_drag = np.sort(drag_length, axis=1)
    marks = [round(q * (SAMPLE - 1)) for q in (0.1, 0.5, 0.9, 0.99)]
    return [
        FlightSpread(
            launch_speed=launch.speed,
            mass_quantiles=(
                float(sorted_mass[i, marks[0]]),
                float(sorted_mass[i, marks[1]]),
                float(sorted_mass[i, marks[2]]),
            ),
            ranges=ordered[i],
            hazardous_share=float(hazardous[i].mean()),
            hazardous_range=float(farthest_hazard[i]) if farthest_hazard[i] >= 0 else None,
            longest=float(longest[i]),
            median_drag_length=float(sorted_drag[i, marks[1]]),
            longest_drag_length=float(sorted_drag[i, marks[3]]),
            farthest_drag_length=float(sorted_drag[i, -1]),
        )
        for i, launch in enumerate(launches)
    ]


def few_piece_sample(source: BurstSource) -> tuple[Array, Array]:
    """Masses and mean projected areas of 1-3 pieces of torn-open shell.

    Parameters
    ----------
    source : vessel

    Returns
    -------
    kg and m2. A plate tumbles with half its face as mean projected area (Cauchy's theorem for
    convex bodies); one piece is the whole shell laid open.
    """
    masses = _spread()["few"] * source.casing_mass
    return masses, 0.5 * masses / (source.metal_density * source.wall_thickness)


def many_piece_sample(source: BurstSource, count: int = 40) -> tuple[Array, Array]:
    """Masses and mean projected areas of many pieces (brittle or shattered shell).

    Parameters
    ----------
    source : vessel
    count : mean number of pieces; judgement

    Returns
    -------
    kg and m2, masses log-normal around the mean.
    """
    masses = _spread()["many"] * source.casing_mass / count
    return masses, 0.5 * masses / (source.metal_density * source.wall_thickness)


def end_cap_sample(source: BurstSource) -> tuple[Array, Array]:
    """Mass and mean projected area of one head that comes off.

    Parameters
    ----------
    source : vessel

    Returns
    -------
    kg and m2; a shallow bowl tumbles with about 0.6 of its disc (judgement between edge and face).
    """
    disc = bore_area(source.inside_diameter)
    return np.full(SAMPLE, source.head_mass), np.full(SAMPLE, 0.6 * disc)


def whole_vessel_sample(source: BurstSource) -> tuple[Array, Array]:
    """Mass and mean projected area of the vessel that takes off after losing one head.

    Parameters
    ----------
    source : vessel

    Returns
    -------
    kg and m2, a quarter of the surface of the enclosing cylinder (Cauchy's theorem).
    """
    diameter = source.inside_diameter + 2 * source.wall_thickness
    surface = np.pi * diameter * source.length + np.pi / 2 * diameter**2
    mass = source.casing_mass - source.head_mass
    return np.full(SAMPLE, mass), np.full(SAMPLE, surface / 4)


def speed_at(spread: FlightSpread, distance: ArrayLike) -> tuple[Array, Array]:
    """Speed of a piece in direct (flat) flight at given distances.

    Parameters
    ----------
    spread : sampled pieces
    distance : m

    Returns
    -------
    m/s for the median piece and for the one that keeps its speed best (99 % of pieces).

    Source: drag alone.
    """
    return (
        direct_speed(spread.launch_speed, distance, spread.median_drag_length),
        direct_speed(spread.launch_speed, distance, spread.longest_drag_length),
    )
