"""A list of cards, each a heading, sentences and a verdict with its shape; keys move in it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.wording.translation import tr


@dataclass(frozen=True)
class Card:
    """What one card says. ``tone`` colours the first line; shape and word stand in the text.

    ``deed`` names what its button and the key A do; empty: it has none.
    """

    key: str
    heading: str
    tone: str = ""
    text: str = ""
    small: str = ""
    tip: str = ""
    deed: str = ""


def _wrapped(text: str, tone: str) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setProperty("tone", tone)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.MinimumExpanding)
    return label


def _say(label: QLabel, text: str, tone: str) -> None:
    label.setText(text)
    label.setVisible(bool(text))
    if label.property("tone") != tone:
        label.setProperty("tone", tone)
        label.style().unpolish(label)
        label.style().polish(label)


class CardWidget(QFrame):
    """One card; a click or the return key chooses it.

    Choosing may change every card of the window while the click or the key is still being
    handled: a card takes another content and is never deleted for it.
    """

    chosen = Signal(str)
    acted = Signal(str)

    def __init__(self, card: Card, old: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.card = card
        self.setProperty("frame", "card")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._heading = _wrapped(card.heading, "quiet" if old else card.tone)
        font = self._heading.font()
        font.setBold(True)
        self._heading.setFont(font)
        self._text = _wrapped(card.text, "quiet" if old else "")
        self._small = _wrapped(card.small, "quiet")
        self.deed = QToolButton()
        self.deed.setText("+")
        self.deed.setAutoRaise(True)
        self.deed.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keyboard has a key of its own
        self.deed.clicked.connect(self._act)
        head = QHBoxLayout()
        head.addWidget(self._heading, 1)
        head.addWidget(self.deed, 0, Qt.AlignmentFlag.AlignTop)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(8, 5, 8, 6)
        layout.setSpacing(2)
        layout.addLayout(head)
        for label in (self._text, self._small):
            layout.addWidget(label)
        self.show_card(card, old)

    def show_card(self, card: Card, old: bool) -> None:
        """Say this, greyed when it is old."""
        self.card = card
        self.setToolTip(card.tip)
        self.setAccessibleName(card.heading)
        self.setAccessibleDescription(f"{card.text} {card.small}".strip())
        _say(self._heading, card.heading, "quiet" if old else card.tone)
        _say(self._text, card.text, "quiet" if old else "")
        _say(self._small, card.small, "quiet")
        self.deed.setVisible(bool(card.deed))
        self.deed.setEnabled(not old)
        self.deed.setToolTip(tr("{deed} (key A)").format(deed=card.deed) if card.deed else "")
        self.deed.setAccessibleName(card.deed)

    def _act(self) -> None:
        if self.deed.isEnabled() and self.card.deed:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
            self.acted.emit(self.card.key)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.chosen.emit(self.card.key)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.chosen.emit(self.card.key)
            event.accept()
        elif event.key() == Qt.Key.Key_A and not event.modifiers() and self.card.deed:
            self._act()
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
    acted = Signal(str)

    def __init__(self, name: str, empty: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._empty = empty
        self._shown: tuple[tuple[Card, ...], bool, str] | None = None
        self.cards: list[CardWidget] = []
        self._spare: list[CardWidget] = []  # hidden, in their place below the others
        self.setAccessibleName(name)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        page = QWidget()
        self._column = QVBoxLayout(page)
        self._column.setContentsMargins(6, 4, 6, 6)
        self._column.setSpacing(6)
        self._nothing = _wrapped("", "quiet")
        self._column.addWidget(self._nothing)
        self._column.addStretch(1)
        self.setWidget(page)
        self.show_cards((), False)

    def show_cards(self, cards: tuple[Card, ...], old: bool, empty: str = "") -> None:
        """Show these cards, greyed when they are old; nothing happens when they are the same."""
        wanted = (cards, old, empty)
        if wanted == self._shown:
            return
        self._shown = wanted
        with_keyboard = next((n for n, one in enumerate(self.cards) if one.hasFocus()), None)
        if with_keyboard is not None and with_keyboard >= len(cards):
            following = self.cards[len(cards) - 1] if cards else self
            following.setFocus()  # before its own card goes
        self._make(len(cards))
        for widget, card in zip(self.cards, cards, strict=True):
            widget.show_card(card, old)
            widget.show()
        self._nothing.setText(empty or self._empty)
        self._nothing.setVisible(not cards)

    def _make(self, count: int) -> None:
        """Bring so many cards into use."""
        while len(self.cards) > count:
            widget = self.cards.pop()
            widget.hide()
            self._spare.insert(0, widget)
        while len(self.cards) < count:
            if not self._spare:
                self._spare.append(self._new_card())
            self.cards.append(self._spare.pop(0))

    def _new_card(self) -> CardWidget:
        widget = CardWidget(Card("", ""), old=False)
        widget.chosen.connect(self.chosen)
        widget.acted.connect(self.acted)
        number = len(self.cards)
        self._column.insertWidget(number, widget)
        # the tab key leads from the list into its cards
        QWidget.setTabOrder(self.cards[-1] if self.cards else self, widget)
        return widget
