"""The auditor's round: every stop in flow order, and the upkeep register."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing import StaleAnswer
from airrisk.messages import told_of
from airrisk.report.action_tables import action_cells, action_heads, causes_of_actions
from airrisk.study.action_register import LATE, actions_calendar, actions_csv
from airrisk.study.records import SEVERITIES
from airrisk.window.exports import NotSaved, ask_where, write_export
from airrisk.window.findings_page import FindingsPage
from airrisk.window.tables import TableFilter, TextTable
from airrisk.wording import labels
from airrisk.wording.acceptances import counting
from airrisk.wording.action_deeds import action_deed, english_deed
from airrisk.wording.translation import date_text, tr
from airrisk.wording.walk import file_says, question

if TYPE_CHECKING:
    from airrisk.study.action_register import ActionRow
    from airrisk.study.records import Assessment, UpkeepRow, WalkStop
    from airrisk.window.session import Session

EVERYBODY = ""  # owner of no action
STATUS_SHAPES = {
    "in date": "●", "due soon": "▲", "overdue": "◆", "no date": "◆", "no credit": "◆",
}  # fmt: skip
STATUS_TONES = {
    "in date": "", "due soon": "warning", "overdue": "danger", "no date": "danger",
    "no credit": "danger",
}  # fmt: skip


def worst_by_part(assessment: Assessment) -> dict[str, str]:
    """The worst severity of the findings about each part."""
    worst: dict[str, str] = {}
    for finding in counting(assessment.findings):
        known = worst.get(finding.part)
        if known is None or labels.severity_rank(finding.severity) < labels.severity_rank(known):
            worst[finding.part] = finding.severity
    return worst


def _days_of(row: ActionRow) -> tuple[object, ...]:
    """What the columns of an action are sorted by: its days as days."""
    due, done = (one or dt.date.max for one in (row.due, row.done))
    return (None, None, None, None, None, None, due, done, None)


class RoundView(QWidget):
    """Walk sheet above, register below; a row leads to its part."""

    message = Signal(str)
    part_asked = Signal(object)
    source_asked = Signal(object)  # finding

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.walk = TextTable(
            tr("Inspection round in flow order"),
            (tr("No."), tr("Place"), tr("What"), tr("On"), tr("Question"), tr("Findings")),
            4,
        )
        self.register = TextTable(
            tr("Upkeep register"),
            (
                tr("Device"), tr("On"), tr("Fitted"), tr("Last renewal"), tr("Renew every"),
                tr("Due"), tr("Status"), tr("Condition"), tr("Last inspection"),
            ),
            7,
        )  # fmt: skip
        self.walk_title = self._title()
        self.register_title = self._title()
        self.walk_csv = self._button(tr("Walk sheet as CSV…"))
        self.walk_csv.clicked.connect(self._save_walk)
        self.read_sheet = self._button(tr("Read a filled sheet…"))
        self.read_sheet.clicked.connect(self._read_sheet)
        self.register_csv = self._button(tr("Register as CSV…"))
        self.register_csv.clicked.connect(self._save_register)
        self.add_inspection = self._button(tr("Add an inspection…"))
        self.add_inspection.clicked.connect(self._add_inspection)
        self.calendar = self._button(tr("Due dates as calendar…"))
        self.calendar.clicked.connect(self._save_calendar)
        self.decided = TextTable(tr("Actions"), tuple(action_heads()), 4)
        self.owner = QComboBox()
        self.owner.setAccessibleName(tr("Whose actions"))
        self.owner.setToolTip(tr("Show, and save, the actions of one person or department"))
        self.owner.addItem(tr("everybody's"), EVERYBODY)
        self.owner.activated.connect(self.refresh)
        self.actions_title = self._title()
        self.decide = self._button(tr("Decide about a finding…"))
        self.decide.clicked.connect(self._decide)
        self.done = self._button(tr("Note as done…"))
        self.done.clicked.connect(self._note_done)
        self.actions_csv = self._button(tr("Actions as CSV…"))
        self.actions_csv.clicked.connect(self._save_actions)
        self.actions_calendar = self._button(tr("Due dates as calendar…"))
        self.actions_calendar.clicked.connect(self._save_action_calendar)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        self.walk_filter = TableFilter(self.walk)
        self.register_filter = TableFilter(self.register)
        self.actions_filter = TableFilter(self.decided)
        split.addWidget(
            self._boxed(
                self.walk_title,
                (self.walk_filter, self.walk_filter.shown, self.walk_csv, self.read_sheet),
                self.walk,
            )
        )
        self.registers = QTabWidget()
        self.registers.addTab(
            self._boxed(
                self.register_title,
                (
                    self.register_filter,
                    self.register_filter.shown,
                    self.add_inspection,
                    self.register_csv,
                    self.calendar,
                ),
                self.register,
            ),
            tr("Upkeep register"),
        )
        acting = (self.actions_filter, self.actions_filter.shown, self.owner, self.decide,
                  self.done, self.actions_csv, self.actions_calendar)  # fmt: skip
        box = self._boxed(self.actions_title, acting, self.decided)
        self.registers.addTab(box, tr("Actions"))
        self.findings = FindingsPage(session)
        self.registers.addTab(self.findings, tr("Findings"))
        split.addWidget(self.registers)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 2)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addWidget(split)
        self.walk.row_chosen.connect(self.part_asked)
        self.register.row_chosen.connect(self.part_asked)
        self.findings.part_chosen.connect(session.choose)
        self.findings.source_asked.connect(self.source_asked)
        session.answer_changed.connect(self.refresh)

    def keyboard_begin(self) -> QWidget:
        """The stops of the round."""
        return self.walk

    @staticmethod
    def _title() -> QLabel:
        label = QLabel()
        label.setProperty("tone", "title")
        return label

    @staticmethod
    def _button(text: str) -> QPushButton:
        return QPushButton(text)

    @staticmethod
    def _boxed(title: QLabel, buttons: tuple[QWidget, ...], table: QWidget) -> QWidget:
        box = QWidget()
        head = QHBoxLayout()
        head.addWidget(title, 1)
        for button in buttons:
            head.addWidget(button)
        layout = QVBoxLayout(box)
        layout.setContentsMargins(0, 0, 0, 4)
        layout.addLayout(head)
        layout.addWidget(table, 1)
        return box

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Show the newest answer, when the view is seen."""
        if not self.isVisible():
            return
        assessment = self._session.assessment
        old = "" if self._session.is_current else tr(" (older than the last change)")
        self.findings.refresh()
        if assessment is None:
            self.walk_title.setText(tr("Inspection round: not assessed"))
            self.register_title.setText(tr("Upkeep: not assessed"))
            self.walk.show_rows((), ())
            self.register.show_rows((), ())
            self.actions_title.setText(tr("Actions: not assessed"))
            self.decided.show_rows((), ())
            return
        self.walk_title.setText(
            tr("Inspection round in flow order: {n} stops").format(n=len(assessment.walk)) + old
        )
        self._show_walk(assessment)
        due = sum(1 for row in assessment.upkeep if row.status in ("overdue", "no date"))
        soon = sum(1 for row in assessment.upkeep if row.status == "due soon")
        self.register_title.setText(
            tr("Upkeep on {day}: {due} overdue, {soon} due soon").format(
                day=date_text(assessment.on), due=due, soon=soon
            )
            + old
        )
        self._show_register(assessment.upkeep)
        self._show_actions(assessment, old)

    def _show_walk(self, assessment: Assessment) -> None:
        worst = worst_by_part(assessment)
        rows, keys, tones, order = [], [], [], []
        for stop in assessment.walk:
            severity = worst.get(stop.place)
            count = sum(1 for f in assessment.findings if f.part == stop.place)
            mark = "" if severity is None else f"{labels.severity_shape(severity)} {count}"
            what = f"{tr(stop.what)}: {tr(stop.kind)}" if stop.kind != stop.what else tr(stop.kind)
            rows.append(
                (str(stop.number), stop.place, what, stop.on, question(stop.question_key), mark)
            )
            keys.append(stop.place)
            tones.append("" if severity in (None, "note") else str(severity))
            rank = len(SEVERITIES) if severity is None else labels.severity_rank(severity)
            order.append((None, None, None, None, None, (rank, -count)))
        self.walk.show_rows(rows, keys, tones, toned=(5,), order=order)

    def _show_register(self, upkeep: tuple[UpkeepRow, ...]) -> None:
        rows, keys, tones, order = [], [], [], []
        for row in upkeep:
            rows.append(
                (
                    row.device,
                    row.on,
                    date_text(row.fitted) if row.fitted else tr("no date"),
                    date_text(row.last_renewed) if row.last_renewed else tr("none"),
                    tr("{n} months").format(n=row.renew_every_months),
                    date_text(row.due) if row.due else "",
                    " ".join(
                        (
                            STATUS_SHAPES[row.status],
                            labels.upkeep_status(row.status, row.uncredited),
                        )
                    ),
                    tr(row.condition),
                    date_text(row.last_inspection) if row.last_inspection else tr("none"),
                )
            )
            keys.append(row.device)
            tones.append(STATUS_TONES[row.status])
            days = (row.fitted, row.last_renewed, row.due, row.last_inspection)
            fitted, renewed, due, seen = (one or dt.date.max for one in days)
            status = list(STATUS_SHAPES).index(row.status)
            order.append(
                (None, None, fitted, renewed, row.renew_every_months, due, status, None, seen)
            )
        self.register.show_rows(rows, keys, tones, toned=(6,), order=order)

    def _show_actions(self, assessment: Assessment, old: str) -> None:
        self._list_owners(assessment)
        rows = self._mine(assessment)
        late = sum(1 for row in rows if row.status in LATE)
        self.actions_title.setText(
            tr("Actions on {day}: {n}, {late} overdue or lapsed").format(
                day=date_text(assessment.on), n=len(rows), late=late
            )
            + old
        )
        tones = ["warning" if row.status in LATE else "" for row in rows]
        cures = self._session.cures
        causes = {} if cures is None else causes_of_actions(cures)
        self.decided.show_rows(
            [
                tuple(action_cells(row, assessment, self._session.units, causes.get(row.id, ())))
                for row in rows
            ],
            [row.id for row in rows],
            tones,
            toned=(1,),
            order=[_days_of(row) for row in rows],
        )

    def _list_owners(self, assessment: Assessment) -> None:
        """Everybody who has to see to something, and keep the one that is chosen."""
        wanted = [
            EVERYBODY,
            *sorted({one.owner for one in assessment.action_register if one.owner}),
        ]
        if [self.owner.itemData(number) for number in range(self.owner.count())] == wanted:
            return
        chosen = self.owner.currentData()
        self.owner.clear()
        for name in wanted:
            self.owner.addItem(name or tr("everybody's"), name)
        self.owner.setCurrentIndex(max(self.owner.findData(chosen), 0))

    def _mine(self, assessment: Assessment) -> tuple[ActionRow, ...]:
        """The actions of whoever is chosen."""
        owner = self.owner.currentData()
        return tuple(one for one in assessment.action_register if owner in (EVERYBODY, one.owner))

    def _decide(self) -> None:
        from airrisk.window.facts.decisions import ask_for_decision

        self.message.emit(ask_for_decision(self._session, self))

    def _note_done(self) -> None:
        from airrisk.window.facts.decisions import ask_for_done

        name = self.decided.current_key()
        if name is None:
            self.message.emit(tr("Choose an action in the list first."))
            return
        self.message.emit(ask_for_done(self._session, str(name), self))

    def _save_actions(self) -> None:
        answer = self._answer()
        if answer is not None:
            units = self._session.units
            text = actions_csv(self._mine(answer), lambda row: english_deed(row, answer, units))
            self._write(tr("Save the actions"), "actions.csv", "CSV (*.csv)", text.encode("utf-8"))

    def _save_action_calendar(self) -> None:
        answer = self._answer()
        if answer is not None:
            data = actions_calendar(
                self._mine(answer),
                answer.title,
                dt.datetime.now(dt.UTC),
                lambda row: tr("{id}: {text}").format(
                    id=row.id, text=action_deed(row, answer, self._session.units)
                ),
            )
            self._write(tr("Save the due dates"), "actions.ics", "iCalendar (*.ics)", data)

    def _add_inspection(self) -> None:
        from airrisk.window.facts.inspections import ask_for_inspection

        ask_for_inspection(self._session, self._session.chosen or "", None, self)

    # -- saving ------------------------------------------------------------------

    def _answer(self) -> Assessment | None:
        """The answer of exactly this revision, or None with a message."""
        if self._session.document is None:
            return None
        try:
            return self._session.answer_for_export()
        except StaleAnswer as error:
            self.message.emit(tr(told_of(error)))
            return None

    def _write(self, title: str, name: str, kinds: str, data: bytes) -> None:
        path = ask_where(self, title, name, kinds)
        if path is None:
            return
        try:
            self.message.emit(write_export(path, data))
        except NotSaved as error:
            self.message.emit(tr("Not saved: {reason}").format(reason=error))

    def _save_walk(self) -> None:
        answer = self._answer()
        if answer is not None:
            from airrisk.study.upkeep import walk_csv

            text = walk_csv(answer.walk, question, self._file_says)
            self._write(tr("Save the walk sheet"), "walk.csv", "CSV (*.csv)", text.encode("utf-8"))

    def _file_says(self, stop: WalkStop) -> str:
        installation = self._session.installation
        return "" if installation is None else file_says(installation, stop, self._session.units)

    def _read_sheet(self) -> None:
        from airrisk.window.filled_sheet import ask_and_take_over

        ask_and_take_over(self._session, self, self.message.emit)

    def _save_register(self) -> None:
        answer = self._answer()
        if answer is not None:
            from airrisk.study.upkeep import register_csv

            text = register_csv(answer.upkeep)
            self._write(tr("Save the register"), "upkeep.csv", "CSV (*.csv)", text.encode("utf-8"))

    def _save_calendar(self) -> None:
        answer = self._answer()
        if answer is not None:
            from airrisk.study.upkeep import register_calendar, renewal_summary

            data = register_calendar(
                answer.upkeep,
                answer.title,
                dt.datetime.now(dt.UTC),
                lambda row: tr(renewal_summary(row)),
            )
            self._write(tr("Save the due dates"), "upkeep.ics", "iCalendar (*.ics)", data)
