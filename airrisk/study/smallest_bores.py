"""The smallest adequate bore of one plug for many variants at once."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.variants import variable_inputs
from airrisk.installation.inputs import WORKS
from airrisk.messages import said
from airrisk.study.spreads import Array
from airrisk.study.variants import VariantRuns

SMALLEST, LARGEST = 1e-3, 0.12  # m, as in the search of a single run
CLOSE, CLOSE_ENOUGH = 1e-3, 7e-3  # to which a bore is searched, of itself
PILOTS = 16  # variants that show the others where to begin
WIDE, NARROW = 0.4, 0.05  # first steps on the logarithm of the bore: of the pilots, of the others
RUNS_A_ROW = 12  # about


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
    close: float = CLOSE,
) -> WorkingBores:
    """The smallest bore with which the air leaves in time, the plug taken as working.

    A few variants are searched from the bore that is fitted, the others from where those ended.

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
    close
        How close to the largest bore that fails, of itself.

    Returns
    -------
    WorkingBores
        Bores that passed; with one smaller by ``close`` the air does not leave in time.
    """
    what = said("smallest-bore-of", plug=plug)
    key, works = f"{plug}.bore", f"{plug}.{WORKS}"
    others = {name: array for name, array in values.items() if name not in (key, works)}
    converged = np.ones(rows, dtype=bool)
    found = np.full(rows, np.nan)

    def passes(asked: NDArray[np.int64], bores: Array) -> NDArray[np.bool_]:
        chosen = {name: array[asked] for name, array in others.items()}
        answer = runs.run({**chosen, key: bores, works: np.ones(asked.size)}, what)
        converged[asked] &= answer.converged
        return answer.in_time

    pilots, rest = np.arange(min(rows, PILOTS)), np.arange(min(rows, PILOTS), rows)
    fitted = variable_inputs(runs.case)[key][0]
    found[pilots] = _searched(passes, pilots, fitted, WIDE, close)
    if rest.size:
        near = found[pilots][np.isfinite(found[pilots])]
        start, step = (float(np.median(near)), NARROW) if near.size else (LARGEST, WIDE)
        found[rest] = _searched(passes, rest, start, step, close)
    return WorkingBores(found, converged | np.isfinite(found))


def _searched(
    passes: Callable[[NDArray[np.int64], Array], NDArray[np.bool_]],
    rows: NDArray[np.int64],
    start: float,
    step: float,
    close: float,
) -> Array:
    """Smallest bores that pass: growing steps from a start, then halved; NaN: none does."""
    least, most = math.log(SMALLEST), math.log(LARGEST)
    fails, enough = np.full(rows.size, -np.inf), np.full(rows.size, np.inf)
    trial = np.full(rows.size, min(max(math.log(start), least), most))
    open_rows = np.arange(rows.size)
    while open_rows.size:
        bores = np.clip(np.exp(trial[open_rows]), SMALLEST, LARGEST)
        good = passes(rows[open_rows], bores)
        enough[open_rows[good]] = trial[open_rows[good]]
        fails[open_rows[~good]] = trial[open_rows[~good]]
        between = np.isfinite(fails) & np.isfinite(enough)
        beyond = np.where(np.isfinite(enough), enough - step, fails + step)
        trial = np.clip(beyond, least, most)
        trial[between] = 0.5 * (fails[between] + enough[between])
        step *= 2.0
        over = (enough - fails <= close) | (enough == least) | (fails == most)
        open_rows = open_rows[~over[open_rows]]
    return np.where(np.isfinite(enough), np.clip(np.exp(enough), SMALLEST, LARGEST), np.nan)


def plugs_searched(runs: VariantRuns) -> list[str]:
    """Plugs whose bore can matter: with credit, and open to the air of the deciding vessel."""
    return [
        plug
        for plug in runs.case.plugs
        if plug not in runs.case.uncredited and plug not in runs.out_of_reach
    ]
