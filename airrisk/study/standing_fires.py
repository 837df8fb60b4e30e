"""Fires that stand somewhere: what each does to the parts, the plugs and the people around it.

The wall of a part is cut into patches: in the flames or the hot gas above them, in sight of the
flame in two steps, out of sight. A plug counts as heated only where its place and the side that it
faces leave no doubt of it: it stands on the panel that the fire heats least of all that they allow.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.patches import Exposure as Struck
from airrisk.fire.patches import Patch
from airrisk.installation.model import Fire, FireSource, Installation, Line, Plug, Point, Vessel
from airrisk.physics import pool_fires
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN
from airrisk.study.heat_on_people import heat_at
from airrisk.study.outlines import Panels, line_route, nearest_on, part_panels, plug_panels
from airrisk.study.room_layers import RoomLayer, room_layer
from airrisk.study.source_flames import (
    JetFlame,
    UprightFlame,
    Walls,
    diameter_of,
    flame_of,
)

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
LEAST_FLUX = 1e3  # W/m2: less heats steel by some 30 K at most and is left out; judgement
PLUG_SHARE = 0.2  # of the highest flux: with less on it a plug decides nothing; judgement
NEAR_SHARE = 0.5  # of the highest flux: where the hotter of the two patches in sight ends
AS_HOT = 50.0  # K below the hottest flame a plug still counts as in it; judgement


@dataclass(frozen=True)
class InSight:
    """What the flame of a source does to one part."""

    distance_m: float  # on the plan from the middle of the fire to the nearest panel
    flames_share: float  # of the surface, in the flames or above them
    facing_share: float  # of the surface, sees the flame
    incident_w_m2: float  # highest, with the factor of caution
    mean_w_m2: float  # over what sees the flame
    flame_temperature_k: float | None  # around what stands in the flames
    may_touch: bool = False  # the flame touches it, or does when it leans over


@dataclass(frozen=True)
class HeatOnPlug:
    """What a source does to one plug, where its place and side leave no doubt of it."""

    reached_by: str  # "flames" | "radiation" | "nothing"
    incident_w_m2: float


@dataclass(frozen=True)
class SourceRecord:
    """A source that burns, and what it does around it."""

    id: str
    kind: str
    fuel: str | None
    diameter_m: float | None  # None: a jet
    heat_release_w: float
    flame_height_m: float  # length of a jet
    burning_time_s: float
    emissive_power_w_m2: float | None  # None: a jet
    exposures: Mapping[str, InSight]
    plugs: Mapping[str, HeatOnPlug] = field(default_factory=dict)
    people: Mapping[str, float] = field(default_factory=dict)  # W/m2, without the factor
    people_unknown: tuple[str, ...] = ()  # places of which nobody knows how near they are
    not_placed: tuple[str, ...] = ()  # parts of which the file does not say where they stand
    layer: RoomLayer | None = None  # None: it burns in no room that the file describes
    # vessel -> least distance from the fire's edge to its shell, m, that leaves it safe; None:
    # none found; empty: not asked
    keep_clear_m: Mapping[str, float | None] = field(default_factory=dict)
    gap_m: Mapping[str, float] = field(default_factory=dict)  # vessel -> that distance today


@dataclass(frozen=True)
class SourceFire:
    """The fire of a source for the runs."""

    fire: Fire  # reaches what is in ``struck``
    struck: Mapping[str, tuple[Patch, ...]]  # by part
    plug_patches: Mapping[str, str]  # patch that a plug stands on, by plug
    not_placed: tuple[str, ...]
    leaned_on: tuple[str, ...]  # parts that the flame touches or leaves if wind leans it over


@dataclass(frozen=True)
class _Seen:
    """One part before one flame."""

    panels: Panels
    flame: UprightFlame | JetFlame
    over: Bools  # in the flames
    flux: Floats  # W/m2 on the others


def source_record(installation: Installation, source: FireSource) -> SourceRecord:
    """What a source does around it.

    Parameters
    ----------
    installation
        With the places of its parts and people.
    source
        One of its sources of fire.
    """
    flame = flame_of(installation, source)
    walls = walls_for(installation, flame.lasts)
    seen, lost = _around(installation, flame, walls)
    factor = installation.choices.flame_radiation_factor
    upright = isinstance(flame, UprightFlame)
    heat = {one.id: heat_at(installation, one, flame, walls) for one in installation.people}
    return SourceRecord(
        id=source.id,
        kind=source.kind,
        fuel=source.fuel,
        diameter_m=diameter_of(source) if upright else None,
        heat_release_w=flame.heat,
        flame_height_m=flame.height if isinstance(flame, UprightFlame) else flame.length,
        burning_time_s=flame.lasts,
        emissive_power_w_m2=flame.power / factor if upright else None,
        exposures={name: _in_sight(one) for name, one in seen.items()},
        plugs={
            plug.id: _on_plug(plug, installation, seen)
            for plug in installation.plugs
            if any(plug.on.casefold() == name.casefold() for name in seen)
        },
        people={name: flux / factor for name, flux in heat.items() if flux is not None},
        people_unknown=tuple(name for name, flux in heat.items() if flux is None),
        not_placed=tuple(lost),
        layer=room_layer(installation, source),
        gap_m={
            name: one.panels.gap - flame.radius
            for name, one in seen.items()
            if isinstance(flame, UprightFlame) and _is_vessel(installation, name)
        },
    )


def source_fire(installation: Installation, source: FireSource) -> SourceFire:
    """The fire of a source, and the patches of the parts that it strikes.

    Patches: in the flames, of the temperature on their axis at the height of the lowest panel
    there; in sight of the flame in two steps of flux, each the highest in it; the rest out of the
    fire. A plug in sight stands in the lower step, and that step ends at what falls on the plug.
    """
    flame = flame_of(installation, source)
    walls = walls_for(installation, flame.lasts)
    seen, lost = _around(installation, flame, walls)
    struck: dict[str, tuple[Patch, ...]] = {}
    homes: dict[str, str] = {}
    in_flames: list[str] = []
    leaned: list[str] = []
    hottest = max((_flame_temperature(one) or 0.0 for one in seen.values()), default=0.0)
    for name, one in seen.items():
        if not one.over.any() and float(one.flux.max()) < LEAST_FLUX:
            continue
        if one.flame.leaned_on(one.panels):
            leaned.append(name)
        plugs = [p for p in installation.plugs if p.on.casefold() == name.casefold()]
        heat = {plug.id: _on_plug(plug, installation, seen) for plug in plugs}
        struck[name], own = _patches(one, heat, hottest)
        homes.update(own)
        in_flames += [plug for plug, home in own.items() if home == "flames"]
    shares = tuple(
        (name, min(math.fsum(p.share for p in patches if p.exposure.kind != "ambient"), 1.0))
        for name, patches in struck.items()
    )
    fire = Fire(
        id=source.id,
        curve="temperature",
        temperature=hottest or pool_fires.HOTTEST,
        reaches=tuple(struck),
        exposed_share=shares,
        plugs_in_fire=tuple(in_flames),
        convection=flame.convection,
        duration=flame.lasts,
    )
    return SourceFire(fire, struck, homes, tuple(lost), tuple(leaned))


def walls_for(installation: Installation, lasts: float) -> Walls:
    """The walls of which somebody has stated that they stand as long as a fire lasts [s]."""
    return Walls(
        tuple(w for w in installation.walls if w.resists is not None and w.resists >= lasts)
    )


def _around(
    installation: Installation, flame: UprightFlame | JetFlame, walls: Walls
) -> tuple[dict[str, _Seen], list[str]]:
    """Every part before the flame, and those without a place."""
    seen: dict[str, _Seen] = {}
    lost = []
    for part in installation.holders():
        turned = flame
        goal = _goal(installation, part, flame.at)
        if goal is not None:
            turned = flame.aim(goal)
        panels = part_panels(installation, part, turned.layout())
        if panels is None:
            lost.append(part.id)
        else:
            seen[part.id] = _before(panels, turned, walls)
    return seen, lost


def _before(panels: Panels, flame: UprightFlame | JetFlame, walls: Walls) -> _Seen:
    over = flame.inside(panels)
    flux = np.where(over, 0.0, flame.radiation(panels, walls))
    return _Seen(panels, flame, over, flux)


def _goal(installation: Installation, part: Vessel | Line, source: Point) -> Point | None:
    """Where a jet of any direction meets a part: the middle of a vessel, a line where nearest."""
    if isinstance(part, Vessel):
        return part.at
    route = line_route(installation, part)
    return None if route is None else nearest_on(route, source)


def _is_vessel(installation: Installation, name: str) -> bool:
    return any(vessel.id == name for vessel in installation.vessels)


def _flame_temperature(one: _Seen) -> float | None:
    """Temperature around the lowest panel in the flames, K."""
    if not one.over.any():
        return None
    inside = one.panels.at[one.over]
    lowest = inside[np.argmin(inside[:, 2])]
    return float(one.flame.temperature(lowest[None, :])[0])


def _in_sight(one: _Seen) -> InSight:
    away = np.hypot(one.panels.at[:, 0] - one.flame.at[0], one.panels.at[:, 1] - one.flame.at[1])
    facing = one.flux > 0.0
    total = float(one.panels.share[facing].sum())
    share = one.panels.share
    return InSight(
        distance_m=min(float(away.min()), one.panels.gap),
        flames_share=float(share[one.over].sum()),
        facing_share=total,
        incident_w_m2=float(one.flux.max()),
        mean_w_m2=float((one.flux * share).sum() / total) if total > 0.0 else 0.0,
        flame_temperature_k=_flame_temperature(one),
        may_touch=bool(one.over.any()) or one.flame.leaned_on(one.panels),
    )


def _on_plug(plug: Plug, installation: Installation, seen: Mapping[str, _Seen]) -> HeatOnPlug:
    """The least that its place and side leave it."""
    part = next(
        (one for one in installation.vessels if one.id.casefold() == plug.on.casefold()), None
    )
    if part is None or part.id not in seen:
        return HeatOnPlug("nothing", 0.0)  # nobody says where along a line it stands
    one = seen[part.id]
    spots = plug_panels(part, plug, one.flame.layout())
    inside = _surely_inside(one.flame, spots)
    # behind a vessel that is wider than the flame below it there is none on top
    around = one.panels if plug.place == "top" else spots
    if bool(_surely_inside(one.flame, around).all()):
        return HeatOnPlug("flames", 0.0)
    if isinstance(one.flame, JetFlame) and bool(one.over.any()):
        return HeatOnPlug("nothing", 0.0)  # the vessel stops the jet that its row of points is on
    # whatever is known of a wall: one that stands is enough to keep the heat from a plug
    flux = one.flame.radiation(spots, Walls(installation.walls, partly=True))
    least = float(np.where(inside, np.inf, flux).min())
    return HeatOnPlug("radiation" if least >= LEAST_FLUX else "nothing", least)


def _surely_inside(flame: UprightFlame | JetFlame, spots: Panels) -> Bools:
    """Places in the flame itself, without what counts as touched for caution."""
    exact = replace(spots, size=0.0, gap=math.inf, run=np.full(len(spots), math.inf))
    inside = flame.inside(exact)
    if isinstance(flame, JetFlame):  # the far side of what it strikes is in its shadow
        inside &= ((np.array(flame.nozzle) - spots.at) * spots.normal).sum(axis=1) > 0.0
    return inside


def _patches(
    one: _Seen, plugs: Mapping[str, HeatOnPlug], hottest: float
) -> tuple[tuple[Patch, ...], dict[str, str]]:
    """The patches of a part, and the patch that each of its plugs stands on."""
    over, flux, share = one.over, one.flux, one.panels.share
    highest = float(flux.max())
    seen = flux >= LEAST_FLUX
    heat = [plug.incident_w_m2 for plug in plugs.values() if plug.reached_by == "radiation"]
    at_best = min(max(heat, default=0.0), highest)
    by_plug = at_best >= PLUG_SHARE * highest > 0.0
    near = seen & (flux > at_best) if by_plug else seen & (flux >= NEAR_SHARE * highest)
    far = seen & ~near
    hot, cooler = over, np.zeros_like(over)
    at_plug = _at_plugs(one, plugs, hottest)
    if at_plug is not None:
        around = one.flame.temperature(one.panels.at)
        cooler = over & (around <= at_plug)
        hot = over & ~cooler
        near, far = (near | far, np.zeros_like(far))  # no more than four patches
    lowest_flux = float(flux[far].max()) if far.any() else 0.0
    found = []
    for name, chosen, exposure in (
        ("flames", hot, Struck("flames")),
        ("above", cooler, Struck("radiation", flux=STEFAN_BOLTZMANN * (at_plug or 0.0) ** 4)),
        ("near", near, Struck("radiation", flux=highest)),
        ("far", far, Struck("radiation", flux=lowest_flux)),
        ("away", ~over & ~seen, Struck("ambient")),
    ):
        part = float(share[chosen].sum())
        if part > 0.0:
            found.append(Patch(name, part, exposure))
    whole = math.fsum(patch.share for patch in found)
    patches = tuple(Patch(p.name, p.share / whole, p.exposure) for p in found)
    return patches, _homes(patches, plugs, at_plug is not None)


def _at_plugs(one: _Seen, plugs: Mapping[str, HeatOnPlug], hottest: float) -> float | None:
    """Temperature at plugs in the flames where these are cooler than at the hottest part, K."""
    if not any(plug.reached_by == "flames" for plug in plugs.values()):
        return None
    top = one.panels.at[np.argmax(one.panels.at[:, 2])]
    there = float(one.flame.temperature(top[None, :])[0])
    return there if there < hottest - AS_HOT else None


def _homes(
    patches: Sequence[Patch], plugs: Mapping[str, HeatOnPlug], cooler: bool
) -> dict[str, str]:
    """The patch of each plug that the fire reaches; never one that is hotter than it is there."""
    flux = {patch.name: patch.exposure.flux for patch in patches}
    found: dict[str, str] = {}
    for name, plug in plugs.items():
        if plug.reached_by == "flames":
            wanted = "above" if cooler else "flames"
            if wanted in flux:
                found[name] = wanted
        elif plug.reached_by == "radiation" and not cooler:
            known = [one for one in ("near", "far") if one in flux]
            fits = [one for one in known if flux[one] <= plug.incident_w_m2 * (1.0 + 1e-9)]
            if fits:
                found[name] = fits[0]
    return found
