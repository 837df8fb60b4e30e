"""One fire against one section as flat arrays: which spaces, walls, devices and links it has.

Rule for lines: a line is a gas space of its own if it holds more than 2 % of its smaller
neighbour, if a closed valve or a blank stands at its end, if a device sits on it or if the
fire reaches it; every other line is only a resistance between its neighbours and its volume
is left out. A junction, consumer or compressor outlet holds nothing: it counts to the largest
line space that meets it without a valve; if there is none it becomes a small space of its own
with the volume of the lines lumped there.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.elimination import elimination, own_devices, pool_neighbours
from airrisk.fire.network import FlowPath, GasNetwork, Space, gas_network
from airrisk.fire.plug_body import PlugBody, plug_body
from airrisk.installation.delivery import delivery_temperature
from airrisk.installation.geometry import (
    burst_factor,
    part_geometry,
    shell_grade,
    wetted_surface,
)
from airrisk.installation.inspected import FAULTS
from airrisk.installation.model import Compressor, Fire, Installation, Line, Plug, Vessel
from airrisk.installation.sections import Section, devices_in_reach
from airrisk.installation.start import pressures_beside, start_state
from airrisk.kernel import layout as at
from airrisk.physics import air, metal, shells
from airrisk.physics.creep import creep_numbers, curve_of
from airrisk.physics.heat_kernel import CURVE_CODES
from airrisk.physics.water_kernel import WATER_DENSITY

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Credit = Literal["as fitted", "none", "all"]

WALL_LOSS = 9.0  # W/m2/K, radiation included, EN 1991-1-2 3.1(5)
COOL_DOWN = 7200.0  # s, longest that a run goes on after its fire
JUNCTION_WALL = 23.6  # kg/m2, 3 mm of steel
INNER_EMISSIVITY = 0.8  # oxidised or oily steel; judgement
NEVER_BURSTS = 1e12  # Pa
DEAD_RELIEF_TEMPERATURE = 673.15  # K, spring and seat no longer credited
TOLERANCE = 3e-7  # of the time steps of one space, so that the balance closes
NETWORK_TOLERANCE = 3e-6  # of several; in them flows cancel between the spaces
BUDGET = 200_000
CURVE_NUMBERS = {**CURVE_CODES, "flux": at.CURVE_FLUX, "table": at.CURVE_TABLE}


class FireCaseError(ValueError):
    """A fire that cannot be reckoned; ``part`` and ``reason`` say why."""

    def __init__(self, part: str, reason: str) -> None:
        self.part = part
        self.reason = reason
        super().__init__(f"{part}: {reason}")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.part, self.reason)


@dataclass(frozen=True, eq=False)
class FireCase:
    """A fire case ready to run. ``floats`` and ``integers`` are laid out as in ``layout``."""

    floats: Floats
    integers: Integers
    spaces: tuple[Space, ...]
    plugs: tuple[str, ...]
    relief_valves: tuple[str, ...]
    discs: tuple[str, ...]
    feeds: tuple[str, ...]
    limit: float
    basis: str
    fire: Fire
    section: str
    credit: Credit = "as fitted"
    uncredited: tuple[str, ...] = ()
    bodies: Mapping[str, PlugBody] = field(default_factory=dict)
    links: tuple[FlowPath, ...] = ()
    parts: Mapping[str, Vessel | Line] = field(default_factory=dict)
    plug_records: Mapping[str, Plug] = field(default_factory=dict)
    pools: tuple[str, ...] = ()  # parts with condensate
    burst_formula: str = "mean diameter"
    # vessel or line whose rupture decides -> plugs and discs that its air can flow to
    reach: Mapping[str, frozenset[str]] = field(default_factory=dict)
    # spaces that start at the highest of these parts' pressures -> the parts, with that stated
    follows: Mapping[str, tuple[tuple[str, float], ...]] = field(default_factory=dict)
    machines: Mapping[str, Compressor] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        """Ids of the gas spaces."""
        return tuple(space.id for space in self.spaces)

    @property
    def vessel_indices(self) -> tuple[int, ...]:
        """Spaces whose rupture decides: the vessels, or all parts where there is no vessel."""
        vessels = tuple(i for i, space in enumerate(self.spaces) if space.kind == "vessel")
        if vessels:
            return vessels
        return tuple(i for i, space in enumerate(self.spaces) if space.kind == "line")

    @property
    def no_creep_data(self) -> tuple[str, ...]:
        """Of the parts whose rupture decides, those whose metal has no curve of rupture life."""
        deciding = [self.parts[self.names[index]] for index in self.vessel_indices]
        return tuple(part.id for part in deciding if curve_of(part.material) is None)

    def space_at(self, name: str, field_index: int) -> int:
        """Place of one float of a space."""
        block = int(self.integers[at.I_F_SPACE])
        return block + self.names.index(name) * at.S_SIZE + field_index

    def plug_at(self, name: str, field_index: int) -> int:
        """Place of one float of a plug."""
        return int(self.integers[at.I_F_PLUG]) + self.plugs.index(name) * at.P_SIZE + field_index

    def changed(
        self, floats: Mapping[int, float] = {}, integers: Mapping[int, int] = {}
    ) -> FireCase:
        """The case with some numbers replaced."""
        new_floats = self.floats.copy()
        new_integers = self.integers.copy()
        for place, value in floats.items():
            new_floats[place] = value
        for place, number in integers.items():
            new_integers[place] = number
        return replace(self, floats=new_floats, integers=new_integers)

    def with_tolerance(self, tolerance: float) -> FireCase:
        """The case with another relative tolerance of the time steps."""
        return self.changed({at.F_RTOL: tolerance})

    def without_plugs(self) -> FireCase:
        """The case with every plug blocked."""
        block = int(self.integers[at.I_I_PLUG])
        return self.changed(
            integers={block + k * at.PI_SIZE + at.PI_ENABLED: 0 for k in range(len(self.plugs))}
        )

    def without_devices(self, names: Collection[str] | None = None) -> FireCase:
        """The case with some devices that never open; left out: all of them."""
        plugs, discs = int(self.integers[at.I_I_PLUG]), int(self.integers[at.I_F_DISC])
        reliefs = int(self.integers[at.I_I_RELIEF])

        def shut(known: tuple[str, ...]) -> list[int]:
            return [k for k, name in enumerate(known) if names is None or name in names]

        return self.changed(
            integers={
                **{plugs + k * at.PI_SIZE + at.PI_ENABLED: 0 for k in shut(self.plugs)},
                **{reliefs + k * at.RI_SIZE + at.RI_ENABLED: 0 for k in shut(self.relief_valves)},
            },
            floats={discs + k * at.D_SIZE + at.D_BURST: NEVER_BURSTS for k in shut(self.discs)},
        )


def strength_limit(installation: Installation, basis: str) -> float:
    """Largest strength use that counts as safe on a basis."""
    typed = installation.choices.strength_use_limit
    if typed is not None and basis == installation.choices.strength_basis:
        return typed
    return metal.STRENGTH_USE_LIMITS[basis]


def largest_step(duration: float | Floats) -> Floats:
    """Longest time step [s] in a fire that lasts so long [s]."""
    return np.maximum(np.asarray(duration) / 10.0, 1.0)


def wall_of(
    part: Vessel | Line, formula: str, basis: str, metal_of: Vessel | Line | None = None
) -> tuple[shells.ShellGeometry, float]:
    """Geometry on the reckoned wall, and gauge burst pressure over strength.

    The metal is that of ``metal_of`` where a wall scatters about the one that was ordered.
    """
    return part_geometry(part), burst_factor(part, formula, basis, metal_of=metal_of)


def build_case(
    installation: Installation,
    fire: Fire,
    section: Section,
    *,
    basis: str | None = None,
    inner_radiation: bool = True,
    credit: Credit = "as fitted",
    starts: Mapping[str, float] | None = None,
    convection_factor: float = 1.0,
    uncredited: Collection[str] | None = None,
    conditions: Mapping[str, str] | None = None,
    dead: Collection[str] = (),
) -> FireCase:
    """The arrays of one fire against one section.

    Parameters
    ----------
    installation, fire, section
        What is there; the section fixes which valves are closed.
    basis
        Strength basis; left out: the chosen one.
    inner_radiation
        Whether the hot zone radiates to the cold one.
    credit
        "as fitted": devices in ``uncredited`` never open; "none": no plug opens; "all": all may
        but those of unknown alloy and those in ``dead``.
    starts
        Pressure of each vessel and line when the fire starts [Pa absolute]; left out: as stated.
    convection_factor
        On all heat transfer between metal and air inside.
    uncredited
        Devices without credit; left out: plugs whose condition forbids it.
    dead
        Plugs that open in no run: they are under water.
    conditions
        Condition by plug; left out: what the plugs' entries say.

    Returns
    -------
    FireCase

    Raises
    ------
    FireCaseError
        A plug without alloy that is to be credited, a part without volume, or a number that is
        missing.
    """
    chosen = basis or installation.choices.strength_basis
    network = gas_network(installation, section, fire)
    spaces = network.spaces
    index = {space.id: i for i, space in enumerate(spaces)}
    home = {**index, **{point: index[name] for point, name in network.home.items()}}
    if conditions is None:
        conditions = {plug.id: str(plug.condition) for plug in installation.plugs}
    if uncredited is None:
        uncredited = {name for name, state in conditions.items() if state in FAULTS}
    formula = installation.choices.burst_formula
    site = installation.site
    in_flames = plugs_in_fire(installation, fire)

    floats = np.zeros(at.F_HEAD)
    integers = np.zeros(at.I_HEAD, dtype=np.int64)
    floats[at.F_AMBIENT_T] = site.ambient_temperature
    floats[at.F_AMBIENT_P] = site.ambient_pressure
    floats[at.F_FIRE_END] = fire.duration
    floats[at.F_COOL_DOWN] = COOL_DOWN
    value = fire.flux if fire.curve == "flux" else fire.temperature
    floats[at.F_FIRE_VALUE] = 0.0 if value is None else value
    floats[at.F_FLAME_FACTOR] = 1.0
    floats[at.F_LOSS] = WALL_LOSS
    floats[at.F_CONVECTION_FACTOR] = convection_factor
    floats[at.F_INNER_EMISSIVITY] = INNER_EMISSIVITY
    floats[at.F_RTOL] = TOLERANCE if len(spaces) == 1 else NETWORK_TOLERANCE
    floats[at.F_FIRST_STEP] = 0.01
    floats[at.F_LARGEST_STEP] = largest_step(fire.duration)
    floats[at.F_DEAD_RELIEF] = DEAD_RELIEF_TEMPERATURE
    floats[at.F_LIMIT_USE] = limit = strength_limit(installation, chosen)
    integers[at.I_CURVE] = CURVE_NUMBERS[fire.curve]
    integers[at.I_ABSORBED] = int(fire.absorbed)
    integers[at.I_INNER_RADIATION] = int(inner_radiation)
    integers[at.I_BUDGET] = BUDGET
    integers[at.I_STOP_WHEN_EMPTY] = 1

    pieces: list[Floats] = [floats]
    numbers: list[Integers] = [integers]

    def add_floats(key: int, block: Floats) -> None:
        integers[key] = sum(piece.size for piece in pieces)
        pieces.append(block.ravel())

    def add_integers(key: int, block: Integers) -> None:
        integers[key] = sum(piece.size for piece in numbers)
        numbers.append(block.ravel())

    # spaces, and the strength nodes of their metals
    block = np.zeros((len(spaces), at.S_SIZE))
    kinds = np.zeros((len(spaces), at.SI_SIZE), dtype=np.int64)
    nodes: list[float] = []
    placed: dict[metal.Grade, tuple[int, int]] = {}
    decides = any(space.kind == "vessel" for space in spaces)
    for i, space in enumerate(spaces):
        row = block[i]
        part = space.part
        row[at.S_VOLUME] = space.volume
        if part is None:
            pressure, temperature = network.start_of(space, installation)
            kinds[i, at.SI_KIND] = at.JUNCTION
            # bare pipe of the narrowest bore that meets there
            bores = [one.diameter for one in network.paths if i in (one.first, one.second)]
            if bores:  # none where valves turned against each other let nothing pass
                row[at.S_COLD_AREA] = 4.0 * space.volume / min(bores)
                row[at.S_COLD_MASS] = JUNCTION_WALL * row[at.S_COLD_AREA]
        else:
            pressure, temperature = start_state(installation, part)
            share = fire.share(part.id) if part.id in fire.reaches else 0.0
            shape, factor = wall_of(part, formula, chosen)
            row[at.S_HOT_AREA] = share * shape.outer_surface
            row[at.S_COLD_AREA] = (1.0 - share) * shape.outer_surface
            row[at.S_HOT_MASS] = share * shape.metal_mass
            row[at.S_COLD_MASS] = (1.0 - share) * shape.metal_mass
            row[at.S_BURST_FACTOR] = factor
            row[at.S_CREEP : at.S_CREEP + 5] = creep_numbers(part.material)
            row[at.S_EMISSIVITY] = fire.emissivity
            row[at.S_CONVECTION] = fire.convection
            row[at.S_BORE_AREA] = shells.bore_area(part.inside_diameter)
            stuff = metal.material(part.material)
            kinds[i, at.SI_METAL] = stuff.family_code
            ordered = shell_grade(part)
            if ordered not in placed:
                t, strengths = metal.strength_curve(ordered, chosen)
                placed[ordered] = (len(nodes), len(t))
                nodes += np.column_stack((t, strengths)).ravel().tolist()
            kinds[i, at.SI_STRENGTH], kinds[i, at.SI_STRENGTH_POINTS] = placed[ordered]
            whole = space.kind == "vessel" or not decides
            kinds[i, at.SI_KIND] = at.VESSEL if whole else at.LINE
        if starts:  # a point without volume is filled by the parts beside it
            pressure = starts.get(space.id, min(starts.values()))
        row[at.S_PRESSURE] = pressure
        row[at.S_TEMPERATURE] = row[at.S_WALL_TEMPERATURE] = temperature
    add_floats(at.I_F_SPACE, block)
    add_integers(at.I_I_SPACE, kinds)
    add_floats(at.I_F_STRENGTH, np.array(nodes, dtype=float))

    def works(name: str) -> bool:
        return credit == "all" or (credit == "as fitted" and name not in uncredited)

    # plugs
    plugs = tuple(plug for plug in installation.plugs if plug.id in section.plugs)
    plug_block = np.zeros((len(plugs), at.P_SIZE))
    plug_numbers = np.zeros((len(plugs), at.PI_SIZE), dtype=np.int64)
    bodies: dict[str, PlugBody] = {}
    for k, plug in enumerate(plugs):
        on = home[plug.on]
        if plug.alloy is None:
            # nothing is known of it to run, so that it stays shut even where all plugs may open
            if credit == "as fitted" and plug.id not in uncredited:
                raise FireCaseError(plug.id, "no alloy is stated, so it cannot be credited")
            plug_numbers[k, at.PI_SPACE] = on
            plug_block[k, at.P_HEAT_CAPACITY] = 1.0
            plug_block[k, at.P_SOLIDUS] = plug_block[k, at.P_LIQUIDUS] = 1e4
            plug_numbers[k, at.PI_FOLLOWS_WALL] = 1
            continue
        body = plug_body(plug, conditions.get(plug.id, plug.condition))
        bodies[plug.id] = body
        flames = plug.id in in_flames
        # out of the flames it still stands on heated metal where no other is left
        hot = flames or block[on, at.S_COLD_AREA] <= 0.0
        if block[on, at.S_HOT_AREA] <= 0.0:
            hot = False
        plug_block[k, : at.P_BOSS_AREA + 1] = body.row()
        plug_block[k, at.P_START] = block[on, at.S_TEMPERATURE]
        plug_numbers[k] = (
            on,
            int(hot),
            int(flames),
            int(plug.response == "follows wall"),
            int(plug.id not in dead and works(plug.id)),
        )
    add_floats(at.I_F_PLUG, plug_block)
    add_integers(at.I_I_PLUG, plug_numbers)

    # relief valves and discs
    reliefs = tuple(one for one in installation.relief_valves if one.id in section.relief_valves)
    relief_block = np.zeros((len(reliefs), at.R_SIZE))
    relief_numbers = np.zeros((len(reliefs), at.RI_SIZE), dtype=np.int64)
    for k, valve in enumerate(reliefs):
        relief_block[k] = (
            valve.set_pressure - site.ambient_pressure,
            valve.area,
            valve.discharge_coefficient,
        )
        # its body stands in the fire when the whole part does
        inside = valve.on in fire.reaches and fire.share(valve.on) >= 1.0
        relief_numbers[k] = (home[valve.on], int(inside), int(credit == "none" or works(valve.id)))
    add_floats(at.I_F_RELIEF, relief_block)
    add_integers(at.I_I_RELIEF, relief_numbers)
    discs = tuple(one for one in installation.bursting_discs if one.id in section.discs)
    add_floats(
        at.I_F_DISC,
        np.array(
            [
                (
                    d.burst_pressure - site.ambient_pressure
                    if credit == "none" or works(d.id)
                    else NEVER_BURSTS,
                    d.area,
                    d.discharge_coefficient,
                )
                for d in discs
            ],
            dtype=float,
        ),
    )
    add_integers(at.I_I_DISC, np.array([(home[d.on], 1) for d in discs], dtype=np.int64))

    # condensate
    wet = {
        space.id: space.part
        for space in spaces
        if space.part is not None and space.part.condensate > 0.0
    }
    pools = tuple(wet)
    add_floats(
        at.I_F_POOL,
        np.array(
            [
                _pool_row(wet[name], float(block[index[name], at.S_TEMPERATURE]), fire)
                for name in pools
            ],
            dtype=float,
        ),
    )

    # links, and the order in which the equations of the spaces are solved
    between = elimination(len(spaces), tuple((one.first, one.second) for one in network.paths))
    own = own_devices(
        [
            *plug_numbers[:, at.PI_SPACE].tolist(),
            *plug_numbers[:, at.PI_SPACE].tolist(),  # their bosses
            *relief_numbers[:, at.RI_SPACE].tolist(),
            *(index[name] for name in pools for _ in range(at.POOL_STATES)),
        ],
        len(spaces),
    )
    add_integers(at.I_I_OWN, own)
    wet_spaces = [index[name] for name in pools]
    pool_numbers, beside = pool_neighbours(wet_spaces, own, len(spaces), between)
    add_integers(at.I_I_POOL, pool_numbers)
    add_integers(at.I_I_BESIDE, beside)
    steps, begins = between.integers()
    add_integers(at.I_I_ELIMINATION, steps)
    add_integers(at.I_I_STEPS, begins)
    integers[at.I_BLOCKS] = between.count
    add_floats(
        at.I_F_LINK,
        np.array([(one.length, one.diameter, one.loss) for one in network.paths], dtype=float),
    )
    add_integers(
        at.I_I_LINK,
        np.array(
            [
                (
                    one.first,
                    one.second,
                    int(one.forward),
                    int(one.backward),
                    between.blocks.get((one.first, one.second), -1),
                    between.blocks.get((one.second, one.first), -1),
                )
                for one in network.paths
            ],
            dtype=np.int64,
        ),
    )

    # compressors
    feeds = tuple(
        one
        for one in installation.compressors
        if one.id in section.compressors and one.in_fire == "keeps running" and one.id in home
    )
    feed_rows = []
    for one in feeds:
        cut_in = one.cut_in_pressure
        if cut_in is None:
            cut_in = site.ambient_pressure + 0.9 * (one.discharge_pressure - site.ambient_pressure)
        rho = float(air.density(site.ambient_pressure, site.ambient_temperature))
        hot_air = delivery_temperature(one, site.ambient_pressure)
        enthalpy = float(air.enthalpy(float(air.density(one.discharge_pressure, hot_air)), hot_air))
        feed_rows.append((one.delivery * rho, enthalpy, cut_in, one.discharge_pressure))
    add_floats(at.I_F_FEED, np.array(feed_rows, dtype=float))
    add_integers(at.I_I_FEED, np.array([(home[one.id],) for one in feeds], dtype=np.int64))

    add_floats(at.I_F_CURVE, np.array(fire.points, dtype=float))
    integers[at.I_CURVE_POINTS] = len(fire.points)
    integers[at.I_SPACES] = len(spaces)
    integers[at.I_PLUGS] = len(plugs)
    integers[at.I_RELIEFS] = len(reliefs)
    integers[at.I_DISCS] = len(discs)
    integers[at.I_LINKS] = len(network.paths)
    integers[at.I_FEEDS] = len(feeds)
    integers[at.I_POOLS] = len(pools)
    every = np.concatenate(pieces)
    if not np.isfinite(every).all():  # a run would go on with it, and end well perhaps
        raise FireCaseError(section.id, "a number of its fire is missing or not finite")
    return FireCase(
        floats=every,
        integers=np.concatenate(numbers).astype(np.int64),
        spaces=spaces,
        plugs=tuple(plug.id for plug in plugs),
        relief_valves=tuple(valve.id for valve in reliefs),
        discs=tuple(disc.id for disc in discs),
        feeds=tuple(one.id for one in feeds),
        pools=pools,
        limit=limit,
        basis=chosen,
        fire=fire,
        section=section.id,
        credit=credit,
        uncredited=tuple(plug.id for plug in plugs if plug.id in uncredited),
        bodies=bodies,
        links=network.paths,
        parts={space.id: space.part for space in spaces if space.part is not None},
        plug_records={plug.id: plug for plug in plugs},
        burst_formula=formula,
        reach=_reach(installation, section),
        follows={} if starts else _followed(installation, network),
        machines={one.id: one for one in feeds},
    )


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


def _pool_row(part: Vessel | Line, temperature: float, fire: Fire) -> tuple[float, ...]:
    """The water of a part, and how much of it the fire heats: it burns where the water stands."""
    wetted = wetted_surface(part)
    share = fire.share(part.id) if part.id in fire.reaches else 0.0
    heated = min(wetted, share * part_geometry(part).outer_surface)
    return WATER_DENSITY * part.condensate, temperature, heated, wetted


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


def plugs_in_fire(installation: Installation, fire: Fire) -> frozenset[str]:
    """Plugs that the flames reach: as listed, else those on parts wholly in the fire."""
    if fire.plugs_in_fire is not None:
        return frozenset(fire.plugs_in_fire)
    return frozenset(
        plug.id
        for plug in installation.plugs
        if plug.on in fire.reaches and fire.share(plug.on) >= 1.0
    )
