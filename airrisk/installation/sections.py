"""Which parts stay joined for a given position of the valves, and which way air may go.

The graph has one node for every vessel, line body, junction, consumer, compressor outlet and
device. A line end is a chain of valves between the line's body and the part it meets; the
valves of one end count from the part outward, so the whole volume of the line lies beyond all
of them and the stubs between two valves hold nothing. A device stands behind its own valves.

- An isolating valve passes air both ways or, closed, not at all.
- A non-return valve passes air one way at any time and nobody can shut it. Parts on its two
  sides therefore belong to one section (they exchange air in a fire), but a device counts as
  a way out only for parts from which an open path *in flow direction* leads to it.
- Two opposed non-return valves at one end pass nothing: the end separates as a closed one.
- Air does not flow back through a compressor. Lines that leave it meet at its outlet; a line
  that runs to it ends at its suction, a closed end.
- An end to the atmosphere is an open end of its own for each line and joins no other part.
- An end "closed" is a blank. A part that nothing joins is a section of its own.
"""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import networkx as nx

from airrisk.installation.model import Device, End, Installation, Line, Valve, Vessel
from airrisk.installation.references import in_section_order
from airrisk.messages import quoted, said
from airrisk.physics.shells import bore_area

ATMOSPHERE = "atmosphere"
CLOSED_END = "closed"
LATEST = 16  # installations of which the answers of this module are kept
Answer = TypeVar("Answer")
_kept: OrderedDict[int, tuple[Installation, dict[Hashable, Any]]] = OrderedDict()
_turn = threading.Lock()


def _once(installation: Installation, key: Hashable, work_out: Callable[[], Answer]) -> Answer:
    """An answer about the very same record, which never changes, is worked out once."""
    with _turn:
        # the record is kept beside its number, so that no other one can get that number
        _, answers = _kept.setdefault(id(installation), (installation, {}))
        _kept.move_to_end(id(installation))
        while len(_kept) > LATEST:
            _kept.popitem(last=False)
    if key not in answers:
        answers[key] = work_out()
    found: Answer = answers[key]
    return found


@dataclass(frozen=True)
class LineEnd:
    """One end of a line in one position of the valves.

    ``into_line`` and ``out_of_line`` say whether air may pass from the part into the line and
    back; both are false behind a closed valve, a blank end or a compressor's suction.
    """

    line: str
    end: End
    part: str | None  # None: blank end or suction; "atmosphere": open end
    closed_by: str | None  # the closed valve nearest to the line's body
    into_line: bool
    out_of_line: bool
    valves: tuple[str, ...] = ()  # from the part outward

    @property
    def passes(self) -> bool:
        """Whether air can pass in at least one direction."""
        return self.into_line or self.out_of_line


@dataclass(frozen=True)
class FlowLink:
    """A line as a path for air between the spaces at its two ends."""

    line: str
    from_end: LineEnd
    to_end: LineEnd

    @property
    def forward(self) -> bool:
        """Whether air may flow from the ``from`` end through to the ``to`` end."""
        return self.from_end.into_line and self.to_end.out_of_line

    @property
    def backward(self) -> bool:
        """Whether air may flow from the ``to`` end through to the ``from`` end."""
        return self.to_end.into_line and self.from_end.out_of_line


@dataclass(frozen=True)
class Section:
    """Parts that stay joined while ``closed_valves`` are closed.

    ``closed_valves`` are all closed valves that stand at a member: those that bound the
    section, those before a member's device, and those inside a ring. ``plugs``,
    ``relief_valves`` and ``discs`` are the devices on members with an open way to the device;
    ``isolated_devices`` stand behind a closed valve or a reversed non-return valve.
    """

    id: str
    members: tuple[str, ...]
    closed_valves: tuple[str, ...]
    volume: float  # m3, vessels and lines, condensate not taken off
    vessels: tuple[str, ...]
    lines: tuple[str, ...]
    plugs: tuple[str, ...] = ()
    relief_valves: tuple[str, ...] = ()
    discs: tuple[str, ...] = ()
    isolated_devices: tuple[str, ...] = ()
    compressors: tuple[str, ...] = ()
    open_ends: tuple[tuple[str, End], ...] = ()  # line ends that are open to the atmosphere

    @property
    def holders(self) -> tuple[str, ...]:
        """Ids of the vessels, then of the lines."""
        return (*self.vessels, *self.lines)


