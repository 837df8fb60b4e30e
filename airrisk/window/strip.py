"""The left strip: sections with a sentence each, and the findings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QActionGroup
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QSplitter,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.study.overview import section_rows
from airrisk.window.cards import Card, CardList
from airrisk.window.tones import verdict_tone
from airrisk.wording import labels
from airrisk.wording.acceptances import decision_sentences
from airrisk.wording.finding_order import ACTION, CAUSE, SEVERITY, WAYS, Known, ordered
from airrisk.wording.findings import (
    finding_cure,
    finding_place,
    finding_source,
    finding_text,
    finding_title,
)
from airrisk.wording.sentences import (
    fire_title,
    ruling_fire,
    section_sentence,
    section_verdict,
    uncredited_plugs,
    why_without_fire,
)
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import Assessment, Finding
    from airrisk.window.session import Session


def section_cards(assessment: Assessment, session: Session) -> tuple[Card, ...]:
    """One card a shut-in section: its worst verdict with the fire it is of, then the sentence."""
    cards = []
    doubted = uncredited_plugs(assessment)
    known = {(one.id, one.closed_valves): one for one in assessment.shut_in}
    places = [(row.section, row.closed_valves) for row in section_rows(assessment)]
    for section in [known[place] for place in places if place in known]:
        verdict = section_verdict(assessment, section.id)
        fire = ruling_fire(assessment, section.id)
        told = (verdict.why, verdict.margin, verdict.cautious, verdict.basis)
        cards.append(
            Card(
                key=section.id,
                heading=f"{verdict.shape} {verdict.word}",
                tone=verdict_tone(verdict.safe, verdict.sure, verdict.outcome),
                text=section_sentence(section, session.units, assessment.kinds, doubted),
                small=why_without_fire(assessment, section.members)
                if fire is None
                else tr("{fire}: {verdict}").format(
                    fire=fire_title(fire), verdict="; ".join(piece for piece in told if piece)
                ),
            )
        )
    return tuple(cards)


def finding_card(finding: Finding, number: int, session: Session) -> Card:
    """One finding: shape, severity, part, what is wrong, what cures it."""
    cure = finding_cure(finding, session.units)
    word = labels.severity(finding.severity)
    answer = session.assessment
    told = () if answer is None else decision_sentences(finding, answer)
    return Card(
        key=str(number),
        heading=f"{labels.severity_shape(finding.severity)} {word}: {finding_place(finding)}, "
        f"{finding_title(finding)}",
        tone=finding.severity if finding.severity != "note" and finding.counts else "quiet",
        text=finding_text(finding, session.units),
        small=" ".join(
            (
                *told,
                *([tr("Cure: {cure}").format(cure=cure)] if cure else []),
            )
        ),
        tip=tr("Source: {source}").format(source=finding_source(finding)),
        deed=tr("Decide about this finding: have it done, or accept it"),
    )


class Strip(QWidget):
    """Sections above, findings below."""

    section_chosen = Signal(str)
    finding_chosen = Signal(object)
    decision_asked = Signal(object)  # finding

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._findings: list[Finding] = []
        self.sections = CardList(
            tr("Sections"), tr("No sections yet: add a vessel, or open a file.")
        )
        self.findings = CardList(tr("Findings"), tr("No findings."))
        self.search = QLineEdit()
        self.search.setPlaceholderText(tr("Search findings"))
        self.search.setAccessibleName(tr("Search findings"))
        self.search.setToolTip(
            tr("Words of a finding: a part, a severity, a matter; for example: danger R1")
        )
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self.refresh)
        self._make_order()
        self.findings_title = QLabel()
        self.sections_title = QLabel()
        for title in (self.findings_title, self.sections_title):
            title.setProperty("tone", "title")
            title.setContentsMargins(8, 4, 8, 0)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self._boxed(self.sections_title, self.sections))
        searching = QHBoxLayout()
        searching.setContentsMargins(6, 2, 6, 0)
        searching.addWidget(self.search)
        searching.addWidget(self.order)
        line = QWidget()
        line.setLayout(searching)
        split.addWidget(self._boxed(self.findings_title, line, self.findings))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(split)
        self.sections.chosen.connect(self.section_chosen)
        self.findings.chosen.connect(self._finding_clicked)
        self.findings.acted.connect(self._decide)
        session.answer_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)
        session.document_changed.connect(self.refresh)

    def _make_order(self) -> None:
        """The button that says in which order the findings stand."""
        self.order = QToolButton()
        self.order.setText("⇅")
        self.order.setAccessibleName(tr("Order of the findings"))
        self.order.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self.order)
        self.orders = QActionGroup(self)
        for way, name in WAYS.items():
            action = menu.addAction(tr(name))
            action.setData(way)
            action.setCheckable(True)
            action.setChecked(way == SEVERITY)
            self.orders.addAction(action)
        self.order.setMenu(menu)
        self.orders.triggered.connect(self.refresh)

    @property
    def way(self) -> str:
        """The order that is chosen."""
        chosen = self.orders.checkedAction()
        return SEVERITY if chosen is None else str(chosen.data())

    @staticmethod
    def _boxed(*widgets: QWidget) -> QWidget:
        box = QWidget()
        layout = QVBoxLayout(box)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        for widget in widgets:
            layout.addWidget(widget)
        return box

    def refresh(self) -> None:
        """Show the newest answer, or why there is none."""
        session = self._session
        assessment = session.assessment
        document = session.document
        self.sections_title.setText(tr("Isolable sections"))
        if document is None:
            self.sections.show_cards((), False)
            self.findings.show_cards((), False)
            self.findings_title.setText(tr("Findings"))
            return
        if document.problems:
            self._show_problems()
        elif assessment is None:
            self._show_waiting()
        else:
            self._show_findings(assessment)
        if assessment is None:
            text = (
                tr("Not assessed: the file has errors, see below.")
                if document.problems
                else tr("Not assessed yet.")
            )
            self.sections.show_cards((), False, text)
        else:
            self.sections.show_cards(section_cards(assessment, session), not session.is_current)

    def _show_waiting(self) -> None:
        self._findings = []
        failure = self._session.failure
        self.findings_title.setText(tr("Findings"))
        if failure is None:
            self.findings.show_cards((), False, tr("Not assessed yet."))
        else:
            card = Card(
                "failure",
                tr("? calculation failed"),
                "danger",
                failure.message,
                tr("Nothing is shown as safe. Change a value or report the details."),
                failure.details,
            )
            self.findings.show_cards((card,), False)

    def _show_problems(self) -> None:
        """Errors of the file, in the place of findings: nothing can be assessed before."""
        document = self._session.document
        assert document is not None
        self._findings = []
        self.findings_title.setText(tr("Errors in the file: {n}").format(n=len(document.problems)))
        cards = []
        for number, problem in enumerate(document.problems):
            place = " ".join(p for p in (tr(problem.part), problem.field) if p)
            line = "" if problem.line is None else tr("line {n}").format(n=problem.line)
            cards.append(
                Card(
                    f"problem {number}",
                    "✖ " + (place or tr("file")),
                    "danger",
                    tr(problem.message),
                    "; ".join(
                        p
                        for p in (
                            tr("valid: {valid}").format(valid=tr(problem.valid))
                            if problem.valid
                            else "",
                            line,
                        )
                        if p
                    ),
                )
            )
        self.findings.show_cards(tuple(cards), False)

    def _show_findings(self, assessment: Assessment) -> None:
        session = self._session
        wanted = self.search.text().casefold().split()
        cards = []
        known = Known.of(assessment, session.cures)
        self._findings = ordered(assessment.findings, self.way, known)
        self.order.setToolTip(tr("Order: {order}").format(order=tr(WAYS[self.way])))
        for number, finding in enumerate(self._findings):
            card = finding_card(finding, number, session)
            filed = " ".join((*known.words(finding, CAUSE), *known.words(finding, ACTION)))
            text = f"{card.heading} {card.text} {card.small} {finding.rule} {filed}".casefold()
            if all(word in text for word in wanted):
                cards.append(card)
        found = len(cards)
        for number, failed in enumerate(assessment.failures):
            cards.insert(
                0,
                Card(
                    f"failed {number}",
                    tr("? {part}: not assessed").format(part=failed.part or tr(failed.step)),
                    "danger",
                    tr(failed.message),
                ),
            )
        everything = len(assessment.findings)
        self.findings_title.setText(
            tr("Findings: {n} of {all}").format(n=found, all=everything)
            if wanted
            else tr("Findings: {n}").format(n=everything)
        )
        empty = tr("Nothing found for this search.") if wanted else ""
        self.findings.show_cards(tuple(cards), not session.is_current, empty)

    def _finding_clicked(self, key: str) -> None:
        document = self._session.document
        if key.startswith("problem ") and document is not None:
            self.finding_chosen.emit(document.problems[int(key.removeprefix("problem "))])
        elif key.isdigit():
            self.finding_chosen.emit(self._findings[int(key)])

    def _decide(self, key: str) -> None:
        if key.isdigit():
            self.decision_asked.emit(self._findings[int(key)])
