"""A list of cards, each a heading, sentences and a verdict with its shape; keys move in it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)


@dataclass(frozen=True)
class Card:
    """What one card says. ``tone`` colours the first line; shape and word stand in the text."""

    key: str
    heading: str
    tone: str = ""
    text: str = ""
    small: str = ""
    tip: str = ""


def _wrapped(text: str, tone: str) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setProperty("tone", tone)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.MinimumExpanding)
    return label


class CardWidget(QFrame):
    """One card; a click or the return key chooses it."""

    chosen = Signal(str)

    def __init__(self, card: Card, old: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.card = card
        self.setProperty("frame", "card")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip(card.tip)
        self.setAccessibleName(card.heading)
        self.setAccessibleDescription(f"{card.text} {card.small}".strip())
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 5, 8, 6)
        layout.setSpacing(2)
        heading = _wrapped(card.heading, "quiet" if old else card.tone)
        font = heading.font()
        font.setBold(True)
        heading.setFont(font)
        layout.addWidget(heading)
        if card.text:
            layout.addWidget(_wrapped(card.text, "quiet" if old else ""))
        if card.small:
            layout.addWidget(_wrapped(card.small, "quiet"))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.chosen.emit(self.card.key)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.chosen.emit(self.card.key)
            event.accept()
        elif event.key() == Qt.Key.Key_Down:
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Up:
            self.focusPreviousChild()
        else:
            super().keyPressEvent(event)


class CardList(QScrollArea):
    """Cards below one another, scrolled when they do not fit."""

    chosen = Signal(str)

    def __init__(self, name: str, empty: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._empty = empty
        self._shown: tuple[tuple[Card, ...], bool, str] | None = None
        self.cards: list[CardWidget] = []
        self.setAccessibleName(name)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.show_cards((), False)

    def show_cards(self, cards: tuple[Card, ...], old: bool, empty: str = "") -> None:
        """Show these cards, greyed when they are old; nothing happens when they are the same."""
        wanted = (cards, old, empty)
        if wanted == self._shown:
            return
        self._shown = wanted
        position = self.verticalScrollBar().value()
        with_keyboard = next((n for n, one in enumerate(self.cards) if one.hasFocus()), None)
        page = QWidget()
        layout = QVBoxLayout(page)
        layout.setContentsMargins(6, 4, 6, 6)
        layout.setSpacing(6)
        self.cards = []
        for card in cards:
            widget = CardWidget(card, old)
            widget.chosen.connect(self.chosen)
            layout.addWidget(widget)
            self.cards.append(widget)
        if not cards:
            layout.addWidget(_wrapped(empty or self._empty, "quiet"))
        layout.addStretch(1)
        self.setWidget(page)
        before: QWidget = self
        for one in self.cards:  # the tab key leads from the list into its cards
            QWidget.setTabOrder(before, one)
            before = one
        if with_keyboard is not None:
            following = self.cards[min(with_keyboard, len(cards) - 1)] if cards else self
            following.setFocus()
        self.verticalScrollBar().setValue(position)
