"""Two versions of an installation by causes: new, gone, accepted, worse, better.

A finding that is no longer there is solved only if what it is about still stands in the file, was
assessed, and has no graver finding instead; else the file has lost it, or nobody knows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

from airrisk.installation.model import Installation
from airrisk.study.actions import EARLIER_RUPTURE, HIGHER_USE, facts_of
from airrisk.study.causes import CauseRecord
from airrisk.study.records import SEVERITIES, Assessment, Finding
from airrisk.verdict.rule import OUTCOMES

# the first of these that one of its findings has is what is said of a cause
Status = Literal[
    "new", "worse", "no longer accepted", "not assessed", "removed", "overtaken", "accepted",
    "better", "solved", "changed", "same",
]  # fmt: skip
STATUSES: tuple[Status, ...] = get_args(Status)
GONE: frozenset[Status] = frozenset({"solved", "removed", "not assessed", "overtaken"})
Version = tuple[Assessment, Installation]
Text = Callable[[Finding], str]


@dataclass(frozen=True)
class FindingChange:
    """One finding in two versions; None: it is not there."""

    status: Status
    before: Finding | None
    after: Finding | None


@dataclass(frozen=True)
class CauseChange:
    """One cause in two versions with its findings; ``cause`` is the newer where there are two."""

    status: Status
    cause: CauseRecord
    findings: tuple[FindingChange, ...]


def compare_causes(before: Version, after: Version, text: Text) -> tuple[CauseChange, ...]:
    """The causes of two versions; those of which something has changed stand first.

    Parameters
    ----------
    before, after
        Answers with causes, or without: then every finding is a cause of its own.
    text
        A finding in words: two with the same words have not changed.
    """
    changes = _overtaken(
        [
            _change(pair, (before, after), text)
            for pair in _paired(before[0].findings, after[0].findings)
        ]
    )
    of_new = {id(one.after): one for one in changes if one.after is not None}
    of_old = {id(one.before): one for one in changes if one.before is not None}
    found: list[CauseChange] = []
    told: set[int] = set()
    old_causes = _causes(before[0])
    for cause in _causes(after[0]):
        mine = [of_new[id(one)] for one in cause.findings]
        mine += _gone_beside(mine, old_causes, of_old, told)
        told |= {id(one) for one in mine}
        found.append(_cause(cause, mine))
    for cause in old_causes:
        left = [of_old[id(one)] for one in cause.findings if id(of_old[id(one)]) not in told]
        if left:
            found.append(_cause(cause, left))
    return tuple(sorted(found, key=lambda one: STATUSES.index(one.status)))


Pair = tuple[Finding | None, Finding | None]


def _causes(answer: Assessment) -> tuple[CauseRecord, ...]:
    if answer.causes is not None:
        return answer.causes
    return tuple(CauseRecord((), (one,), one.severity, 0.0, ()) for one in answer.findings)


def _gone_beside(
    mine: Sequence[FindingChange],
    old_causes: Iterable[CauseRecord],
    of_old: Mapping[int, FindingChange],
    told: set[int],
) -> list[FindingChange]:
    """Findings that have gone and stood below one cause with some that stay."""
    stay = {id(one.before) for one in mine}
    found = []
    for cause in old_causes:
        if any(id(one) in stay for one in cause.findings):
            below = [of_old[id(one)] for one in cause.findings]
            found += [one for one in below if one.after is None and id(one) not in told]
    return found


def _paired(before: Sequence[Finding], after: Sequence[Finding]) -> list[Pair]:
    """Findings that are the same matter: exactly, else of one rule, part and class.

    A section has another id as soon as a line is added to it.
    """
    old, new = list(before), list(after)
    found: list[Pair] = []
    for key in (_exactly, _roughly):
        waiting: dict[tuple[object, ...], list[Finding]] = {}
        for one in old:
            waiting.setdefault(key(one), []).append(one)
        rest = []
        for one in new:
            same = waiting.get(key(one))
            if same:
                found.append((same.pop(0), one))
            else:
                rest.append(one)
        old, new = [one for group in waiting.values() for one in group], rest
    return [*found, *((one, None) for one in old), *((None, one) for one in new)]


def _exactly(one: Finding) -> tuple[object, ...]:
    members = frozenset(one.section.casefold().split("+"))
    return (*_roughly(one), members, str(one.values.get("fire", "")), str(one.values.get("id", "")))


def _roughly(one: Finding) -> tuple[object, ...]:
    return one.rule, one.part.casefold(), one.fire_class


def _change(pair: Pair, versions: tuple[Version, Version], text: Text) -> FindingChange:
    old, new = pair
    if old is None:
        return FindingChange("new", old, new)
    if new is None:
        return FindingChange(_why_gone(old, *versions), old, new)
    return FindingChange(_status(old, new, text), old, new)


def _overtaken(changes: Sequence[FindingChange]) -> list[FindingChange]:
    """What has gone from a part that has got a graver finding is not solved.

    "Safe, but not with a slower plug" goes when it is not safe at all.
    """
    worst: dict[str, int] = {}
    for one in changes:
        if one.after is not None and one.status in ("new", "worse"):
            rank = SEVERITIES.index(one.after.severity)
            worst[one.after.part] = min(worst.get(one.after.part, rank), rank)
    return [
        replace(one, status="overtaken")
        if one.status == "solved"
        and one.before is not None
        and worst.get(one.before.part, len(SEVERITIES)) < SEVERITIES.index(one.before.severity)
        else one
        for one in changes
    ]


def _why_gone(finding: Finding, before: Version, after: Version) -> Status:
    if after[0].failures:
        return "not assessed"
    for name in (finding.part, *finding.kinds):
        if name and _is_there(name, before[1]) and not _is_there(name, after[1]):
            return "removed"
    return "solved"


def _is_there(name: str, installation: Installation) -> bool:
    try:
        installation.find(name)
    except KeyError:
        return False
    return True


def _status(old: Finding, new: Finding, text: Text) -> Status:
    if _is_worse(old, new):
        return "worse"
    if old.counts != new.counts:
        return "accepted" if old.counts else "no longer accepted"
    if _is_worse(new, old):
        return "better"
    return "same" if text(old) == text(new) else "changed"


def _is_worse(then: Finding, now: Finding) -> bool:
    """Whether a finding is graver, or its fire does more harm, by what ends an acceptance too."""
    if then.severity != now.severity:
        return SEVERITIES.index(now.severity) < SEVERITIES.index(then.severity)
    old, new = facts_of(then), facts_of(now)
    if old.outcome in OUTCOMES and new.outcome in OUTCOMES and old.outcome != new.outcome:
        return OUTCOMES.index(new.outcome) > OUTCOMES.index(old.outcome)
    if old.rupture_s is not None and new.rupture_s is not None:
        return new.rupture_s < (1.0 - EARLIER_RUPTURE) * old.rupture_s
    if old.use is not None and new.use is not None:
        return new.use >= old.use + HIGHER_USE
    return False


def _cause(cause: CauseRecord, findings: Sequence[FindingChange]) -> CauseChange:
    """A cause is new, accepted or solved if all its findings are; else the worst of them counts."""
    seen = {one.status for one in findings}
    counting = {one.status for one in findings if one.after is None or one.after.counts}
    status: Status
    if seen <= GONE or seen == {"new"}:
        status = min(seen, key=STATUSES.index)
    elif "accepted" in seen and not counting - GONE:
        status = "accepted"
    elif seen & {"new", "worse", "no longer accepted"}:
        status = "worse" if seen & {"new", "worse"} else "no longer accepted"
    elif seen & {"better", "solved"} and not seen & (GONE - {"solved"}):
        status = "better"
    else:
        status = "same" if seen == {"same"} else "changed"
    return CauseChange(status, cause, tuple(findings))
