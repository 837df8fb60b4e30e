"""The register of actions on a date: what is open, late, done, accepted or no longer accepted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, get_args

from airrisk.installation.model import Action, Installation
from airrisk.study.due_calendar import DueDay, due_calendar
from airrisk.study.open_work import is_done
from airrisk.study.records import Finding
from airrisk.study.upkeep import csv_table, step_after

ActionStatus = Literal[
    "overdue", "lapsed", "due soon", "open", "no finding", "accepted", "done"
]  # the most urgent first
URGENCY: tuple[ActionStatus, ...] = get_args(ActionStatus)
LATE: frozenset[ActionStatus] = frozenset({"overdue", "lapsed"})
ALARM = dt.timedelta(days=-7)  # before an action is due; judgement


@dataclass(frozen=True)
class ActionRow:
    """One action of the file."""

    id: str
    decision: str  # "do" | "accept"
    rule: str
    part: str  # empty: the installation
    text: str  # what is to be done, or why it may stay
    owner: str  # of an acceptance: who accepts
    due: dt.date | None  # of an acceptance: the day on which it lapses
    done: dt.date | None
    evidence: str
    status: ActionStatus
    days_left: int | None


def action_rows(
    installation: Installation, on: dt.date, findings: Iterable[Finding]
) -> tuple[ActionRow, ...]:
    """Every action of the file, the most urgent first.

    An action is overdue from the day after its due date. An acceptance that covers no finding
    has "lapsed" where the findings say so, and "no finding" where there is none of its kind.

    Parameters
    ----------
    installation
        With its actions.
    on
        The date.
    findings
        Of the same installation on that date.
    """
    told = tuple(findings)
    covering = {one.accepted.casefold() for one in told if one.accepted}
    lapsed = {name.casefold() for one in told for name, _why in one.lapsed}
    soon = step_after(on, installation.choices.due_soon)
    rows = []
    for action in installation.actions:
        accepts = action.decision == "accept"
        due = action.until if accepts else action.due
        name = action.id.casefold()
        rows.append(
            ActionRow(
                id=action.id,
                decision=action.decision,
                rule=action.rule,
                part=action.part or "",
                text=action.reason if accepts else action.text,
                owner=action.by if accepts else action.owner,
                due=due,
                done=action.done,
                evidence=action.evidence,
                status=_accepted(name, covering, lapsed, (due, on))
                if accepts
                else _open(action, on, soon),
                days_left=None if due is None else (due - on).days,
            )
        )
    return tuple(
        sorted(rows, key=lambda r: (URGENCY.index(r.status), r.due or dt.date.max, r.id.casefold()))
    )


def _open(action: Action, on: dt.date, soon: dt.date) -> ActionStatus:
    if is_done(action, on):
        return "done"
    if action.due is None or action.due > soon:
        return "open"
    return "overdue" if action.due < on else "due soon"


def _accepted(
    name: str, covering: set[str], lapsed: set[str], dates: tuple[dt.date | None, dt.date]
) -> ActionStatus:
    until, on = dates
    if name in lapsed or (until is not None and until < on):
        return "lapsed"
    return "accepted" if name in covering else "no finding"


def actions_csv(rows: Iterable[ActionRow], deed: Callable[[ActionRow], str]) -> str:
    """The register as CSV text: dates as YYYY-MM-DD, lines end in CR LF.

    Parameters
    ----------
    rows
        The register.
    deed
        What is to be done about an action.
    """
    head = (
        "id", "decision", "rule", "part", "text", "to do", "owner", "due", "done", "evidence",
        "status", "days left",
    )  # fmt: skip
    return csv_table(
        head,
        (
            (
                r.id, r.decision, r.rule, r.part, r.text, deed(r), r.owner, r.due, r.done,
                r.evidence, r.status, r.days_left,
            )
            for r in rows
        ),
    )  # fmt: skip


def actions_calendar(
    rows: Iterable[ActionRow],
    title: str,
    stamp: dt.datetime,
    summary: Callable[[ActionRow], str],
) -> bytes:
    """Due dates of what is not done as an iCalendar file, each with an alarm a week before.

    The same register and stamp give the same bytes; the identifiers depend on title and action
    alone, so that a later export replaces the events of an earlier one.

    Parameters
    ----------
    rows
        The register.
    title
        Of the installation.
    stamp
        Time of the export, with a time zone.
    summary
        Title of an event.

    Raises
    ------
    ValueError
        The stamp has no time zone.

    Source
    ------
    RFC 5545.
    """
    return due_calendar(
        "actions",
        title,
        stamp,
        (
            DueDay(f"action:{row.id.casefold()}", row.due, summary(row), ALARM)
            for row in sorted(rows, key=lambda r: r.id.casefold())
            if row.due is not None and row.status not in ("done", "no finding")
        ),
    )
