"""The arrays of one fire against one section, chapter by chapter."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import (
    NETWORK_TOLERANCE,
    NEVER_BURSTS,
    OVERFULL,
    TOLERANCE,
    Credit,
    FireCase,
    FireCaseError,
    largest_step,
    plugs_in_fire,
    strength_limit,
    wall_of,
)
from airrisk.fire.elimination import elimination, own_devices, pool_neighbours
from airrisk.fire.network import GasNetwork, Space, gas_network
from airrisk.fire.patches import (
    Exposures,
    Laid,
    by_severity,
    exposure_code,
    fault_of,
    laid_out,
    patch_row,
    spread_over,
    standing_on,
)
from airrisk.fire.plug_body import PlugBody, plug_body
from airrisk.installation.delivery import delivery_temperature
from airrisk.installation.geometry import (
    MOST_CONDENSATE,
    condensate_share,
    shell_grade,
    wetted_surface,
)
from airrisk.installation.inspected import FAULTS
from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Fire,
    Installation,
    Line,
    Plug,
    ReliefValve,
    Vessel,
)
from airrisk.installation.sections import Section, devices_in_reach
from airrisk.installation.start import pressures_beside, start_state
from airrisk.kernel import layout as at
from airrisk.messages import said
from airrisk.physics import air, metal, shells
from airrisk.physics.creep import creep_numbers
from airrisk.physics.heat_kernel import CURVE_CODES
from airrisk.physics.water_kernel import WATER_DENSITY

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

WALL_LOSS = 9.0  # W/m2/K, radiation included, EN 1991-1-2 3.1(5)
COOL_DOWN = 7200.0  # s, longest that a run goes on after its fire
JUNCTION_WALL = 23.6  # kg/m2, 3 mm of steel
INNER_EMISSIVITY = 0.8  # oxidised or oily steel; judgement
DEAD_RELIEF_TEMPERATURE = 673.15  # K, spring and seat no longer credited
BUDGET = 200_000
CURVE_NUMBERS = {**CURVE_CODES, "flux": at.CURVE_FLUX, "table": at.CURVE_TABLE}


@dataclass(frozen=True)
class CaseSettings:
    """What is assumed of a case beyond what the installation says.

    Attributes
    ----------
    basis
        Strength basis; None: the chosen one.
    inner_radiation
        Whether the hot zone radiates to the cold one.
    credit
        "as fitted": devices in ``uncredited`` never open; "none": no plug opens; "all": all may
        but those of unknown alloy and those in ``dead``.
    starts
        Pressure of each vessel and line when the fire starts [Pa absolute]; None: as stated.
    convection_factor
        On all heat transfer between metal and air inside.
    uncredited
        Devices without credit; None: plugs whose condition forbids it.
    conditions
        Condition by plug; None: what the plugs' entries say.
    dead
        Plugs that open in no run: they are under water.
    exposures
        Patches of the walls that are not the same all over, by part; the others as the fire says.
    plug_patches
        Patch that a plug is screwed into, by plug; left out: of those it can stand on, the one
        that heats it least.
    """

    basis: str | None = None
    inner_radiation: bool = True
    credit: Credit = "as fitted"
    starts: Mapping[str, float] | None = None
    convection_factor: float = 1.0
    uncredited: Collection[str] | None = None
    conditions: Mapping[str, str] | None = None
    dead: Collection[str] = ()
    exposures: Exposures = field(default_factory=dict)
    plug_patches: Mapping[str, str] = field(default_factory=dict)


AS_STATED = CaseSettings()


def build_case(
    installation: Installation,
    fire: Fire,
    section: Section,
    settings: CaseSettings = AS_STATED,
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
    scene = _Scene(installation, fire, section, settings)
    for part, patches in scene.exposed.items():
        fault = fault_of(patches, fire)
        if fault is not None:
            raise FireCaseError(part, fault)
    arrays = _Arrays()
    _general(scene, arrays)
    spaces = _spaces(scene, arrays)
    plug_spaces = _plugs(scene, spaces, arrays)
    relief_spaces = _relief_valves(scene, arrays)
    _discs(scene, arrays)
    patch_spaces, patch_rows = _patches(scene, arrays)
    _pools(scene, spaces, patch_rows, arrays)
    arrays.add_floats(at.I_F_PATCH, patch_rows)
    _links(scene, (plug_spaces, patch_spaces, relief_spaces), arrays)
    _compressors(scene, arrays)
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
    )


class _Arrays:
    """Blocks of floats and of integers, one behind the other; the head says where each begins."""

    def __init__(self) -> None:
        self.floats = np.zeros(at.F_HEAD)
        self.integers = np.zeros(at.I_HEAD, dtype=np.int64)
        self._floats: list[Floats] = [self.floats]
        self._integers: list[Integers] = [self.integers]

    def add_floats(self, key: int, block: Floats) -> None:
        self.integers[key] = sum(piece.size for piece in self._floats)
        self._floats.append(block.ravel())

    def add_integers(self, key: int, block: Integers) -> None:
        self.integers[key] = sum(piece.size for piece in self._integers)
        self._integers.append(block.ravel())

    def joined(self) -> tuple[Floats, Integers]:
        return np.concatenate(self._floats), np.concatenate(self._integers).astype(np.int64)


@dataclass(frozen=True, eq=False)
class _Scene:
    """What a case is built from, and who of the installation takes part."""

    installation: Installation
    fire: Fire
    section: Section
    settings: CaseSettings

    @cached_property
    def basis(self) -> str:
        return self.settings.basis or self.installation.choices.strength_basis

    @cached_property
    def limit(self) -> float:
        return strength_limit(self.installation, self.basis)

    @cached_property
    def network(self) -> GasNetwork:
        exposed = self.settings.exposures
        return gas_network(self.installation, self.section, self.fire, exposed)

    @cached_property
    def exposed(self) -> Exposures:
        """Patches of the parts of this section that have their own."""
        inside = {space.id for space in self.network.spaces if space.part is not None}
        return {
            name: patches for name, patches in self.settings.exposures.items() if name in inside
        }

    @cached_property
    def laid(self) -> dict[str, dict[str, Laid]]:
        """Where those patches stand in the case."""
        found: dict[str, dict[str, Laid]] = {}
        first = 0
        for space in self.network.spaces:
            if space.id in self.exposed:
                found[space.id] = laid_out(self.exposed[space.id], first)
                first += sum(one.place >= at.FIRST_PATCH for one in found[space.id].values())
        return found

    def is_engulfed(self, part: str) -> bool:
        """Whether the fire strikes all of a part."""
        if part in self.laid:
            return len(by_severity(self.laid[part].values())) == len(self.laid[part])
        return self.share(part) >= 1.0

    @cached_property
    def index(self) -> dict[str, int]:
        """Number of each gas space."""
        return {space.id: i for i, space in enumerate(self.network.spaces)}

    @cached_property
    def home(self) -> dict[str, int]:
        """Gas space of each part and of each point without volume."""
        return {**self.index, **{p: self.index[name] for p, name in self.network.home.items()}}

    @cached_property
    def plugs(self) -> tuple[Plug, ...]:
        return tuple(one for one in self.installation.plugs if one.id in self.section.plugs)

    @cached_property
    def relief_valves(self) -> tuple[ReliefValve, ...]:
        inside = self.section.relief_valves
        return tuple(one for one in self.installation.relief_valves if one.id in inside)

    @cached_property
    def discs(self) -> tuple[BurstingDisc, ...]:
        return tuple(
            one for one in self.installation.bursting_discs if one.id in self.section.discs
        )

    @cached_property
    def compressors(self) -> tuple[Compressor, ...]:
        """Those that go on feeding the section."""
        return tuple(
            one
            for one in self.installation.compressors
            if one.id in self.section.compressors
            and one.in_fire == "keeps running"
            and one.id in self.home
        )

    @cached_property
    def parts(self) -> dict[str, Vessel | Line]:
        """Parts that are gas spaces."""
        return {one.id: one.part for one in self.network.spaces if one.part is not None}

    @cached_property
    def wet(self) -> dict[str, Vessel | Line]:
        """Parts with condensate."""
        return {
            space.id: space.part
            for space in self.network.spaces
            if space.part is not None and space.part.condensate > 0.0
        }

    @cached_property
    def conditions(self) -> Mapping[str, str]:
        if self.settings.conditions is not None:
            return self.settings.conditions
        return {plug.id: str(plug.condition) for plug in self.installation.plugs}

    @cached_property
    def uncredited(self) -> Collection[str]:
        if self.settings.uncredited is not None:
            return self.settings.uncredited
        return {name for name, state in self.conditions.items() if state in FAULTS}

    @cached_property
    def bodies(self) -> dict[str, PlugBody]:
        """Of each plug of known alloy."""
        return {
            plug.id: plug_body(plug, self.conditions.get(plug.id, plug.condition))
            for plug in self.plugs
            if plug.alloy is not None
        }

    def share(self, part: str) -> float:
        """How much of a part's surface stands in the fire."""
        return self.fire.share(part) if part in self.fire.reaches else 0.0

    def plug_works(self, name: str) -> bool:
        credit = self.settings.credit
        if name in self.settings.dead:
            return False
        return credit == "all" or (credit == "as fitted" and name not in self.uncredited)

    def opening_works(self, name: str) -> bool:
        """Whether a relief valve or disc opens; they do where no plug is credited."""
        return self.settings.credit != "as fitted" or name not in self.uncredited


