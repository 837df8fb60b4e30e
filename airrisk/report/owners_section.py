"""One page to hang up: who does what by when."""

from __future__ import annotations

from airrisk.report.action_tables import action_status
from airrisk.report.blocks import Block, Paragraph, Section, table_of
from airrisk.study.actions import facts_of, is_about
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.acceptances import counting
from airrisk.wording.action_deeds import action_deed
from airrisk.wording.findings import finding_cure, finding_text, finding_title, worst_first
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units

BOX = "☐"


def owners_section(assessment: Assessment, units: Units) -> Section:
    """Actions by who sees to them, the soonest first, and behind them what nobody has taken on.

    Parameters
    ----------
    assessment : Assessment
        With its register of actions.
    units : Units
        For the numbers in the texts.
    """
    ways = [_blocks(assessment, units, brief=brief) for brief in (False, True)]
    title = tr("Who does what by when")
    return Section("owners", title, ways[0], own_page=True, one_page=True, briefer=(ways[1],))


def _blocks(assessment: Assessment, units: Units, *, brief: bool) -> tuple[Block, ...]:
    """The page; in brief a finding is told by its title."""
    rows = []
    taken = [row for row in assessment.action_register if row.status != "done"]
    ends = {row.id: row.due.isoformat() if row.due else "9999" for row in taken}
    for row in sorted(taken, key=lambda one: (not one.owner, one.owner, ends[one.id], one.id)):
        rows.append(
            [
                row.owner,
                f"{row.id}: {action_deed(row, assessment, units)}",
                row.part,
                date_text(row.due) if row.due else "",
                action_status(row.status),
                BOX,
            ]
        )
    for finding in _nobodys(assessment):
        why = labels.uncapitalised(finding_title(finding)) + "."
        text = tr("{cure} Because ({severity}): {text}").format(
            cure=finding_cure(finding, units, brief=brief),
            severity=labels.severity(finding.severity),
            text=why if brief else finding_text(finding, units),
        )
        rows.append(["", text, finding.part, "", tr("not taken on"), BOX])
    blocks: list[Block] = [
        Paragraph(
            tr(
                "By who sees to it, the soonest first. Behind them stand the dangers and warnings "
                "that nobody has taken on."
            ),
            "small",
        )
    ]
    if rows:
        blocks.append(
            table_of(
                [tr("Who"), tr("What"), tr("Part"), tr("Due, or until"), tr("Status"), tr("Done")],
                rows,
                [0.8, 5.0, 0.6, 0.8, 0.8, 0.45],
                strong_first=True,
                numbered=False,
            )
        )
    else:
        blocks.append(Paragraph(tr("Nothing is to be done.")))
    return tuple(blocks)


def _nobodys(assessment: Assessment) -> list[Finding]:
    """Dangers and warnings about which there is no action."""
    return [
        finding
        for finding in worst_first(counting(assessment.findings))
        if finding.severity != "note"
        and not any(is_about(action, facts_of(finding)) for action in assessment.actions)
    ]
