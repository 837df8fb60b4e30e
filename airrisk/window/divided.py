"""A view of two parts whose border the program sets until a person has moved it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSplitter, QWidget


class Divided(QSplitter):
    """Two widgets; the second takes the room that is left.

    Parameters
    ----------
    orientation : Qt.Orientation
        Beside or above each other.
    first, second : QWidget
        What it holds.
    """

    def __init__(self, orientation: Qt.Orientation, first: QWidget, second: QWidget) -> None:
        super().__init__(orientation)
        self.setChildrenCollapsible(False)
        self.addWidget(first)
        self.addWidget(second)
        self.setStretchFactor(1, 1)
        self.splitterMoved.connect(self._moved)
        self._by_hand = False

    def _moved(self) -> None:
        self._by_hand = True

    def give_first(self, size: int, room: int) -> None:
        """Give the first widget ``size`` of ``room`` px, unless a person has moved the border."""
        if not self._by_hand:
            self.setSizes([size, room - size])
