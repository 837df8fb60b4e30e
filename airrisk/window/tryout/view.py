"""The Try-out view: turn values of one part on a scratch copy and watch what happens."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QCoreApplication, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.charts.fire_times import fire_time_ruler
from airrisk.window.charts.ruler import OrderRuler
from airrisk.window.charts.view import ChartView
from airrisk.window.dispatcher import Failed, Result
from airrisk.window.tryout.guess import Guess
from airrisk.window.tryout.knobs import Knob, KnobRow, knobs_of
from airrisk.window.tryout.live import DraggedTryOut, SettledTryOut, TryOutAnswer
from airrisk.window.tryout.pins import Pin, Pins, changes_text
from airrisk.window.tryout.scratch import Scratch
from airrisk.wording import charts as descriptions
from airrisk.wording.sentences import fire_sentence, fire_verdict, screening_sentence

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord
    from airrisk.window.session import Session
    from airrisk.wording.chart_kinds import Chart

DRAG, SETTLE, REFERENCE = "try-out drag", "try-out settled", "try-out reference"
REST_MS = 60  # after the last movement; a released slider rests at once
QWIDGETSIZE_MAX = (1 << 24) - 1
LOW = 600  # px of height below which one ruler has to do
HEATING, STRENGTH, PRESSURE, TEMPERATURES = range(4)


def _tr(text: str) -> str:
    return QCoreApplication.translate("TryOut", text)


class TryOutView(QWidget):
    """Knobs left, live answer right, pinned cases below, in a worded frame."""

    message = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._scratch: Scratch | None = None
        self._based_on: tuple[Any, ...] = ()
        self._part = ""
        self._fire_id = ""
        self._turn = 0
        self._reference: TryOutAnswer | None = None
        self._answer: TryOutAnswer | None = None
        self.rows: list[KnobRow] = []
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._settle)
        self._moved = False  # turned since the last request
        self._asked = False  # a request whose answer has not arrived
        self._next = QTimer(self)  # all movements of one round of the event loop are one request
        self._next.setSingleShot(True)
        self._next.setInterval(0)
        self._next.timeout.connect(self._ask)
        self._build()
        session.document_replaced.connect(self._start_again)
        session.document_changed.connect(self.refresh)
        session.chosen_changed.connect(self.refresh)
        session.answer_changed.connect(self.refresh)
        session.units_changed.connect(self._units_changed)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)

    # -- building ----------------------------------------------------------------

    def _build(self) -> None:
        frame = QFrame()
        frame.setProperty("frame", "scratch")
        self.worded = QLabel()
        self.worded.setProperty("tone", "title")
        self.worded.setWordWrap(True)
        self.worded.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.part_box = QComboBox()
        self.part_box.setAccessibleName(_tr("Part to try out"))
        self.part_box.activated.connect(self._part_chosen)
        self.fire_box = QComboBox()
        self.fire_box.setAccessibleName(_tr("Fire"))
        self.fire_box.activated.connect(self._fire_chosen)
        self.keep_button = self._button(_tr("&Keep"), _tr("Put the tried values into the file"))
        self.keep_button.clicked.connect(self.keep)
        self.drop_button = self._button(_tr("&Drop"), _tr("Forget the tried values"))
        self.drop_button.clicked.connect(self.drop)
        self.pin_button = self._button(_tr("&Pin"), _tr("Keep this case in the table below"))
        self.pin_button.clicked.connect(self.pin)
        head = QHBoxLayout()
        head.addWidget(self.worded, 1)
        for widget in (
            self.part_box, self.fire_box, self.keep_button, self.drop_button, self.pin_button,
        ):  # fmt: skip
            head.addWidget(widget)
        self.guess = Guess()
        self.guess.hidden_changed.connect(self._show_answer)
        self._knob_area = QScrollArea()
        self._knob_area.setWidgetResizable(True)
        self._knob_area.setFrameShape(QScrollArea.Shape.NoFrame)
        self._knob_area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._knob_area.setMinimumWidth(300)
        self.pins = Pins()
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.addWidget(self._knob_area)
        split.addWidget(self._answer_side())
        split.setSizes([330, 900])
        split.setStretchFactor(1, 1)
        inner = QVBoxLayout(frame)
        inner.setContentsMargins(10, 8, 10, 8)
        inner.addLayout(head)
        inner.addWidget(self.guess)
        inner.addWidget(split, 1)
        outer = QSplitter(Qt.Orientation.Vertical)
        outer.setChildrenCollapsible(False)
        outer.addWidget(frame)
        self._pinned = QWidget()
        below = QVBoxLayout(self._pinned)
        below.setContentsMargins(0, 4, 0, 0)
        below.setSpacing(2)
        self.pins_title = QLabel()
        self.pins_title.setProperty("tone", "quiet")
        self._name_pins()
        below.addWidget(self.pins_title)
        below.addWidget(self.pins)
        outer.addWidget(self._pinned)
        outer.setSizes([620, 120])
        outer.setStretchFactor(0, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addWidget(outer)

    @staticmethod
    def _button(text: str, tip: str) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(tip)
        return button

    def _answer_side(self) -> QWidget:
        self.ruler = OrderRuler()
        self.ruler.setAccessibleName(_tr("Order of events against temperature"))
        self.times = OrderRuler()
        self.times.setAccessibleName(_tr("Order of events against time"))
        self.verdict = QLabel()
        self.sentence = QLabel()
        self.bores = QLabel()
        self.bores.setAccessibleName(_tr("Smallest bore"))
        for label in (self.verdict, self.bores, self.sentence):
            label.setWordWrap(True)
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.MinimumExpanding)
        self.chart = ChartView()
        self.chart.message.connect(self.message)
        self._group = QButtonGroup(self)
        tabs = QHBoxLayout()
        tabs.setSpacing(0)
        for number, name in enumerate(
            (_tr("Heating"), _tr("Strength use"), _tr("Pressure"), _tr("Temperatures"))
        ):
            button = QPushButton(name)
            button.setCheckable(True)
            button.setProperty("view", True)
            self._group.addButton(button, number)
            tabs.addWidget(button)
        tabs.addStretch(1)
        self._group.button(STRENGTH).setChecked(True)
        self._group.idClicked.connect(self._show_chart)
        shown = QWidget()
        column = QVBoxLayout(shown)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.ruler)
        column.addWidget(self.times)
        column.addWidget(self.verdict)
        column.addWidget(self.bores)
        column.addWidget(self.sentence)
        column.addLayout(tabs)
        column.addWidget(self.chart, 1)
        hidden = QLabel(_tr("The answer is hidden: make your guess above."))
        hidden.setAlignment(Qt.AlignmentFlag.AlignCenter)
        hidden.setProperty("tone", "quiet")
        self.answer_stack = QStackedWidget()
        self.answer_stack.addWidget(shown)
        self.answer_stack.addWidget(hidden)
        return self.answer_stack

    # -- what is tried -----------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """With little height: only the ruler that goes with the chart, no empty table."""
        low = self.height() < LOW
        any_pinned = bool(self.pins.pins)
        self._pinned.setVisible(not low or any_pinned)
        self.pins.setVisible(any_pinned)
        self._pinned.setMaximumHeight(QWIDGETSIZE_MAX if any_pinned else 24)
        heating = self._group.checkedId() == HEATING
        fire = None if self._answer is None else self._answer.fire
        self.ruler.setVisible(not low or heating or fire is None)
        self.times.setVisible(fire is not None and bool(fire.events) and not (low and heating))

    def _start_again(self) -> None:
        self._based_on = ()
        self._scratch = None
        self.pins.forget()
        self._name_pins()
        self.refresh()

    def refresh(self) -> None:
        """Follow the document and the chosen part, when the view is seen."""
        session = self._session
        document, installation = session.document, session.installation
        if not self.isVisible():
            return
        if document is None or installation is None or not installation.holders():
            self.worded.setText(
                _tr("Nothing to try out: the file has no vessel or line that can be read.")
            )
            self._knob_area.setWidget(QWidget())
            self.rows = []
            self.answer_stack.setEnabled(False)
            self._based_on = ()
            return
        self.answer_stack.setEnabled(True)
        wanted = session.chosen_holder or self._part
        names = [holder.id for holder in installation.holders()]
        if wanted not in names:
            wanted = names[0]
        based_on = (id(document), document.revision, wanted)
        if based_on != self._based_on:
            self._begin(wanted, names)
            self._based_on = based_on

    def _begin(self, part: str, names: list[str]) -> None:
        """Start a scratch copy for this part."""
        session = self._session
        document, installation = session.document, session.installation
        assert document is not None
        assert installation is not None
        if self._scratch is None or self._scratch.document is not document:
            self._scratch = Scratch(document)
        else:
            self._scratch.drop()
        if part != self._part:
            self._fire_id = ""
        self._part = part
        self.part_box.clear()
        for name in names:
            self.part_box.addItem(name, name)
        self.part_box.setCurrentIndex(names.index(part))
        self._list_fires()
        self._make_knobs()
        devices = tuple(d.id for d in installation.devices() if d.on.casefold() == part.casefold())
        self.guess.offer(devices, part)
        self._reference = self._answer = None
        self._say_state()
        session.dispatcher.request(
            REFERENCE, self._turn, SettledTryOut(installation, part, self._fire_id), urgency=2
        )

    def _list_fires(self) -> None:
        from airrisk.study.brief_fire import exposures_of

        installation = self._session.installation
        assert installation is not None
        found = exposures_of(installation, self._part)
        self.fire_box.clear()
        for exposure in found:
            self.fire_box.addItem(exposure.fire.id, exposure.fire.id)
        index = self.fire_box.findData(self._fire_id)
        self.fire_box.setCurrentIndex(max(index, 0) if found else -1)
        self._fire_id = str(self.fire_box.currentData() or "")
        self.fire_box.setEnabled(len(found) > 1)

    def _make_knobs(self) -> None:
        installation = self._session.installation
        assert installation is not None
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 4, 8, 4)
        self.rows = []
        for knob in knobs_of(installation, self._part, self._fire_id):
            row = KnobRow(knob, self._session.units.name)
            row.turned.connect(self._turned)
            row.rested.connect(self._rested)
            column.addWidget(row)
            self.rows.append(row)
        column.addStretch(1)
        self._knob_area.setWidget(page)

    def _part_chosen(self) -> None:
        self._session.choose(str(self.part_box.currentData()))

    def _fire_chosen(self) -> None:
        self._fire_id = str(self.fire_box.currentData())
        self._based_on = ()
        self.refresh()

    def _units_changed(self) -> None:
        self._based_on = (
            () if self._scratch is None or not self._scratch.changes else self._based_on
        )
        self.pins.show_pins(self._session.units)
        self.refresh()
        self._show_answer()

    # -- turning -----------------------------------------------------------------

    def _turned(self, knob: Knob, text: str) -> None:
        if self._scratch is None:
            return
        self._scratch.turn(knob.part, knob.spec.key, text)
        self._turn += 1
        self._moved = True
        self._session.dispatcher.cancel(SETTLE)
        self.keep_button.setEnabled(True)
        self.drop_button.setEnabled(True)
        self.guess.ask_again()
        self._next.start()
        self._rest.start(REST_MS)

    def _ask(self) -> None:
        """Ask for the newest value, once the answer to an earlier one is there."""
        dispatcher = self._session.dispatcher
        self._say_state()
        if self._scratch is None or not self._moved or (self._asked and dispatcher.busy(DRAG)):
            return  # a running request asks again when its answer has arrived
        self._moved = False
        installation, mistake = self._scratch.installation()
        if installation is None:
            self._say_mistake(mistake)
            return
        like = self._answer or self._reference
        work = DraggedTryOut(installation, self._part, None if like is None else like.fire)
        self._asked = True
        dispatcher.request(DRAG, self._turn, work, urgency=1, let_finish=True, quick=True)

    def _rested(self) -> None:
        self._rest.start(0)

    def _settle(self) -> None:
        """The knob has come to rest: ask for the whole answer."""
        if self._scratch is None or not self._scratch.changes:
            return
        installation, mistake = self._scratch.installation()
        if installation is None:
            self._say_mistake(mistake)
            return
        self._session.dispatcher.request(
            SETTLE, self._turn, SettledTryOut(installation, self._part, self._fire_id), urgency=2
        )

    def _say_state(self) -> None:
        changes = {} if self._scratch is None else self._scratch.changes
        changed = bool(changes)
        self.keep_button.setEnabled(changed)
        self.drop_button.setEnabled(changed)
        if changed:
            tried = changes_text(changes)
            text = _tr("Try-out, a scratch copy. Your file is untouched. Tried: {tried}")
            self.worded.setText(text.format(tried=tried))
        else:
            self.worded.setText(
                _tr("Try-out of {part}, a scratch copy: your file changes only with Keep").format(
                    part=self._part
                )
            )

    def _say_mistake(self, mistake: str) -> None:
        self._answer = None
        self.verdict.setText(_tr("– not assessed: {reason}").format(reason=mistake))
        self.bores.clear()
        self.sentence.clear()
        self.chart.show_picture(None, self._session.units)

    def _name_pins(self) -> None:
        """The heading of the table; it says how to fill it while it is empty."""
        self.pins_title.setText(
            _tr("Pinned cases: {n}").format(n=len(self.pins.pins))
            if self.pins.pins
            else _tr("No pinned case yet: Pin puts the present one here, to compare.")
        )

    def keep(self) -> None:
        """Put the tried values into the file as one step that undo takes back."""
        if self._scratch is not None and self._scratch.changes:
            label = _tr("keep the try-out of {part}").format(part=self._part)
            document = self._session.document
            if document is not None and (document.review_only or document.read_only):
                self.message.emit(
                    _tr("Not kept: values are locked. Open the file with Open to change them.")
                )
                return
            self._scratch.keep(label)
            self.message.emit(_tr("Kept; undo takes it back in one step."))

    def drop(self) -> None:
        """Forget the tried values; the file was never changed."""
        if self._scratch is None:
            return
        self._rest.stop()
        self._next.stop()
        self._moved = False
        self._scratch.drop()
        self._session.dispatcher.cancel(DRAG)
        self._session.dispatcher.cancel(SETTLE)
        for row in self.rows:
            row.put_back()
        self._turn += 1
        self._answer = self._reference
        self._say_state()
        self._show_answer()

    def pin(self) -> None:
        """Keep the present case in the table."""
        if self._answer is None:
            self.message.emit(_tr("There is no answer to pin yet."))
            return
        changes = {} if self._scratch is None else dict(self._scratch.changes)
        self.pins.add(Pin(changes, self._answer), self._session.units)
        self._name_pins()
        self._arrange()

    # -- answers -----------------------------------------------------------------

    def _arrived(self, result: Result) -> None:
        if result.lane == DRAG:
            self._asked = False
        if result.lane == REFERENCE and not result.part:
            self._reference = result.value
            if self._scratch is None or not self._scratch.changes:
                self._answer = result.value
            self._show_answer()
        elif result.lane == SETTLE and not result.part:
            if result.revision == self._turn:
                self._take(result.value)
        elif result.lane == DRAG and self._scratch is not None and self._scratch.changes:
            self._take(result.value)
            if self._moved:
                self._next.start()

    def _take(self, answer: TryOutAnswer) -> None:
        self._answer = answer
        self._show_answer()

    def _failed(self, failure: Failed) -> None:
        if failure.lane in (DRAG, SETTLE, REFERENCE):
            self._asked = False
            self._say_mistake(failure.message)
            if self._moved:
                self._next.start()

    def _show_answer(self) -> None:
        answer = self._answer
        fire = None if answer is None else answer.fire
        self.guess.show_fire(fire)
        self.answer_stack.setCurrentIndex(1 if self.guess.hides else 0)
        units = self._session.units
        if answer is None:
            self.ruler.show_ruler(None, units)
            self.verdict.setText(_tr("– not assessed yet"))
            self.bores.clear()
            self.sentence.clear()
            self._show_chart()
            return
        self.ruler.show_ruler(descriptions.order_ruler(answer.part, units), units)
        if fire is not None:
            self.times.show_ruler(fire_time_ruler(fire), units)
            self._say_verdict(answer)
        else:
            self.verdict.setText(_tr("– not assessed: no fire reaches this part"))
            self.bores.clear()
        if answer.settled or not self.sentence.text():
            sentences = [screening_sentence(answer.part, units)]
            if fire is not None:
                sentences.append(fire_sentence(fire))
            self.sentence.setText(" ".join(sentences))
        self.sentence.setEnabled(answer.settled)  # as the bore; nobody reads it while it changes
        self._show_chart()

    def _say_verdict(self, answer: TryOutAnswer) -> None:
        installation = self._session.installation or self._session.drawn
        assert answer.fire is not None
        basis = "tensile" if installation is None else installation.choices.strength_basis
        verdict = fire_verdict(answer.fire, basis)
        text = verdict.text
        if answer.settled:
            tone = "sound" if verdict.safe else "danger"
            self.bores.setText(self._bores_text(answer.fire))
        else:
            text = _tr("{text}; the other basis follows").format(text=text)
            tone = "quiet"
        self.verdict.setText(text)
        self.bores.setEnabled(answer.settled)  # the last bore stays, greyed, until the new one
        if self.verdict.property("tone") != tone:
            self.verdict.setProperty("tone", tone)
            self.verdict.style().unpolish(self.verdict)
            self.verdict.style().polish(self.verdict)

    @staticmethod
    def _bores_text(fire: FireRecord) -> str:
        return "; ".join(
            _tr("no bore of {plug} is enough").format(plug=plug)
            if bore is None
            else _tr("{plug} needs a bore of {bore}").format(plug=plug, bore=_millimetres(bore))
            for plug, bore in fire.smallest_bore_m.items()
        )

    def _chart_of(self, answer: TryOutAnswer | None) -> Chart | None:
        if answer is None:
            return None
        units, which = self._session.units, self._group.checkedId()
        if which == HEATING:
            return descriptions.heating_chart(answer.part, units)
        fire = answer.fire
        if fire is None or fire.curves is None:
            return None
        parts = (self._part,) if self._part in fire.curves.parts else None
        if which == STRENGTH:
            return descriptions.fire_strength_chart(fire, units, parts)
        if which == PRESSURE:
            return descriptions.fire_pressure_chart(fire, units, parts)
        return descriptions.fire_temperature_chart(fire, units, parts)

    def _show_chart(self) -> None:
        self._arrange()
        changed = self._scratch is not None and bool(self._scratch.changes)
        ghost = self._chart_of(self._reference) if changed else None
        self.chart.set_empty_text(_tr("Not assessed yet."))
        self.chart.show_picture(self._chart_of(self._answer), self._session.units, ghost)


def _millimetres(bore: float) -> str:
    from airrisk.wording.units import number_text

    return f"{number_text(bore * 1000, 3)}\u00a0mm"
