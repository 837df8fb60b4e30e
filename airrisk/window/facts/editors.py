"""One editor widget a kind of field: a line of text, or a list of words to choose from."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget


class TextEditor(QLineEdit):
    """A line that tells its text when the person is done with it; Esc takes it back."""

    committed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = ""
        self.returnPressed.connect(self._commit)

    def show_value(self, text: str, placeholder: str) -> None:
        """Show what stands in the file, or the default in grey."""
        self._shown = text
        self.setPlaceholderText(placeholder)
        if self.text() != text:
            self.setText(text)
            self.setCursorPosition(0)

    def _commit(self) -> None:
        text = self.text().strip()
        if text != self._shown:
            self.committed.emit(text)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        if event.reason() not in (
            Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason,
        ):  # fmt: skip
            self._commit()
        super().focusOutEvent(event)

    def _is_for_the_file(self, event: QKeyEvent) -> bool:
        """Undo and redo are the file's while nothing is typed that it does not hold."""
        keys = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
        return self.text() == self._shown and any(event.matches(key) for key in keys)

    def event(self, event: QEvent) -> bool:
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self._is_for_the_file(event)
        ):
            event.ignore()
            return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self._is_for_the_file(event):
            event.ignore()
            return
        if event.key() == Qt.Key.Key_Escape and self.text() != self._shown:
            self.setText(self._shown)
            self.committed.emit(self._shown)
            event.accept()
            return
        super().keyPressEvent(event)


class ChoiceEditor(QComboBox):
    """A list of the allowed words; the first entry gives the default back."""

    committed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.activated.connect(self._commit)
        self._shown = ""

    def show_value(self, text: str, placeholder: str, words: tuple[str, ...]) -> None:
        """Offer these words and show the typed one, or the default."""
        self._shown = text
        names = {
            "true": QCoreApplication.translate("Facts", "yes"),
            "false": QCoreApplication.translate("Facts", "no"),
        }
        self.blockSignals(True)
        self.clear()
        if placeholder:
            default = QCoreApplication.translate("Facts", "{value} (default)")
            self.addItem(default.format(value=names.get(placeholder, placeholder)), "")
        for word in words:
            self.addItem(names.get(word, word), word)
        if text and self.findData(text) < 0:
            self.addItem(text, text)
        index = self.findData(text)
        self.setCurrentIndex(index if index >= 0 else (0 if placeholder else -1))
        self.blockSignals(False)

    def _commit(self, index: int) -> None:
        word = self.itemData(index)
        if word != self._shown:
            self.committed.emit(str(word))

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()  # scrolling the form must not change a value
