"""Everything that can be done now, in one list that can be searched: each with its key."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractButton,
    QDialog,
    QHeaderView,
    QLineEdit,
    QMenu,
    QMenuBar,
    QPushButton,
    QTabWidget,
    QToolButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from airrisk.window.cards import CardWidget
from airrisk.window.facts.row import FieldRow
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.window.plan.panel import PlanPanel
    from airrisk.window.views import ViewBar


@dataclass(frozen=True)
class Command:
    """One thing that can be done: where it stands, its name, its key and what does it."""

    where: str
    name: str
    key: str
    possible: bool
    run: Callable[[], Any]

    @property
    def searched(self) -> str:
        """What a search looks through."""
        return f"{self.where} {self.name} {self.key}".casefold()


def plain(text: str) -> str:
    """A text without the mark of its letter."""
    return text.replace("&&", "\0").replace("&", "").replace("\0", "&").strip()


def key_of(action: QAction) -> str:
    """The key of an action as it is written on the keyboard; empty: it has none."""
    return action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)


def in_menus(bar: QMenuBar) -> Iterator[Command]:
    """The actions of all menus."""
    for action in bar.actions():
        menu = action.menu()
        if isinstance(menu, QMenu):
            yield from _in_menu(menu, plain(action.text()))


def _in_menu(menu: QMenu, where: str) -> Iterator[Command]:
    for action in menu.actions():
        below = action.menu()
        if isinstance(below, QMenu):
            yield from _in_menu(below, f"{where}, {plain(action.text())}")
        elif not action.isSeparator():
            name = plain(action.text())
            yield Command(where, name, key_of(action), action.isEnabled(), action.trigger)


def to_add(plan: PlanPanel, is_open: bool) -> Iterator[Command]:
    """The kinds of parts that can be added."""
    for action in plan.add_actions:
        yield Command(tr("Add"), plain(action.text()), "", is_open, action.trigger)


def of_views(bar: ViewBar) -> Iterator[Command]:
    """The full views."""
    for button in bar.findChildren(QPushButton):
        key = button.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        name = plain(button.text())
        yield Command(tr("View"), name, key, bar.isVisible(), button.click)


def on_page(page: QWidget, where: str) -> Iterator[Command]:
    """The buttons and tabs of the page that is shown; those of fields and cards stand there."""
    for button in page.findChildren(QAbstractButton):
        name = plain(button.text()) or button.accessibleName()
        if not name or not button.isVisible() or _of_one_thing(button):
            continue
        key = QKeySequence.mnemonic(button.text())
        told = key.toString(QKeySequence.SequenceFormat.NativeText)
        yield Command(where, name, told, button.isEnabled(), _pressing(button))
    for tabs in page.findChildren(QTabWidget):
        for number in range(tabs.count() if tabs.isVisible() else 0):
            run = _turning(tabs, number)
            name = plain(tabs.tabText(number))
            yield Command(where, name, "", tabs.isTabEnabled(number), run)


def _pressing(button: QAbstractButton) -> Callable[[], None]:
    """What a click on a button does; one with a menu opens it."""

    def press() -> None:
        button.setFocus(Qt.FocusReason.ShortcutFocusReason)
        menu = button.menu() if isinstance(button, QToolButton) else None
        if menu is not None:
            menu.popup(button.mapToGlobal(button.rect().bottomLeft()))
        else:
            button.click()

    return press


def _turning(tabs: QTabWidget, number: int) -> Callable[[], None]:
    def turn() -> None:
        tabs.setCurrentIndex(number)
        tabs.tabBar().setFocus(Qt.FocusReason.ShortcutFocusReason)

    return turn


def _of_one_thing(button: QWidget) -> bool:
    """Whether a button belongs to one field or card, which has keys of its own."""
    holder = button.parentWidget()
    while holder is not None:
        if isinstance(holder, (FieldRow, CardWidget, QLineEdit)):
            return True
        holder = holder.parentWidget()
    return False


class AllCommands(QDialog):
    """A line to search in and the list; Return does what is marked."""

    def __init__(self, commands: list[Command], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._commands = commands
        self._shown: list[Command] = []
        self.chosen: Command | None = None
        self.setWindowTitle(tr("All commands"))
        self.resize(560, 480)
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("Search: words of a command, in any order"))
        self.line.setAccessibleName(tr("Search commands"))
        self.line.setClearButtonEnabled(True)
        self.list = QTreeWidget()
        self.list.setAccessibleName(tr("Commands found"))
        self.list.setHeaderLabels([tr("Command"), tr("Where"), tr("Key")])
        self.list.setRootIsDecorated(False)
        self.list.setAlternatingRowColors(True)
        self.list.setAllColumnsShowFocus(True)
        header = self.list.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        layout = QVBoxLayout(self)
        layout.addWidget(self.line)
        layout.addWidget(self.list)
        self.line.textChanged.connect(self.refresh)
        self.line.returnPressed.connect(self.go)
        self.list.itemActivated.connect(self.go)
        self.refresh()

    def refresh(self) -> None:
        """List the commands that hold all words; what is not possible now comes last, greyed."""
        words = self.line.text().casefold().split()
        found = [one for one in self._commands if all(word in one.searched for word in words)]
        begins = words[0] if words else ""
        self._shown = sorted(
            found, key=lambda one: (not one.possible, not one.name.casefold().startswith(begins))
        )
        self.list.clear()
        for one in self._shown:
            item = QTreeWidgetItem([one.name, one.where, one.key])
            if not one.possible:
                item.setDisabled(True)
                item.setToolTip(0, tr("Not possible now"))
            self.list.addTopLevelItem(item)
        if self._shown:
            self._mark(0)

    def _row(self) -> int:
        item = self.list.currentItem()
        return -1 if item is None else self.list.indexOfTopLevelItem(item)

    def _mark(self, row: int) -> None:
        item = self.list.topLevelItem(row)
        if item is not None:
            self.list.setCurrentItem(item)

    def go(self) -> None:
        """Choose the marked command, which is done when this dialog has closed."""
        row = self._row()
        if 0 <= row < len(self._shown) and self._shown[row].possible:
            self.chosen = self._shown[row]
            self.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up) and self._shown:
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            self._mark(min(max(self._row() + step, 0), len(self._shown) - 1))
            event.accept()
        else:
            super().keyPressEvent(event)


def ask_for_command(commands: list[Command], parent: QWidget) -> None:
    """Show the list and do what is chosen."""
    dialog = AllCommands(commands, parent)
    dialog.exec()
    chosen = dialog.chosen
    dialog.deleteLater()
    if chosen is not None:
        chosen.run()
