"""What is still to be done about a finding, and by when something like it ought to be done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from airrisk.installation.model import Action
from airrisk.study.actions import facts_of, is_about
from airrisk.study.records import Finding, Severity

# From the day of the decision; judgement. Nothing says that waiting so long is safe.
PROPOSED: dict[Severity, dt.timedelta] = {
    "danger": dt.timedelta(days=7),
    "warning": dt.timedelta(days=90),
    "note": dt.timedelta(days=365),
}


def work_about(findings: Iterable[Finding], actions: Iterable[Action]) -> tuple[Action, ...]:
    """Actions that ask for something about some findings, done or not, in file order.

    Parameters
    ----------
    findings
        One, or those of a cause.
    actions
        Of the file.
    """
    facts = [facts_of(one) for one in findings]
    return tuple(
        action
        for action in actions
        if action.decision == "do" and any(is_about(action, one) for one in facts)
    )


def is_done(action: Action, on: dt.date) -> bool:
    """Whether an action is done on a date: what is noted for a later day is not."""
    return action.done is not None and action.done <= on


def open_work(
    findings: Iterable[Finding], actions: Iterable[Action], on: dt.date
) -> tuple[Action, ...]:
    """Actions about some findings that are not done on a date, in file order."""
    return tuple(one for one in work_about(findings, actions) if not is_done(one, on))


def proposed_day(severity: Severity, from_day: dt.date) -> dt.date:
    """By when something of this severity ought to be done, as a proposal.

    Parameters
    ----------
    severity
        Of the finding.
    from_day
        When it is decided.
    """
    return from_day + PROPOSED[severity]
