"""Trying changes: each is written into the file, read again, and assessed as a whole.

What fires have not changed comes from the cache of steps, so that a trial asks for the runs of
the changed section alone.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from airrisk.fire.stopping import go_on
from airrisk.installation.model import ENGULFING, FireClass, Installation
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import Asked, Watcher, assess
from airrisk.study.cache import StepCache
from airrisk.study.cure_changes import (
    Change,
    ChangeImpossibleError,
    changed_text,
    read_changed,
)
from airrisk.study.cure_runs import TrialRuns, unsafe_parts
from airrisk.study.exposures import exposures
from airrisk.study.records import Assessment, Finding, VerdictRecord
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import Slicer
from airrisk.study.standing_fires import LEAST_FLUX

OF_BORES = ("bore-too-small", "bore-without-margin")
# rules that only an assessment with its searches asks
OF_SEARCHES = (*OF_BORES, "fire-source-too-near")
# rules that read all runs of a fire, of which a trial makes no more than it needs
OF_ALL_RUNS = ("people-within-reach", "joint-lets-go")
StopTest = Callable[[], bool]


@dataclass(frozen=True)
class Cell:
    """One verdict of the matrix that is not safe: what is shut in together, and the class."""

    section: str
    closed_valves: tuple[str, ...]
    holders: frozenset[str]  # vessels and lines
    fire_class: FireClass
    sources: tuple[str, ...] = ()  # of fire, where nothing else burns in it


@dataclass(frozen=True)
class Trial:
    """What some changes came to."""

    changes: tuple[Change, ...]
    assessment: Assessment
    cured: frozenset[Cell]
    gone: tuple[int, ...]  # places of the findings that are gone in the list before
    harm: bool  # it brings a danger, a warning, a failed calculation or an unsafe verdict


@dataclass
class Bench:
    """One installation on which changes are tried; answers are kept.

    Attributes
    ----------
    text
        The system file as it is.
    installation
        The same, read.
    on
        Date of the assessment.
    before
        Its assessment.
    cache
        Answers of steps.
    should_stop
        Asked often.
    told
        Called after each trial with how many there have been.
    """

    text: SystemText
    installation: Installation
    on: dt.date
    before: Assessment
    cache: StepCache = field(default_factory=StepCache)
    should_stop: StopTest | None = None
    told: Callable[[int], object] | None = None
    count: int = 0
    _known: dict[tuple[Change, ...], Trial | None] = field(default_factory=dict)
    _changed: dict[tuple[Change, ...], Installation | None] = field(default_factory=dict)
    _turn: threading.Lock = field(default_factory=threading.Lock)
    _texts: dict[tuple[Change, ...], SystemText] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.cells = unsafe_cells(self.before, self.installation)
        unsafe = unsafe_parts((cell.holders, cell.fire_class) for cell in self.cells)
        self.runs = TrialRuns(unsafe, self.cache, self.should_stop)
        self._remember()

    def _remember(self) -> None:
        """Keep the fires of the assessment, so that none is run again that no change touches."""
        known = {
            (one.id, one.section, one.closed_valves, one.fire_class): one
            for one in self.before.fires
        }
        if len(known) < len(self.before.fires) or self.before.failures:
            return
        slicer = Slicer(self.installation, self.on)
        for exposure in exposures(self.installation):
            cut = slicer.fire(exposure)
            key = (cut.fire.id, cut.section.id, cut.closed_valves, cut.fire_class)
            if key in known:
                self.cache.keep(("fire", cut.unsearched, False), known[key])

    def changed(self, changes: Sequence[Change]) -> Installation | None:
        """The installation with some changes; None: they cannot be made together."""
        key = tuple(changes)
        if key not in self._changed:
            go_on(self.should_stop)
            try:
                self._changed[key] = read_changed(self._text(key))
            except ChangeImpossibleError:
                self._changed[key] = None
        return self._changed[key]

    def _text(self, changes: tuple[Change, ...]) -> SystemText:
        """The file with some changes; sets that begin alike share what they begin with."""
        if not changes:
            return self.text
        if changes not in self._texts:
            go_on(self.should_stop)
            self._texts[changes] = changed_text(self._text(changes[:-1]), changes[-1:])
        return self._texts[changes]

    def trial(self, changes: Sequence[Change]) -> Trial | None:
        """What the changed file comes to; None: the changes cannot be made.

        Fires that were not safe are asked for no doubts, and once one run of them fails for no
        more; what a burst reaches is left out. What the trial tells is the same; its assessment is
        not for people, see ``proof``.

        Raises
        ------
        Cancelled
            The caller asked to stop.
        """
        key = tuple(changes)
        if key not in self._known:
            self._known[key] = self._asked(key, Asked(self.runs.tried, reach=False))
        return self._known[key]

    def trials(self, changes: Sequence[Change]) -> list[Trial]:
        """What each of some changes alone comes to, side by side; those that can be made."""
        found = side_by_side(lambda change: self.trial([change]), changes)
        return [trial for trial in found if trial is not None]

    def proof(self, changes: Sequence[Change]) -> Trial | None:
        """The whole assessment of the changed file; None: the changes cannot be made.

        Raises
        ------
        Cancelled
            The caller asked to stop.
        """
        return self._asked(tuple(changes), Asked(self.runs.proven))

    def may_hold(self, changes: Sequence[Change]) -> bool:
        """Whether no run that is asked fails of the fires that were not safe.

        Where one fails the changed file cannot be safe. Where none does nothing is proven yet.
        """
        installation = self.changed(changes)
        if installation is None:
            return False
        slicer = Slicer(installation, self.on)
        cuts = [
            slicer.fire(one)
            for one in exposures(installation)
            if any((name, one.fire_class) in self.runs.unsafe for name in one.section.holders)
        ]
        try:
            return self.runs.hold(cuts)
        except ValueError:  # the whole assessment says what is wrong
            return True

    def _asked(self, changes: tuple[Change, ...], asked: Asked) -> Trial | None:
        installation = self.changed(changes)
        if installation is None:
            return None
        after = assess(
            installation,
            self.on,
            bores=False,
            watcher=Watcher(should_stop=self.should_stop),
            cache=self.cache,
            asked=asked,
        )
        with self._turn:
            go_on(self.should_stop)
            self.count += 1
            if self.told is not None:
                self.told(self.count)
        return Trial(
            changes,
            after,
            frozenset(cell for cell in self.cells if is_cured(cell, after)),
            gone_findings(self.before, self.cells, after),
            brings_harm(self.before, self.cells, after) or makes_unsafe(self.cells, after),
        )

    def vents(
        self, changes: Sequence[Change], holders: Iterable[str], classes: Sequence[FireClass]
    ) -> bool:
        """Whether changes make the fires of some classes on some parts safe; asks no others."""
        installation = self.changed(changes)
        if installation is None:
            return False
        wanted = set(holders)
        slicer = Slicer(installation, self.on)
        cuts = [
            slicer.fire(one)
            for one in exposures(installation)
            if one.fire_class in classes and not wanted.isdisjoint(one.section.holders)
        ]
        try:
            return self.runs.hold(cuts)
        except ValueError:  # the whole assessment says what is wrong
            return False


def unsafe_cells(answer: Assessment, installation: Installation) -> tuple[Cell, ...]:
    """The verdicts that are not safe, as places of the matrix."""
    holders = {one.id for one in installation.holders()}
    return tuple(
        Cell(
            one.section,
            one.closed_valves,
            frozenset(name for name in one.members if name in holders),
            one.fire_class,
            _sources_of(answer, one),
        )
        for one in answer.verdicts
        if one.outcome is not None and not one.safe
    )


def _sources_of(answer: Assessment, verdict: VerdictRecord) -> tuple[str, ...]:
    """The sources that a verdict on stated fires is about; empty: other fires burn there too."""
    here = (verdict.section, verdict.closed_valves, verdict.fire_class)
    fires = [f for f in answer.fires if (f.section, f.closed_valves, f.fire_class) == here]
    standing = all(one.source_kind and one.id in answer.fire_sources for one in fires)
    return tuple(one.id for one in fires) if verdict.fire_class == "stated" and standing else ()


def is_cured(cell: Cell, after: Assessment) -> bool:
    """Whether every part of a cell is asked by fires of its class again, and all are safe.

    Or, where only sources burn that stand somewhere, they still burn and nothing of it gets there.
    """
    rows = [
        one
        for one in after.verdicts
        if one.fire_class == cell.fire_class and not cell.holders.isdisjoint(one.members)
    ]
    asked: list[VerdictRecord] = [one for one in rows if one.outcome is not None]
    if rows and not asked and cell.sources:
        return all(_misses(after, source, cell) for source in cell.sources)
    reached = {name for one in asked for name in one.members}
    return bool(asked) and cell.holders <= reached and all(one.safe for one in asked)


def _misses(after: Assessment, source: str, cell: Cell) -> bool:
    """Whether a source burns, and neither flame nor radiation of it gets to a cell."""
    record = after.fire_sources.get(source)
    if record is None or not cell.holders.isdisjoint(record.not_placed):
        return False
    seen = [record.exposures[name] for name in cell.holders if name in record.exposures]
    return all(one.flames_share <= 0.0 and one.incident_w_m2 < LEAST_FLUX for one in seen)


def gone_findings(before: Assessment, cells: Sequence[Cell], after: Assessment) -> tuple[int, ...]:
    """Places of the findings that no finding of the changed installation repeats.

    Trials search no least bores and no least distances of sources, and end a fire with its first
    run that fails, so that findings on these are gone only with their fires.
    """
    left = _by_rule(after.findings)
    found = []
    for place, one in enumerate(before.findings):
        if any(_same(one, other) for other in left.get(one.rule, ())):
            continue
        if one.rule == "fire-source-too-near" and _stands_clear(one, after):
            found.append(place)
            continue
        if one.rule in (*OF_SEARCHES, *OF_ALL_RUNS):
            mine = [
                cell
                for cell in cells
                if not cell.holders.isdisjoint(_about(one))
                # bores are searched for fires that heat plugs
                and (cell.fire_class in ENGULFING or one.rule not in OF_BORES)
            ]
            asked = bool(mine) or one.rule in OF_ALL_RUNS
            if not asked or not all(is_cured(cell, after) for cell in mine):
                continue
        found.append(place)
    return tuple(found)


def _stands_clear(finding: Finding, after: Assessment) -> bool:
    """Whether a source stands now as far from a vessel as the runs have found it to need."""
    source = after.fire_sources.get(str(finding.values.get("source")))
    clear = finding.values.get("clear_m")
    gap = None if source is None else source.gap_m.get(finding.part)
    return isinstance(clear, float) and gap is not None and gap >= clear


def _about(finding: Finding) -> frozenset[str]:
    """What a finding is about, and the part that its device stands on."""
    on = finding.values.get("on")
    return touched(finding) | (frozenset({on}) if isinstance(on, str) else frozenset())


def brings_harm(before: Assessment, cells: Sequence[Cell], after: Assessment) -> bool:
    """Whether something is wrong afterwards that was not before.

    What a verdict that was not safe and is safe now hangs on is no harm: it is told with it.
    """
    known = _by_rule(before.findings)
    for one in after.findings:
        graver = one.severity != "note" or one.rule.startswith("plug-melts")
        if not graver or (one.rule.startswith("verdict-depends-on") and _was_unsafe(one, cells)):
            continue
        if one.rule == "plug-melts-too-high" and one.values.get("variant") == "design_no_alloy":
            continue  # no alloy melts below the design pressure and above running: none is better
        if not any(_same(one, other) for other in known.get(one.rule, ())):
            return True
    failed = {(one.step, one.part) for one in before.failures}
    return any((one.step, one.part) not in failed for one in after.failures)


def _was_unsafe(finding: Finding, cells: Iterable[Cell]) -> bool:
    return any(
        cell.fire_class == finding.fire_class and not cell.holders.isdisjoint(touched(finding))
        for cell in cells
    )


def makes_unsafe(cells: Iterable[Cell], after: Assessment) -> bool:
    """Whether a verdict is not safe afterwards where every one was before."""
    known = tuple(cells)
    return any(
        not any(
            cell.fire_class == one.fire_class and not cell.holders.isdisjoint(one.members)
            for cell in known
        )
        for one in after.verdicts
        if one.outcome is not None and not one.safe
    )


def _by_rule(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    found: dict[str, list[Finding]] = {}
    for one in findings:
        found.setdefault(one.rule, []).append(one)
    return found


def _same(one: Finding, other: Finding) -> bool:
    """Whether two findings of one rule are about the same; rather yes than no."""
    return one.fire_class == other.fire_class and not touched(one).isdisjoint(touched(other))


def touched(finding: Finding) -> frozenset[str]:
    """The parts that a finding is about."""
    parts = finding.values.get("parts") or ()
    named = (parts,) if isinstance(parts, str) else tuple(parts)
    section = finding.section.split("+") if finding.section else ()
    # one about the installation as a whole stays itself
    return frozenset((finding.part, *named, *section)) - {""} or frozenset({""})
