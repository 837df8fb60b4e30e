"""Saving the exercise sheet of what is tried."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from airrisk.window.exports import NotSaved, ask_where, write_export
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.tryout.scratch import Scratch


def ask_for_sheet(
    scratch: Scratch | None, part: str, unit_set: str, tell: Callable[[str], object], over: QWidget
) -> None:
    """Ask where to, and save the sheet of a part; ``scratch``: None where there is no answer."""
    path = ask_where(
        over,
        tr("Save the exercise sheet"),
        f"{part}-exercises.pdf",
        tr("{kind} (*.{ending})").format(kind="PDF", ending="pdf"),
    )
    if path is not None:
        tell(_saved(path, scratch, part, unit_set))


def _saved(path: Path, scratch: Scratch | None, part: str, unit_set: str) -> str:
    from airrisk.report.content import units_for
    from airrisk.report.exercise_sheet import build_exercise
    from airrisk.report.pdf import render_pdf

    installation, mistake = (None, "") if scratch is None else scratch.installation()
    if installation is None:
        reason = mistake or tr("there is no answer to these values")
        return tr("Not saved: {reason}").format(reason=reason)
    holder = next(one for one in installation.holders() if one.id == part)
    made = build_exercise(installation, holder, unit_set)
    try:
        return write_export(path, render_pdf(made, units_for(installation, unit_set)))
    except NotSaved as error:
        return tr("Not saved: {reason}").format(reason=error)
