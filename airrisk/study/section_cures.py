"""Changes that cure the verdicts of one section only when all of them are made.

Whatever waits to be confirmed, renewed or stopped there is done at once, with a plug of one alloy
and bore on each vessel and perhaps a layer of insulation, the cheapest such group first. Then each
change that the others do without is left out again, the dearest first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from airrisk.installation.model import FireClass
from airrisk.study.cure_candidates import Candidates
from airrisk.study.cure_changes import PROMISES, Change, ChangeKind
from airrisk.study.cure_insulation import layers_for
from airrisk.study.cure_places import BESIDE
from airrisk.study.cure_trials import Bench, Cell, Trial

READY: frozenset[ChangeKind] = frozenset({"confirm", "renew", "move", "reach", "drain", "stop"})
Group = tuple[Change, ...]


class SectionCures:
    """What cures a section, found once for each set of its verdicts.

    Parameters
    ----------
    bench
        Where changes are tried.
    costs
        By kind, see ``costs``.
    changes
        Single ones worth trying, see ``cure_candidates``.
    """

    def __init__(self, bench: Bench, costs: Mapping[str, float], changes: Sequence[Change]) -> None:
        self.bench, self.costs = bench, costs
        self._changes = tuple(changes)
        self.count = 0  # groups that were asked
        self._found: dict[frozenset[Cell], Trial | None] = {}

    def of(self, cells: Iterable[Cell]) -> Trial | None:
        """The cheapest group tried that makes verdicts of one section safe; None: none does.

        Raises
        ------
        Cancelled
            The caller asked to stop.
        """
        wanted = frozenset(cells)
        if wanted not in self._found:
            self._found[wanted] = self._search(wanted)
        return self._found[wanted]

    def _search(self, cells: frozenset[Cell]) -> Trial | None:
        holders = frozenset().union(*(cell.holders for cell in cells))
        classes: list[FireClass] = sorted({cell.fire_class for cell in cells})
        for group in self._groups(cells, holders):
            self.count += 1
            if self.bench.vents(group, holders, classes):
                trial = self.bench.trial(self._less(group, holders, classes))
                if trial is not None and not trial.harm and cells <= trial.cured:
                    return trial
        return None

    def _less(self, group: Group, holders: frozenset[str], classes: Sequence[FireClass]) -> Group:
        """A group without each change that the others do without."""
        for change in sorted(group, key=lambda one: -one.cost):
            rest = tuple(one for one in group if one != change)
            if rest and self.bench.vents(rest, holders, classes):
                group = rest
        return group

    def _groups(self, cells: frozenset[Cell], holders: frozenset[str]) -> list[Group]:
        """All that is ready with one choice of plugs and one of layers, the cheapest first."""
        ready = self._ready(cells)
        plugs = [(), *self._plugs(cells)]
        layers = [(), *((one,) for one in layers_for(self.bench, self.costs, holders))]
        groups = [(*ready, *fitted, *layer) for fitted, layer in product(plugs, layers)]
        return sorted(filter(None, groups), key=lambda one: sum(change.cost for change in one))

    def _ready(self, cells: frozenset[Cell]) -> Group:
        """What only waits to be done on a section, no field of it twice."""
        written: set[tuple[str, str]] = set()
        found = []
        for change in sorted(self._changes, key=lambda one: one.cost):
            near = change.kind in READY and any(is_near(self.bench, change, c) for c in cells)
            if near and written.isdisjoint(change.places):
                written |= change.places
                found.append(change)
        return tuple(found)

    def _plugs(self, cells: frozenset[Cell]) -> Iterator[Group]:
        """One more plug on each vessel of a section, of all of them the same sort and bore."""
        candidates = Candidates(self.bench, self.costs)
        made = [candidates.plugs_for(part) for part in candidates.places_of_plugs(cells)]
        for key in dict.fromkeys(key for one in made for key in one):
            yield tuple(one[key] for one in made if key in one)


def is_near(bench: Bench, change: Change, cell: Cell) -> bool:
    """Whether a change touches the section of a verdict."""
    members = {
        name
        for one in bench.before.shut_in
        if not cell.holders.isdisjoint(one.members)
        for name in (*one.members, *one.plugs, *one.relief_valves)
    }
    if change.kind in PROMISES:
        return (cell.fire_class in BESIDE) == (change.kind == "keep_away")
    if change.kind in ("lock", "turn", "lower"):
        return True
    devices = {device.id: device.on for device in bench.installation.devices()}
    return change.part in members or devices.get(change.part) in members