def holder_volume(holder: Vessel | Line) -> float:
    """Volume of a vessel or line, m3, condensate not taken off."""
    if isinstance(holder, Vessel):
        return holder.volume
    return bore_area(holder.inside_diameter) * holder.length


def closable_valves(installation: Installation) -> tuple[str, ...]:
    """Ids of the valves that people can close, those drawn closed included."""
    return tuple(valve.id for valve in installation.valves if valve.can_close)


@dataclass(frozen=True)
class Network:
    """Valves sorted by the place where they stand, and the ids as they are written."""

    installation: Installation
    spelled: dict[str, str] = field(default_factory=dict)
    at_end: dict[tuple[str, End], tuple[Valve, ...]] = field(default_factory=dict)
    before_device: dict[str, tuple[Valve, ...]] = field(default_factory=dict)
    suctions: frozenset[str] = frozenset()

    @classmethod
    def of(cls, installation: Installation) -> Network:
        """The network of an installation."""
        return _once(installation, "network", lambda: cls._of(installation))

    @classmethod
    def _of(cls, installation: Installation) -> Network:
        spelled = {
            record.id.casefold(): record.id
            for group in (installation.parts(), installation.devices(), installation.valves)
            for record in group
        }
        lines = {line.id for line in installation.lines}
        ends: dict[tuple[str, End], list[Valve]] = {}
        devices: dict[str, list[Valve]] = {}
        for valve in installation.valves:
            on = spelled.get(valve.on.casefold(), valve.on)
            if on in lines:
                ends.setdefault((on, valve.end or "to"), []).append(valve)
            else:
                devices.setdefault(on, []).append(valve)

        def placed(valves: Sequence[Valve]) -> tuple[Valve, ...]:
            return tuple(sorted(valves, key=lambda valve: valve.order))

        return cls(
            installation,
            spelled,
            {key: placed(valves) for key, valves in ends.items()},
            {key: placed(valves) for key, valves in devices.items()},
            frozenset(compressor.id for compressor in installation.compressors),
        )

    def name(self, reference: str) -> str:
        """The id as its own record spells it."""
        return self.spelled.get(reference.casefold(), reference)

    def part_at(self, line: Line, end: End) -> str | None:
        """What a line end meets: a part, "atmosphere", or None for a blank end or a suction."""
        written = line.from_ if end == "from" else line.to
        if written.casefold() == CLOSED_END:
            return None
        if written.casefold() == ATMOSPHERE:
            return ATMOSPHERE
        part = self.name(written)
        return None if end == "to" and part in self.suctions else part

    def closed_set(self, closed: Iterable[str]) -> frozenset[str]:
        """Valve ids as written, checked.

        Raises
        ------
        ValueError
            An id is no valve, or a valve that nobody can close.
        """
        by_id = {valve.id.casefold(): valve for valve in self.installation.valves}
        result = set()
        for reference in closed:
            valve = by_id.get(reference.casefold())
            if valve is None:
                raise ValueError(said("not-a-valve", reference=reference))
            if not valve.can_close:
                what = (
                    said("some-non-return-valve")
                    if valve.kind == "non-return"
                    else quoted(valve.state)
                )
                raise ValueError(said("valve-cannot-be-closed", valve=valve.id, what=what))
            result.add(valve.id)
        return frozenset(result)

    def line_end(self, line: Line, end: End, closed: frozenset[str]) -> LineEnd:
        """State of one line end while the valves ``closed`` are closed."""
        valves = self.at_end.get((line.id, end), ())
        part = self.part_at(line, end)
        shut = [valve.id for valve in valves if valve.id in closed]
        into = out = part is not None and not shut
        for valve in valves:
            if valve.kind == "non-return":
                # the line's own direction enters at "from" and leaves at "to"
                inward = (end == "from") != valve.reverse
                into, out = into and inward, out and not inward
        return LineEnd(
            line.id,
            end,
            part,
            shut[-1] if shut else None,
            into,
            out,
            tuple(valve.id for valve in valves),
        )

    def device_open(self, device: Device, closed: frozenset[str]) -> bool:
        """Whether air can reach the device from the part that it stands on."""
        return all(
            valve.id not in closed and not (valve.kind == "non-return" and valve.reverse)
            for valve in self.before_device.get(device.id, ())
        )

    def drawn_closed(self) -> frozenset[str]:
        """Valves that are closed in the drawing."""
        return frozenset(
            valve.id
            for valve in self.installation.valves
            if valve.can_close and valve.state == "closed"
        )


