"""Hides the answer until the student has said which device acts first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from airrisk.wording.translation import tr
from airrisk.wording.units import Units
from airrisk.wording.why_first import RUPTURES, first_act, why_first

if TYPE_CHECKING:
    from airrisk.study.records import FireRecord

NOTHING, RUPTURE = "nothing", "rupture"


def first_to_act(fire: FireRecord) -> str:
    """Id of the device that acts first, ``rupture`` or ``nothing``."""
    act = first_act(fire)
    if act is None:
        return NOTHING
    return RUPTURE if act.event in RUPTURES else act.part


class Guess(QWidget):
    """A switch, the candidates, and a sentence on whether the guess was right."""

    hidden_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._fire: FireRecord | None = None
        self._revealed = False
        self.switch = QCheckBox(tr("H&ide the answer until I have guessed"))
        self.question = QLabel(tr("Which acts first?"))
        self.choice = QComboBox()
        self.choice.setAccessibleName(tr("Which acts first?"))
        self.button = QPushButton(tr("That is my &guess"))
        self.result = QLabel()
        self.result.setProperty("tone", "title")
        self.why = QLabel()
        self.why.setAccessibleName(tr("Why"))
        self.why.setWordWrap(True)
        self.why.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        row = QHBoxLayout()
        for widget in (self.switch, self.question, self.choice, self.button):
            row.addWidget(widget)
        row.addWidget(self.result, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addLayout(row)
        layout.addWidget(self.why)
        self._part = ""
        self._units = Units()
        self.switch.toggled.connect(self._switched)
        self.button.clicked.connect(self._guessed)
        self.why.hide()
        self._refresh()

    @property
    def hides(self) -> bool:
        """Whether the answer must not be seen now."""
        return self.switch.isChecked() and not self._revealed

    def offer(self, devices: tuple[str, ...], metal: str) -> None:
        """Let the student choose among these devices, rupture and nothing."""
        self._part = metal
        self.choice.clear()
        for device in devices:
            self.choice.addItem(device, device)
        self.choice.addItem(tr("{part} ruptures").format(part=metal), RUPTURE)
        self.choice.addItem(tr("nothing acts"), NOTHING)

    def show_fire(self, fire: FireRecord | None, units: Units) -> None:
        """The answer that is guessed at."""
        self._fire, self._units = fire, units
        if self._revealed and fire is not None:
            self._say_why(fire)  # in other units, or of the whole answer

    def ask_again(self) -> None:
        """Something was turned: the next answer is hidden again."""
        if self._revealed:
            self._revealed = False
            self._forget()
            self._refresh()
            self.hidden_changed.emit()

    def _forget(self) -> None:
        self.result.clear()
        self.why.clear()
        self.why.hide()

    def _say_why(self, fire: FireRecord) -> None:
        self.why.setText(why_first(fire, self._part, self._units))
        self.why.setVisible(bool(self.why.text()))

    def _switched(self) -> None:
        self._revealed = False
        self._forget()
        self._refresh()
        self.hidden_changed.emit()

    def _refresh(self) -> None:
        for widget in (self.question, self.choice, self.button):
            widget.setVisible(self.hides)

    def _guessed(self) -> None:
        if self._fire is None:
            return
        truth = first_to_act(self._fire)
        right = truth == self.choice.currentData()
        names = {
            self.choice.itemData(i): self.choice.itemText(i) for i in range(self.choice.count())
        }
        answer = names.get(truth, truth)
        self.result.setText(
            tr("● Right: {answer} first.").format(answer=answer)
            if right
            else tr("▲ No: {answer} first.").format(answer=answer)
        )
        self._revealed = True
        self._say_why(self._fire)
        self.switch.setFocus()  # the question goes away
        self._refresh()
        self.hidden_changed.emit()