def _general(scene: _Scene, arrays: _Arrays) -> None:
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


def _spaces(scene: _Scene, arrays: _Arrays) -> Floats:
    """Gas spaces with their walls, and the strength of their metals; the rows of the spaces."""
    spaces, starts = scene.network.spaces, scene.settings.starts
    rows = np.zeros((len(spaces), at.S_SIZE))
    numbers = np.zeros((len(spaces), at.SI_SIZE), dtype=np.int64)
    strengths = _Strengths(scene.basis)
    decides = any(space.kind == "vessel" for space in spaces)
    for row, kinds, space in zip(rows, numbers, spaces, strict=True):
        row[at.S_VOLUME] = space.volume
        if space.part is None:
            pressure, temperature = scene.network.start_of(space, scene.installation)
            kinds[at.SI_KIND] = at.JUNCTION
            _junction_wall(scene, space, row)
        else:
            pressure, temperature = start_state(scene.installation, space.part)
            _part_wall(scene, space.part, row)
            kinds[at.SI_METAL] = metal.material(space.part.material).family_code
            kinds[at.SI_STRENGTH], kinds[at.SI_STRENGTH_POINTS] = strengths.place(space.part)
            whole = space.kind == "vessel" or not decides
            kinds[at.SI_KIND] = at.VESSEL if whole else at.LINE
            records = [one.place - at.FIRST_PATCH for one in scene.laid.get(space.id, {}).values()]
            records = [place for place in records if place >= 0]
            kinds[at.SI_PATCH], kinds[at.SI_PATCHES] = min(records, default=0), len(records)
        if starts:  # a point without volume is filled by the parts beside it
            pressure = starts.get(space.id, min(starts.values()))
        row[at.S_PRESSURE] = pressure
        row[at.S_TEMPERATURE] = row[at.S_WALL_TEMPERATURE] = temperature
    arrays.add_floats(at.I_F_SPACE, rows)
    arrays.add_integers(at.I_I_SPACE, numbers)
    arrays.add_floats(at.I_F_STRENGTH, np.array(strengths.nodes, dtype=float))
    arrays.integers[at.I_SPACES] = len(spaces)
    return rows


