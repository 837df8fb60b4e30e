"""What is said of decisions about findings: accepted, no longer accepted, still to be done."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from airrisk.installation.model import Action
from airrisk.messages import Texts
from airrisk.study.open_work import is_done, work_about
from airrisk.study.records import SEVERITIES, Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.translation import date_text, tr

_LAPSES: Texts[dict[str, str]] = {
    "date": "its date has passed",
    "nothing accepted": "the file does not say which outcome was accepted",
    "outcome": "the fire ends worse than what was accepted",
    "use": "the metal is used more than what was accepted",
    "rupture": "the rupture comes sooner than what was accepted",
    "not sure": "the safe verdict is no longer sure",
    "severity": "it is graver than what was accepted",
    "not kept": "the file does not say who or what was found, and how near or how much, "
    "when it was accepted",
    "people": "it is about a place with people that was not accepted",
    "nearer": "people are nearer than what was accepted",
    "reach": "the harm reaches farther than what was accepted",
    "named": "it is about more than what was accepted",
    "number": "a number of it is worse than what was accepted",
    "unknown": "something of it is no longer known that was known when it was accepted",
    "known now": "something of it is known now that was not known when it was accepted",
}


def lapse_text(why: str) -> str:
    """Why an acceptance no longer holds, in words."""
    return tr(_LAPSES[why])


def counting(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that nobody has accepted."""
    return tuple(finding for finding in findings if finding.counts)


def finding_counts(findings: Iterable[Finding], *, shaped: bool = False) -> tuple[str, ...]:
    """How many findings there are: "0 dangers", "1 warning", "9 notes", "2 accepted".

    Parameters
    ----------
    findings
        Of an answer.
    shaped
        Whether the sign of each severity stands before it.
    """
    every = tuple(findings)
    texts = []
    for word in SEVERITIES:
        text = labels.severity_count(word, sum(one.severity == word for one in counting(every)))
        texts.append(f"{labels.severity_shape(word)} {text}" if shaped else text)
    accepted = len(every) - len(counting(every))
    return (*texts, tr("{count} accepted").format(count=accepted)) if accepted else tuple(texts)


def asking(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that ask for something to be done: what counts above a note.

    Where there is none, a section that is not safe asks all the same, though little is let loose.
    """
    counted = counting(findings)
    grave = tuple(one for one in counted if one.severity != "note")
    return grave or tuple(one for one in counted if one.rule == "fire-outcome")


def acceptance_sentences(finding: Finding, actions: Iterable[Action]) -> tuple[str, ...]:
    """Who accepted a finding, until when and why; which acceptance no longer holds."""
    found = []
    known = {action.id: action for action in actions}
    if finding.accepted in known:
        action = known[finding.accepted]
        until = "" if action.until is None else date_text(action.until)
        found.append(
            tr("Accepted by {by} until {until}, action {id}: {reason}.").format(
                by=action.by, until=until, id=action.id, reason=action.reason.rstrip(".")
            )
        )
    found += [
        tr("The acceptance {id} no longer holds: {why}.").format(id=name, why=lapse_text(why))
        for name, why in finding.lapsed
        if why in _LAPSES
    ]
    return tuple(found)


def work_sentences(findings: Iterable[Finding], assessment: Assessment) -> tuple[str, ...]:
    """Who has to see to some findings, and what was noted as done without an end of them.

    Parameters
    ----------
    findings
        One, or those of a cause.
    assessment
        With the actions of the file and the date.
    """
    on = assessment.on
    work = work_about(findings, assessment.actions)
    return tuple(
        _done_sentence(action) if is_done(action, on) else _open_sentence(action, on)
        for action in work
    )


def decision_sentences(finding: Finding, assessment: Assessment) -> tuple[str, ...]:
    """Everything that was decided about a finding, in sentences."""
    return (
        *acceptance_sentences(finding, assessment.actions),
        *work_sentences((finding,), assessment),
    )


def _done_sentence(action: Action) -> str:
    day = "" if action.done is None else date_text(action.done)
    return tr("Action {id} is noted as done on {day}, but this is still found.").format(
        id=action.id, day=day
    )


def _open_sentence(action: Action, on: dt.date) -> str:
    place = {
        "id": action.id,
        "owner": action.owner or tr("nobody is named"),
        "due": "" if action.due is None else date_text(action.due),
        "deed": action.text.strip().rstrip("."),
    }
    if action.due is None:
        return tr("Action {id} is open: {deed} ({owner}, no date).").format(**place)
    if action.due < on:
        return tr("Action {id} is overdue: {deed} ({owner}, due {due}).").format(**place)
    return tr("Action {id} is open: {deed} ({owner}, due {due}).").format(**place)
