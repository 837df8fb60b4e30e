"""Causes against trying by force: what a change cures is gone, nothing is lost, nothing claimed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from airrisk.fire.stopping import Cancelled
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import Watcher, assess
from airrisk.study.cache import StepCache
from airrisk.study.causes import causes_of
from airrisk.study.cure_changes import Change, Edit, changed_text
from airrisk.study.cure_trials import Bench, gone_findings, is_cured
from airrisk.study.cures import with_cures
from airrisk.study.records import SEVERITIES, Finding
from tests.independent.random_systems import random_system
from tests.study.cure_plants import HEAD, ON, PLANTS, bench_of, changes_of, plug, vessel

SEEDS = (4, 9)


@cache
def made(name):
    text = PLANTS[name] if name in PLANTS else SystemText(random_system(name)).up_to_date().text
    bench = bench_of(text)
    changes = changes_of(bench)
    return bench, changes, causes_of(bench, changes)


CASES = [*PLANTS, *SEEDS]


@pytest.mark.parametrize("name", CASES)
def test_every_finding_stands_below_exactly_one_cause(name):
    bench, _, causes = made(name)
    below = Counter(id(one) for cause in causes for one in cause.findings)
    assert below == Counter(id(one) for one in bench.before.findings)


@pytest.mark.parametrize("name", CASES)
def test_after_the_change_of_a_cause_its_findings_are_gone(name):
    """Property: a fresh assessment of the changed file, without anything remembered."""
    bench, _, causes = made(name)
    for cause in causes:
        if not cause.changes:
            continue
        text = changed_text(bench.text, cause.changes)
        anew = assess(read(text.text), ON, bores=False)
        for gone in cause.findings:
            assert not any(
                (one.rule, one.part, one.fire_class) == (gone.rule, gone.part, gone.fire_class)
                for one in anew.findings
            )
        # of a verdict that stays unsafe another part may be the worst now
        dangers = {(one.rule, one.section or one.part) for one in bench.before.findings}
        assert all(
            (one.rule, one.section or one.part) in dangers
            for one in anew.findings
            if one.severity == "danger"
        )


@pytest.mark.parametrize("name", CASES)
def test_what_no_change_cures_is_cured_by_none_of_them(name):
    bench, changes, causes = made(name)
    lost = [one for cause in causes if not cause.changes for one in cause.findings]
    for change in changes:
        trial = bench.trial([change])
        if trial is None or trial.harm:
            continue
        gone = {id(bench.before.findings[place]) for place in trial.gone}
        assert not any(id(one) in gone for one in lost)


@pytest.mark.parametrize("name", CASES)
def test_causes_stand_by_rank(name):
    _, _, causes = made(name)
    ranks = [(SEVERITIES.index(one.severity), -one.energy_j) for one in causes]
    assert ranks == sorted(ranks)
    for cause in causes:
        assert cause.severity == cause.findings[0].severity


def test_a_part_that_no_fire_asks_any_more_is_not_cured():
    bench, _, _ = made("no plug")
    after = bench.before
    assert not any(is_cured(cell, after) for cell in bench.cells)
    none = [one for one in after.verdicts if one.outcome is None]
    gone = type(after)(**{**vars(after), "verdicts": tuple(none)})
    assert not any(is_cured(cell, gone) for cell in bench.cells)


def test_findings_on_bores_are_gone_only_with_their_fires():
    """A trial searches no bores, so that silence on a bore says nothing."""
    text = PLANTS["a second vessel behind a valve"]
    cache_ = StepCache()
    installation = read(text)
    before = assess(installation, ON, bores=True, cache=cache_)
    bench = Bench(SystemText(text), installation, ON, before, cache_)
    causes = causes_of(bench, changes_of(bench))
    for cause in causes:
        for one in cause.findings:
            if one.rule in ("bore-too-small", "bore-without-margin") and cause.changes:
                assert cause.cured


@pytest.mark.parametrize("rule", ["bore-too-small", "fire-source-too-near"])
def test_a_finding_that_no_trial_asks_for_is_not_gone_because_it_is_silent(rule):
    bench, _, _ = made("a painted plug")
    own = Finding(rule, "warning", "R1", "")
    before = replace(bench.before, findings=(own,))
    after = replace(bench.before, findings=())
    assert gone_findings(before, (), after) == ()
    assert gone_findings(before, bench.cells, after) == ()
    safe = tuple(replace(one, safe=True) for one in after.verdicts)
    assert gone_findings(before, bench.cells, replace(after, verdicts=safe)) == (0,)


def test_the_door_adds_causes_and_plans_to_an_answer():
    text = PLANTS["a painted plug"]
    answer = assess(read(text), ON, bores=False)
    assert answer.causes is None
    parts = []
    watcher = Watcher(partial=lambda name, found: parts.append((name, found)))
    found = with_cures(answer, read(text), text, watcher=watcher)
    assert found.causes
    assert found.plans.plans
    assert [name for name, _found in parts] == ["causes"]  # told before plans are looked for
    assert parts[0][1].causes == found.causes
    assert parts[0][1].plans is None


def test_a_search_stops_before_its_next_change_is_tried():
    text = PLANTS["a painted plug"]
    answer = assess(read(text), ON, bores=False)
    told = []
    watcher = Watcher(lambda *_told: told.append(1), lambda: len(told) >= 2)
    with pytest.raises(Cancelled):
        with_cures(answer, read(text), text, watcher=watcher)
    assert len(told) == 2


def test_a_bore_is_large_enough_once_the_fires_that_heat_its_plug_are_safe():
    """A fire beside the vessel, which no plug answers, does not keep the finding on its bore."""
    text = HEAD.format(choices="") + vessel(wall="5 mm") + plug("FP1", "R1")
    text = text.replace('bore = "20 mm"', 'bore = "2 mm"')
    installation, cache = read(text), StepCache()
    before = assess(installation, ON, cache=cache)
    bench = Bench(SystemText(text), installation, ON, before, cache)
    assert "beside" in {cell.fire_class for cell in bench.cells}
    trial = bench.trial([Change("enlarge", "FP1", (Edit("FP1", "bore", "20 mm"),), cost=3.0)])
    assert trial is not None
    assert "beside" not in {cell.fire_class for cell in trial.cured}
    assert "bore-too-small" in {before.findings[place].rule for place in trial.gone}
