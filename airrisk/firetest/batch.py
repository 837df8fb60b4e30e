"""Thousands of variants of one fire case through the same kernel."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.firetest import batch_kernel, compiled, stepper
from airrisk.firetest import layout as at
from airrisk.firetest.case import FireCase
from airrisk.firetest.outcome import EMPTIED_USE
from airrisk.firetest.run import (
    MOST_EVENTS,
    STATUS,
    Cancelled,
    Workspace,
    column_count,
    mode_count,
)
from airrisk.firetest.variants import bounds_of, check_lengths, columns

Floats = NDArray[np.float64]

BATCH_TOLERANCE = 3e-6
VARIANTS_PER_CALL = 50  # some 20 ms of one vessel
CHUNK = 20_000  # variants whose inputs stand in memory at once, for each thread

OUTCOMES = (
    "vents in time", "vents too late", "ruptures", "outlasts the fire", "not converged",
)  # fmt: skip


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
    evaluations: Floats

    def __len__(self) -> int:
        return self.outcome.size

    def share(self, outcome: str) -> float:
        """Share of the variants with an outcome."""
        return float(np.mean(self.outcome == OUTCOMES.index(outcome)))

    def messages(self) -> dict[str, int]:
        """How many variants ended with which message of the solver."""
        codes, counts = np.unique(self.status, return_counts=True)
        return {STATUS[int(code)]: int(n) for code, n in zip(codes, counts, strict=True)}


def _result(rows: Floats, limit: float) -> BatchResult:
    status = rows[:, batch_kernel.B_STATUS].astype(np.int64)
    peak = rows[:, batch_kernel.B_PEAK_USE]
    vent = rows[:, batch_kernel.B_FIRST_VENT]
    rupture = rows[:, batch_kernel.B_RUPTURE]
    emptied = rows[:, batch_kernel.B_NOT_EMPTIED] < EMPTIED_USE
    converged = (status == at.ENDED) | (status == at.RUPTURED)
    opened = np.isfinite(vent)
    ruptured = np.isfinite(rupture)
    late = (ruptured & opened & (vent < rupture)) | (
        ~ruptured & opened & ((peak > limit) | ~emptied)
    )
    outcome = np.select([~converged, late, ruptured, opened], [4, 1, 2, 0], default=3).astype(
        np.int8
    )
    return BatchResult(
        outcome=outcome,
        safe=(outcome == 0) | ((outcome == 3) & (peak <= limit)),
        status=status,
        peak_use=peak,
        peak_pressure=rows[:, batch_kernel.B_PEAK_PRESSURE],
        first_vent=vent,
        rupture_time=rupture,
        empty_time=rows[:, batch_kernel.B_EMPTY],
        limit_time=rows[:, batch_kernel.B_LIMIT],
        evaluations=rows[:, batch_kernel.B_EVALUATIONS],
    )


def run_batch(
    case: FireCase,
    variants: Mapping[str, NDArray[np.float64]],
    *,
    threads: int = 2,
    tolerance: float = BATCH_TOLERANCE,
    interpreted: bool = False,
    progress: Callable[[int, int], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> BatchResult:
    """Run a case for many values of its inputs.

    Parameters
    ----------
    case
        The base case.
    variants
        Values by input name (see ``variants.known_inputs``), all of one length, SI units.
    threads
        Number of threads; compiled code does not hold the interpreter.
    tolerance
        Relative tolerance of the time steps.
    interpreted
        Use the plain functions although compiled ones are there.
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
        See ``variants.columns``.
    """
    if not variants:
        raise ValueError("a batch needs at least one input that varies")
    count = check_lengths(variants)
    rows = np.empty((count, batch_kernel.B_COLUMNS))
    bounds = bounds_of(variants)
    kernel = compiled.entry("drive", interpreted=interpreted)
    base = case.with_tolerance(tolerance)
    stopped = threading.Event()
    lock = threading.Lock()
    done = 0

    def work(span: tuple[int, int], workspace: Workspace) -> None:
        nonlocal done
        start, stop = span
        part = {name: np.asarray(values)[start:stop] for name, values in variants.items()}
        found = columns(base, part, bounds)
        places = np.array(list(found), dtype=np.int64)
        table = np.ascontiguousarray(
            np.column_stack([np.broadcast_to(column, (stop - start,)) for column in found.values()])
        )
        size = column_count(base)
        spaces = len(base.spaces)
        workspace.fit(spaces, size - stepper.SECTION_FLOWS)
        scratch = (
            np.zeros(mode_count(base), dtype=np.int64),
            np.zeros(size),
            np.zeros(stepper.C_HEAD),
            np.zeros((spaces, stepper.K_COLUMNS)),
        )
        floats = base.floats.copy()
        nothing = (np.empty(1), np.empty((1, size)), np.empty((1, 1), dtype=np.int64))
        events = np.empty((MOST_EVENTS, 3))
        at_once = max(1, VARIANTS_PER_CALL // max(1, spaces * spaces))
        for first in range(0, stop - start, at_once):
            if stopped.is_set():
                return
            if should_stop is not None and should_stop():
                stopped.set()
                return
            last = min(first + at_once, stop - start)
            with np.errstate(all="ignore"):
                kernel(
                    batch_kernel.TASK_VARIANTS, base.floats, floats, base.integers, places,
                    table, first, last, *scratch,
                    workspace.by_space, workspace.vectors, workspace.matrix, workspace.factors,
                    workspace.pivot, workspace.differences, *workspace.tables, *nothing, events,
                    rows[start:stop], 0,
                )  # fmt: skip
            with lock:
                done += last - first
                if progress is not None:
                    progress(done, count)

    chunk = max(1, min(CHUNK, math.ceil(count / max(threads, 1))))
    spans = [(start, min(start + chunk, count)) for start in range(0, count, chunk)]
    free = [Workspace() for _ in range(max(threads, 1))]

    def one(span: tuple[int, int]) -> None:
        workspace = free.pop()
        try:
            work(span, workspace)
        finally:
            free.append(workspace)

    if threads < 2 or interpreted:
        for span in spans:
            one(span)
    else:
        with ThreadPoolExecutor(threads, thread_name_prefix="fire-batch") as pool:
            list(pool.map(one, spans))
    if stopped.is_set():
        raise Cancelled
    return _result(rows, case.limit)
