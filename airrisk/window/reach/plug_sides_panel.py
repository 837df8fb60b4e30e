"""Which side of each vessel a plug should face: asked for below the map, told in its place."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.dispatcher import Failed, Progress, Result
from airrisk.window.reach.map_jobs import AskSides
from airrisk.window.tables import TextTable
from airrisk.window.tones import set_tone
from airrisk.window.work_progress import WorkProgress
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import FireSource
    from airrisk.study.plug_sides import SidesOfVessel
    from airrisk.window.session import Session

LANE = "plug sides"


class PlugSidesPanel(QWidget):
    """A button; once it is answered, sentences and a table."""

    shown = Signal(bool)  # whether the answer needs the room of the map

    def __init__(
        self,
        session: Session,
        wanted: Callable[[], FireSource | None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._wanted = session, wanted
        self._revision = 0
        self._running = False
        self._asked_for: tuple[object, ...] = ()  # moment of the text that the answer belongs to
        self.answer: tuple[SidesOfVessel, ...] = ()
        self.button = QPushButton(tr("Which side should a &plug face?"))
        self.button.setToolTip(
            tr("Try a plug at each place of each vessel against fires all around it")
        )
        self.button.clicked.connect(self.ask)
        self.hide_button = QPushButton(tr("Back to the map"))
        self.hide_button.clicked.connect(self._back)
        self.progress = WorkProgress(tr("Progress of the sides of plugs"))
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.told.setAccessibleName(tr("Which side should a plug face?"))
        self.table = TextTable(
            tr("Places of a plug"),
            (tr("Vessel"), tr("Plug"), tr("Dangerous places"), tr("Fire reaches it"),
             tr("Answered"), tr("Missed from")),
            5,
        )  # fmt: skip
        head = QHBoxLayout()
        head.addWidget(self.button)
        head.addWidget(self.progress)
        head.addWidget(self.hide_button)
        head.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(head)
        layout.addWidget(self.told)
        layout.addWidget(self.table, 1)
        self.caution = QLabel()
        self.caution.setWordWrap(True)
        self.caution.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.caution.setProperty("tone", "quiet")
        layout.addWidget(self.caution)
        self.progress.setVisible(False)
        for widget in (self.table, self.told, self.hide_button, self.caution):
            widget.setVisible(False)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)
        session.dispatcher.progressed.connect(self._progressed)
        session.units_changed.connect(self._show)
        session.document_changed.connect(self.refresh)
        session.document_replaced.connect(self.clear)

    def ask(self) -> None:
        """Start the runs for the chosen fire."""
        installation, source = self._session.installation, self._wanted()
        if installation is None or source is None or source.kind == "jet":
            self.refresh()
            return
        self._revision += 1
        self._asked_for = self._session.moment
        self.answer = ()
        self._show()
        self._show_running(True)
        self._session.dispatcher.request(
            LANE, self._revision, AskSides(installation, source), urgency=8
        )

    def _back(self) -> None:
        self.hide_answer()
        self.button.setFocus()

    def hide_answer(self) -> None:
        """Give its room back to the map."""
        self.answer = ()
        self._show()

    def clear(self) -> None:
        """Forget the answer: it was another file's."""
        self._session.dispatcher.cancel(LANE)
        self.answer, self._asked_for = (), ()
        self._show_running(False)
        self._show()

    def refresh(self) -> None:
        """Follow the chosen fire and the text."""
        source = self._wanted()
        self.button.setEnabled(source is not None and source.kind != "jet" and not self._running)
        if self.answer:
            self._show()

    def _show_running(self, running: bool) -> None:
        self._running = running
        self.progress.begin()
        self.progress.setVisible(running)
        self.refresh()

    def _show(self) -> None:
        from airrisk.wording.plug_side_texts import (
            pool_name,
            side_rows,
            sides_cautions,
            sides_sentences,
        )

        units = self._session.units
        _, *rows = side_rows(self.answer)
        self.table.show_rows(rows, [None] * len(rows), right=(2, 3, 4))
        self.table.setVisible(bool(rows))
        for widget in (self.told, self.hide_button, self.caution):
            widget.setVisible(bool(self.answer))
        self.shown.emit(bool(self.answer))
        told = [" ".join(sides_sentences(one, units)) for one in self.answer]
        self.caution.setText(" ".join(sides_cautions(self.answer, units)))
        old = bool(told) and self._asked_for != self._session.moment
        if told:
            pool = pool_name(self.answer[0], units)
            told.insert(0, tr("Which side a plug should face: {pool}").format(pool=pool))
        if old:
            told.insert(0, tr("Older than the last change: ask again."))
        self.told.setText("\n".join(told))
        set_tone(self.told, "warning" if old else "")

    def _arrived(self, result: Result) -> None:
        if result.lane == LANE and result.revision == self._revision:
            self.answer = result.value
            self._show_running(False)
            self._show()

    def _failed(self, failure: Failed) -> None:
        if failure.lane == LANE:
            self._show_running(False)
            self.told.setVisible(True)
            self.told.setText(tr("Not assessed: {reason}").format(reason=tr(failure.message)))

    def _progressed(self, progress: Progress) -> None:
        if progress.lane == LANE and self._running:
            self.progress.tell(progress.share)
