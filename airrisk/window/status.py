"""The bottom line: age of the answer, progress and cancel, count of findings, unit set."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from airrisk.kernel import compiled
from airrisk.window.work_progress import WorkProgress
from airrisk.wording import labels
from airrisk.wording.acceptances import finding_counts
from airrisk.wording.sentences import unsafe_in_short
from airrisk.wording.translation import date_text, tr

if TYPE_CHECKING:
    from airrisk.window.dispatcher import Progress
    from airrisk.window.session import Session


class StatusLine(QWidget):
    """What a person must always see about the answer."""

    findings_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.age = QLabel()
        self.message = QLabel()
        self.message.setProperty("tone", "quiet")
        self.message.setTextFormat(Qt.TextFormat.PlainText)  # a name may look like markup
        self.message.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.unkept = QLabel(tr("Edits are not kept for recovery"))
        self.unkept.setProperty("tone", "warning")
        self.progress = WorkProgress(tr("Progress of the calculation"))
        self._working = False
        self.cancel = QPushButton(tr("Cancel"))
        self.cancel.setToolTip(tr("Stop the calculation; the last answer stays, greyed"))
        self.cancel.clicked.connect(session.cancel)
        self.findings = QPushButton()
        self.findings.setFlat(True)
        self.findings.setToolTip(tr("Go to the findings"))
        self.findings.clicked.connect(self.findings_asked)
        self.units = QComboBox()
        self.units.setAccessibleName(tr("Unit set"))
        self.units.addItem(tr("metric"), "metric")
        self.units.addItem(tr("US customary"), "US customary")
        self.units.activated.connect(self._units_chosen)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(8, 2, 8, 2)
        layout.setSpacing(10)
        layout.addWidget(self.age)
        layout.addWidget(self.progress)
        layout.addWidget(self.cancel)
        layout.addWidget(self.unkept)
        layout.addWidget(self.message, 1)
        layout.addWidget(self.findings)
        layout.addWidget(self.units)
        self._clock = QTimer(self)
        self._clock.setInterval(10_000)
        self._clock.timeout.connect(self.refresh)
        self._clock.start()
        self._fade = QTimer(self)
        self._fade.setSingleShot(True)
        self._fade.setInterval(8000)
        self._fade.timeout.connect(self.message.clear)
        self._refused = False  # the message says why something was not done
        self._show_progress(None)
        session.answer_changed.connect(self.refresh)
        session.document_changed.connect(self.refresh)
        session.document_changed.connect(self._forget_refusal)
        session.progress_changed.connect(self._show_progress)
        session.units_changed.connect(self._units_told)
        self.refresh()

    def refuse(self, text: str) -> None:
        """Say why nothing was done, until something is."""
        self.say(text)
        self._refused = True

    def _forget_refusal(self) -> None:
        if self._refused:
            self._refused = False
            self.message.clear()

    def say(self, text: str) -> None:
        """Show a short message for a while."""
        self._refused = False
        self.message.setText(text)
        self.message.setToolTip(text)
        self._fade.start()

    def refresh(self) -> None:
        """Say how old the answer is and how many findings it has."""
        session = self._session
        document = session.document
        lacking = "" if document is None else document.journal_error
        self.unkept.setVisible(bool(lacking))
        self.unkept.setToolTip(tr("Save soon: {reason}").format(reason=lacking))
        if document is None:
            self.age.setText("")
            self.findings.hide()
            return
        if document.problems:
            self.age.setText(tr("Not assessed: errors in the file"))
        elif session.failure is not None:
            self.age.setText(tr("Not assessed: the calculation failed"))
        elif session.is_current:
            self.age.setText(self._up_to_date())
        elif compiled.is_preparing():
            self.age.setText(tr("Preparing the fire calculation, once, a minute or two"))
        elif session.assessment is not None:
            self.age.setText(tr("Assessment older than the last change"))
        else:
            self.age.setText(tr("Not assessed yet"))
        self._count()

    def _up_to_date(self) -> str:
        """That the answer is to the present values, and for which day where the file says one."""
        told = tr("Assessment up to date{age}").format(age=self._age_text())
        installation = self._session.installation
        day = None if installation is None else installation.choices.audit_date
        if day is None:
            return told
        return tr("{told}; assessed as on {date}").format(told=told, date=date_text(day))

    def _age_text(self) -> str:
        at = self._session.answered_at
        if at is None:
            return ""
        minutes = (time.monotonic() - at) / 60
        if minutes < 1:
            return ""
        return tr(", {n} min old").format(n=int(minutes))

    def _count(self) -> None:
        session = self._session
        assessment = session.assessment
        document = session.document
        if document is not None and document.problems:
            self.findings.setText(tr("Errors in the file: {n}").format(n=len(document.problems)))
        elif assessment is None or not assessment.parts:
            self.findings.hide()
            return
        else:
            told = (unsafe_in_short(assessment), *finding_counts(assessment.findings, shaped=True))
            self.findings.setText("   ".join(filter(None, told)))
        self.findings.show()

    def _show_progress(self, progress: Progress | None) -> None:
        shown = progress is not None
        if not shown:
            self._working = False
        self.progress.setVisible(shown)
        self.cancel.setVisible(shown)
        if progress is not None:
            if not self._working:
                self.progress.begin()
            self._working = True
            self.progress.tell(progress.share)
            self.progress.setToolTip(labels.step_text(progress.text))
            self.refresh()

    def _units_chosen(self, index: int) -> None:
        self._session.set_unit_set(self.units.itemData(index))

    def _units_told(self) -> None:
        self.units.setCurrentIndex(self.units.findData(self._session.units.name))
