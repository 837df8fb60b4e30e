"""Plans are the cheapest of what was tried, and safe when they are assessed from their file."""

from __future__ import annotations

from functools import cache

import pytest

from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import assess
from airrisk.study.costs import CostError, costs_from, usual_costs
from airrisk.study.cure_changes import (
    Change,
    ChangeImpossibleError,
    Edit,
    changed_text,
    read_changed,
    unwritten,
)
from airrisk.study.cure_insulation import insulated
from airrisk.study.cure_plan import PlanSearch, find_plans
from airrisk.study.cure_trials import Bench
from airrisk.wording.cure_plans import change_sentence
from airrisk.wording.units import Units
from tests.study.cure_plants import (
    CALM,
    HEAD,
    ON,
    PLANTS,
    bench_of,
    changes_of,
    cheapest_by_trying_all,
    plug,
    vessel,
)


@cache
def searched(name: str) -> tuple[Bench, tuple[Change, ...], PlanSearch]:
    bench = bench_of(PLANTS[name])
    changes = changes_of(bench)
    return bench, changes, find_plans(bench, changes)


@pytest.mark.parametrize("name", PLANTS)
def test_the_first_plan_costs_what_the_cheapest_set_of_all_costs(name):
    """Property, against every set of up to three changes."""
    bench, changes, search = searched(name)
    best = cheapest_by_trying_all(bench, changes, 3)
    found = search.plans[0].cost if search.plans else None
    assert found == pytest.approx(best)
    assert bench.cells


@pytest.mark.parametrize("name", PLANTS)
def test_each_plan_is_safe_when_it_is_assessed_anew_from_its_file(name):
    bench, _, search = searched(name)
    for plan in search.plans:
        offered = changed_text(bench.text, plan.changes, as_offered=True)
        assert not any(one.safe is False for one in plan.after.verdicts)
        confirmed = changed_text(offered, unwritten(plan.changes))
        for part in read(offered.text).devices():
            confirmed = confirmed.confirm(part.id)
        for vessel_ in read(offered.text).holders():
            confirmed = confirmed.confirm(vessel_.id)
        anew = assess(read(confirmed.text), ON, bores=False)
        asked = [one for one in anew.verdicts if one.outcome is not None]
        assert asked
        assert all(one.safe for one in asked)
        assert {(one.section, one.fire_class, one.safe) for one in anew.verdicts} == {
            (one.section, one.fire_class, one.safe) for one in plan.after.verdicts
        }


def test_what_a_plan_writes_is_offered_and_nobody_counts_on_it_before_it_is_confirmed():
    bench, _, search = searched("a painted plug")
    text = changed_text(bench.text, search.plans[0].changes, as_offered=True)
    answer = assess(read(text.text), ON, bores=False)
    assert answer.offered
    assert any(one.safe is False for one in answer.verdicts)


@pytest.mark.parametrize("name", PLANTS)
def test_a_plan_that_is_only_written_turns_no_verdict_safe(name):
    bench, _, search = searched(name)
    for plan in search.plans:
        text = changed_text(bench.text, plan.changes, as_offered=True)
        answer = assess(read(text.text), ON, bores=False)
        assert any(one.safe is False or (one.safe and not one.sure) for one in answer.verdicts)
        for cell in bench.cells:
            assert not [
                one
                for one in answer.verdicts
                if one.fire_class == cell.fire_class
                and not cell.holders.isdisjoint(one.members)
                and one.sure
            ]


def test_the_costs_decide_between_two_cures():
    bench, changes, search = searched("a painted plug")
    assert search.plans[0].changes[0].kind == "renew"
    dear = tuple(
        Change(one.kind, one.part, one.edits, one.added, one.flames, one.confirmed, one.values,
               99.0 if one.kind == "renew" else one.cost)
        for one in changes
    )  # fmt: skip
    other = find_plans(bench, dear, 1)
    assert all(one.kind != "renew" for plan in other.plans for one in plan.changes)


def test_where_only_keeping_fires_away_helps_the_search_says_so():
    bench, changes, _ = searched("too hot beside it")
    search = find_plans(bench, [one for one in changes if one.kind != "insulate"])
    assert {cell.fire_class for cell in search.without_place} == {"beside"}
    assert search.plans
    assert all(plan.on_the_place for plan in search.plans)


