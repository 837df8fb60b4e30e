"""Whether every part keeps a way to a heated plug, whatever valves people close.

A part is protected against a fire when, in every permitted position of the valves, an open
path in flow direction leads from it to a plug that the same fire heats. Closing a valve only
ever removes paths, so the part is protected exactly when the path exists with every closable
valve closed; otherwise the smallest set of closed valves that robs it is a minimum cut of the
flow graph between the part and the heated plugs. Locked-open valves count as open; a valve
drawn closed may be open or closed, as people like.

A fire in a compartment heats all plugs on parts of the same ``area``. Parts whose area is not
stated count as standing in one unknown compartment, apart from every named one; a line or tee
without an area takes that of the nearest parts at its ends, and when they differ a fire in
either must find a plug. A fire of the file heats the plugs that it names, or those on parts
that it engulfs. Whether a plug is in good order is judged elsewhere.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import networkx as nx

from airrisk.installation.model import Fire, Installation, Junction, Line, Part
from airrisk.installation.naming import in_order
from airrisk.installation.sections import (
    ATMOSPHERE,
    gas_graph,
    holder_volume,
)
from airrisk.study.records import ProtectionRecord

HEATED = "heated plug"
OPEN_END = "open end"
NOT_HEATED = "reachable, not heated"
PRESSURE = "pressure alone"
NOTHING = "nothing"
RANK = {NOTHING: 0, PRESSURE: 1, NOT_HEATED: 2, HEATED: 3, OPEN_END: 3}


class _Compartments:
    """Compartments in which each part may be on fire."""

    def __init__(self, installation: Installation) -> None:
        self.installation = installation
        self.parts = {part.id.casefold(): part for part in installation.parts()}
        self.lines_at: dict[str, list[Line]] = {}
        for line in installation.lines:
            for end in (line.from_, line.to):
                self.lines_at.setdefault(end.casefold(), []).append(line)

    def beside(self, place: Part) -> list[Part]:
        """Parts that meet a line or junction."""
        if isinstance(place, Line):
            ends = (place.from_.casefold(), place.to.casefold())
            return [self.parts[end] for end in ends if end in self.parts]
        return list(self.lines_at.get(place.id.casefold(), ()))

    def of(self, part: Part) -> frozenset[str | None]:
        """See ``possible_areas``."""
        if part.area is not None or not isinstance(part, Line | Junction):
            return frozenset({part.area})
        found: set[str | None] = set()
        for start in self.beside(part):
            seen = {part.id, start.id}
            frontier = [start]
            while frontier:
                stated = {p.area for p in frontier if p.area is not None}
                vague = any(p.area is None and not isinstance(p, Line | Junction) for p in frontier)
                if stated or vague:
                    found |= stated
                    if not stated:
                        found.add(None)
                    break
                following = [n for p in frontier for n in self.beside(p) if n.id not in seen]
                seen |= {n.id for n in following}
                frontier = following
        return frozenset(found or {None})

    def plugs_heated(self) -> dict[str | None, frozenset[str]]:
        """Plugs that a fire filling one compartment heats, by compartment; others heat none."""
        heated: dict[str | None, set[str]] = {}
        for plug in self.installation.plugs:
            areas = self.of(self.parts[plug.on.casefold()])
            # a plug on a line that runs through two compartments may be in the other one
            if len(areas) == 1:
                (area,) = areas
                heated.setdefault(area, set()).add(plug.id)
        return {area: frozenset(plugs) for area, plugs in heated.items()}


def plugs_heated_by(installation: Installation, fire: Fire) -> frozenset[str]:
    """Ids of the plugs that a fire of the file heats."""
    if fire.plugs_in_fire is not None:
        named = {name.casefold() for name in fire.plugs_in_fire}
        return frozenset(plug.id for plug in installation.plugs if plug.id.casefold() in named)
    engulfed = {name.casefold() for name, share in fire.exposed_share if share >= 1.0}
    return frozenset(plug.id for plug in installation.plugs if plug.on.casefold() in engulfed)


class Ways:
    """The flow graph of an installation: all ways, and those that no closed valve can take away.

    Nodes that are joined both ways without a valve are one place: nothing separates them. The
    cuts and the reach of a place are worked out once.

    Parameters
    ----------
    installation : Installation
    """

    def __init__(self, installation: Installation) -> None:
        every = gas_graph(installation)
        sure: nx.DiGraph[Any] = nx.DiGraph()
        sure.add_nodes_from(every)
        sure.add_edges_from((a, b) for a, b, valve in every.edges(data="valve") if valve is None)
        groups = [sorted(group, key=str) for group in nx.strongly_connected_components(sure)]
        groups.sort(key=lambda group: str(group[0]))
        self._members = groups
        self.place = {node: number for number, group in enumerate(groups) for node in group}
        self._capacities = _steps_between(every, self.place, installation)
        self._next: list[list[int]] = [[] for _ in groups]
        self._back: list[list[int]] = [[] for _ in groups]
        self._surely: list[list[int]] = [[] for _ in groups]
        for (here, there), (valves, _) in sorted(self._capacities.items()):
            self._next[here].append(there)
            self._back[there].append(here)
            if not valves:
                self._surely[here].append(there)
        self.plugs = frozenset(plug.id for plug in installation.plugs)
        self.pressure_devices = frozenset(
            d.id for d in (*installation.relief_valves, *installation.bursting_discs)
        )
        self.open_ends = frozenset(n for n in every if isinstance(n, tuple) and n[0] == ATMOSPHERE)
        self._cuts: dict[tuple[int, frozenset[int]], tuple[str, ...]] = {}
        self._reach: dict[tuple[int, bool], frozenset[Hashable]] = {}

    def reached(self, part: str, *, surely: bool) -> frozenset[Hashable]:
        """Parts, devices and open ends that the air of a part can flow to.

        Parameters
        ----------
        part : str
        surely : bool
            Whatever valves people close; else with every valve open.
        """
        start = self.place[part]
        if (start, surely) not in self._reach:
            places = _places_from(start, self._surely if surely else self._next)
            self._reach[start, surely] = frozenset(
                node for place in places for node in self._members[place]
            )
        return self._reach[start, surely]

    def smallest_cut(self, part: str, targets: Collection[Hashable]) -> tuple[str, ...]:
        """The fewest closable valves that part ``part`` from ``targets``, nearest to the part.

        Among equally small sets those with more valves already drawn closed come first. Empty:
        no target can be reached at all. One that can always be reached has no such valves, and
        must not be among the targets.
        """
        reached = self.reached(part, surely=False)
        goals = frozenset(self.place[target] for target in targets if target in reached)
        if not goals:
            return ()
        key = (self.place[part], goals)
        if key not in self._cuts:
            self._cuts[key] = self._cut(*key)
        return self._cuts[key]

    def _cut(self, start: int, goals: frozenset[int]) -> tuple[str, ...]:
        """Valves of the smallest cut: as much flow as passes, then the places still reached.

        Shortest ways first, so that a goal near by costs little; what is reached in the end is
        the smallest side that any smallest cut can have.
        """
        used: dict[tuple[int, int], int] = {}
        while True:
            before = self._way_with_room(start, goals, used)
            end = next((goal for goal in goals if goal in before), None)
            if end is None:
                break
            way = [end]
            while way[-1] != start:
                way.append(before[way[-1]])
            steps = [(there, here) for here, there in itertools.pairwise(way)]
            room = min(self._room(step, used) for step in steps)
            for here, there in steps:
                used[here, there] = used.get((here, there), 0) + room
                used[there, here] = used.get((there, here), 0) - room
        crossed = (
            self._capacities[here, there][0]
            for here in before
            for there in self._next[here]
            if there not in before
        )
        return in_order(frozenset().union(*crossed))

    def _room(self, step: tuple[int, int], used: Mapping[tuple[int, int], int]) -> int:
        """How much more can flow along a step."""
        capacity = self._capacities[step][1] if step in self._capacities else 0
        return capacity - used.get(step, 0)

    def _way_with_room(
        self, start: int, goals: frozenset[int], used: Mapping[tuple[int, int], int]
    ) -> dict[int, int]:
        """Places that more can flow to, each with the one before it, until a goal is met."""
        before = {start: start}
        waiting = [start]
        for here in waiting:
            for there in (*self._next[here], *self._back[here]):
                if there not in before and self._room((here, there), used) > 0:
                    before[there] = here
                    if there in goals:
                        return before
                    waiting.append(there)
        return before

    def judge(
        self, part: str, heated: frozenset[str], area: str | None, fire: str | None
    ) -> ProtectionRecord:
        """Protection of one part against one fire."""
        sure = self.reached(part, surely=True)
        at_best = in_order(heated & self.reached(part, surely=False))
        ways = heated | self.open_ends
        if sure & ways:
            ends = in_order({n[1] for n in sure & self.open_ends})  # type: ignore[index]
            why = OPEN_END if ends else HEATED
            by = in_order(heated & sure) + ends
            return ProtectionRecord(True, by, (), why, (), by, at_best, area, fire)
        better: frozenset[Hashable] = ways
        left = in_order(self.plugs & sure)
        why = NOT_HEATED
        if not left:
            better |= self.plugs
            left = in_order(self.pressure_devices & sure)
            why = PRESSURE
        if not left:
            better |= self.pressure_devices
            why = NOTHING
        return ProtectionRecord(
            False,
            (),
            self.smallest_cut(part, ways),
            why,
            self.smallest_cut(part, better),
            left,
            at_best,
            area,
            fire,
        )


def _steps_between(
    every: nx.DiGraph[Any], place: Mapping[Hashable, int], installation: Installation
) -> dict[tuple[int, int], tuple[frozenset[str], int]]:
    """Steps from place to place: the valves that all must close to bar one, and what they cost.

    Of equal numbers of valves those already drawn closed cost less. A step that nothing can bar
    costs more than all valves together.
    """
    barred: dict[tuple[int, int], set[str] | None] = {}
    for a, b, valve in every.edges(data="valve"):
        step = (place[a], place[b])
        if step[0] == step[1]:
            continue
        valves = barred.setdefault(step, set())
        if valve is None or valves is None:
            barred[step] = None
        else:
            valves.add(valve)
    closed = {v.id for v in installation.valves if v.can_close and v.state == "closed"}
    each = len(installation.valves) + 1
    return {
        step: (frozenset(), each * each)
        if valves is None
        else (frozenset(valves), each * len(valves) - len(valves & closed))
        for step, valves in barred.items()
    }


def _places_from(start: int, steps: Sequence[Sequence[int]]) -> set[int]:
    seen = {start}
    waiting = [start]
    while waiting:
        for there in steps[waiting.pop()]:
            if there not in seen:
                seen.add(there)
                waiting.append(there)
    return seen


def _weight(record: ProtectionRecord) -> tuple[bool, int, bool, int]:
    # a part that never had a heated plug is worse off than one that can lose it
    return (
        record.protected,
        RANK[record.why],
        bool(record.worst_valves),
        len(record.worst_valves),
    )


def protection(
    installation: Installation, *, file_fires: bool = True, ways: Ways | None = None
) -> dict[str, ProtectionRecord]:
    """Protection of every vessel and line over all permitted positions of the valves.

    Parameters
    ----------
    installation : Installation
    file_fires : bool
        Also ask for a plug that each fire of the file heats, where it reaches the part; the
        worst answer is returned. False: only fires that fill the part's compartment.
    ways : Ways
        Of the installation, where they are known already.

    Returns
    -------
    dict of str to ProtectionRecord
        By part id.
    """
    ways = Ways(installation) if ways is None else ways
    compartments = _Compartments(installation)
    by_area = compartments.plugs_heated()
    done: dict[tuple[Hashable, ...], ProtectionRecord] = {}

    def judged(
        part: str, heated: frozenset[str], area: str | None, fire: str | None
    ) -> ProtectionRecord:
        key = (ways.place[part], heated, area, fire)
        if key not in done:
            done[key] = ways.judge(part, heated, area, fire)
        return done[key]

    by_fire = {fire.id: plugs_heated_by(installation, fire) for fire in installation.fires}
    result = {}
    for holder in installation.holders():
        records = [
            judged(holder.id, by_area.get(area, frozenset()), area, None)
            for area in sorted(compartments.of(holder), key=lambda a: (a is None, a))
        ]
        if file_fires:
            records += [
                judged(holder.id, by_fire[fire.id], holder.area, fire.id)
                for fire in installation.fires
                if fire.share(holder.id) > 0.0
            ]
        result[holder.id] = min(records, key=_weight)
    return result


def sure_plugs(installation: Installation) -> dict[str, tuple[str, ...]]:
    """Heated plugs that each part can always reach, by part id; the quick half of ``protection``.

    Empty where a fire in one of the part's possible compartments finds none.
    """
    ways = Ways(installation)
    compartments = _Compartments(installation)
    by_area = compartments.plugs_heated()
    result = {}
    for holder in installation.holders():
        reached = ways.reached(holder.id, surely=True)
        found = [by_area.get(area, frozenset()) & reached for area in compartments.of(holder)]
        result[holder.id] = in_order(frozenset().union(*found)) if all(found) else ()
    return result


def smallest_cut_from(ways: Ways, part: str, devices: Collection[str]) -> tuple[str, ...]:
    """The fewest closable valves that part a part from all of some devices.

    Returns
    -------
    tuple of str
        Valve ids; empty when no device can be reached at all, or one of them always.
    """
    if ways.reached(part, surely=True) & set(devices):
        return ()
    return ways.smallest_cut(part, devices)


@dataclass(frozen=True)
class LargestDuty:
    """The most air that one device can be asked to let out: every valve open."""

    device: str
    holders: tuple[str, ...]
    volume: float  # m3


def largest_duties(installation: Installation) -> dict[str, LargestDuty]:
    """The largest set of parts that each device can be asked to empty, by its id.

    All valves are open, those drawn closed too; a part counts when its air can reach the device
    in flow direction. Other devices may share the duty.
    """
    graph = gas_graph(installation)
    volumes = {holder.id: holder_volume(holder) for holder in installation.holders()}
    result = {}
    for device in installation.devices():
        holders = in_order(volumes.keys() & nx.ancestors(graph, device.id))
        duty = LargestDuty(device.id, holders, sum(volumes[name] for name in holders))
        result[device.id] = duty
    return result
