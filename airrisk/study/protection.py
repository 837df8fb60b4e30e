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

from collections.abc import Collection, Hashable, Iterable
from dataclasses import dataclass
from typing import Any

import networkx as nx

from airrisk.installation.model import Fire, Installation, Junction, Line, Part
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


def _sorted(ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(ids, key=lambda name: (name.casefold(), name)))


def possible_areas(installation: Installation, part: Part) -> frozenset[str | None]:
    """Compartments in which a part may be on fire.

    Parameters
    ----------
    installation : Installation
    part : Part

    Returns
    -------
    frozenset of str or None
        The stated area; for a line or junction without one, the areas of the nearest parts in
        each direction; ``None`` stands for the unknown compartment.
    """
    if part.area is not None or not isinstance(part, Line | Junction):
        return frozenset({part.area})
    parts = {each.id.casefold(): each for each in installation.parts()}
    lines_at: dict[str, list[Line]] = {}
    for line in installation.lines:
        for end in (line.from_, line.to):
            lines_at.setdefault(end.casefold(), []).append(line)

    def beyond(place: Part) -> list[Part]:
        if isinstance(place, Line):
            ends = (place.from_.casefold(), place.to.casefold())
            return [parts[end] for end in ends if end in parts]
        return list(lines_at.get(place.id.casefold(), ()))

    found: set[str | None] = set()
    for start in beyond(part):
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
            following = [n for p in frontier for n in beyond(p) if n.id not in seen]
            seen |= {n.id for n in following}
            frontier = following
    return frozenset(found or {None})


def plugs_heated_in_area(installation: Installation, area: str | None) -> frozenset[str]:
    """Ids of the plugs that a fire filling one compartment heats."""
    where = {part.id.casefold(): part for part in installation.parts()}
    # a plug on a line that runs through two compartments may be in the other one
    return frozenset(
        plug.id
        for plug in installation.plugs
        if possible_areas(installation, where[plug.on.casefold()]) == {area}
    )


def plugs_heated_by(installation: Installation, fire: Fire) -> frozenset[str]:
    """Ids of the plugs that a fire of the file heats."""
    if fire.plugs_in_fire is not None:
        named = {name.casefold() for name in fire.plugs_in_fire}
        return frozenset(plug.id for plug in installation.plugs if plug.id.casefold() in named)
    engulfed = {name.casefold() for name, share in fire.exposed_share if share >= 1.0}
    return frozenset(plug.id for plug in installation.plugs if plug.on.casefold() in engulfed)


@dataclass(frozen=True, eq=False)
class _Paths:
    """The flow graph: all ways, and those that no closed valve can take away.

    Nodes that are joined both ways without a valve are one place; ``ways`` are the steps from
    place to place, each with the valves that all must close to bar it (none: nothing can).
    """

    installation: Installation
    every: nx.DiGraph[Any]
    sure: nx.DiGraph[Any]
    place: dict[Hashable, Hashable]
    ways: dict[tuple[Hashable, Hashable], frozenset[str]]
    plugs: frozenset[str]
    pressure_devices: frozenset[str]
    open_ends: frozenset[Hashable]
    drawn_closed: frozenset[str]
    cuts: dict[tuple[Hashable, frozenset[Hashable]], tuple[str, ...]]

    @classmethod
    def of(cls, installation: Installation) -> _Paths:
        every = gas_graph(installation)
        sure = nx.DiGraph()
        sure.add_nodes_from(every)
        sure.add_edges_from((a, b) for a, b, valve in every.edges(data="valve") if valve is None)
        place = {
            node: min(group, key=str)
            for group in nx.strongly_connected_components(sure)
            for node in group
        }
        barred: dict[tuple[Hashable, Hashable], set[str] | None] = {}
        for a, b, valve in every.edges(data="valve"):
            step = (place[a], place[b])
            if step[0] == step[1]:
                continue
            valves = barred.setdefault(step, set())
            if valve is None or valves is None:
                barred[step] = None
            else:
                valves.add(valve)
        return cls(
            installation,
            every,
            sure,
            place,
            {step: frozenset(valves or ()) for step, valves in barred.items()},
            frozenset(plug.id for plug in installation.plugs),
            frozenset(d.id for d in (*installation.relief_valves, *installation.bursting_discs)),
            frozenset(n for n in every if isinstance(n, tuple) and n[0] == ATMOSPHERE),
            frozenset(v.id for v in installation.valves if v.can_close and v.state == "closed"),
            {},
        )

    def smallest_cut(self, part: str, targets: Collection[Hashable]) -> tuple[str, ...]:
        """The fewest closable valves that part ``part`` from ``targets``, nearest to the part.

        Among equally small sets those with more valves already drawn closed come first.
        """
        reached = nx.descendants(self.every, part)
        goals = frozenset(self.place[target] for target in targets if target in reached)
        if not goals:
            return ()
        key = (self.place[part], goals)
        if key not in self.cuts:
            inside = {self.place[node] for node in reached} | {self.place[part]}
            self.cuts[key] = self._cut(self.place[part], goals, inside)
        return self.cuts[key]

    def _cut(
        self, start: Hashable, goals: frozenset[Hashable], inside: set[Hashable]
    ) -> tuple[str, ...]:
        scale = len(self.installation.valves) + 1
        backwards: nx.DiGraph[Any] = nx.DiGraph()
        for (a, b), valves in self.ways.items():
            if a not in inside:
                continue
            if valves:
                capacity = scale * len(valves) - len(valves & self.drawn_closed)
                backwards.add_edge(b, a, capacity=capacity)
            else:
                backwards.add_edge(b, a)
        source = ("all ways out",)
        backwards.add_edges_from((source, goal) for goal in goals)
        # the side of the flow's goal is the smallest one, so the cut lies next to the part
        _, (_, near) = nx.minimum_cut(
            backwards, source, start, flow_func=nx.algorithms.flow.edmonds_karp
        )
        crossed = (v for (a, b), v in self.ways.items() if a in near and b not in near)
        return _sorted(frozenset().union(*crossed))

    def judge(
        self, part: str, heated: frozenset[str], area: str | None, fire: str | None
    ) -> ProtectionRecord:
        """Protection of one part against one fire."""
        best = nx.descendants(self.every, part)
        sure = nx.descendants(self.sure, part)
        at_best = _sorted(heated & best)
        ways = heated | self.open_ends
        if sure & ways:
            ends = _sorted({n[1] for n in sure & self.open_ends})  # type: ignore[index]
            why = OPEN_END if ends else HEATED
            by = _sorted(heated & sure) + ends
            return ProtectionRecord(True, by, (), why, (), by, at_best, area, fire)
        better: frozenset[Hashable] = ways
        left = _sorted(self.plugs & sure)
        why = NOT_HEATED
        if not left:
            better |= self.plugs
            left = _sorted(self.pressure_devices & sure)
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


