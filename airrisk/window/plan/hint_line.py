"""The line that says what is chosen or what to do next: beside the buttons, or below them."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from airrisk.window.theme import scaled

LEAST = 260  # px beside the buttons, at the usual size of text; with less it stands below


class HintLine(QVBoxLayout):
    """Buttons with a hint, which takes a line of its own where the buttons leave little room."""

    def __init__(self, buttons: Sequence[QWidget]) -> None:
        super().__init__()
        self.hint = QLabel()
        self.hint.setProperty("tone", "quiet")
        self.hint.setWordWrap(True)
        self.hint.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._buttons = tuple(buttons)
        self._bar = QHBoxLayout()
        self._bar.setContentsMargins(6, 2, 6, 0)
        self._bar.setSpacing(6)
        for button in buttons:
            self._bar.addWidget(button)
        self._below = QHBoxLayout()
        self._below.setContentsMargins(8, 0, 6, 0)
        self._room = QWidget()  # takes the rest of the bar without a hint in it
        self._bar.addWidget(self._room, 1)
        self._bar.addWidget(self.hint, 1)
        self._room.hide()
        self.setSpacing(0)
        self.addLayout(self._bar)
        self.addLayout(self._below)
        self._is_below = False

    def say(self, text: str) -> None:
        """Show another hint."""
        self.hint.setText(text)
        self._show()

    def arrange(self, width: int) -> None:
        """Put the hint where a panel of this width has room for it."""
        shown = [one for one in self._buttons if not one.isHidden()]
        taken = sum(one.sizeHint().width() + self._bar.spacing() for one in shown)
        below = width - taken < scaled(LEAST)
        if below != self._is_below:
            self._is_below = below
            (self._bar if below else self._below).removeWidget(self.hint)
            (self._below if below else self._bar).addWidget(self.hint, 1)
            self._room.setVisible(below)
            self._show()

    def _show(self) -> None:
        self.hint.setVisible(bool(self.hint.text()) or not self._is_below)