class _Strengths:
    """Curves of strength over temperature, one for all parts of one metal and thickness."""

    def __init__(self, basis: str) -> None:
        self.basis = basis
        self.nodes: list[float] = []
        self._placed: dict[metal.Grade, tuple[int, int]] = {}

    def place(self, part: Vessel | Line) -> tuple[int, int]:
        """Where the curve of a part begins among the nodes, and how many points it has."""
        ordered = shell_grade(part)
        if ordered not in self._placed:
            t, strengths = metal.strength_curve(ordered, self.basis)
            self._placed[ordered] = (len(self.nodes), len(t))
            self.nodes += np.column_stack((t, strengths)).ravel().tolist()
        return self._placed[ordered]


def _junction_wall(scene: _Scene, space: Space, row: Floats) -> None:
    """Bare pipe of the narrowest bore that meets at a point without volume."""
    i = scene.index[space.id]
    bores = [one.diameter for one in scene.network.paths if i in (one.first, one.second)]
    if bores:  # none where valves turned against each other let nothing pass
        row[at.S_COLD_AREA] = 4.0 * space.volume / min(bores)
        row[at.S_COLD_MASS] = JUNCTION_WALL * row[at.S_COLD_AREA]


def _part_wall(scene: _Scene, part: Vessel | Line, row: Floats) -> None:
    """Wall of a vessel or line, in the fire and out of it."""
    share = scene.share(part.id)
    hot, cold = share, 1.0 - share
    shape, factor = wall_of(part, scene.installation.choices.burst_formula, scene.basis)
    row[at.S_EMISSIVITY] = scene.fire.emissivity
    row[at.S_CONVECTION] = scene.fire.convection
    if part.id in scene.laid:
        zones = {one.place: one for one in scene.laid[part.id].values()}
        hot, cold = (
            zones[place].share if place in zones else 0.0
            for place in (at.FLAMES_PATCH, at.AMBIENT_PATCH)
        )
        flames = zones[at.FLAMES_PATCH].exposure if at.FLAMES_PATCH in zones else None
        if flames is not None:
            row[at.S_EMISSIVITY] = flames.emissivity_in(scene.fire)
            row[at.S_CONVECTION] = flames.convection_in(scene.fire)
    row[at.S_HOT_AREA] = hot * shape.outer_surface
    row[at.S_COLD_AREA] = cold * shape.outer_surface
    row[at.S_HOT_MASS] = hot * shape.metal_mass
    row[at.S_COLD_MASS] = cold * shape.metal_mass
    row[at.S_BURST_FACTOR] = factor
    row[at.S_CREEP : at.S_CREEP + 5] = creep_numbers(part.material)
    row[at.S_BORE_AREA] = shells.bore_area(part.inside_diameter)


