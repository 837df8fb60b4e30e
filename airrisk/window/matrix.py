"""The verdicts as a plain table: a row for each section, a column for each class of fires."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from airrisk.installation.model import FIRE_CLASSES
from airrisk.window.theme import colours
from airrisk.window.tones import verdict_tone
from airrisk.wording.matrix import Cell, Row, away_head, class_heads, matrix_rows
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import Assessment, FireRecord, VerdictRecord

SECTION_SHARE = 0.2  # of the width
ROWS = 3  # that are always in sight
OVER = 2  # px above and below a text
CHOOSING = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class VerdictMatrix(QTableWidget):
    """Word, shape, margin and sureness of each verdict; a click or the return key chooses one."""

    verdict_chosen = Signal(object)  # VerdictRecord

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(0, 2 + len(FIRE_CLASSES), parent)
        self._verdicts: dict[tuple[int, int], VerdictRecord] = {}
        self._shown: tuple[tuple[Row, ...], tuple[str, ...], bool] | None = None
        self.setAccessibleName(tr("Verdicts: sections against classes of fires"))
        self.setHorizontalHeaderLabels([tr("Isolable section"), *class_heads(), away_head()])
        self.verticalHeader().setVisible(False)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        # heads that are longer in another language go on below
        header.setDefaultAlignment(Qt.AlignmentFlag(int(left) | int(Qt.TextFlag.TextWordWrap)))
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setWordWrap(True)
        self.setTabKeyNavigation(False)
        self.setFrameShape(QTableWidget.Shape.NoFrame)
        self.cellClicked.connect(self._choose)

    # -- room --------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._divide()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._divide()

    def _divide(self) -> None:
        room = self.viewport().width()
        first = round(SECTION_SHARE * room)
        others = self.columnCount() - 1
        each = (room - first) // others
        self.setColumnWidth(0, room - each * others)
        for column in range(1, self.columnCount()):
            self.setColumnWidth(column, each)
        self._fit_heads(each)
        self.resizeRowsToContents()
        for row in range(self.rowCount()):
            self.setRowHeight(row, self.rowHeight(row) + 2 * OVER)

    def _fit_heads(self, width: int) -> None:
        """Heads as high as their words need in columns of this width."""
        header = self.horizontalHeader()
        column = QRect(0, 0, max(width - 2 * OVER, 1), 1000)
        wrap = int(Qt.TextFlag.TextWordWrap)
        texts = (self.horizontalHeaderItem(n) for n in range(self.columnCount()))
        heights = [
            header.fontMetrics().boundingRect(column, wrap, item.text()).height()
            for item in texts
            if item is not None
        ]
        header.setFixedHeight(max(heights, default=0) + 2 * OVER)

    def height_of(self, rows: int) -> int:
        """Pixels for the heads and so many rows, or as many as there are."""
        shown = min(rows, self.rowCount())
        return self.horizontalHeader().height() + 2 + sum(map(self.rowHeight, range(shown)))

    # -- what is shown -----------------------------------------------------------

    def show_verdicts(self, assessment: Assessment | None, old: bool) -> None:
        """Show the matrix of this answer, greyed when it is older than the last change."""
        rows = () if assessment is None else matrix_rows(assessment)
        verdicts = () if assessment is None else assessment.verdicts
        found = {(v.section, v.closed_valves, v.fire_class): v for v in verdicts}
        tones = tuple(
            "quiet"
            if old or (verdict := found.get((row.section, row.closed_valves, name))) is None
            else verdict_tone(verdict.safe, verdict.sure, verdict.outcome)
            for row in rows
            for name in FIRE_CLASSES
        )
        self._verdicts = {
            (number, column): found[key]
            for number, row in enumerate(rows)
            for column, name in enumerate(FIRE_CLASSES, start=1)
            if (key := (row.section, row.closed_valves, name)) in found
        }
        wanted = (rows, (*tones, str(colours().dark)), old)
        if wanted == self._shown:
            return
        self._shown = wanted
        self.setRowCount(len(rows))
        for number, row in enumerate(rows):
            self.setItem(number, 0, self._item(row.short, row.title, "quiet" if old else "text"))
            for column, (cell, head) in enumerate(zip(row.cells, class_heads(), strict=True)):
                tone = tones[number * len(FIRE_CLASSES) + column]
                said = f"{row.title}; {head}: {cell.text}"
                self.setItem(number, column + 1, self._cell(cell, said, tone))
            away = self._item(row.away, f"{row.title}; {away_head()}: {row.away}", "quiet")
            away.setBackground(QColor(colours().raised))  # no verdict: another ground, no shape
            self.setItem(number, 1 + len(FIRE_CLASSES), away)
        self._divide()

    @staticmethod
    def _item(text: str, said: str, tone: str) -> QTableWidgetItem:
        item = QTableWidgetItem(text)
        item.setToolTip(said)
        item.setData(Qt.ItemDataRole.AccessibleTextRole, said)
        item.setForeground(QColor(getattr(colours(), tone)))
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        return item

    def _cell(self, cell: Cell, said: str, tone: str) -> QTableWidgetItem:
        text = f"{cell.heading}\n{cell.below}" if cell.below else cell.heading
        item = self._item(text, said, tone)
        item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
        return item

    def mark(self, fire: FireRecord | None) -> None:
        """Mark the verdict that the shown fire is counted in."""
        place = None
        if fire is not None:
            key = (fire.section, fire.closed_valves, fire.fire_class)
            place = next(
                (
                    at
                    for at, v in self._verdicts.items()
                    if (v.section, v.closed_valves, v.fire_class) == key
                ),
                None,
            )
        if place is None:
            self.clearSelection()
        elif (self.currentRow(), self.currentColumn()) != place or not self.selectedItems():
            self.setCurrentCell(*place)

    def _choose(self, row: int, column: int) -> None:
        verdict = self._verdicts.get((row, column))
        if verdict is not None and verdict.fire is not None:
            self.verdict_chosen.emit(verdict)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in CHOOSING:
            self._choose(self.currentRow(), self.currentColumn())
            event.accept()
        else:
            super().keyPressEvent(event)