def flow_links(installation: Installation, closed_valves: Iterable[str]) -> dict[str, FlowLink]:
    """Every line as a flow path while ``closed_valves`` are closed, by line id.

    Parameters
    ----------
    installation : Installation
    closed_valves : iterable of str
        Ids of the closed valves; ``Section.closed_valves`` is enough for the lines of that
        section.

    Raises
    ------
    ValueError
        A valve is unknown or cannot be closed.
    """
    network = Network.of(installation)
    closed = network.closed_set(closed_valves)
    return {
        line.id: FlowLink(
            line.id,
            network.line_end(line, "from", closed),
            network.line_end(line, "to", closed),
        )
        for line in installation.lines
    }


def _add_chain(
    graph: nx.DiGraph[Any],
    start: Any,
    goal: Any,
    chain: Sequence[tuple[Valve, bool]],
    closed: frozenset[str],
    key: tuple[str, ...],
) -> None:
    """Join two nodes through valves in order; the flag says that a non-return valve opens along."""
    nodes = [start, *((*key, number) for number in range(1, len(chain))), goal]
    if not chain:
        graph.add_edge(start, goal, valve=None)
        graph.add_edge(goal, start, valve=None)
        return
    for (valve, along), here, there in zip(chain, nodes, nodes[1:], strict=False):
        if valve.id in closed:
            continue
        mark = valve.id if valve.can_close else None
        if valve.kind != "non-return" or along:
            graph.add_edge(here, there, valve=mark)
        if valve.kind != "non-return" or not along:
            graph.add_edge(there, here, valve=mark)


def gas_graph(installation: Installation, closed_valves: Iterable[str] = ()) -> nx.DiGraph[Any]:
    """Directed graph of the ways that air can take while ``closed_valves`` are closed.

    Nodes are the ids of parts and devices, ``("atmosphere", line, end)`` for open ends, and
    tuples for the stubs between valves. An arc carries ``valve``: the id of the closable valve
    it passes, or ``None``. No arc leaves a device or an open end. The graph cannot be changed:
    whoever asks gets the same one.

    Parameters
    ----------
    installation : Installation
    closed_valves : iterable of str

    Raises
    ------
    ValueError
        A valve is unknown or cannot be closed.
    """
    closed = Network.of(installation).closed_set(closed_valves)
    return _once(installation, ("graph", closed), lambda: _gas_graph(installation, closed))


def _gas_graph(installation: Installation, closed: frozenset[str]) -> nx.DiGraph[Any]:
    network = Network.of(installation)
    graph: nx.DiGraph[Any] = nx.DiGraph()
    graph.add_nodes_from(part.id for part in installation.parts())
    ends: tuple[End, End] = ("from", "to")
    for line in installation.lines:
        for end in ends:
            part = network.part_at(line, end)
            if part is None:
                continue
            key = (line.id, end)
            node = (ATMOSPHERE, *key) if part == ATMOSPHERE else part
            chain = [
                (valve, (end == "from") != valve.reverse) for valve in network.at_end.get(key, ())
            ]
            inner: Any = line.id
            if network.part_at(line, "from") == network.part_at(line, "to"):
                # both ends on one part: an end of its own keeps their valves apart
                inner = (*key, "bore")
                _add_chain(graph, inner, line.id, (), closed, key)
            _add_chain(graph, node, inner, chain, closed, key)
            if part == ATMOSPHERE and node in graph:
                graph.remove_edges_from(list(graph.out_edges(node)))
    for device in installation.devices():
        graph.add_node(device.id)
        chain = [(valve, not valve.reverse) for valve in network.before_device.get(device.id, ())]
        _add_chain(graph, network.name(device.on), device.id, chain, closed, (device.id,))
        graph.remove_edges_from(list(graph.out_edges(device.id)))
    return nx.freeze(graph)


