"""What a pipe, a start pressure or the pressure of the site changes in many variants of a case.

What was decided when the case was built stays: which lines are gas spaces of their own, and which
are lumped into a junction or left out for their small volume.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import FireCase, wall_of
from airrisk.fire.network import FlowPath, gas_volume, loss_of, smallest_junction
from airrisk.installation.delivery import delivery_temperature
from airrisk.installation.model import Line
from airrisk.kernel import layout as at
from airrisk.messages import said
from airrisk.physics import air
from airrisk.physics.shells import bore_area

Floats = NDArray[np.float64]

LINE = ("length", "inside_diameter", "loss")


def _paths(case: FireCase, line: str) -> list[tuple[int, FlowPath]]:
    """The ways through a line: place of their numbers in the case, and the way."""
    block = int(case.integers[at.I_F_LINK])
    return [(block + k * at.L_SIZE, path) for k, path in enumerate(case.links) if path.line == line]


def pipes(case: FireCase) -> tuple[str, ...]:
    """The lines of a case, those that are gas spaces of their own first."""
    own = [name for name, part in case.parts.items() if isinstance(part, Line)]
    return tuple(dict.fromkeys((*own, *(path.line for path in case.links))))


def as_built(case: FireCase, line: str) -> dict[str, float]:
    """Length, inside diameter [m] and loss of a line; no loss where air cannot pass it."""
    part, paths = case.parts.get(line), _paths(case, line)
    if isinstance(part, Line):
        return {key: float(getattr(part, key)) for key in (LINE if paths else LINE[:2])}
    # a line without a space of its own is one way through the whole of it
    path = paths[0][1]
    return {"length": path.length, "inside_diameter": path.diameter, "loss": path.loss}


def free_density(case: FireCase) -> float:
    """Density of the air around [kg/m3], which compressors draw in."""
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
            raise ValueError(said("loss-below-zero", line=line, least=f"{least:.4g}"))
        if field != "loss" and not least > 0.0:
            raise ValueError(
                said(
                    "line-too-short",
                    line=line,
                    field=field,
                    least=f"{least:.4g}",
                )
            )
    count = next(iter(given.values())).size
    now = {
        key: given.get(key, np.full(count, value)) for key, value in as_built(case, line).items()
    }
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
        **case.wall_columns(part.id, surface, mass),
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


def start_columns(
    case: FireCase, name: str, values: Floats, given: Mapping[str, Floats]
) -> dict[int, Floats]:
    """Start pressure of a part, and of those that start at the highest pressure beside them [Pa].

    Pressures that vary themselves stay as they are given.
    """
    found = {case.space_at(name, at.S_PRESSURE): values}
    for other in case.follows:
        start = _start(case, other, given)
        if start is not None and f"{other}.pressure" not in given:
            found[case.space_at(other, at.S_PRESSURE)] = start
    return found


def _start(case: FireCase, name: str, given: Mapping[str, Floats]) -> Floats | None:
    """Start pressure of a space whose own or whose neighbours' varies; None: as built."""
    if f"{name}.pressure" in given:
        return given[f"{name}.pressure"]
    beside = case.follows.get(name, ())
    present = [_present_start(case, one, pressure) for one, pressure in beside]
    if not beside or max(present) != case.floats[case.space_at(name, at.S_PRESSURE)]:
        return None  # it starts at a pressure of its own
    varied = [_start(case, one, given) if one in case.names else None for one, _ in beside]
    if all(start is None for start in varied):
        return None
    shift = given.get("site.ambient_pressure", case.floats[at.F_AMBIENT_P])
    shift = shift - case.floats[at.F_AMBIENT_P]
    found = np.array(-np.inf)
    for start, pressure in zip(varied, present, strict=True):
        found = np.maximum(found, pressure + shift if start is None else start)
    return found


def _present_start(case: FireCase, name: str, pressure: float) -> float:
    """Start pressure in this case; of a part that is not in it the one stated."""
    if name not in case.names:
        return pressure
    return float(case.floats[case.space_at(name, at.S_PRESSURE)])


def move_ambient(
    case: FireCase, values: Floats, given: Mapping[str, Floats], found: dict[int, Floats]
) -> None:
    """Another pressure of the site: readings and settings stay on the gauge.

    Absolute pressures that vary themselves stay as they are given, and the air that a compressor
    delivers as hot as it is.
    """
    base = case.floats[at.F_AMBIENT_P]
    change = values - base
    found[at.F_AMBIENT_P] = values
    for name in case.names:
        place = case.space_at(name, at.S_PRESSURE)
        if place not in found:
            found[place] = case.floats[place] + change
    for names, key, rows, size, place in (
        (case.relief_valves, "set_pressure", at.I_F_RELIEF, at.R_SIZE, at.R_SET),
        (case.discs, "burst_pressure", at.I_F_DISC, at.D_SIZE, at.D_BURST),
    ):
        for k, name in enumerate(names):
            if f"{name}.{key}" in given:
                block = int(case.integers[rows]) + k * size
                found[block + place] = given[f"{name}.{key}"] - values
    temperature = float(case.floats[at.F_AMBIENT_T])
    denser = air.density(values, temperature) / free_density(case)
    for k, name in enumerate(case.feeds):
        block = int(case.integers[at.I_F_FEED]) + k * at.C_SIZE
        cut_out = case.floats[block + at.C_CUT_OUT] + change
        hot = delivery_temperature(case.machines[name], float(base))
        found[block + at.C_CUT_OUT] = cut_out
        found[block + at.C_ENTHALPY] = air.enthalpy(air.density(cut_out, hot), hot)
        if f"{name}.cut_in_pressure" not in given:
            found[block + at.C_CUT_IN] = case.floats[block + at.C_CUT_IN] + change
        flow = block + at.C_FLOW
        found[flow] = found.get(flow, case.floats[flow]) * denser
