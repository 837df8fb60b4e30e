"""The open document: a text, what it means, its revision, undo and the way back to the file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from airrisk.editing.disk import (
    DiskState,
    Stamp,
    compare,
    read_stamped,
    stamp_of_text,
    stamp_of_written,
)
from airrisk.editing.history import History
from airrisk.editing.journal import Journal, Recovered
from airrisk.editing.review import is_review
from airrisk.installation.migration import FORMAT
from airrisk.installation.problems import SystemFileErrors
from airrisk.installation.reading import check, decode
from airrisk.installation.saving import outdated, save
from airrisk.installation.splice import SystemText
from airrisk.messages import said

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.installation.problems import Problem

NEW_TEXT = f'format = {FORMAT}\ntitle = ""\n'


class Document:
    """One system file being edited.

    The text is the document; ``installation`` is what it says, ``None`` while ``problems``
    forbid reading it. ``revision`` grows with every change, undo and redo included.
    """

    def __init__(
        self,
        text: str = NEW_TEXT,
        path: Path | None = None,
        journal_folder: Path | None = None,
        base: str | None = None,
    ) -> None:
        self.path = path
        self.revision = 0
        self.read_only = False  # opened for viewing, e.g. a newer format
        self.review_only = False  # opened for review, see ``is_review``
        self.suggested_name = ""  # file name to offer when it is first saved
        self.copy_kept: Path | None = None  # where the last save kept a file of an older format
        self._text = text
        self._parsed: SystemText | None = None
        self._history = History()
        self._watchers: list[Callable[[], None]] = []
        self._stamp: Stamp | None = None
        self._journal = (
            None
            if journal_folder is None
            else Journal(journal_folder, path, text if base is None else base)
        )
        if self._journal is not None:
            self._journal.note(text)
        self.installation: Installation | None = None
        self.problems: tuple[Problem, ...] = ()
        self._read()

    @classmethod
    def open(cls, path: Path, journal_folder: Path | None = None) -> Document:
        """Open a file.

        Raises
        ------
        OSError
            The file cannot be read.
        SystemFileErrors
            The file is too large or no UTF-8 text.
        """
        data, stamp = read_stamped(path)
        text = decode(data, path.name)
        document = cls(text, path, journal_folder)
        document._stamp = stamp
        return document

    @classmethod
    def from_recovered(cls, recovered: Recovered, journal_folder: Path | None = None) -> Document:
        """The document as it was before the crash; its edits count as unsaved.

        The file it knows is the one that was edited: where another one stands now,
        ``disk_state`` says so, and its own journal goes on from the edits, not from nothing.
        """
        document = cls(recovered.text, recovered.path, journal_folder, recovered.base)
        document._history.mark_never_clean()
        if recovered.path is not None:
            document._stamp = stamp_of_text(recovered.base)
        return document

    # -- reading -----------------------------------------------------------------

    @property
    def text(self) -> str:
        """The text as it would be saved."""
        return self._text

    @property
    def system_text(self) -> SystemText:
        """The text with its editing operations."""
        if self._parsed is None or self._parsed.text != self._text:
            self._parsed = SystemText(self._text)  # kept: what it reads of the text takes a while
        return self._parsed

    @property
    def is_clean(self) -> bool:
        """Whether the text equals the saved file."""
        return self._history.is_clean

    @property
    def journal_error(self) -> str:
        """Why the last edit would not come back after a crash; empty when it would."""
        return "" if self._journal is None else self._journal.error

    @property
    def undo_label(self) -> str | None:
        """What undo would take back."""
        return self._history.undo_label

    @property
    def redo_label(self) -> str | None:
        """What redo would do again."""
        return self._history.redo_label

    def watch(self, watcher: Callable[[], None]) -> None:
        """Call ``watcher`` after every change of text, path or clean state."""
        self._watchers.append(watcher)

    # -- editing -----------------------------------------------------------------

    def replace(self, label: str, text: str, merge_key: str | None = None) -> bool:
        """Make ``text`` the document's text as one undoable step; False when nothing changed.

        While the document is open for review, a text that changes more than a review may
        is refused in the same way.
        """
        text = _without_halves(text)
        if text == self._text or self.read_only:
            return False
        if self.review_only and not is_review(self._text, text):
            return False
        self._history.push(label, self._text, text, merge_key)
        self._set_text(text)
        return True

    def seal(self) -> None:
        """End a drag: the next change is a step of its own."""
        self._history.seal()

    def undo(self) -> bool:
        """Take the last step back; False when there is none."""
        if self._history.undo_label is None:
            return False
        self._set_text(self._history.undo(self._text))
        return True

    def redo(self) -> bool:
        """Do the last undone step again; False when there is none."""
        if self._history.redo_label is None:
            return False
        self._set_text(self._history.redo(self._text))
        return True

    def scratch(self) -> Document:
        """A copy to try things on; this document and its file do not notice."""
        return Document(self._text)

    # -- the file ----------------------------------------------------------------

    def disk_state(self) -> DiskState:
        """Whether the file was changed by someone else since we read or wrote it."""
        return compare(self.path, self._stamp)

    def count_as_unsaved(self) -> None:
        """The file on disk is gone or another one: this text is nowhere but here."""
        if self._history.is_clean:
            self._history.mark_never_clean()
            self._tell()

    def settle_with_disk(self) -> bool:
        """Take the file as saved when it holds this very text, whoever wrote it."""
        if self.path is None:
            return False
        try:
            data, stamp = read_stamped(self.path)
        except (OSError, SystemFileErrors):
            return False
        same = data == self._text.encode("utf-8")
        if same:
            self._stamp = stamp
            self._history.mark_clean()
            self._begin_journal()
            self._tell()
        return same

    def reload(self, label: str) -> None:
        """Take the file's present text as one undoable step.

        Raises
        ------
        OSError, SystemFileErrors
            The file cannot be read.
        """
        if self.path is None:
            return
        data, stamp = read_stamped(self.path)
        text = decode(data, self.path.name)
        self._stamp = stamp
        locks = self.review_only, self.read_only
        self.review_only = self.read_only = False
        self.replace(label, text)
        self.review_only, self.read_only = locks
        self._history.mark_clean()
        self._begin_journal()
        self._tell()

    def save(self, path: Path | None = None) -> None:
        """Write the text atomically; afterwards the document is clean.

        A file whose format is older than the text's is kept beside it: ``copy_kept``.

        Parameters
        ----------
        path
            Where to; None: the document's own file.

        Raises
        ------
        OSError
            The file could not be written; the old one is untouched.
        """
        target = path or self.path
        if target is None:
            raise FileNotFoundError(said("document-without-file"))
        self.copy_kept = save(target, self._text, copy_of=outdated(target, self._text))
        self.path = target
        self._stamp = stamp_of_written(target, self._text)
        self._history.mark_clean()
        self._begin_journal()
        self._tell()

    def close(self) -> None:
        """Close in order: the recovery journal goes."""
        if self._journal is not None:
            self._journal.close()
        self._watchers.clear()

    # -- inside ------------------------------------------------------------------

    def _begin_journal(self) -> None:
        if self._journal is not None:
            self._journal.begin(self.path, self._text)

    def _set_text(self, text: str) -> None:
        self._text = text
        self.revision += 1
        if self._journal is not None:
            self._journal.note(text)
        self._read()
        self._tell()

    def _read(self) -> None:
        installation, problems = check(self._text)
        self.installation = installation
        self.problems = tuple(problems)

    def _tell(self) -> None:
        for watcher in tuple(self._watchers):
            watcher()


def _without_halves(text: str) -> str:
    """The text with halves of a surrogate pair, which no file can hold, replaced by a sign."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return text
