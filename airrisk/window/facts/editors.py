"""One editor widget a kind of field: a line of text, or a list of words to choose from."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr


class TextEditor(QLineEdit):
    """A line that tells its text when the person is done with it; Esc takes it back."""

    committed = Signal(str)
    withdrawn = Signal()  # the text of the file stands here again

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = ""
        self.returnPressed.connect(self.tell)

    @property
    def shown(self) -> str:
        """The text of the file, as it was shown last."""
        return self._shown

    @property
    def has_typed(self) -> bool:
        """Whether another text stands here than in the file."""
        return self.text().strip() != self._shown.strip()

    @property
    def typed(self) -> str:
        """What stands here, as a person reads it."""
        return self.text().strip()

    def show_value(self, text: str, placeholder: str) -> None:
        """Show what stands in the file, or the default in grey."""
        self._shown = text
        self.setPlaceholderText(placeholder)
        self.put_back()

    def put_back(self) -> None:
        """Show the text of the file again."""
        if self.text() != self._shown:
            self.setText(self._shown)
            self.setCursorPosition(0)

    def taken(self) -> None:
        """The text that stands here is in the file now."""
        self._shown = self.text().strip()

    def tell(self) -> None:
        """Tell the text if it is another one than the file's."""
        if self.has_typed:
            self.committed.emit(self.text().strip())
        else:
            self.put_back()  # without the spaces around it
            self.withdrawn.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        if event.reason() not in (
            Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason,
        ):  # fmt: skip
            self.tell()
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
            self.put_back()
            self.withdrawn.emit()  # not told as typed: an offered value would count as confirmed
            event.accept()
            return
        super().keyPressEvent(event)


class ChoiceEditor(QComboBox):
    """A list of the allowed words; the first entry gives the default back."""

    committed = Signal(str)
    withdrawn = Signal()  # the word of the file is chosen again

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.activated.connect(self._commit)
        self._shown = ""
        self._entries: list[tuple[str, str]] = []  # what is offered: words for people, for the file

    def show_value(
        self,
        text: str,
        placeholder: str,
        words: tuple[str, ...],
        called: Mapping[str, str] | None = None,
    ) -> None:
        """Offer these words and show the typed one, or the default; ``called``: words for some."""
        self._shown = text
        names = {"true": tr("yes"), "false": tr("no"), **(called or {})}
        entries: list[tuple[str, str]] = []
        if placeholder:
            default = tr("{value} (default)")
            entries.append((default.format(value=names.get(placeholder, placeholder)), ""))
        entries += [(names.get(word, choice_word(word)), word) for word in words]
        if text and text not in words:
            entries.append((text, text))
        self.blockSignals(True)
        if entries != self._entries:
            self._entries = entries
            self.clear()
            for name, word in entries:
                self.addItem(name, word)
        index = self.findData(text)
        self.setCurrentIndex(index if index >= 0 else (0 if placeholder else -1))
        self.blockSignals(False)

    @property
    def shown(self) -> str:
        """The word of the file, as it was shown last."""
        return self._shown

    @property
    def has_typed(self) -> bool:
        """Whether another word is chosen here than stands in the file."""
        return self.currentIndex() >= 0 and self.currentData() != self._shown

    @property
    def typed(self) -> str:
        """What is chosen, as a person reads it."""
        return self.currentText()

    def put_back(self) -> None:
        """Choose the word of the file again."""
        if self.has_typed:
            self.setCurrentIndex(self.findData(self._shown))

    def taken(self) -> None:
        """The word that is chosen is in the file now."""
        if self.has_typed:
            self._shown = str(self.currentData())

    def tell(self) -> None:
        """Tell the word if it is another one than the file's."""
        self._commit(self.currentIndex())

    def _commit(self, index: int) -> None:
        word = self.itemData(index)
        if word != self._shown:
            self.committed.emit(str(word))
        else:
            self.withdrawn.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.has_typed:
            self.put_back()
            self.withdrawn.emit()
            event.accept()
            return
        super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()  # scrolling the form must not change a value
