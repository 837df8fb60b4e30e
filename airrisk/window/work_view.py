"""The working view: sections and findings left, plan and answers in the middle, facts right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from airrisk.window.answers_panel import AnswersPanel
from airrisk.window.facts.panel import FactsPanel
from airrisk.window.plan.panel import PlanPanel
from airrisk.window.strip import Strip

if TYPE_CHECKING:
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session


class WorkView(QWidget):
    """Strip, plan, answers and facts side by side."""

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
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
        self.split.setSizes([250, 640, 310])
        for number, stretch in enumerate((0, 1, 0)):
            self.split.setStretchFactor(number, stretch)
        self.strip.setMinimumWidth(200)
        self.facts.setMinimumWidth(300)
        self.middle.setMinimumWidth(434)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.split)
        self.strip.section_chosen.connect(self.plan.choose_section)
        self.arranged = False  # sizes were restored or given once

    def keyboard_begin(self) -> QWidget:
        """The plan: its arrow keys choose parts."""
        return self.plan.view

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self.arranged:
            self.arranged = True
            height = self.height()
            self.middle.setSizes([round(height * 0.53), round(height * 0.47)])
