"""The full views of the window and the bar that switches between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QCoreApplication, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QPushButton, QWidget

if TYPE_CHECKING:
    from airrisk.window.frame import Frame


def _tr(text: str) -> str:
    return QCoreApplication.translate("Views", text)


@dataclass(frozen=True)
class View:
    """One full view: its name, what it is for, how it is made."""

    name: str
    tip: str
    make: Callable[[Frame], QWidget]


def _work(frame: Frame) -> QWidget:
    return frame.work


VIEWS: dict[str, View] = {
    "work": View("Plan", "Drawing, answers and facts", _work),
}


class ViewBar(QWidget):
    """One button a view; Ctrl+1, Ctrl+2, ... choose them too."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("ground", "raised")
        self._group = QButtonGroup(self)
        self._keys: list[str] = []
        layout = QHBoxLayout(self)
        layout.setContentsMargins(6, 0, 6, 0)
        layout.setSpacing(0)
        for number, (key, view) in enumerate(VIEWS.items()):
            button = QPushButton(_tr(view.name))
            button.setCheckable(True)
            button.setProperty("view", True)
            button.setToolTip(f"{_tr(view.tip)} (Ctrl+{number + 1})")
            button.setShortcut(f"Ctrl+{number + 1}")
            self._group.addButton(button, number)
            self._keys.append(key)
            layout.addWidget(button)
        layout.addStretch(1)
        self._group.idClicked.connect(self._clicked)

    def _clicked(self, number: Any) -> None:
        self.chosen.emit(self._keys[number])

    def mark(self, key: str) -> None:
        """Show which view is open."""
        self._group.button(self._keys.index(key)).setChecked(True)

    def button(self, key: str) -> QPushButton:
        """The button of a view."""
        found = self._group.button(self._keys.index(key))
        assert isinstance(found, QPushButton)
        return found