def _weight(record: ProtectionRecord) -> tuple[bool, int, bool, int]:
    # a part that never had a heated plug is worse off than one that can lose it
    return (
        record.protected,
        RANK[record.why],
        bool(record.worst_valves),
        len(record.worst_valves),
    )


def protection(
    installation: Installation, *, file_fires: bool = True
) -> dict[str, ProtectionRecord]:
    """Protection of every vessel and line over all permitted positions of the valves.

    Parameters
    ----------
    installation : Installation
    file_fires : bool
        Also ask for a plug that each fire of the file heats, where it reaches the part; the
        worst answer is returned. False: only fires that fill the part's compartment.

    Returns
    -------
    dict of str to ProtectionRecord
        By part id.
    """
    paths = _Paths.of(installation)
    by_area: dict[str | None, frozenset[str]] = {}
    done: dict[tuple[Hashable, ...], ProtectionRecord] = {}

    def judged(
        part: str, heated: frozenset[str], area: str | None, fire: str | None
    ) -> ProtectionRecord:
        key = (paths.place[part], heated, area, fire)
        if key not in done:
            done[key] = paths.judge(part, heated, area, fire)
        return done[key]

    by_fire = {fire.id: plugs_heated_by(installation, fire) for fire in installation.fires}
    result = {}
    for holder in installation.holders():
        records = []
        for area in sorted(possible_areas(installation, holder), key=lambda a: (a is None, a)):
            if area not in by_area:
                by_area[area] = plugs_heated_in_area(installation, area)
            records.append(judged(holder.id, by_area[area], area, None))
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
    paths = _Paths.of(installation)
    by_area: dict[str | None, frozenset[str]] = {}
    result = {}
    for holder in installation.holders():
        reached = nx.descendants(paths.sure, holder.id)
        found = []
        for area in possible_areas(installation, holder):
            if area not in by_area:
                by_area[area] = plugs_heated_in_area(installation, area)
            found.append(by_area[area] & reached)
        result[holder.id] = _sorted(frozenset().union(*found)) if all(found) else ()
    return result


def smallest_cut_from(
    installation: Installation, part: str, devices: Collection[str]
) -> tuple[str, ...]:
    """The fewest closable valves that part a part from all of some devices.

    Returns
    -------
    tuple of str
        Valve ids; empty when no device can be reached at all, or one of them always.
    """
    paths = _Paths.of(installation)
    if nx.descendants(paths.sure, part) & set(devices):
        return ()
    return paths.smallest_cut(part, devices)


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
        holders = _sorted(volumes.keys() & nx.ancestors(graph, device.id))
        duty = LargestDuty(device.id, holders, sum(volumes[name] for name in holders))
        result[device.id] = duty
    return result
