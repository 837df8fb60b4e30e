"""What people decide about findings, in the text: to do something, that it is done, to accept it.

Each function returns a new text and what is wrong with it, field by field; an edit that is put
into the document is one undoable step.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from airrisk.editing.edits import free_id
from airrisk.installation.reading import check
from airrisk.installation.splice import EditError, SystemText
from airrisk.messages import said, told_of
from airrisk.quantities import format_quantity
from airrisk.study.actions import FindingFacts
from airrisk.study.worsening import worsening

KIND = "action"
_DATES = ("due", "done", "until")
_OF_WORK = ("due", "done", "evidence")
_OF_ACCEPTANCE = ("reason", "by", "until", "accepted", "found", "severity")

Mistakes = dict[str, str]  # field -> message; empty: the text is sound


def actions_about(text: SystemText, part: str) -> tuple[str, ...]:
    """Ids of the actions about one part or device, in the order of the file.

    Raises
    ------
    EditError
        The text has a syntax error.
    """
    return tuple(
        found.id
        for found in text.naming(part)
        if found.kind == KIND and found.field == "part" and found.id
    )


def subject(finding: FindingFacts) -> dict[str, str]:
    """The fields of an action that name a finding; empty ones are left out of the file."""
    return {
        "rule": finding.rule,
        "part": finding.part,
        "section": finding.section,
        "class": finding.fire_class,
    }


def with_action(
    text: SystemText, values: Mapping[str, Any], name: str | None = None
) -> tuple[SystemText, str, Mistakes]:
    """The text with an action added or changed.

    Parameters
    ----------
    text : SystemText
        Stays as it is.
    values : mapping
        Field to typed text, dates as YYYY-MM-DD or a date; None or an empty text leaves a field
        out. Fields that are not mentioned stay as they are.
    name : str, optional
        Which action to change; left out: a new one.

    Returns
    -------
    tuple
        New text, id of the action, and field to message.
    """
    given = {key: value for key, value in values.items() if value is not None and value != ""}
    wrong: Mistakes = {}
    for key in _DATES:
        try:
            if isinstance(given.get(key), str):
                given[key] = dt.date.fromisoformat(given[key].strip())
        except ValueError:
            wrong[key] = said("date-unreadable")
    if wrong:
        return text, name or "", wrong
    after = text
    try:
        if name is None:
            name = free_id(text, KIND)
            after = text.add(KIND, {"id": name, **given})
        else:
            present = text.block(name)
            for key in values:
                if key not in given:
                    after = after.unset(name, key)
                elif present.get(key) != given[key]:
                    after = after.set(name, key, given[key])
        index = after.address(name)[1]
    except EditError as error:
        return text, name or "", {"": told_of(error)}
    problems = check(after.text)[1]
    return after, name, {
        problem.field: f"{problem.message}; valid: {problem.valid}"
        for problem in problems
        if problem.kind == KIND and problem.index == index
    }  # fmt: skip


def with_work(
    text: SystemText, finding: FindingFacts, words: str, owner: str = "", due: str = ""
) -> tuple[SystemText, str, Mistakes]:
    """The text with something that is to be done about a finding.

    Parameters
    ----------
    text : SystemText
        Stays as it is.
    finding : FindingFacts
        What it is about.
    words : str
        What is to be done.
    owner, due : str
        Who has to see to it, and by which day (YYYY-MM-DD).

    Returns
    -------
    tuple
        New text, id of the action, and field to message.
    """
    values = {**subject(finding), "decision": "do", "text": words, "owner": owner, "due": due}
    return with_action(text, values)


def with_done(
    text: SystemText, name: str, day: dt.date, evidence: str = ""
) -> tuple[SystemText, str, Mistakes]:
    """The text with an action done on a day.

    Parameters
    ----------
    text : SystemText
        Stays as it is.
    name : str
        Id of the action.
    day : datetime.date
        When it was done.
    evidence : str
        What shows it; empty: what the file already says stays.

    Returns
    -------
    tuple
        New text, id of the action, and field to message.
    """
    more = {"evidence": evidence} if evidence else {}
    return with_action(text, {"done": day, **more}, name)


def with_acceptance(
    text: SystemText,
    finding: FindingFacts,
    reason: str,
    by: str,
    until: str,
    name: str | None = None,
) -> tuple[SystemText, str, Mistakes]:
    """The text with a finding accepted as it is now.

    Parameters
    ----------
    text : SystemText
        Stays as it is.
    finding : FindingFacts
        With what its fire does, which is written down: a worse result is not accepted.
    reason, by, until : str
        Why, who, and the day on which it lapses (YYYY-MM-DD).
    name : str, optional
        Action that becomes the acceptance; left out: a new one.

    Returns
    -------
    tuple
        New text, id of the action, and field to message.
    """
    cleared = dict.fromkeys(_OF_WORK, None)
    values: dict[str, Any] = {
        **subject(finding), "decision": "accept", **cleared, "reason": reason, "by": by,
        "until": until, "accepted": accepted_now(finding), "found": found_now(finding),
        "severity": finding.severity,
    }  # fmt: skip
    return with_action(text, values, name)


def with_work_instead(
    text: SystemText, name: str, words: str
) -> tuple[SystemText, str, Mistakes]:  # fmt: skip
    """The text with an acceptance taken back: something is to be done after all.

    Parameters
    ----------
    text : SystemText
        Stays as it is.
    name : str
        Id of the action.
    words : str
        What is to be done.

    Returns
    -------
    tuple
        New text, id of the action, and field to message.
    """
    cleared: dict[str, Any] = dict.fromkeys(_OF_ACCEPTANCE, None)
    return with_action(text, {"decision": "do", "text": words, **cleared}, name)


def without_action(text: SystemText, name: str) -> SystemText:
    """The text without one action.

    Raises
    ------
    EditError
        There is no such action, or the text has a syntax error.
    """
    if text.address(name)[0] != KIND:
        raise EditError(said("no-such-action", name=name))
    return text.remove(name)


def found_now(finding: FindingFacts) -> dict[str, Any] | None:
    """What an acceptance keeps of a finding, as the file holds it; None: nothing of it grows.

    Parameters
    ----------
    finding : FindingFacts
        As it is now.
    """
    if not worsening(finding.rule):
        return None
    return {key: _rounded(value) for key, value in finding.found.items()}


def _rounded(value: Any) -> Any:
    """Four digits of each number; names stay."""
    if isinstance(value, Mapping):
        return {name: _rounded(one) for name, one in value.items()}
    return float(f"{value:.4g}") if isinstance(value, float) else list(value)


def accepted_now(finding: FindingFacts) -> dict[str, Any] | None:
    """What a fire does now, as the file keeps it; None for a finding that is not about a fire.

    Parameters
    ----------
    finding : FindingFacts
        With outcome, strength use and time to the rupture [s].
    """
    if not finding.fire_class or finding.outcome is None or finding.use is None:
        return None
    found: dict[str, Any] = {"outcome": finding.outcome, "use": round(float(finding.use), 3)}
    if finding.rupture_s is not None:
        unit = "s" if finding.rupture_s < 120.0 else "min"
        found["rupture_after"] = format_quantity(finding.rupture_s, "time", unit, 4)
    return found
