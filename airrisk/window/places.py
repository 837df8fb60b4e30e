"""Where the window keeps its own files: settings and recovery journals."""

from __future__ import annotations

from pathlib import Path

import platformdirs
from PySide6.QtCore import QSettings

NAME = "airrisk"
MOST_RECENT = 8


def state_folder() -> Path:
    """Folder for recovery journals."""
    return Path(platformdirs.user_state_dir(NAME, appauthor=False)) / "journals"


def settings() -> QSettings:
    """The window's own settings."""
    folder = Path(platformdirs.user_config_dir(NAME, appauthor=False))
    return QSettings(str(folder / "window.ini"), QSettings.Format.IniFormat)


def recent_files() -> list[Path]:
    """Files opened lately that still exist, the last one first."""
    stored = settings().value("recent", [])
    names = [stored] if isinstance(stored, str) else stored if isinstance(stored, list) else []
    return [Path(name) for name in names if Path(name).is_file()]


def remember_file(path: Path) -> None:
    """Put a file at the head of the recent ones."""
    names = [str(path.resolve()), *(str(p) for p in recent_files())]
    unique = list(dict.fromkeys(names))[:MOST_RECENT]
    settings().setValue("recent", unique)
