"""Condensate that boils on after a vessel has begun to vent: a bound on what its steam can do.

The fire run carries dry air, so that a vessel in it is empty soon after a plug has opened. Water
left in its bottom goes on boiling as long as the fire lasts; its steam leaves through the same
opening and holds the pressure up while the dry wall above loses its strength. The bound: the wetted
metal takes the whole heat that the fire gives to cold metal, all of it makes steam, the dry metal
gives off nothing, and the air of the run is still there beside the steam.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from airrisk.installation.geometry import part_geometry, shell_grade
from airrisk.installation.model import Fire, Vessel
from airrisk.physics import fires, heat_kernel, metal, metal_kernel
from airrisk.physics.roots import bracketed_root
from airrisk.study.shut_in_air import WATER_DENSITY, WATER_GAS_CONSTANT

BOILING = 373.15  # K; the wet metal is taken to stay that cold
HEAT_OF_EVAPORATION = 2.0e6  # J/kg: 2.26 at 1 bar, 2.0 at 12 bar; steam tables, from memory
STEAM_EXPONENT = 1.3
STEPS = 40  # of the boiling; the use of the strength is within 5 % of fine steps


@dataclass(frozen=True)
class Opening:
    """A device that has opened: when [s], and its effective area [m2]."""

    time: float
    area: float


@dataclass(frozen=True)
class BoilOff:
    """The worst moment of the boiling after the vent."""

    strength_use: float
    pressure: float  # Pa absolute
    time: float  # s


def wetted_surface(vessel: Vessel) -> float:
    """Outer surface over the condensate, m2.

    Parameters
    ----------
    vessel : Vessel
        With condensate; standing water in the lowest place.

    Returns
    -------
    float
        Upright: the bottom head, in part as the surface of a shallow cap over its volume, then
        the cylinder. Lying: the same share of the whole surface as of the circumference.
    """
    shape, water = part_geometry(vessel), vessel.condensate
    if vessel.orientation == "horizontal":
        wanted = 2.0 * math.pi * min(water / shape.volume, 1.0)
        angle = bracketed_root(
            lambda a: a - math.sin(a) - wanted, 0.0, 2.0 * math.pi, tolerance=1e-6
        )
        return shape.outer_surface * angle / (2.0 * math.pi)
    if water < shape.head_volume:
        return shape.head_outer_surface * math.sqrt(water / shape.head_volume)
    above = 4.0 * (water - shape.head_volume) / vessel.inside_diameter
    return min(shape.head_outer_surface + above, shape.outer_surface)


def holding_pressure(flow: float, area: float, temperature: float, ambient: float) -> float:
    """Pressure at which steam leaves an opening as fast as it is made, Pa absolute.

    Parameters
    ----------
    flow : float
        Steam [kg/s].
    area : float
        Area times discharge coefficient [m2].
    temperature : float
        Of the steam [K].
    ambient : float
        Outside pressure [Pa absolute].

    Source
    ------
    Isentropic nozzle flow of an ideal gas with k = 1.3, critical or not.
    """
    k = STEAM_EXPONENT
    root = math.sqrt(WATER_GAS_CONSTANT * temperature)
    choked = math.sqrt(k) * (2.0 / (k + 1.0)) ** ((k + 1.0) / (2.0 * (k - 1.0)))
    critical = (2.0 / (k + 1.0)) ** (k / (k - 1.0))
    pressure = flow * root / (area * choked)
    if pressure >= ambient / critical:
        return pressure

    def excess(p: float) -> float:
        r = ambient / p
        rate = 2.0 * k / (k - 1.0) * (r ** (2.0 / k) - r ** ((k + 1.0) / k))
        return area * p / root * math.sqrt(max(rate, 0.0)) - flow

    return bracketed_root(excess, ambient, ambient / critical, tolerance=10.0)


def _flux(fire: Fire, time: float, wall: float, ambient: float) -> float:
    if fire.curve == "flux":
        value = fire.flux or 0.0
        if fire.absorbed:
            return value
        return heat_kernel.absorbed_flux(value, wall, ambient, fire.emissivity, fire.convection)
    if fire.curve == "table":
        flame = float(fires.fire_temperature("table", time, points=fire.points))
    else:
        code = heat_kernel.CURVE_CODES[fire.curve]
        flame = heat_kernel.flame_temperature(code, time, fire.temperature or 0.0)
    return heat_kernel.net_flux(flame, wall, fire.emissivity, fire.convection)


def boil_off(
    vessel: Vessel,
    fire: Fire,
    openings: Iterable[Opening],
    *,
    dry: tuple[np.ndarray, np.ndarray, np.ndarray],
    basis: str,
    burst_factor: float,
    metal_load: float,
    ambient: tuple[float, float],
) -> BoilOff | None:
    """Bound on the strength use of a vented vessel while its condensate boils away.

    Parameters
    ----------
    vessel
        With condensate.
    fire
        What heats it.
    openings
        The plugs and discs that let its air out.
    dry
        The run: times [s], pressures [Pa absolute], temperatures of the metal in the fire [K].
    basis
        Strength basis.
    burst_factor
        Gauge burst pressure over the strength of the metal.
    metal_load
        Metal on the outer surface [kg/m2].
    ambient
        Pressure [Pa absolute] and temperature [K] outside.

    Returns
    -------
    BoilOff or None
        None when the fire does not reach the vessel, is over before the vent, or nothing opens.

    Source
    ------
    Judgement, after the way in which vessels with liquid are reckoned in fires: the heat into the
    wetted surface over the heat of evaporation.
    """
    ways = sorted(openings, key=lambda one: one.time)
    share = fire.share(vessel.id)
    if not ways or share <= 0.0 or ways[0].time >= fire.duration:
        return None
    shape = part_geometry(vessel)
    times, pressures, walls = dry
    wet = min(wetted_surface(vessel), share * shape.outer_surface)
    time, wall = ways[0].time, float(np.interp(ways[0].time, times, walls))
    water, ordered = vessel.condensate * WATER_DENSITY, shell_grade(vessel)
    family = ordered.metal.family_code
    step = (fire.duration - time) / STEPS
    worst: BoilOff | None = None
    while water > 0.0 and time < fire.duration:
        steam = wet * max(_flux(fire, time, BOILING, ambient[1]), 0.0) / HEAT_OF_EVAPORATION
        if steam > 0.0:
            step = min(step, max(water / steam / STEPS, 1.0))
        area = sum(one.area for one in ways if one.time <= time)
        # on its way out the steam is heated by the dry metal: halfway, judgement
        pressure = holding_pressure(steam, area, 0.5 * (BOILING + wall), ambient[0])
        pressure += max(float(np.interp(time, times, pressures)) - ambient[0], 0.0)
        burst = burst_factor * float(metal.strength(ordered, basis, wall))
        use = (pressure - ambient[0]) / burst if burst > 0.0 else math.inf
        if worst is None or use > worst.strength_use:
            worst = BoilOff(use, pressure, time)
        heating = _flux(fire, time, wall, ambient[1]) / metal_load
        wall += step * heating / metal_kernel.heat_capacity(family, wall)
        water -= steam * step
        time += step
    return worst
