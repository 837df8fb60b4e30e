"""The files that a command writes: refused before the work begins, written whole."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

import click

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
        A file is one of the inputs or another system file, is named twice, or is ``-`` where
        that means nothing.
    """
    sources = tuple(inputs)
    wanted: dict[str, str] = {}
    for option, path in files.items():
        if path is None:
            continue
        if str(path) == SCREEN:
            if option in screen:
                continue
            raise InputRefused(f"{option} -: only --json goes to the screen; valid: a file name")
        _refuse_system_file(option, Path(path), sources)
        first = wanted.setdefault(os.path.realpath(path), option)
        if first != option:
            raise InputRefused(
                f"{option} {path}: {first} already writes this file; valid: another name"
            )


def _refuse_system_file(option: str, path: Path, inputs: Iterable[Path]) -> None:
    from airrisk.installation.saving import is_for_system_files

    valid = "valid: another name, with an ending such as .pdf, .html, .csv, .json or .ics"
    for source in inputs:
        if path.exists() and source.exists() and path.samefile(source):
            raise InputRefused(f"{option} {path}: that is the input file; {valid}")
    if is_for_system_files(path):
        raise InputRefused(f"{option} {path}: a system file is not written over; {valid}")


def write_output(path: Path, data: bytes) -> None:
    """Write a result file whole or not at all, and never over a system file.

    Raises
    ------
    InputRefused
        The path cannot be written, or a system file stands there.
    """
    from airrisk.installation.saving import save_result

    try:
        save_result(path, data)
    except OSError as error:
        raise InputRefused(f"{path}: cannot be written: {error.strerror or error}") from None
