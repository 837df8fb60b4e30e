"""A station as somebody types it first: its plan needs more than two changes of one section."""

from __future__ import annotations

from functools import cache

import pytest

from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.causes import causes_of
from airrisk.study.costs import usual_costs
from airrisk.study.cure_changes import Change, changed_text
from airrisk.study.cure_plan import PlanSearch, find_plans
from airrisk.study.cure_trials import Bench
from airrisk.study.section_cures import SectionCures
from tests.study.cure_plants import CALM, ON, bench_of, changes_of

STATION = """format = 2
title = "Invented station"

[choices]
{choices}

[[compressor]]
id = "C1"
delivery = "5 m3/min"
discharge_pressure = "10 bar(g)"

[[vessel]]
id = "R1"
role = "aftercooler"
inside_diameter = "310 mm"
volume = "60 L"
wall_thickness = "3 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "11 bar(g)"

[[vessel]]
id = "R2"
inside_diameter = "1140 mm"
volume = "3 m3"
wall_thickness = "6.5 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "11 bar(g)"

[[line]]
id = "L1"
from = "C1"
to = "R1"
length = "5 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[line]]
id = "L2"
from = "R1"
to = "R2"
length = "5 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[plug]]
id = "FP1"
on = "R2"
alloy = "tin"
bore = "12 mm"
condition = "clean"

[[relief_valve]]
id = "RV1"
on = "R2"
set_pressure = "11 bar(g)"
area = "78.5 mm2"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R2"]
duration = "30 min"
"""
CHOICES = {"calm beside it": CALM, "as usual beside it": ""}


@cache
def searched(name: str) -> tuple[Bench, tuple[Change, ...], SectionCures, PlanSearch]:
    bench = bench_of(STATION.format(choices=CHOICES[name]))
    changes = changes_of(bench)
    sections = SectionCures(bench, usual_costs(), changes)
    return bench, changes, sections, find_plans(bench, changes, sections=sections)


@pytest.mark.parametrize("name", CHOICES)
def test_without_such_groups_there_is_no_plan(name):
    bench, changes, _, _ = searched(name)
    assert find_plans(bench, changes).plans == ()


@pytest.mark.parametrize("name", CHOICES)
def test_the_plan_is_safe_when_its_file_is_assessed_anew_and_less_of_it_is_not(name):
    bench, _, _, search = searched(name)
    assert search.plans
    for plan in search.plans:
        assert len(plan.changes) > 2
        assert _all_safe(bench, plan.changes)
        for left_out in plan.changes:
            assert not _all_safe(bench, [one for one in plan.changes if one != left_out])


def test_layers_on_the_lines_too_are_tried_where_layers_hinder_the_plugs():
    _, _, _, search = searched("as usual beside it")
    layers = [one for plan in search.plans for one in plan.changes if one.kind == "insulate"]
    assert any("L1" in one.values["parts"] for one in layers)


def test_a_cause_that_only_a_group_cures_names_all_of_it():
    bench, changes, sections, search = searched("calm beside it")
    causes = causes_of(bench, changes, sections)
    assert any(len(one.changes) > 2 and one.cured for one in causes)
    cured = {cell for one in causes for cell in one.cured}
    assert {(cell.section, cell.fire_class) for cell in search.cells} <= cured


def test_a_section_that_no_group_cures_is_named():
    """Its wall lets go before anything melts, with and without layers."""
    thin = STATION.format(choices=CALM).replace('"3 mm"', '"0.8 mm"')
    bench = bench_of(thin)
    changes = [one for one in changes_of(bench) if one.kind != "insulate"]
    sections = SectionCures(bench, usual_costs() | {"insulate": 1e6}, changes)
    search = find_plans(bench, changes, sections=sections)
    assert search.plans == ()
    assert search.groups > 0
    assert {cell.fire_class for cell in search.incurable} >= {"whole"}


def test_what_can_be_cured_of_a_section_is_told_where_something_else_of_it_cannot():
    """Nothing but a dear layer answers the fire beside it, and there is none here."""
    bench, changes, _, _ = searched("as usual beside it")
    few = [one for one in changes if one.kind not in ("insulate", "keep_away", "lower")]
    sections = SectionCures(bench, usual_costs(), few)
    sections._groups = lambda cells, holders: [  # type: ignore[method-assign]
        group
        for group in SectionCures._groups(sections, cells, holders)
        if all(one.kind != "insulate" for one in group)
    ]
    cured = {cell for one in causes_of(bench, few, sections) for cell in one.cured}
    assert {fire_class for _, fire_class in cured} >= {"whole", "stated"}
    search = find_plans(bench, few, sections=sections)
    assert search.plans == ()
    assert "beside" in {cell.fire_class for cell in search.incurable}


def _all_safe(bench: Bench, changes: object) -> bool:
    answer = assess(read(changed_text(bench.text, changes).text), ON, bores=False)
    asked = [one for one in answer.verdicts if one.outcome is not None]
    return bool(asked) and all(one.safe for one in asked)