def devices_in_reach(
    installation: Installation, closed_valves: Iterable[str], part: str
) -> frozenset[str]:
    """Plugs and discs that the air of a part can flow to with the given valves closed."""
    reached = nx.descendants(gas_graph(installation, closed_valves), part)
    devices = (*installation.plugs, *installation.bursting_discs)
    return frozenset(device.id for device in devices if device.id in reached)


def sections_with(installation: Installation, closed_valves: Iterable[str]) -> tuple[Section, ...]:
    """Sections while exactly ``closed_valves`` are closed and all other valves are open.

    Sections without a vessel or line are left out. The order is that of the ids.

    Parameters
    ----------
    installation : Installation
    closed_valves : iterable of str
        Ids of closable valves.

    Raises
    ------
    ValueError
        A valve is unknown or cannot be closed.
    """
    closed = Network.of(installation).closed_set(closed_valves)
    return _once(installation, ("sections", closed), lambda: _sections_with(installation, closed))


def _sections_with(installation: Installation, closed: frozenset[str]) -> tuple[Section, ...]:
    network = Network.of(installation)
    joined: nx.Graph[Any] = nx.Graph()
    joined.add_nodes_from(part.id for part in installation.parts())
    touching: dict[str, set[str]] = {part.id: set() for part in installation.parts()}
    openings: dict[str, list[tuple[str, End]]] = {}
    ends: tuple[End, End] = ("from", "to")
    for line in installation.lines:
        for end in ends:
            state = network.line_end(line, end, closed)
            if state.closed_by is not None:
                touching[line.id].add(state.closed_by)
                if state.part in touching:
                    first = next(valve for valve in state.valves if valve in closed)
                    touching[state.part].add(first)
            elif state.passes and state.part == ATMOSPHERE:
                openings.setdefault(line.id, []).append((line.id, end))
            elif state.passes and state.part is not None:
                joined.add_edge(line.id, state.part)
    for device in installation.devices():
        valves = network.before_device.get(device.id, ())
        shut = next((valve.id for valve in valves if valve.id in closed), None)
        if shut is not None:
            touching[network.name(device.on)].add(shut)

    holders = {holder.id: holder for holder in installation.holders()}
    vessels = {vessel.id for vessel in installation.vessels}
    compressors = {compressor.id for compressor in installation.compressors}
    result = []
    for component in nx.connected_components(joined):
        if not component & holders.keys():
            continue
        members = in_section_order(component)
        held = [holders[name] for name in members if name in holders]
        on_members = [d for d in installation.devices() if network.name(d.on) in component]
        reach = {d.id for d in on_members if network.device_open(d, closed)}
        result.append(
            Section(
                id="+".join(members),
                members=members,
                closed_valves=in_section_order(set().union(*(touching[name] for name in members))),
                volume=math.fsum(holder_volume(holder) for holder in held),
                vessels=tuple(name for name in members if name in vessels),
                lines=tuple(h.id for h in held if isinstance(h, Line)),
                plugs=in_section_order(p.id for p in installation.plugs if p.id in reach),
                relief_valves=in_section_order(
                    r.id for r in installation.relief_valves if r.id in reach
                ),
                discs=in_section_order(d.id for d in installation.bursting_discs if d.id in reach),
                isolated_devices=in_section_order(d.id for d in on_members if d.id not in reach),
                compressors=tuple(name for name in members if name in compressors),
                open_ends=tuple(end for name in members for end in openings.get(name, ())),
            )
        )
    return tuple(sorted(result, key=lambda section: (section.id.casefold(), section.id)))


def as_drawn(installation: Installation) -> tuple[Section, ...]:
    """Sections with the valves as the file draws them."""
    return sections_with(installation, Network.of(installation).drawn_closed())


def shut_in(installation: Installation) -> tuple[Section, ...]:
    """Sections with every valve that may be closed, closed."""
    return sections_with(installation, closable_valves(installation))


def section_of(sections: Iterable[Section], part: str) -> Section:
    """The section that has a part as a member.

    Raises
    ------
    KeyError
        No section has the part.
    """
    for section in sections:
        if part in section.members:
            return section
    raise KeyError(part)
