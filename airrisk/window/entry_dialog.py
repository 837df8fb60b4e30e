"""Many parts entered as a table: typed or pasted, checked as one, added in one step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QColor, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QMessageBox,
    QPlainTextEdit,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from airrisk.editing.entry_table import (
    ENTERED,
    MOST_ROWS,
    CellMistake,
    Entered,
    cells_of,
    columns_of,
    entered,
    head_of,
    heads_in,
    told_cell,
    units_of_heads,
    with_unit,
)
from airrisk.window.theme import colours
from airrisk.wording import labels
from airrisk.wording.translation import ntr, tr

if TYPE_CHECKING:
    from airrisk.window.part_edits import PartEdits
    from airrisk.window.session import Session

FIRST_ROWS = 12
SPARE_ROWS = 3  # below the last one that is filled
LOOK_AFTER = 250  # ms after the last change
MARK = "✖ "


class EntryGrid(QTableWidget):
    """The cells; pasting fills them from the chosen one on, Del empties what is chosen."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.kind = ENTERED[0]
        self.unit_set = "metric"
        self.setSelectionMode(QAbstractItemView.SelectionMode.ContiguousSelection)
        self.setTabKeyNavigation(True)
        self.setAccessibleName(tr("New parts"))

    def begin(self, kind: str, unit_set: str) -> None:
        """Show empty rows for a kind of part."""
        self.kind, self.unit_set = kind, unit_set
        specs = columns_of(kind)
        self.blockSignals(True)
        self.clear()
        self.setColumnCount(len(specs) + 1)
        self.setRowCount(FIRST_ROWS)
        heads = [tr("What is wrong"), *(head_of(spec, unit_set) for spec in specs)]
        self.setHorizontalHeaderLabels(heads)
        for column, spec in enumerate(specs, 1):
            item = self.horizontalHeaderItem(column) or QTableWidgetItem()
            needed = tr("Must be given.") if spec.required and spec.kind != "id" else ""
            item.setToolTip(f"{tr(spec.help)} {needed}".strip())
            if needed:
                font = item.font()
                font.setBold(True)
                item.setFont(font)
        self.blockSignals(False)
        self.resizeColumnsToContents()
        self.setCurrentCell(0, 1)

    def cell(self, row: int, column: int) -> str:
        """The text of a cell."""
        item = self.item(row, column)
        return "" if item is None else item.text().strip()

    def rows(self) -> list[dict[str, str]]:
        """All rows, by field."""
        keys = [spec.key for spec in columns_of(self.kind)]
        return [
            {key: self.cell(row, column) for column, key in enumerate(keys, 1)}
            for row in range(self.rowCount())
        ]

    def fill(self, rows: Sequence[Mapping[str, str]]) -> None:
        """Put texts by field into the rows from the first on; what has no column is left out."""
        keys = [spec.key for spec in columns_of(self.kind)]
        self.setRowCount(max(self.rowCount(), len(rows)))
        self.blockSignals(True)
        for number, row in enumerate(rows):
            for key, text in row.items():
                if text and key in keys:
                    self.setItem(number, keys.index(key) + 1, QTableWidgetItem(text))
        self.blockSignals(False)

    def paste(self) -> str:
        """Fill in what a spreadsheet has put on the clipboard; what is not taken is told."""
        cells = cells_of(QGuiApplication.clipboard().text())
        if not cells:
            return tr("The clipboard holds no table.")
        keys = [spec.key for spec in columns_of(self.kind)]
        row, column = max(self.currentRow(), 0), max(self.currentColumn(), 1)
        heads, told = heads_in(self.kind, cells[0]), ""
        units: dict[str, str] = {}
        if heads is None:
            heads = keys[column - 1 :]
        else:
            units = units_of_heads(self.kind, cells[0])
            unknown = [
                text for text, key in zip(cells[0], heads, strict=True) if text and not key
            ]  # fmt: skip
            if unknown:
                told = tr("No field is called so, left out: {heads}").format(
                    heads=", ".join(unknown)
                )
            cells = cells[1:]
        if row + len(cells) > MOST_ROWS:
            return tr("More than {most} rows.").format(most=MOST_ROWS)
        too_wide = max((len(line) for line in cells), default=0) > len(heads)
        self.setRowCount(max(self.rowCount(), row + len(cells) + SPARE_ROWS))
        self.blockSignals(True)
        for down, line in enumerate(cells):
            for key, text in zip(heads, line, strict=False):
                if key:
                    item = QTableWidgetItem(with_unit(text, units.get(key, "")))
                    self.setItem(row + down, keys.index(key) + 1, item)
        self.blockSignals(False)
        self.itemChanged.emit(self.item(row, column) or QTableWidgetItem())
        return tr("The table on the clipboard is wider than this one.") if too_wide else told

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Delete):
            for item in self.selectedItems():
                item.setText("")
        else:
            super().keyPressEvent(event)
            return
        event.accept()


