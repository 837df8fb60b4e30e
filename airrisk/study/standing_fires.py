"""Fires that stand somewhere: what a pool's flame does to each part, and to people, by its place.

The flame is an upright cylinder over the pool, without wind and with nothing between. A vessel is a
cylinder of its diameter and volume. The file does not say how a lying one lies: it shows the flame
its broadside, as near as its end can come, which is more than it can get. A line runs straight
between its ends, at the height that gets most. The wall is cut into panels: those over the pool are
in the flames or the hot gas above them, the others get what they see of the flame.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.patches import Exposure as Struck
from airrisk.fire.patches import Patch
from airrisk.installation.geometry import reckoned_wall
from airrisk.installation.model import Fire, FireSource, Installation, Line, Point, Vessel
from airrisk.installation.sections import holder_volume
from airrisk.physics import pool_fires
from airrisk.physics.flame_view import panel_factor
from airrisk.physics.shells import bore_area

Floats = NDArray[np.float64]
AROUND, ALONG = 12, 8  # panels of a vessel; with one on the facing line the peak is met
ALONG_LINE = 48  # at least
STEP_OF_LINE, MOST_OF_LINE = 0.5, 20_000  # of the radius of the pool; panels
STANDS_AT = 0.3  # m, lowest point of a vessel above the floor; judgement
LINE_HIGHEST = 3.0  # m above the floor at most, where the flame gives most; judgement
WITHOUT_VOLUME = 3600.0  # s, of a pool of which nobody says how much there is
LONGEST = 86400.0  # s
LEAST_FLUX = 1e3  # W/m2: less heats steel by some 30 K at most and is left out; judgement
NEAR_SHARE = 0.5  # of the highest flux: where the hotter of the two patches in sight ends
FLAME_CONVECTION = 25.0  # W/m2/K, EN 1991-1-2 (read)
LEANS = math.sin(math.radians(45.0))  # of its height a flame reaches sideways in wind; judgement
PERSON_HEIGHT = 1.5  # m


@dataclass(frozen=True)
class InSight:
    """What a pool's flame does to one part."""

    distance_m: float  # from the middle of the pool to the middle of the part, or the nearest point
    flames_share: float  # of the surface, over the pool
    facing_share: float  # of the surface, sees the flame
    incident_w_m2: float  # highest, with the factor of caution
    mean_w_m2: float  # over what sees the flame
    flame_temperature_k: float | None  # around what stands over the pool


@dataclass(frozen=True)
class PoolRecord:
    """A pool that burns, and what it does around it."""

    id: str
    fuel: str
    diameter_m: float
    heat_release_w: float
    flame_height_m: float
    burning_time_s: float
    emissive_power_w_m2: float
    exposures: Mapping[str, InSight]
    people: Mapping[str, float] = field(default_factory=dict)  # W/m2, without the factor
    not_placed: tuple[str, ...] = ()  # parts of which the file does not say where they stand
    # vessel -> least distance from the pool's edge to its shell, m, that leaves it safe; None:
    # none found; empty: not asked
    keep_clear_m: Mapping[str, float | None] = field(default_factory=dict)
    gap_m: Mapping[str, float] = field(default_factory=dict)  # vessel -> that distance today


@dataclass(frozen=True)
class PoolFire:
    """The fire of a pool for the runs."""

    fire: Fire  # reaches what is in ``struck``
    struck: Mapping[str, tuple[Patch, ...]]  # by part
    not_placed: tuple[str, ...]
    leaned_on: tuple[str, ...]  # parts that the flame touches or leaves if wind leans it over


@dataclass(frozen=True)
class _Flame:
    radius: float
    height: float
    heat: float
    power: float  # W/m2, with the factor of caution
    at: Point


@dataclass(frozen=True)
class _Panels:
    """Panels of one part: from the flame's axis, above the floor, how they look, their shares."""

    distance: Floats
    height: Floats
    aside: Floats
    up: Floats
    share: Floats


def pool_record(installation: Installation, source: FireSource) -> PoolRecord:
    """What a pool does around it.

    Parameters
    ----------
    installation
        With the places of its parts and people.
    source
        One of its pools.
    """
    flame, lasts = _flame(installation, source)
    exposures: dict[str, InSight] = {}
    not_placed = []
    for part in installation.holders():
        panels = _panels(installation, part, flame)
        if panels is None:
            not_placed.append(part.id)
            continue
        exposures[part.id] = _in_sight(panels, flame)
    factor = installation.choices.flame_radiation_factor
    return PoolRecord(
        id=source.id,
        fuel=source.fuel,
        diameter_m=source.diameter,
        heat_release_w=flame.heat,
        flame_height_m=flame.height,
        burning_time_s=lasts,
        emissive_power_w_m2=flame.power / factor,
        exposures=exposures,
        people={one.id: _at_person(one.at, flame) / factor for one in installation.people},
        not_placed=tuple(not_placed),
        gap_m={
            one.id: math.dist(one.at, source.at) - touching(one, source)
            for one in installation.vessels
            if one.at is not None
        },
    )


