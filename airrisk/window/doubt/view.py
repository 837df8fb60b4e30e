"""The Doubt view: does the verdict survive when the inputs are not exactly as stated?"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from airrisk.kernel import compiled
from airrisk.window.dispatcher import Failed, Progress, Result
from airrisk.window.divided import Divided
from airrisk.window.doubt.answers import Answers
from airrisk.window.doubt.inputs_list import InputsList
from airrisk.window.doubt.jobs import Asked, AskWhatIf, Known, ListInputs
from airrisk.window.doubt.sweep_row import SweepRow
from airrisk.window.tones import set_tone
from airrisk.window.work_progress import WorkProgress
from airrisk.wording import labels
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.what_if_records import Subject, WhatIf
    from airrisk.window.session import Session

LIST, STUDY = "doubt inputs", "doubt study"
METHODS = ("latin hypercube", "sobol")
FIRST_SAMPLES = 1000
MOST_SAMPLES = 1_000_000


class DoubtView(QWidget):
    """What is asked on the left, what came out on the right."""

    message = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._listed_for: tuple[object, ...] = ()
        self._known: Known | None = None
        self._trouble = ""  # why the inputs cannot be listed
        self._revision = 0  # of requests, rising
        self._unfinished = False  # the answer is the part that was there when it was stopped
        self._asked_of: tuple[object, ...] = ()  # document and its revision of the newest study
        self._question: Asked | None = None
        self.answer: WhatIf | None = None
        self._build()
        self._list_later = QTimer(self)
        self._list_later.setSingleShot(True)
        self._list_later.setInterval(150)
        self._list_later.timeout.connect(self._list_inputs)
        session.document_replaced.connect(self._start_again)
        session.document_changed.connect(self._document_changed)
        session.units_changed.connect(self._units_changed)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)
        session.dispatcher.progressed.connect(self._progressed)

    # -- building ----------------------------------------------------------------

    def _build(self) -> None:
        self.fire = QComboBox()
        self.fire.setAccessibleName(tr("Fire and section"))
        self.fire.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.fire.addItem(tr("the one that decides the verdict"), None)
        self.fire.activated.connect(self._fire_chosen)
        name = QLabel(tr("Fi&re"))
        name.setBuddy(self.fire)
        self.ask_button = QPushButton(tr("Work it &out"))
        self.ask_button.setToolTip(tr("Run the fire with its inputs varied"))
        self.ask_button.clicked.connect(self.ask)
        self.stop_button = QPushButton(tr("&Stop"))
        self.stop_button.setToolTip(tr("Stop the study; the last answer stays"))
        self.stop_button.clicked.connect(self.stop)
        self.progress = WorkProgress(tr("Progress of the study"))
        self.state = QLabel()
        self.state.setWordWrap(True)
        self.state.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        head = QHBoxLayout()
        for widget in (name, self.fire, self.ask_button, self.stop_button, self.progress):
            head.addWidget(widget)
        head.addWidget(self.state, 1)
        self.answers = Answers()
        self.answers.message.connect(self.message)
        self._split = Divided(Qt.Orientation.Horizontal, self._question_side(), self.answers)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addLayout(head)
        layout.addWidget(self._split, 1)
        self._show_running(False)

    def _question_side(self) -> QWidget:
        self.inputs = InputsList()
        self.inputs.changed.connect(self._question_changed)
        self.about_input = QLabel(tr("Choose an input to read its spread and where it is from."))
        self.about_input.setProperty("tone", "quiet")
        self.about_input.setWordWrap(True)
        self.about_input.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.inputs.told.connect(self._tell_input)
        title = QLabel(tr("&Inputs that are in doubt"))
        title.setProperty("tone", "title")
        title.setBuddy(self.inputs)
        self.samples = QSpinBox()
        self.samples.setRange(0, MOST_SAMPLES)
        self.samples.setSingleStep(1000)
        self.samples.setValue(FIRST_SAMPLES)
        self.samples.setGroupSeparatorShown(True)
        self.samples.setAccessibleName(tr("Number of samples"))
        self.seed = QSpinBox()
        self.seed.setRange(0, 2**31 - 1)
        self.seed.setValue(1)
        self.seed.setToolTip(tr("The same seed gives the same answer"))
        self.seed.setAccessibleName(tr("Seed of the samples"))
        self.method = QComboBox()
        for method, text in zip(METHODS, (tr("Latin hypercube"), tr("Sobol sequence")),
                                strict=True):  # fmt: skip
            self.method.addItem(text, method)
        self.method.setAccessibleName(tr("How samples are drawn"))
        for box in (self.samples, self.seed):
            box.lineEdit().setAccessibleName(box.accessibleName())
        form = QFormLayout()
        form.setContentsMargins(0, 4, 0, 4)
        form.setVerticalSpacing(3)
        form.addRow(tr("Sa&mples"), self.samples)
        form.addRow(tr("See&d"), self.seed)
        form.addRow(tr("Drawn &by"), self.method)
        self.sweeps = (SweepRow(tr("S&weep")), SweepRow(tr("&and")))
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 6, 0)
        column.setSpacing(4)
        column.addWidget(title)
        column.addWidget(self.inputs, 1)
        column.addWidget(self.about_input)
        column.addLayout(form)
        wide = max(row.name.sizeHint().width() for row in self.sweeps)
        for row in self.sweeps:
            row.name.setMinimumWidth(wide)  # their fields stand under one another
            column.addWidget(row)
            row.changed.connect(self._question_changed)
        self.samples.valueChanged.connect(self._question_changed)
        self.seed.valueChanged.connect(self._question_changed)
        self.method.activated.connect(self._question_changed)
        self.inputs.setMinimumHeight(11 * self.fontMetrics().lineSpacing())
        area = QScrollArea()
        area.setWidget(side)
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setMinimumWidth(280)
        return area

    def _tell_input(self, text: str) -> None:
        if text:
            self.about_input.setText(text)

    # -- following the document --------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._list_inputs()

    def _start_again(self) -> None:
        self.stop()
        self._session.dispatcher.cancel(LIST)
        self.answer = self._known = None
        self._trouble = ""
        self._listed_for = self._asked_of = ()
        self._question = None
        self.fire.setCurrentIndex(0)
        self.answers.show_answer(None, self._session.units)
        self._show_known()
        if self.isVisible():
            self._list_inputs()

    def _document_changed(self) -> None:
        if self.isVisible():
            self._list_later.start()
        self._say_state()

    def _units_changed(self) -> None:
        if self._known is not None or self.answer is not None:
            self._show_known()
            self.answers.show_answer(self.answer, self._session.units, self._unfinished)

    def _fire_chosen(self) -> None:
        self._list_inputs()
        self._question_changed()

    def _text_now(self) -> tuple[object, ...]:
        return self._session.moment

    def _chosen_run(self) -> tuple[str | None, str | None]:
        found = self.fire.currentData()
        return (None, None) if found is None else (found[0], found[1])

    def _list_inputs(self) -> None:
        """Ask the worker what can be varied, once for each text and fire."""
        installation = self._session.installation
        if installation is None:
            self._known = None
            self._listed_for = ()
            self._show_known()
            return
        wanted = (*self._text_now(), self._chosen_run())
        if wanted == self._listed_for:
            return
        self._listed_for = wanted
        self._revision += 1
        self._session.dispatcher.request(
            LIST, self._revision, ListInputs(installation, *self._chosen_run()), urgency=3
        )

    def ask_about(self, run: object) -> None:
        """Turn to this (fire, section)."""
        index = self._place_of(run)
        if index < 0:  # listed anew once the inputs are known
            self.fire.addItem(" · ".join(run) if isinstance(run, tuple) else str(run), run)
            index = self.fire.count() - 1
        self.fire.setCurrentIndex(index)
        self._fire_chosen()

    def _name_of(self, subject: Subject) -> str:
        """A fire and its section as the list names them."""
        index = self._place_of((subject.fire, subject.section))
        return self.fire.itemText(index) if index >= 0 else f"{subject.fire}, {subject.section}"

    def _place_of(self, run: object) -> int:
        places = range(self.fire.count())
        return next((n for n in places if self.fire.itemData(n) == run), -1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._divide()

    def _divide(self) -> None:
        """Give the list the width of its columns, at most 45 % of the view."""
        room = self.width()
        left = max(360, min(self.inputs.wanted_width() + 6, round(0.45 * room)))
        self._split.give_first(left, room)

    def _show_known(self) -> None:
        known, units = self._known, self._session.units
        kept = self.fire.currentData()
        self.fire.clear()
        self.fire.addItem(tr("the one that decides the verdict"), None)
        for one in () if known is None else known.fires:
            text = tr("{fire}, section {section}").format(fire=one.title, section=one.section)
            self.fire.addItem(text, (one.fire, one.section))
        index = max(self._place_of(kept), 0)
        self.fire.setCurrentIndex(index)
        self.inputs.show_inputs(known, units)
        self._divide()
        for row in self.sweeps:
            row.show_inputs(known, units)
        self.ask_button.setEnabled(known is not None)
        self._say_state()

    # -- asking ------------------------------------------------------------------

    def question(self) -> Asked:
        """What the fields ask for now."""
        sweeps = tuple(text for row in self.sweeps if (text := row.text()))
        samples = self.samples.value() if self.inputs.any_varied() else 0
        return Asked(
            *self._chosen_run(), self.inputs.varied(), sweeps, samples,
            str(self.method.currentData()), self.seed.value(),
        )  # fmt: skip

    def ask(self) -> None:
        """Start the study of the present text and question."""
        installation = self._session.installation
        if installation is None or self._known is None:
            return
        self._question, self._asked_of = self.question(), self._text_now()
        self._revision += 1
        self._unfinished = False
        self._show_running(True)
        self._session.dispatcher.request(
            STUDY, self._revision, AskWhatIf(installation, self._question), urgency=8
        )
        self._say_state()

    def stop(self) -> None:
        """End a running study."""
        if self.is_running:
            self._session.dispatcher.cancel(STUDY)
            self._show_running(False)
            if self._unfinished:  # what is there so far stays, and says that it is not all
                self._say_state()
                return
            self._asked_of = ()
            self._say_state(tr("Stopped."))

    @property
    def is_running(self) -> bool:
        """Whether a study is being worked out."""
        return self._running

    def _show_running(self, running: bool) -> None:
        self._running = running
        self.progress.begin()
        self.progress.setVisible(running)
        self.stop_button.setVisible(running)
        self.ask_button.setVisible(not running)
        if not running:
            self.ask_button.setEnabled(self._known is not None)

    def _question_changed(self) -> None:
        self._say_state()

    @property
    def is_current(self) -> bool:
        """Whether the answer shown belongs to the present text and question."""
        asked, now = self._question, self.question()
        if self.answer is None or asked is None or self._asked_of != self._text_now():
            return False
        same_run = (asked.fire, asked.section) == (now.fire, now.section)
        return (same_run or self._asks_for_the_answered_run(now)) and (
            replace(asked, fire=None, section=None) == replace(now, fire=None, section=None)
        )

    def _asks_for_the_answered_run(self, now: Asked) -> bool:
        """Whether the ruling fire and one named outright are the same run."""
        subject = None if self.answer is None else self.answer.subject
        if subject is None or now.fire is not None:
            return subject is not None and (now.fire, now.section) == (
                subject.fire,
                subject.section,
            )
        ruling = None if self._known is None else self._known.subject
        return ruling is not None and (ruling.fire, ruling.section) == (
            subject.fire,
            subject.section,
        )

    def _say_state(self, text: str = "", tone: str = "quiet") -> None:
        current = self.is_current
        ready = current and (self._unfinished or not self._running)
        self.answers.setEnabled(self.answer is None or ready)
        if not text:
            if self._running and compiled.is_preparing():
                text = tr("The fire calculation is being prepared, once; then it is worked out…")
            elif self._running:
                text = tr("Working it out…")
            elif self._session.installation is None:
                text = tr("Nothing to ask while the file has mistakes or no part that holds air.")
            elif self._known is None and self._trouble:
                text, tone = self._trouble, "danger"
            elif self._known is None:
                text = tr("Looking for the fire that decides the verdict…")
            elif self.answer is None:
                text = tr("Not asked yet: how sure is the verdict? {run}.").format(
                    run=self._name_of(self._known.subject)
                )
            elif not current and self._asked_of == self._text_now():
                text = tr("The answer is to another question: work this one out.")
            elif not current:
                text = tr("The answer is older than the last change: work it out again.")
            elif self._unfinished:
                text = tr(
                    "{run}: stopped. What was worked out so far is shown; the rest is not known."
                ).format(run=self._name_of(self.answer.subject))
                tone = "warning"
            else:
                text = tr("{run}: this study is up to date.").format(
                    run=self._name_of(self.answer.subject)
                )
        self.state.setText(text)
        set_tone(self.state, tone)

    # -- answers -----------------------------------------------------------------

    def _arrived(self, result: Result) -> None:
        if result.lane == LIST:
            self._known, self._trouble = result.value, ""
            self._show_known()
        elif result.lane == STUDY:
            self.answer, self._unfinished = result.value, bool(result.part)
            if not result.part:
                self._show_running(False)
            self.answers.show_answer(self.answer, self._session.units, self._unfinished)
            self._say_state()

    def _failed(self, failure: Failed) -> None:
        if failure.lane == LIST:
            self._known = None
            self._trouble = tr("Not assessed: {reason}").format(reason=failure.message)
            self._show_known()
        elif failure.lane == STUDY:
            self._asked_of, self._unfinished = (), False
            self._show_running(False)
            self._say_state(tr("Not assessed: {reason}").format(reason=failure.message), "danger")

    def _progressed(self, progress: Progress) -> None:
        if progress.lane == STUDY and self._running:
            self.progress.tell(progress.share)
            if progress.text:
                self._say_state(
                    tr("Working it out: {what}").format(what=labels.step_text(progress.text))
                )
