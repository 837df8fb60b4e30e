"""Causes by rank, and plans that make the installation safe, to be applied as one edit."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from airrisk.study.cure_changes import unwritten
from airrisk.window.calculations import Memory
from airrisk.window.cards import Card, CardList
from airrisk.window.cure_trial import apply_changes
from airrisk.window.dispatcher import Failed, Progress, Result
from airrisk.window.tables import TextTable
from airrisk.window.work_progress import WorkProgress
from airrisk.wording.cure_plans import (
    before_and_after,
    cause_cure,
    cause_deed,
    cause_heading,
    cause_lines,
    cause_work,
    causes_sentence,
    change_sentence,
    plan_heading,
    plan_sentences,
    search_sentences,
    unwritten_sentences,
)
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.study.causes import CauseRecord
    from airrisk.study.cure_plan import PlanRecord
    from airrisk.study.records import Assessment
    from airrisk.window.dispatcher import Report
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

CURES = "cures"  # lane of the dispatcher


@dataclass(frozen=True)
class FindCures:
    """The causes and plans of an answer."""

    answer: Assessment
    installation: Installation
    text: str
    memory: Memory = field(default_factory=Memory)

    def __call__(self, report: Report) -> Any:
        """Run it in the worker."""
        from airrisk.study.assessment import Watcher
        from airrisk.study.cures import with_cures

        return with_cures(
            self.answer,
            self.installation,
            self.text,
            cache=self.memory.steps(),
            watcher=Watcher(report.progress, report.should_stop, report.partial),
        )


class CuresView(QWidget):
    """Causes left, plans right; nothing is searched before somebody asks."""

    message = Signal(str)
    part_asked = Signal(object)
    try_asked = Signal(object, object)  # plan, place of one change in it or None for all

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._edits = edits
        self._revision = 0  # of requests, rising
        self._asked_text = ""
        self._answer_text = ""
        self.answer: Assessment | None = None
        self._build()
        session.document_replaced.connect(self._start_again)
        session.answer_changed.connect(self.refresh)
        session.document_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)
        session.dispatcher.progressed.connect(self._progressed)
        self.refresh()

    def _build(self) -> None:
        self.search = QPushButton(tr("Find causes and plans"))
        self.search.setToolTip(
            tr("Try changes one by one and in pairs, and assess the whole file with each set")
        )
        self.search.clicked.connect(self._ask)
        self.cancel = QPushButton(tr("Cancel"))
        self.cancel.clicked.connect(self._cancel)
        self.progress = WorkProgress(tr("Progress of the search"))
        self.state = self._words()
        self.causes = CardList(tr("Causes by rank"), tr("Not searched yet."))
        self.causes.chosen.connect(self._cause_chosen)
        self.causes.acted.connect(self._act)
        self.tried = self._words()
        self.plan = QComboBox()
        self.plan.setAccessibleName(tr("Cure plan"))
        self.plan.activated.connect(self._show_plan)
        self.apply = QPushButton(tr("Apply as offered"))
        self.apply.setToolTip(
            tr("Write the changes into the file as one step that can be undone; each value is "
               "offered until somebody confirms it")
        )  # fmt: skip
        self.apply.clicked.connect(self._apply)
        self.tried_change = QComboBox()
        self.tried_change.setAccessibleName(tr("What to try"))
        self.try_it = QPushButton(tr("Try in Explore"))
        self.try_it.setToolTip(
            tr("Show in Explore what the plan or one change of it does, before and after")
        )
        self.try_it.clicked.connect(self._try)
        self.steps = self._words()
        self.table = TextTable(
            tr("Verdicts before and after the plan"),
            (tr("Isolable section"), tr("Fire"), tr("Before"), tr("After")),
            3,
        )
        head = QHBoxLayout()
        for widget in (self.search, self.progress, self.cancel):
            head.addWidget(widget)
        head.addWidget(self.state, 1)
        choice = QHBoxLayout()
        choice.addWidget(self.plan, 1)
        choice.addWidget(self.apply)
        right = QWidget()
        column = QVBoxLayout(right)
        column.setContentsMargins(8, 0, 0, 0)
        column.addWidget(self.tried)
        column.addLayout(choice)
        trying = QHBoxLayout()
        trying.addWidget(self.tried_change, 1)
        trying.addWidget(self.try_it)
        column.addLayout(trying)
        column.addWidget(self.steps)
        column.addWidget(self.table, 1)
        column.addStretch()  # words stand on top where there is no plan to show
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.addWidget(self.causes)
        split.addWidget(right)
        split.setSizes([500, 500])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addLayout(head)
        layout.addWidget(split, 1)
        self._show_running(False)

    @staticmethod
    def _words() -> QLabel:
        label = QLabel()
        label.setWordWrap(True)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        return label

    def keyboard_begin(self) -> QWidget:
        """The button that searches."""
        return self.search

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    # -- asking ------------------------------------------------------------------

    def ask(self) -> None:
        """Search, unless that is done or running."""
        whole = self.is_current and self.answer is not None and self.answer.plans is not None
        if not whole and not self.progress.isVisible():
            self._ask()

    def _ask(self) -> None:
        session = self._session
        document, answer = session.document, session.assessment
        if document is None or document.installation is None or answer is None:
            return
        if not session.is_current:
            self.message.emit(tr("Wait until the answer belongs to the last change."))
            return
        self._revision += 1
        self._asked_text = document.text
        session.dispatcher.request(
            CURES,
            self._revision,
            FindCures(answer, document.installation, document.text, session.memory),
            urgency=7,
        )
        self._show_running(True)

    def _cancel(self) -> None:
        self._session.dispatcher.cancel(CURES)
        self._show_running(False)
        self.refresh()

    def _start_again(self) -> None:
        self._session.dispatcher.cancel(CURES)
        self.answer = None
        self._show_running(False)
        self.refresh()

    def _show_running(self, running: bool) -> None:
        self.progress.setVisible(running)
        self.cancel.setVisible(running)
        self.progress.begin()

    def _arrived(self, result: object) -> None:
        if not isinstance(result, Result) or result.lane != CURES:
            return
        self.answer = result.value
        self._answer_text = self._asked_text
        if result.part:  # causes, while plans are still looked for
            self.refresh()
            return
        self._show_running(False)
        self._session.keep_cures(self._answer_text, result.value)

    def _failed(self, failure: object) -> None:
        if isinstance(failure, Failed) and failure.lane == CURES:
            self._show_running(False)
            self.message.emit(tr("The search failed: {reason}").format(reason=failure.message))

    def _progressed(self, progress: object) -> None:
        if isinstance(progress, Progress) and progress.lane == CURES:
            self.progress.tell(progress.share, tr(progress.text))

    # -- what is shown -----------------------------------------------------------

    @property
    def is_current(self) -> bool:
        """Whether causes and plans belong to what the file says now, what is to be done aside."""
        return self.answer is not None and self._session.same_findings(
            self._answer_text, self.answer
        )

    def refresh(self) -> None:
        """Show what was found, greyed when it is older than the last change."""
        session = self._session
        self.search.setEnabled(session.assessment is not None and session.is_current)
        answer = self.answer
        if answer is None or answer.causes is None:
            self.state.setText(tr("Changes of the installation are tried when you ask for it."))
            self.causes.show_cards((), False)
            self.tried.setText("")
            self._list_plans(())
            return
        old = not self.is_current
        text = causes_sentence(answer)
        self.state.setText(
            tr("{text} (older than the last change)").format(text=text) if old else text
        )
        self.causes.show_cards(
            tuple(self._card(number, one) for number, one in enumerate(answer.causes)), old
        )
        if answer.plans is None:
            running = not self.progress.isHidden()
            self.tried.setText(
                tr("Plans are still looked for.")
                if running
                else tr("The search was stopped before plans were found. The causes are whole.")
            )
            self._list_plans(())
            return
        self.tried.setText(" ".join(search_sentences(answer.plans, answer)))
        self._list_plans(answer.plans.plans)

    def _card(self, number: int, cause: CauseRecord) -> Card:
        assert self.answer is not None
        units, present = self._session.units, self._session.assessment
        return Card(
            key=str(number),
            heading=f"{number + 1}  {cause_heading(cause)}",
            tone=cause.severity if cause.severity != "note" else "quiet",
            text="\n".join(
                (
                    cause_cure(cause, self.answer.kinds, units),
                    *(() if present is None else cause_work(cause, present)),
                )
            ),
            small="\n".join(cause_lines(cause, units)),
            deed=tr("Decide about this cause: have it done, or accept it"),
        )

    def _list_plans(self, plans: tuple[PlanRecord, ...]) -> None:
        wanted = [plan_heading(number, plan) for number, plan in enumerate(plans, start=1)]
        shown = [self.plan.itemText(number) for number in range(self.plan.count())]
        if wanted != shown:
            self.plan.clear()
            self.plan.addItems(wanted)
        self.plan.setVisible(bool(plans))
        for widget in (self.apply, self.try_it, self.tried_change):
            widget.setVisible(bool(plans))
            widget.setEnabled(self.is_current)
        self._show_plan()

    def _chosen(self) -> PlanRecord | None:
        if self.answer is None or self.answer.plans is None:
            return None
        plans: tuple[PlanRecord, ...] = self.answer.plans.plans
        place = self.plan.currentIndex()
        return plans[place] if 0 <= place < len(plans) else None

    def _show_plan(self) -> None:
        plan = self._chosen()
        self.table.setVisible(plan is not None)
        self._list_changes(plan)
        if plan is None or self.answer is None:
            self.steps.setText("")
            self.table.show_rows((), ())
            return
        units = self._session.units
        lines = [
            f"{step}. {change_sentence(change, self.answer.kinds, units)}"
            for step, change in enumerate(plan.changes, start=1)
        ]
        left = unwritten_sentences(unwritten(plan.changes), self.answer.kinds, units)
        told = [*plan_sentences(plan), *([" ".join(left)] if left else [])]
        self.steps.setText("\n".join([*lines, *told]))
        rows = before_and_after(self.answer, plan)
        self.table.show_rows(rows, [None] * len(rows))

    def _list_changes(self, plan: PlanRecord | None) -> None:
        """All of the plan, or one of its changes."""
        count = 0 if plan is None else len(plan.changes)
        wanted = [tr("the whole plan")] if count else []
        if count > 1:
            wanted += [tr("change {n} alone").format(n=step + 1) for step in range(count)]
        box = self.tried_change
        if [box.itemText(number) for number in range(box.count())] != wanted:
            box.clear()
            box.addItems(wanted)

    def _try(self) -> None:
        plan, place = self._chosen(), self.tried_change.currentIndex()
        if plan is None or not self.is_current:
            self.message.emit(tr("The plan is older than the last change: search again."))
            return
        self.try_asked.emit(plan, place - 1 if place > 0 else None)

    def _cause_chosen(self, key: str) -> None:
        if self.answer is not None and self.answer.causes is not None:
            cause = self.answer.causes[int(key)]
            self.part_asked.emit(cause.findings[0].part)

    def _act(self, key: str) -> None:
        """Make an action about a cause, if the person says so in the form."""
        from airrisk.window.facts.decisions import ask_for_decision

        if self.answer is None or self.answer.causes is None or not self.is_current:
            self.message.emit(tr("The causes are older than the last change: search again."))
            return
        cause = self.answer.causes[int(key)]
        words = cause_deed(cause, self.answer.kinds, self._session.units)
        told = ask_for_decision(self._session, self, cause.findings[0], words)
        if told:
            self.message.emit(told)

    def _apply(self) -> None:
        plan = self._chosen()
        if plan is None or not self.is_current:
            self.message.emit(tr("The plan is older than the last change: search again."))
            return
        assert self.answer is not None
        told = apply_changes(
            self._edits, tr("apply a cure plan"), plan.changes, self.answer, self._session.units
        )
        if told:
            self.message.emit(told)
