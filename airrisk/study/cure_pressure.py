"""Less pressure in a whole network, as a change worth trying.

The machines cut out lower, every relief valve that the same machines can fill is set lower with
them, and what is stated to stand higher when a fire starts comes down too. Vessels that shut
valves part from every relief valve keep their design pressure as the highest that can stand
there, so that less pressure is no cure of theirs; only the trial tells.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import networkx as nx

from airrisk.installation.model import Compressor, Installation
from airrisk.installation.sections import gas_graph
from airrisk.study.cure_changes import Change, Edit
from airrisk.study.cure_trials import Bench, Cell

LESS = (0.8, 0.6)  # of the gauge pressure at which the machines cut out; judgement
ABOVE = 1.1  # relief valves open so far above that, gauge; judgement
CUT_IN = 0.9  # the machines start again there; as where a file leaves it out


def less_pressure(bench: Bench, costs: Mapping[str, float]) -> Iterator[Change]:
    """Lower cut-outs and relief sets of each network with verdicts that are not safe.

    Parameters
    ----------
    bench
        Where they are tried.
    costs
        By kind, see ``costs``.
    """
    for machines, filled in _networks(bench.installation):
        cells = [cell for cell in bench.cells if not cell.holders.isdisjoint(filled)]
        for share in LESS if cells else ():
            cost = costs["lower"] * LESS[0] / share
            change = _lowered(bench.installation, machines, filled, share, cost)
            if change is not None and _may_cure(bench, change, cells):
                yield change
                break  # each such change has all fires of the network run again


def _networks(installation: Installation) -> list[tuple[tuple[Compressor, ...], frozenset[str]]]:
    """Machines with all that they fill; those that fill the same parts go together."""
    graph = gas_graph(installation)
    found: list[tuple[tuple[Compressor, ...], frozenset[str]]] = []
    for machine in installation.compressors:
        machines: tuple[Compressor, ...] = (machine,)
        filled = frozenset(nx.descendants(graph, machine.id))
        apart = []
        for others, parts in found:
            if parts.isdisjoint(filled):
                apart.append((others, parts))
            else:
                machines, filled = (*others, *machines), filled | parts
        found = [*apart, (machines, filled)]
    return found


def _lowered(
    installation: Installation,
    machines: tuple[Compressor, ...],
    filled: frozenset[str],
    share: float,
    cost: float,
) -> Change | None:
    """None: no relief valve or disc stands there that could be set with the machines."""
    ambient = installation.site.ambient_pressure
    most = max(one.discharge_pressure for one in machines)
    gauge = share * (most - ambient)
    valves = [one for one in installation.relief_valves if one.on in filled]
    if not valves or any(one.on in filled for one in installation.bursting_discs):
        return None
    edits = []
    for machine in machines:
        if machine.discharge_pressure - ambient > gauge:
            edits += [
                Edit(machine.id, "discharge_pressure", _bar(gauge)),
                Edit(machine.id, "cut_in_pressure", _bar(CUT_IN * gauge)),
            ]
    lowered = [one for one in valves if one.set_pressure - ambient > ABOVE * gauge]
    edits += [Edit(one.id, "set_pressure", _bar(ABOVE * gauge)) for one in lowered]
    edits += [
        Edit(part.id, "pressure", _bar(gauge))
        for part in installation.holders()
        if part.id in filled and part.pressure is not None and part.pressure - ambient > gauge
    ]
    values = {
        "machines": tuple(one.id for one in machines),
        "relief_valves": tuple(one.id for one in lowered),
        "pressure_pa": ambient + gauge,
        "set_pa": ambient + ABOVE * gauge,
    }
    if not lowered:
        return None
    return Change("lower", machines[0].id, tuple(edits), values=values, cost=cost)


def _may_cure(bench: Bench, change: Change, cells: list[Cell]) -> bool:
    """Whether the fires of a verdict that is not safe are safe then; asks no others."""
    return any(bench.vents([change], cell.holders, (cell.fire_class,)) for cell in cells)


def _bar(gauge: float) -> str:
    return f"{gauge / 1e5:.4g} bar(g)"
