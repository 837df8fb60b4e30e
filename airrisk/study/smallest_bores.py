"""The smallest adequate bore of one plug for many variants at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.inputs import WORKS
from airrisk.messages import said
from airrisk.study.spreads import Array
from airrisk.study.variants import VariantRuns

SMALLEST, LARGEST = 1e-3, 0.12  # m, as in the search of a single run
TRIALS = 12  # bores between the two, evenly on a logarithm, to find where the search starts
HALVINGS, FEW_HALVINGS = 9, 6  # of a step of 55 %: to 0.1 %, to 0.7 %
RUNS_A_ROW = TRIALS + HALVINGS


@dataclass(frozen=True, eq=False)
class WorkingBores:
    """Smallest bores, not below ``SMALLEST``; NaN: none is enough, or a run did not converge."""

    bore: NDArray[np.float64]  # m
    converged: NDArray[np.bool_]


def working_bores(
    runs: VariantRuns,
    plug: str,
    values: Mapping[str, Array],
    rows: int,
    halvings: int = HALVINGS,
) -> WorkingBores:
    """The smallest bore with which the air leaves in time, the plug taken as working.

    Parameters
    ----------
    runs
        The case.
    plug
        Its id.
    values
        The variants.
    rows
        Their number.
    halvings
        Of the step between two trial bores.

    Returns
    -------
    WorkingBores
        From the first of the trial bores that passes, halved down towards the one below.
    """
    what = said("smallest-bore-of", plug=plug)
    key, works = f"{plug}.bore", f"{plug}.{WORKS}"
    trials = np.geomspace(SMALLEST, LARGEST, TRIALS)

    def variants(wanted: NDArray[np.int64], bore: Array) -> dict[str, Array]:
        chosen = {name: array[wanted] for name, array in values.items() if name not in (key, works)}
        return {**chosen, key: bore, works: np.ones(bore.size)}

    open_rows = np.arange(rows)
    high = np.full(rows, np.nan)
    low = np.full(rows, SMALLEST)
    converged = np.ones(rows, dtype=bool)
    for number, trial in enumerate(trials):
        if open_rows.size == 0:
            break
        answer = runs.run(variants(open_rows, np.full(open_rows.size, trial)), what)
        converged[open_rows] &= answer.converged
        passed = open_rows[answer.in_time]
        high[passed] = trial
        low[passed] = trials[max(number - 1, 0)]
        open_rows = open_rows[~answer.in_time]
    # a variant that passes with the smallest bore leaves nothing to halve
    found = np.flatnonzero(high > SMALLEST)
    for _ in range(halvings):
        if found.size == 0:
            break
        middle = np.sqrt(low[found] * high[found])
        answer = runs.run(variants(found, middle), what)
        high[found] = np.where(answer.in_time, middle, high[found])
        low[found] = np.where(answer.in_time, low[found], middle)
    converged |= np.isfinite(high)
    return WorkingBores(high, converged)


def plugs_searched(runs: VariantRuns) -> list[str]:
    """Plugs whose bore can matter: with credit, and open to the air of the deciding vessel."""
    return [
        plug
        for plug in runs.case.plugs
        if plug not in runs.case.uncredited and plug not in runs.out_of_reach
    ]
