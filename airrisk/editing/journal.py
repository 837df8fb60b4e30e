"""Recovery journal: every edit is on disk before the next one, and comes back after a crash.

One file a document: a header line with the whole text at the start, then one line an edit.
Each line carries a checksum, so a torn last line is left out instead of spoiling the rest.
The file is locked while its document is open; a journal nobody holds is left from a crash.

After an error of the disk nobody knows how much of a line is there: the next edit begins a new
file with all that is known, and the old one stays until the new one is whole.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import sys
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from airrisk.editing.disk import DiskState, compare, stamp_of_text
from airrisk.editing.splices import Splice, splice_between

SUFFIX = ".journal"
UNFINISHED = ".part"  # a journal whose header is not whole yet


def _sealed_line(record: dict[str, Any]) -> bytes:
    body = json.dumps(record, ensure_ascii=True, separators=(",", ":"))
    digest = hashlib.sha256(body.encode("ascii")).hexdigest()[:16]
    return f"{digest} {body}\n".encode("ascii")


def _open_line(line: bytes) -> dict[str, Any] | None:
    """The record of one line, None when the line is torn or damaged."""
    digest, _, body = line.rstrip(b"\n").partition(b" ")
    if not line.endswith(b"\n") or hashlib.sha256(body).hexdigest()[:16].encode() != digest:
        return None
    try:
        record = json.loads(body)
    except (ValueError, RecursionError):
        return None
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
    torn: bool = False  # what stands behind the last complete edit cannot be read
    written: float = 0.0  # time of the last edit, seconds since 1970
    session: str = ""  # the open document that wrote it
    turn: int = 0  # how many times that document had begun a journal

    def discard(self) -> None:
        """Remove the journal."""
        _remove(self.journal)

    def belongs_to(self, path: Path) -> bool:
        """Whether the edits were made to this file, under whatever name."""
        return self.path is not None and os.path.realpath(self.path) == os.path.realpath(path)

    def file_state(self) -> DiskState:
        """Whether the file on disk is still the one that was edited."""
        return compare(self.path, stamp_of_text(self.base))

    def is_saved(self) -> bool:
        """Whether the file on disk holds the recovered text."""
        return compare(self.path, stamp_of_text(self.text)) is DiskState.SAME


class Journal:
    """The journal of one open document.

    Nothing here raises for what the disk does: ``error`` says why the last edit is not on it,
    and is empty when it is.
    """

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
        self.error = ""
        self._folder = folder
        self._session = uuid.uuid4().hex
        self._turn = 0
        self.file_path = self._fresh_name()
        self._file: IO[bytes] | None = None
        self._whole = 0  # bytes of whole lines
        self._closed = False
        self.begin(path, text)

    def begin(self, path: Path | None, text: str) -> None:
        """Start again from this text (after opening and after saving)."""
        self._path = None if path is None else Path(os.path.abspath(path))
        self._base = self._text = text
        self._try(self._begin_anew)

    def note(self, text: str) -> None:
        """Put the step from the last noted text to this one on disk."""
        if self._closed or (text == self._text and not self.error):
            return
        before, self._text = self._text, text
        if self._file is None or self.error:
            self._try(self._begin_anew)
        else:
            line = _edit_line(before, text)
            self._try(lambda: self._append(line))

    def close(self) -> None:
        """The document was closed in order: the journal goes."""
        self._closed = True
        if self._file is not None:
            self._file.close()
            self._file = None
        _remove(self.file_path)

    def _try(self, action: Callable[[], None]) -> None:
        try:
            action()
        except OSError as error:
            self.error = error.strerror or str(error)
            if error.filename:
                self.error += f": {error.filename}"
            self._cut_back()
        else:
            self.error = ""

    def _append(self, line: bytes) -> None:
        assert self._file is not None
        self._file.seek(self._whole)
        _write(self._file, line)
        self._whole += len(line)

    def _cut_back(self) -> None:
        """Leave whole lines only, so that a reader meets nothing torn."""
        if self._file is not None:
            with contextlib.suppress(OSError):
                self._file.truncate(self._whole)

    def _begin_anew(self) -> None:
        """A file with the text at the start and all edits as one; only then the old one goes."""
        self._turn += 1
        header = {
            "journal": 1,
            "session": self._session,
            "turn": self._turn,
            "path": None if self._path is None else str(self._path),
            "text": self._base,
        }
        lines = _sealed_line(header)
        if self._text != self._base:
            lines += _edit_line(self._base, self._text)
        self._folder.mkdir(parents=True, exist_ok=True)
        # On Windows an open file can neither be renamed nor be removed by another program.
        target = self._fresh_name() if os.name == "nt" else self.file_path
        first = target if os.name == "nt" else self._fresh_name().with_suffix(UNFINISHED)
        file = open(first, "x+b", buffering=0, opener=_for_oneself)  # noqa: SIM115
        try:
            _lock(file)
            file.seek(0)
            _write(file, lines)
            if first != target:
                os.rename(first, target)
        except BaseException:
            file.close()
            _remove(first)
            raise
        before, self._file, self._whole = self._file, file, len(lines)
        if before is not None:
            before.close()
        if self.file_path != target:
            _remove(self.file_path)
            self.file_path = target

    def _fresh_name(self) -> Path:
        return self._folder / f"{uuid.uuid4().hex}{SUFFIX}"


def _for_oneself(name: str, flags: int) -> int:
    """Open a file that nobody else may read."""
    return os.open(name, flags, 0o600)


def _edit_line(before: str, after: str) -> bytes:
    splice = splice_between(before, after)
    return _sealed_line({"at": splice.start, "old": splice.old, "new": splice.new})


def _write(file: IO[bytes], data: bytes) -> None:
    """All of it on the disk.

    Raises
    ------
    OSError
        It is not, or only in part.
    """
    ahead = memoryview(data)
    while ahead:
        ahead = ahead[file.write(ahead) :]
    os.fsync(file.fileno())


def _read(journal: Path, file: IO[bytes]) -> Recovered | None:
    file.seek(0)
    lines = iter(file)
    header = _open_line(next(lines, b""))
    if header is None or header.get("journal") != 1 or not isinstance(header.get("text"), str):
        return None
    base = text = header["text"]
    edits = 0
    torn = False
    for line in lines:
        after = _edited(text, _open_line(line))
        if after is None:
            torn = True
            break
        text = after
        edits += 1
    name = header.get("path")
    path = Path(name) if isinstance(name, str) else None
    written = os.fstat(file.fileno()).st_mtime
    session, turn = header.get("session"), header.get("turn")
    return Recovered(
        journal, path, base, text, edits, torn, written,
        session if isinstance(session, str) else journal.name, turn if isinstance(turn, int) else 0,
    )  # fmt: skip


def _edited(text: str, record: dict[str, Any] | None) -> str | None:
    """The text after an edit, None when the record is not one of an edit of this text."""
    if record is None:
        return None
    at, old, new = (record.get(key) for key in ("at", "old", "new"))
    if not isinstance(at, int) or at < 0 or not isinstance(old, str) or not isinstance(new, str):
        return None
    try:
        return Splice(at, old, new).apply(text)
    except ValueError:
        return None


def recoverable(folder: Path) -> list[Recovered]:
    """Journals left by a crash that hold an edit not yet in the file, the newest first.

    Those that hold no edit, or only what the file holds, are removed.
    """
    last: dict[str, Recovered] = {}
    for one in sorted(_left_behind(folder), key=lambda one: one.turn):
        if one.session in last:  # died between writing a new journal and removing the old one
            last[one.session].discard()
        last[one.session] = one
    found = []
    for one in last.values():
        if one.edits == 0 or one.is_saved():
            one.discard()
        else:
            found.append(one)
    return sorted(found, key=lambda one: one.written, reverse=True)


def _left_behind(folder: Path) -> Iterator[Recovered]:
    """Every journal that nobody holds and that can be read."""
    for journal in _files_in(folder):
        try:
            with open(journal, "r+b") as file:
                if not _lock(file):
                    continue  # another window has it open
                recovered = _read(journal, file)
                unborn = recovered is None and not _has_a_line(file)
        except OSError:
            continue
        if recovered is not None:
            yield recovered
        elif unborn:
            _remove(journal)


def _has_a_line(file: IO[bytes]) -> bool:
    """Whether anything whole stands there: a newer program's journal is left alone."""
    file.seek(0)
    return file.readline().endswith(b"\n")


def _files_in(folder: Path) -> list[Path]:
    try:
        names = [path for path in folder.iterdir() if path.suffix in (SUFFIX, UNFINISHED)]
        return sorted(path for path in names if path.is_file())  # what is a pipe never ends
    except OSError:
        return []


def _remove(journal: Path) -> None:
    with contextlib.suppress(OSError):
        journal.unlink(missing_ok=True)