def pool_fire(installation: Installation, source: FireSource) -> PoolFire:
    """The fire of a pool, and the patches of the parts that it strikes.

    Patches: over the pool in flames of the temperature on their axis, at the height of the lowest
    panel there; in sight of the flame in two steps of flux, each the highest in it; the rest out
    of the fire.
    """
    flame, lasts = _flame(installation, source)
    struck: dict[str, tuple[Patch, ...]] = {}
    hottest = 0.0
    lost, leaned = [], []
    for part in installation.holders():
        panels = _panels(installation, part, flame)
        if panels is None:
            lost.append(part.id)
            continue
        seen = _in_sight(panels, flame)
        if seen.flames_share <= 0.0 and seen.incident_w_m2 < LEAST_FLUX:
            continue
        hottest = max(hottest, seen.flame_temperature_k or 0.0)
        if seen.distance_m - flame.radius < LEANS * flame.height:
            leaned.append(part.id)
        struck[part.id] = _patches(panels, flame)
    shares = tuple(
        (name, math.fsum(p.share for p in patches if p.exposure.kind != "ambient"))
        for name, patches in struck.items()
    )
    over = {n for n, p in struck.items() if len(p) == 1 and p[0].exposure.kind == "flames"}
    fire = Fire(
        id=source.id,
        curve="temperature",
        temperature=hottest or pool_fires.HOTTEST,
        reaches=tuple(struck),
        exposed_share=tuple((name, min(share, 1.0)) for name, share in shares),
        plugs_in_fire=tuple(
            plug.id for plug in installation.plugs if plug.on.casefold() in _folded(over)
        ),
        convection=FLAME_CONVECTION,
        duration=lasts,
    )
    return PoolFire(fire, struck, tuple(lost), tuple(leaned))


def touching(vessel: Vessel, source: FireSource) -> float:
    """Distance between the middles of a vessel and a pool that meet, m."""
    return 0.5 * source.diameter + _reach(vessel)


def _outline(vessel: Vessel) -> tuple[float, float]:
    """Outer radius and length of the cylinder that a vessel counts as, m."""
    wall = reckoned_wall(vessel)
    length = holder_volume(vessel) / bore_area(vessel.inside_diameter) + 2.0 * wall
    return 0.5 * vessel.inside_diameter + wall, length


def _reach(vessel: Vessel) -> float:
    """How far a vessel may reach from its middle on the plan, m."""
    radius, length = _outline(vessel)
    return radius if vessel.orientation == "vertical" else max(radius, 0.5 * length)


def _folded(names: set[str]) -> set[str]:
    return {name.casefold() for name in names}


def _flame(installation: Installation, source: FireSource) -> tuple[_Flame, float]:
    """The flame of a pool, and how long it burns, s."""
    fuel = pool_fires.fuels()[source.fuel]
    heat = pool_fires.heat_release(fuel, source.diameter)
    height = pool_fires.flame_height(heat, source.diameter)
    power = pool_fires.emissive_power(heat, source.diameter, height, fuel.radiated)
    lasts = WITHOUT_VOLUME
    if source.volume is not None:
        lasts = min(pool_fires.burning_time(fuel, source.diameter, source.volume), LONGEST)
    factor = installation.choices.flame_radiation_factor
    return _Flame(0.5 * source.diameter, height, heat, factor * power, source.at), lasts


def _panels(installation: Installation, part: Vessel | Line, flame: _Flame) -> _Panels | None:
    """The panels of a part; None: nobody says where it stands."""
    if isinstance(part, Line):
        first, last = (_place(installation, name) for name in (part.from_, part.to))
        if first is None or last is None:
            return None  # nobody knows where it leads
        return _line_panels(part, first, last, flame)
    if part.at is None:
        return None
    away = math.hypot(part.at[0] - flame.at[0], part.at[1] - flame.at[1])
    radius, length = _outline(part)
    if part.orientation == "vertical":
        return _upright(away, radius, length)
    return _lying(max(away - (_reach(part) - radius), 0.0), radius, length)


def _place(installation: Installation, name: str) -> Point | None:
    try:
        record: Any = installation.find(name)
    except KeyError:
        return None
    return getattr(record, "at", None)


def _upright(away: float, radius: float, length: float) -> _Panels:
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND  # the first looks at the flame
    height = STANDS_AT + (np.arange(ALONG) + 0.5) / ALONG * length
    turn, height = (one.ravel() for one in np.meshgrid(turn, height))
    x, y = away - radius * np.cos(turn), radius * np.sin(turn)
    return _as_panels((x, y, height), (-np.cos(turn), np.sin(turn), np.zeros_like(turn)))