def _plugs(scene: _Scene, spaces: Floats, arrays: _Arrays) -> list[int]:
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


def _patch_of(scene: _Scene, plug: Plug, flames: bool, space: Floats) -> int:
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
            plug.id,
            said(
                "no-such-patch",
                part=plug.on,
                name=named,
                names=", ".join(laid),
            ),
        )
    return laid[named].place


def _patches(scene: _Scene, arrays: _Arrays) -> tuple[list[int], Floats]:
    """Patches that are records of their own; the gas space of each, and their rows."""
    formula = scene.installation.choices.burst_formula
    rows, kinds, homes = [], [], []
    for name, laid in scene.laid.items():
        shape, _ = wall_of(scene.parts[name], formula, scene.basis)
        for one in laid.values():
            if one.place < at.FIRST_PATCH or one.exposure is None:
                continue
            area, mass = one.share * shape.outer_surface, one.share * shape.metal_mass
            rows.append(patch_row(one.exposure, scene.fire, area, mass))
            kinds.append((exposure_code(one.exposure),))
            homes.append(scene.index[name])
    arrays.add_integers(at.I_I_PATCH, np.array(kinds, dtype=np.int64))
    arrays.integers[at.I_PATCHES] = len(rows)
    return homes, np.array(rows, dtype=float).reshape(len(rows), at.Q_SIZE)


def _plug_of_unknown_alloy(scene: _Scene, plug: Plug, row: Floats, places: Integers) -> None:
    """Nothing is known of it to run, so that it stays shut even where all plugs may open."""
    if scene.settings.credit == "as fitted" and plug.id not in scene.uncredited:
        raise FireCaseError(plug.id, said("no-alloy-no-credit"))
    row[at.P_HEAT_CAPACITY] = 1.0
    row[at.P_SOLIDUS] = row[at.P_LIQUIDUS] = 1e4
    places[at.PI_SPACE] = scene.home[plug.on]
    places[at.PI_FOLLOWS_WALL] = 1


def _relief_valves(scene: _Scene, arrays: _Arrays) -> list[int]:
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


def _discs(scene: _Scene, arrays: _Arrays) -> None:
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


def _pools(scene: _Scene, spaces: Floats, patches: Floats, arrays: _Arrays) -> None:
    """Condensate, and how much of it the fire heats: it burns where the water stands."""
    rows = []
    for name, part in scene.wet.items():
        if condensate_share(part) > MOST_CONDENSATE:
            raise FireCaseError(name, OVERFULL)
        wetted = wetted_surface(part)
        zone = Laid(at.FLAMES_PATCH, 1.0, None)
        struck = by_severity(scene.laid[name].values()) if name in scene.laid else [zone]
        areas = [
            spaces[scene.index[name], at.S_HOT_AREA]
            if one.place == at.FLAMES_PATCH
            else patches[one.place - at.FIRST_PATCH, at.Q_AREA]
            for one in struck
        ]
        heated = 0.0
        for one, surface in zip(struck, spread_over(np.array(wetted), areas), strict=True):
            if one.place == at.FLAMES_PATCH:
                heated = float(surface)
            else:
                patches[one.place - at.FIRST_PATCH, at.Q_WETTED] = surface
        temperature = float(spaces[scene.index[name], at.S_TEMPERATURE])
        rows.append((WATER_DENSITY * part.condensate, temperature, heated, wetted))
    arrays.add_floats(at.I_F_POOL, np.array(rows, dtype=float))
    arrays.integers[at.I_POOLS] = len(rows)


def _links(scene: _Scene, homes: tuple[list[int], list[int], list[int]], arrays: _Arrays) -> None:
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


def _compressors(scene: _Scene, arrays: _Arrays) -> None:
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


def _curve(scene: _Scene, arrays: _Arrays) -> None:
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
