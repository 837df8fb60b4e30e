"""Two versions by causes: what is new, solved, accepted, worse, better, and what is only lost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.report.compare_causes import compare_causes
from airrisk.study.causes import CauseRecord
from airrisk.study.records import Failure, Finding
from tests.report import hand_made

PLANT = hand_made.installation()
R1, FP1 = PLANT.vessels[0].id, PLANT.plugs[0].id
FIRE = Finding(
    "fire-outcome", "danger", R1, "",
    {"outcome": "ruptures", "peak_strength_use": 1.0, "rupture_s": 300.0},
    section="L1+R1", fire_class="whole",
)  # fmt: skip
PLUG = Finding("plug-condition", "warning", FP1, "", {"condition": "scaled"})
NOTE = Finding("values-assumed", "note", R1, "")


def version(*causes: tuple[Finding, ...], **more):
    """An answer whose findings stand below these causes."""
    made = tuple(CauseRecord((), group, group[0].severity, 0.0, ()) for group in causes)
    findings = tuple(one for group in causes for one in group)
    return replace(hand_made.assessment(), findings=findings, causes=made, **more), PLANT


def words(finding: Finding) -> str:
    return f"{finding.severity} {dict(finding.values)}"


def statuses(before, after):
    return [
        (one.status, [(low.status) for low in one.findings])
        for one in compare_causes(before, after, words)
    ]


def fire(**values):
    return replace(FIRE, values={**FIRE.values, **values})


@pytest.mark.parametrize(
    ("now", "status"),
    [
        (FIRE, "same"),
        (fire(rupture_s=290.0), "changed"),  # within what counts as the same harm
        (fire(rupture_s=280.0), "worse"),
        (fire(rupture_s=330.0), "better"),
        (replace(fire(outcome="passes the limit", rupture_s=None), severity="danger"), "better"),
        (replace(FIRE, severity="warning"), "better"),
        (replace(FIRE, accepted="A1"), "accepted"),
        # accepted, and yet it does more harm than before: nobody is to overlook that
        (replace(fire(rupture_s=100.0), accepted="A1"), "worse"),
        (replace(FIRE, section="L1+L2+R1"), "same"),  # a line was added to its section
    ],
)
def test_a_finding_of_both_versions(now, status):
    assert statuses(version((FIRE,)), version((now,))) == [(status, [status])]


def test_an_acceptance_that_ended_is_told():
    before = version((replace(FIRE, accepted="A1"),))
    assert statuses(before, version((FIRE,))) == [
        ("no longer accepted", ["no longer accepted"])
    ]  # fmt: skip


def test_new_and_solved_causes():
    assert statuses(version((FIRE,)), version((FIRE,), (PLUG,))) == [
        ("new", ["new"]), ("same", ["same"]),
    ]  # fmt: skip
    assert statuses(version((FIRE,), (PLUG,)), version((FIRE,))) == [
        ("solved", ["solved"]), ("same", ["same"]),
    ]  # fmt: skip


def test_what_the_file_has_lost_or_nobody_knows_is_not_solved():
    before = version((PLUG,))
    answer, plant = version()
    assert statuses(before, (answer, replace(plant, plugs=()))) == [("removed", ["removed"])]
    failed = replace(answer, failures=(Failure("fire", R1, "no end"),))
    assert statuses(before, (failed, plant)) == [("not assessed", ["not assessed"])]


def test_what_a_graver_finding_has_taken_the_place_of_is_not_solved():
    """A doubt about a safe verdict goes as soon as the verdict is not safe at all."""
    assert statuses(version((NOTE,)), version((FIRE,))) == [
        ("new", ["new"]), ("overtaken", ["overtaken"]),
    ]  # fmt: skip
    elsewhere = replace(FIRE, part="R9")
    assert statuses(version((NOTE,)), version((elsewhere,)))[1] == ("solved", ["solved"])


def test_a_finding_more_makes_a_cause_worse_and_one_less_better():
    assert statuses(version((FIRE,)), version((FIRE, NOTE))) == [("worse", ["same", "new"])]
    assert statuses(version((FIRE, NOTE)), version((FIRE,))) == [("better", ["same", "solved"])]
    # one solved beside one that is worse: worse is said
    assert statuses(version((FIRE, NOTE)), version((fire(rupture_s=60.0),)))[0][0] == "worse"
    # a cause of which the rest was accepted
    rest = replace(FIRE, accepted="A1")
    assert statuses(version((FIRE, PLUG)), version((rest, PLUG)))[0][0] != "accepted"


def test_no_finding_is_lost_and_none_told_twice():
    groups = [(FIRE, NOTE), (PLUG,)]
    before = version(*groups)
    for after in (version((FIRE, PLUG, NOTE)), version((NOTE,)), version(), before):
        told = [low for one in compare_causes(before, after, words) for low in one.findings]
        assert {id(low.before) for low in told if low.before} == {
            id(one) for group in groups for one in group
        }
        assert len([low for low in told if low.before]) == 3
        assert len([low for low in told if low.after]) == len(after[0].findings)


def test_without_causes_each_finding_stands_alone():
    answer, plant = version((FIRE, NOTE))
    bare = replace(answer, causes=None), plant
    assert statuses(bare, bare) == [("same", ["same"]), ("same", ["same"])]
