"""Lines, compressors and the pressure of the site as inputs of many variants of a fire case.

What was decided when the case was built stays: which lines are gas spaces of their own, and which
are lumped into a junction or left out for their small volume.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from airrisk.firetest import layout as at
from airrisk.firetest.case import FireCase, wall_of
from airrisk.firetest.network import FlowPath, gas_volume, loss_of, smallest_junction
from airrisk.installation.model import Line
from airrisk.physics import air
from airrisk.physics.shells import bore_area

Floats = NDArray[np.float64]

LINE = ("length", "inside_diameter", "loss")
COMPRESSOR = ("delivery", "cut_in_pressure")


def _paths(case: FireCase, line: str) -> list[tuple[int, FlowPath]]:
    """The ways through a line: place of their numbers in the case, and the way."""
    block = int(case.integers[at.I_F_LINK])
    return [(block + k * at.L_SIZE, path) for k, path in enumerate(case.links) if path.line == line]


def _line_names(case: FireCase) -> tuple[str, ...]:
    own = [name for name, part in case.parts.items() if isinstance(part, Line)]
    return tuple(dict.fromkeys((*own, *(path.line for path in case.links))))


def known_line_inputs(case: FireCase) -> tuple[str, ...]:
    """Names of these inputs in a case.

    ``ambient_pressure`` leaves every reading and setting as it is on the gauge, and the air that
    a compressor delivers as hot as it is. ``delivery`` is that of the free air [m3/s].
    """
    names = ["ambient_pressure"]
    for name in _line_names(case):
        fields = LINE if _paths(case, name) else LINE[:2]
        names += [f"{name}.{field}" for field in fields]
    names += [f"{name}.{field}" for name in case.feeds for field in COMPRESSOR]
    return tuple(names)


def present_line_inputs(case: FireCase) -> dict[str, tuple[float, str]]:
    """Present value and kind of quantity of each of these inputs."""
    f = case.floats
    found = {"ambient_pressure": (float(f[at.F_AMBIENT_P]), "pressure")}
    for name in _line_names(case):
        present = _as_built(case, name)
        found[f"{name}.length"] = (present["length"], "length")
        found[f"{name}.inside_diameter"] = (present["inside_diameter"], "length")
        if _paths(case, name):
            found[f"{name}.loss"] = (present["loss"], "number")
    for k, name in enumerate(case.feeds):
        block = int(case.integers[at.I_F_FEED]) + k * at.C_SIZE
        found[f"{name}.delivery"] = (float(f[block + at.C_FLOW]) / _free_density(case), "flow")
        found[f"{name}.cut_in_pressure"] = (float(f[block + at.C_CUT_IN]), "pressure")
    return found


def _as_built(case: FireCase, line: str) -> dict[str, float]:
    part = case.parts.get(line)
    if isinstance(part, Line):
        return {key: float(getattr(part, key)) for key in LINE}
    # a line without a space of its own is one way through the whole of it
    path = _paths(case, line)[0][1]
    return {"length": path.length, "inside_diameter": path.diameter, "loss": path.loss}


def _free_density(case: FireCase) -> float:
    f = case.floats
    return float(air.density(float(f[at.F_AMBIENT_P]), float(f[at.F_AMBIENT_T])))


def line_columns(
    case: FireCase, line: str, given: Mapping[str, Floats], walls: Floats | None
) -> dict[int, Floats]:
    """Places and values of a line whose length, bore or loss varies.

    Parameters
    ----------
    case
        The base case.
    line
        Its name.
    given
        Values by field of ``LINE``, all of one length, SI.
    walls
        Wall thicknesses of the variants [m]; left out: as built.

    Raises
    ------
    ValueError
        A length or bore that is not above 0, a loss below 0.
    """
    for field, values in given.items():
        least = float(np.min(values))
        if field == "loss" and not least >= 0.0:
            raise ValueError(f"{line}: loss {least:.4g}; valid: 0 or more")
        if field != "loss" and not least > 0.0:
            raise ValueError(f"{line}: {field} {least:.4g} m; valid: above 0 m")
    count = next(iter(given.values())).size
    built = _as_built(case, line)
    now = {key: given.get(key, np.full(count, built[key])) for key in LINE}
    found: dict[int, Floats] = {}
    part = case.parts.get(line)
    for place, path in _paths(case, line):
        half = isinstance(part, Line) and path.length < 0.75 * part.length
        found[place + at.L_LENGTH] = (0.5 if half else 1.0) * now["length"]
        found[place + at.L_DIAMETER] = now["inside_diameter"]
        if "loss" in given:
            found[place + at.L_LOSS] = loss_of(given["loss"], half)
    if set(given) == {"loss"}:
        return found
    if isinstance(part, Line):
        found.update(_space_columns(case, part, now, walls))
    return found


def _space_columns(
    case: FireCase, part: Line, now: Mapping[str, Floats], walls: Floats | None
) -> dict[int, Floats]:
    """Volume, surfaces, masses and burst factor of a line that is a gas space."""
    share = case.fire.share(part.id) if part.id in case.fire.reaches else 0.0
    rows = []
    lengths, bores = now["length"].tolist(), now["inside_diameter"].tolist()
    thick = [part.wall_thickness] * len(lengths) if walls is None else walls.tolist()
    for length, bore, wall in zip(lengths, bores, thick, strict=True):
        pipe = replace(part, length=length, inside_diameter=bore, wall_thickness=wall)
        shape, factor = wall_of(pipe, case.burst_formula, case.basis, part)
        rows.append(
            (
                gas_volume(pipe),
                shape.outer_surface,
                shape.metal_mass,
                factor,
                bore_area(bore),
            )
        )
    volume, surface, mass, factor, area = np.array(rows).T
    block = case.space_at(part.id, 0)
    return {
        block + at.S_VOLUME: volume,
        block + at.S_HOT_AREA: share * surface,
        block + at.S_COLD_AREA: (1.0 - share) * surface,
        block + at.S_HOT_MASS: share * mass,
        block + at.S_COLD_MASS: (1.0 - share) * mass,
        block + at.S_BURST_FACTOR: factor,
        block + at.S_BORE_AREA: area,
    }


def fill_junctions(case: FireCase, found: dict[int, Floats]) -> None:
    """Put what longer or wider lumped lines hold into the junctions they are part of."""
    block = int(case.integers[at.I_F_LINK])
    more: dict[int, Floats] = {}
    narrowest: dict[int, Floats] = {}
    for k, path in enumerate(case.links):
        place = block + k * at.L_SIZE
        bore = found.get(place + at.L_DIAMETER, np.array(path.diameter))
        length = found.get(place + at.L_LENGTH, np.array(path.length))
        for end in (path.first, path.second):
            if end < 0 or case.spaces[end].kind != "junction":
                continue
            narrowest[end] = np.minimum(narrowest.get(end, np.array(np.inf)), bore)
            if not isinstance(case.parts.get(path.line), Line):
                grown = 0.25 * np.pi * (bore**2 * length - path.diameter**2 * path.length)
                more[end] = more.get(end, np.array(0.0)) + grown
    for end, bore in narrowest.items():
        place = case.space_at(case.names[end], 0)
        grown = more.get(end, np.array(0.0))
        if not (np.ndim(bore) or np.ndim(grown)):
            continue
        volume = smallest_junction(case.floats[place + at.S_VOLUME] + grown)
        built = min(path.diameter for path in case.links if end in (path.first, path.second))
        ratio = volume / case.floats[place + at.S_VOLUME] * built
        found[place + at.S_VOLUME] = volume + 0.0 * bore
        for key in (at.S_COLD_AREA, at.S_COLD_MASS):
            found[place + key] = case.floats[place + key] * ratio / bore


def compressor_column(case: FireCase, name: str, field: str, values: Floats) -> dict[int, Floats]:
    """Place and values of a compressor's delivery [m3/s free air] or cut-in pressure [Pa]."""
    block = int(case.integers[at.I_F_FEED]) + case.feeds.index(name) * at.C_SIZE
    if field == "cut_in_pressure":
        return {block + at.C_CUT_IN: values}
    return {block + at.C_FLOW: values * _free_density(case)}


