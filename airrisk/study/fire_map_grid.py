"""The positions of a map: where they stand, and which stand beside which."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.model import FireSource, Installation, Point
from airrisk.messages import said
from airrisk.physics import jet_fires, pool_fires
from airrisk.study.fire_map_reach import FireMapError, outline_of
from airrisk.study.source_heat import SourceHeat

Floats = NDArray[np.float64]
LARGEST = 1000.0  # m, side of a plan
MOST_POSITIONS = 60_000
MARGIN_FLUX = 5e3  # W/m2: the map ends where less falls on the outermost part; judgement
LEAST_MARGIN = 3.0  # m
DIAMETERS = (0.2, 50.0)  # m, as of a pool in the file
LENGTHS = (0.1, 200.0)  # m, as of a jet in the file
FLOWS = (1e-4, 100.0)  # kg/s, the same
PLACES = 0.05  # m, steps of the pitch
Place = tuple[int, int]


@dataclass(frozen=True)
class Grid:
    """Positions in rows and columns, m."""

    x: Floats
    y: Floats
    pitch: float


def pool_to_move(fuel: str, diameter: float, volume: float | None = None) -> FireSource:
    """A pool for a map, standing nowhere yet.

    Parameters
    ----------
    fuel
        Key of the table of fuels.
    diameter
        m.
    volume
        m3 of liquid; None: it burns as long as a pool of unknown volume.

    Raises
    ------
    FireMapError
        No such fuel, or no such pool.
    """
    known = {key.casefold(): key for key in pool_fires.fuels()}
    key = known.get(fuel.strip().casefold())
    if key is None:
        raise FireMapError(
            said(
                "map-unknown-fuel",
                fuel=f'"{fuel}"',
                valid="; ".join(pool_fires.fuels()),
            )
        )
    low, high = DIAMETERS
    if not low <= diameter <= high:
        raise FireMapError(
            said(
                "map-diameter-out-of-range",
                value=f"{diameter:g}",
                low=f"{low:g}",
                high=f"{high:g}",
            )
        )
    return FireSource(id="", fuel=key, diameter=diameter, at=(0.0, 0.0), volume=volume)


def jet_to_move(
    length: float | None, fuel: str | None, mass_flow: float | None, direction: float | None
) -> FireSource:
    """A jet for a map, standing nowhere yet.

    Parameters
    ----------
    length
        m; None: by its mass flow.
    fuel
        Key of the table of fuels of jets; None: not stated.
    mass_flow
        kg/s; None: by its length.
    direction
        rad from the plan's x axis; None: pointed at each part in turn.

    Raises
    ------
    FireMapError
        No such fuel, or no such jet.
    """
    known = {key.casefold(): key for key in jet_fires.jet_fuels()}
    key = None if fuel is None else known.get(fuel.strip().casefold())
    if fuel is not None and key is None:
        raise FireMapError(
            said("map-unknown-fuel", fuel=f'"{fuel}"', valid="; ".join(jet_fires.jet_fuels()))
        )
    low, high = LENGTHS
    if length is not None and not low <= length <= high:
        raise FireMapError(
            said("map-length-out-of-range", value=f"{length:g}", low=f"{low:g}", high=f"{high:g}")
        )
    low, high = FLOWS
    if mass_flow is not None and not low <= mass_flow <= high:
        raise FireMapError(
            said("map-flow-out-of-range", value=f"{mass_flow:g}", low=f"{low:g}", high=f"{high:g}")
        )
    return FireSource(
        id="", kind="jet", fuel=key, length=length, mass_flow=mass_flow, direction=direction,
        at=(0.0, 0.0),
    )  # fmt: skip


def grid_of(installation: Installation, heat: SourceHeat, positions: int) -> Grid:
    """Positions around all parts that have a place.

    A fire is never so small beside the pitch that it could pass a line unseen.

    Raises
    ------
    FireMapError
        Nothing has a place, or they are too far apart.
    """
    points = _outermost(installation)
    if not points:
        raise FireMapError(said("map-nothing-placed"))
    margin = max(heat.distance_of(MARGIN_FLUX), heat.radius + LEAST_MARGIN)
    xs, ys = ([p[k] for p in points] for k in (0, 1))
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    if max(wide, high) > LARGEST:
        raise FireMapError(
            said(
                "map-plan-too-large",
                size=f"{max(wide, high):.0f}",
                most=f"{LARGEST:g}",
            )
        )
    wide, high = wide + 2.0 * margin, high + 2.0 * margin
    most = heat.pitch
    pitch = min(math.sqrt(wide * high / max(positions, 1)), most)
    pitch = max(min(round(pitch / PLACES), math.floor(most / PLACES + 1e-9)) * PLACES, PLACES)
    if wide * high > MOST_POSITIONS * pitch**2:
        raise FireMapError(
            said(
                "map-fire-too-small",
                diameter=f"{most:.3g}",
                wide=f"{wide:.0f}",
                high=f"{high:.0f}",
                most=MOST_POSITIONS,
            )
        )
    return Grid(_along(min(xs) - margin, wide, pitch), _along(min(ys) - margin, high, pitch), pitch)


def _along(first: float, length: float, pitch: float) -> Floats:
    count = math.ceil(length / pitch - 1e-9) + 1
    over = 0.5 * ((count - 1) * pitch - length)
    return np.asarray(first - over + pitch * np.arange(count), dtype=np.float64)


def _outermost(installation: Installation) -> list[Point]:
    """Corners around what has a place."""
    found: list[Point] = []
    for part in installation.holders():
        points, reach = outline_of(installation, part)
        for x, y in points:
            found += [(x - reach, y - reach), (x + reach, y + reach)]
    return found


def squares_around(
    row: int, column: int, size: int, shape: tuple[int, ...]
) -> Iterator[tuple[Place, Place, Place, Place]]:
    """Corners of the squares of a side that hold a position, rim included."""
    for top in {row // size * size, (row - 1) // size * size}:
        for left in {column // size * size, (column - 1) // size * size}:
            bottom, right = top + size, left + size
            if min(top, left) < 0 or bottom >= shape[0] or right >= shape[1]:
                continue
            if top <= row <= bottom and left <= column <= right:
                yield (top, left), (top, right), (bottom, left), (bottom, right)


def ring_of(chosen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Positions beside a chosen one, also across a corner, that are not chosen themselves."""
    wide = np.pad(chosen, 1)
    rows, columns = chosen.shape
    found = np.zeros_like(chosen)
    for down in (0, 1, 2):
        for right in (0, 1, 2):
            found |= wide[down : down + rows, right : right + columns]
    return np.asarray(found & ~chosen)
