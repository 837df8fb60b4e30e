"""``airrisk actions``: what has been decided about findings, who sees to it and by when."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from airrisk.command.given import (
    EXIT_CLEAR,
    EXIT_FAILED,
    EXIT_FINDINGS,
    date_of,
    file_argument,
    on_option,
    read_installation,
)
from airrisk.command.outputs import check_outputs, write_output
from airrisk.command.screen import say
from airrisk.command.speaking import Command, option
from airrisk.command.stopping import stop_on_interrupt
from airrisk.command.watching import watched
from airrisk.wording.translation import date_text, tr

if TYPE_CHECKING:
    from airrisk.study.action_register import ActionRow
    from airrisk.study.records import Assessment
    from airrisk.wording.units import Units


@click.command(
    "actions", cls=Command, short_help="List what was decided about findings, with its dates."
)
@file_argument
@option("--csv", type=click.Path(path_type=Path), help="Write the actions as CSV.")
@option("--ics", type=click.Path(path_type=Path), help="Write their due dates as iCalendar.")
@on_option
def actions(file: Path, csv: Path | None, ics: Path | None, on: str | None) -> int:
    """List the actions of FILE: what is to be done, accepted or done, the most urgent first.

    Exit code 0: none is overdue and no acceptance has lapsed; 1: one is, or has; 2: the input is
    wrong; 3: a calculation failed.
    """
    from airrisk.report.content import units_for
    from airrisk.study.action_register import LATE, actions_calendar, actions_csv
    from airrisk.study.assessment import Watcher, assess
    from airrisk.wording.action_deeds import action_deed, english_deed

    check_outputs({"--csv": csv, "--ics": ics}, (file,))
    installation, data = read_installation(file)
    day = date_of(on, installation)
    with watched() as progress, stop_on_interrupt() as should_stop:
        answer = assess(
            installation, day, source=data, bores=False, watcher=Watcher(progress, should_stop)
        )
    rows, units = answer.action_register, units_for(installation)
    if csv:
        write_output(
            csv, actions_csv(rows, lambda row: english_deed(row, answer, units)).encode("utf-8-sig")
        )
    if ics:
        stamp = dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC)
        data = actions_calendar(
            rows, answer.title, stamp,
            lambda row: tr("{id}: {text}").format(id=row.id, text=action_deed(row, answer, units)),
        )  # fmt: skip
        write_output(ics, data)
    if rows:
        say(tr("Actions on {date}").format(date=date_text(day)))
        for row in rows:
            _print_action(row, answer, units)
    else:
        say(tr("The file has no action."))
    if answer.failures:
        return EXIT_FAILED
    return EXIT_FINDINGS if any(row.status in LATE for row in rows) else EXIT_CLEAR


def _print_action(row: ActionRow, answer: Assessment, units: Units) -> None:
    from airrisk.report.action_tables import action_cells

    name, status, about, part, text, who, due, done, evidence = action_cells(row, answer, units)
    say(f"  {name}  {status}: {part}, {about}")
    say(f"      {text}")
    say(
        "      "
        + tr("Who: {who}; due, or until: {due}; done: {done}; evidence: {evidence}").format(
            who=who, due=due, done=done, evidence=evidence
        )
    )
