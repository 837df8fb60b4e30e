"""What is said of findings that somebody has accepted, and of acceptances that have lapsed."""

from __future__ import annotations

from collections.abc import Iterable

from airrisk.installation.model import Action
from airrisk.messages import Texts
from airrisk.study.records import Finding
from airrisk.wording.translation import date_text, tr

_LAPSES: Texts[dict[str, str]] = {
    "date": "its date has passed",
    "nothing accepted": "the file does not say which outcome was accepted",
    "outcome": "the fire ends worse than what was accepted",
    "use": "the metal is used more than what was accepted",
    "rupture": "the rupture comes sooner than what was accepted",
    "not sure": "the safe verdict is no longer sure",
}


def counting(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings that nobody has accepted."""
    return tuple(finding for finding in findings if finding.counts)


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
        tr("The acceptance {id} no longer holds: {why}.").format(id=name, why=tr(_LAPSES[why]))
        for name, why in finding.lapsed
        if why in _LAPSES
    ]
    return tuple(found)
