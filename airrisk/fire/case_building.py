"""The arrays of one fire against one section, chapter by chapter."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import NETWORK_TOLERANCE, TOLERANCE, FireCase, FireCaseError, largest_step
from airrisk.fire.case_devices import add_compressors, add_discs, add_plugs, add_relief_valves
from airrisk.fire.case_scene import AS_STATED, Arrays, CaseSettings, Scene
from airrisk.fire.case_walls import add_patches, add_pools, add_spaces
from airrisk.fire.elimination import elimination, own_devices, pool_neighbours
from airrisk.fire.network import GasNetwork
from airrisk.fire.patches import fault_of
from airrisk.installation.model import Fire, Installation, Line
from airrisk.installation.sections import Section, devices_in_reach
from airrisk.installation.start import pressures_beside, start_state
from airrisk.kernel import layout as at
from airrisk.messages import said
from airrisk.physics.heat_kernel import CURVE_CODES

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

WALL_LOSS = 9.0  # W/m2/K, radiation included, EN 1991-1-2 3.1(5)
COOL_DOWN = 7200.0  # s, longest that a run goes on after its fire
INNER_EMISSIVITY = 0.8  # oxidised or oily steel; judgement
DEAD_RELIEF_TEMPERATURE = 673.15  # K, spring and seat no longer credited
BUDGET = 200_000
CURVE_NUMBERS = {**CURVE_CODES, "flux": at.CURVE_FLUX, "table": at.CURVE_TABLE}


def build_case(
    installation: Installation, fire: Fire, section: Section, settings: CaseSettings = AS_STATED
) -> FireCase:
    """The arrays of one fire against one section.

    Parameters
    ----------
    installation, fire, section
        What is there; the section fixes which valves are closed.
    settings
        What is assumed beyond that.

    Returns
    -------
    FireCase

    Raises
    ------
    FireCaseError
        A plug without alloy that is to be credited, a part without volume, patches that make no
        whole wall or that a plug does not find, or a number that is missing.
    """
    scene = Scene(installation, fire, section, settings)
    for part, patches in scene.exposed.items():
        fault = fault_of(patches, fire)
        if fault is not None:
            raise FireCaseError(part, fault)
    arrays = Arrays()
    _general(scene, arrays)
    spaces = add_spaces(scene, arrays)
    plug_spaces = add_plugs(scene, spaces, arrays)
    relief_spaces = add_relief_valves(scene, arrays)
    add_discs(scene, arrays)
    patch_spaces, patch_rows = add_patches(scene, arrays)
    add_pools(scene, spaces, patch_rows, arrays)
    arrays.add_floats(at.I_F_PATCH, patch_rows)
    _links(scene, (plug_spaces, patch_spaces, relief_spaces), arrays)
    add_compressors(scene, arrays)
    _curve(scene, arrays)
    floats, integers = arrays.joined()
    if not np.isfinite(floats).all():  # a run would go on with it, and end well perhaps
        raise FireCaseError(section.id, said("fire-number-not-finite"))
    return FireCase(
        floats=floats,
        integers=integers,
        spaces=scene.network.spaces,
        plugs=tuple(plug.id for plug in scene.plugs),
        relief_valves=tuple(valve.id for valve in scene.relief_valves),
        discs=tuple(disc.id for disc in scene.discs),
        feeds=tuple(one.id for one in scene.compressors),
        pools=tuple(scene.wet),
        limit=scene.limit,
        basis=scene.basis,
        fire=fire,
        section=section.id,
        credit=settings.credit,
        uncredited=tuple(plug.id for plug in scene.plugs if plug.id in scene.uncredited),
        bodies=scene.bodies,
        links=scene.network.paths,
        parts=scene.parts,
        plug_records={plug.id: plug for plug in scene.plugs},
        burst_formula=installation.choices.burst_formula,
        reach=_reach(installation, section),
        follows={} if settings.starts else _followed(installation, scene.network),
        machines={one.id: one for one in scene.compressors},
        patches=scene.laid,
        covers=scene.covers,
    )


def _general(scene: Scene, arrays: Arrays) -> None:
    """Surroundings, heat, switches and how fine the steps are."""
    site, fire, settings = scene.installation.site, scene.fire, scene.settings
    alone = len(scene.network.spaces) == 1
    value = fire.flux if fire.curve == "flux" else fire.temperature
    floats, integers = arrays.floats, arrays.integers
    floats[at.F_AMBIENT_T] = site.ambient_temperature
    floats[at.F_AMBIENT_P] = site.ambient_pressure
    floats[at.F_FIRE_END] = fire.duration
    floats[at.F_COOL_DOWN] = COOL_DOWN
    floats[at.F_FIRE_VALUE] = 0.0 if value is None else value
    floats[at.F_FLAME_FACTOR] = 1.0
    floats[at.F_LOSS] = WALL_LOSS
    floats[at.F_CONVECTION_FACTOR] = settings.convection_factor
    floats[at.F_INNER_EMISSIVITY] = INNER_EMISSIVITY
    floats[at.F_RTOL] = TOLERANCE if alone else NETWORK_TOLERANCE
    floats[at.F_FIRST_STEP] = 0.01
    floats[at.F_LARGEST_STEP] = largest_step(fire.duration)
    floats[at.F_DEAD_RELIEF] = DEAD_RELIEF_TEMPERATURE
    floats[at.F_LIMIT_USE] = scene.limit
    integers[at.I_CURVE] = CURVE_NUMBERS[fire.curve]
    integers[at.I_ABSORBED] = int(fire.absorbed)
    integers[at.I_INNER_RADIATION] = int(settings.inner_radiation)
    integers[at.I_BUDGET] = BUDGET
    integers[at.I_STOP_WHEN_EMPTY] = 1


def _links(scene: Scene, homes: tuple[list[int], list[int], list[int]], arrays: Arrays) -> None:
    """Ways between the spaces, and the order in which the equations of the spaces are solved.

    ``homes`` holds the space of each plug, each further patch and each relief valve.
    """
    paths, count = scene.network.paths, len(scene.network.spaces)
    between = elimination(count, tuple((one.first, one.second) for one in paths))
    plugs, patches, reliefs = homes
    wet = [scene.index[name] for name in scene.wet]
    pool_states = [i for i in wet for _ in range(at.POOL_STATES)]
    own = own_devices([*plugs, *plugs, *patches, *reliefs, *pool_states], count)
    arrays.add_integers(at.I_I_OWN, own)
    pool_numbers, beside = pool_neighbours(wet, own, count, between)
    arrays.add_integers(at.I_I_POOL, pool_numbers)
    arrays.add_integers(at.I_I_BESIDE, beside)
    steps, begins = between.integers()
    arrays.add_integers(at.I_I_ELIMINATION, steps)
    arrays.add_integers(at.I_I_STEPS, begins)
    arrays.integers[at.I_BLOCKS] = between.count
    rows = [(one.length, one.diameter, one.loss) for one in paths]
    arrays.add_floats(at.I_F_LINK, np.array(rows, dtype=float))
    numbers = [
        (
            one.first,
            one.second,
            int(one.forward),
            int(one.backward),
            between.blocks.get((one.first, one.second), -1),
            between.blocks.get((one.second, one.first), -1),
        )
        for one in paths
    ]
    arrays.add_integers(at.I_I_LINK, np.array(numbers, dtype=np.int64))
    arrays.integers[at.I_LINKS] = len(rows)


def _curve(scene: Scene, arrays: Arrays) -> None:
    """Points of a fire that is given as a table."""
    arrays.add_floats(at.I_F_CURVE, np.array(scene.fire.points, dtype=float))
    arrays.integers[at.I_CURVE_POINTS] = len(scene.fire.points)


def _followed(
    installation: Installation, network: GasNetwork
) -> dict[str, tuple[tuple[str, float], ...]]:
    """Lines and points that start at the highest pressure beside them, with the parts there."""
    found: dict[str, tuple[tuple[str, float], ...]] = {}
    for i, space in enumerate(network.spaces):
        if isinstance(space.part, Line) and space.part.pressure is None:
            found[space.id] = tuple(pressures_beside(installation, space.part).items())
        elif space.part is None:
            around = [network.spaces[k].part for k in network.around(i)]
            found[space.id] = tuple(
                (part.id, start_state(installation, part)[0]) for part in around if part is not None
            )
    return {name: beside for name, beside in found.items() if beside}


def _reach(installation: Installation, section: Section) -> dict[str, frozenset[str]]:
    """Plugs and discs that the air of each part can flow to; a non-return valve may part them."""
    inside = frozenset((*section.plugs, *section.discs))
    lines = {name.casefold() for name in section.lines}
    checked = any(
        valve.kind == "non-return" and valve.on.casefold() in lines for valve in installation.valves
    )
    if not checked:
        return dict.fromkeys(section.holders, inside)
    return {
        name: inside & devices_in_reach(installation, section.closed_valves, name)
        for name in section.holders
    }
