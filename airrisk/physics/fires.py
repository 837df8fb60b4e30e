"""Fires as temperature against time, and what is usual for each curve."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics.heat_kernel import CURVE_CODES, STEFAN_BOLTZMANN, flame_temperature

Array = NDArray[np.float64]

CurveKind = Literal["standard", "external", "hydrocarbon", "slow", "flux", "temperature", "table"]
# From flames to a wall, W/m2/K, EN 1991-1-2 3.2 (read). Under a given heat flux the wall is hotter
# than the air around it and only loses by convection, as an unexposed face does, radiation apart:
# 3.1(5) (read). Every curve says its own, so that a new one burns with no other's.
USUAL_CONVECTION = 25.0
CONVECTION: Mapping[CurveKind, float] = {
    "standard": USUAL_CONVECTION,
    "external": USUAL_CONVECTION,
    "hydrocarbon": 50.0,
    "slow": USUAL_CONVECTION,
    "flux": 4.0,
    "temperature": USUAL_CONVECTION,
    "table": USUAL_CONVECTION,
}
CURVES = tuple(CONVECTION)
NOMINAL_CURVES = tuple(kind for kind in CURVES if kind not in ("flux", "temperature", "table"))


class FireCurveError(ValueError):
    """A fire that has no such temperature."""


def hottest_wall(
    curve: str,
    duration: float,
    ambient: float,
    *,
    flux: float | None = None,
    absorbed: bool = False,
    temperature: float | None = None,
    points: Sequence[tuple[float, float]] = (),
) -> float:
    """The highest temperature that a wall in a fire can come to, however slowly.

    That of its flames; in a flux that of a wall which radiates as much as comes in and loses
    nothing to the air, which real walls stay below.

    Parameters
    ----------
    curve, temperature, points
        As for ``fire_temperature``, or the curve "flux".
    duration : float
        Of the fire [s].
    ambient : float
        Temperature of the surroundings [K].
    flux : float
        Of the curve "flux" [W/m2].
    absorbed : bool
        Whether that flux is absorbed whatever the wall's temperature: then there is no highest.

    Returns
    -------
    float
        [K]; infinite where nothing bounds it.

    Raises
    ------
    FireCurveError
        As ``fire_temperature``, or the flux is missing.
    """
    if curve == "flux":
        if flux is None:
            raise FireCurveError("fire curve 'flux' needs its flux")
        if absorbed:
            return math.inf
        return float((max(flux, 0.0) / STEFAN_BOLTZMANN + ambient**4) ** 0.25)
    inside = [time for time, _ in points if time < duration]
    found = fire_temperature(
        curve, np.array([0.0, *inside, duration]), temperature=temperature, points=points
    )
    return float(found.max())


def fire_temperature(
    curve: str,
    time: ArrayLike,
    *,
    temperature: float | None = None,
    points: Sequence[tuple[float, float]] = (),
) -> Array:
    """Gas temperature of a fire.

    Parameters
    ----------
    curve : str
        standard, external, hydrocarbon, slow, temperature or table.
    time : array
        Time from the start [s].
    temperature : float
        Flame temperature of the curve "temperature" [K].
    points : sequence
        (time [s], temperature [K]) of the curve "table", joined by straight lines and held
        at the ends.

    Returns
    -------
    array
        Temperature [K].

    Raises
    ------
    FireCurveError
        The curve has no temperature (flux), or its value or points are missing.

    Source
    ------
    EN 1991-1-2:2002 3.2; slow curve EN 1363-2:1999.
    """
    t = np.asarray(time, float)
    if curve == "table":
        if len(points) < 1:
            raise FireCurveError("fire curve 'table' needs points")
        times, values = zip(*points, strict=True)
        if any(b <= a for a, b in pairwise(times)):
            raise FireCurveError("times of a fire table must rise")
        return np.interp(t, times, values)
    if curve not in CURVE_CODES:
        raise FireCurveError(f"fire curve {curve!r} has no temperature")
    if curve == "temperature" and temperature is None:
        raise FireCurveError("fire curve 'temperature' needs its temperature")
    code = CURVE_CODES[curve]
    value = 0.0 if temperature is None else temperature
    flat = [flame_temperature(code, float(one), value) for one in t.ravel()]
    return np.array(flat).reshape(t.shape)
