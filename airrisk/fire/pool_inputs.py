"""What changes at the condensate of a part when the part, its water or the fire varies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import FireCase
from airrisk.fire.patches import spread_over
from airrisk.installation.geometry import wetted_surface
from airrisk.installation.model import Line, Vessel
from airrisk.kernel import layout as at
from airrisk.physics.shells import bore_area
from airrisk.physics.water_kernel import WATER_DENSITY

Floats = NDArray[np.float64]

SHAPE = ("wall_thickness", "volume", "length", "inside_diameter", "condensate")
SMALLEST_POOL = 1e-7  # m3: a part that had water when the case was built keeps a drop
NODES = 13  # at which the wetted surface is reckoned for many thicknesses


def pool_at(case: FireCase, name: str, field: int) -> int:
    """Place of one float of the condensate of a part."""
    return int(case.integers[at.I_F_POOL]) + case.pools.index(name) * at.W_SIZE + field


def water_columns(case: FireCase, name: str, water: Floats, volume: Floats) -> dict[int, Floats]:
    """Places and values when the condensate of a part varies.

    Parameters
    ----------
    case
        The base case.
    name
        The part.
    water
        Condensate of the variants [m3].
    volume
        Of the air in them with the condensate as built [m3].
    """
    whole = volume + case.parts[name].condensate
    return {
        case.space_at(name, at.S_VOLUME): np.maximum(whole - water, 0.01 * whole),
        pool_at(case, name, at.W_MASS): WATER_DENSITY * np.maximum(water, SMALLEST_POOL),
    }


def wetted_columns(
    case: FireCase,
    name: str,
    given: Mapping[str, Floats],
    struck: Mapping[int, Floats],
    smooth: bool,
) -> dict[int, Floats]:
    """Places and values of the surface over the condensate.

    Parameters
    ----------
    case
        The base case.
    name
        The part.
    given
        Values of some of ``SHAPE``.
    struck
        Areas that the fire strikes, the worst first [m2]; by the place of what is wetted of each.
    smooth
        Whether a varied wall may be interpolated between exact nodes.
    """
    part = case.parts[name]
    if smooth and set(given) == {"wall_thickness"}:
        walls = given["wall_thickness"]
        nodes = np.linspace(float(walls.min()), float(walls.max()), NODES)
        wetted = np.interp(walls, nodes, _wetted(part, {"wall_thickness": nodes}))
    elif given:
        wetted = _wetted(part, given)
    else:
        wetted = np.array(case.floats[pool_at(case, name, at.W_SURFACE)])
    heated = spread_over(wetted, tuple(struck.values()))
    return {
        pool_at(case, name, at.W_SURFACE): wetted,
        **dict(zip(struck, heated, strict=True)),
    }


def _wetted(part: Vessel | Line, given: Mapping[str, Floats]) -> Floats:
    rows = []
    for values in zip(*(column.tolist() for column in given.values()), strict=True):
        changed: dict[str, Any] = dict(zip(given, values, strict=True))
        if "volume" in changed and isinstance(part, Vessel):
            longer = (changed["volume"] - part.volume) / bore_area(part.inside_diameter)
            changed["cylinder_length"] = part.cylinder_length + longer
        if "condensate" in changed:
            changed["condensate"] = max(changed["condensate"], SMALLEST_POOL)
        rows.append(wetted_surface(replace(part, **changed)))
    return np.array(rows)
