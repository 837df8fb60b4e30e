"""The larger plant shows what its header says: a matrix, few causes, and a plan that is proven."""

from __future__ import annotations

from functools import cache

import pytest

from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import assess
from airrisk.study.cache import StepCache
from airrisk.study.cure_changes import changed_text, unwritten
from airrisk.study.cures import with_cures
from airrisk.study.overview import section_rows
from airrisk.study.records import Assessment
from tests.samples.answers import sample_answer, sample_installation, sample_source
from tests.samples.test_headers import header

NAME = "tile-works"
STEPS = StepCache()


@cache
def cured() -> Assessment:
    """With causes and plans; the steps of the trials stay in ``STEPS``."""
    whole = sample_installation(NAME)
    return with_cures(sample_answer(NAME), whole, sample_source(NAME), cache=STEPS)


@pytest.mark.parametrize(
    "claim",
    [
        "Three compressors fill a ring main",
        "a booster serves the dust filters",
        "eight vessels behind fifteen valves, with ten plugs",
        "a plan is proven to make every section safe",
    ],
)
def test_the_tile_works_say_what_the_tests_below_hold(claim: str) -> None:
    assert claim in header(NAME)


def test_the_tile_works_are_as_large_as_they_say() -> None:
    whole = sample_installation(NAME)
    kinds = (whole.compressors, whole.vessels, whole.lines, whole.valves, whole.plugs)
    assert [len(one) for one in kinds] == [4, 8, 20, 15, 10]
    ring = {one.id for one in whole.lines if {one.from_, one.to} <= {"J1", "J2", "J3", "J4"}}
    assert len(ring) == 4
    assert all(one.at is not None for one in (*whole.parts(), *whole.fire_sources))
    assert whole.inspections
    assert whole.actions


def test_every_section_with_a_vessel_stands_in_the_matrix() -> None:
    answer = sample_answer(NAME)
    rows = section_rows(answer)
    assert {name for row in rows for name in row.members} >= set(answer.consequences)
    assert all(row.asked for row in rows)
    assert sum(bool(row.unsafe) for row in rows) == 4


def test_the_findings_come_to_at_most_twenty_causes_and_none_is_lost() -> None:
    causes = cured().causes
    assert causes is not None
    assert len(causes) <= 20
    below = [id(one) for cause in causes for one in cause.findings]
    assert sorted(below) == sorted(id(one) for one in cured().findings)
    dangers = [one for one in causes if one.severity == "danger"]
    assert dangers
    assert all(one.changes for one in dangers)


def test_applying_the_first_plan_leaves_the_matrix_without_danger() -> None:
    """The file that the plan writes, confirmed, with what a file cannot hold as offered."""
    search = cured().plans
    assert search is not None
    plan = search.plans[0]
    text = changed_text(SystemText(sample_source(NAME)).up_to_date(), plan.changes, as_offered=True)
    text = changed_text(text, unwritten(plan.changes))
    whole = read(text.text)
    for part in (*whole.parts(), *whole.devices()):
        text = text.confirm(part.id)
    anew = assess(read(text.text), plan.after.on, bores=False, cache=STEPS)
    asked = [one for one in anew.verdicts if one.outcome is not None]
    assert len(asked) >= len([one for one in cured().verdicts if one.outcome is not None])
    assert all(one.safe for one in asked)
    assert not anew.failures
    assert not any(one.severity == "danger" for one in anew.findings)
