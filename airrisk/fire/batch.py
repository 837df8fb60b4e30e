"""Thousands of variants of one fire case.

A case of one gas space goes through the explicit steps of ``space_runs``; what they do not
bring to its end, and every network, through the implicit steps of single runs.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import TOLERANCE, FireCase
from airrisk.fire.known_runs import KnownRuns, ended, keys_of
from airrisk.fire.run import (
    Workspace,
    new_output,
    new_state,
    steps_at_once,
)
from airrisk.fire.stopping import Cancelled
from airrisk.fire.variants import bounds_of, check_lengths, columns
from airrisk.kernel import batch_entries, compiled, space_steps
from airrisk.kernel import layout as at
from airrisk.kernel.records import Case
from airrisk.verdict.rule import OUTCOMES, SAFE_OUTCOMES, EndOfRun, outcome_numbers

Floats = NDArray[np.float64]
Steps = Literal["any", "explicit", "implicit"]

BATCH_TOLERANCE = 3e-6  # of the implicit steps
SPACE_TOLERANCE = 1e-5  # of the explicit ones
VARIANTS_PER_CALL = 50  # some 20 ms of one vessel
LARGE_NETWORK = 8  # spaces, from which a single variant takes 30 ms and more
SPACES_PER_CALL = 100  # some 10 ms
MOST_EVALUATIONS = 1000  # of a run in explicit steps; implicit ones then take less time
WORTH_A_TRY = 100  # variants: of fewer nobody asks which steps suit them
CHUNK = 20_000  # variants whose inputs stand in memory at once, for each thread


@dataclass(frozen=True, eq=False)
class BatchResult:
    """What each variant came to; arrays of one length, NaN where something did not happen."""

    outcome: NDArray[np.int8]  # index into OUTCOMES
    safe: NDArray[np.bool_]
    status: NDArray[np.int64]  # of the solver, see layout
    peak_use: Floats
    peak_pressure: Floats  # Pa
    first_vent: Floats  # s
    rupture_time: Floats  # s
    empty_time: Floats  # s, last vessel
    limit_time: Floats  # s, strength use first at the limit
    line_rupture_time: Floats  # s, first line beside the vessels
    creep_damage: Floats  # of the worst vessel
    evaluations: Floats
    opened: Floats  # s, a row each: of each plug, then of each disc

    def __len__(self) -> int:
        return self.outcome.size

    def share(self, outcome: str) -> float:
        """Share of the variants with an outcome."""
        return float(np.mean(self.outcome == OUTCOMES.index(outcome)))


def _result(rows: Floats, case: FireCase) -> BatchResult:
    status = rows[:, batch_entries.B_STATUS].astype(np.int64)
    times = batch_entries.B_COLUMNS + len(case.plugs) + len(case.discs)
    is_open = rows[:, batch_entries.B_COLUMNS : times] > 0.0
    end = EndOfRun(
        converged=(status == at.ENDED) | (status == at.RUPTURED),
        peak_use=rows[:, batch_entries.B_PEAK_USE],
        rupture_time=rows[:, batch_entries.B_RUPTURE],
        line_rupture_time=rows[:, batch_entries.B_LINE],
        creep_damage=rows[:, batch_entries.B_DAMAGE],
        vented=_vented(is_open, case),
    )
    outcome = outcome_numbers(end, case.limit)
    return BatchResult(
        outcome=outcome,
        safe=np.isin(outcome, [OUTCOMES.index(name) for name in SAFE_OUTCOMES]),
        status=status,
        peak_use=end.peak_use,
        creep_damage=end.creep_damage,
        peak_pressure=rows[:, batch_entries.B_PEAK_PRESSURE],
        first_vent=rows[:, batch_entries.B_FIRST_VENT],
        rupture_time=end.rupture_time,
        empty_time=rows[:, batch_entries.B_EMPTY],
        limit_time=rows[:, batch_entries.B_LIMIT],
        line_rupture_time=end.line_rupture_time,
        evaluations=rows[:, batch_entries.B_EVALUATIONS],
        opened=rows[:, times:],
    )


def _vented(is_open: NDArray[np.bool_], case: FireCase) -> NDArray[np.bool_]:
    """Whether the air of every vessel can reach a device that is open at the end."""
    devices = (*case.plugs, *case.discs)
    found = np.ones(is_open.shape[0], dtype=bool)
    for index in case.vessel_indices:
        reached = case.reach.get(case.names[index], frozenset())
        found &= np.any(is_open[:, [name in reached for name in devices]], axis=1)
    return found


def row_length(case: FireCase) -> int:
    """Columns of the results of one variant: its numbers, what is open and since when."""
    return batch_entries.B_COLUMNS + 2 * (len(case.plugs) + len(case.discs))


def suits_explicit_steps(case: FireCase) -> bool:
    """Whether a case is one gas space without condensate that nothing feeds."""
    i = case.integers
    return bool(i[at.I_SPACES] == 1 and not (i[at.I_LINKS] or i[at.I_FEEDS] or i[at.I_POOLS]))


@dataclass(frozen=True)
class Stepping:
    """How the variants of a batch are run.

    Attributes
    ----------
    steps
        "any": explicit ones for one gas space, implicit ones where these do not get through, and
        for all variants of a large batch where they take long in the base case; or only the one
        kind.
    tolerance
        Relative tolerance of the time steps; None: ``SPACE_TOLERANCE`` for explicit
        ones and that of a single run where they do not get through, else ``BATCH_TOLERANCE``.
    interpreted
        Use the plain functions although compiled ones are there.
    """

    steps: Steps = "any"
    tolerance: float | None = None
    interpreted: bool = False


AS_USUAL = Stepping()


class _Runner:
    """The kernels with the arrays that one thread reuses for the variants of one case."""

    def __init__(self, case: FireCase, stepping: Stepping) -> None:
        steps, tolerance, plain = stepping.steps, stepping.tolerance, stepping.interpreted
        explicit = suits_explicit_steps(case)
        if steps == "explicit" and not explicit:
            raise ValueError("explicit steps are for one gas space that nothing feeds")
        self.explicit = explicit and steps != "implicit"
        self.plain = plain
        # explicit steps leave the difficult runs, which are then done as a single run is
        usual = TOLERANCE if self.explicit else BATCH_TOLERANCE
        self.case = case.with_tolerance(tolerance or usual)
        self.loose = case.with_tolerance(tolerance or SPACE_TOLERANCE)
        self.fall_back = steps == "any"
        spaces = len(case.spaces)
        self.at_once = 1 if plain else max(1, VARIANTS_PER_CALL // spaces**2)
        # such a run is itself cut into pieces
        self.in_pieces = plain or spaces >= LARGE_NETWORK
        self.should_stop: Callable[[], bool] | None = None
        self.state = new_state(case)
        self.floats = case.floats.copy()
        self.workspace = Workspace()
        if self.explicit:
            self.at_once = 1 if plain else SPACES_PER_CALL
            self.kernel = compiled.entry("space_variants", interpreted=plain)
            self.stages = np.zeros((space_steps.SCRATCH_ROWS, self.state.numbers.size))
        else:
            self._prepare_implicit()

    def _prepare_implicit(self) -> None:
        self.drive = compiled.entry("drive", interpreted=self.plain)
        self.workspace.fit(self.case)
        self.output = new_output(self.case, 1)

    def run(
        self, places: NDArray[np.int64], table: Floats, first: int, last: int, rows: Floats
    ) -> None:
        """Variants ``first`` to ``last``, each into its row.

        Raises
        ------
        Cancelled
            ``should_stop`` said so.
        """
        with np.errstate(all="ignore"):
            if not self.explicit:
                self._implicit(places, table, first, last, rows)
                return
            self.kernel(
                self.loose.floats, self.floats, self.case.integers, places, table, first, last,
                self.state.modes, self.state.numbers, self.stages, *self.workspace.tables.air,
                *self.workspace.tables.flow, rows,
            )  # fmt: skip
            if not self.fall_back:
                return
            for k in range(first, last):
                if rows[k, batch_entries.B_STATUS] == at.RUNNING:
                    if not hasattr(self, "drive"):
                        self._prepare_implicit()
                    self._implicit(places, table, k, k + 1, rows)

    def _implicit(
        self, places: NDArray[np.int64], table: Floats, first: int, last: int, rows: Floats
    ) -> None:
        if not self.in_pieces:
            self._drive(batch_entries.TASK_VARIANTS, places, table, first, last, rows, 0)
            return
        steps = steps_at_once(self.case, self.plain)
        for k in range(first, last):
            self.floats[:] = self.case.floats
            self.floats[places] = table[k]
            status: int = at.OUT_OF_RANGE
            if self._drive(batch_entries.TASK_BEGIN, places, table, k, k, rows, 0):
                status = at.RUNNING
            while status == at.RUNNING:
                if self.should_stop is not None and self.should_stop():
                    raise Cancelled
                status = self._drive(batch_entries.TASK_ADVANCE, places, table, k, k, rows, steps)
            case = Case(self.floats, self.case.integers)
            batch_entries.summarize(status, case, self.state, rows[k])

    def _drive(
        self,
        task: int,
        places: NDArray[np.int64],
        table: Floats,
        first: int,
        last: int,
        rows: Floats,
        steps: int,
    ) -> int:
        use = self.workspace
        return int(
            self.drive(
                task, self.case.floats, self.floats, self.case.integers, places, table, first,
                last, *self.state, *use.work, *use.tables.air, *use.tables.flow, *self.output,
                rows, steps,
            )
        )  # fmt: skip


def run_table(
    case: FireCase,
    places: NDArray[np.int64],
    table: Floats,
    *,
    interpreted: bool = False,
    progress: Callable[[int, int], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    known: KnownRuns | None = None,
) -> BatchResult:
    """A few variants given as numbers of the case, on this thread.

    Parameters
    ----------
    case
        The base case.
    places
        Which of its floats vary.
    table
        A row for each variant, a column for each place.
    interpreted
        Use the plain functions although compiled ones are there.
    progress, should_stop
        As for ``run_batch``.
    known
        Answers of earlier runs; those of these are added.

    Returns
    -------
    BatchResult

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    """
    memory = KnownRuns() if known is None else known
    rows = np.empty((len(table), row_length(case)))
    way = "plain" if interpreted else "compiled"
    keys = keys_of(case.floats, case.integers, places, table, way)
    new = memory.find(keys, rows)
    if new:
        runner = _Runner(case, Stepping(interpreted=interpreted))
        runner.should_stop = should_stop
        given = np.ascontiguousarray(table[new])
        found = np.empty((len(new), rows.shape[1]))
        for first in range(0, len(given), runner.at_once):
            if should_stop is not None and should_stop():
                raise Cancelled
            last = min(first + runner.at_once, len(given))
            runner.run(places, given, first, last, found)
            if progress is not None:
                progress(last, len(table))
        place_of = {keys[place]: number for number, place in enumerate(new)}
        for place, key in enumerate(keys):
            if key in place_of:
                rows[place] = found[place_of[key]]
        for key, number in place_of.items():
            if ended(found[number, batch_entries.B_STATUS]):
                memory.keep(key, found[number])
    if progress is not None:
        progress(len(table), len(table))
    return _result(rows, case)


def run_changes(
    case: FireCase, changes: Sequence[Mapping[int, float]], **options: Any
) -> BatchResult:
    """A case with some of its numbers changed, one change after the other.

    Parameters
    ----------
    case
        The fire case that the changes are of.
    changes
        Places with new values (``airrisk.fire.changes``); what one leaves out is as in the case.
    options
        As of ``run_table``.
    """
    places = sorted({place for one in changes for place in one})
    table = np.array(
        [[one.get(place, float(case.floats[place])) for place in places] for one in changes]
    ).reshape(len(changes), len(places))
    return run_table(case, np.array(places, dtype=np.int64), table, **options)


def _suited(case: FireCase, stepping: Stepping, count: int) -> Stepping:
    """With implicit steps where explicit ones could run a large batch, and would take long.

    So it is with a line that stays shut in a long fire: the hot metal ties the air to itself, and
    explicit steps cannot be longer than that takes.
    """
    if count < WORTH_A_TRY or stepping.steps != "any" or not suits_explicit_steps(case):
        return stepping
    rows = np.empty((1, row_length(case)))
    probe = _Runner(case, replace(stepping, steps="explicit"))
    probe.run(np.array([0], dtype=np.int64), case.floats[:1].reshape(1, 1).copy(), 0, 1, rows)
    stuck = rows[0, batch_entries.B_STATUS] == at.RUNNING
    long = rows[0, batch_entries.B_EVALUATIONS] > MOST_EVALUATIONS
    return replace(stepping, steps="implicit") if stuck or long else stepping


def run_batch(
    case: FireCase,
    variants: Mapping[str, NDArray[np.float64]],
    *,
    threads: int = 2,
    stepping: Stepping = AS_USUAL,
    progress: Callable[[int, int], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> BatchResult:
    """Run a case for many values of its inputs.

    Parameters
    ----------
    case
        The base case.
    variants
        Values by input name (see ``variants.variable_inputs``), all of one length, SI units.
    threads
        Number of threads; compiled code does not hold the interpreter.
    stepping
        How each is run.
    progress
        Called with (done, all) from a worker, at least every 50 ms.
    should_stop
        Asked as often.

    Returns
    -------
    BatchResult

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    UnknownInput, ValueError
        See ``variants.columns``; explicit steps for several gas spaces.
    """
    if not variants:
        raise ValueError("a batch needs at least one input that varies")
    count = check_lengths(variants)
    stepping = _suited(case, stepping, count)
    rows = np.empty((count, row_length(case)))
    bounds = bounds_of(variants)
    stopped = threading.Event()
    lock = threading.Lock()
    done = 0

    def ended() -> bool:
        if not stopped.is_set() and should_stop is not None and should_stop():
            stopped.set()
        return stopped.is_set()

    def work(span: tuple[int, int], runner: _Runner) -> None:
        nonlocal done
        start, stop = span
        part = {name: np.asarray(values)[start:stop] for name, values in variants.items()}
        found = columns(case, part, bounds)
        places = np.array(list(found), dtype=np.int64)
        table = np.ascontiguousarray(
            np.column_stack([np.broadcast_to(column, (stop - start,)) for column in found.values()])
        )
        for first in range(0, stop - start, runner.at_once):
            if ended():
                raise Cancelled
            last = min(first + runner.at_once, stop - start)
            runner.run(places, table, first, last, rows[start:stop])
            with lock:
                done += last - first
                if progress is not None:
                    progress(done, count)

    chunk = max(1, min(CHUNK, math.ceil(count / max(threads, 1))))
    spans = [(start, min(start + chunk, count)) for start in range(0, count, chunk)]
    free = [_Runner(case, stepping) for _ in range(min(max(threads, 1), len(spans)))]
    for runner in free:
        runner.should_stop = ended

    def one(span: tuple[int, int]) -> None:
        runner = free.pop()
        try:
            work(span, runner)
        finally:
            free.append(runner)

    if threads < 2 or stepping.interpreted:
        for span in spans:
            one(span)
    else:
        with ThreadPoolExecutor(len(free), thread_name_prefix="fire-batch") as pool:
            list(pool.map(one, spans))
    return _result(rows, case)
