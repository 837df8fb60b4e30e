"""The answer in one line above the working view: sections not safe, the worst, how far to keep."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from airrisk.study.overview import overview
from airrisk.window.tones import set_tone, verdict_tone
from airrisk.wording import labels
from airrisk.wording.overview import overview_sentences
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import Assessment
    from airrisk.window.session import Session


class AnswerLine(QWidget):
    """Shape and words of the whole answer; greyed while it is older than the last change."""

    cure_asked = Signal()
    try_asked = Signal()  # the cheapest proven cure

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.sign = QLabel()
        self.title = QLabel()
        self.title.setWordWrap(True)
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.title.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        font = self.title.font()
        font.setBold(True)
        self.title.setFont(font)
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.text.setAccessibleName(tr("The answer in short"))
        layout = QHBoxLayout(self)
        layout.setContentsMargins(8, 4, 8, 4)
        layout.addWidget(self.sign)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self.title)
        words.addWidget(self.text)
        layout.addLayout(words, 1)
        self.cure = QPushButton(tr("Find a cure"))
        self.cure.setToolTip(tr("Search causes, and changes that make the installation safe"))
        self.cure.clicked.connect(self.cure_asked)
        layout.addWidget(self.cure)
        self.try_cure = QPushButton(tr("Try the cure"))
        self.try_cure.setToolTip(
            tr("Show in Explore what the cheapest proven cure does, before and after")
        )
        self.try_cure.clicked.connect(self.try_asked)
        layout.addWidget(self.try_cure)
        session.answer_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)
        session.document_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the newest answer; nothing where there is none."""
        assessment = self._session.assessment
        document = self._session.document
        if assessment is None or document is None or document.problems:
            self.hide()
            return
        cured = self._session.cures
        if cured is not None:
            assessment = replace(assessment, plans=cured.plans)
        unsafe = overview(assessment).worst is not None
        self.cure.setVisible(unsafe and cured is None and self._session.is_current)
        self.try_cure.setVisible(cured is not None and bool(cured.plans and cured.plans.plans))
        title, *rest = overview_sentences(assessment, self._session.units)
        text = " ".join(rest)
        shape, tone = _sign(assessment)
        if not self._session.is_current:
            title = tr("{text} (older than the last change)").format(text=title)
            tone = "quiet"
        self.sign.setText(shape)
        self.text.setText(text)
        self.text.setToolTip(text)
        set_tone(self.sign, tone)
        set_tone(self.title, tone)
        set_tone(self.text, "quiet" if tone == "quiet" else "plain")
        self.title.setText(title)
        self.text.setVisible(bool(text))
        self.show()


def _sign(assessment: Assessment) -> tuple[str, str]:
    """Shape and tone of the worst verdict; never those of "safe" while one is not known."""
    seen = overview(assessment)
    worst = seen.worst
    if worst is not None:
        shape = labels.answer_shape(worst.outcome, worst.safe)
        return shape, verdict_tone(worst.safe, worst.sure, worst.outcome)
    asked = [one for row in seen.rows for one in row.asked]
    if not asked or any(not row.asked for row in seen.rows) or assessment.failures:
        return labels.outcome_shape(None), "quiet"
    ruling = next((one for one in asked if not one.sure), asked[0])
    shape = labels.answer_shape(ruling.outcome, ruling.safe)
    return shape, verdict_tone(ruling.safe, ruling.sure, ruling.outcome)
