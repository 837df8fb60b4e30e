"""The fires of tried changes: few runs where one of them fails, all of them where they hold.

A change that is tried must make safe what was not. Of such a fire the run as stated is asked
first, then those that ruled before; the first that fails ends it, because one unsafe run makes
the fire unsafe. Only where none fails the whole envelope is run, and it is kept for the proof of
the plan, which asks every fire for everything, its doubts too.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial

from airrisk.installation.model import FireClass
from airrisk.study.cache import StepCache
from airrisk.study.envelope import Envelope, corners, envelope, run_corners
from airrisk.study.fire_outcomes import Given, record_of
from airrisk.study.fire_runs import STATED, Corner, FireStudy
from airrisk.study.progressing import Ran
from airrisk.study.records import FireRecord
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import FireSlice
from airrisk.verdict.rule import is_safe

MOST_RULED = 3  # runs that ruled before and are asked first

FireKey = tuple[str, str, FireClass]  # fire, section and class
Unsafe = frozenset[tuple[str, FireClass]]  # parts of verdicts that are not safe, by class


@dataclass
class TrialRuns:
    """Answers of fires with changes.

    Attributes
    ----------
    unsafe
        What was not safe before: only of that may a trial ask less than everything.
    cache
        Answers of steps.
    should_stop
        Asked often.
    """

    unsafe: Unsafe
    cache: StepCache
    should_stop: Callable[[], bool] | None = None
    _ruled: dict[tuple[str, FireClass], list[Corner]] = field(default_factory=dict)
    _failed: list[FireKey] = field(default_factory=list)  # the latest first
    _turn: threading.Lock = field(default_factory=threading.Lock)

    def tried(self, cut: FireSlice, ran: Ran | None = None) -> FireRecord:
        """Whether a fire is safe, with no doubts; of what was safe before the whole record."""
        whole = self.cache.known(("fire", cut.unsearched, False))
        if isinstance(whole, FireRecord):
            return whole
        if not all((name, cut.fire_class) in self.unsafe for name in cut.section.holders):
            return self.proven(cut, ran)  # a doubt of it may be a finding already
        return self.cache.answer(("fire tried", cut.unsearched), lambda: self._tried(cut, ran))

    def proven(self, cut: FireSlice, ran: Ran | None = None) -> FireRecord:
        """The whole record, of the envelope that a trial has run or of a new one."""

        def ask() -> FireRecord:
            known = self.cache.known(("envelope", cut.unsearched))
            given = Given(known if isinstance(known, Envelope) else None, runs=self.cache.runs)
            return record_of(cut, bores=False, should_stop=self.should_stop, ran=ran, given=given)

        return self.cache.answer(("fire", cut.unsearched, False), ask)

    def hold(self, cuts: Sequence[FireSlice]) -> bool:
        """Whether all of some fires are safe; nothing more is asked once one of them is not.

        Those that failed in earlier trials come first.
        """
        with self._turn:
            order = {key: place for place, key in enumerate(self._failed)}
        last = len(order)
        cuts = sorted(cuts, key=lambda cut: order.get(_fire_of(cut), last))
        failed = threading.Event()

        def ask(question: Callable[[FireSlice], bool], cut: FireSlice) -> None:
            if not failed.is_set() and not question(cut):
                failed.set()
                self._fails(cut)

        for question in (self.stated_holds, lambda cut: bool(self.tried(cut).safe)):
            side_by_side(partial(ask, question), cuts)
            if failed.is_set():
                return False
        return True

    def stated_holds(self, cut: FireSlice) -> bool:
        """Whether the one run as stated is safe; most changes that fail do so there."""

        def run() -> bool:
            study = FireStudy(cut, self.should_stop, known=self.cache.runs)
            return is_safe(run_corners(study, [STATED])[STATED].outcome)

        return self.cache.answer(("as stated", cut.unsearched), run)

    def _tried(self, cut: FireSlice, ran: Ran | None) -> FireRecord:
        study = FireStudy(cut, self.should_stop, ran, self.cache.runs)
        found = self._failing(cut, study)
        if found is None:
            found = envelope(study)
            self.cache.keep(("envelope", cut.unsearched), found)
            if not found.safe:
                self._rules(cut, found.corner)
        return record_of(
            cut,
            bores=False,
            should_stop=self.should_stop,
            ran=ran,
            given=Given(found, doubted=False, runs=self.cache.runs),
        )

    def _failing(self, cut: FireSlice, study: FireStudy) -> Envelope | None:
        """The first run that fails, as all that is known of a fire; None: none of those asked."""
        there = corners(study)
        for corner in (STATED, *self._ruled.get((cut.fire.id, cut.fire_class), ())):
            if corner not in there:
                continue
            ending = run_corners(study, [corner])[corner]
            if not is_safe(ending.outcome):
                return Envelope(
                    corner, ending, 1, None, None, ending, (corner, ending.creep_damage)
                )
        return None

    def _fails(self, cut: FireSlice) -> None:
        with self._turn:
            key = _fire_of(cut)
            self._failed = [key, *(one for one in self._failed if one != key)]

    def _rules(self, cut: FireSlice, corner: Corner) -> None:
        with self._turn:  # fires are asked on threads
            known = self._ruled.get((cut.fire.id, cut.fire_class), [])
            others = [one for one in known if one != corner]
            self._ruled[cut.fire.id, cut.fire_class] = [corner, *others][:MOST_RULED]


def _fire_of(cut: FireSlice) -> FireKey:
    return cut.fire.id, cut.section.id, cut.fire_class


def unsafe_parts(cells: Iterable[tuple[frozenset[str], FireClass]]) -> Unsafe:
    """What stands in some verdicts, by class."""
    return frozenset((name, fire_class) for holders, fire_class in cells for name in holders)
