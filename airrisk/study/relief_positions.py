"""Positions of the valves in which machines deliver more than the relief valves they reach pass.

Whatever some machines deliver into a vessel has to leave through devices that their air reaches.
Asked is every set of machines in every position of the valves, by way of the positions that leave
them the fewest devices: those that open nothing but a way from each machine to the vessel.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from airrisk.installation.model import Installation
from airrisk.installation.sections import Network, gas_graph

MOST_WAYS = 6  # of a machine to a vessel, by the fewest valves
ALL_SETS_UP_TO = 5  # machines; of more than these: each alone, each pair, and all together
MOST_POSITIONS = 64  # of one set of machines and one vessel
Passed = Callable[[str, frozenset[str]], float]  # vessel, devices -> kg/s at its highest pressure


@dataclass(frozen=True)
class Shortfall:
    """Machines that deliver more into a vessel than the devices they reach pass."""

    vessel: str
    machines: tuple[str, ...]
    devices: tuple[str, ...]  # relief valves and discs that their air reaches
    shut: tuple[str, ...]  # valves that are open in the drawing
    opened: tuple[str, ...]  # valves that are closed in the drawing
    delivered_kg_s: float
    passed_kg_s: float

    @property
    def turned(self) -> int:
        """How many valves do not stand as drawn."""
        return len(self.shut) + len(self.opened)


class Ways:
    """Which devices the air of machines reaches in each position of the valves on lines."""

    def __init__(self, installation: Installation) -> None:
        network = Network.of(installation)
        drawn = network.drawn_closed()
        # a valve before a device is another matter, told by the rule about it: it stays as drawn
        fixed = {one.id for valves in network.before_device.values() for one in valves}
        graph = gas_graph(installation, drawn & fixed)
        self._arcs: dict[Any, list[tuple[Any, str | None]]] = {
            node: [
                (goal, None if arc["valve"] in fixed else arc["valve"])
                for goal, arc in graph.adj[node].items()
            ]
            for node in graph
        }
        self.valves = frozenset(v for arcs in self._arcs.values() for _goal, v in arcs if v)
        self.drawn_open = self.valves - drawn

    def reached(self, machines: Iterable[str], opened: frozenset[str]) -> set[Any]:
        """Everything that the air of some machines reaches, they included."""
        seen: set[Any] = set(machines)
        waiting = list(seen)
        while waiting:
            for goal, valve in self._arcs.get(waiting.pop(), ()):
                if goal not in seen and (valve is None or valve in opened):
                    seen.add(goal)
                    waiting.append(goal)
        return seen

    def ways_to(self, machine: str) -> Mapping[Any, list[frozenset[str]]]:
        """Sets of valves that must be open for the air of a machine to come to each place.

        No set holds another one of the same place.
        """
        found: dict[Any, list[frozenset[str]]] = {machine: [frozenset()]}
        waiting: list[tuple[Any, frozenset[str]]] = [(machine, frozenset())]
        while waiting:
            node, through = waiting.pop(0)
            if through not in found[node]:
                continue  # a smaller set has come since
            for goal, valve in self._arcs.get(node, ()):
                wanted = through if valve is None else through | {valve}
                known = found.setdefault(goal, [])
                if any(one <= wanted for one in known):
                    continue
                if _kept(known, wanted):
                    waiting.append((goal, wanted))
        return found


def _kept(known: list[frozenset[str]], wanted: frozenset[str]) -> bool:
    """Whether a way is taken among those known: it takes the place of longer ones only.

    So the ways of a place only get shorter, and the search ends in whatever net of lines.
    """
    known[:] = [one for one in known if not wanted <= one]
    if len(known) >= MOST_WAYS:
        longest = max(known, key=len)
        if len(longest) <= len(wanted):
            return False
        known.remove(longest)
    known.append(wanted)
    return True


def shortfalls(
    installation: Installation,
    deliveries: Mapping[str, float],
    devices: frozenset[str],
    passed: Passed,
) -> tuple[Shortfall, ...]:
    """The shortfall of each vessel that has one: that with the fewest valves turned.

    Parameters
    ----------
    installation
        Its ways and valves.
    deliveries
        Machine -> kg/s.
    devices
        Relief valves and discs that may be counted on.
    passed
        What devices pass while a vessel stands at the most that it may.
    """
    ways = Ways(installation)
    to = {machine: ways.ways_to(machine) for machine in deliveries}
    found = []
    for vessel in installation.vessels:
        feeding = [machine for machine in deliveries if vessel.id in to[machine]]
        short = [
            one
            for machines in _sets(feeding)
            for position in _positions([to[m][vessel.id] for m in machines])
            if (one := _short(ways, (vessel.id, machines), position, (deliveries, devices, passed)))
        ]
        if short:
            found.append(
                min(short, key=lambda one: (one.turned, one.passed_kg_s - one.delivered_kg_s))
            )
    return tuple(found)


def _sets(machines: list[str]) -> Iterator[tuple[str, ...]]:
    many = len(machines) > ALL_SETS_UP_TO
    for size in {1, 2, len(machines)} if many else range(1, len(machines) + 1):
        yield from itertools.combinations(machines, size)


def _positions(ways: list[list[frozenset[str]]]) -> Iterator[frozenset[str]]:
    """Valves that are open, of each choice of one way for each machine."""
    for chosen in itertools.islice(itertools.product(*ways), MOST_POSITIONS):
        yield frozenset().union(*chosen)


def _short(
    ways: Ways,
    whom: tuple[str, tuple[str, ...]],
    needed: frozenset[str],
    amounts: tuple[Mapping[str, float], frozenset[str], Passed],
) -> Shortfall | None:
    """The shortfall with these valves open, told with as few turned as it takes."""
    vessel, machines = whom
    deliveries, devices, passed = amounts
    delivered = sum(deliveries[machine] for machine in machines)

    def through(opened: frozenset[str]) -> tuple[frozenset[str], float]:
        reached = devices & ways.reached(machines, opened)
        return reached, passed(vessel, reached)

    if through(needed)[1] >= delivered:
        return None
    shut = sorted(ways.drawn_open - needed)
    for valve in tuple(shut):
        fewer = [one for one in shut if one != valve]
        if through((ways.drawn_open | needed) - set(fewer))[1] < delivered:
            shut = fewer
    left, passing = through((ways.drawn_open | needed) - set(shut))
    return Shortfall(
        vessel,
        machines,
        tuple(sorted(left)),
        tuple(shut),
        tuple(sorted(needed - ways.drawn_open)),
        delivered,
        passing,
    )
