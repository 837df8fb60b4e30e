"""Both answers where values are only offered, and the way to confirm them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from airrisk.wording.offered_values import offered_sentences, waiting_parts
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord


class OfferedNotice(QWidget):
    """Hidden while everything is confirmed."""

    part_asked = Signal(str)  # whose values are to be looked at

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._first = ""
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setProperty("tone", "warning")
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.button = QPushButton(tr("Check and confirm…"))
        self.button.setToolTip(tr("Show the offered values, to confirm or to replace them"))
        self.button.clicked.connect(lambda: self.part_asked.emit(self._first))
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.words, 1)
        layout.addWidget(self.button)
        self.hide()

    def show_fire(self, fire: FireRecord | None) -> None:
        """Say what this fire does without the offered devices and with them."""
        said = [] if fire is None else offered_sentences(fire)
        if fire is not None and said:
            self._first = waiting_parts(fire)[0]
        self.words.setText(" ".join(said))
        self.setVisible(bool(said))
