"""Where the window keeps its own files: settings and recovery journals.

The settings are a text that anybody may edit or damage: every value is taken for what it
should be or counts as not set.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import platformdirs
from PySide6.QtCore import QByteArray, QSettings

from airrisk.wording import languages

NAME = "airrisk"
MOST_RECENT = 8


def state_folder() -> Path:
    """Folder for recovery journals."""
    return Path(platformdirs.user_state_dir(NAME, appauthor=False)) / "journals"


def settings() -> QSettings:
    """The window's own settings."""
    folder = Path(platformdirs.user_config_dir(NAME, appauthor=False))
    return QSettings(str(folder / "window.ini"), QSettings.Format.IniFormat)


def stored_word(key: str, allowed: Iterable[str], default: str) -> str:
    """A setting that is one of a few words; anything else counts as not set."""
    found = settings().value(key)
    word = str(found) if isinstance(found, (str, int)) else ""
    return word if word in set(allowed) else default


def chosen_language() -> str:
    """The language chosen in the window; empty: that of the system."""
    return stored_word("language", languages.LANGUAGES, "")


def stored_state(key: str) -> QByteArray | None:
    """A setting that Qt wrote for a window or a splitter; anything else counts as not set."""
    found = settings().value(key)
    return found if isinstance(found, QByteArray) else None


def recent_files() -> list[Path]:
    """Files opened lately that still exist, the last one first."""
    stored = settings().value("recent")
    names = stored if isinstance(stored, list) else [stored]
    return [Path(name) for name in names if isinstance(name, str) and _is_file(name)]


def _is_file(name: str) -> bool:
    try:
        return bool(name) and Path(name).is_file()
    except (OSError, ValueError):  # a name that no file can have, a folder that is closed to us
        return False


def remember_file(path: Path) -> None:
    """Put a file at the head of the recent ones."""
    names = [str(path.resolve()), *(str(p) for p in recent_files())]
    unique = list(dict.fromkeys(names))[:MOST_RECENT]
    settings().setValue("recent", unique)
