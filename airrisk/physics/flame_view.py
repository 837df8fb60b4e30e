"""How much of what an upright cylinder of flame radiates meets a small panel beside it.

Lengths in m. The flame stands on the ground with its axis through the origin; the panel is at a
distance from the axis and a height. All arrays broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
EDGE = 0.11  # of the facing factor, by quadrature from 1.2 radii on
CLOSE = 1e-9  # of the radius: so near the flame a panel counts as at its surface


def upright_factor(distance: ArrayLike, height: ArrayLike) -> Floats:
    """View factor V of a facing upright panel at the foot of a cylinder.

    Parameters
    ----------
    distance : array
        S: from the axis, over the radius, above 1.
    height : array
        h: of the cylinder over its radius; odd in h.

    Source
    ------
    NUREG-1805 and NIST correlation guide (read), recomputed by quadrature.
    """
    s, h = np.broadcast_arrays(np.asarray(distance, float), np.asarray(height, float))
    a = (h * h + s * s + 1.0) / (2.0 * s)
    root = np.sqrt(np.maximum(a * a - 1.0, 1e-300))
    steep = np.sqrt((s - 1.0) / (s + 1.0))
    return np.asarray(
        np.arctan(h / np.sqrt(s * s - 1.0)) / (np.pi * s)
        - h * np.arctan(steep) / (np.pi * s)
        + a * h / (np.pi * s * root) * np.arctan(np.sqrt((a + 1.0) / (a - 1.0)) * steep)
    )


def level_factor(distance: ArrayLike, height: ArrayLike) -> Floats:
    """View factor H of a level panel that looks up at the foot of a cylinder; 0 below it.

    Parameters
    ----------
    distance, height
        As for ``upright_factor``.

    Source
    ------
    As for ``upright_factor``.
    """
    s, h = np.broadcast_arrays(np.asarray(distance, float), np.asarray(height, float))
    h = np.maximum(h, 0.0)
    a = (h * h + s * s + 1.0) / (2.0 * s)
    b = (1.0 + s * s) / (2.0 * s)
    root = np.sqrt(np.maximum(a * a - 1.0, 1e-300))
    steep = np.sqrt((s - 1.0) / (s + 1.0))
    first = np.arctan(np.sqrt((b + 1.0) / (b - 1.0)) * steep) / np.pi
    second = (a - 1.0 / s) / (np.pi * root) * np.arctan(np.sqrt((a + 1.0) / (a - 1.0)) * steep)
    return np.asarray(first - second)


def panel_factor(
    distance: ArrayLike,
    height: ArrayLike,
    aside: ArrayLike,
    up: ArrayLike,
    flame_radius: float,
    flame_height: float,
) -> Floats:
    """View factor from a small panel to the flame, from 0 to 1.

    Parameters
    ----------
    distance, height : array
        Of the panel from the axis and above the ground [m].
    aside : array
        Angle between the panel's normal, seen from above, and the line to the axis [rad].
    up : array
        Sine of the angle by which the normal looks up; -1: straight down.
    flame_radius, flame_height : float
        [m].

    Returns
    -------
    array
        0 for a panel inside the flame: it is in flames and not beside them.

    Source
    ------
    The factor is linear in the normal while the flame is above the panel's horizon (exact); where
    some of it is below, that counts as nothing, which is too much. Of a panel partly turned away
    the part that still looks at an endless flame of that width is taken (judgement; within half a
    per cent of the facing factor by quadrature).
    """
    x, z, angle, rise = np.broadcast_arrays(
        *(np.asarray(one, float) for one in (distance, height, aside, up))
    )
    outside = x > flame_radius * (1.0 + CLOSE)
    s = np.where(outside, x / flame_radius, 2.0)
    below, above = z / flame_radius, (flame_height - z) / flame_radius
    facing = np.maximum(upright_factor(s, below) + upright_factor(s, above), 0.0)
    half = np.arcsin(1.0 / s)
    right = 0.5 * np.pi
    seen = np.sin(np.minimum(right, angle + half)) - np.sin(np.maximum(-right, angle - half))
    turned = np.where(angle - half < right, seen / (2.0 * np.sin(half)), 0.0)
    # from above the flame its near top edge is wider than an endless flame is
    edge = (z > flame_height) & (angle + half > right) & (angle - half < right)
    turned = np.where(edge, turned + EDGE, turned)
    # of a panel that looks up the flame below its own height takes away, if it sees all of it
    away = np.where(outside, np.maximum(x - flame_radius, CLOSE * flame_radius), 1.0)
    looked = np.where(rise >= 0.0, above, below)  # height on the side it looks to, over the radius
    other = np.where(rise >= 0.0, below, above)
    sees_all = (
        np.abs(rise) * np.maximum(other, 0.0) * flame_radius
        <= np.sqrt(np.maximum(1.0 - rise * rise, 0.0))
        * np.cos(np.minimum(np.abs(angle) + half, right))
        * away
    )
    level = level_factor(s, looked) - level_factor(s, -other)
    level = level - np.where(sees_all, level_factor(s, other) - level_factor(s, -looked), 0.0)
    flat = np.sqrt(np.maximum(1.0 - rise * rise, 0.0))
    nearest = np.cos(np.maximum(np.abs(angle) - half, 0.0))
    sees_some = np.abs(rise) * np.maximum(looked, 0.0) * flame_radius + flat * nearest * away > 0.0
    factor = flat * facing * np.maximum(turned, 0.0) + np.abs(rise) * level
    return np.where(outside & sees_some, np.clip(factor, 0.0, 1.0), 0.0)
