"""What changed between two versions, as pages: verdicts, causes, actions, inputs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from airrisk import __version__
from airrisk.installation.model import Installation
from airrisk.report.action_tables import action_status
from airrisk.report.blocks import Block, Heading, Paragraph, Report, Section, Style, table_of
from airrisk.report.compare import Change, input_changes
from airrisk.report.compare_causes import CauseChange, FindingChange, Version
from airrisk.report.content import units_for
from airrisk.study.records import Assessment, Finding
from airrisk.wording import labels
from airrisk.wording.action_deeds import action_deed
from airrisk.wording.cautions import cautions
from airrisk.wording.comparing import other_question, status_text
from airrisk.wording.cure_plans import cause_heading
from airrisk.wording.findings import finding_text
from airrisk.wording.matrix import Cell, class_heads, matrix_rows
from airrisk.wording.overview import overview_sentences
from airrisk.wording.translation import date_text, ntr, tr
from airrisk.wording.units import Units

Cells = dict[tuple[str, str], Cell]


def build_comparison(
    before: Version, after: Version, causes: Sequence[CauseChange], unit_set: str = "metric"
) -> Report:
    """A report on what changed; a small change takes two pages at most.

    Parameters
    ----------
    before, after : (Assessment, Installation)
        The two versions with their answers.
    causes : sequence of CauseChange
        Of the two.
    unit_set : str
        "metric" or "US customary".
    """
    (old, _), (new, installation) = before, after
    units = units_for(installation, unit_set)
    inputs = input_changes(before[1], installation, unit_set)
    names = {one.id for answer in (old, new) for one in answer.actions}
    blocks = [
        *_asked(before[1], installation),
        *_verdict_blocks(old, new, units),
        *_cause_blocks(causes, units),
        *_action_blocks(old, new, units),
        *_input_blocks([one for one in inputs if one.where not in names]),
        Paragraph(cautions()[0], "small"),
    ]
    same = tr("The same file")
    facts = (
        (tr("Before"), _version(old)),
        (tr("After"), same if old.inputs_sha256 == new.inputs_sha256 else _version(new)),
    )
    return Report(
        title=new.title or tr("Compressed-air installation"),
        subtitle=tr("What has changed between two versions"),
        facts=facts,
        sections=(Section("changes", tr("What has changed"), tuple(blocks)),),
        footer=" · ".join((f"airrisk {__version__}", new.inputs_sha256[:12], date_text(new.on))),
        author=installation.about.prepared_by or "airrisk",
        subject=tr("Inputs, verdicts, causes, actions"),
        day=new.on,
    )


def _asked(before: Installation, after: Installation) -> list[Block]:
    told = other_question(before, after)
    return [Paragraph(told, "caution")] if told else []


def _version(answer: Assessment) -> str:
    return tr("{title}, assessed on {date}, SHA-256 {hash}…").format(
        title=answer.title, date=date_text(answer.on), hash=answer.inputs_sha256[:16]
    )


def _cells(answer: Assessment) -> Cells:
    heads = class_heads()
    return {
        (row.title, head): cell
        for row in matrix_rows(answer)
        for head, cell in zip(heads, row.cells, strict=True)
    }


def _verdict_blocks(old: Assessment, new: Assessment, units: Units) -> list[Block]:
    """What is safe before and after, what has turned, and each verdict that has changed."""
    was, now = _cells(old), _cells(new)
    keys = list(dict.fromkeys([*was, *now]))
    lost = [key for key in keys if _safe(was, key) is True and _safe(now, key) is False]
    come = [key for key in keys if key not in was and _safe(now, key) is False]
    won = [key for key in keys if _safe(was, key) is False and _safe(now, key) is True]
    changed = [key for key in keys if _text(was, key) != _text(now, key)]
    unsafe = new.failures or any(cell.safe is False for cell in now.values())
    told = [
        ntr(
            "{count} verdict is no longer safe.", "{count} verdicts are no longer safe.", len(lost)
        ).format(count=len(lost)),
        ntr("{count} has become safe.", "{count} have become safe.", len(won)).format(
            count=len(won)
        ),
    ]
    if come:
        told.append(
            ntr(
                "{count} that is not safe stands in a section that was not there before.",
                "{count} that are not safe stand in sections that were not there before.",
                len(come),
            ).format(count=len(come))
        )
    told.append(
        ntr("{count} reads as before.", "{count} read as before.", len(keys) - len(changed)).format(
            count=len(keys) - len(changed)
        )
    )
    alarm: Style = "alarm" if lost or come or unsafe else "caution"
    blocks: list[Block] = [
        Paragraph(tr("Now: {told}").format(told=overview_sentences(new, units)[0]), alarm),
        Paragraph(tr("Before: {told}").format(told=overview_sentences(old, units)[0])),
        Paragraph(" ".join(told), "lead"),
    ]
    if changed:
        blocks += [
            Heading(tr("Verdicts that have changed")),
            table_of(
                [tr("Isolable section"), tr("Fires"), tr("Before"), tr("Now")],
                [[key[0], key[1], _text(was, key), _text(now, key)] for key in changed],
                [2.4, 1.2, 1.8, 1.8],
                caption=tr("– : the section is not in that version."),
                tones=tuple(
                    ("", "", "", "bad" if _safe(now, key) is False else "") for key in changed
                ),
                strong_first=True,
            ),
        ]
    return blocks


def _safe(cells: Cells, key: tuple[str, str]) -> bool | None:
    return cells[key].safe if key in cells else None


def _text(cells: Cells, key: tuple[str, str]) -> str:
    return cells[key].text if key in cells else "–"


def _cause_blocks(causes: Sequence[CauseChange], units: Units) -> list[Block]:
    """Causes of which something has changed, each with its findings that have."""
    changed = [one for one in causes if one.status != "same"]
    blocks: list[Block] = [Heading(tr("Causes and findings"))]
    if changed:
        rows = [
            [
                status_text(finding.status),
                cause_heading(cause.cause),
                _finding(finding.before, units),
                _finding(finding.after, units),
            ]
            for cause in changed
            for finding in _told(cause)
        ]
        blocks.append(
            table_of(
                [tr("What became of it"), tr("Cause"), tr("Before"), tr("Now")],
                rows,
                [0.9, 1.5, 2.6, 2.6],
                strong_first=True,
            )
        )
    rest = len(causes) - len(changed)
    blocks.append(
        Paragraph(
            ntr("{count} cause is as before.", "{count} causes are as before.", rest).format(
                count=rest
            ),
            "small",
        )
    )
    return blocks


def _told(cause: CauseChange) -> Iterable[FindingChange]:
    return (one for one in cause.findings if one.status != "same")


def _finding(finding: Finding | None, units: Units) -> str:
    if finding is None:
        return tr("none")
    return f"{labels.severity(finding.severity)}: {finding_text(finding, units)}"


def _action_blocks(old: Assessment, new: Assessment, units: Units) -> list[Block]:
    """Actions that came, went or stand differently."""
    was = {row.id: row for row in old.action_register}
    now = {row.id: row for row in new.action_register}
    rows = []
    for name in dict.fromkeys([*was, *now]):
        before, after = was.get(name), now.get(name)
        if before == after:
            continue
        row, whose = (after, new) if after else (before, old)
        assert row is not None
        rows.append(
            [
                name,
                action_deed(row, whose, units),
                row.owner or "–",
                date_text(row.due) if row.due else "–",
                action_status(before.status) if before else tr("not in the file"),
                action_status(after.status) if after else tr("not in the file"),
            ]
        )
    if not rows:
        return []
    return [
        Heading(tr("Actions")),
        table_of(
            [tr("Action"), tr("What"), tr("Who"), tr("Due, or until"), tr("Before"), tr("Now")],
            rows,
            [0.7, 3.0, 1.0, 1.0, 1.0, 1.0],
            strong_first=True,
        ),
    ]


def _input_blocks(changes: Sequence[Change]) -> list[Block]:
    """What the files say differently."""
    if not changes:
        return [Paragraph(tr("The files say the same, but for comments or the way of writing."))]
    return [
        Heading(tr("Inputs that have changed")),
        table_of(
            [tr("Where"), tr("What"), tr("Before"), tr("Now")],
            [[one.where, one.what, one.before or "–", one.after or "–"] for one in changes],
            [1.2, 2.0, 2.0, 2.0],
            strong_first=True,
        ),
    ]
