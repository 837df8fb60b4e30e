"""One input at a time at both ends of its spread: which of them can turn the answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from airrisk.fire.case import FireCase
from airrisk.installation.model import Installation
from airrisk.study.smallest_bores import plugs_searched, working_bores
from airrisk.study.spreads import Array, SpreadInput
from airrisk.study.variants import VariantAnswers, VariantRuns, finite_number
from airrisk.study.what_if_inputs import Variable, within_bounds
from airrisk.study.what_if_records import Point, Tornado, TornadoBar
from airrisk.verdict.rule import OUTCOMES


def vary_one_at_a_time(
    installation: Installation,
    runs: VariantRuns,
    variable: Variable,
    inputs: Sequence[SpreadInput],
    *,
    bores: bool,
) -> Tornado:
    """Each input at its 5 % and 95 % value; yes or no for a chance.

    Parameters
    ----------
    installation
        For the bounds of the fields.
    runs
        The case.
    variable
        Present values.
    inputs
        What varies.
    bores
        Whether to search the smallest bore of every credited plug in every row.
    """
    rows = 1 + 2 * len(inputs)
    values = {item.key: np.full(rows, variable[item.key][0]) for item in inputs}
    ends: list[tuple[float, float]] = []
    for number, item in enumerate(inputs):
        column = {item.key: np.array(ends_of(item))}
        within_bounds(installation, column)
        low, high = (float(end) for end in column[item.key])
        ends.append((low, high))
        values[item.key][1 + 2 * number] = low
        values[item.key][2 + 2 * number] = high
    points = _points(runs, values, rows, bores)
    bars = []
    for number, (item, (low, high)) in enumerate(zip(inputs, ends, strict=True)):
        at_low, at_high = points[1 + 2 * number], points[2 + 2 * number]
        pair = (at_low.peak_strength_use, at_high.peak_strength_use)
        swing = 0.0 if pair[0] is None or pair[1] is None else abs(pair[1] - pair[0])
        times = (at_low.rupture_without_vent_s, at_high.rupture_without_vent_s)
        later = 0.0 if times[0] is None or times[1] is None else abs(times[1] - times[0])
        bars.append(
            TornadoBar(item.key, item.kind, item.present, low, high, at_low, at_high, swing, later)
        )
    bars.sort(key=lambda bar: (-round(bar.swing, 6), -bar.time_swing_s, bar.key))
    return Tornado(points[0], tuple(bars), bores)


def ends_of(item: SpreadInput) -> tuple[float, float]:
    """Where an input is varied alone: its 5 % and 95 % value; a chance fails and works."""
    return (0.0, 1.0) if item.distribution.kind == "chance" else item.distribution.ends()


def _points(runs: VariantRuns, values: Mapping[str, Array], rows: int, bores: bool) -> list[Point]:
    what = "one at a time"
    fitted = runs.run(values, what)
    bare = runs.run(values, what, without_plugs=True)
    ruptures = np.broadcast_to(bare.rupture, rows)
    vents = np.broadcast_to(runs.first_vents(fitted), rows)
    searched: dict[str, Array] = {}
    if bores:
        for plug in plugs_searched(runs):
            searched[plug] = working_bores(runs, plug, values, rows).bore
    return [
        _point(runs.case, fitted, row, (float(vents[row]), float(ruptures[row])), searched)
        for row in range(rows)
    ]


def _point(
    case: FireCase,
    answers: VariantAnswers,
    row: int,
    times: tuple[float, float],
    bores: Mapping[str, Array],
) -> Point:
    row_ = min(row, answers.outcome.size - 1)
    use = finite_number(answers.peak_use[row_])
    vent, without = finite_number(times[0]), finite_number(times[1])
    return Point(
        outcome=OUTCOMES[answers.outcome[row_]],
        safe=bool(answers.safe[row_]),
        peak_strength_use=use,
        strength_use_margin=None if use is None else case.limit - use,
        first_vent_s=vent,
        rupture_without_vent_s=without,
        time_margin_s=None if vent is None or without is None else without - vent,
        smallest_bore_m={plug: finite_number(found[row]) for plug, found in bores.items()},
        creep_damage=finite_number(answers.creep_damage[row_]) or 0.0,
    )
