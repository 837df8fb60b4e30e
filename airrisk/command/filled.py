"""The command's way to take over a walk sheet that somebody has filled in."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from airrisk.command.given import EXIT_CLEAR, EXIT_FINDINGS
from airrisk.command.outputs import InputRefused
from airrisk.command.printing import print_columns, say
from airrisk.installation.characters import visible_line
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import date_text, tr

if TYPE_CHECKING:
    from airrisk.editing.filled_sheet import FilledRow
    from airrisk.installation.model import Installation


def take_over(
    file: tuple[Path, bytes], installation: Installation, filled: Path | None, write: Path | None
) -> int:
    """List what a filled sheet says that the file does not, and write a file that has it.

    Exit code 0: nothing was found out of order; 1: something was.

    Raises
    ------
    InputRefused
        The sheet cannot be read or is one of another file; nothing is written then.
    """
    from airrisk.editing.filled_sheet import new_rows, read_filled
    from airrisk.wording.walk import found_words

    if filled is None:
        raise InputRefused(tr("--write: only with --filled and a sheet"))
    if write is not None and os.path.lexists(write):
        raise InputRefused(
            tr("--write {file}: is there already; valid: a new name").format(
                file=visible_line(str(write))
            )
        )
    sheet = read_filled(_bytes_of(filled), installation, found_words())
    if sheet.problems:
        told = "\n".join(tr(problem) for problem in sheet.problems)
        raise InputRefused(f"{visible_line(str(filled))}:\n{told}")
    rows = new_rows(sheet.rows, installation)
    _print_rows(rows)
    if write is not None:
        _write(file, rows, write)
    return EXIT_FINDINGS if any(row.faulty for row in rows) else EXIT_CLEAR


def _bytes_of(filled: Path) -> bytes:
    try:
        return filled.read_bytes()
    except OSError as error:
        raise InputRefused(
            tr("{file}: cannot be read: {reason}").format(
                file=visible_line(str(filled)), reason=error.strerror or error
            )
        ) from None


def _print_rows(rows: tuple[FilledRow, ...]) -> None:
    if not rows:
        say(tr("The file has all of the sheet already."))
        return
    table = [(tr("place"), tr("date"), tr("by"), tr("found"), tr("remark"))]
    for row in rows:
        found = choice_word(row.condition) if row.condition else "-"
        table.append((row.on, date_text(row.date), row.by, found, row.note or "-"))
    say(tr("New inspections: {count}").format(count=len(rows)))
    print_columns(table)


def _write(file: tuple[Path, bytes], rows: tuple[FilledRow, ...], write: Path) -> None:
    from airrisk.editing.filled_sheet import deeds, taken_over
    from airrisk.installation.saving import save
    from airrisk.installation.splice import SystemText

    text = taken_over(SystemText(file[1].decode("utf-8")), rows, deeds(rows))
    try:
        save(write, text.text)
    except OSError as error:
        raise InputRefused(
            tr("{shown}: cannot be written: {reason}").format(
                shown=visible_line(str(write)), reason=error.strerror or error
            )
        ) from None
    say(tr("Written: {file}").format(file=visible_line(str(write))))
