"""What the file on disk was when we last read or wrote it, and whether it changed since."""

from __future__ import annotations

import enum
import hashlib
from dataclasses import dataclass
from pathlib import Path


class DiskState(enum.Enum):
    """The file on disk compared with what we last read or wrote."""

    UNSAVED = "never saved"
    SAME = "same"
    CHANGED = "changed by someone else"
    GONE = "gone"


@dataclass(frozen=True)
class Stamp:
    """Time, size and hash of a file."""

    mtime_ns: int
    size: int
    sha256: str


def stamp_of(path: Path) -> Stamp:
    """The stamp of a file now.

    Raises
    ------
    OSError
        The file cannot be read.
    """
    status = path.stat()
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    return Stamp(status.st_mtime_ns, status.st_size, digest)


def compare(path: Path | None, stamp: Stamp | None) -> DiskState:
    """Compare the file with its stamp; the hash is taken only when time or size differ."""
    if path is None or stamp is None:
        return DiskState.UNSAVED
    try:
        status = path.stat()
        if status.st_mtime_ns == stamp.mtime_ns and status.st_size == stamp.size:
            return DiskState.SAME
        now = stamp_of(path)
    except OSError:
        return DiskState.GONE
    return DiskState.SAME if now.sha256 == stamp.sha256 else DiskState.CHANGED
