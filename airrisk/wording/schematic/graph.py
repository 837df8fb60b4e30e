"""Parts and lines as a graph: what joins what, along the flow."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from airrisk.installation.model import Compressor, Consumer, Installation, Junction, Vessel

_KINDS = {Compressor: "compressor", Vessel: "vessel", Junction: "junction", Consumer: "consumer"}


@dataclass(frozen=True)
class Link:
    """One line between two nodes, as the file says."""

    id: str
    first: str
    last: str


@dataclass(frozen=True)
class Flow:
    """Nodes with their kinds, and lines. An end that joins nothing is a node of its own."""

    kinds: Mapping[str, str]
    links: tuple[Link, ...]


def end_name(line: str, which: str) -> str:
    """The id of an end that joins no part."""
    return f"{line}:{which}"


def flow_of(installation: Installation) -> Flow:
    """The graph of an installation."""
    kinds = {part.id: _KINDS[type(part)] for part in installation.parts() if type(part) in _KINDS}
    known = {name.casefold(): name for name in kinds}
    links = []
    for line in installation.lines:
        ends = []
        for which, name in (("from", line.from_), ("to", line.to)):
            node = known.get(name.casefold())
            if node is None:
                node = end_name(line.id, which)
                kinds[node] = "end"
            ends.append(node)
        links.append(Link(line.id, ends[0], ends[1]))
    return Flow(kinds, tuple(links))


def components(flow: Flow) -> list[Flow]:
    """What hangs together, each by itself, in the order of the file."""
    beside = _neighbours(flow.links)
    seen: set[str] = set()
    found = []
    for start in flow.kinds:
        if start in seen:
            continue
        mine = set(_distances([start], beside))
        seen |= mine
        kinds = {name: kind for name, kind in flow.kinds.items() if name in mine}
        found.append(Flow(kinds, tuple(link for link in flow.links if link.first in mine)))
    return found


def layers(flow: Flow) -> dict[str, int]:
    """The layer of each node: the longest way from what feeds it.

    Within a ring of junctions it is the shortest way from where the ring is fed, so that a ring
    is drawn as one. Lines that run against the flow, as the file writes them, are turned.
    """
    arrows = _arrows(flow)
    after: dict[str, list[str]] = defaultdict(list)
    missing = dict.fromkeys(flow.kinds, 0)
    for first, last in arrows:
        after[first].append(last)
        missing[last] += 1
    layer = dict.fromkeys(flow.kinds, 0)
    queue = deque(name for name, count in missing.items() if count == 0)
    order = []
    while queue:
        name = queue.popleft()
        order.append(name)
        for following in after[name]:
            layer[following] = max(layer[following], layer[name] + 1)
            missing[following] -= 1
            if missing[following] == 0:
                queue.append(following)
    fed = {last for _first, last in arrows}
    for name in reversed(order):  # what feeds a late part stands beside it
        if name not in fed and after[name]:
            layer[name] = min(layer[following] for following in after[name]) - 1
    least = min(layer.values(), default=0)
    return {name: value - least for name, value in layer.items()}


def _neighbours(links: Iterable[Link]) -> dict[str, list[str]]:
    beside: dict[str, list[str]] = defaultdict(list)
    for link in links:
        beside[link.first].append(link.last)
        beside[link.last].append(link.first)
    return beside


def _distances(starts: Iterable[str], beside: Mapping[str, list[str]]) -> dict[str, int]:
    found = dict.fromkeys(starts, 0)
    queue = deque(found)
    while queue:
        name = queue.popleft()
        for other in beside.get(name, ()):
            if other not in found:
                found[other] = found[name] + 1
                queue.append(other)
    return found


def _arrows(flow: Flow) -> list[tuple[str, str]]:
    """Pairs in flow order without a cycle; lines across a ring are left out."""
    beside = _neighbours(flow.links)
    fed = [name for name, kind in flow.kinds.items() if kind == "compressor"]
    distance = _distances(fed or list(flow.kinds)[:1], beside)
    ring = _rings(flow)
    entry: dict[int, dict[str, int]] = {}
    for number in set(ring.values()):
        members = [name for name, other in ring.items() if other == number]
        inside = [link for link in flow.links if {link.first, link.last} <= set(members)]
        start = min(members, key=lambda name: distance.get(name, 0))
        entry[number] = _distances([start], _neighbours(inside))
    arrows = []
    for link in flow.links:
        first, last = link.first, link.last
        if flow.kinds[last] == "compressor" and flow.kinds[first] != "compressor":
            first, last = last, first
        number = ring.get(first, -1)
        if number >= 0 and ring.get(last) == number:
            steps = entry[number]
            if steps[first] == steps[last]:
                continue
            if steps[first] > steps[last]:
                first, last = last, first
        if first != last:
            arrows.append((first, last))
    return _without_cycles(flow.kinds, arrows, distance)


def _without_cycles(
    nodes: Iterable[str], arrows: Sequence[tuple[str, str]], distance: Mapping[str, int]
) -> list[tuple[str, str]]:
    """The pairs, those that close a cycle turned; begun at what feeds."""
    after: dict[str, list[str]] = defaultdict(list)
    for first, last in arrows:
        after[first].append(last)
    entered = {last for _first, last in arrows}
    starts = sorted(nodes, key=lambda name: (name in entered, distance.get(name, len(distance))))
    state: dict[str, int] = {}
    kept: list[tuple[str, str]] = []
    for start in starts:
        if start in state:
            continue
        state[start] = 1
        stack = [(start, iter(after[start]))]
        while stack:
            name, rest = stack[-1]
            following = next(rest, None)
            if following is None:
                state[name] = 2
                stack.pop()
            elif state.get(following) == 1:
                kept.append((following, name))
            else:
                kept.append((name, following))
                if following not in state:
                    state[following] = 1
                    stack.append((following, iter(after[following])))
    return kept


def _rings(flow: Flow) -> dict[str, int]:
    """Number of the ring of junctions that a junction belongs to."""
    links = [
        link
        for link in flow.links
        if flow.kinds[link.first] == flow.kinds[link.last] == "junction" and link.first != link.last
    ]
    ring_links = [link for link in links if _in_a_ring(link, links)]
    beside = _neighbours(ring_links)
    found: dict[str, int] = {}
    for name in beside:
        if name not in found:
            found.update(dict.fromkeys(_distances([name], beside), len(found)))
    return found


def _in_a_ring(link: Link, links: Sequence[Link]) -> bool:
    """Whether its two ends hang together without it."""
    others = _neighbours(other for other in links if other is not link)
    return link.last in _distances([link.first], others)
