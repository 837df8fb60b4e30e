"""The open file beside an older one: causes, verdicts and values that have changed."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QProgressBar,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing import Document
from airrisk.installation.problems import SystemFileErrors
from airrisk.messages import told_of
from airrisk.window.calculations import Memory
from airrisk.window.dispatcher import Failed, Progress, Result
from airrisk.window.tables import TextTable
from airrisk.wording import labels
from airrisk.wording.comparing import other_question, status_text, verdict_rows
from airrisk.wording.cure_plans import cause_heading
from airrisk.wording.findings import finding_place, finding_text
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.model import Installation
    from airrisk.report.compare_causes import CauseChange, Version
    from airrisk.study.records import Assessment
    from airrisk.window.dispatcher import Report
    from airrisk.window.session import Session

LANE = "comparison"
TONES = {"new": "warning", "worse": "danger", "no longer accepted": "warning",
         "not assessed": "danger"}  # fmt: skip


@dataclass(frozen=True)
class CompareVersions:
    """The older file assessed on the day of the present answer, and the causes of both."""

    older: Document
    answer: Assessment
    installation: Installation
    text: str
    memory: Memory = field(default_factory=Memory)

    def __call__(self, report: Report) -> Any:
        """Run it in the worker."""
        from airrisk.study.assessment import Watcher, assess
        from airrisk.study.cures import with_cures

        watcher = Watcher(report.progress, report.should_stop)
        old, cache = self.older.installation, self.memory.steps()
        assert old is not None
        source = self.older.text.encode("utf-8")
        before = assess(old, self.answer.on, source=source, watcher=watcher, cache=cache)
        before = with_cures(before, old, source, cache=cache, plans=False, watcher=watcher)
        after = with_cures(
            self.answer, self.installation, self.text, cache=cache, plans=False, watcher=watcher
        )
        return (before, old), (after, self.installation)


class ComparisonDialog(QDialog):
    """Progress while both are assessed, then what has changed on three pages."""

    def __init__(self, session: Session, older: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setWindowTitle(tr("What has changed"))
        self.setMinimumSize(760, 460)
        self.state = QLabel(tr("Both files are assessed on the same day."))
        self.state.setWordWrap(True)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName(tr("Progress of the comparison"))
        self.causes = TextTable(
            tr("Causes"), (tr("What became of it"), tr("Cause"), tr("Findings that changed")), 2
        )
        self.verdicts = TextTable(
            tr("Verdicts"), (tr("Part"), tr("Fire"), tr("Before"), tr("After"), ""), 3
        )
        self.values = TextTable(
            tr("Values of the files"), (tr("Where"), tr("What"), tr("Before"), tr("After")), 3
        )
        self.pages = QTabWidget()
        for page, title in (
            (self.causes, tr("Causes")), (self.verdicts, tr("Verdicts")),
            (self.values, tr("Values")),
        ):  # fmt: skip
            self.pages.addTab(page, title)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        for widget in (self.state, self.progress, self.pages, buttons):
            layout.addWidget(widget)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)
        session.dispatcher.progressed.connect(self._progressed)
        self._ask(older)

    def _ask(self, older: Document) -> None:
        session = self._session
        document, answer = session.document, session.assessment
        assert document is not None
        assert document.installation is not None
        assert answer is not None
        session.dispatcher.request(
            LANE,
            document.revision + 1,
            CompareVersions(older, answer, document.installation, document.text, session.memory),
            urgency=7,
        )

    def done(self, result: int) -> None:
        """Nothing is calculated for a form that is closed."""
        self._session.dispatcher.cancel(LANE)
        super().done(result)

    def _progressed(self, progress: object) -> None:
        if isinstance(progress, Progress) and progress.lane == LANE:
            self.progress.setValue(round(100 * progress.share))

    def _failed(self, failure: object) -> None:
        if isinstance(failure, Failed) and failure.lane == LANE:
            self.progress.hide()
            self.state.setText(tr("Not compared: {reason}").format(reason=failure.message))

    def _arrived(self, result: object) -> None:
        if isinstance(result, Result) and result.lane == LANE and not result.part:
            self.progress.hide()
            self.show_versions(*result.value)

    def show_versions(self, before: Version, after: Version) -> None:
        """Show what has changed between two versions."""
        from airrisk.report.compare import input_changes
        from airrisk.report.compare_causes import compare_causes

        units = self._session.units
        causes = compare_causes(before, after, lambda one: finding_text(one, units))
        values = input_changes(before[1], after[1], units.name)
        rows = verdict_rows(before[0], after[0])
        moved = [one for one in causes if one.status != "same"]
        self.causes.show_rows(
            [
                (status_text(one.status), cause_heading(one.cause), self._findings(one))
                for one in causes
            ],
            [None] * len(causes),
            [TONES.get(one.status, "") for one in causes],
            toned=(0,),
        )
        self.verdicts.show_rows(rows, [None] * len(rows))
        self.values.show_rows(
            [(one.where, one.what, one.before or "–", one.after or "–") for one in values],
            [None] * len(values),
        )
        told = (
            tr(
                "Causes that have changed: {causes}. Verdicts: {verdicts}. Values: {values}."
            ).format(
                causes=len(moved), verdicts=sum(1 for row in rows if row[-1]), values=len(values)
            )
            if moved or values or any(row[-1] for row in rows)
            else self._nothing(before, after)
        )
        asked = other_question(before[1], after[1])
        self.state.setText(f"{asked} {told}" if asked else told)
        self.causes.setFocus()

    @staticmethod
    def _nothing(before: Version, after: Version) -> str:
        if before[0].inputs_sha256 == after[0].inputs_sha256:
            return tr("Nothing has changed.")
        return tr("Nothing has changed but comments or the way of writing.")

    def _findings(self, cause: CauseChange) -> str:
        units, lines = self._session.units, []
        for one in cause.findings:
            finding = one.after or one.before
            if one.status != "same" and finding is not None:
                lines.append(
                    tr("{status}: {shape} {part}: {text}").format(
                        status=status_text(one.status),
                        shape=labels.severity_shape(finding.severity),
                        part=finding_place(finding),
                        text=finding_text(finding, units),
                    )
                )
        return "\n".join(lines)


def ask_and_compare(session: Session, parent: QWidget) -> str:
    """Ask for an older file and show what has changed since; what stands in the way."""
    if session.document is None or session.document.installation is None:
        return tr("Open a file without mistakes first.")
    if session.assessment is None or not session.is_current:
        return tr("Wait until the answer belongs to the last change.")
    name, _filter = QFileDialog.getOpenFileName(
        parent, tr("Compare with an older file"), "", tr("System files (*.toml);;All files (*)")
    )
    if not name:
        return ""
    try:
        older = Document.open(Path(name))
    except OSError as error:
        return tr("Cannot be read: {reason}").format(reason=error.strerror or error)
    except SystemFileErrors as error:
        return tr(told_of(error))
    if older.installation is None:
        return tr("The other file has mistakes: open it to see them.")
    dialog = ComparisonDialog(session, older, parent)
    dialog.exec()
    dialog.deleteLater()
    return ""
