"""The chapter on what has been decided: the register of actions."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.messages import Texts
from airrisk.report.blocks import Paragraph, Section, table_of
from airrisk.study.action_register import ActionRow
from airrisk.study.actions import facts_of, is_about
from airrisk.study.records import Assessment
from airrisk.wording.action_deeds import action_deed
from airrisk.wording.findings import rule_title
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units

ACTION_STATUSES: Texts[dict[str, str]] = {
    "overdue": "overdue", "lapsed": "no longer accepted", "due soon": "due soon", "open": "open",
    "no finding": "finding is gone", "accepted": "accepted", "done": "done",
}  # fmt: skip


def action_status(status: str) -> str:
    """A status of the register of actions in words."""
    return tr(ACTION_STATUSES[status])


def causes_of_actions(assessment: Assessment) -> dict[str, tuple[int, ...]]:
    """Id of an action -> places of the causes that it is about, counted from 1.

    Empty as long as nobody has asked for causes.
    """
    found: dict[str, tuple[int, ...]] = {}
    for number, cause in enumerate(assessment.causes or (), start=1):
        facts = [facts_of(one) for one in cause.findings]
        for action in assessment.actions:
            if any(is_about(action, one) for one in facts):
                found[action.id] = (*found.get(action.id, ()), number)
    return found


def action_cells(
    row: ActionRow, assessment: Assessment, units: Units, causes: Sequence[int] = ()
) -> list[str]:
    """One action as the cells of a table, with the causes that it is about where they are known."""
    about = rule_title(row.rule)
    if causes:
        numbers = ", ".join(str(number) for number in causes)
        about = tr("{title} (cause {numbers})").format(title=about, numbers=numbers)
    return [
        row.id,
        action_status(row.status),
        about,
        row.part or tr("the installation"),
        action_deed(row, assessment, units),
        row.owner or "–",
        date_text(row.due) if row.due else "–",
        date_text(row.done) if row.done else "–",
        row.evidence or "–",
    ]


def action_heads() -> list[str]:
    """The heads over those cells."""
    return [
        tr("Action"), tr("Status"), tr("About"), tr("Part"), tr("What is to be done"),
        tr("Who"), tr("Due, or until"), tr("Done"), tr("Evidence"),
    ]  # fmt: skip


def actions_section(assessment: Assessment, units: Units) -> Section | None:
    """The register on the date; None without an action."""
    if not assessment.action_register:
        return None
    causes = causes_of_actions(assessment)
    return Section(
        "actions",
        tr("Actions on {date}").format(date=date_text(assessment.on)),
        (
            Paragraph(
                tr(
                    "What somebody has decided about a finding. An acceptance lapses on its day, "
                    "and as soon as the result is worse than what was accepted."
                )
            ),
            table_of(
                action_heads(),
                [
                    action_cells(row, assessment, units, causes.get(row.id, ()))
                    for row in assessment.action_register
                ],
                [0.6, 0.9, 1.3, 0.7, 2.0, 1.0, 0.9, 0.9, 1.0],
                strong_first=True,
            ),
        ),
    )
