"""The Paper view: values still assumed, a preview of the report, and saving it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, QUrl, Signal
from PySide6.QtGui import QShowEvent, QTextDocument, QTextOption
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing import StaleAnswer
from airrisk.messages import told_of
from airrisk.window import calculations
from airrisk.window.dispatcher import Failed, Result
from airrisk.window.exports import ask_where
from airrisk.window.paper.saving import SaveReport
from airrisk.window.tables import TextTable
from airrisk.wording import labels
from airrisk.wording.origin import input_tables, origin_text
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from collections.abc import Mapping

    from airrisk.window.session import Session
    from airrisk.wording.figures import Figure

LANE = "paper"
SAVE_LANE = "paper saving"
MARGIN = 18  # pixels around the text
FIGURE_WIDTH = 620  # pixels; figures are not drawn wider
KINDS = ("short", "pdf", "html", "csv", "xlsx", "json")  # what can be saved
ENDINGS = {"short": "pdf"}  # of the others: their own name


class _Pages(QTextDocument):
    """The report set as text; a figure is painted when it is first seen."""

    def __init__(self, figures: Mapping[int, Figure], parent: QObject) -> None:
        super().__init__(parent)
        self._figures = {f"figure:{key}": figure for key, figure in figures.items()}
        self.setDocumentMargin(MARGIN)
        wrap = QTextOption()
        wrap.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        self.setDefaultTextOption(wrap)

    def loadResource(self, kind: int, name: QUrl | str) -> Any:
        from airrisk.window.paper.figure_image import figure_image

        place = QUrl(name)
        figure = self._figures.get(place.toString())
        if figure is None:
            return super().loadResource(kind, name)
        image = figure_image(figure)
        self.addResource(kind, place, image)  # not painted again
        return image


class PaperView(QWidget):
    """Assumed values left, preview right."""

    message = Signal(str)
    field_asked = Signal(object)  # (part or "", field)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._shown: tuple[Any, ...] = ()
        self._titles: list[str] = []
        self.title = QLabel()
        self.title.setProperty("tone", "title")
        # one column for both: a long name would leave no room for what the value is
        self.assumed = TextTable(tr("Values not typed"), (tr("Field"), tr("Counts as")), 1)
        self.assumed_title = QLabel()
        self.assumed_title.setProperty("tone", "title")
        self.assumed_title.setWordWrap(True)
        self.assumed_title.setContentsMargins(0, 0, 12, 0)
        self.preview = QTextBrowser()
        self.preview.setAccessibleName(tr("Preview of the report"))
        self.preview.setOpenLinks(False)
        self.chapter = QComboBox()
        self.chapter.setAccessibleName(tr("Chapter"))
        self.chapter.setMinimumContentsLength(16)
        self.chapter.activated.connect(self._go_to_chapter)
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.chapter)
        self.buttons: dict[str, QPushButton] = {}
        for kind in KINDS:
            button = QPushButton(
                tr("Short PDF…") if kind == "short" else tr("{kind}…").format(kind=kind.upper())
            )
            button.setToolTip(
                tr("Save the short report: a page to decide on, who does what, drawing and card "
                   "for the fire service")
                if kind == "short"
                else tr("Save the report as {kind}").format(kind=kind.upper())
            )  # fmt: skip
            button.setProperty("kind", kind)
            button.clicked.connect(self._ask_and_save)
            self.buttons[kind] = button
            head.addWidget(button)
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.assumed_title)
        column.addWidget(self.assumed, 1)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.addWidget(left)
        split.addWidget(self.preview)
        split.setSizes([320, 860])
        split.setStretchFactor(1, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addLayout(head)
        layout.addWidget(split, 1)
        self.assumed.row_chosen.connect(self.field_asked)
        session.document_replaced.connect(self._start_again)
        session.answer_changed.connect(self.refresh)
        session.units_changed.connect(self.refresh)
        session.dispatcher.arrived.connect(self._arrived)
        session.dispatcher.failed.connect(self._failed)
        self._made: tuple[Any, Any] | None = None  # the newest report and its figures
        self._document: _Pages | None = None  # what they are laid out in
        self._laid_out_for = 0
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(120)
        self._later.timeout.connect(self._lay_out)
        self.preview.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.preview.viewport().installEventFilter(self)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Ask for the report of the present answer, when the view is seen."""
        if not self.isVisible():
            return
        session = self._session
        document = session.document
        self._fill_assumed()
        for button in self.buttons.values():
            button.setEnabled(session.is_current)
        if document is None or session.assessment is None or session.installation is None:
            self.title.setText(tr("Report: not assessed"))
            self.chapter.clear()
            self.preview.clear()
            if document is not None and document.problems:
                self.preview.setPlainText(
                    tr("No report: the file has mistakes, which Layout and System file list.")
                )
            self._made = None
            self._shown = ()
            return
        if not session.is_current:
            self.title.setText(tr("Report (older than the last change)"))
            return
        wanted = (*session.moment, session.units.name)
        if wanted == self._shown:
            return
        self._shown = wanted
        self.title.setText(tr("Report: being made"))
        session.dispatcher.request(
            LANE,
            document.revision,
            calculations.Paper(session.assessment, session.installation, session.units.name),
        )

    def _start_again(self) -> None:
        """Nothing of another file stays to be read."""
        self._made, self._shown = None, ()
        self.chapter.clear()
        self.preview.clear()

    def _fill_assumed(self) -> None:
        """List every value that nobody typed: defaults, and what the program offered."""
        session = self._session
        installation = session.installation or session.drawn
        rows: list[tuple[str, str]] = []
        keys: list[object] = []
        if installation is not None:
            for table in input_tables(installation, session.units):
                for row in table.rows:
                    if row.origin in ("default", "offered"):
                        name = table.id or labels.part_kind(table.kind)
                        mark = f" ({origin_text(row.origin)})" if row.origin == "offered" else ""
                        rows.append((f"{name}: {row.label}", row.value + mark))
                        keys.append((table.id, row.field))
        self.assumed_title.setText(
            ""
            if installation is None
            else tr("One value was not typed and counts as shown")
            if len(rows) == 1
            else tr("{n} values were not typed and count as shown").format(n=len(rows))
        )
        self.assumed.show_rows(rows, keys)

    def _arrived(self, result: Result) -> None:
        if result.lane == SAVE_LANE:
            self.message.emit(result.value)
            return
        if result.lane != LANE or result.part:
            return
        self._made = result.value
        self._lay_out()
        report, _figures = self._made
        self.title.setText(report.title)
        self.chapter.clear()
        for place, section in enumerate(report.sections):
            self.chapter.addItem(report.heading(place), section.key)

    def _widest(self) -> int:
        """Pixels that a figure may take in the preview."""
        return self.preview.viewport().width() - 2 * MARGIN - 6

    def _lay_out(self) -> None:
        """Set the report to the width of the preview: nothing has to be scrolled sideways."""
        from airrisk.window.paper.preview import report_rich_text

        if self._made is None:
            return
        report, figures = self._made
        self._laid_out_for = self._widest()
        seen = self.preview.verticalScrollBar()
        share = seen.value() / max(seen.maximum(), 1)
        before, document = self._document, _Pages(figures, self.preview)
        document.setHtml(report_rich_text(report, figures, self._laid_out_for))
        self.preview.setDocument(document)
        if before is not None:
            before.deleteLater()  # with its images; only a document of its own goes by itself
        self._document = document
        seen.setValue(round(share * seen.maximum()))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and self._made is not None:
            narrow = min(self._widest(), self._laid_out_for) < FIGURE_WIDTH
            if narrow and self._widest() != self._laid_out_for:
                self._later.start()
        return False

    def _failed(self, failure: Failed) -> None:
        if failure.lane == LANE:
            self.title.setText(tr("Report: not made"))
            self.preview.setPlainText(f"{tr(failure.message)}\n\n{failure.details}")
        elif failure.lane == SAVE_LANE:
            self.message.emit(tr("Not saved: {reason}").format(reason=failure.message))

    def _go_to_chapter(self) -> None:
        self.preview.scrollToAnchor(str(self.chapter.currentData()))

    def _ask_and_save(self) -> None:
        kind = str(self.sender().property("kind"))
        document = self._session.document
        stem = document.path.stem if document is not None and document.path else "report"
        ending = ENDINGS.get(kind, kind)
        path = ask_where(
            self,
            tr("Save the report"),
            f"{stem}-short.pdf" if kind == "short" else f"{stem}.{ending}",
            tr("{kind} (*.{ending})").format(kind=ending.upper(), ending=ending),
        )
        if path is not None:
            self.save(path, kind)

    def save(self, path: Path, kind: str) -> None:
        """Save the report of exactly this revision; the worker makes it."""
        session = self._session
        document = session.document
        if document is None or document.installation is None:
            return
        try:
            answer = session.answer_for_export()
        except StaleAnswer as error:
            self.message.emit(tr(told_of(error)))
            return
        session.dispatcher.request(
            SAVE_LANE,
            document.revision,
            SaveReport(answer, document.installation, session.units.name, path, kind),
        )
