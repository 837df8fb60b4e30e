"""What somebody decides about a finding: to do something about it, or that it may stay."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QInputDialog,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.actions import Mistakes, with_acceptance, with_done, with_work
from airrisk.study.actions import facts_of
from airrisk.study.open_work import proposed_day
from airrisk.study.records import Finding
from airrisk.wording import labels
from airrisk.wording.acceptances import decision_sentences
from airrisk.wording.findings import finding_cure, finding_place, finding_text, finding_title
from airrisk.wording.translation import date_text, tr

if TYPE_CHECKING:
    from airrisk.window.session import Session

DO, ACCEPT = "do", "accept"


def findings_to_decide(session: Session) -> tuple[Finding, ...]:
    """The findings of exactly the text that stands in the document; empty: none is known."""
    if session.assessment is None or not session.is_current:
        return ()
    return tuple(session.assessment.findings)


def same_finding(one: Finding, other: Finding) -> bool:
    """Whether two answers of one text mean the same finding, with the same numbers."""
    return one is other or (facts_of(one), str(one.values)) == (
        facts_of(other), str(other.values)
    )  # fmt: skip


class DecisionDialog(QDialog):
    """A finding, what is decided, who answers for it and until when; one undoable step."""

    def __init__(
        self,
        session: Session,
        findings: tuple[Finding, ...],
        parent: QWidget | None = None,
        *,
        about: Finding | None = None,
        words: str = "",
    ) -> None:
        """``about`` is the finding to begin with, ``words`` what is to be done about it."""
        super().__init__(parent)
        self._session = session
        self._findings = findings
        self._begun = about, words
        self.setWindowTitle(tr("Decide about a finding"))
        self.setMinimumWidth(520)
        self.finding = QComboBox()
        self.finding.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        for one in findings:
            shape, word = labels.severity_shape(one.severity), labels.severity(one.severity)
            self.finding.addItem(f"{shape} {word}: {finding_place(one)}, {finding_title(one)}")
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "quiet")
        self.decision = QComboBox()
        self.decision.addItem(tr("something is to be done"), DO)
        document = session.document
        if document is None or not document.review_only:  # accepting is not a reviewer's to do
            self.decision.addItem(tr("it may stay as it is"), ACCEPT)
        self.text, self.who = QLineEdit(), QLineEdit()
        self.day = QLineEdit()
        self.day.setPlaceholderText(tr("year-month-day"))
        self.text_label, self.who_label, self.day_label = QLabel(), QLabel(), QLabel()
        self.known = QLabel()  # what is decided about it already
        self.known.setWordWrap(True)
        self.words = QLabel(tr("These words are a proposal of the program."))
        self.words.setProperty("tone", "quiet")
        self.text.textEdited.connect(self.words.hide)
        self.proposal = QPushButton()
        self.proposal.clicked.connect(self._take_proposal)
        self.error = QLabel()
        self.error.setProperty("tone", "danger")
        self.error.setWordWrap(True)
        self.error.hide()
        form = QFormLayout()
        for label, field in (
            (QLabel(tr("&Finding")), self.finding), (QLabel(tr("&Decision")), self.decision),
            (self.text_label, self.text), (self.who_label, self.who), (self.day_label, self.day),
        ):  # fmt: skip
            label.setBuddy(field)
            form.addRow(label, field)
            if field is self.text:
                form.addRow("", self.words)
        form.addRow("", self.proposal)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.accepted.connect(self.save)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(self.told)
        layout.addWidget(self.known)
        layout.addLayout(form)
        layout.addWidget(self.error)
        layout.addWidget(self.buttons)
        self.finding.currentIndexChanged.connect(self._show_finding)
        self.decision.currentIndexChanged.connect(self._show_decision)
        self._choose_first()
        self._show_finding()
        self._show_decision()
        self.text.setFocus()

    def _choose_first(self) -> None:
        """The finding that was asked for, or the first about what is chosen in the window."""
        about = self._begun[0]
        chosen = (self._session.chosen or "").casefold()
        for index, one in enumerate(self._findings):
            here = chosen and one.part.casefold() == chosen
            if same_finding(one, about) if about is not None else here:
                self.finding.setCurrentIndex(index)
                return

    @property
    def chosen(self) -> Finding:
        """The finding that is decided about."""
        return self._findings[self.finding.currentIndex()]

    def _show_finding(self) -> None:
        self.told.setText(finding_text(self.chosen, self._session.units))
        answer = self._session.assessment
        known = () if answer is None else decision_sentences(self.chosen, answer)
        self.known.setText(" ".join(known))
        self.known.setVisible(bool(known))
        severity = self.chosen.severity
        self.proposal.setText(
            tr("Take the &proposal for this severity, {severity}: {day}").format(
                severity=labels.severity(severity), day=date_text(self._proposed())
            )
        )
        self.proposal.setToolTip(
            tr("A usual time, by judgement. It does not say that waiting so long is safe.")
        )
        if not self.text.isModified() and self.decision.currentData() == DO:
            self.text.setText(self._words())

    def _words(self) -> str:
        """What is to be done, as a proposal."""
        about, words = self._begun
        if words and about is not None and same_finding(self.chosen, about):
            return words
        return finding_cure(self.chosen, self._session.units)

    def _proposed(self) -> dt.date:
        answer = self._session.assessment
        today = dt.date.today()
        return proposed_day(
            self.chosen.severity, today if answer is None else max(today, answer.on)
        )

    def _take_proposal(self) -> None:
        self.day.setText(self._proposed().isoformat())
        self.day.setFocus()

    def _show_decision(self) -> None:
        accepts = self.decision.currentData() == ACCEPT
        self.text_label.setText(tr("&Why it may stay") if accepts else tr("&What is to be done"))
        self.who_label.setText(tr("&Accepted by") if accepts else tr("W&ho sees to it"))
        self.day_label.setText(tr("&Lapses on") if accepts else tr("D&ue on"))
        self.words.setVisible(not accepts and not self.text.isModified())
        self.proposal.setVisible(not accepts)  # how long something may stay nobody can propose
        if accepts and not self.text.isModified():
            self.text.clear()
        for label, field in (
            (self.text_label, self.text), (self.who_label, self.who), (self.day_label, self.day),
        ):  # fmt: skip
            field.setAccessibleName(label.text().replace("&", ""))

    def save(self) -> None:
        """Put the action into the document, or say what is wrong with it."""
        document = self._session.document
        if document is None:
            return
        about = facts_of(self.chosen)
        words = self.text.text().strip(), self.who.text().strip(), self.day.text().strip()
        make = with_acceptance if self.decision.currentData() == ACCEPT else with_work
        text, name, mistakes = make(document.system_text, about, *words)
        if mistakes or not self._put(tr("action {id}").format(id=name), text.text):
            self._tell(mistakes)
            return
        self.accept()

    def _put(self, label: str, text: str) -> bool:
        document = self._session.document
        return document is not None and document.replace(label, text)

    def _tell(self, mistakes: Mistakes) -> None:
        told = [tr(text) for text in mistakes.values()]
        self.error.setText("\n".join(told) or tr("This file may not be changed."))
        self.error.show()


def ask_for_decision(
    session: Session, parent: QWidget, about: Finding | None = None, words: str = ""
) -> str:
    """Open the form, about one finding or any; what stands in its way, empty: nothing."""
    document = session.document
    if document is None:
        return tr("Open or start a file first.")
    if document.read_only:
        return tr("This file is open for viewing only.")
    findings = findings_to_decide(session)
    if not findings:
        return tr("There is no finding of this text yet: wait for the answer.")
    if about is not None and not any(same_finding(one, about) for one in findings):
        return tr("This finding is older than the last change: wait for the answer.")
    dialog = DecisionDialog(session, findings, parent, about=about, words=words)
    dialog.exec()
    dialog.deleteLater()
    return ""


def ask_for_done(session: Session, name: str, parent: QWidget) -> str:
    """Ask what shows that an action is done, and note it for today; what stands in its way."""
    document = session.document
    if document is None or document.read_only:
        return tr("This file may not be changed.")
    evidence, sure = QInputDialog.getText(
        parent,
        tr("Action {id} is done").format(id=name),
        tr("What shows it, for example a job sheet:"),
    )
    if not sure:
        return ""
    text, _name, mistakes = with_done(document.system_text, name, dt.date.today(), evidence.strip())
    if mistakes:
        return "; ".join(tr(one) for one in mistakes.values())
    if not document.replace(tr("action {id} is done").format(id=name), text.text):
        return tr("This file may not be changed.")
    return ""
