"""Gas spaces of a case: their air, walls and strength, patches of the walls, condensate."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import OVERFULL, FireCaseError, wall_of
from airrisk.fire.case_scene import Arrays, Scene
from airrisk.fire.network import Space
from airrisk.fire.patches import Laid, by_severity, exposure_code, patch_row, spread_over
from airrisk.installation.geometry import (
    MOST_CONDENSATE,
    condensate_share,
    shell_grade,
    wetted_surface,
)
from airrisk.installation.model import Line, Vessel
from airrisk.installation.start import start_state
from airrisk.kernel import layout as at
from airrisk.physics import metal, shells
from airrisk.physics.creep import creep_numbers
from airrisk.physics.water_kernel import WATER_DENSITY

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

JUNCTION_WALL = 23.6  # kg/m2, 3 mm of steel


def add_spaces(scene: Scene, arrays: Arrays) -> Floats:
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


def _junction_wall(scene: Scene, space: Space, row: Floats) -> None:
    """Bare pipe of the narrowest bore that meets at a point without volume."""
    i = scene.index[space.id]
    bores = [one.diameter for one in scene.network.paths if i in (one.first, one.second)]
    if bores:  # none where valves turned against each other let nothing pass
        row[at.S_COLD_AREA] = 4.0 * space.volume / min(bores)
        row[at.S_COLD_MASS] = JUNCTION_WALL * row[at.S_COLD_AREA]


def _part_wall(scene: Scene, part: Vessel | Line, row: Floats) -> None:
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
    if part.id in scene.covers:
        row[at.S_HOT_RESISTANCE] = scene.covers[part.id].struck
        row[at.S_COLD_RESISTANCE] = scene.covers[part.id].unstruck
    row[at.S_BURST_FACTOR] = factor
    row[at.S_CREEP : at.S_CREEP + 5] = creep_numbers(part.material)
    row[at.S_BORE_AREA] = shells.bore_area(part.inside_diameter)


def add_patches(scene: Scene, arrays: Arrays) -> tuple[list[int], Floats]:
    """Patches that are records of their own; the gas space of each, and their rows."""
    formula = scene.installation.choices.burst_formula
    rows, kinds, homes = [], [], []
    for name, laid in scene.laid.items():
        shape, _ = wall_of(scene.parts[name], formula, scene.basis)
        for one in laid.values():
            if one.place < at.FIRST_PATCH or one.exposure is None:
                continue
            area, mass = one.share * shape.outer_surface, one.share * shape.metal_mass
            row = patch_row(one.exposure, scene.fire, area, mass)
            if name in scene.covers:
                cover, away = scene.covers[name], one.exposure.kind == "ambient"
                row[at.Q_RESISTANCE] = cover.unstruck if away else cover.struck
            rows.append(row)
            kinds.append((exposure_code(one.exposure),))
            homes.append(scene.index[name])
    arrays.add_integers(at.I_I_PATCH, np.array(kinds, dtype=np.int64))
    arrays.integers[at.I_PATCHES] = len(rows)
    return homes, np.array(rows, dtype=float).reshape(len(rows), at.Q_SIZE)


def add_pools(scene: Scene, spaces: Floats, patches: Floats, arrays: Arrays) -> None:
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
