"""Devices of a case: plugs, relief valves, bursting discs, compressors that go on feeding."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import NEVER_BURSTS, FireCaseError, plugs_in_fire
from airrisk.fire.case_scene import Arrays, Scene
from airrisk.fire.patches import standing_on
from airrisk.installation.delivery import delivery_temperature
from airrisk.installation.insulation import is_covered
from airrisk.installation.model import Plug
from airrisk.kernel import layout as at
from airrisk.messages import said
from airrisk.physics import air

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


def add_plugs(scene: Scene, spaces: Floats, arrays: Arrays) -> list[int]:
    """Fusible plugs with their bodies; the gas space of each."""
    rows = np.zeros((len(scene.plugs), at.P_SIZE))
    numbers = np.zeros((len(scene.plugs), at.PI_SIZE), dtype=np.int64)
    in_flames = plugs_in_fire(scene.installation, scene.fire)
    for row, places, plug in zip(rows, numbers, scene.plugs, strict=True):
        on = scene.home[plug.on]
        if plug.alloy is None:
            _plug_of_unknown_alloy(scene, plug, row, places)
            continue
        flames = plug.id in in_flames
        patch = _patch_of(scene, plug, flames, spaces[on])
        flames = flames and not is_covered(scene.installation, plug)
        row[: at.P_BOSS_AREA + 1] = scene.bodies[plug.id].row()
        row[at.P_START] = spaces[on, at.S_TEMPERATURE]
        places[:] = (
            on,
            patch,
            int(flames),
            int(plug.response == "follows wall"),
            int(scene.plug_works(plug.id)),
        )
    arrays.add_floats(at.I_F_PLUG, rows)
    arrays.add_integers(at.I_I_PLUG, numbers)
    arrays.integers[at.I_PLUGS] = len(rows)
    return [scene.home[plug.on] for plug in scene.plugs]


def _patch_of(scene: Scene, plug: Plug, flames: bool, space: Floats) -> int:
    """The patch of the wall that a plug is screwed into, as the kernel counts them."""
    laid = scene.laid.get(scene.network.spaces[scene.home[plug.on]].id)
    if laid is None:
        # out of the flames it still stands on heated metal where no other is left
        hot = flames or space[at.S_COLD_AREA] <= 0.0
        if space[at.S_HOT_AREA] <= 0.0:
            hot = False
        return at.FLAMES_PATCH if hot else at.AMBIENT_PATCH
    named = scene.settings.plug_patches.get(plug.id)
    if named is None:
        return standing_on(laid, flames)
    if named not in laid:
        raise FireCaseError(
            plug.id, said("no-such-patch", part=plug.on, name=named, names=", ".join(laid))
        )
    return laid[named].place


def _plug_of_unknown_alloy(scene: Scene, plug: Plug, row: Floats, places: Integers) -> None:
    """Nothing is known of it to run, so that it stays shut even where all plugs may open."""
    if scene.settings.credit == "as fitted" and plug.id not in scene.uncredited:
        raise FireCaseError(plug.id, said("no-alloy-no-credit"))
    row[at.P_HEAT_CAPACITY] = 1.0
    row[at.P_SOLIDUS] = row[at.P_LIQUIDUS] = 1e4
    places[at.PI_SPACE] = scene.home[plug.on]
    places[at.PI_FOLLOWS_WALL] = 1


def add_relief_valves(scene: Scene, arrays: Arrays) -> list[int]:
    """Relief valves; the gas space of each."""
    ambient = scene.installation.site.ambient_pressure
    rows = np.zeros((len(scene.relief_valves), at.R_SIZE))
    numbers = np.zeros((len(scene.relief_valves), at.RI_SIZE), dtype=np.int64)
    for k, valve in enumerate(scene.relief_valves):
        rows[k] = valve.set_pressure - ambient, valve.area, valve.discharge_coefficient
        # its body stands in the fire when the whole part does
        inside = scene.is_engulfed(valve.on)
        works = scene.opening_works(valve.id)
        numbers[k] = scene.home[valve.on], int(inside), int(works)
    arrays.add_floats(at.I_F_RELIEF, rows)
    arrays.add_integers(at.I_I_RELIEF, numbers)
    arrays.integers[at.I_RELIEFS] = len(rows)
    return [scene.home[valve.on] for valve in scene.relief_valves]


def add_discs(scene: Scene, arrays: Arrays) -> None:
    """Bursting discs."""
    ambient = scene.installation.site.ambient_pressure
    rows = [
        (
            one.burst_pressure - ambient if scene.opening_works(one.id) else NEVER_BURSTS,
            one.area,
            one.discharge_coefficient,
        )
        for one in scene.discs
    ]
    arrays.add_floats(at.I_F_DISC, np.array(rows, dtype=float))
    numbers = [(scene.home[one.on], 1) for one in scene.discs]
    arrays.add_integers(at.I_I_DISC, np.array(numbers, dtype=np.int64))
    arrays.integers[at.I_DISCS] = len(rows)


def add_compressors(scene: Scene, arrays: Arrays) -> None:
    """Compressors that go on feeding."""
    site = scene.installation.site
    rows = []
    for one in scene.compressors:
        cut_in = one.cut_in_pressure
        if cut_in is None:
            cut_in = site.ambient_pressure + 0.9 * (one.discharge_pressure - site.ambient_pressure)
        rho = float(air.density(site.ambient_pressure, site.ambient_temperature))
        hot_air = delivery_temperature(one, site.ambient_pressure)
        enthalpy = float(air.enthalpy(float(air.density(one.discharge_pressure, hot_air)), hot_air))
        rows.append((one.delivery * rho, enthalpy, cut_in, one.discharge_pressure))
    arrays.add_floats(at.I_F_FEED, np.array(rows, dtype=float))
    numbers = [(scene.home[one.id],) for one in scene.compressors]
    arrays.add_integers(at.I_I_FEED, np.array(numbers, dtype=np.int64))
    arrays.integers[at.I_FEEDS] = len(rows)
