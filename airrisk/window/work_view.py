"""The working view: the answer in a line above, findings left, plan and answers, facts right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from airrisk.window.answer_line import AnswerLine
from airrisk.window.answers_panel import AnswersPanel
from airrisk.window.facts.panel import FactsPanel
from airrisk.window.plan.panel import PlanPanel
from airrisk.window.strip import Strip
from airrisk.window.theme import scaled, text_size

if TYPE_CHECKING:
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

STRIP, FACTS = 250, 310  # px, width of the side columns at the usual size of text
MIDDLE = 434  # px, least width of the column between them


class WorkView(QWidget):
    """Strip, plan, answers and facts side by side."""

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line = AnswerLine(session)
        self.strip = Strip(session)
        self.plan = PlanPanel(session, edits)
        self.answers = AnswersPanel(session)
        self.facts = FactsPanel(session)
        self.middle = QSplitter(Qt.Orientation.Vertical)
        self.middle.setChildrenCollapsible(False)
        self.middle.addWidget(self.plan)
        self.middle.addWidget(self.answers)
        self.middle.setStretchFactor(0, 1)
        self.middle.setStretchFactor(1, 1)
        self.middle.setSizes([400, 330])
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self.split.setChildrenCollapsible(False)
        self.split.addWidget(self.strip)
        self.split.addWidget(self.middle)
        self.split.addWidget(self.facts)
        self.split.setSizes([STRIP, 640, FACTS])
        for number, stretch in enumerate((0, 1, 0)):
            self.split.setStretchFactor(number, stretch)
        self.strip.setMinimumWidth(200)
        self.facts.setMinimumWidth(300)
        self.middle.setMinimumWidth(MIDDLE)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.line)
        layout.addWidget(self.split, 1)
        self.strip.section_chosen.connect(self.plan.choose_section)
        self.plan.view.several.connect(self.facts.show_several)
        self._by_hand = False  # whether a person has divided the width
        self.split.splitterMoved.connect(self._divided_by_hand)
        self.arranged = False  # sizes were restored or given once

    def divide_for_text(self) -> None:
        """Columns in the width that the present size of text wants, as far as there is room."""
        self._by_hand = False
        room = self.split.width()
        aside = max(room - scaled(MIDDLE + 6), 500)
        strip = min(scaled(STRIP), round(0.45 * aside))
        facts = min(scaled(FACTS), aside - strip)
        self.split.setSizes([strip, room - strip - facts, facts])

    def _divided_by_hand(self) -> None:
        self._by_hand = True

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if text_size() != 100 and not self._by_hand:
            self.divide_for_text()

    def keyboard_begin(self) -> QWidget:
        """The plan: its arrow keys choose parts."""
        return self.plan.view

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self.arranged:
            self.arranged = True
            height = self.height()
            self.middle.setSizes([round(height * 0.53), round(height * 0.47)])
