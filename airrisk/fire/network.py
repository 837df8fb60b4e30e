"""The gas spaces of a section and the lines that join them.

Rule for lines: a line is a gas space of its own if it holds more than 2 % of its smaller
neighbour, if a closed valve or a blank stands at its end, if a device sits on it or if the
fire reaches it; every other line is only a resistance between its neighbours and its volume
is left out. A junction, consumer or compressor outlet holds nothing: it counts to the largest
line space that meets it without a valve; if there is none it becomes a small space of its own
with the volume of the lines lumped there.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

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
from airrisk.installation.sections import (
    ATMOSPHERE,
    FlowLink,
    LineEnd,
    Section,
    flow_links,
    holder_volume,
)
from airrisk.installation.start import start_state

Floats = NDArray[np.float64]

OWN_SPACE_SHARE = 0.02  # of the smaller neighbour's volume: stated rule
SMALLEST_VOLUME = 1e-4  # m3, of a junction that is a space
ATMOSPHERE_INDEX = -1


@dataclass(frozen=True)
class Space:
    """A volume with one pressure and one air temperature."""

    id: str
    kind: Literal["vessel", "line", "junction"]
    volume: float  # m3, condensate taken off
    part: Vessel | Line | None


@dataclass(frozen=True)
class FlowPath:
    """A way between two spaces with friction; second = -1 is the atmosphere."""

    line: str
    first: int
    second: int
    forward: bool
    backward: bool
    length: float  # m, with wall friction
    diameter: float  # m
    loss: float  # sum of K without wall friction, entry and outlet


@dataclass(frozen=True)
class GasNetwork:
    """Spaces, paths, and the space that stands for each point without volume."""

    spaces: tuple[Space, ...]
    paths: tuple[FlowPath, ...]
    home: dict[str, str] = field(default_factory=dict)

    def around(self, i: int) -> set[int]:
        """Spaces that a way leads to from one."""
        found = {path.second for path in self.paths if path.first == i}
        found |= {path.first for path in self.paths if path.second == i}
        return found - {ATMOSPHERE_INDEX}

    def start_of(self, space: Space, installation: Installation) -> tuple[float, float]:
        """Start of a junction's space: the highest pressure of what it joins."""
        states = [
            start_state(installation, part)
            for part in (self.spaces[k].part for k in self.around(self.spaces.index(space)))
            if part is not None
        ]
        return max(states, default=(installation.site.ambient_pressure, 288.15))[
            0
        ], installation.site.ambient_temperature


def gas_volume(part: Vessel | Line) -> float:
    """What a vessel or line holds above its condensate, at least a hundredth of it [m3]."""
    whole = holder_volume(part)
    return max(whole - part.condensate, 0.01 * whole)


def loss_of(loss: float | Floats, half: bool) -> Floats:
    """Loss coefficient of a way through a line, or through half of it, from that of the line.

    Two halves together have one entry and one outlet; a little friction always stays.
    """
    return np.maximum(0.5 * np.asarray(loss) - 0.75 if half else np.asarray(loss), -0.49)


def smallest_junction(volume: float | Floats) -> Floats:
    """Volume of a junction that is a space, at least ``SMALLEST_VOLUME`` [m3]."""
    return np.maximum(volume, SMALLEST_VOLUME)


def _is_own_space(
    line: Line,
    ends: tuple[LineEnd, LineEnd],
    volumes: dict[str, float],
    fire: Fire,
    struck: Collection[str],
) -> bool:
    if line.id in struck or line.id in fire.reaches or line.condensate > 0.0:
        return True
    if any(end.part is None or end.closed_by is not None for end in ends):
        return True
    neighbours = [volumes[end.part] for end in ends if end.part in volumes]
    if len(neighbours) < 1:
        return True
    return gas_volume(line) > OWN_SPACE_SHARE * min(neighbours)


