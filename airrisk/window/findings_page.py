"""All findings in a table: sorted and filtered by severity, part, rule, cause and action."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from airrisk.study.records import SEVERITIES
from airrisk.window.tables import TableFilter, TextTable
from airrisk.wording import labels
from airrisk.wording.finding_order import (
    ACTION,
    CAUSE,
    NAMES,
    PART,
    RULE,
    SEVERITY,
    Known,
    filed_under,
    ordered,
)
from airrisk.wording.findings import finding_text
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import Finding
    from airrisk.window.session import Session

EVERY = ""  # no choice is made
TONES = {"danger": "danger", "warning": "warning", "note": ""}


class FindingsPage(QWidget):
    """The table with a choice for each column; a second click on a row opens its source."""

    part_chosen = Signal(object)
    source_asked = Signal(object)  # finding

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._findings: tuple[Finding, ...] = ()
        self._known = Known()
        self._chosen: Finding | None = None
        self.title = QLabel()
        self.title.setProperty("tone", "title")
        self.table = TextTable(
            tr("Findings"),
            (
                tr("Severity"),
                tr("Part"),
                tr("Rule"),
                tr("What is found"),
                tr("Cause"),
                tr("Action"),
            ),
            3,
        )
        self.filter = TableFilter(self.table)
        self.choices: dict[str, QComboBox] = {}
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        for way in (SEVERITY, PART, RULE, CAUSE, ACTION):
            box = QComboBox()
            box.setAccessibleName(tr("Show: {what}").format(what=tr(NAMES[way])))
            box.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            box.setMinimumContentsLength(9)
            box.activated.connect(self._show)
            self.choices[way] = box
            head.addWidget(box)
        head.addWidget(self.filter)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 4)
        layout.addLayout(head)
        layout.addWidget(self.table, 1)
        self.table.row_chosen.connect(self._row_chosen)
        self.table.rows_changed.connect(self._tell_count)

    def refresh(self) -> None:
        """Show the findings of the newest answer."""
        assessment = self._session.assessment
        self._findings = () if assessment is None else assessment.findings
        self._known = (
            Known() if assessment is None else Known.of(assessment, self._session.cures)
        )  # fmt: skip
        for way, box in self.choices.items():
            self._offer(way, box)
        self._show()

    def _offer(self, way: str, box: QComboBox) -> None:
        """The words of a column, keeping the one that is chosen."""
        every = tr("{what}: all").format(what=tr(NAMES[way]))
        wanted = [(every, EVERY)]
        wanted += [(word, word) for word in filed_under(self._findings, way, self._known)]
        if [(box.itemText(n), box.itemData(n)) for n in range(box.count())] == wanted:
            return
        chosen = box.currentData()
        box.clear()
        for text, word in wanted:
            box.addItem(text, word)
        box.setCurrentIndex(max(box.findData(chosen), 0))

    def _show(self) -> None:
        wanted = {way: box.currentData() for way, box in self.choices.items()}
        units, known = self._session.units, self._known
        rows, keys, tones, order = [], [], [], []
        for one in ordered(self._findings, SEVERITY, known):
            if any(word and word not in known.words(one, way) for way, word in wanted.items()):
                continue
            cause = known.cause(one)
            severity = f"{labels.severity_shape(one.severity)} {labels.severity(one.severity)}"
            rows.append(
                (
                    severity,
                    known.words(one, PART)[0],
                    known.words(one, RULE)[0],
                    finding_text(one, units),
                    "–" if cause is None else str(cause),
                    ", ".join(known.about(one)) or "–",
                )
            )
            keys.append(one)
            tones.append(TONES[one.severity] if one.counts else "quiet")
            order.append((SEVERITIES.index(one.severity), None, None, None, cause, None))
        self.table.show_rows(rows, keys, tones, toned=(0,), order=order)

    def _tell_count(self) -> None:
        shown = self.table.counts[0]
        if self._session.assessment is None:
            self.title.setText(tr("Findings: not assessed"))
            return
        old = "" if self._session.is_current else tr(" (older than the last change)")
        everything = len(self._findings)
        text = tr("Findings: {n} of {all}") if shown < everything else tr("Findings: {n}")
        self.title.setText(text.format(n=shown, all=everything) + old)

    def _row_chosen(self, finding: Finding) -> None:
        """The first click chooses the part, a second one on the same row opens the source."""
        again = finding == self._chosen
        self._chosen = finding
        if again:
            self.source_asked.emit(finding)
        else:
            self.part_chosen.emit(finding.part or None)
