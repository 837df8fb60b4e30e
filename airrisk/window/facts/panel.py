"""The right side: what is chosen, its fields, its numbers, its findings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import QLabel, QSizePolicy, QTabWidget, QTextBrowser, QVBoxLayout, QWidget

from airrisk.editing.edits import kind_of
from airrisk.installation.naming import in_order
from airrisk.window.cards import Card, CardList
from airrisk.window.facts.finding_source import finding_source_html
from airrisk.window.facts.form import FactsForm
from airrisk.window.facts.inspections import InspectionsPage
from airrisk.window.facts.numbers import Numbers
from airrisk.window.strip import finding_card
from airrisk.window.theme import text_size
from airrisk.wording import labels
from airrisk.wording.findings import worst_first
from airrisk.wording.sentences import protection_sentence
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import Finding
    from airrisk.window.session import Session


NO_TEXT = "\u00a0"  # takes the height of one line


class FactsPanel(QWidget):
    """Fields, numbers and findings of the chosen part."""

    source_asked = Signal(object)
    decision_asked = Signal(object)  # finding

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._sourced: Finding | None = None  # whose source is shown
        self.title = QLabel()
        self.title.setProperty("tone", "title")
        self.title.setContentsMargins(10, 6, 10, 0)
        self.title.setWordWrap(True)
        self.summary = QLabel()
        self.summary.setProperty("tone", "quiet")
        self.summary.setContentsMargins(10, 0, 10, 2)
        self.summary.setWordWrap(True)
        self.several = QLabel()
        self.several.setProperty("tone", "warning")
        self.several.setContentsMargins(10, 0, 10, 2)
        self.several.setWordWrap(True)
        self.several.hide()
        for label in (self.title, self.several, self.summary):
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.MinimumExpanding)
        self.form = FactsForm(session)
        self.form.setAccessibleName(tr("Fields"))
        self.numbers = Numbers(session)
        self.findings = CardList(tr("Findings of this part"), tr("No findings about this part."))
        self.source = QTextBrowser()
        self.source.setAccessibleName(tr("Source of the finding"))
        self.source.setMaximumHeight(220)
        self.source.hide()
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.findings, 1)
        column.addWidget(self.source)
        self.findings_page = page
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.tabBar().setAccessibleName(tr("Pages about what is chosen"))
        self.tabs.addTab(self.form, tr("Fields"))
        self.tabs.addTab(self.numbers, tr("Numbers"))
        self.tabs.addTab(self.findings_page, tr("Findings"))
        self.inspections = InspectionsPage(session)
        self.tabs.addTab(self.inspections, tr("Upkeep"))
        self.tabs.setTabToolTip(3, tr("Inspections: what was seen and done, newest first"))
        self.tabs.setUsesScrollButtons(text_size() > 100)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.title)
        layout.addWidget(self.several)
        layout.addWidget(self.summary)
        layout.addWidget(self.tabs, 1)
        self.findings.chosen.connect(self._finding_clicked)
        self.findings.acted.connect(self._decide)
        session.chosen_changed.connect(self._other_part)
        session.document_changed.connect(self.refresh)
        session.answer_changed.connect(self.refresh)
        session.units_changed.connect(self._other_units)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.tabs.setUsesScrollButtons(text_size() > 100)

    def _other_part(self) -> None:
        self.source.hide()
        self.refresh()

    def _other_units(self) -> None:
        self.refresh()
        if self._sourced is not None and not self.source.isHidden():
            self.show_source(self._sourced)

    def show_several(self, names: Sequence[str]) -> None:
        """Say that one of several parts is shown, where several are chosen in the drawing."""
        shown = self._session.chosen
        told = len(names) > 1 and shown in names
        if told:
            self.several.setText(
                tr(
                    "{part} is shown, one of {n} that are chosen. What is typed here changes "
                    "{part} only."
                ).format(part=shown, n=len(names))
            )
            self.several.setToolTip(", ".join(in_order(names)))
        self.several.setVisible(told)

    def show_source(self, finding: Finding) -> None:
        """Show where a finding's rule comes from and the numbers it used."""
        self._sourced = finding
        self.source.setHtml(finding_source_html(finding, self._session.units))
        self.source.show()

    def refresh(self) -> None:
        """Name what is chosen and list its findings."""
        session = self._session
        name = session.chosen
        record = session.record()
        if name is None:
            self.title.setText(tr("The installation"))
        elif record is None:
            self.title.setText(name)
        else:
            self.title.setText(f"{labels.sentence(labels.part_kind(kind_of(record)))} {name}")
        assessment = session.assessment
        told = assessment is not None and name is not None and name in assessment.protection
        if assessment is not None and name is not None and told:
            self.summary.setMinimumHeight(0)
            self.summary.setText(protection_sentence(assessment, name))
        else:
            # the room stays while the answer is on its way: the fields below must not jump
            self.summary.setMinimumHeight(self.summary.height() if self.summary.isVisible() else 0)
            self.summary.setText(NO_TEXT)
        self.summary.setVisible(told or (name is not None and name == session.chosen_holder))
        cards: tuple[Card, ...] = ()
        if assessment is not None and name is not None:
            mine = [f for f in worst_first(assessment.findings) if f.part == name]
            cards = tuple(finding_card(f, i, session) for i, f in enumerate(mine))
        self.findings.show_cards(cards, not session.is_current)
        self.tabs.setTabText(
            2, tr("Findings ({n})").format(n=len(cards)) if cards else tr("Findings")
        )

        self.inspections.refresh()
        seen = self.inspections.count
        self.tabs.setTabText(3, tr("Upkeep ({n})").format(n=seen) if seen else tr("Upkeep"))

    def _mine(self, key: str) -> Finding | None:
        """The finding about what is chosen that a card shows."""
        assessment = self._session.assessment
        if assessment is None or not key.isdigit():
            return None
        mine = [f for f in worst_first(assessment.findings) if f.part == self._session.chosen]
        return mine[int(key)] if int(key) < len(mine) else None

    def _finding_clicked(self, key: str) -> None:
        finding = self._mine(key)
        if finding is not None:
            self.source_asked.emit(finding)

    def _decide(self, key: str) -> None:
        finding = self._mine(key)
        if finding is not None:
            self.decision_asked.emit(finding)
