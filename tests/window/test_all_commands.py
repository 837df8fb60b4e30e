"""Everything stands in the list of commands with its key, and the keyboard reaches it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAction, QKeySequence
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QComboBox,
    QGraphicsView,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from airrisk.window import all_commands
from airrisk.window.all_commands import AllCommands, Command, plain
from airrisk.window.frame import Frame
from airrisk.window.views import VIEWS
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language
from tests.window.test_building import in_dialog

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")  # of dialogs offscreen
INPUTS = (
    QLineEdit, QComboBox, QAbstractSpinBox, QAbstractItemView, QGraphicsView, QPlainTextEdit,
    QTextEdit, QAbstractButton,
)  # fmt: skip


@pytest.fixture
def small(quick: None, frame: Frame) -> Frame:
    """A window with two vessels and a line."""
    frame.files.start_with(SMALL)
    return frame


def actions_below(menu: QMenu) -> list[str]:
    """Texts of all actions of a menu."""
    found: list[str] = []
    for action in menu.actions():
        below = action.menu()
        if isinstance(below, QMenu):
            found += actions_below(below)
        elif not action.isSeparator():
            found.append(plain(action.text()))
    return found


@in_every_language
def test_every_action_button_and_kind_stands_in_the_list(small: Frame, language: str) -> None:
    for view in VIEWS:
        small.show_view(view)
        names = [one.name for one in small.commands()]
        wanted = [
            name
            for action in small.menuBar().actions()
            if isinstance(menu := action.menu(), QMenu)
            for name in actions_below(menu)
        ]
        page = small.pages[view]
        wanted += [
            plain(button.text())
            for button in page.findChildren(QAbstractButton)
            if button.isVisible() and plain(button.text()) and not _of_field_or_card(button)
        ]
        wanted += [plain(action.text()) for action in small.work.plan.add_actions]
        assert [name for name in wanted if name not in names] == [], view


def _of_field_or_card(button: QWidget) -> bool:
    return all_commands._of_one_thing(button)


def test_a_command_that_cannot_be_done_now_is_listed_greyed_and_does_nothing(
    qtbot: QtBot, frame: Frame
) -> None:
    dialog = AllCommands(frame.commands())
    qtbot.addWidget(dialog)
    dialog.line.setText("duplicate")
    assert dialog.list.topLevelItem(0).isDisabled()
    dialog.go()
    assert dialog.chosen is None


def test_words_in_any_order_find_a_command_and_return_does_it(qtbot: QtBot, small: Frame) -> None:
    def search(dialog: AllCommands) -> None:
        qtbot.keyClicks(dialog.line, "round inspection view")
        qtbot.keyClick(dialog.line, Qt.Key.Key_Return)

    in_dialog(AllCommands, search)
    small.menus.actions["commands"].trigger()
    assert small.stack.currentWidget() is small.pages["round"]

    def add(dialog: AllCommands) -> None:
        qtbot.keyClicks(dialog.line, "add junction")
        qtbot.keyClick(dialog, Qt.Key.Key_Down)
        qtbot.keyClick(dialog, Qt.Key.Key_Up)
        qtbot.keyClick(dialog.line, Qt.Key.Key_Return)

    in_dialog(AllCommands, add)
    small.menus.actions["commands"].trigger()
    assert small.session.chosen == "J1"


def test_a_search_without_result_shows_nothing_and_return_keeps_the_list_open(
    qtbot: QtBot,
) -> None:
    done: list[str] = []
    dialog = AllCommands([Command("File", "New", "Ctrl+N", True, lambda: done.append("new"))])
    qtbot.addWidget(dialog)
    dialog.line.setText("nothing like this")
    dialog.go()
    assert dialog.list.topLevelItemCount() == 0
    assert dialog.chosen is None
    dialog.line.setText("ctrl+n")
    dialog.go()
    assert dialog.chosen is not None
    assert done == []


def test_keys_are_told_as_they_are(small: Frame) -> None:
    told = {one.name: one.key for one in small.commands()}
    assert told["Save"] == "Ctrl+S"
    assert told["Type a part"] == "Ctrl+T"
    assert told["System file"] == "Ctrl+7"
    keys = [one.key for one in small.commands() if one.key and "Alt" not in one.key]
    assert len(keys) == len(set(keys))


def reached_by_tab(page: QWidget) -> set[QWidget]:
    """What the tab key can reach within a page, going by the chain of the keyboard."""
    found: set[QWidget] = set()
    place = page.nextInFocusChain()
    while place is not None and place not in found and place is not page:
        found.add(place)
        place = place.nextInFocusChain()
    return found


@in_every_language
def test_the_tab_key_reaches_every_input_of_a_view_and_each_has_a_name(
    small: Frame, language: str
) -> None:
    for view in VIEWS:
        small.show_view(view)
        unreached, nameless = without_tab_or_name(small.pages[view])
        assert unreached == [], view
        assert nameless == [], view


def without_tab_or_name(page: QWidget) -> tuple[list[str], list[str]]:
    """Inputs that the tab key does not reach, and inputs without a name to read out."""
    chain = reached_by_tab(page)
    unreached, nameless = [], []
    for widget in page.findChildren(QWidget):
        if not isinstance(widget, INPUTS) or not widget.isVisible() or not widget.isEnabled():
            continue
        takes = widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        if takes and widget not in chain:
            unreached.append(str(widget))
        named = widget.accessibleName() or (
            isinstance(widget, QAbstractButton) and plain(widget.text())
        )
        if takes and not named:
            nameless.append(f"{widget} in {widget.parentWidget()}")
    return unreached, nameless


def test_an_item_of_the_drawing_is_told_to_screen_readers(small: Frame) -> None:
    view = small.work.plan.view
    heard = QAccessible.queryAccessibleInterface(view)
    for name in ("R1", "L1", "V1", "FP1"):
        small.session.choose(name)
        assert name in heard.text(QAccessible.Text.Description)
    small.session.choose("L1")
    said = heard.text(QAccessible.Text.Description)
    assert "R1" in said
    assert "R2" in said
    small.session.choose(None)
    assert "R1" not in heard.text(QAccessible.Text.Description)


def test_every_item_of_the_drawing_has_its_kind_in_words(small: Frame) -> None:
    plan = small.work.plan
    for name, item in plan.scene.items_by_name.items():
        assert name in plan.spoken(name)
        assert plan.spoken(name) != name
        assert item.toolTip()


def test_the_keyboard_returns_where_it_was_when_the_list_closes(qtbot: QtBot, small: Frame) -> None:
    small.work.plan.view.setFocus()

    def leave(dialog: AllCommands) -> None:
        qtbot.keyClick(dialog, Qt.Key.Key_Escape)

    in_dialog(AllCommands, leave)
    small.menus.actions["commands"].trigger()
    assert small.focusWidget() is small.work.plan.view


@in_every_language
def test_every_entry_of_a_menu_has_a_key_of_its_own(small: Frame, language: str) -> None:
    """A shortcut, or an underlined letter that no other entry of the same menu has."""
    without, shared = [], []

    def look(entries: list[QAction], where: str) -> None:
        letters: dict[str, str] = {}
        for action in entries:
            if action.isSeparator() or not action.isVisible():
                continue
            letter = QKeySequence.mnemonic(action.text()).toString()
            if letter and letter in letters:
                shared.append(f"{where}: {letters[letter]} and {action.text()}")
            letters.setdefault(letter, action.text())
            if not letter and action.shortcut().isEmpty():
                without.append(f"{where}: {action.text()}")
            below = action.menu()
            if isinstance(below, QMenu):
                look(below.actions(), action.text())

    look(small.menuBar().actions(), "bar")
    look(small.work.plan.add_menu.actions(), "add")
    assert not without
    assert not shared