def test_insulation_is_offered_where_half_of_it_is_enough_and_covers_no_plug_that_counts():
    bench, _, search = searched("too hot beside it")
    (plan,) = [one for one in search.plans if one.changes[0].kind == "insulate"]
    assert not plan.on_the_place
    assert all(one.sure for one in plan.after.verdicts if one.safe)
    assert "whole" in {one.fire_class for one in plan.after.verdicts if one.safe}  # by its plug
    written = changed_text(bench.text, plan.changes, as_offered=True)
    assert written.value("FP1", "stands_free") is True
    assert written.value("FP1", "offered") == ["stands_free"]
    assert "insulation_holds_to" in written.value("R1", "offered")
    told = change_sentence(plan.changes[0], plan.after.kinds, Units())
    assert told == (
        "Insulate vessel R1 all over with 50\u00a0mm of high-temperature silicate wool, "
        "whole to 1150\u00a0°C; the head of plug FP1 stands free of it."
    )


def test_a_plug_that_is_fitted_with_the_insulation_stands_free_too():
    bench, changes, _ = searched("no plug")
    (fitted, *_) = [one for one in changes if one.kind == "fit"]
    _, others, _ = searched("too hot beside it")
    (layer,) = [one for one in others if one.kind == "insulate"]
    for chosen in ([fitted, layer], [layer, fitted]):
        assert changed_text(bench.text, chosen).value("FP1", "stands_free") is True
    assert changed_text(bench.text, [fitted]).value("FP1", "stands_free") is None


def test_a_layer_is_tried_only_where_nothing_cures_for_less():
    """Each trial of a layer runs fires; a plug that is enough spares them."""
    _, changes, _ = searched("no plug")
    assert all(one.kind != "insulate" for one in changes)
    bench, _, _ = searched("too hot beside it")
    cheap = usual_costs() | {"insulate": 0.1, "insulate_per_m2_cm": 0.001}
    assert [one.kind for one in insulated(bench, cheap, ())] == ["insulate"]


def test_where_nothing_helps_there_is_no_plan_and_the_verdicts_are_named():
    bench, changes, _ = searched("no plug")
    search = find_plans(bench, [one for one in changes if one.kind not in ("fit", "insulate")])
    assert search.plans == ()
    assert search.incurable


def test_a_safe_installation_has_nothing_to_plan():
    text = HEAD.format(choices=CALM) + vessel(wall="20 mm") + plug("FP1", "R1")
    bench = bench_of(text)
    search = find_plans(bench, changes_of(bench))
    assert (search.cells, search.plans, search.sets) == ((), (), 0)


def test_plans_differ_in_what_they_do():
    _, _, search = searched("a plug in the water")
    done = [{(one.kind, one.part) for one in plan.changes} for plan in search.plans]
    assert all(not (one < other or one == other) for n, one in enumerate(done)
               for other in done[n + 1 :])  # fmt: skip


def test_a_new_plug_keeps_running_margin_oil_limit_top_and_a_safe_outlet():
    _, changes, _ = searched("no plug")
    fitted = [change for change in changes if change.kind == "fit"]
    assert fitted
    for change in fitted:
        fields = dict(change.added)
        assert fields["place"] == "top"
        assert fields["outlet_place"] == "outdoors, nobody passes"
        assert fields["outlet"] == "piped"
    _, _, search = searched("no plug")
    rules = {one.rule for plan in search.plans for one in plan.after.findings}
    assert "plug-melts-too-low" not in rules
    assert "plug-melts-too-high" not in rules


def test_a_change_of_what_is_not_there_is_refused():
    text = SystemText(PLANTS["a painted plug"])
    with pytest.raises(ChangeImpossibleError, match="FP9"):
        changed_text(text, [Change("renew", "FP9", (Edit("FP9", "condition", "clean"),))])
    wrong = changed_text(text, [Change("enlarge", "FP1", (Edit("FP1", "bore", "2 m"),))])
    with pytest.raises(ChangeImpossibleError, match="bore"):
        read_changed(wrong)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[cost]\nrenew = -1.0", "renew"),
        ("[cost]\nrenew = 0", "renew"),
        ("[cost]\nrenew = nan", "renew"),
        ("[cost]\nrenew = true", "renew"),
        ('[cost]\nrenew = "much"', "renew"),
        ("[cost]\npaint = 1", "paint"),
        ("[cost", "cannot be read"),
        ("renew = 1", r"\[cost\]"),
        ("[cost]\n[other]", r"\[cost\]"),
    ],
)
def test_costs_that_nobody_can_mean_are_refused_with_the_key(text, told):
    with pytest.raises(CostError, match=told):
        costs_from(text)


def test_costs_that_are_left_out_count_as_usual():
    assert costs_from("[cost]\nfit = 2") == usual_costs() | {"fit": 2.0}
