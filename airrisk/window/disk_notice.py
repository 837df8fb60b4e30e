"""One line that says that the open file was deleted or changed on disk, and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from airrisk.editing import DiskState
from airrisk.installation.characters import visible_line
from airrisk.installation.problems import SystemFileErrors
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.session import Session

WAIT = 200  # ms: a program that writes in pieces, or deletes and writes anew, gets time for it


class DiskNotice(QWidget):
    """Watches the open file; hidden while the file on disk is the one that was read or written.

    The work goes on while it stands there. Nothing is loaded or written without a click.
    """

    told = Signal(str)
    save_asked = Signal()
    save_as_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._put_aside: tuple[Path, int, int] | None = None  # what Keep was said to
        self._gone = False
        self.setProperty("ground", "raised")
        self.setAccessibleName(tr("The file on disk"))
        self.said = QLabel()
        self.said.setProperty("tone", "warning")
        self.said.setTextFormat(Qt.TextFormat.PlainText)  # a file name may look like markup
        self.said.setWordWrap(True)
        self.said.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.load_button = QPushButton(tr("Load the changed file"))
        self.load_button.setToolTip(tr("One step that undo takes back"))
        self.load_button.clicked.connect(self._load)
        self.save_button = QPushButton(tr("Save it again"))
        self.save_button.clicked.connect(self.save_asked)
        self.save_as_button = QPushButton(tr("Save under another name…"))
        self.save_as_button.clicked.connect(self.save_as_asked)
        self.keep_button = QPushButton(tr("Keep what is here"))
        self.keep_button.setToolTip(tr("Saving asks before it writes over the file on disk"))
        self.keep_button.clicked.connect(self._keep)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(8, 4, 8, 4)
        layout.addWidget(self.said, 1)
        for button in (
            self.load_button, self.save_button, self.save_as_button, self.keep_button,
        ):  # fmt: skip
            layout.addWidget(button)
        self.hide()
        self._watcher = QFileSystemWatcher(self)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(WAIT)
        self._later.timeout.connect(self.look)
        self._watcher.fileChanged.connect(self._later.start)
        self._watcher.directoryChanged.connect(self._later.start)
        session.document_replaced.connect(self._watch_other)
        session.document_changed.connect(self.look)

    def _watch_other(self) -> None:
        self._put_aside = None
        self._gone = False
        self.look()

    def _watch(self, path: Path | None) -> None:
        """The file, and its folder: a file that is deleted or replaced is lost to the watcher."""
        wanted = [] if path is None else [str(path), str(path.parent)]
        present = [*self._watcher.files(), *self._watcher.directories()]
        if strays := [name for name in present if name not in wanted]:
            self._watcher.removePaths(strays)
        if missing := [n for n in wanted if n not in present and Path(n).exists()]:
            self._watcher.addPaths(missing)

    def look(self) -> None:
        """Compare the file on disk with what was read or written last."""
        document = self._session.document
        if document is None:
            self._later.stop()
        path = None if document is None or document.path is None else document.path.absolute()
        self._watch(path)
        state = DiskState.UNSAVED if document is None else document.disk_state()
        was_gone, self._gone = self._gone, state is DiskState.GONE
        if document is None or path is None or state in (DiskState.SAME, DiskState.UNSAVED):
            self.hide()
            if document is not None and was_gone:
                document.settle_with_disk()
        elif state is DiskState.CHANGED and document.settle_with_disk():
            self.hide()  # somebody wrote the very text that stands here
        elif state is DiskState.GONE:
            document.count_as_unsaved()
            self._show(
                path,
                tr("{name} is not on disk any more: somebody deleted, moved or renamed it. "
                    "What stands here is kept, and is lost when you close without saving."),
                gone=True,
            )  # fmt: skip
        else:
            edits = "" if document.is_clean else tr(" Your changes here are not in it.")
            text = tr("{name} was changed on disk by somebody else.") + edits
            self._show(path, text, gone=False)

    def _show(self, path: Path, text: str, gone: bool) -> None:
        if self._put_aside == _traces(path):
            self.hide()
            return
        self.said.setText(text.format(name=visible_line(path.name)))
        self.said.setToolTip(str(path))
        self.load_button.setVisible(not gone)
        self.save_button.setVisible(gone)
        self.save_as_button.setVisible(gone)
        self.show()

    def _load(self) -> None:
        self._session.take_typed()
        document = self._session.document
        if document is None:
            return
        try:
            document.reload(tr("load the changed file"))
        except (OSError, SystemFileErrors) as error:
            reason = getattr(error, "strerror", None) or error
            self.said.setText(tr("Not loaded: {reason}").format(reason=reason))
            return
        self.told.emit(tr("Loaded from disk; undo takes it back in one step."))

    def _keep(self) -> None:
        """Put the notice aside until the file changes again."""
        document = self._session.document
        if document is None or document.path is None:
            return
        self._put_aside = _traces(document.path.absolute())
        document.count_as_unsaved()
        self.look()


def _traces(path: Path) -> tuple[Path, int, int]:
    """What tells one state of a file from the next."""
    try:
        status = path.stat()
    except OSError:
        return path, 0, 0
    return path, status.st_mtime_ns, status.st_size
