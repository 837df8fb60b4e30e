"""When the worker is asked about a scratch copy: the newest movement only, the rest at rest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from airrisk.window.dispatcher import Dispatcher, Failed, Result
from airrisk.window.tryout.live import DraggedTryOut, SettledTryOut, TryOutAnswer
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.window.tryout.scratch import Scratch

DRAG, SETTLE, REFERENCE = "try-out drag", "try-out settled", "try-out reference"
REST_MS = 60  # after the last movement; a released slider rests at once


class Asking(QObject):
    """Keeps the answer of the file as it is and the answer of what is tried."""

    asks = Signal()  # a movement is taken up
    answered = Signal()
    refused = Signal(str)  # why there is no answer

    def __init__(self, dispatcher: Dispatcher, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._dispatcher = dispatcher
        self._scratch: Scratch | None = None
        self._part = ""
        self._fire_id: str | None = ""
        self._turn = 0
        self._answered = -1  # the turn that the answer belongs to
        self._moved = False  # turned since the last request
        self._asked = False  # a request whose answer has not arrived
        self.reference: TryOutAnswer | None = None
        self.answer: TryOutAnswer | None = None
        self._next = QTimer(self)  # all movements of one round of the event loop are one request
        self._next.setSingleShot(True)
        self._next.setInterval(0)
        self._next.timeout.connect(self._ask)
        self.rest_timer = QTimer(self)
        self.rest_timer.setSingleShot(True)
        self.rest_timer.timeout.connect(self._settle)
        dispatcher.arrived.connect(self._arrived)
        dispatcher.failed.connect(self._failed)

    def begin(
        self,
        scratch: Scratch,
        part: str,
        fire_id: str,
        installation: Installation,
        tried_fire: str | None,
    ) -> None:
        """Ask for the answer of the file as it is.

        ``tried_fire``: id of the same fire in what is tried; None: it reaches the part no more.
        """
        self._stop()
        self._scratch, self._part, self._fire_id = scratch, part, tried_fire
        self.reference = self.answer = None
        self._dispatcher.request(
            REFERENCE, self._turn, SettledTryOut(installation, part, fire_id), urgency=2
        )

    def forget(self) -> None:
        """There is nothing to ask about any more."""
        self._stop()
        self._dispatcher.cancel(REFERENCE)
        self._scratch = self.reference = self.answer = None

    def turned(self) -> None:
        """A value of the scratch copy has changed."""
        self._turn += 1
        self._moved = True
        self._dispatcher.cancel(SETTLE)
        self._next.start()
        self.rest_timer.start(REST_MS)

    def rested(self) -> None:
        """The knob was let go."""
        self.rest_timer.start(0)

    def dropped(self) -> None:
        """The scratch copy is as the file again."""
        self._stop()
        self.answer, self._answered = self.reference, self._turn

    def _stop(self) -> None:
        self.rest_timer.stop()
        self._next.stop()
        self._moved = False
        self._turn += 1
        self._dispatcher.cancel(DRAG)
        self._dispatcher.cancel(SETTLE)

    @property
    def question(self) -> int:
        """Number of what is asked about now; no other values have the same."""
        return self._turn

    @property
    def is_current(self) -> bool:
        """Whether the answer is one to what is asked about now, and not to earlier values."""
        return self._answered == self._turn

    @property
    def is_changed(self) -> bool:
        """Whether something is tried."""
        return self._scratch is not None and self._scratch.is_changed

    def _ask(self) -> None:
        """Ask for the newest value, once the answer to an earlier one is there."""
        self.asks.emit()
        if self._scratch is None or not self._moved:
            return
        if self._asked and self._dispatcher.busy(DRAG):
            return  # the running request asks again when its answer has arrived
        self._moved = False
        installation, mistake = self._scratch.installation()
        if installation is None:
            self._refuse(mistake)
            return
        work = DraggedTryOut(installation, self._part, self._fire_id)
        self._asked = True
        self._dispatcher.request(DRAG, self._turn, work, urgency=1, let_finish=True, quick=True)

    def _settle(self) -> None:
        """The knob has come to rest: ask for the whole answer."""
        if self._scratch is None or not self._scratch.is_changed:
            return
        installation, mistake = self._scratch.installation()
        if installation is None:
            self._refuse(mistake)
            return
        self._dispatcher.request(
            SETTLE, self._turn, SettledTryOut(installation, self._part, self._fire_id), urgency=2
        )

    def _refuse(self, mistake: str) -> None:
        self.answer = None
        self.refused.emit(mistake)

    def _arrived(self, result: Result) -> None:
        if result.lane == DRAG:
            self._asked = False
        if result.lane == REFERENCE:  # first without bores, then whole
            self.reference = result.value
            if self.is_changed:
                self.answered.emit()
            else:
                self._take(result.value, self._turn)
        elif result.lane == SETTLE:
            if result.revision == self._turn:
                self._take(result.value, result.revision)
        elif result.lane == DRAG and self.is_changed:
            self._take(result.value, result.revision)
            if self._moved:
                self._next.start()

    def _take(self, answer: TryOutAnswer, turn: int) -> None:
        self.answer, self._answered = answer, turn
        self.answered.emit()

    def _failed(self, failure: Failed) -> None:
        if failure.lane in (DRAG, SETTLE, REFERENCE):
            self._asked = False
            self._refuse(tr(failure.message))
            if self._moved:
                self._next.start()