def move_ambient(
    case: FireCase, values: Floats, given: Mapping[str, Floats], found: dict[int, Floats]
) -> None:
    """Another pressure of the site: readings and settings stay on the gauge.

    Absolute pressures that vary themselves stay as they are given.
    """
    base = case.floats[at.F_AMBIENT_P]
    change = values - base
    found[at.F_AMBIENT_P] = values
    for name in case.names:
        if f"{name}.pressure" not in given:
            place = case.space_at(name, at.S_PRESSURE)
            found[place] = case.floats[place] + change
    for names, key, rows, size, place in (
        (case.relief_valves, "set_pressure", at.I_F_RELIEF, at.R_SIZE, at.R_SET),
        (case.discs, "burst_pressure", at.I_F_DISC, at.D_SIZE, at.D_BURST),
    ):
        for k, name in enumerate(names):
            if f"{name}.{key}" in given:
                block = int(case.integers[rows]) + k * size
                found[block + place] = given[f"{name}.{key}"] - values
    for k, name in enumerate(case.feeds):
        block = int(case.integers[at.I_F_FEED]) + k * at.C_SIZE
        found[block + at.C_CUT_OUT] = case.floats[block + at.C_CUT_OUT] + change
        if f"{name}.cut_in_pressure" not in given:
            found[block + at.C_CUT_IN] = case.floats[block + at.C_CUT_IN] + change
        flow = block + at.C_FLOW
        found[flow] = found.get(flow, case.floats[flow]) * (values / base)
