"""New, open, save, guard against loss: everything about the file, worded for people."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QDateTime, QLocale, QObject, Qt, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from airrisk.editing import DiskState, Document, Recovered, recoverable
from airrisk.editing.document import NEW_TEXT
from airrisk.editing.plan_picture import moved_text
from airrisk.installation.characters import visible_line
from airrisk.installation.migration import FORMAT
from airrisk.installation.problems import SystemFileErrors
from airrisk.window.places import remember_file
from airrisk.window.session import Session
from airrisk.wording.translation import tr

ENDING = ".toml"


def _what_is_left(left: Recovered) -> str:
    """What a crash left behind, and how it stands to the file on disk."""
    name = visible_line(left.path.name) if left.path else tr("a file that was never saved")
    when = QLocale().toString(
        QDateTime.fromSecsSinceEpoch(int(left.written)), QLocale.FormatType.ShortFormat
    )
    said = [
        tr("The program ended without saving {name}. Its unsaved edits can be restored "
            "(edits: {n}, the last one on {when}).").format(name=name, n=left.edits, when=when)
    ]  # fmt: skip
    state = left.file_state()
    if state is DiskState.CHANGED:
        said.append(
            tr("{name} was changed on disk since these edits began. The restored text lacks what "
                "was changed there. Nothing is written over without a question.").format(name=name)
        )  # fmt: skip
    elif state is DiskState.GONE:
        said.append(tr("{name} is not on disk any more.").format(name=name))
    elif state is DiskState.SAME:
        said.append(tr("The file on disk stays as it is until you save."))
    if left.torn:
        said.append(tr("The end of the recovery copy is damaged: the last edits may be missing."))
    return "\n\n".join(said)


class Files(QObject):
    """What the File menu and the welcome page do."""

    told = Signal(str)

    def __init__(self, session: Session, window: QWidget) -> None:
        super().__init__(window)
        self._session = session
        self._window = window

    # -- asking ------------------------------------------------------------------

    def _ask(self, title: str, text: str, choices: tuple[str, ...], default: int = 0) -> int:
        """Put a question with named answers; returns the answer's number, -1 for none."""
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Question)
        box.setWindowTitle(title)
        box.setTextFormat(Qt.TextFormat.PlainText)  # a file name may look like markup
        box.setText(text)
        buttons = []
        for number, choice in enumerate(choices):
            role = (
                QMessageBox.ButtonRole.RejectRole
                if number == len(choices) - 1
                else QMessageBox.ButtonRole.AcceptRole
            )
            buttons.append(box.addButton(choice, role))
        box.setDefaultButton(buttons[default])
        box.setEscapeButton(buttons[-1])
        box.exec()
        box.deleteLater()
        clicked = box.clickedButton()
        return buttons.index(clicked) if clicked in buttons else -1

    def _explain(self, title: str, text: str) -> None:
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Warning)
        box.setWindowTitle(title)
        box.setTextFormat(Qt.TextFormat.PlainText)  # a file name may look like markup
        box.setText(text)
        box.exec()
        box.deleteLater()

    # -- opening -----------------------------------------------------------------

    def new(self) -> None:
        """Start an empty file."""
        self.start_with(NEW_TEXT)

    def start_with(self, text: str) -> None:
        """Start a new, unsaved file with this text."""
        if self.may_close():
            self._session.set_document(Document(text, None, self._session.journal_folder))

    def ask_and_review(self) -> None:
        """Ask for a file and open it for review, see ``is_review``."""
        self.ask_and_open(review=True)

    def ask_and_open(self, *_signal: object, review: bool = False) -> None:
        """Ask for a file and open it."""
        name, _filter = QFileDialog.getOpenFileName(
            self._window,
            tr("Open a system file"),
            "",
            tr("System files (*.toml);;All files (*)"),
        )
        if name:
            self.open_name(name, review=review)

    def open_name(self, name: str, *, review: bool = False, recover: bool = True) -> bool:
        """Open a file by name; a damaged one is explained.

        Parameters
        ----------
        name
            The file.
        review
            Whether only what a review may change can change.
        recover
            Whether edits of this file that a crash left behind are offered first.
        """
        if not self.may_close():
            return False
        path = Path(name)
        document = (self._restored(path) if recover else None) or self._read(path)
        if document is None:
            return False
        if self._is_newer(document):
            document.read_only = True
        document.review_only = review
        self._session.set_document(document)
        remember_file(path)
        if document.read_only:
            self.told.emit(tr("Written by a newer version of the program: for viewing only."))
        elif review:
            self.told.emit(
                tr("Open for review: only remarks, inspections and what is to be done may change.")
            )
        return True

    def open_sample(self, name: str) -> None:
        """Open a sample as a new file of the person's own, so that the sample stays whole."""
        if not self.may_close():
            return
        path = Path(name)
        document = Document(path.read_text(encoding="utf-8"), None, self._session.journal_folder)
        document.suggested_name = path.name
        self._session.set_document(document)
        self.told.emit(
            tr("A copy of the sample {name}; saving asks for a name.").format(name=path.name)
        )

    @staticmethod
    def _is_newer(document: Document) -> bool:
        from airrisk.editing.raw_values import table_values

        stated = table_values(document.text, "").get("format", "")
        return stated.isdigit() and int(stated) > FORMAT

    def _read(self, path: Path) -> Document | None:
        """The document of a file; None after an explanation."""
        name = visible_line(str(path))
        try:
            return Document.open(path, self._session.journal_folder)
        except OSError as error:
            reason = error.strerror or error
            self._explain(
                tr("Not opened"),
                tr("{name} cannot be read: {reason}").format(name=name, reason=reason),
            )
        except SystemFileErrors as error:
            self._explain(
                tr("Not opened"),
                tr("{name} is not a system file.\n\n{reason}").format(name=name, reason=error),
            )
        return None

    # -- after a crash -----------------------------------------------------------

    def offer_recovery(self, folder: Path) -> None:
        """Offer what the journals hold, the newest first, until something is restored."""
        for left in recoverable(folder):
            document = self._offered(left)
            if document is not None:
                self._session.set_document(document)
                return

    def tell_of_others(self, folder: Path) -> None:
        """After opening a file by name: say that edits of other files wait."""
        count = len(recoverable(folder))
        if count:
            self.told.emit(
                tr("Unsaved edits are kept ({n}); the program offers them when it starts without "
                    "a file, or with their file.").format(n=count)
            )  # fmt: skip

    def _restored(self, path: Path) -> Document | None:
        """The document of a file with edits that a crash left behind, if they are wanted."""
        folder = self._session.journal_folder
        for left in recoverable(folder) if folder else []:
            document = self._offered(left) if left.belongs_to(path) else None
            if document is not None:
                return document
        return None

    def _offered(self, left: Recovered) -> Document | None:
        """Ask about edits that a crash left behind; the document with them, if restored."""
        is_other = left.file_state() is DiskState.CHANGED
        answer = self._ask(
            tr("Restore unsaved work"),
            _what_is_left(left),
            (tr("Restore"), tr("Discard the edits"), tr("Decide later")),
            2 if is_other else 0,
        )
        if answer == 1:
            left.discard()
        if answer != 0:
            return None
        document = Document.from_recovered(left, self._session.journal_folder)
        if not document.journal_error:  # else the old journal is all there is
            left.discard()
        self.told.emit(tr("Restored; not saved yet."))
        return document

    # -- saving ------------------------------------------------------------------

    def save(self) -> bool:
        """Save to the document's own file, asking for a name when it has none."""
        self._session.take_typed()
        document = self._session.document
        if document is None:
            return False
        if document.path is None:
            return self.save_as()
        if document.disk_state() is DiskState.CHANGED:
            answer = self._ask(
                tr("The file was changed by someone else"),
                tr("{name} was changed on disk since these edits began.").format(
                    name=visible_line(document.path.name)
                ),
                (tr("Save under another name…"), tr("Overwrite it"), tr("Cancel")),
            )
            if answer == 0:
                return self.save_as()
            if answer != 1:
                return False
        return self._write(document.path)

    def save_as(self) -> bool:
        """Ask for a name and save there."""
        self._session.take_typed()
        document = self._session.document
        if document is None:
            return False
        start = str(document.path or document.suggested_name or f"system{ENDING}")
        name, _filter = QFileDialog.getSaveFileName(
            self._window, tr("Save the system file"), start, tr("System files (*.toml)")
        )
        if not name:
            return False
        path = Path(name)
        return self._write(path if path.suffix else path.with_suffix(ENDING))

    def _write(self, path: Path) -> bool:
        document = self._session.document
        assert document is not None
        before = None if document.path is None else document.path.parent
        moved = moved_text(document.system_text, before, path.parent)
        changed = document.replace(tr("way to the picture from the new folder"), moved.text)
        try:
            document.save(path)
        except OSError as error:
            if changed:
                document.undo()
            self._explain(
                tr("Not saved"),
                tr(
                    "{name} could not be written: {reason}.\n\nThe file on disk is as it was and "
                    "your edits are still here. Save under another name or in another folder."
                ).format(name=visible_line(str(path)), reason=error.strerror or error),
            )
            return False
        remember_file(path)
        told = tr("Saved as {name}.").format(name=visible_line(path.name))
        if document.copy_kept is not None:
            told += " " + tr(
                "Its format was raised; the file as it was is kept as {copy}."
            ).format(copy=visible_line(document.copy_kept.name))  # fmt: skip
        self.told.emit(told)
        return True

    def may_close(self) -> bool:
        """Whether the present document may go; asks when it has unsaved changes."""
        self._session.take_typed()
        document = self._session.document
        if document is not None and document.disk_state() is DiskState.GONE:
            document.count_as_unsaved()
        if document is None or document.is_clean:
            return True
        name = visible_line(document.path.name) if document.path else tr("the new file")
        answer = self._ask(
            tr("Unsaved changes"),
            tr("Save the changes to {name}?").format(name=name),
            (tr("Save"), tr("Do not save"), tr("Cancel")),
        )
        if answer == 0:
            return self.save()
        return answer == 1

    def close_file(self) -> None:
        """Back to the welcome page."""
        if self.may_close():
            self._session.set_document(None)
