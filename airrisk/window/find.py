"""Find a part, device, fire or place by typing a piece of its name or kind."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QDialog, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from airrisk.editing.edits import kind_of
from airrisk.wording import labels
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.session import Session


class FindPart(QDialog):
    """A line to type in and the list of what fits; return goes to the first."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setWindowTitle(tr("Find a part"))
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("Name or kind"))
        self.line.setAccessibleName(tr("Name or kind"))
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Parts found"))
        layout = QVBoxLayout(self)
        layout.addWidget(self.line)
        layout.addWidget(self.list)
        self.resize(360, 320)
        self.line.textChanged.connect(self.refresh)
        self.line.returnPressed.connect(self.go)
        self.list.itemActivated.connect(self.go)
        self.refresh()

    def refresh(self) -> None:
        """List what fits the typed text."""
        wanted = self.line.text().casefold().strip()
        self.list.clear()
        installation = self._session.installation or self._session.drawn
        if installation is None:
            return
        records: list[Any] = [
            *installation.parts(), *installation.valves, *installation.devices(),
            *installation.fires, *installation.fire_sources, *installation.walls,
            *installation.readings, *installation.people, *installation.rooms,
        ]  # fmt: skip
        for record in records:
            text = f"{record.id}   {labels.part_kind(kind_of(record))}"
            if wanted in text.casefold():
                item = QListWidgetItem(text)
                item.setData(Qt.ItemDataRole.UserRole, record.id)
                self.list.addItem(item)
        self.list.setCurrentRow(0)

    def go(self) -> None:
        """Choose the marked entry."""
        item = self.list.currentItem()
        if item is not None:
            self._session.choose(item.data(Qt.ItemDataRole.UserRole))
            self.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            row = min(max(self.list.currentRow() + step, 0), self.list.count() - 1)
            self.list.setCurrentRow(row)
            event.accept()
        else:
            super().keyPressEvent(event)
