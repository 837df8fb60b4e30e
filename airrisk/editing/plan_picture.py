"""How a system file names the picture under its site plan: by the way from its own folder."""

from __future__ import annotations

import os
from pathlib import Path

from airrisk.installation.splice import EditError, SystemText

TABLE, KEY = "about", "plan_picture"


def path_of(name: str, folder: Path | None) -> Path:
    """Where a picture stands that a file in a folder names."""
    path = Path(name)
    return path if path.is_absolute() or folder is None else folder / path


def name_of(path: Path, folder: Path | None) -> str:
    """How a file names a picture: by the way from its own folder where there is one."""
    if folder is None:
        return path.absolute().as_posix()
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.absolute().as_posix()


def moved_text(text: SystemText, before: Path | None, after: Path) -> SystemText:
    """The text for another folder, so that it still leads to the same picture.

    Parameters
    ----------
    text
        Of the file.
    before
        The folder that it stood in; None: none yet, and nothing is changed.
    after
        The folder that it is written to.
    """
    if before is None or os.path.realpath(before) == os.path.realpath(after):
        return text
    try:
        about = text.raw.get(TABLE)
        name = about.get(KEY) if isinstance(about, dict) else None
        if not isinstance(name, str) or not name or Path(name).is_absolute():
            return text
        return text.set(TABLE, KEY, name_of(path_of(name, before.absolute()), after.absolute()))
    except EditError:  # it is saved as it is
        return text