def _lying(away: float, radius: float, length: float) -> _Panels:
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND
    along = ((np.arange(ALONG + 1) + 0.5) / (ALONG + 1) - 0.5) * length  # one in the middle
    turn, along = (one.ravel() for one in np.meshgrid(turn, along))
    x, z = away - radius * np.cos(turn), STANDS_AT + radius * (1.0 + np.sin(turn))
    return _as_panels((x, along, z), (-np.cos(turn), np.zeros_like(turn), np.sin(turn)))


def _line_panels(line: Line, first: Point, last: Point, flame: _Flame) -> _Panels:
    """A line as a row of facing panels; half of its girth looks at the flame."""
    # so close that no pool falls between two of them
    wanted = math.dist(first, last) / (STEP_OF_LINE * flame.radius)
    count = min(max(math.ceil(wanted), ALONG_LINE), MOST_OF_LINE)
    share = (np.arange(count) + 0.5) / count
    x = first[0] + share * (last[0] - first[0]) - flame.at[0]
    y = first[1] + share * (last[1] - first[1]) - flame.at[1]
    height = np.full(count, min(0.5 * flame.height, LINE_HIGHEST))
    distance = np.hypot(x, y)
    none = np.zeros(count)
    front = _Panels(distance, height, none, none, np.full(count, 0.5 / count))
    back = _Panels(distance, height, none + np.pi, none, front.share)
    return _Panels(
        *(
            np.concatenate([getattr(front, name), getattr(back, name)])
            for name in ("distance", "height", "aside", "up", "share")
        )
    )


def _as_panels(at: tuple[Floats, Floats, Floats], normal: tuple[Floats, Floats, Floats]) -> _Panels:
    """Panels from their places about the flame's axis and their normals."""
    (x, y, z), (nx, ny, nz) = at, normal
    distance = np.hypot(x, y)
    level = np.hypot(nx, ny)
    safe = np.where(level * distance > 1e-12, level * distance, 1.0)
    cosine = np.where(level * distance > 1e-12, -(nx * x + ny * y) / safe, 1.0)
    aside = np.arccos(np.clip(cosine, -1.0, 1.0))
    return _Panels(distance, z, aside, nz, np.full(x.shape, 1.0 / x.size))


def _struck(panels: _Panels, flame: _Flame) -> tuple[NDArray[np.bool_], Floats]:
    """Which panels are over the pool, and what falls on the others, W/m2."""
    over = panels.distance <= flame.radius
    factor = panel_factor(
        panels.distance, panels.height, panels.aside, panels.up, flame.radius, flame.height
    )
    return over, np.where(over, 0.0, factor * flame.power)


def _in_sight(panels: _Panels, flame: _Flame) -> InSight:
    over, flux = _struck(panels, flame)
    seen = flux > 0.0
    total = float(panels.share[seen].sum())
    return InSight(
        distance_m=float(panels.distance.min()),
        flames_share=float(panels.share[over].sum()),
        facing_share=total,
        incident_w_m2=float(flux.max()),
        mean_w_m2=float((flux * panels.share).sum() / total) if total > 0.0 else 0.0,
        flame_temperature_k=_around(panels, over, flame) if over.any() else None,
    )


def _around(panels: _Panels, over: NDArray[np.bool_], flame: _Flame) -> float:
    """Temperature around the lowest panel over the pool, K."""
    lowest = float(panels.height[over].min())
    return pool_fires.flame_temperature_at(flame.heat, 2.0 * flame.radius, lowest)


def _patches(panels: _Panels, flame: _Flame) -> tuple[Patch, ...]:
    over, flux = _struck(panels, flame)
    highest = float(flux.max())
    seen = flux >= LEAST_FLUX
    near = seen & (flux >= NEAR_SHARE * highest)
    far = seen & ~near
    found = []
    for name, chosen, exposure in (
        ("flames", over, Struck("flames")),
        ("near", near, Struck("radiation", flux=highest)),
        ("far", far, Struck("radiation", flux=float(flux[far].max()) if far.any() else 0.0)),
        ("away", ~over & ~seen, Struck("ambient")),
    ):
        share = float(panels.share[chosen].sum())
        if share > 0.0:
            found.append(Patch(name, share, exposure))
    whole = math.fsum(patch.share for patch in found)
    return tuple(Patch(p.name, p.share / whole, p.exposure) for p in found)


def _at_person(at: Point, flame: _Flame) -> float:
    """What falls on somebody who looks at the flame, W/m2; in the flame all that it gives."""
    away = math.hypot(at[0] - flame.at[0], at[1] - flame.at[1])
    if away <= flame.radius:
        return flame.power
    factor = panel_factor(away, PERSON_HEIGHT, 0.0, 0.0, flame.radius, flame.height)
    return float(factor) * flame.power
