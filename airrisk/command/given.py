"""What every command is given and gives back: the file, the date, the units, the exit codes."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import click

from airrisk.command.outputs import InputRefused
from airrisk.command.speaking import option
from airrisk.installation.characters import visible_line
from airrisk.wording.translation import tr

EXIT_CLEAR, EXIT_FINDINGS, EXIT_INPUT, EXIT_FAILED = 0, 1, 2, 3

on_option = option(
    "--on",
    "on",
    metavar="DATE",
    help="Date of the assessment, YYYY-MM-DD (default: the file's audit_date, else today).",
)
units_option = option(
    "--units",
    type=click.Choice(["metric", "US customary"]),
    default="metric",
    show_default=True,
    help="Units of the printed text; JSON is always SI.",
)
file_argument = click.argument("file", type=click.Path(path_type=Path))


def read_installation(file: Path) -> tuple[Any, bytes]:
    """The checked installation and the file's bytes.

    Raises
    ------
    InputRefused
        The file cannot be read or its content is wrong; the message lists every problem.
    """
    from airrisk.installation import reading

    try:
        return reading.load_bytes(file)
    except reading.SystemFileErrors as errors:
        raise InputRefused(tr(errors.told)) from None
    except OSError as error:
        reason = error.strerror or error
        raise InputRefused(
            tr("{file}: cannot be read: {reason}").format(
                file=visible_line(str(file)), reason=reason
            )
        ) from None


def date_of(on: str | None, installation: Any) -> dt.date:
    """The date that the assessment speaks of."""
    if on is not None:
        try:
            return dt.date.fromisoformat(on)
        except ValueError:
            raise InputRefused(
                tr("--on {on} is not a date; valid is YYYY-MM-DD, for example 2027-03-01").format(
                    on=repr(on)
                )
            ) from None
    return installation.choices.audit_date or dt.date.today()
