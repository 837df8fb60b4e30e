"""The Try-out view: turn values of one part on a scratch copy and watch what happens."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
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

from airrisk.window.calculations import audit_day
from airrisk.window.theme import scaled
from airrisk.window.tryout.answer_side import AnswerSide, Tried
from airrisk.window.tryout.asking import Asking
from airrisk.window.tryout.cure_bar import CureBar
from airrisk.window.tryout.guess import Guess
from airrisk.window.tryout.knobs import Knob, KnobRow, knobs_of
from airrisk.window.tryout.pins import Pin, PinnedCases, changes_text
from airrisk.window.tryout.scratch import Scratch
from airrisk.window.tryout.sheet import ask_for_sheet
from airrisk.wording.cure_plans import changes_in_short
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.window.cure_trial import CureTrial
    from airrisk.window.session import Session
    from airrisk.window.tryout.live import TryOutAnswer

LOW = 520  # px of height below which the pinned cases stay closed until they are asked for
KNOBS, MOST_KNOBS = 300, 460  # px, width of the knobs at the usual size of text and at most
SHARE = 0.3  # of the height, at most, for pinned cases


class TryOutView(QWidget):
    """Knobs left, live answer right, pinned cases below, in a worded frame."""

    message = Signal(str)
    apply_asked = Signal(object)  # CureTrial
    left = Signal(str)  # the view to go back to from a tried cure

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._scratch: Scratch | None = None
        self._based_on: tuple[Any, ...] = ()
        self._part = ""
        self._fire_id = ""
        self.rows: list[KnobRow] = []  # those in use
        self._made: list[KnobRow] = []
        self._cure: CureTrial | None = None  # tried in place of turned values
        self._trials = 0  # cures tried so far
        self._pinned_trial = 0  # the last whose two cases stand in the table
        self._asked_fire: str | None = None  # to begin with
        self._stale = ""  # why a cure is no longer tried, said until the next movement
        self._dropped = ""  # what was tried and cannot be any more, said until the next movement
        self.asking = Asking(session.dispatcher, self)
        self.asking.asks.connect(self._say_state)
        self.asking.answered.connect(self._show_answer)
        self.asking.refused.connect(self._say_mistake)
        self._by_hand = False  # whether a person has divided the height
        self._folded_by_hand = False  # or opened or closed the pinned cases
        self._build()
        session.document_replaced.connect(self._start_again)
        session.document_changed.connect(self.refresh)
        session.chosen_changed.connect(self.refresh)
        session.answer_changed.connect(self.refresh)
        session.units_changed.connect(self._units_changed)

    @property
    def answer(self) -> TryOutAnswer | None:
        """The answer to the tried values, to the file's own when nothing is tried."""
        return self.asking.answer

    # -- building ----------------------------------------------------------------

    def _build(self) -> None:
        self.guess = Guess()
        self.guess.hidden_changed.connect(self._show_answer)
        self.exercise_button = self._button(
            tr("E&xercise sheet…"),
            tr("Save eight questions with the present numbers as PDF, the answers behind them"),
        )
        self.exercise_button.clicked.connect(self._ask_for_sheet)
        self._knob_area = QScrollArea()
        self._knob_area.setWidgetResizable(True)
        self._knob_area.setFrameShape(QScrollArea.Shape.NoFrame)
        self._knob_area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._knob_area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._knob_area.setMinimumWidth(KNOBS)
        page = QWidget()
        self._knobs = QVBoxLayout(page)
        self._knobs.setContentsMargins(0, 4, 8, 4)
        self._knobs.addStretch(1)
        self._knob_area.setWidget(page)
        self.side = AnswerSide()
        self.side.message.connect(self.message)
        hidden = QLabel(tr("The answer is hidden: make your guess above."))
        hidden.setAlignment(Qt.AlignmentFlag.AlignCenter)
        hidden.setProperty("tone", "quiet")
        self.answer_stack = QStackedWidget()
        self.answer_stack.addWidget(self.side)
        self.answer_stack.addWidget(hidden)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.addWidget(self._knob_area)
        split.addWidget(self.answer_stack)
        split.setSizes([330, 900])
        split.setStretchFactor(1, 1)
        frame = QFrame()
        frame.setProperty("frame", "scratch")
        inner = QVBoxLayout(frame)
        inner.setContentsMargins(10, 8, 10, 8)
        inner.addLayout(self._head())
        self.bar = CureBar()
        self.bar.apply_asked.connect(self._apply_cure)
        self.bar.back_asked.connect(self._leave_cure)
        inner.addWidget(self.bar)
        below = QHBoxLayout()
        below.addWidget(self.guess, 1)
        below.addWidget(self.exercise_button, 0, Qt.AlignmentFlag.AlignTop)
        inner.addLayout(below)
        inner.addWidget(split, 1)
        self.pinned = PinnedCases()
        self.pinned.folded.connect(self._folded)
        self._outer = QSplitter(Qt.Orientation.Vertical)
        self._outer.setChildrenCollapsible(False)
        self._outer.addWidget(frame)
        self._outer.addWidget(self.pinned)
        self._outer.setStretchFactor(0, 1)
        self._outer.splitterMoved.connect(self._divided_by_hand)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addWidget(self._outer)

    def _head(self) -> QHBoxLayout:
        self.worded = QLabel()
        self.worded.setProperty("tone", "title")
        self.worded.setWordWrap(True)
        self.worded.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.part_box = QComboBox()
        self.part_box.setAccessibleName(tr("Part to try out"))
        self.part_box.setToolTip(tr("The vessel or line whose values are turned"))
        self.part_box.activated.connect(self._part_chosen)
        self.fire_box = QComboBox()
        self.fire_box.setAccessibleName(tr("Fire"))
        self.fire_box.setToolTip(tr("The fire that the part stands in"))
        self.fire_box.activated.connect(self._fire_chosen)
        for box in (self.part_box, self.fire_box):  # another part has other fires
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.keep_button = self._button(tr("&Keep"), tr("Put the tried values into the file"))
        self.keep_button.clicked.connect(self.keep)
        self.drop_button = self._button(tr("&Drop"), tr("Forget the tried values"))
        self.drop_button.clicked.connect(self.drop)
        self.pin_button = self._button(tr("&Pin"), tr("Keep this case in the table below"))
        self.pin_button.clicked.connect(self.pin)
        head = QHBoxLayout()
        head.addWidget(self.worded, 1)
        for widget in (
            self.part_box, self.fire_box, self.keep_button, self.drop_button, self.pin_button,
        ):  # fmt: skip
            head.addWidget(widget)
        return head

    @staticmethod
    def _button(text: str, tip: str) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(tip)
        return button

    def keyboard_begin(self) -> QWidget | None:
        """The first knob."""
        return self.rows[0].slider if self.rows else self.part_box

    # -- room --------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if not self._by_hand and not self._folded_by_hand:
            self.pinned.set_open(self.height() >= LOW)
        self._divide()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._knob_area.setMinimumWidth(min(scaled(KNOBS), MOST_KNOBS))
            self._divide()

    def _folded(self) -> None:
        self._folded_by_hand = True
        self._by_hand = False
        self._divide()

    def _divided_by_hand(self) -> None:
        self._by_hand = self.pinned.is_open

    def _divide(self) -> None:
        """Give the pinned cases the height of their rows, at most a share of the view."""
        if not self._by_hand:
            room = self._outer.height()
            below = min(self.pinned.wanted_height(), round(SHARE * room))
            self._outer.setSizes([room - below, below])

    # -- what is tried -----------------------------------------------------------

    def try_cure(self, trial: CureTrial) -> None:
        """Show what a cure does beside the file as it is; what was turned is no longer tried."""
        self._cure = trial
        self._trials += 1
        self._asked_fire = trial.fire
        self._stale = ""
        self._based_on = ()
        self._session.choose(trial.part)
        self.refresh()

    def end_cure(self) -> None:
        """The scratch copy is as the file again."""
        self._cure = None
        self._stale = ""
        self._based_on = ()
        self.refresh()

    def _leave_cure(self) -> None:
        back = "work" if self._cure is None else self._cure.back
        self.end_cure()
        self.left.emit(back)

    def _apply_cure(self) -> None:
        if self._cure is not None:
            self.apply_asked.emit(self._cure)

    def _drop_stale_cure(self, installation: Installation | None) -> None:
        """What was proven for another text, or another day, is not shown as a cure of this one."""
        trial = self._cure
        if trial is None:
            return
        today = installation is not None and trial.answer.on == audit_day(installation)
        if not trial.fits(self._session.document) or not today:
            self._cure = None
            self._based_on = ()
            self._stale = tr("The cure is no longer tried: the file has changed since.")

    def _start_again(self) -> None:
        self._cure = None
        self._stale = ""
        self._based_on = ()
        self._scratch = None
        self.asking.forget()
        self.pinned.forget()
        self._divide()
        self.refresh()

    def refresh(self) -> None:
        """Follow the document and the chosen part, when the view is seen."""
        session = self._session
        document, installation = session.document, session.installation
        if not self.isVisible():
            return
        self._drop_stale_cure(installation)
        if document is None or installation is None or not installation.holders():
            self._show_nothing(
                tr("Nothing to try out: the file has mistakes, which Layout and System file list.")
                if document is not None and document.problems
                else tr("Nothing to try out: the file has no vessel and no line.")
            )
            return
        for side in (self.answer_stack, self.guess):
            side.setVisible(True)
        for widget in (self.part_box, self.pin_button, self.exercise_button):
            widget.setEnabled(True)
        wanted = session.chosen_holder or self._part
        names = [holder.id for holder in installation.holders()]
        if wanted not in names:
            wanted = names[0]
        based_on = (*session.moment, wanted)
        if based_on != self._based_on:
            self._begin(wanted, names)
            self._based_on = based_on

    def _show_nothing(self, why: str) -> None:
        """Say why there is nothing to turn; no knob, no answer, nothing to keep."""
        self.worded.setText(why)
        self._show_knobs(())
        self.asking.forget()  # what is tried is tried again when the mistake is mended
        for side in (self.answer_stack, self.guess):
            side.setVisible(False)
        for widget in (
            self.part_box, self.fire_box, self.keep_button, self.drop_button, self.pin_button,
            self.exercise_button,
        ):  # fmt: skip
            widget.setEnabled(False)
        self.bar.hide()
        self._based_on = ()

    def _begin(self, part: str, names: list[str]) -> None:
        """Start a scratch copy for this part."""
        session = self._session
        document, installation = session.document, session.installation
        assert document is not None
        assert installation is not None
        if self._scratch is None or self._scratch.document is not document:
            self._scratch = Scratch(document)
        tried = dict(self._scratch.changes)
        self._scratch.drop()
        same = part == self._part
        if not same:
            self._fire_id = ""
        if self._asked_fire is not None:
            self._fire_id, self._asked_fire = self._asked_fire, None
        self._part = part
        self._scratch.cure = () if self._cure is None else self._cure.changes
        self.part_box.clear()
        for name in names:
            self.part_box.addItem(name, name)
        self.part_box.setCurrentIndex(names.index(part))
        self._list_fires()
        shown, fire = self._what_is_tried(installation)
        self._show_knobs(knobs_of(shown, part, fire or ""))
        self._knob_area.setEnabled(self._cure is None)
        devices = tuple(d.id for d in shown.devices() if d.on.casefold() == part.casefold())
        self.guess.offer(devices, part)
        self.asking.begin(self._scratch, part, self._fire_id, installation, fire)
        self.bar.show_trial(self._cure, fire is not None, session.units)
        if self._cure is None:
            self._try_again(tried, same)
        else:
            self._say_dropped(tried)
            self.asking.turned()
        self._say_state()

    def _what_is_tried(self, installation: Installation) -> tuple[Installation, str | None]:
        """What is shown beside the file: with the cure that is tried, and the same fire in it."""
        from airrisk.window.cure_trial import fire_then

        if self._cure is None or self._scratch is None:
            return installation, self._fire_id
        changed, _ = self._scratch.installation()
        if changed is None:  # the worker is asked and says why
            return installation, self._fire_id
        return changed, fire_then(installation, changed, self._part, self._fire_id)

    def _try_again(self, tried: dict[tuple[str, str], str], same: bool) -> None:
        """The file has changed under the scratch copy: what can still be turned stays turned.

        ``same``: the part is the same as before; what was tried of another one is dropped.
        """
        assert self._scratch is not None
        for row in self.rows if same else ():
            place = (row.knob.part, row.knob.spec.key)
            if place in tried:
                text = tried.pop(place)
                row.show_tried(text)
                self._scratch.turn(*place, text)
        if self._scratch.changes:
            self.asking.turned()
        self._say_dropped(tried)

    def _say_dropped(self, tried: dict[tuple[str, str], str]) -> None:
        self._dropped = (
            tr("No longer tried: {tried}.").format(tried=changes_text(tried)) if tried else ""
        )

    def _list_fires(self) -> None:
        from airrisk.study.brief_fire import exposures_of
        from airrisk.wording.fire_names import exposure_title

        installation = self._session.installation
        assert installation is not None
        found = exposures_of(installation, self._part)
        self.fire_box.clear()
        for exposure in found:
            self.fire_box.addItem(exposure_title(exposure), exposure.fire.id)
        index = self.fire_box.findData(self._fire_id)
        self.fire_box.setCurrentIndex(max(index, 0) if found else -1)
        self._fire_id = str(self.fire_box.currentData() or "")
        self.fire_box.setEnabled(len(found) > 1)

    def _show_knobs(self, knobs: tuple[Knob, ...]) -> None:
        """One row for each of these; rows are kept, never deleted."""
        unit_set = self._session.units.name
        for number, knob in enumerate(knobs):
            if number < len(self._made):
                self._made[number].show_knob(knob, unit_set)
                continue
            row = KnobRow(knob, unit_set)
            row.turned.connect(self._turned)
            row.rested.connect(self.asking.rested)
            self._knobs.insertWidget(number, row)
            self._made.append(row)
        self.rows = self._made[: len(knobs)]
        for row in self._made:
            row.setVisible(row in self.rows)

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
        self.pinned.table.show_pins(self._session.units)
        self.refresh()
        self._show_answer()

    # -- turning -----------------------------------------------------------------

    def _turned(self, knob: Knob, text: str) -> None:
        if self._scratch is None:
            return
        self._scratch.turn(knob.part, knob.spec.key, text)
        self._dropped = self._stale = ""
        self.keep_button.setEnabled(True)
        self.drop_button.setEnabled(True)
        self.guess.ask_again()
        self.asking.turned()

    def _say_state(self) -> None:
        changes = {} if self._scratch is None else self._scratch.changes
        changed = bool(changes)
        tried_cure = self._cure is not None
        for button in (self.keep_button, self.drop_button):
            button.setVisible(not tried_cure)
        told = " ".join(one for one in (self._stale, self._dropped) if one)
        dropped = f". {told}" if told else ""
        if tried_cure:
            words = tr("Explore, a scratch copy with a cure in it. Your file is untouched")
            self.worded.setText(words + dropped)
            return
        self.keep_button.setEnabled(changed)
        self.drop_button.setEnabled(changed)
        if changed:
            tried = changes_text(changes)
            text = tr("Explore, a scratch copy. Your file is untouched. Tried: {tried}")
            self.worded.setText(text.format(tried=tried) + dropped)
        else:
            self.worded.setText(
                tr("Explore {part} on a scratch copy: your file changes only with Keep").format(
                    part=self._part
                )
                + dropped
            )

    def keep(self) -> None:
        """Put the tried values into the file as one step that undo takes back."""
        if self._cure is not None:  # its values would count as if they were confirmed
            return
        for row in self.rows:
            if not row.take_typed():
                self.message.emit(
                    tr("Not kept: {value}: {reason}").format(
                        value=row.knob.label, reason=row.error.text()
                    )
                )
                return
        if self._scratch is not None and self._scratch.changes:
            label = tr("keep the try-out of {part}").format(part=self._part)
            document = self._session.document
            if document is not None and (document.review_only or document.read_only):
                self.message.emit(
                    tr("Not kept: values are locked. Open the file with Open to change them.")
                )
                return
            installation, mistake = self._scratch.installation()
            if installation is None:
                self.message.emit(tr("Not kept: {reason}").format(reason=mistake))
                return
            self._scratch.keep(label)
            self.message.emit(tr("Kept; undo takes it back in one step."))

    def drop(self) -> None:
        """Forget the tried values; the file was never changed."""
        if self._scratch is None:
            return
        self._scratch.drop()
        self._dropped = self._stale = ""
        self.asking.dropped()
        for row in self.rows:
            row.put_back()
        self._say_state()
        self._show_answer()

    def pin(self) -> None:
        """Keep the present case in the table."""
        if self.answer is None:
            self.message.emit(tr("There is no answer to pin yet."))
            return
        changes = {} if self._scratch is None else dict(self._scratch.changes)
        final = self.answer.complete and self.asking.is_current
        pin = Pin(changes, self.answer, self.asking.question, final, self._part)
        self.pinned.add(self._of_trial(pin), self._session.units)
        self._divide()
        self._show_answer()

    def _of_trial(self, pin: Pin) -> Pin:
        """A case in which a cure is tried, by the name of the cure."""
        trial = self._cure
        if trial is None:
            return pin
        named = changes_in_short(trial.changes, trial.answer.kinds, self._session.units)
        return replace(pin, trial=self._trials, cure=named.rstrip("."))

    def _pin_both(self) -> None:
        """Once both are known: the case of the file and that with the cure, one below the other."""
        before, after = self.asking.reference, self.answer
        known = before is not None and before.complete and after is not None and after.complete
        if self._cure is None or self._pinned_trial == self._trials or not known:
            return
        if not self.asking.is_current or self.guess.hides:
            return
        assert before is not None
        assert after is not None
        self._pinned_trial = self._trials
        present = Pin({}, before, -1, True, self._part, self._trials)
        self.pinned.add(present, self._session.units)
        cured = self._of_trial(Pin({}, after, self.asking.question, True, self._part))
        self.pinned.add(cured, self._session.units)
        self._divide()

    def _ask_for_sheet(self) -> None:
        scratch = None if self.answer is None else self._scratch
        ask_for_sheet(scratch, self._part, self._session.units.name, self.message.emit, self)

    # -- answers -----------------------------------------------------------------

    def _show_answer(self) -> None:
        answer, units = self.answer, self._session.units
        self.guess.show_fire(None if answer is None else answer.fire, units)
        self.answer_stack.setCurrentIndex(1 if self.guess.hides else 0)
        if answer is None:
            self.side.show_answer(None, units)
            return
        if answer.settled and self.asking.is_current:
            self.pinned.table.settle(answer, self.asking.question, units)
        installation = self._session.installation or self._session.drawn
        basis = "tensile" if installation is None else installation.choices.strength_basis
        self._pin_both()
        before = self.asking.reference if self.asking.is_changed else None
        pinned = self.pinned.table.lettered(self._part)
        self.side.show_answer(Tried(answer, before, self._part, basis, pinned), units)

    def _say_mistake(self, reason: str) -> None:
        self.side.say_mistake(reason, self._session.units)
