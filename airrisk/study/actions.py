"""Whether an acceptance still covers a finding.

An acceptance takes exactly its finding out of what counts: same rule, part, section and class of
fire. It lapses on its date, as soon as the fire does more harm than what was accepted, as soon
as the finding is graver, and as soon as it names more, or its numbers are worse, than what the
acceptance keeps of it. The finding stays visible with the reason in every case.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from airrisk.installation.model import Accepted, Action
from airrisk.study.records import SEVERITIES, Finding, Severity
from airrisk.study.worsening import Worsening, found_in, grown_worse, worsening
from airrisk.verdict.rule import OUTCOMES, SAFE_OUTCOMES, load_of

HIGHER_USE = 0.02  # of strength use: more is another finding; judgement
EARLIER_RUPTURE = 0.05  # of the time to the rupture; judgement
_ROUNDING = 1e-9

# Why an acceptance does not cover a finding; empty: it does.
Lapse = (
    Worsening
    | Literal[
        "another finding",  # of another rule, part, section or class, or no acceptance at all
        "date",
        "nothing accepted",  # a fire's finding, and the file does not say what was accepted
        "outcome",
        "use",
        "rupture",
        "not sure",
        "severity",
    ]
)


@dataclass(frozen=True)
class FindingFacts:
    """What an acceptance has to know of a finding.

    Parameters
    ----------
    rule : str
        Id of the rule.
    part : str
        Id of the part; empty: the installation.
    section : str
        Id of the section; empty: not about one.
    fire_class : str
        stated, whole, beside or spot; empty: not about a fire.
    outcome : str or None
        Of the worst run; None: not about a fire.
    use : float or None
        Highest strength use of it; where creep takes more of its limit, the use that takes as much.
    rupture_s : float or None
        Time to the rupture [s]; None: no rupture.
    sure : bool or None
        Whether a safe outcome is sure; None where it is not safe.
    severity : str or None
        danger, warning or note; None: not known.
    found : mapping
        Names and numbers [SI] of it that can grow worse, see ``worsening.found_in``.
    """

    rule: str
    part: str = ""
    section: str = ""
    fire_class: str = ""
    outcome: str | None = None
    use: float | None = None
    rupture_s: float | None = None
    sure: bool | None = None
    severity: Severity | None = None
    found: Mapping[str, Any] = field(default_factory=dict, hash=False)


@dataclass(frozen=True)
class Acceptance:
    """Whether an acceptance covers a finding, and why not."""

    action: Action
    lapse: Lapse

    @property
    def holds(self) -> bool:
        """Whether the finding is out of what counts."""
        return not self.lapse


def is_about(action: Action, finding: FindingFacts) -> bool:
    """Whether an action is about exactly this finding.

    Parameters
    ----------
    action : Action
        Of the file.
    finding : FindingFacts
        One finding.
    """
    return (
        action.rule == finding.rule
        and (action.part or "").casefold() == finding.part.casefold()
        and _members(action.section) == _members(finding.section)
        and (action.fire_class or "") == finding.fire_class
    )


def acceptance_holds(action: Action, finding: FindingFacts, on: dt.date) -> Acceptance:
    """Whether an action of the file takes a finding out of what counts on a date.

    Parameters
    ----------
    action : Action
        Of the file.
    finding : FindingFacts
        The finding as it is now.
    on : datetime.date
        Date of the study; an acceptance has lapsed on the day ``until``.

    Returns
    -------
    Acceptance
        With the first reason that it does not hold.
    """
    return Acceptance(action, _lapse(action, finding, on))


def facts_of(finding: Finding) -> FindingFacts:
    """What an acceptance has to know of a finding, from the numbers that it was made with."""
    values = finding.values
    return FindingFacts(
        rule=finding.rule,
        part=finding.part,
        section=finding.section,
        fire_class=finding.fire_class or "",
        outcome=values.get("outcome") if finding.fire_class else None,
        use=_use_of(values),
        rupture_s=values.get("rupture_s"),
        severity=finding.severity,
        found=found_in(finding.rule, values),
    )


def _use_of(values: Mapping[str, Any]) -> float | None:
    """Strength use; where creep takes more of its limit, the use that takes as much of its own."""
    use, limit = values.get("peak_strength_use"), values.get("strength_use_limit")
    damage = values.get("creep_damage")
    if use is None or not limit or damage is None:
        return use
    return limit * load_of(use, damage, limit)


def with_acceptances(
    findings: Iterable[Finding], actions: Iterable[Action], on: dt.date
) -> tuple[Finding, ...]:
    """The findings, each with the acceptance that covers it and those that no longer do.

    Parameters
    ----------
    findings : iterable of Finding
        Of the rules.
    actions : iterable of Action
        Of the file.
    on : datetime.date
        Date of the study.
    """
    known, told = tuple(actions), tuple(findings)
    about = [covering(known, facts_of(finding), on) for finding in told]
    # of several findings of one rule and part each may have an acceptance of its own
    holding = {one.action.id for ones in about for one in ones if one.holds}
    return tuple(
        replace(
            finding,
            accepted=next((one.action.id for one in ones if one.holds), ""),
            lapsed=tuple(
                (one.action.id, str(one.lapse)) for one in ones if one.action.id not in holding
            ),
        )
        for finding, ones in zip(told, about, strict=True)
    )


def covering(
    actions: Iterable[Action], finding: FindingFacts, on: dt.date
) -> tuple[Acceptance, ...]:
    """The acceptances about a finding; those that hold stand first.

    Parameters
    ----------
    actions : iterable of Action
        All actions of the file.
    finding : FindingFacts
        The finding as it is now.
    on : datetime.date
        Date of the study.
    """
    about = [
        acceptance_holds(action, finding, on)
        for action in actions
        if action.decision == "accept" and is_about(action, finding)
    ]
    return tuple(sorted(about, key=lambda one: not one.holds))


def _lapse(action: Action, finding: FindingFacts, on: dt.date) -> Lapse:
    if action.decision != "accept" or not is_about(action, finding):
        return "another finding"
    if action.until is None or on >= action.until:
        return "date"
    if _graver(action.severity, finding.severity):
        return "severity"
    if worse := grown_worse(finding.rule, action.found, finding.found):
        return worse
    if finding.outcome is None and (not finding.fire_class or worsening(finding.rule)):
        return ""  # no outcome of a fire; what it has was compared
    return "nothing accepted" if action.accepted is None else _worse(action.accepted, finding)


def _worse(then: Accepted, now: FindingFacts) -> Lapse:
    """In what a fire does more harm now than what was accepted."""
    if now.outcome is None or _rank(now.outcome) > _rank(then.outcome):
        return "outcome"
    if now.use is None or not now.use - then.use < HIGHER_USE - _ROUNDING:  # also not a number
        return "use"
    if now.rupture_s is not None and now.rupture_s != math.inf:
        limit = 0.0 if then.rupture_after is None else then.rupture_after
        latest = (1.0 - EARLIER_RUPTURE) * limit * (1.0 + _ROUNDING)
        if then.rupture_after is None or not now.rupture_s > latest:
            return "rupture"
    if then.outcome in SAFE_OUTCOMES and now.sure is not True:
        return "not sure"
    return ""


def _graver(then: Severity | None, now: Severity | None) -> bool:
    """Whether a finding is graver now than what was accepted; one that is not known is."""
    if then is None:
        return False
    return now is None or SEVERITIES.index(now) < SEVERITIES.index(then)


def _rank(outcome: str) -> int:
    """Place of an outcome from good to bad; an unknown one is the worst."""
    return OUTCOMES.index(outcome) if outcome in OUTCOMES else len(OUTCOMES)


def _members(section: str) -> frozenset[str]:
    return frozenset(section.casefold().split("+"))
