"""Which of the two drawings is shown, and what the site plan cannot show."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.plan.scene import Mode
from airrisk.wording.translation import tr

WIDTH = 120  # px of the list beside the site plan


class ModeButtons(QWidget):
    """Two buttons of which one is down: schematic or site plan."""

    asked = Signal(object)  # Mode

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._group = QButtonGroup(self)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        self.buttons: dict[Mode, QToolButton] = {}
        told: tuple[tuple[Mode, str, str], ...] = (
            ("schematic", tr("Schematic"), tr("What joins what, along the flow; not to scale")),
            ("site plan", tr("Site plan"), tr("Where things stand, to scale, by plan positions")),
        )
        for mode, name, tip in told:
            button = QToolButton()
            button.setText(name)
            button.setToolTip(tip)
            button.setCheckable(True)
            button.setProperty("mode", "true")
            self._group.addButton(button)
            layout.addWidget(button)
            self.buttons[mode] = button
        self.buttons["schematic"].setChecked(True)
        self._group.buttonClicked.connect(self._clicked)

    def _clicked(self, button: QToolButton) -> None:
        self.asked.emit(next(mode for mode, one in self.buttons.items() if one is button))

    def show_mode(self, mode: Mode) -> None:
        """Press the button of a mode."""
        self.buttons[mode].setChecked(True)


class MissingList(QWidget):
    """Parts that have no plan position: listed beside the site plan, drawn nowhere."""

    chosen = Signal(object)  # id

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        title = QLabel(tr("No plan position"))
        title.setProperty("tone", "quiet")
        title.setWordWrap(True)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Parts without a plan position"))
        title.setBuddy(self.list)
        self.list.itemActivated.connect(self._tell)
        self.list.itemClicked.connect(self._tell)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(4, 4, 4, 4)
        layout.addWidget(title)
        layout.addWidget(self.list, 1)
        self.setFixedWidth(WIDTH)
        self.hide()

    def _tell(self, item: QListWidgetItem) -> None:
        self.chosen.emit(item.text())

    def show_parts(self, names: Sequence[str]) -> None:
        """List these parts; nothing is shown if there are none."""
        if [self.list.item(i).text() for i in range(self.list.count())] != list(names):
            self.list.clear()
            self.list.addItems(list(names))
        self.setVisible(bool(names))
