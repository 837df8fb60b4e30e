"""Changes, causes and plans in words."""

from __future__ import annotations

from typing import get_args

import pytest

from airrisk.study.cure_changes import Change, ChangeKind, Edit
from airrisk.study.cure_plan import find_plans
from airrisk.wording.cure_plans import (
    before_and_after,
    cause_cure,
    cause_lines,
    change_sentence,
    cheapest_cure_sentence,
    plan_sentences,
    search_sentences,
)
from airrisk.wording.units import Units
from tests.study.cure_plants import PLANTS, bench_of, changes_of
from tests.study.test_cure_plans import searched

UNITS = Units("metric", 101325.0)
VALUES = {
    "on": "R1", "alloy": "tin", "bore_m": 0.02, "fires": ("F1",), "valves": ("V1",),
    "pressure_pa": 1.2e6, "water_m3": 0.04, "gap_m": 3.5, "flux_w_m2": 4e4, "from_w_m2": 5e4,
    "height_m": 4.5, "resists_s": 1800.0, "machines": ("C1", "C2"), "relief_valves": ("RV1",),
    "set_pa": 8.0e5, "layer": "high-temperature silicate wool", "parts": ("R1",),
    "plugs": ("FP1",), "thickness_m": 0.05, "holds_to_k": 1423.15,
}  # fmt: skip


@pytest.mark.parametrize("kind", get_args(ChangeKind))
def test_every_kind_of_change_is_one_whole_sentence(kind):
    text = change_sentence(Change(kind, "FP1", values=VALUES), {"FP1": "plug"}, UNITS)
    assert text.endswith(".")
    assert "{" not in text
    assert len(text.split()) <= 30
    assert text[0].isupper()


def test_a_cause_that_nothing_cures_says_so_and_keeps_its_findings():
    from airrisk.study.causes import causes_of

    bench = bench_of(PLANTS["a painted plug"])
    causes = causes_of(bench, changes_of(bench))
    told = [cause_cure(one, bench.before.kinds, UNITS) for one in causes]
    assert any(one.startswith("No change that was tried cures all of this. ") for one in told)
    assert sum(len(cause_lines(one, UNITS)) for one in causes) == len(bench.before.findings)


def test_a_plan_says_what_it_is_proven_for_and_what_it_leans_on():
    bench, changes, _ = searched("too hot beside it")
    search = find_plans(bench, [one for one in changes if one.kind != "insulate"])
    (plan, *_) = search.plans
    told = " ".join(plan_sentences(plan))
    assert "as if they were confirmed" in told
    assert "promise about the place" in told
    assert "still ruptures vessel R1" in told
    assert any(
        "Only a promise about the place does" in one
        for one in search_sentences(search, bench.before)
    )
    rows = before_and_after(bench.before, plan)
    assert {row[0] for row in rows} == {"R1"}
    assert all("sure" in after for *_, after in rows)


def test_without_a_search_nothing_is_said_of_a_cure():
    bench, _, _ = searched("no plug")
    assert cheapest_cure_sentence(bench.before, UNITS) == ""


@pytest.mark.parametrize("kind", ["renew", "move", "fit"])
def test_a_change_that_takes_insulation_off_a_plug_says_so(kind):
    edits = () if kind == "fit" else (Edit("FP1", "stands_free", True),)
    added = (("stands_free", True),) if kind == "fit" else ()
    kinds = {"FP1": "plug", "R1": "vessel"}
    free = change_sentence(Change(kind, "FP1", edits, added, values=VALUES), kinds, UNITS)
    plain = change_sentence(Change(kind, "FP1", values=VALUES), kinds, UNITS)
    assert free == (
        plain + " Cut the insulation back there, so that head and outlet of the plug stand free."
    )
