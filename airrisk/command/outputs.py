"""The files that a command writes: refused before the work begins, written whole."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Mapping
from pathlib import Path

import click

from airrisk.command.screen import flush, is_screen
from airrisk.installation.characters import visible_line
from airrisk.wording.translation import tr

SCREEN = "-"


class InputRefused(click.ClickException):
    """The input is wrong; exit code 2."""

    exit_code = 2


def check_outputs(
    files: Mapping[str, str | Path | None], inputs: Iterable[Path], *, screen: tuple[str, ...] = ()
) -> None:
    """Refuse files that a command must not write.

    Parameters
    ----------
    files : mapping
        Option to the file wanted; None: not wanted.
    inputs : iterable of Path
        Files that the command reads.
    screen : tuple of str
        Options for which ``-`` means the screen.

    Raises
    ------
    InputRefused
        A file is one of the inputs or another system file, is named twice, is no place
        for a result, or is ``-`` where that means nothing.
    """
    sources = tuple(inputs)
    wanted: dict[str, str] = {}
    for option, path in files.items():
        if path is None:
            continue
        if str(path) == SCREEN:
            if option in screen:
                continue
            raise InputRefused(
                tr("{option} -: only --json goes to the screen; valid: a file name").format(
                    option=option
                )
            )
        _refuse_system_file(option, Path(path), sources)
        _refuse_strange_file(option, Path(path))
        first = wanted.setdefault(os.path.realpath(path), option)
        if first != option:
            raise InputRefused(
                tr("{option} {path}: {first} already writes this file; valid: another name").format(
                    option=option, path=visible_line(str(path)), first=first
                )
            )


def _refuse_system_file(option: str, path: Path, inputs: Iterable[Path]) -> None:
    from airrisk.installation.saving import is_for_system_files

    valid = tr("valid: another name, with an ending such as .pdf, .html, .csv, .json or .ics")
    shown = visible_line(str(path))
    for source in inputs:
        if os.path.exists(path) and os.path.exists(source) and os.path.samefile(path, source):
            raise InputRefused(
                tr("{option} {shown}: that is the input file; {valid}").format(
                    option=option, shown=shown, valid=valid
                )
            )
    if is_for_system_files(path):
        raise InputRefused(
            tr("{option} {shown}: a system file is not written over; {valid}").format(
                option=option, shown=shown, valid=valid
            )
        )


def _refuse_strange_file(option: str, path: Path) -> None:
    """Refuse what is no place for a result, before the work begins."""
    shown = visible_line(str(path))
    try:
        found = os.stat(path).st_mode
    except FileNotFoundError:
        if os.path.isdir(path.parent):
            return
        raise InputRefused(
            tr("{shown}: cannot be written: there is no such folder").format(shown=shown)
        ) from None
    except OSError as error:
        raise InputRefused(
            tr("{shown}: cannot be written: {reason}").format(
                shown=shown, reason=error.strerror or error
            )
        ) from None
    if stat.S_ISDIR(found):
        raise InputRefused(
            tr("{option} {shown}: that is a folder; valid: the name of a file").format(
                option=option, shown=shown
            )
        )
    if stat.S_ISREG(found) and is_screen(path):
        raise InputRefused(
            tr(
                "{option} {shown}: the text of the screen goes to this file; valid: another name"
            ).format(option=option, shown=shown)
        )
    if not (stat.S_ISREG(found) or stat.S_ISFIFO(found) or stat.S_ISCHR(found)):
        raise InputRefused(
            tr(
                "{option} {shown}: that is not a file but a disk or a socket; valid: another name"
            ).format(option=option, shown=shown)
        )


def write_output(path: Path, data: bytes) -> None:
    """Write a result file whole or not at all, and never over a system file.

    A pipe that somebody reads and a device such as a terminal get the data in passing.

    Raises
    ------
    InputRefused
        The path cannot be written, or a system file stands there.
    ScreenLost
        The screen did not take what was said before.
    """
    from airrisk.installation.saving import save_result

    flush()  # the data may go the same way
    try:
        save_result(path, data, through=True)
    except OSError as error:
        shown, reason = visible_line(str(path)), error.strerror or error
        raise InputRefused(
            tr("{shown}: cannot be written: {reason}").format(shown=shown, reason=reason)
        ) from None
