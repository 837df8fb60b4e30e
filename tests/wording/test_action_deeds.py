"""Every action says in words what is to be done, and who does it by when is told with its deed."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from airrisk.installation.model import Action
from airrisk.report.action_tables import action_cells
from airrisk.study.action_register import action_rows
from airrisk.study.actions import with_acceptances
from airrisk.study.records import Finding
from airrisk.wording.action_deeds import action_deed, work_cells
from airrisk.wording.findings import finding_cure
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units()
ON = hand_made.assessment().on
DAY = dt.timedelta(days=1)
FINDING = Finding(
    "plug-overdue", "warning", "FP1", "",
    {"device": "FP1", "on": "R1", "due": ON - DAY, "days_late": 1},
)  # fmt: skip
ACTION = Action(
    id="A1", rule="plug-overdue", part="FP1", decision="do", text="renew it", owner="Stores",
    due=ON + 30 * DAY,
)  # fmt: skip
ACCEPTED = Action(
    id="A2", rule="plug-overdue", part="FP1", decision="accept", reason="stock is on its way.",
    by="Safety", until=ON + 30 * DAY,
)  # fmt: skip


def told(action: Action, *found: Finding) -> str:
    findings = with_acceptances(found, (action,), ON)
    (row,) = action_rows(replace(hand_made.installation(), actions=(action,)), ON, findings)
    answer = replace(
        hand_made.assessment(), actions=(action,), findings=findings, action_register=(row,)
    )
    deed = action_deed(row, answer, UNITS)
    assert action_cells(row, answer, UNITS)[4] == deed
    return deed


def test_an_action_says_what_is_to_be_done():
    assert told(ACTION, FINDING) == "renew it"


@pytest.mark.parametrize("text", ["-", "?", "1", " . "])
def test_an_action_without_a_word_takes_the_cure_of_its_finding(text):
    action = replace(ACTION, text=text)
    assert told(action, FINDING) == finding_cure(FINDING, UNITS)
    # nothing is found any more, and the row still says what it was about
    assert told(action).startswith("See to this: ")


def test_an_acceptance_says_when_to_decide_again():
    until = (ON + 30 * DAY).isoformat()
    assert told(ACCEPTED, FINDING) == (
        f"Decide again by {until}. Until then it may stay: stock is on its way."
    )


def test_an_acceptance_that_no_longer_holds_asks_for_the_cure():
    deed = told(replace(ACCEPTED, until=ON - DAY), FINDING)
    assert deed == f"Decide again: its date has passed. {finding_cure(FINDING, UNITS)}"
    assert "may stay" not in deed


def test_an_acceptance_of_nothing_is_to_be_taken_out():
    assert told(ACCEPTED) == "Take this acceptance out of the file: its finding is gone."


@pytest.mark.parametrize(
    ("changes", "cells"),
    [
        ({}, ("Stores (A1)", (ON + 30 * DAY).isoformat())),
        ({"due": ON - DAY}, ("Stores (A1)", f"{(ON - DAY).isoformat()}, overdue")),
        ({"due": None, "owner": ""}, ("nobody is named (A1)", "")),
        ({"done": ON}, ("Stores (A1)", f"noted as done on {ON.isoformat()}, but still found")),
        ({"rule": "plug-condition"}, ("", "")),
        ({"decision": "accept"}, ("", "")),
    ],
)
def test_who_and_when_stand_with_a_deed_only_where_somebody_has_taken_it_on(changes, cells):
    answer = replace(hand_made.assessment(), actions=(replace(ACTION, **changes),))
    assert work_cells((FINDING,), answer) == cells
