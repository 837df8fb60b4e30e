"""Insulation in a fire: whether it counts, and what it resists.

A layer is there for the whole fire or not at all: it counts where its outer face can never get
hotter than it holds to. That face is taken to get as hot as the flames, or as a face that radiates
all that falls on it. The heat it stores is left out, so that all heat gets through sooner than in
truth.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.patches import Laid
from airrisk.installation.insulation import Insulation, insulation_of
from airrisk.installation.model import Fire, Line, Vessel
from airrisk.physics.fires import fire_temperature, hottest_wall
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN

Floats = NDArray[np.float64]
# which layers are there: those that count; all others too where no fire strikes; every one
Layers = Literal["counted", "unstruck", "all"]


@dataclass(frozen=True)
class Cover:
    """The insulation of a part in a fire."""

    insulation: Insulation
    outer: float  # K, the hottest that its outer face can come to
    counted: bool
    struck: float  # m2 K/W where the fire strikes; 0: it is not there
    unstruck: float  # m2 K/W elsewhere


def cover(
    part: Vessel | Line,
    outer: float,
    unconfirmed: Collection[str],
    layers: Layers,
) -> Cover | None:
    """The insulation of a part in a fire; None: none is stated.

    Parameters
    ----------
    part
        The part.
    outer
        The hottest that an outer face on it can come to [K].
    unconfirmed
        Parts whose insulation nobody may count on.
    layers
        Which layers are there.
    """
    found = insulation_of(part)
    if found is None:
        return None
    counted = part.id not in unconfirmed and found.holds(outer)
    # elsewhere it is cold and resists all that is stated: it keeps more heat in
    struck = found.resistance_in(outer) if counted or layers == "all" else 0.0
    unstruck = found.resistance if counted or layers != "counted" else 0.0
    return Cover(found, outer, counted, struck, unstruck)


def hottest_face(fire: Fire, laid: Iterable[Laid] | None, share: float, ambient: float) -> float:
    """The hottest that the outer face of a part can come to in a fire, K.

    Parameters
    ----------
    fire
        The fire.
    laid
        Patches of the part; None: a share in the flames, the rest out of them.
    share
        That share.
    ambient
        Temperature of the surroundings [K].
    """
    exposures = [] if laid is None else [one.exposure for one in laid if one.exposure is not None]
    kinds = {one.kind for one in exposures}
    found = [ambient]
    if "flames" in kinds or (laid is None and share > 0.0):
        found.append(
            hottest_wall(
                fire.curve,
                fire.duration,
                ambient,
                flux=fire.flux,
                absorbed=fire.absorbed,
                temperature=fire.temperature,
                points=fire.points,
            )
        )
    found += [
        hottest_wall("flux", fire.duration, ambient, flux=one.flux)
        for one in exposures
        if one.kind == "radiation"
    ]
    return max(found)


def hottest_of_variants(
    fire: Fire, duration: Floats, value: Floats, factor: Floats, shift: Floats, ambient: float
) -> Floats:
    """The highest temperature of flames, or of a face under a flux, for many fires at once [K].

    Parameters
    ----------
    fire
        Whose curve it is.
    duration
        How long each burns [s].
    value
        Flux [W/m2] or temperature [K] of a constant fire.
    factor, shift
        On the temperature of flames, and added to it [K].
    ambient
        Temperature of the surroundings [K].
    """
    if fire.curve == "flux":
        if fire.absorbed:
            return np.full(np.shape(value), np.inf)
        return (np.maximum(value, 0.0) / STEFAN_BOLTZMANN + ambient**4) ** 0.25
    if fire.curve == "temperature":
        flames = value
    elif fire.curve == "table":
        flames = np.array(max(hot for _, hot in fire.points))
    else:
        flames = fire_temperature(fire.curve, duration)
    return np.maximum(factor * flames + shift, ambient)
