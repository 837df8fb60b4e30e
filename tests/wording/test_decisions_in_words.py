"""What is said of work about a finding: open, overdue, done without an end of the finding."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from airrisk.installation.model import Action
from airrisk.report.action_tables import action_cells, causes_of_actions
from airrisk.study.action_register import action_rows
from airrisk.study.causes import CauseRecord
from airrisk.study.open_work import open_work, proposed_day
from airrisk.study.records import SEVERITIES, Finding
from airrisk.wording.acceptances import decision_sentences
from airrisk.wording.units import Units
from tests.report import hand_made

ON = hand_made.assessment().on
DAY = dt.timedelta(days=1)
FINDING = Finding("plug-condition", "warning", "FP1", "")
ACTION = Action(
    id="A1", rule="plug-condition", part="fp1", decision="do", text="renew it", owner="Stores"
)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "Action A1 is open: renew it (Stores, no date)."),
        ({"owner": "", "due": ON}, "Action A1 is open: renew it (nobody is named, due "),
        ({"due": ON - DAY}, "Action A1 is overdue: renew it (Stores, due "),
        ({"done": ON, "due": ON - DAY}, "Action A1 is noted as done on "),
        # a day that has not come is no evidence
        ({"done": ON + DAY, "due": ON - DAY}, "Action A1 is overdue: renew it (Stores, due "),
    ],
)
def test_work_about_a_finding_is_told_with_it(changes, told):
    answer = replace(hand_made.assessment(), actions=(replace(ACTION, **changes),))
    (sentence,) = decision_sentences(FINDING, answer)
    assert sentence.startswith(told)
    assert ("still found" in sentence) == ("noted" in told)


def test_work_about_another_finding_is_not_told():
    answer = replace(hand_made.assessment(), actions=(replace(ACTION, rule="plug-overdue"),))
    assert decision_sentences(FINDING, answer) == ()
    assert open_work((FINDING,), (replace(ACTION, decision="accept"),), ON) == ()


def test_the_graver_the_sooner():
    days = [proposed_day(severity, ON) for severity in SEVERITIES]
    assert days == sorted(set(days))
    assert days[0] > ON


def test_the_register_names_the_causes_that_an_action_is_about():
    other = replace(FINDING, rule="plug-overdue")
    causes = tuple(CauseRecord((), (one,), "warning", 0.0, ()) for one in (other, FINDING))
    answer = replace(hand_made.assessment(), actions=(ACTION,), causes=causes)
    assert causes_of_actions(answer) == {"A1": (2,)}
    (row,) = action_rows(replace(hand_made.installation(), actions=(ACTION,)), ON, ())
    assert action_cells(row, answer, Units(), (2,))[2].endswith("(cause 2)")
    assert "(cause" not in action_cells(row, answer, Units())[2]
