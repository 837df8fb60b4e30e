"""The air when a fire starts: as stated in the file, and the highest pressure that can stand."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import networkx as nx

from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.sections import (
    Section,
    closable_valves,
    gas_graph,
    sections_with,
)


def start_state(installation: Installation, part: Vessel | Line) -> tuple[float, float]:
    """Pressure and temperature of the air in a part when the fire starts.

    A line without a stated pressure takes the highest of the nearest vessels along the pipes
    (whatever its valves do now: it may have been shut in under that pressure), else the discharge
    pressure of a compressor that feeds it, else ambient.

    Returns
    -------
    tuple of float
        Pressure [Pa absolute] and temperature [K].
    """
    if isinstance(part, Vessel):
        return part.pressure, part.temperature
    temperature = (
        installation.site.ambient_temperature if part.temperature is None else part.temperature
    )
    if part.pressure is not None:
        return part.pressure, temperature
    return _nearest_pressure(installation, part), temperature


def cut_out_pressures(installation: Installation) -> dict[str, float]:
    """Highest cut-out of the compressors whose air can reach each part, Pa absolute.

    Every valve counts as open: a section may have been filled before it was shut in. A part that
    no compressor can fill is missing.
    """
    found: dict[str, float] = {}
    if not installation.compressors:
        return found
    graph = gas_graph(installation)
    for machine in installation.compressors:
        for name in nx.descendants(graph, machine.id):
            found[name] = max(found.get(name, 0.0), machine.discharge_pressure)
    return found


def highest_pressure(
    installation: Installation,
    section: Section,
    cut_outs: Mapping[str, float] | None = None,
    *,
    starts: bool = True,
    uncredited: Collection[str] = (),
) -> float:
    """Highest pressure that can stand in a section.

    The set pressure of a relief valve that its air can always reach, even above the design
    pressure; without one the larger of the design pressure and the cut-out of a compressor that
    can fill the section. Of a relief valve that nobody may count on both are asked, and the
    higher pressure counts. What closed valves shut in was filled while they were open, so that
    it is never less than what can stand there with all valves open, or with one of its own.

    Parameters
    ----------
    installation
        The checked installation.
    section
        One of its sections.
    cut_outs
        See ``cut_out_pressures``; left out: worked out here.
    starts
        Whether the stated start pressures of the section count too.
    uncredited
        Relief valves that nobody may count on.

    Returns
    -------
    float
        Pressure [Pa absolute], with ``starts`` never below the stated start pressures.
    """
    inside = set(section.holders)
    held = [part for part in installation.holders() if part.id in inside]
    if cut_outs is None:
        cut_outs = cut_out_pressures(installation)
    bound = _bound(installation, section, cut_outs, uncredited)
    for joined in _while_filled(installation, section):
        bound = max(bound, _bound(installation, joined, cut_outs, uncredited))
    if not starts:
        return bound
    return max([bound, *(start_state(installation, part)[0] for part in held)])


def _while_filled(installation: Installation, section: Section) -> list[Section]:
    """The sections that a shut-in one belonged to: all valves open, and one of its own open."""
    if not section.closed_valves:
        return []
    inside = set(section.holders)
    every = closable_valves(installation)
    closings = [(), *(tuple(v for v in every if v != one) for one in section.closed_valves)]
    return [
        joined
        for closed in closings
        for joined in sections_with(installation, closed)
        if inside & set(joined.holders)
    ]


def _bound(
    installation: Installation,
    section: Section,
    cut_outs: Mapping[str, float],
    uncredited: Collection[str],
) -> float:
    """What can stand in a section with its valves as they are, stated pressures apart."""
    inside = set(section.holders)
    held = [part for part in installation.holders() if part.id in inside]
    valves = [one for one in installation.relief_valves if one.id in section.relief_valves]
    sets = [one.set_pressure for one in valves if one.id not in uncredited]
    if sets:
        return min(sets)
    designs = [part.design_pressure for part in held if part.design_pressure is not None]
    filled = [cut_outs[part.id] for part in held if part.id in cut_outs]
    return max(
        min(designs, default=installation.site.ambient_pressure),
        max(filled, default=installation.site.ambient_pressure),
        min((one.set_pressure for one in valves), default=0.0),
    )


def highest_pressures(
    installation: Installation,
    section: Section,
    cut_outs: Mapping[str, float] | None = None,
    uncredited: Collection[str] = (),
) -> dict[str, float]:
    """Highest pressure that can stand in each vessel and line of a section, by id.

    As ``highest_pressure``, but beside a non-return valve a part is raised to the stated pressures
    of those parts only whose air can flow to it.

    Parameters
    ----------
    installation
        The checked installation.
    section
        One of its sections.
    cut_outs
        See ``cut_out_pressures``; left out: worked out here.
    uncredited
        Relief valves that nobody may count on.

    Returns
    -------
    dict of str to float
        Pressure [Pa absolute].
    """
    if not any(valve.kind == "non-return" for valve in installation.valves):
        highest = highest_pressure(installation, section, cut_outs, uncredited=uncredited)
        return dict.fromkeys(section.holders, highest)
    # a line without a stated pressure only repeats that of a vessel, on either side of its valves
    stated = {
        part.id: start_state(installation, part)[0]
        for part in installation.holders()
        if part.id in section.holders and part.pressure is not None
    }
    bound = highest_pressure(installation, section, cut_outs, starts=False, uncredited=uncredited)
    graph = gas_graph(installation, section.closed_valves)
    found = {}
    for name in section.holders:
        above = {name, *nx.ancestors(graph, name)} & set(stated)
        found[name] = max([bound, *(stated[one] for one in above)])
    return found


def _nearest_pressure(installation: Installation, line: Line) -> float:
    vessels, compressors = _nearest(installation, line)
    beside = vessels or compressors
    return max(beside.values(), default=installation.site.ambient_pressure)


def pressures_beside(installation: Installation, line: Line) -> dict[str, float]:
    """The nearest vessels along the pipes, whose highest pressure [Pa absolute] a line takes."""
    return _nearest(installation, line)[0]


def _nearest(installation: Installation, line: Line) -> tuple[dict[str, float], dict[str, float]]:
    """Pressures of the nearest vessels, and cut-outs of the compressors on the way to them."""
    vessels = {vessel.id.casefold(): vessel for vessel in installation.vessels}
    compressors = {machine.id.casefold(): machine for machine in installation.compressors}
    lines_at: dict[str, list[Line]] = {}
    for other in installation.lines:
        for end in (other.from_, other.to):
            lines_at.setdefault(end.casefold(), []).append(other)
    seen = {line.id.casefold()}
    frontier = [line]
    feeding: dict[str, float] = {}
    while frontier:
        found: dict[str, float] = {}
        following: list[Line] = []
        for pipe in frontier:
            for end in (pipe.from_.casefold(), pipe.to.casefold()):
                if end in vessels:
                    found[vessels[end].id] = vessels[end].pressure
                elif end in compressors:
                    feeding[compressors[end].id] = compressors[end].discharge_pressure
                elif end not in ("closed", "atmosphere"):
                    for other in lines_at.get(end, ()):
                        if other.id.casefold() not in seen:
                            seen.add(other.id.casefold())
                            following.append(other)
        if found:
            return found, feeding
        frontier = following
    return {}, feeding
