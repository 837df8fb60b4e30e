"""The register of actions: status by date, table and calendar."""

from __future__ import annotations

import csv
import datetime as dt
import io
from dataclasses import replace

import icalendar
import pytest

from airrisk.installation.model import Action, Installation
from airrisk.study.action_register import action_rows, actions_calendar, actions_csv
from airrisk.study.assessment import assess
from airrisk.study.records import Finding
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.fire.systems import installation, plug, vessel

DAY = dt.date(2026, 11, 1)


def plant(*actions: Action) -> Installation:
    return replace(installation(vessel(), plug()), actions=actions)


def todo(name: str = "A1", **changes: object) -> Action:
    values: dict[str, object] = {
        "id": name, "rule": "plug-overdue", "decision": "do", "part": "FP1", "text": "renew it",
        "owner": "Maintenance",
    }  # fmt: skip
    return Action(**{**values, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({}, "open"),
        ({"due": dt.date(2027, 6, 1)}, "open"),
        ({"due": dt.date(2026, 12, 1)}, "due soon"),
        ({"due": DAY}, "due soon"),
        ({"due": dt.date(2026, 10, 31)}, "overdue"),
        ({"due": dt.date(2026, 10, 31), "done": dt.date(2026, 10, 30)}, "done"),
        # a day that has not come yet is no evidence
        ({"due": dt.date(2026, 10, 31), "done": dt.date(2026, 12, 1)}, "overdue"),
    ],
)
def test_what_is_to_be_done_has_a_status_by_its_dates(changes, status):
    (row,) = action_rows(plant(todo(**changes)), DAY, ())
    assert row.status == status


def accepted(**changes: object) -> Action:
    values: dict[str, object] = {
        "id": "A2", "rule": "plug-overdue", "decision": "accept", "part": "FP1",
        "reason": "renewed next week", "by": "Safety", "until": dt.date(2027, 1, 1),
    }  # fmt: skip
    return Action(**{**values, **changes})  # type: ignore[arg-type]


def test_an_acceptance_is_what_the_findings_say_of_it():
    def status(finding: Finding | None, **changes: object) -> str:
        told = () if finding is None else (finding,)
        return action_rows(plant(accepted(**changes)), DAY, told)[0].status

    bare = Finding("plug-overdue", "warning", "FP1", "")
    assert status(None) == "no finding"
    assert status(replace(bare, accepted="A2")) == "accepted"
    assert status(replace(bare, lapsed=(("A2", "outcome"),))) == "lapsed"
    assert status(replace(bare, accepted="A2"), until=dt.date(2026, 10, 1)) == "lapsed"


def test_the_most_urgent_comes_first():
    rows = action_rows(
        plant(
            todo("A1"), todo("A2", due=dt.date(2026, 9, 1)), todo("A3", due=dt.date(2026, 12, 1)),
            todo("A4", done=DAY), todo("A5", due=dt.date(2026, 8, 1)),
        ),
        DAY,
        (),
    )  # fmt: skip
    assert [row.id for row in rows] == ["A5", "A2", "A3", "A1", "A4"]


def test_an_overdue_action_is_a_finding():
    answer = assess(plant(todo(due=dt.date(2026, 10, 1))), DAY, bores=False)
    (found,) = [one for one in answer.findings if one.rule == "action-overdue"]
    assert (found.severity, found.part) == ("warning", "FP1")
    assert "action A1" in finding_text(found, Units())
    assert [row.status for row in answer.action_register] == ["overdue"]
    assert not [
        one
        for one in assess(plant(todo(done=DAY)), DAY, bores=False).findings
        if one.rule == "action-overdue"
    ]


def test_the_register_as_csv_reads_back_and_holds_no_formula():
    rows = action_rows(plant(todo(text="=1+1")), DAY, ())
    text = actions_csv(rows, lambda row: f"{row.id}: see to it")
    (row,) = csv.DictReader(io.StringIO(text, newline=""))
    assert (row["id"], row["text"], row["to do"]) == ("A1", "'=1+1", "A1: see to it")
    assert row["status"] == "open"


def test_the_calendar_has_what_is_not_done_with_an_alarm():
    rows = action_rows(
        plant(todo(due=dt.date(2026, 12, 24)), todo("A2", due=DAY, done=DAY), todo("A3")), DAY, ()
    )
    stamp = dt.datetime(2026, 11, 1, tzinfo=dt.UTC)
    data = actions_calendar(rows, "Yard", stamp, lambda row: f"{row.id} is due")
    book = icalendar.Calendar.from_ical(data)
    (event,) = book.walk("VEVENT")
    assert event.decoded("dtstart") == dt.date(2026, 12, 24)
    assert str(event["summary"]) == "A1 is due"
    (alarm,) = event.walk("VALARM")
    assert alarm.decoded("trigger") == dt.timedelta(days=-7)
    assert data == actions_calendar(rows, "Yard", stamp, lambda row: f"{row.id} is due")
