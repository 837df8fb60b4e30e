"""``airrisk exercise``: a sheet of questions on one vessel or line, with answers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from airrisk.command.given import EXIT_CLEAR, file_argument, read_installation, units_option
from airrisk.command.outputs import InputRefused, check_outputs, write_output
from airrisk.command.screen import say
from airrisk.command.speaking import Command, option
from airrisk.wording.translation import tr


@click.command(
    "exercise", cls=Command, short_help="Write eight questions on a vessel or line, with answers."
)
@file_argument
@option("--part", metavar="ID", help="The vessel or line (default: the first one).")
@option("--pdf", type=click.Path(path_type=Path), help="Write the sheet as PDF.")
@option("--html", type=click.Path(path_type=Path), help="Write the sheet as one HTML file.")
@option(
    "--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True, help="Paper."
)
@units_option
def exercise(
    file: Path, part: str | None, pdf: Path | None, html: Path | None, paper: str, units: str
) -> int:
    """Write eight questions with the numbers of a part of FILE; the answers stand behind them.

    Exit code 0 when it is written, 2 and 3 as in assess.
    """
    if not (pdf or html):
        raise click.UsageError(tr("Say what to write: --pdf or --html with a file name"))
    check_outputs({"--pdf": pdf, "--html": html}, (file,))
    installation, _ = read_installation(file)
    from airrisk.report.content import units_for
    from airrisk.report.exercise_sheet import build_exercise

    made = build_exercise(installation, _holder(installation, part), units)
    shown = units_for(installation, units)
    if pdf:
        from airrisk.report.pdf import render_pdf

        write_output(pdf, render_pdf(made, shown, paper))
    if html:
        from airrisk.report.html import render_html

        write_output(html, render_html(made, shown).encode("utf-8"))
    for path in (pdf, html):
        if path:
            say(tr("wrote {path}").format(path=path))
    return EXIT_CLEAR


def _holder(installation: Any, name: str | None) -> Any:
    """The part that is asked for.

    Raises
    ------
    InputRefused
        There is no such vessel or line.
    """
    holders = installation.holders()
    for one in holders:
        if name is None or one.id.casefold() == name.casefold():
            return one
    known = ", ".join(one.id for one in holders) or tr("a file with a vessel or line")
    raise InputRefused(
        tr("--part {name}: there is no such vessel or line; valid: {known}").format(
            name=repr(name), known=known
        )
    )
