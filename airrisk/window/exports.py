"""Where an export goes and how it is written: whole or not at all, never over a system file."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from airrisk.installation.characters import visible_line
from airrisk.installation.saving import SystemFileInTheWay, is_for_system_files, save_result
from airrisk.wording.translation import tr


class NotSaved(Exception):
    """An export that was not written, and why, in words for the person."""


def _in_the_way(path: Path) -> str:
    return tr(
        "{name} is kept for a system file, which an export does not write over. Choose another"
        " name."
    ).format(name=visible_line(path.name))


def ask_where(parent: QWidget, title: str, name: str, kinds: str) -> Path | None:
    """Ask for the file of an export, again where a system file is in the way.

    Parameters
    ----------
    parent : QWidget
        The view that exports.
    title, name, kinds : str
        Title of the dialog, name that it offers, filters of the endings.

    Returns
    -------
    Path or None
        None when the person has given up.
    """
    offered = name
    while True:
        chosen, _filter = QFileDialog.getSaveFileName(parent, title, offered, kinds)
        if not chosen:
            return None
        path = Path(chosen)
        if not is_for_system_files(path):
            return path
        QMessageBox.warning(parent, title, _in_the_way(path))
        offered = str(path.with_name(Path(name).name))


def write_export(path: Path, data: bytes) -> str:
    """Write an export whole or not at all; returns the message to show.

    Parameters
    ----------
    path : Path
        File to write.
    data : bytes
        The whole content.

    Raises
    ------
    NotSaved
        A system file stands there, or the file cannot be written; it is as it was.
    """
    try:
        save_result(path, data)
    except SystemFileInTheWay:
        raise NotSaved(_in_the_way(path)) from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise NotSaved(
            tr("{name}: {reason}").format(name=visible_line(path.name), reason=reason)
        ) from None
    return tr("Saved as {name}.").format(name=visible_line(path.name))
