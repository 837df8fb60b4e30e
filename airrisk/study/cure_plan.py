"""Plans that make an installation safe at the least cost among what was tried.

Single changes and pairs are tried, and for what they leave more changes of one section together,
see ``section_cures``; integer programming chooses the set of least cost that covers
every verdict which is not safe; then the whole changed file is assessed. A set that fails there
is cut off and the next one is chosen. A set is left at the first run that fails; nothing is a
plan before the assessment of its file with every run and every doubt.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from airrisk.study.cure_changes import PROMISES, Change
from airrisk.study.cure_places import BESIDE
from airrisk.study.cure_trials import Bench, Cell, Trial
from airrisk.study.records import Assessment
from airrisk.study.section_cures import SectionCures, is_near

MOST_PLANS = 3
MOST_SETS = 24  # sets that are assessed as a whole before the search ends
MOST_PAIRS = 10  # tried for one verdict that no single change cures
PREFERRED = 1e-6  # of the cost: among equals the set without promises comes first


@dataclass(frozen=True)
class PlanRecord:
    """Changes after which every verdict is safe, proven by the assessment of the changed file."""

    changes: tuple[Change, ...]
    cost: float
    after: Assessment

    @property
    def on_the_place(self) -> bool:
        """Whether it leans on a promise about the place: fires kept away, or a wall that stands."""
        return any(change.kind in PROMISES for change in self.changes)


@dataclass(frozen=True)
class PlanSearch:
    """What the search for plans came to.

    Attributes
    ----------
    plans
        Proven ones, the cheapest first.
    incurable
        Verdicts that nothing tried cures.
    without_place
        Verdicts that are cured only by promises about the place.
    singles, pairs, groups, sets
        How many changes, pairs, groups of changes of one section and whole sets were asked.
    ended
        "all": there is no other set; "enough": the plans asked for are found; "most": the most
        sets have been tried.
    """

    plans: tuple[PlanRecord, ...]
    cells: tuple[Cell, ...]
    incurable: tuple[Cell, ...]
    without_place: tuple[Cell, ...]
    singles: int
    pairs: int
    sets: int
    ended: str
    groups: int = 0


def get_ready() -> None:
    """Load what chooses sets, which takes half a second the first time."""
    importlib.import_module("scipy.optimize")


def find_plans(
    bench: Bench,
    changes: Sequence[Change],
    most: int = MOST_PLANS,
    sections: SectionCures | None = None,
) -> PlanSearch:
    """Up to three plans.

    Parameters
    ----------
    bench
        The installation, its assessment, and where changes are tried.
    changes
        Worth trying, see ``cure_candidates``.
    most
        How many plans are wanted.
    sections
        Finds more changes of one section together; None: that is not asked.

    Raises
    ------
    Cancelled
        The caller asked to stop.
    """
    tried = bench.trials(changes)
    singles = [trial for trial in tried if not trial.harm]
    pairs, asked = _pairs(bench, singles)
    covers = [*singles, *pairs]
    joined = _joined(bench, covers, sections)
    covers += joined
    curable = frozenset().union(*(one.cured for one in covers)) if covers else frozenset()
    offsite = [one for one in covers if all(c.kind not in PROMISES for c in one.changes)]
    by_change = frozenset().union(*(one.cured for one in offsite)) if offsite else frozenset()
    incurable = tuple(cell for cell in bench.cells if cell not in curable)
    search = _Search(bench, _changes_of(covers), covers)
    plans: tuple[PlanRecord, ...] = ()
    if bench.cells and not incurable and not bench.before.failures:
        if joined:  # what one section needs at once spoils much of what cures another verdict
            plans = search.of_sections(sections)
        plans += search.plans(most - len(plans))
        if not plans and search.ended == "all":  # dear pairs may go together where others do not
            pairs, more = _pairs(bench, singles, at_any_cost=True)
            asked = max(asked, more)
            search = _Search(bench, search.changes, [*singles, *pairs], search.sets)
            plans = search.plans(most)
        if not plans and not joined:
            plans = search.of_sections(sections)
        if plans and all(one.on_the_place for one in plans) and curable == by_change:
            held = [one for one in search.changes if one.kind not in PROMISES]
            other = _Search(bench, held, offsite, search.sets)
            plans = (*plans[: most - 1], *other.plans(1)) or plans
            search.sets = other.sets
    return PlanSearch(
        plans=tuple(sorted(plans, key=lambda one: one.cost)),
        cells=bench.cells,
        incurable=incurable,
        without_place=tuple(c for c in bench.cells if c in curable and c not in by_change),
        singles=len(tried),
        pairs=asked,
        sets=search.sets,
        ended=search.ended,
        groups=0 if sections is None else sections.count,
    )


def curing_together(
    bench: Bench, changes: Sequence[Change], sections: SectionCures | None = None
) -> list[Trial]:
    """Pairs and groups that ``find_plans`` tries too; those tried before cost nothing."""
    singles = [trial for trial in bench.trials(changes) if not trial.harm]
    pairs, _ = _pairs(bench, singles)
    return [*pairs, *_joined(bench, [*singles, *pairs], sections)]


def _joined(bench: Bench, covers: Sequence[Trial], sections: SectionCures | None) -> list[Trial]:
    """Groups of changes that cure what nothing else of what was tried does."""
    curable = frozenset().union(*(one.cured for one in covers)) if covers else frozenset()
    left = [cell for cell in bench.cells if cell not in curable]
    if sections is None or bench.before.failures:
        return []
    found: list[Trial | None] = []
    for cells in _by_section(left):
        together = sections.of(cells)
        kinds = [[c for c in cells if (c.fire_class in BESIDE) == beside] for beside in (0, 1)]
        if together is None and all(kinds):  # plugs answer the one kind of fires, layers both
            found += [sections.of(some) for some in kinds]
        found.append(together)
    return [trial for trial in found if trial is not None]


def _by_section(cells: Iterable[Cell]) -> list[list[Cell]]:
    """Verdicts on the same vessels and lines, together."""
    found: dict[frozenset[str], list[Cell]] = {}
    for cell in cells:
        found.setdefault(cell.holders, []).append(cell)
    return list(found.values())


def _changes_of(covers: Iterable[Trial]) -> list[Change]:
    return list(dict.fromkeys(change for one in covers for change in one.changes))


def _pairs(
    bench: Bench, singles: Sequence[Trial], *, at_any_cost: bool = False
) -> tuple[list[Trial], int]:
    """Pairs that cure what no single change does, or does at a higher cost; the cheapest first."""
    found: dict[tuple[Change, ...], Trial] = {}
    asked: set[tuple[Change, ...]] = set()
    for cell in bench.cells:
        near = [
            one.changes[0]
            for one in singles
            if cell not in one.cured and is_near(bench, one.changes[0], cell)
        ]
        most = min((one.changes[0].cost for one in singles if cell in one.cured), default=np.inf)
        both = [
            pair
            for pair in combinations(near, 2)
            # one of them may be in a plan for another verdict already
            if pair[0].places.isdisjoint(pair[1].places)
            and (at_any_cost or max(change.cost for change in pair) < most)
        ]
        both.sort(key=lambda pair: pair[0].cost + pair[1].cost)
        for pair in both[:MOST_PAIRS]:
            asked.add(pair)
            if not bench.vents(pair, cell.holders, (cell.fire_class,)):
                continue
            trial = bench.trial(pair)
            if trial is not None and not trial.harm and cell in trial.cured:
                found[pair] = trial
    return list(found.values()), len(asked)


class _Search:
    """Chooses sets of changes by integer programming until enough of them are proven."""

    def __init__(
        self, bench: Bench, changes: list[Change], covers: list[Trial], sets: int = 0
    ) -> None:
        self.bench, self.changes = bench, changes
        self.sets, self.ended = sets, "all"
        self._place = {change: number for number, change in enumerate(changes)}
        self._covers = covers
        self._cuts: list[tuple[np.ndarray, float, float]] = []

    def plans(self, most: int) -> tuple[PlanRecord, ...]:
        """Proven plans, the cheapest first."""
        found: list[PlanRecord] = []
        while len(found) < most:
            if self.sets >= MOST_SETS:
                self.ended = "most"
                return tuple(found)
            chosen = self._cheapest()
            if chosen is None:
                return tuple(found)
            trial = self._cures_all(chosen)
            proof = None if trial is None else self._proven(self._without_idle(trial).changes)
            if proof is None:
                self._cut_off(chosen)
                continue
            found.append(self._record(proof))
        self.ended = "enough"
        return tuple(found)

    def of_sections(self, sections: SectionCures | None) -> tuple[PlanRecord, ...]:
        """The plan of what cures each section as a whole, if there is one."""
        if sections is None:
            return ()
        found = [sections.of(cells) for cells in _by_section(self.bench.cells)]
        changes = _changes_of(one for one in found if one is not None)
        places = [place for change in changes for place in change.places]
        if None in found or len(set(places)) < len(places):
            return ()
        self.changes += [one for one in changes if one not in self._place]
        self._place = {change: number for number, change in enumerate(self.changes)}
        trial = self._cures_all(changes)
        proof = None if trial is None else self._proven(self._without_idle(trial).changes)
        return () if proof is None else (self._record(proof),)

    def _record(self, proof: Trial) -> PlanRecord:
        """A proven plan; the next one must do something else."""
        self._cut_above(proof.changes)
        cost = sum(change.cost for change in proof.changes)
        return PlanRecord(proof.changes, cost, proof.assessment)

    def _cures_all(self, chosen: Sequence[Change]) -> Trial | None:
        """The trial of a whole set, where it makes every verdict safe; no plan before its proof."""
        self.sets += 1
        return self._whole(self.bench.trial(chosen) if self.bench.may_hold(chosen) else None)

    def _proven(self, chosen: Sequence[Change]) -> Trial | None:
        """The assessment of the whole changed file, doubts and all, where every verdict is safe."""
        return self._whole(self.bench.proof(chosen))

    def _whole(self, trial: Trial | None) -> Trial | None:
        held = trial is not None and not trial.harm and trial.cured == set(self.bench.cells)
        return trial if held else None

    def _without_idle(self, trial: Trial) -> Trial:
        """A set that cures all, less each change that the others do without, the dearest first."""
        for change in sorted(trial.changes, key=lambda one: -one.cost):
            rest = tuple(one for one in trial.changes if one != change)
            if rest and self._may_do(rest):
                trial = self._cures_all(rest) or trial
        return trial

    def _may_do(self, changes: Sequence[Change]) -> bool:
        """Whether each verdict is cured by one of some changes, or by two that nobody has tried."""
        alone = {cell for one in self._covers if len(one.changes) == 1
                 and one.changes[0] in changes for cell in one.cured}  # fmt: skip
        for cell in self.bench.cells:
            if cell not in alone and sum(is_near(self.bench, one, cell) for one in changes) < 2:
                return False
        return True

    def _cheapest(self) -> list[Change] | None:
        """The set of least cost that covers every verdict; None: there is no other."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        count = len(self.changes)
        width = count + len(self._covers)
        rows, low, high = [], [], []

        def hold(row: np.ndarray, least: float, most: float) -> None:
            rows.append(row)
            low.append(least)
            high.append(most)

        for number, cover in enumerate(self._covers):  # chosen only with all of its changes
            for change in cover.changes:
                row = np.zeros(width)
                row[count + number], row[self._place[change]] = 1.0, -1.0
                hold(row, -np.inf, 0.0)
        for cell in self.bench.cells:
            row = np.zeros(width)
            for number, cover in enumerate(self._covers):
                row[count + number] = float(cell in cover.cured)
            hold(row, 1.0, np.inf)
        for one, other in combinations(self.changes, 2):
            if not one.places.isdisjoint(other.places):
                row = np.zeros(width)
                row[self._place[one]] = row[self._place[other]] = 1.0
                hold(row, -np.inf, 1.0)
        for cut, least, most in self._cuts:
            hold(np.concatenate([cut, np.zeros(len(self._covers))]), least, most)
        asked = [
            change.cost * (1.0 + PREFERRED) if change.kind in PROMISES else change.cost
            for change in self.changes
        ]
        costs = np.array([*asked, *([0.0] * len(self._covers))])
        answer = milp(
            costs,
            constraints=LinearConstraint(np.array(rows), np.array(low), np.array(high)),
            integrality=np.ones(width),
            bounds=Bounds(0.0, 1.0),
        )
        if answer.x is None or not answer.success:
            return None
        return [change for change, x in zip(self.changes, answer.x, strict=False) if x > 0.5]

    def _cut_off(self, chosen: Sequence[Change]) -> None:
        """This very set is no longer asked; one more change may still help."""
        inside = {self._place[change] for change in chosen}
        row = np.array([-1.0 if n in inside else 1.0 for n in range(len(self.changes))])
        self._cuts.append((row, 1.0 - len(inside), np.inf))

    def _cut_above(self, chosen: Sequence[Change]) -> None:
        """Another plan must do something else: not the same to the same parts, and not more."""
        done = {(change.kind, change.part) for change in chosen}
        row = np.array([float((one.kind, one.part) in done) for one in self.changes])
        self._cuts.append((row, -np.inf, len(done) - 1.0))
