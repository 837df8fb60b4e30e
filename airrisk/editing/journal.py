"""Recovery journal: every edit is on disk before the next one, and comes back after a crash.

One file a document: a header line with the whole text at the start, then one line an edit.
Each line carries a checksum, so a torn last line is left out instead of spoiling the rest.
The file is locked while its document is open; a journal nobody holds is left from a crash.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import sys
import uuid
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from airrisk.editing.splices import Splice, splice_between

SUFFIX = ".journal"


def _sealed_line(record: dict[str, Any]) -> bytes:
    body = json.dumps(record, ensure_ascii=True, separators=(",", ":"))
    digest = hashlib.sha256(body.encode("ascii")).hexdigest()[:16]
    return f"{digest} {body}\n".encode("ascii")


def _open_line(line: bytes) -> dict[str, Any] | None:
    """The record of one line, None when the line is torn or damaged."""
    digest, _, body = line.rstrip(b"\n").partition(b" ")
    if not line.endswith(b"\n") or hashlib.sha256(body).hexdigest()[:16].encode() != digest:
        return None
    record = json.loads(body)
    return record if isinstance(record, dict) else None


def _lock(file: IO[bytes]) -> bool:
    """Hold the file for this process; False when another one does."""
    try:
        if sys.platform == "win32":
            import msvcrt

            file.seek(1 << 30)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


@dataclass(frozen=True)
class Recovered:
    """What a crash left behind."""

    journal: Path
    path: Path | None  # the file it belonged to, None for a new one
    base: str  # the text when the journal began
    text: str  # the text after the last complete edit
    edits: int

    def discard(self) -> None:
        """Remove the journal."""
        self.journal.unlink(missing_ok=True)


class Journal:
    """The journal of one open document."""

    def __init__(self, folder: Path, path: Path | None, text: str) -> None:
        """Begin a journal.

        Parameters
        ----------
        folder
            Where journals stand.
        path
            The document's file, None for a new one.
        text
            The document's text now.
        """
        folder.mkdir(parents=True, exist_ok=True)
        self.file_path = folder / f"{uuid.uuid4().hex}{SUFFIX}"
        self._text = ""
        self._file: IO[bytes] | None = None
        self.begin(path, text)

    def begin(self, path: Path | None, text: str) -> None:
        """Start again from this text (after opening and after saving)."""
        if self._file is None:
            self._file = open(self.file_path, "w+b")  # noqa: SIM115
            _lock(self._file)
        header = {"journal": 1, "path": None if path is None else str(path), "text": text}
        self._file.seek(0)
        self._file.truncate()
        self._file.write(_sealed_line(header))
        self._sync()
        self._text = text

    def note(self, text: str) -> None:
        """Put the step from the last noted text to this one on disk."""
        if self._file is None or text == self._text:
            return
        splice = splice_between(self._text, text)
        record = {"at": splice.start, "old": splice.old, "new": splice.new}
        self._file.seek(0, os.SEEK_END)
        self._file.write(_sealed_line(record))
        self._sync()
        self._text = text

    def _sync(self) -> None:
        assert self._file is not None
        self._file.flush()
        os.fsync(self._file.fileno())

    def close(self) -> None:
        """The document was closed in order: the journal goes."""
        if self._file is not None:
            self._file.close()
            self._file = None
            with contextlib.suppress(OSError):
                self.file_path.unlink(missing_ok=True)


def read_journal(journal: Path) -> Recovered | None:
    """What a journal file says, None when not even its header is whole."""
    with open(journal, "rb") as file:
        lines = file.readlines()
    header = _open_line(lines[0]) if lines else None
    if header is None or header.get("journal") != 1:
        return None
    base = text = str(header["text"])
    edits = 0
    for line in lines[1:]:
        record = _open_line(line)
        if record is None:
            break
        text = Splice(record["at"], record["old"], record["new"]).apply(text)
        edits += 1
    path = header.get("path")
    return Recovered(journal, None if path is None else Path(path), base, text, edits)


def recoverable(folder: Path) -> list[Recovered]:
    """Journals left by a crash that hold an edit not yet in the file; spent ones are removed."""
    found: list[Recovered] = []
    if not folder.is_dir():
        return found
    for journal in sorted(folder.glob(f"*{SUFFIX}")):
        try:
            with open(journal, "r+b") as file:
                free = _lock(file)
            if not free:
                continue  # another window has it open
            recovered = read_journal(journal)
        except (OSError, ValueError):
            continue
        if recovered is None or recovered.edits == 0 or _is_saved(recovered):
            journal.unlink(missing_ok=True)
        else:
            found.append(recovered)
    return found


def _is_saved(recovered: Recovered) -> bool:
    """Whether the file already holds the recovered text."""
    if recovered.path is None:
        return False
    try:
        return recovered.path.read_bytes() == recovered.text.encode("utf-8")
    except OSError:
        return False
