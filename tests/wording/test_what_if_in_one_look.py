"""What a study says in one look: the share, what it hangs on, what would settle it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.wording.units import Units
from airrisk.wording.what_if_charts import map_chart, outcome_bars
from airrisk.wording.what_if_texts import in_one_look
from tests.report.test_what_if_sections import MAP, SAMPLED, SPREAD

UNITS = Units("metric", 101325.0)


def look(**changes) -> str:
    return " ".join(in_one_look(replace(SAMPLED, **changes))).replace("\u00a0", " ")


def test_the_share_comes_first_and_chance_is_told_apart_from_the_metal():
    told = look()
    assert told.startswith("The plug acts first in 88 % of the samples")
    assert "Where every credited plug works: 97.2 %" in told
    assert "With every credited plug working, the highest strength use hangs most on R1" in told


@pytest.mark.parametrize(
    ("first", "low", "high", "left"),
    [(0.75, 0.64, 0.84, "50 % of what it is (40 % to 60 %)"), (0.3, -0.05, 0.6, None)],
)
def test_what_knowing_an_input_leaves_of_the_doubt(first, low, high, left):
    # arithmetic: the variance that is left is 1 - S, the deviation its root
    assert SAMPLED.indices_if_all_work is not None
    found = replace(
        SAMPLED.indices_if_all_work, first_order=(first,), first_low=(low,), first_high=(high,)
    )
    told = look(indices_if_all_work=found)
    # an index that may be nothing promises nothing
    assert ("would fall" in told) == (left is not None)
    assert left is None or left in told


def test_where_all_samples_are_alike_nothing_is_shared_out():
    alike = replace(SPREAD, deviation=0.0)
    told = look(peak_strength_use=alike)
    assert "hangs most" not in told
    assert "would fall" not in told


def test_outcomes_that_no_sample_came_to_have_no_bar():
    chart = outcome_bars(SAMPLED)
    assert len(chart.bars) == 4
    assert all(bar.value > 0.0 for bar in chart.bars)
    assert "In no sample: outlasts the fire." in chart.caption


@pytest.mark.parametrize(("safe", "said"), [(True, "all runs are safe"), (False, "no run is safe")])
def test_a_map_without_a_border_says_why(safe, said):
    flags = tuple(tuple(safe for _ in row) for row in MAP.safe)
    outcomes = tuple(
        tuple("vents in time" if safe else "ruptures" for _ in row) for row in MAP.outcomes
    )
    bare = replace(MAP, safe=flags, outcomes=outcomes, border=())
    assert said in map_chart(bare, UNITS).caption
    assert "halving" in map_chart(MAP, UNITS).caption
