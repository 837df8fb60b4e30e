"""Reasons of outcomes as sentences: what ruptures is said to rupture, and why."""

import pytest

from airrisk.study.records import EventRecord
from airrisk.verdict.rule import Reason
from airrisk.wording.reasons import kinds_of, reason_clause, reason_sentence
from tests.report import hand_made

KINDS = {"R1": "vessel", "L1": "line", "FP1": "plug", "FP2": "plug", "BD1": "bursting disc",
         "RV1": "relief valve"}  # fmt: skip


def said(reason, outcome, when=None):
    return reason_sentence(reason, outcome, KINDS, when).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("reason", "outcome", "when", "text"),
    [
        (
            Reason("ruptured", "R1", ("FP1",), ()), "ruptures", 258.0,
            "Vessel R1 ruptures after 4.3 min although plug FP1 had opened: no air of vessel R1 "
            "reaches it.",
        ),
        (
            Reason("ruptured", "R1", ("FP1",), ("FP1",)), "ruptures", 90.0,
            "Vessel R1 ruptures after 90 s although plug FP1 had opened: it cannot empty vessel R1 "
            "in time.",
        ),
        (
            Reason("ruptured", "R1", ("BD1", "FP1"), ("BD1", "FP1")), "ruptures", 90.0,
            "Vessel R1 ruptures after 90 s although bursting disc BD1 and plug FP1 had opened: "
            "they cannot empty vessel R1 in time.",
        ),
        (
            Reason("ruptured", "R1"), "ruptures", 0.0,
            "Vessel R1 ruptures at once: no plug or disc had opened by then.",
        ),
        (
            Reason("line ruptured", "L1", ("FP1", "FP2")), "ruptures", 150.0,
            "Line L1 ruptures after 2.5 min although plugs FP1 and FP2 had opened.",
        ),
        (
            Reason("limit passed", "R1", ("FP1",), ("FP1",)), "passes the limit", None,
            "Vessel R1 passes the limit although plug FP1 had opened: it cannot empty vessel R1 in "
            "time.",
        ),
        (
            Reason("limit passed", "R1"), "passes the limit", None,
            "Vessel R1 passes the limit: no plug or disc opens.",
        ),
        (
            Reason("limit passed", "R1", creep=True), "passes the limit", None,
            "Vessel R1 passes the limit: its metal creeps for too long.",
        ),
        (
            Reason("ruptured", "R1", ("FP1",), ("FP1",), creep=True), "ruptures", 4500.0,
            "Vessel R1 ruptures after 75 min although plug FP1 had opened: its metal has crept for "
            "too long.",
        ),
        (
            Reason("vented within the limit", "R1", ("FP1",), ("FP1",)), "vents in time", 372.0,
            "Vessel R1 vents in time: plug FP1 opens after 6.2 min.",
        ),
        (
            Reason("within the limit", "R1"), "outlasts the fire", None,
            "Vessel R1 outlasts the fire without a vent.",
        ),
        (
            Reason("within the limit", "R1", ("FP1",), ()), "outlasts the fire", None,
            "Vessel R1 outlasts the fire without a vent: no air of vessel R1 reaches plug FP1.",
        ),
        (
            Reason("isothermal", "R1", ("FP1",), ("FP1",)), "passes the limit", None,
            "Vessel R1 passes the limit in a very slow fire before plug FP1 opens.",
        ),
        (
            Reason("isothermal", "R1", ("FP1",), ("FP1",)), "vents in time", None,
            "Vessel R1 vents in time: even in a very slow fire it holds until plug FP1 opens.",
        ),
        (
            Reason("solver", "R1", detail="time step too small"), "not converged", None,
            "The calculation did not come to an end: its time steps became too small.",
        ),
    ],
)  # fmt: skip
def test_every_reason_is_a_whole_sentence_with_the_worst_word(reason, outcome, when, text):
    assert said(reason, outcome, when) == text


def test_a_reason_in_brackets_has_no_code_word():
    assert reason_clause(Reason("ruptured", "R1", ("FP1",), ("FP1",)), KINDS) == (
        "although plug FP1 had opened, which cannot empty it in time"
    )
    assert reason_clause(Reason("ruptured", "R1", ("FP1",)), KINDS) == (
        "although plug FP1 had opened, which its air cannot reach"
    )
    assert reason_clause(Reason("within the limit", "R1"), KINDS) == "no vent is needed"


def test_the_kinds_of_a_fire_are_those_of_its_events_and_members():
    fire = hand_made.fire(
        events=(EventRecord(5.0, "disc bursts", "BD1"), EventRecord(6.0, "plug opens", "FP7")),
        uncredited={"FP8": "painted over", "RV9": "offered"},
    )
    kinds = kinds_of(fire)
    assert kinds == {
        "R1": "vessel", "L1": "line", "FP1": "plug", "FP7": "plug", "FP8": "plug",
        "BD1": "bursting disc", "RV9": "device",
    }  # fmt: skip
