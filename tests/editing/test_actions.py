"""What people decide about findings is written into the text, each decision one undoable step."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.editing import Document, actions, edits
from airrisk.installation.reading import check, read
from airrisk.installation.splice import DependentsError, EditError, SystemText
from airrisk.study.actions import FindingFacts, acceptance_holds
from tests.editing.systems import SMALL

FIRE = FindingFacts("fire-outcome", "R2", "L1+R1+R2", "beside", "passes the limit", 0.7123, 2281.4)
PLUG = FindingFacts("plug-condition", "FP1")
ON = dt.date(2026, 11, 1)


def accepted() -> SystemText:
    after, name, mistakes = actions.with_acceptance(
        SystemText(SMALL), FIRE, "nothing burns near", "Safety", "2027-06-30"
    )
    assert (name, mistakes) == ("A1", {})
    return after


def test_work_is_added_and_done() -> None:
    text, name, mistakes = actions.with_work(
        SystemText(SMALL), PLUG, "renew the plug", "Maintenance", "2026-12-15"
    )
    assert (name, mistakes) == ("A1", {})
    assert text.text == SMALL.replace("format = 1", "format = 2") + (
        '\n[[action]]\nid = "A1"\nrule = "plug-condition"\npart = "FP1"\ndecision = "do"\n'
        'text = "renew the plug"\nowner = "Maintenance"\ndue = 2026-12-15\n'
    )
    done, _, mistakes = actions.with_done(text, name, dt.date(2026, 12, 10), "job sheet 4411")
    assert mistakes == {}
    assert done.text == text.text + 'done = 2026-12-10\nevidence = "job sheet 4411"\n'
    (action,) = read(done.text).actions
    assert (action.done, action.evidence) == (dt.date(2026, 12, 10), "job sheet 4411")
    again, _, _ = actions.with_done(done, name, dt.date(2026, 12, 11))
    assert read(again.text).actions[0].evidence == "job sheet 4411"


def test_a_finding_is_accepted_as_it_is_now() -> None:
    (action,) = read(accepted().text).actions
    assert accepted().block("A1")["accepted"] == {
        "outcome": "passes the limit", "use": 0.712, "rupture_after": "38.02 min",
    }  # fmt: skip
    assert acceptance_holds(action, FIRE, ON).holds
    assert (action.part, action.section, action.fire_class) == ("R2", "L1+R1+R2", "beside")


@given(
    outcome=st.sampled_from(["vents in time", "outlasts the fire", "passes the limit", "ruptures"]),
    use=st.floats(0.0, 100.0),
    rupture=st.none() | st.floats(0.1, 100000.0),
)
@settings(max_examples=60, deadline=None)
def test_what_was_just_accepted_holds(outcome: str, use: float, rupture: float | None) -> None:
    # property: rounding for the file loses nothing that matters
    sure = outcome in ("vents in time", "outlasts the fire") or None
    now = FindingFacts("fire-outcome", "R1", "L1+R1+R2", "whole", outcome, use, rupture, sure)
    text, _, mistakes = actions.with_acceptance(SystemText(SMALL), now, "why", "who", "2027-01-01")
    assert mistakes == {}
    (action,) = read(text.text).actions
    assert acceptance_holds(action, now, ON).lapse == ""


def test_a_decision_may_change_and_its_fields_go_with_it() -> None:
    text, name, _ = actions.with_work(SystemText(SMALL), FIRE, "move the oil store", "Stores")
    text, _, _ = actions.with_done(text, name, dt.date(2026, 10, 1), "photo")
    text, same, mistakes = actions.with_acceptance(
        text, FIRE, "store is gone", "Safety", "2027-06-30", name
    )
    assert (same, mistakes) == (name, {})
    assert set(text.block(name)) == {
        "id", "rule", "part", "section", "class", "decision", "text", "owner", "reason", "by",
        "until", "accepted",
    }  # fmt: skip
    text, _, mistakes = actions.with_work_instead(text, name, "find another place")
    assert mistakes == {}
    (action,) = read(text.text).actions
    assert (action.decision, action.text, action.owner) == ("do", "find another place", "Stores")


def test_a_change_touches_its_own_lines_only() -> None:
    text = accepted()
    after, _, mistakes = actions.with_action(text, {"until": "2028-01-31", "by": "Safety"}, "A1")
    assert mistakes == {}
    assert after.text == text.text.replace("2027-06-30", "2028-01-31")


@pytest.mark.parametrize(
    ("values", "field", "message"),
    [
        ({"until": "next year"}, "until", "not a date"),
        ({"until": None}, "until", "missing"),
        ({"reason": ""}, "reason", "missing"),
        ({"by": " "}, "by", "empty"),
        ({"rule": "fire-outcom"}, "rule", 'did you mean "fire-outcome"?'),
        ({"part": "R7"}, "part", "no part of that id"),
        ({"class": "everywhere"}, "class", "not one of the words"),
        ({"decision": "do", "text": "x"}, "reason", 'not used by decision = "do"'),
        ({"due": "2026-12-01"}, "due", 'not used by decision = "accept"'),
    ],
)
def test_what_is_wrong_is_said_field_by_field(
    values: dict[str, str], field: str, message: str
) -> None:
    _text, _name, mistakes = actions.with_action(accepted(), values, "A1")
    assert message in mistakes[field]


def test_an_action_that_is_not_there_cannot_be_changed() -> None:
    text, _, mistakes = actions.with_done(SystemText(SMALL), "A9", ON)
    assert text.text == SMALL
    assert "there is no part 'A9'" in mistakes[""]
    with pytest.raises(EditError, match="R1 is no action"):
        actions.without_action(SystemText(SMALL), "R1")


def test_each_decision_is_one_step_that_undo_takes_back() -> None:
    document = Document(SMALL)
    steps = [
        lambda text: actions.with_work(text, PLUG, "renew the plug")[0],
        lambda text: actions.with_action(text, {"owner": "Maintenance"}, "A1")[0],
        lambda text: actions.with_done(text, "A1", ON)[0],
        lambda text: actions.with_acceptance(text, FIRE, "why", "who", "2027-01-01")[0],
        lambda text: actions.without_action(text, "A1"),
        lambda text: actions.without_action(text, "A2"),
    ]
    texts = [document.text]
    for step in steps:
        assert document.replace("decide", step(document.system_text).text)
        assert document.problems == ()
        texts.append(document.text)
    assert texts[-1] == SMALL.replace("format = 1", "format = 2")
    for before in reversed(texts[:-1]):
        assert document.undo()
        assert document.text == before
    assert document.text == SMALL


def test_a_new_name_of_a_part_is_followed_in_part_and_section() -> None:
    text = accepted().rename("R2", "A0").rename("L1", "X+Y")
    (action,) = read(text.text).actions
    assert action.part == "A0"
    assert action.section == "A0+R1+X+Y"  # in the order in which sections are named
    assert accepted().rename("FP1", "FP7").block("A1") == accepted().block("A1")


def test_what_goes_with_a_part_is_told_before_it_goes() -> None:
    text = accepted()
    assert "A1" in edits.dependents(text, ["R2"])
    with pytest.raises(DependentsError, match="action A1, part"):
        text.remove("R2")
    after = edits.removed(text, ["R2"])
    assert check(after.text)[1] == []
    assert read(after.text).actions == ()
    # a line of the section is gone: the decision stays, for a section that is no more
    assert read(edits.removed(text, ["L1"]).text).actions[0].section == "L1+R1+R2"


def test_actions_about_a_part_are_listed() -> None:
    text, name, _ = actions.with_work(accepted(), PLUG, "clean it")
    assert actions.actions_about(text, "r2") == ("A1",)
    assert actions.actions_about(text, "FP1") == (name,)
    assert actions.actions_about(text, "R1") == ()


def test_a_finding_about_no_fire_has_no_accepted_result() -> None:
    assert actions.accepted_now(PLUG) is None
    text, _, mistakes = actions.with_acceptance(
        SystemText(SMALL), PLUG, "seen last week", "Maintenance", "2027-01-01"
    )
    assert mistakes == {}
    assert "accepted" not in text.block("A1")


def test_a_result_that_failed_is_refused() -> None:
    failed = FindingFacts("fire-outcome", "R2", "R2", "whole", "not converged", math.nan)
    text, _, mistakes = actions.with_acceptance(
        SystemText(SMALL), failed, "why", "who", "2027-01-01"
    )
    assert set(mistakes) == {"accepted"}
    assert check(text.text)[0] is None
