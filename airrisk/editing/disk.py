"""What the file on disk was when we last read or wrote it, and whether it changed since."""

from __future__ import annotations

import enum
import hashlib
from dataclasses import dataclass
from pathlib import Path

from airrisk.installation.decoding import read_with_status
from airrisk.installation.problems import SystemFileErrors


class DiskState(enum.Enum):
    """The file on disk compared with what we last read or wrote."""

    UNSAVED = "never saved"
    SAME = "same"
    CHANGED = "changed by someone else"
    GONE = "gone"


@dataclass(frozen=True)
class Stamp:
    """Time, size and hash of a file; no time: of a text that stands nowhere."""

    mtime_ns: int | None
    size: int
    sha256: str


def stamp_of(path: Path) -> Stamp:
    """The stamp of a file now.

    Raises
    ------
    OSError
        The file cannot be read.
    SystemFileErrors
        Too large or no regular file, so no system file.
    """
    return read_stamped(path)[1]


def read_stamped(path: Path) -> tuple[bytes, Stamp]:
    """The bytes of a file and the stamp of just these bytes.

    Raises
    ------
    OSError
        The file cannot be read.
    SystemFileErrors
        Too large or no regular file, so no system file.
    """
    data, status = read_with_status(path)
    return data, Stamp(status.st_mtime_ns, len(data), hashlib.sha256(data).hexdigest())


def stamp_of_text(text: str) -> Stamp:
    """The stamp of any file that holds this text."""
    data = text.encode("utf-8", "surrogatepass")
    return Stamp(None, len(data), hashlib.sha256(data).hexdigest())


def stamp_of_written(path: Path, text: str) -> Stamp:
    """The stamp of a file just written with this text, whatever happened to it since."""
    stamp = stamp_of_text(text)
    try:
        there = stamp_of(path)
    except (OSError, SystemFileErrors):
        return stamp
    return there if there.sha256 == stamp.sha256 else stamp


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
    except SystemFileErrors:  # a folder, a device or something very large stands there now
        return DiskState.CHANGED
    return DiskState.SAME if now.sha256 == stamp.sha256 else DiskState.CHANGED
