"""A plain read-only table that wraps its texts, sorts, filters, copies and keeps its widths."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import (
    QAction,
    QColor,
    QContextMenuEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QLineEdit,
    QMenu,
    QStyle,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from airrisk.window.places import settings
from airrisk.window.theme import colours
from airrisk.wording.translation import tr

LEAST_SHARE = 0.45  # of the room, which the wide column gets if its texts need it
PADDING = 4  # px that a cell keeps beside its text, with the style's own margin
NARROWEST = 24  # px that a person may make a column
_SHAPES = "●▲◆■✖○?–… "


@dataclass(frozen=True)
class _Rows:
    """What the table was given."""

    texts: tuple[tuple[str, ...], ...] = ()
    keys: tuple[object, ...] = ()
    tones: tuple[str, ...] = ()
    right: tuple[int, ...] = ()
    toned: tuple[int, ...] = ()
    order: tuple[tuple[object, ...], ...] = ()  # what a column is sorted by, where it is no text


def as_counted(text: str) -> tuple[tuple[int, float, str], ...]:
    """A text as people sort it: V9 before V10, numbers by their size, shapes aside."""
    found: list[tuple[int, float, str]] = []
    pieces = re.split(r"(\d+(?:[.,]\d+)?)", text.lstrip(_SHAPES).casefold())
    for place, piece in enumerate(pieces):
        if place % 2:  # numbers and what stands between them take turns; "²" is no number
            found.append((0, float(piece.replace(",", ".")), ""))
        elif piece:
            found.append((1, 0.0, piece))
    return tuple(found)


class TextTable(QTableWidget):
    """Rows of texts; each row has a key that is told when the row is chosen.

    A click on a head sorts by its column, the next one the other way round, the third as it was.
    Columns keep the width that a person gives them, also after a restart.
    """

    row_chosen = Signal(object)
    rows_changed = Signal()  # others are shown, or in another order

    def __init__(
        self, name: str, columns: Sequence[str], wide: int, parent: QWidget | None = None
    ) -> None:
        super().__init__(0, len(columns), parent)
        self._given = _Rows()
        self._shown: list[int] = []  # which of the given rows stand here, in this order
        self._words: tuple[str, ...] = ()
        self._sorted: tuple[int, Qt.SortOrder] | None = None
        self._wide = wide
        self._place = f"widths/{len(columns)} {'|'.join(columns)}".replace("\n", " ")
        self._by_hand = self._stored_widths()
        self._arranging = False
        self.menu = QMenu(self)
        self._sorting = QMenu(tr("&Sort by"), self)
        self._sorting.triggered.connect(self._sort_asked)
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
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setMinimumSectionSize(NARROWEST)
        header.setSectionsClickable(True)
        header.setSortIndicatorShown(False)
        header.sectionResized.connect(self._resized)
        header.sectionResized.connect(self.resizeRowsToContents, Qt.ConnectionType.QueuedConnection)
        header.sectionClicked.connect(self.sort_by)
        self.cellActivated.connect(self._activated)
        self.cellClicked.connect(self._activated)

    # -- rows --------------------------------------------------------------------

    def show_rows(
        self,
        rows: Sequence[Sequence[str]],
        keys: Sequence[object],
        tones: Sequence[str] = (),
        right: Sequence[int] = (),
        toned: Sequence[int] = (),
        order: Sequence[Sequence[object]] = (),
    ) -> None:
        """Show these rows.

        Parameters
        ----------
        rows, keys
            Texts of the cells, and what is told when a row is chosen.
        tones
            Of the ``toned`` columns, whose texts say the same.
        right
            Columns of numbers.
        order
            By row and column, what is sorted by in place of the text: a date, a rank; None: the
            text.
        """
        texts = tuple(tuple(row) for row in rows)
        chosen = self.current_key()
        self._given = _Rows(
            texts, tuple(keys), tuple(tones), tuple(right), tuple(toned),
            tuple(tuple(row) for row in order),
        )  # fmt: skip
        self._fill(chosen)

    def _fill(self, chosen: object | None) -> None:
        """Show the rows in their order; the one that was chosen stays chosen."""
        given = self._given
        self._shown = [
            number
            for number, row in enumerate(given.texts)
            if all(word in " ".join(row).casefold() for word in self._words)
        ]
        if self._sorted is not None:
            column, direction = self._sorted
            back = direction == Qt.SortOrder.DescendingOrder
            self._shown.sort(key=lambda number: self._sort_key(number, column), reverse=back)
        self.setRowCount(len(self._shown))
        for place, number in enumerate(self._shown):
            self._fill_row(place, number)
        if chosen is not None:
            self._mark(chosen)
        self._share_room()
        self.resizeRowsToContents()
        self.rows_changed.emit()

    def _fill_row(self, place: int, number: int) -> None:
        given = self._given
        for column, text in enumerate(given.texts[number]):
            item = QTableWidgetItem(text)
            item.setToolTip(self.tip_of(number, column))
            if column in given.right:
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            if column in given.toned and given.tones[number]:
                item.setForeground(QColor(getattr(colours(), given.tones[number])))
            self.setItem(place, column, item)

    def tip_of(self, number: int, column: int) -> str:
        """The tool tip of a cell of one of the rows that were given: its text."""
        return self._given.texts[number][column]

    def _sort_key(self, number: int, column: int) -> tuple[object, ...]:
        """What stands in the file's own terms sorts before texts, and gaps come last."""
        order = self._given.order
        by = order[number][column] if number < len(order) else None
        if by is not None:
            return (0, by)
        text = self._given.texts[number][column]
        return (1, as_counted(text)) if text.strip("– ") else (2, ())

    def _mark(self, key: object) -> None:
        for place, number in enumerate(self._shown):
            if self._given.keys[number] == key:
                self.setCurrentCell(place, max(self.currentColumn(), 0))
                return
        self.setCurrentCell(-1, -1)  # it is not here: nothing may act on the row in its place

    def sort_by(self, column: int) -> None:
        """Sort by a column, then the other way round, then as the rows were given."""
        up, down = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder
        if self._sorted == (column, up):
            self._sorted = (column, down)
        elif self._sorted == (column, down):
            self._sorted = None
        else:
            self._sorted = (column, up)
        header = self.horizontalHeader()
        header.setSortIndicatorShown(self._sorted is not None)
        if self._sorted is not None:
            header.setSortIndicator(*self._sorted)
        self._fill(self.current_key())

    def filter_by(self, text: str) -> None:
        """Show only the rows that hold all of these words."""
        self._words = tuple(text.casefold().split())
        self._fill(self.current_key())

    @property
    def counts(self) -> tuple[int, int]:
        """Rows that are shown, and all."""
        return len(self._shown), len(self._given.texts)

    # -- widths ------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share_room()

    def _share_room(self) -> None:
        """The longest of the other columns wrap where they would leave the wide one no room."""
        header, room = self.horizontalHeader(), self.viewport().width()
        needs = {
            column: max(self.sizeHintForColumn(column), header.sectionSizeHint(column))
            for column in range(self.columnCount())
            if not self.isColumnHidden(column)
        }
        wanted = min(needs.pop(self._wide, 0), round(LEAST_SHARE * room))
        wanted = max(wanted, self._longest_word(self._wide))
        for column in sorted(needs, key=lambda column: -needs[column]):
            missing = wanted + sum(needs.values()) - room
            if missing <= 0:
                break
            least = max(header.sectionSizeHint(column), self._longest_word(column))
            needs[column] = min(needs[column], max(needs[column] - missing, least))
        needs |= {column: width for column, width in self._by_hand.items() if column in needs}
        self._arranging = True
        for column, width in needs.items():
            header.resizeSection(column, width)
        least = max(header.sectionSizeHint(self._wide), self._longest_word(self._wide))
        header.resizeSection(self._wide, max(room - sum(needs.values()), least))
        self._arranging = False

    def _longest_word(self, column: int) -> int:
        """Width of a column in which no word is cut, px."""
        cells = (self.item(row, column) for row in range(self.rowCount()))
        words = {word for cell in cells if cell is not None for word in cell.text().split()}
        if not words:
            return 0
        widest = max(map(self.fontMetrics().horizontalAdvance, words))
        margin = self.style().pixelMetric(QStyle.PixelMetric.PM_FocusFrameHMargin, None, self)
        return widest + 2 * (margin + 1) + PADDING

    def _resized(self, column: int, _before: int, width: int) -> None:
        """A person has dragged the border of a head."""
        if self._arranging or not self.isVisible() or column == self._wide:
            return
        self._by_hand[column] = width
        stored = [f"{number}:{size}" for number, size in sorted(self._by_hand.items())]
        settings().setValue(self._place, " ".join(stored))

    def _stored_widths(self) -> dict[int, int]:
        """Widths that a person gave the columns; a setting that is damaged gives none."""
        stored = settings().value(self._place)
        found = re.findall(r"(\d{1,2}):(\d{1,4})(?!\d)", stored) if isinstance(stored, str) else []
        return {
            int(column): max(int(width), NARROWEST)
            for column, width in found
            if int(column) < self.columnCount()
        }

    def usual_widths(self) -> None:
        """Forget the widths that a person gave."""
        self._by_hand = {}
        settings().remove(self._place)
        self._share_room()
        self.resizeRowsToContents()

    # -- choosing and copying ----------------------------------------------------

    def _activated(self, row: int, _column: int) -> None:
        if 0 <= row < len(self._shown):
            self.row_chosen.emit(self._given.keys[self._shown[row]])

    def current_key(self) -> object | None:
        """The key of the row that is chosen; None: no row is."""
        row = self.currentRow()
        return self._given.keys[self._shown[row]] if 0 <= row < len(self._shown) else None

    def _line(self, row: int) -> str:
        cells = [self.item(row, column) for column in range(self.columnCount())]
        return "\t".join("" if cell is None else _in_one_line(cell.text()) for cell in cells)

    def as_text(self) -> str:
        """The table as it is shown, with tabs between cells, for the clipboard."""
        heads = [self.horizontalHeaderItem(c) for c in range(self.columnCount())]
        head = ["" if item is None else _in_one_line(item.text()) for item in heads]
        lines = ["\t".join(head), *(self._line(row) for row in range(self.rowCount()))]
        return "\n".join(lines) + "\n"

    def copy_table(self) -> None:
        """Put the table on the clipboard, with its heads."""
        QGuiApplication.clipboard().setText(self.as_text())

    def copy_row(self) -> None:
        """Put the chosen row on the clipboard."""
        if self.currentRow() >= 0:
            QGuiApplication.clipboard().setText(self._line(self.currentRow()) + "\n")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_table()
            event.accept()
            return
        super().keyPressEvent(event)

    # -- menu --------------------------------------------------------------------

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        self.fill_menu()
        place = event.globalPos()
        if event.reason() != QContextMenuEvent.Reason.Mouse:
            place = self.viewport().mapToGlobal(self.visualRect(self.currentIndex()).bottomLeft())
        self.menu.popup(place)
        event.accept()

    def fill_menu(self) -> None:
        """What can be done with the table and the chosen row."""
        self.menu.clear()
        if self.currentRow() >= 0:
            self.menu.addAction(tr("Copy the &row"), self.copy_row)
        self.menu.addAction(tr("&Copy the table"), self.copy_table).setShortcut(
            QKeySequence(QKeySequence.StandardKey.Copy)
        )
        self._sorting.clear()
        for column in range(self.columnCount()):
            head = self.horizontalHeaderItem(column)
            action = self._sorting.addAction("" if head is None else _in_one_line(head.text()))
            action.setData(column)
        self.menu.addMenu(self._sorting)
        if self._by_hand:
            self.menu.addAction(tr("Usual &widths"), self.usual_widths)

    def _sort_asked(self, action: QAction) -> None:
        self.sort_by(int(action.data()))


def _in_one_line(text: str) -> str:
    """A text that stays in its cell when it is pasted: no tabs and no ends of lines."""
    return " ".join(text.split())


class TableFilter(QLineEdit):
    """A line above a table that shows only the rows with all of its words.

    ``shown`` is to stand beside it: how many rows are left, so that nobody takes them for all.
    """

    def __init__(self, table: TextTable, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPlaceholderText(tr("Filter"))
        self.setAccessibleName(tr("Filter: {table}").format(table=table.accessibleName()))
        self.setToolTip(tr("Only rows that hold all of these words, in any column"))
        self.setClearButtonEnabled(True)
        self.setMaximumWidth(180)
        self.shown = QLabel()
        self.shown.setProperty("tone", "quiet")
        self.shown.hide()
        self._table = table
        self.textChanged.connect(table.filter_by)
        table.rows_changed.connect(self._tell_shown)

    def _tell_shown(self) -> None:
        rows, everything = self._table.counts
        self.shown.setText(tr("{n} of {all}").format(n=rows, all=everything))
        self.shown.setVisible(rows < everything)
