"""A plain read-only table that wraps its texts, sorts, copies and can be exported."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from airrisk.window.theme import colours

LEAST_SHARE = 0.45  # of the room, which the wide column gets if its texts need it


class TextTable(QTableWidget):
    """Rows of texts; each row has a key that is told when the row is chosen."""

    row_chosen = Signal(object)

    def __init__(
        self, name: str, columns: Sequence[str], wide: int, parent: QWidget | None = None
    ) -> None:
        super().__init__(0, len(columns), parent)
        self._keys: list[object] = []
        self._wide = wide
        self.setAccessibleName(name)
        self.setHorizontalHeaderLabels(list(columns))
        self.verticalHeader().setVisible(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setWordWrap(True)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)
        self.setFrameShape(QTableWidget.Shape.NoFrame)
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for column in range(len(columns)):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(wide, QHeaderView.ResizeMode.Stretch)
        header.sectionResized.connect(self.resizeRowsToContents, Qt.ConnectionType.QueuedConnection)
        self.cellActivated.connect(self._activated)
        self.cellClicked.connect(self._activated)

    def show_rows(
        self,
        rows: Sequence[Sequence[str]],
        keys: Sequence[object],
        tones: Sequence[str] = (),
        right: Sequence[int] = (),
        toned: Sequence[int] = (),
    ) -> None:
        """Show these rows; ``tones`` colour the ``toned`` columns, whose texts say the same."""
        self._keys = list(keys)
        self.setRowCount(len(rows))
        for number, row in enumerate(rows):
            for column, text in enumerate(row):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                if column in right:
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                if column in toned and tones[number]:
                    item.setForeground(QColor(getattr(colours(), tones[number])))
                self.setItem(number, column, item)
        self._share_room()
        self.resizeRowsToContents()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share_room()

    def _share_room(self) -> None:
        """The longest of the other columns wraps where it would leave the wide one no room."""
        header, room = self.horizontalHeader(), self.viewport().width()
        needs = {
            column: max(self.sizeHintForColumn(column), header.sectionSizeHint(column))
            for column in range(self.columnCount())
        }
        wanted = min(needs.pop(self._wide), round(LEAST_SHARE * room))
        if not needs:
            return
        longest = max(needs, key=lambda column: needs[column])
        left = room - wanted - sum(needs.values()) + needs[longest]
        squeezed = left < needs[longest]
        for column in needs:
            contents = QHeaderView.ResizeMode.ResizeToContents
            wraps = QHeaderView.ResizeMode.Interactive
            mode = wraps if squeezed and column == longest else contents
            if header.sectionResizeMode(column) != mode:
                header.setSectionResizeMode(column, mode)
        if squeezed:
            header.resizeSection(longest, max(left, header.sectionSizeHint(longest)))

    def _activated(self, row: int, _column: int) -> None:
        if 0 <= row < len(self._keys):
            self.row_chosen.emit(self._keys[row])

    def current_key(self) -> object | None:
        """The key of the row that is chosen; None: no row is."""
        row = self.currentRow()
        return self._keys[row] if 0 <= row < len(self._keys) else None

    def as_text(self) -> str:
        """The table with tabs between cells, for the clipboard."""
        heads = [self.horizontalHeaderItem(c) for c in range(self.columnCount())]
        head = ["" if item is None else item.text().replace("\n", " ") for item in heads]
        lines = ["\t".join(head)]
        for row in range(self.rowCount()):
            cells = [self.item(row, c) for c in range(self.columnCount())]
            lines.append("\t".join("" if cell is None else cell.text() for cell in cells))
        return "\n".join(lines) + "\n"

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.as_text())
            event.accept()
            return
        super().keyPressEvent(event)
