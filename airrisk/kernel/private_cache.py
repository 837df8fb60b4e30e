"""Where compiled code is kept between starts: in a folder that nobody else can write to.

Machine code and numba's files are run as they are found. What belongs to another user, or what
others may change, is not trusted: it is neither read nor written.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


def cache_folder() -> Path | None:
    """The folder of this user, made where it is missing; None: there is none that can be trusted.

    ``NUMBA_CACHE_DIR`` names another one.
    """
    named = os.environ.get("NUMBA_CACHE_DIR")
    if named:
        folder = Path(named)
    else:
        try:
            import platformdirs
        except ImportError:
            return None
        folder = Path(platformdirs.user_cache_dir("airrisk", appauthor=False))
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if is_private(folder) else None


def is_private(path: Path) -> bool:
    """Whether a file or folder belongs to this user and nobody else may change it.

    On Windows the folders of a user are closed to others by their access lists, which are not
    looked at.
    """
    if os.name == "nt":
        return path.exists()
    try:
        found = path.lstat()
    except OSError:
        return False
    if stat.S_ISLNK(found.st_mode):
        return False
    return found.st_uid == os.getuid() and not found.st_mode & OTHERS_MAY_WRITE
