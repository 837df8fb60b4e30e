"""What an action asks to do, in words: of its own text, of the finding, or of the acceptance."""

from __future__ import annotations

import re
from collections.abc import Iterable

from airrisk.installation.model import Action
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of, is_about
from airrisk.study.open_work import is_done, work_about
from airrisk.study.records import Assessment, Finding
from airrisk.wording.acceptances import lapse_text
from airrisk.wording.findings import finding_cure, rule_title, worst_first
from airrisk.wording.translation import date_text, english, tr
from airrisk.wording.units import Units, and_list

_WORD = re.compile(r"[^\W\d_]{2}")  # a dash or a number says nothing of what is to be done


def action_deed(row: ActionRow, assessment: Assessment, units: Units) -> str:
    """What is to be done about one action of the register; never empty.

    Parameters
    ----------
    row : ActionRow
        One row of the register.
    assessment : Assessment
        The answer that the register belongs to.
    units : Units
        For the numbers of a cure.
    """
    about = findings_of(row, assessment)
    if row.decision == "do":
        return row.text if _WORD.search(row.text) else _cure(row, about, units)
    if not about:
        return tr("Take this acceptance out of the file: its finding is gone.")
    reason = row.text.strip().rstrip(".")
    if row.status == "accepted" and row.due is not None:
        return tr("Decide again by {day}. Until then it may stay: {reason}.").format(
            day=date_text(row.due), reason=reason
        )
    whys = [lapse_text(why) for one in about for name, why in one.lapsed if _same(name, row.id)]
    told = tr("Decide again: the acceptance no longer holds.")
    if whys:
        told = tr("Decide again: {why}.").format(why=and_list(list(dict.fromkeys(whys))))
    return f"{told} {_cure(row, about, units)}"


def english_deed(row: ActionRow, assessment: Assessment, units: Units) -> str:
    """What is to be done, for data files: they read alike everywhere."""
    with english():
        return action_deed(row, assessment, units)


def findings_of(row: ActionRow, assessment: Assessment) -> list[Finding]:
    """The findings that an action is about, the gravest first."""
    named = [one for one in assessment.actions if _same(one.id, row.id)]
    found = [f for f in assessment.findings if any(is_about(one, facts_of(f)) for one in named)]
    return worst_first(tuple(found))


def _cure(row: ActionRow, about: list[Finding], units: Units) -> str:
    cure = finding_cure(about[0], units) if about else ""
    if cure:
        return cure
    return tr("See to this: {title}.").format(title=rule_title(row.rule))


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()


def work_cells(findings: Iterable[Finding], assessment: Assessment) -> tuple[str, str]:
    """Who sees to some findings, and by when; empty, to be filled in, where nobody does.

    Parameters
    ----------
    findings : iterable of Finding
        Those that one deed or one row is about.
    assessment : Assessment
        With the actions of the file and the date.
    """
    work = work_about(findings, assessment.actions)
    undone = [one for one in work if not is_done(one, assessment.on)]
    told = undone or list(work)
    who = dict.fromkeys(_owner(one) for one in told)
    when = dict.fromkeys(text for one in told if (text := _when(one, assessment)))
    return "; ".join(who), "; ".join(when)


def _owner(action: Action) -> str:
    return tr("{owner} ({id})").format(
        owner=action.owner or tr("nobody is named"), id=action.id
    )  # fmt: skip


def _when(action: Action, assessment: Assessment) -> str:
    if is_done(action, assessment.on) and action.done is not None:
        return tr("noted as done on {day}, but still found").format(day=date_text(action.done))
    if action.due is None:
        return ""
    day = date_text(action.due)
    return tr("{day}, overdue").format(day=day) if action.due < assessment.on else day
