"""The system file as plain text: line numbers, marked mistakes, checked while it is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRect, QSize, Qt, QTimer
from PySide6.QtGui import (
    QColor,
    QFontDatabase,
    QHideEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
    QTextCursor,
    QTextFormat,
)
from PySide6.QtWidgets import QLabel, QPlainTextEdit, QSplitter, QTextEdit, QVBoxLayout, QWidget

from airrisk.editing.plain_text import edited, plain
from airrisk.window.cards import Card, CardList
from airrisk.window.theme import colours
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.installation.problems import Problem
    from airrisk.window.session import Session

CHECK_MS = 250


class _Numbers(QWidget):
    """Line numbers beside the text; a marked line has a cross too."""

    def __init__(self, editor: NumberedEdit) -> None:
        super().__init__(editor)
        self._editor = editor

    def sizeHint(self) -> QSize:
        return QSize(self._editor.numbers_width(), 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        self._editor.paint_numbers(event)


class NumberedEdit(QPlainTextEdit):
    """A plain text editor with line numbers and marked lines."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.setUndoRedoEnabled(False)  # the document's own undo takes typing back
        self.setTabChangesFocus(True)
        self.marked: frozenset[int] = frozenset()
        self._numbers = _Numbers(self)
        self.blockCountChanged.connect(self._make_room)
        self.updateRequest.connect(self._scroll_numbers)
        self._make_room()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            own = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
            if any(event.matches(key) for key in own):
                event.ignore()
                return False
        return super().event(event)

    def text(self) -> str:
        """The text exactly as typed (``toPlainText`` would turn hard spaces into spaces)."""
        return self.document().toRawText().replace("\u2029", "\n")

    def mark(self, lines: frozenset[int]) -> None:
        """Mark these lines, counted from 1."""
        self.marked = lines
        selections = []
        for line in sorted(lines):
            block = self.document().findBlockByNumber(line - 1)
            if not block.isValid():
                continue
            selection = QTextEdit.ExtraSelection()
            ground = QColor(colours().danger)
            ground.setAlpha(50)
            # PySide offers these members without annotations
            selection.format.setBackground(ground)  # type: ignore[attr-defined]
            selection.format.setProperty(  # type: ignore[attr-defined]
                QTextFormat.Property.FullWidthSelection, True
            )
            selection.cursor = QTextCursor(block)  # type: ignore[attr-defined]
            selections.append(selection)
        self.setExtraSelections(selections)
        self._numbers.update()

    def go_to(self, line: int) -> None:
        """Put the keyboard into a line, counted from 1."""
        block = self.document().findBlockByNumber(max(line, 1) - 1)
        if block.isValid():
            self.setTextCursor(QTextCursor(block))
            self.centerCursor()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def numbers_width(self) -> int:
        """Width of the column of line numbers, px."""
        digits = max(len(str(self.blockCount())), 3)
        return self.fontMetrics().horizontalAdvance("✖ " + "9" * digits) + 10

    def _make_room(self) -> None:
        self.setViewportMargins(self.numbers_width(), 0, 0, 0)

    def _scroll_numbers(self, rect: QRect, dy: int) -> None:
        if dy:
            self._numbers.scroll(0, dy)
        else:
            self._numbers.update(0, rect.y(), self._numbers.width(), rect.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        area = self.contentsRect()
        self._numbers.setGeometry(area.left(), area.top(), self.numbers_width(), area.height())

    def paint_numbers(self, event: QPaintEvent) -> None:
        """Paint the numbers of the lines that can be seen."""
        painter = QPainter(self._numbers)
        painter.fillRect(event.rect(), QColor(colours().raised))
        painter.setFont(self.font())
        block = self.firstVisibleBlock()
        top = self.blockBoundingGeometry(block).translated(self.contentOffset()).top()
        height, width = self.fontMetrics().height(), self._numbers.width() - 5
        while block.isValid() and top <= event.rect().bottom():
            line = block.blockNumber() + 1
            wrong = line in self.marked
            painter.setPen(QColor(colours().danger if wrong else colours().quiet))
            text = f"✖ {line}" if wrong else str(line)
            painter.drawText(0, round(top), width, height, Qt.AlignmentFlag.AlignRight, text)
            top += self.blockBoundingRect(block).height()
            block = block.next()
        painter.end()


class TextPage(QWidget):
    """The whole file as text, and below it what is wrong with it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.title = QLabel()
        self.title.setProperty("tone", "title")
        self.hint = QLabel(
            tr("The file as it is saved. It is checked while you type; undo takes typing back.")
        )
        self.hint.setProperty("tone", "quiet")
        self.hint.setWordWrap(True)
        self.editor = NumberedEdit()
        self.editor.setAccessibleName(tr("Text of the system file"))
        self.problems = CardList(tr("Mistakes in the text"), tr("No mistakes in the text."))
        self.problems.chosen.connect(self._go)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self.editor)
        split.addWidget(self.problems)
        split.setStretchFactor(0, 4)
        split.setStretchFactor(1, 1)
        split.setSizes([500, 130])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 6, 8, 6)
        layout.addWidget(self.title)
        layout.addWidget(self.hint)
        layout.addWidget(split, 1)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(CHECK_MS)
        self._later.timeout.connect(self.take)
        self.editor.textChanged.connect(self._later.start)
        session.document_changed.connect(self.refresh)
        session.taking_typed.connect(self._take_waiting)

    def hideEvent(self, event: QHideEvent) -> None:
        self._take_waiting()  # later the text of another view would be taken back by it
        super().hideEvent(event)

    def _take_waiting(self) -> None:
        if self._later.isActive():
            self.take()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()
        problem = next((p for p in self._problems() if p.line), None)
        if problem is not None and problem.line is not None:
            self.editor.go_to(problem.line)

    def _problems(self) -> tuple[Problem, ...]:
        document = self._session.document
        return () if document is None else document.problems

    def take(self) -> None:
        """Put what was typed into the document as one step with the typing before."""
        self._later.stop()
        document = self._session.document
        if document is None:
            return
        text = edited(document.text, self.editor.text())
        if text == document.text:
            return
        if not document.replace(tr("edit the text"), text, "text page"):
            self.hint.setText(
                tr(
                    "Open for review: only remarks, inspections and what is to be done may change; "
                    "taken back."
                )
            )
            self._show_text(plain(document.text))

    def refresh(self) -> None:
        """Show the document's text and mark its mistakes, when the page is seen."""
        document = self._session.document
        if document is None:
            self._later.stop()
        if document is None or not self.isVisible():
            return
        self.editor.setReadOnly(document.read_only)
        text = plain(document.text)
        if text != self.editor.text() and not self._later.isActive():
            self._show_text(text)
        found = self._problems()
        self.title.setText(
            tr("Mistakes in the text: {n}").format(n=len(found))
            if found
            else tr("Text without mistakes")
        )
        self.editor.mark(frozenset(p.line for p in found if p.line is not None))
        cards = []
        for number, problem in enumerate(found):
            line = tr("line {n}").format(n=problem.line) if problem.line else ""
            place = ", ".join(p for p in (line, tr(problem.part), problem.field) if p)
            valid = tr("valid: {valid}").format(valid=tr(problem.valid)) if problem.valid else ""
            cards.append(Card(str(number), f"✖ {place}", "danger", tr(problem.message), valid))
        self.problems.show_cards(tuple(cards), False)

    def _show_text(self, text: str) -> None:
        """Show another text and keep the keyboard where it was."""
        cursor = self.editor.textCursor()
        line, column = cursor.blockNumber(), cursor.positionInBlock()
        self.editor.blockSignals(True)
        self.editor.setPlainText(text)
        self.editor.blockSignals(False)
        block = self.editor.document().findBlockByNumber(line)
        if block.isValid():
            cursor = QTextCursor(block)
            cursor.setPosition(block.position() + min(column, max(block.length() - 1, 0)))
            self.editor.setTextCursor(cursor)

    def _go(self, key: str) -> None:
        problem = self._problems()[int(key)]
        self.editor.go_to(problem.line or 1)
