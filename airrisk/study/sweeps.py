"""One input over its range, or two over a grid, and where safe turns to unsafe."""

from __future__ import annotations

import numpy as np

from airrisk.messages import said
from airrisk.study.safe_border import border_pieces, turning_points
from airrisk.study.spreads import Array
from airrisk.study.variants import VariantRuns, finite_numbers
from airrisk.study.what_if_records import Sweep, SweepMap, SweptInput
from airrisk.verdict.rule import OUTCOMES


def sweep(runs: VariantRuns, one: SweptInput) -> Sweep:
    """One input over its range, and where the answer turns."""
    what = said("sweep-of", key=one.key)
    grid = {one.key: np.array(one.values)}
    fitted = runs.run(grid, what)
    bare = runs.run(grid, what, without_plugs=True)
    ruptures = np.broadcast_to(bare.rupture, len(one.values))
    turns = turning_points(
        one.values, fitted.safe, lambda values: runs.run({one.key: values}, what).safe
    )
    return Sweep(
        swept=one,
        outcomes=tuple(OUTCOMES[code] for code in fitted.outcome),
        safe=tuple(fitted.safe.tolist()),
        peak_strength_use=finite_numbers(fitted.peak_use),
        first_vent_s=finite_numbers(runs.first_vents(fitted)),
        rupture_without_vent_s=finite_numbers(ruptures),
        crossings=turns,
        strength_use_limit=runs.case.limit,
    )


def sweep_map(runs: VariantRuns, x: SweptInput, y: SweptInput) -> SweepMap:
    """Two inputs over a grid, and the border between safe and unsafe."""
    what = said("map-of", x=x.key, y=y.key)
    across, up = np.meshgrid(np.array(x.values), np.array(y.values))
    found = runs.run({x.key: across.ravel(), y.key: up.ravel()}, what)
    safe = found.safe.reshape(across.shape)

    def is_safe(xs: Array, ys: Array) -> np.ndarray:
        return runs.run({x.key: xs, y.key: ys}, what).safe

    codes = found.outcome.reshape(across.shape)
    uses = found.peak_use.reshape(across.shape)
    return SweepMap(
        x=x,
        y=y,
        outcomes=tuple(tuple(OUTCOMES[code] for code in row) for row in codes),
        safe=tuple(tuple(row.tolist()) for row in safe),
        peak_strength_use=tuple(finite_numbers(row) for row in uses),
        border=border_pieces(x.values, y.values, safe, is_safe),
        strength_use_limit=runs.case.limit,
    )
