"""Insulation as a change worth trying: a usual layer on the vessels that a fire endangers.

The thinnest of the usual ones that makes their verdicts safe with half of what it resists. It goes
over all of a vessel but the heads of its plugs, which have to stand free.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from airrisk.installation.geometry import part_geometry
from airrisk.installation.insulation import insulation_of
from airrisk.installation.model import Line, Vessel
from airrisk.quantities import ZERO_CELSIUS
from airrisk.study.cure_changes import Change, Edit
from airrisk.study.cure_trials import Bench, Cell
from airrisk.study.envelope import RESISTS_SHARE
from airrisk.study.side_by_side import side_by_side
from airrisk.tables import read_toml

TABLE = "usual_sizes.toml"
CONDUCTIVITY = "insulation_conductivity"


@cache
def _usual() -> Mapping[str, Any]:
    found: Mapping[str, Any] = read_toml(TABLE)["insulation"]
    return found


def insulated(
    bench: Bench, costs: Mapping[str, float], others: Sequence[Change]
) -> Iterator[Change]:
    """A layer for what is endangered: a vessel, all of a verdict, or its lines as well.

    Parameters
    ----------
    bench
        Where it is tried.
    costs
        By kind, see ``costs``.
    others
        Changes found already: where one of them cures a verdict for less, no layer is tried.
    """
    cures = [trial for trial in bench.trials(others) if not trial.harm]

    def of_cell(cell: Cell) -> list[Change]:
        most = min((one.changes[0].cost for one in cures if cell in one.cured), default=math.inf)
        found: list[Change] = []
        for chosen in _sets(bench, cell.holders):
            if found and len(chosen) > 1:
                continue
            layers = [_with_layer(bench, costs, chosen, one) for one in _usual()["thicknesses_mm"]]
            change = _thinnest(bench, [one for one in layers if one.cost < most], cell)
            if change is not None:
                found.append(change)
        return found

    for changes in side_by_side(of_cell, bench.cells):
        yield from changes


def _sets(bench: Bench, holders: frozenset[str]) -> list[tuple[str, ...]]:
    """Which parts of a verdict are insulated: a vessel, all of them, or with the lines as well."""
    inside = [one for one in bench.installation.holders() if one.id in holders]
    bare = [one for one in inside if insulation_of(one) is None]
    vessels = tuple(one.id for one in bare if isinstance(one, Vessel))
    every = tuple(one.id for one in bare)
    sets = [*((name,) for name in vessels), vessels, every]
    return [one for one in dict.fromkeys(sets) if one]


def layers_for(
    bench: Bench, costs: Mapping[str, float], holders: frozenset[str]
) -> Iterator[Change]:
    """Usual layers on the vessels of a section, or on its lines too; none of them is tried."""
    for chosen in _sets(bench, holders)[-2:]:
        for thickness in _usual()["thicknesses_mm"]:
            yield _with_layer(bench, costs, chosen, thickness)


def _thinnest(bench: Bench, layers: Sequence[Change], cell: Cell) -> Change | None:
    """The first layer of which half the resistance makes a fire safe; None: none does."""
    for layer in layers:
        poor = replace(layer, edits=tuple(_poor(one) for one in layer.edits))
        if bench.vents([poor], cell.holders, (cell.fire_class,)):
            return layer
    return None


def _poor(edit: Edit) -> Edit:
    """A layer that resists a share of what it should."""
    if edit.key != CONDUCTIVITY:
        return edit
    return replace(edit, value=_conductivity(_usual()["conductivity_w_m_k"] / RESISTS_SHARE))


def _conductivity(number: float) -> str:
    return f"{number:g} W/m/K"


def _with_layer(
    bench: Bench,
    costs: Mapping[str, float],
    names: tuple[str, ...],
    thickness: float,
) -> Change:
    layer = _usual()
    fields = (
        ("insulation_thickness", f"{thickness:g} mm"),
        (CONDUCTIVITY, _conductivity(layer["conductivity_w_m_k"])),
        ("insulation_known_at", layer["known_at"]),
        ("insulation_holds_to", f"{layer['holds_to_k'] - ZERO_CELSIUS:g} degC"),
    )
    plant = bench.installation
    parts: list[Vessel | Line] = [one for one in plant.holders() if one.id in names]
    surface = sum(part_geometry(one).outer_surface for one in parts)
    folded = {name.casefold() for name in names}
    plugs = tuple(one.id for one in plant.plugs if one.on.casefold() in folded)
    return Change(
        "insulate",
        names[0],
        tuple(Edit(name, key, text) for name in names for key, text in fields),
        values={
            "parts": names, "plugs": plugs, "thickness_m": thickness * 1e-3,
            "layer": layer["name"], "holds_to_k": layer["holds_to_k"],
        },
        cost=costs["insulate"] + costs["insulate_per_m2_cm"] * surface * 0.1 * thickness,
    )  # fmt: skip