class EntryDialog(QDialog):
    """Rows are parts, columns are their fields; nothing is added until all rows are right."""

    def __init__(self, session: Session, edits: PartEdits, parent: QWidget | None) -> None:
        super().__init__(parent)
        self._session = session
        self._edits = edits
        self._came: Entered | None = None
        self._kept: dict[str, list[dict[str, str]]] = {}  # rows of other kinds, while it is open
        self.setWindowTitle(tr("Enter parts as a table"))
        self.resize(920, 520)
        self.setMinimumSize(560, 320)
        self.kind = QComboBox()
        for kind in ENTERED:
            self.kind.addItem(labels.sentence(labels.part_kind(kind)), kind)
        self.kind.setCurrentIndex(max(self.kind.findData("vessel"), 0))
        self.grid = EntryGrid(self)
        self.mistakes = QPlainTextEdit()
        self.mistakes.setReadOnly(True)
        self.mistakes.setTabChangesFocus(True)
        self.mistakes.setAccessibleName(tr("Mistakes"))
        self.mistakes.setMaximumHeight(84)
        told = QLabel(
            tr(
                "Numbers without a unit count in the unit of the head. Ctrl+V pastes from a "
                "spreadsheet, with or without heads. Nothing is added until every row is right."
            )
        )
        told.setWordWrap(True)
        self.paste_button = QPushButton(tr("&Paste"))
        self.paste_button.clicked.connect(self.paste)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.add_button = self.buttons.addButton(
            tr("&Add all"), QDialogButtonBox.ButtonRole.AcceptRole
        )
        self.buttons.addButton(self.paste_button, QDialogButtonBox.ButtonRole.ActionRole)
        for button in self.buttons.buttons():
            if isinstance(button, QPushButton):
                button.setAutoDefault(False)  # Return in a cell must not add or cancel
        self.buttons.accepted.connect(self.add_all)
        self.buttons.rejected.connect(self.reject)
        form = QFormLayout()
        form.addRow(tr("&Kind of part"), self.kind)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addWidget(told)
        layout.addWidget(self.grid, 1)
        layout.addWidget(self.mistakes)
        layout.addWidget(self.buttons)
        self._look_later = QTimer(self)
        self._look_later.setSingleShot(True)
        self._look_later.setInterval(LOOK_AFTER)
        self._look_later.timeout.connect(self.look)
        self.kind.activated.connect(self._begin)
        self.grid.itemChanged.connect(self._changed)
        self._begin()
        self.grid.setFocus(Qt.FocusReason.OtherFocusReason)

    def _begin(self) -> None:
        """Show the rows of the chosen kind; those of the one before come back with it."""
        kind = self.kind.currentData()
        if kind == self.grid.kind and self.grid.columnCount():
            return
        self._keep()
        self.grid.begin(kind, self._session.units.name)
        self.grid.fill(self._kept.pop(kind, []))
        self.look()

    def _keep(self) -> None:
        rows = self.grid.rows()
        if any(any(row.values()) for row in rows):
            self._kept[self.grid.kind] = rows

    def _changed(self) -> None:
        last = max((n for n, row in enumerate(self.grid.rows()) if any(row.values())), default=0)
        if last + SPARE_ROWS >= self.grid.rowCount():
            self.grid.setRowCount(min(last + SPARE_ROWS + 1, MOST_ROWS))
        self._look_later.start()

    def paste(self) -> None:
        """Fill in what is on the clipboard."""
        told = self.grid.paste()
        self.look()
        if told:
            self.mistakes.setPlainText(f"{told}\n{self.mistakes.toPlainText()}".strip())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste()
            event.accept()
        else:
            super().keyPressEvent(event)

    def look(self) -> None:
        """Check all rows and put each mistake beside its cell."""
        document = self._session.document
        self._look_later.stop()
        if document is None:
            return
        rows = self.grid.rows()
        self._came = entered(document.system_text, self.grid.kind, rows, self.grid.unit_set)
        self._mark(self._came.mistakes)
        said = [told_cell(self.grid.kind, one) for one in self._came.mistakes]
        count = len(self._came.names)
        self.add_button.setEnabled(self._came.text is not None)
        if said:
            self.mistakes.setPlainText("\n".join(MARK + tr(one) for one in said))
        elif count:
            self.mistakes.setPlainText(
                ntr("{count} part can be added.", "{count} parts can be added.", count).format(
                    count=count
                )
            )
        else:
            self.mistakes.setPlainText(tr("No row is filled yet."))

    def _mark(self, mistakes: tuple[CellMistake, ...]) -> None:
        """Ground and tool tip of the cells, and the first column in words."""
        keys = ["", *(spec.key for spec in columns_of(self.grid.kind))]
        wrong = {(one.row, one.key): tr(one.message) for one in mistakes}
        ground = QColor(colours().danger)
        ground.setAlpha(60)
        self.grid.blockSignals(True)
        for row in range(self.grid.rowCount()):
            told = [text for (at, _key), text in wrong.items() if at == row]
            self._say(row, 0, (MARK + "; ".join(told)) if told else "", ground, bool(told))
            for column, key in enumerate(keys[1:], 1):
                bad = wrong.get((row, key), "")
                item = self.grid.item(row, column)
                if item is None and not bad:
                    continue
                self._say(row, column, "", ground, bool(bad)).setToolTip(bad)
        self.grid.blockSignals(False)

    def _say(self, row: int, column: int, text: str, ground: QColor, bad: bool) -> QTableWidgetItem:
        """Ground of a cell; its text only in the first column, which nobody types into."""
        item = self.grid.item(row, column)
        if item is None:
            item = QTableWidgetItem()
            self.grid.setItem(row, column, item)
        if column == 0:
            item.setText(text)
            item.setToolTip(text)
            item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
        item.setData(Qt.ItemDataRole.BackgroundRole, ground if bad else None)
        return item

    def reject(self) -> None:
        """Leave; what is filled in goes only if the person says so."""
        if self._kept or any(any(row.values()) for row in self.grid.rows()):
            answer = QMessageBox.question(
                self, self.windowTitle(), tr("Leave without adding what stands in the table?")
            )
            if answer != QMessageBox.StandardButton.Yes:
                return
        self.leave()

    def leave(self) -> None:
        """Close without adding anything."""
        super().reject()

    def add_all(self) -> None:
        """Add all rows as one step and close; with a mistake nothing happens but saying so.

        Where rows of another kind wait, they are shown next.
        """
        self.look()
        came = self._came
        if came is None or came.text is None:
            return
        if not self._edits.add_entered(self.grid.kind, came.text, came.names):
            return
        if not self._kept:
            self.accept()
            return
        kind = next(iter(self._kept))
        self.grid.begin(self.grid.kind, self._session.units.name)  # these are in the file
        self.kind.setCurrentIndex(self.kind.findData(kind))
        self._begin()


def ask_for_table(session: Session, edits: PartEdits, parent: QWidget) -> None:
    """Enter parts as a table."""
    session.take_typed()
    dialog = EntryDialog(session, edits, parent)
    dialog.exec()
    dialog.deleteLater()
