"""The chance that a plug works, counted on 184: its interval, and the plug's own inspections."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from airrisk.installation import reading
from airrisk.installation.inputs import input_of
from airrisk.installation.model import Inspection
from airrisk.study.counted_chances import plug_inspections, share_at_ends
from airrisk.study.sampling import share
from airrisk.study.spreads import Distribution, SpreadInput, default_distribution
from airrisk.study.what_if import Questions, what_if
from airrisk.wording.units import Units
from airrisk.wording.what_if_texts import distribution_text, sampled_sentences
from tests.study.one_receiver import ON, SYSTEM, few_runs


def works(plug: str = "FP1") -> SpreadInput:
    entry = input_of("plug", f"{plug}.works")
    return SpreadInput(f"{plug}.works", 1.0, "share", default_distribution(entry, 1.0))


def test_the_interval_is_that_of_the_count_in_the_register():
    """Published: 10 % of 184 would not have operated (NBS RP129, 1930), so 18 or 19; arithmetic:
    Wilson's 95 % interval of both counts, in whole percents."""
    counts = [share(184 - failed, 184) for failed in (18, 19)]
    low = min(round(one.low, 2) for one in counts)
    high = max(round(one.high, 2) for one in counts)
    assert works().distribution.interval == (low, high)
    assert works().distribution.parameters["probability"] == pytest.approx(
        counts[0].value, abs=5e-3
    )


def test_the_share_at_the_ends_is_that_of_samples_drawn_there():
    """Analytic: a plug that alone decides acts first as often as it works; two that must both
    work do so with the square."""
    rng = np.random.default_rng(3)
    values = {f"FP{k}.works": (rng.uniform(size=200_000) < 0.9).astype(float) for k in (1, 2)}
    one, other = (array > 0.5 for array in values.values())
    ends = share_at_ends([works("FP1")], values, one)
    assert ends.chances == (0.84, 0.94)
    assert ends.acts_first == pytest.approx((0.84, 0.94), abs=3e-3)
    both = share_at_ends([works("FP1"), works("FP2")], values, one & other)
    assert both.acts_first == pytest.approx((0.84**2, 0.94**2), abs=4e-3)


def test_a_chance_that_somebody_states_has_no_interval():
    typed = SpreadInput("FP1.works", 1.0, "share", Distribution("chance", {"probability": 0.7}))
    values = {"FP1.works": np.ones(4)}
    assert share_at_ends([typed], values, np.ones(4, dtype=bool)) is None
    assert plug_inspections(reading.read(SYSTEM), ON, [typed]) == ()


@pytest.fixture
def sampled(monkeypatch):
    few_runs(monkeypatch)

    def ask(*entries: Inspection, system: str = SYSTEM, **questions):
        plant = replace(reading.read(system), inspections=entries)
        return what_if(plant, ON, Questions(samples=60, tornado=False, **questions)).sampled

    return ask


def seen(day: int, **other) -> Inspection:
    return Inspection(on="FP1", date=dt.date(2026, 3, day), **other)


def test_the_interval_and_the_inspections_are_told_beside_the_chance(sampled):
    answer = sampled(seen(1, condition="scaled"), seen(20, condition="clean"))
    (one,) = answer.inspections
    assert (one.plug, one.inspections, one.faults) == ("FP1", 2, 1)
    assert (one.last, one.last_condition) == (dt.date(2026, 3, 20), "clean")
    item = next(item for item in answer.inputs if item.key == "FP1.works")
    text = distribution_text(item, Units()).replace("\u00a0", " ")
    assert text == "yes with 90 % (95 % interval of the count: 84 % to 94 %)"
    told = " ".join(sampled_sentences(answer)).replace("\u00a0", " ")
    low, high = answer.at_ends.acts_first
    assert low < answer.plug_acts_first.value < high
    assert "with 84 % or 94 % working, it acts first in" in told
    assert "Plug FP1: 2 inspection(s) since its fitting, 1 of them with a fault." in told
    assert "found it clean" in told
    assert "the chance stays that of the old register" in told


def test_without_inspections_that_is_told(sampled):
    before = Inspection(on="FP1", date=dt.date(2025, 12, 1), condition="clean")  # its predecessor
    told = " ".join(sampled_sentences(sampled(before)))
    assert "Plug FP1: no inspection since its fitting is recorded." in told
    # where that the plug works is not drawn, nothing is said about its chance
    assert "register" not in " ".join(sampled_sentences(sampled(vary=("R1.wall_thickness",))))


def test_a_bore_that_opens_in_part_is_drawn_and_makes_the_load_higher(sampled):
    """Property: a bore that is hardly enough holds the load up the more, the less of it opens."""
    tight = SYSTEM.replace('bore = "25 mm"', 'bore = "13 mm"')
    answer = sampled(vary=("FP1.opening_share",), system=tight)
    (item,) = answer.inputs
    assert item.parameters == {"low": 0.5, "mode": 1.0, "high": 1.0}
    assert item.standing == "J"
    said = distribution_text(item, Units()).replace("\u00a0", " ")
    assert said == "triangle that rises from 50 % to 100 %"
    whole = sampled(vary=("FP1.works",), system=tight).peak_strength_use.quantiles["0.01"]
    assert answer.peak_strength_use.quantiles["0.01"] > whole - 1e-9
    assert answer.peak_strength_use.quantiles["0.95"] > 1.05 * whole
    assert answer.indices.total == pytest.approx((1.0,), abs=0.5)