def gas_network(
    installation: Installation, section: Section, fire: Fire, exposed: Collection[str] = ()
) -> GasNetwork:
    """The gas spaces of a section and the paths between them.

    The air of a line that is a space of its own stands in its middle, half the pipe on either
    side; only the air that a device lets out of a dead leg comes through the whole of it.

    Parameters
    ----------
    installation, section
        What is there and which of it is joined.
    fire
        Decides which lines need a wall of their own.
    exposed
        More of them, that something else than its flames strikes.

    Returns
    -------
    GasNetwork
    """
    vessels = {v.id: v for v in installation.vessels if v.id in section.vessels}
    lines = {one.id: one for one in installation.lines if one.id in section.lines}
    spelled = {part.id.casefold(): part.id for part in installation.parts()}
    devices: tuple[Plug | ReliefValve | BurstingDisc, ...] = (
        *installation.plugs,
        *installation.relief_valves,
        *installation.bursting_discs,
    )
    with_device = {spelled.get(device.on.casefold(), device.on) for device in devices}
    own_wall = {*with_device, *exposed}
    volumes = {name: gas_volume(vessel) for name, vessel in vessels.items()}
    flows = flow_links(installation, section.closed_valves)
    own = {
        name
        for name, line in lines.items()
        if _is_own_space(
            line,
            (flows[name].from_end, flows[name].to_end),
            volumes,
            fire,
            own_wall,
        )
    }
    spaces = [Space(name, "vessel", volumes[name], vessel) for name, vessel in vessels.items()]
    spaces += [
        Space(name, "line", gas_volume(line), line) for name, line in lines.items() if name in own
    ]
    home, junctions = _points({name: flows[name] for name in lines}, lines, own, vessels)
    spaces += junctions
    index = {space.id: i for i, space in enumerate(spaces)}
    places: dict[str | None, int] = {
        **{point: index[name] for point, name in home.items()},
        ATMOSPHERE: ATMOSPHERE_INDEX,
    }
    places |= {name: i for name, i in index.items() if name not in places}
    paths: list[FlowPath] = []
    for name, line in lines.items():
        if name in own:
            paths += _ways_into(line, flows[name], places, name in with_device)
        else:
            paths += _way_through(line, flows[name], places)
    for machine in installation.compressors:
        if machine.id in section.compressors and machine.id not in home:
            _place_compressor(machine, lines, home)
    return GasNetwork(tuple(spaces), tuple(paths), home)


def _points(
    flows: Mapping[str, FlowLink],
    lines: Mapping[str, Line],
    own: Collection[str],
    vessels: Collection[str],
) -> tuple[dict[str, str], list[Space]]:
    """The space that stands for each point without volume, and the new spaces among these."""
    meeting: dict[str, list[LineEnd]] = {}
    for flow in flows.values():
        for end in (flow.from_end, flow.to_end):
            if end.passes and end.part not in (None, ATMOSPHERE) and end.part not in vessels:
                meeting.setdefault(str(end.part), []).append(end)
    home: dict[str, str] = {}
    junctions: list[Space] = []
    for point, ends in meeting.items():
        free = [end.line for end in ends if end.line in own and end.into_line and end.out_of_line]
        if free:
            home[point] = max(free, key=lambda name: (gas_volume(lines[name]), name))
        elif len({end.line for end in ends}) == 1 and ends[0].line in own:
            home[point] = ends[0].line
        else:
            held = sum(gas_volume(lines[end.line]) for end in ends if end.line not in own)
            junctions.append(Space(point, "junction", float(smallest_junction(held)), None))
            home[point] = point
    return home, junctions


def _ways_into(
    line: Line, flow: FlowLink, places: dict[str | None, int], has_device: bool
) -> list[FlowPath]:
    """The ways between a line that is a space of its own and what stands at its ends."""
    body = places[line.id]
    found = [
        (other, end)
        for end in (flow.from_end, flow.to_end)
        if end.passes and (other := places.get(end.part)) is not None and other != body
    ]
    # nobody states where along a line a device stands: in a dead leg it may be the far end
    half = len(found) > 1 or not has_device
    return [
        path
        for other, end in found
        for path in _way(line, (other, body), (end.into_line, end.out_of_line), half)
    ]


def _way_through(line: Line, flow: FlowLink, places: dict[str | None, int]) -> list[FlowPath]:
    """The way through a line that is only a resistance, if it joins two spaces."""
    first, second = places.get(flow.from_end.part), places.get(flow.to_end.part)
    if first is None or second is None or first == second:
        return []
    return _way(line, (first, second), (flow.forward, flow.backward), half=False)


def _way(
    line: Line, ends: tuple[int, int], passes: tuple[bool, bool], half: bool
) -> list[FlowPath]:
    """A way that lets pass forward or backward, the atmosphere as its second end; or none."""
    (first, second), (forward, backward) = ends, passes
    if first == ATMOSPHERE_INDEX:
        first, second, forward, backward = second, first, backward, forward
    if second == ATMOSPHERE_INDEX:
        backward = False
    if not (forward or backward):
        return []
    length = 0.5 * line.length if half else line.length
    loss = float(loss_of(line.loss, half))
    return [FlowPath(line.id, first, second, forward, backward, length, line.inside_diameter, loss)]


def _place_compressor(machine: Compressor, lines: dict[str, Line], home: dict[str, str]) -> None:
    """A compressor whose outlet meets nothing that is modelled feeds nothing."""
    for line in lines.values():
        if line.from_.casefold() == machine.id.casefold() and line.id in home.values():
            home[machine.id] = line.id
            return
