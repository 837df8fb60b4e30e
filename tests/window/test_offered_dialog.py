"""All offered values in one list: nothing is ticked, what is ticked is confirmed as one step."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRect, Qt, QTimer
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from airrisk.editing import edits
from airrisk.editing.offered_list import offered_list
from airrisk.editing.usual_sizes import usual_sizes, with_size
from airrisk.installation.splice import SystemText
from airrisk.window.frame import Frame
from airrisk.window.offered_dialog import VALUE, OfferedDialog
from airrisk.wording.translation import tr
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language
from tests.window.test_journeys import field, retype

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")  # of dialogs offscreen


def offering(vessels: int) -> str:
    """A file with vessels of which nearly all is offered."""
    text = SystemText(SMALL)
    for number in range(vessels):
        text = edits.added(text, "vessel", f"T{number}", {"volume": "500 L"})
    return edits.added(text, "plug", "FP9", {"on": "T0"}).text


@pytest.fixture
def building(quick: None, frame: Frame) -> Frame:
    """A window with four vessels and a plug with offered values."""
    frame.files.start_with(offering(4))
    return frame


def text_of(frame: Frame) -> str:
    assert frame.session.document is not None
    return frame.session.document.text


def waiting(frame: Frame) -> int:
    return len(offered_list(SystemText(text_of(frame))))


@pytest.fixture
def dialog(building: Frame) -> OfferedDialog:
    """The list over its window."""
    dialog = OfferedDialog(building.session, building.edits, building)
    dialog.open()
    dialog.activateWindow()
    return dialog


def when_open(frame: Frame, act: Callable[[OfferedDialog], None]) -> QAction:
    """Do this in the dialog once it is open, and close it; returns the entry that opens it."""

    def meet() -> None:
        found = QApplication.activeModalWidget()
        assert isinstance(found, OfferedDialog)
        try:
            act(found)
        finally:
            found.reject()

    QTimer.singleShot(0, frame, meet)
    return frame.menus.actions["confirm"]


def test_every_offered_value_has_a_row_and_no_box_is_ticked(
    building: Frame, dialog: OfferedDialog
) -> None:
    rows = list(dialog._rows())
    assert len(rows) == waiting(building) > 10
    assert dialog.ticked() == ()
    assert not dialog.confirm.isEnabled()
    assert all(one.text(1) and one.text(2) for one in rows)
    heads = [dialog.tree.topLevelItem(number) for number in range(dialog.tree.topLevelItemCount())]
    assert [one.text(0) for one in heads if one is not None] == [
        *(f"Vessel T{number}: tick all of it" for number in range(4)),
        "Fusible plug FP9: tick all of it",
    ]
    assert "counts as typed by you" in dialog.told.text()
    texts = {button.text() for button in dialog.findChildren(QPushButton)}
    assert texts == {"&Confirm 0 ticked values", "Cancel"}  # none that spares the reading


def test_with_keys_only_a_row_and_a_part_are_ticked_and_confirmed_as_one_step(
    qtbot: QtBot, building: Frame, dialog: OfferedDialog
) -> None:
    document = building.session.document
    assert document is not None
    before = document.text
    assert dialog.tree.hasFocus()
    qtbot.keyClick(dialog.tree, Qt.Key.Key_Space)  # the box of the first part
    first = {(one.part, one.spec.key) for one in dialog.ticked()}
    assert {part for part, _key in first} == {"T0"}
    assert len(first) == 5
    qtbot.keyClick(dialog.tree, Qt.Key.Key_Down)
    qtbot.keyClick(dialog.tree, Qt.Key.Key_Space)  # one of them not
    for _step in range(6):
        qtbot.keyClick(dialog.tree, Qt.Key.Key_Down)
    qtbot.keyClick(dialog.tree, Qt.Key.Key_Space)  # and one of the next part
    chosen = dialog.ticked()
    assert [one.part for one in chosen] == ["T0"] * 4 + ["T1"]
    assert dialog.confirm.text() == "&Confirm 5 ticked values"
    qtbot.keyClick(dialog, Qt.Key.Key_C, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(dialog.isHidden)
    left = {one.key for one in offered_list(document.system_text)}
    assert left.isdisjoint(one.key for one in chosen)
    assert len(left) == len(offered_list(SystemText(before))) - 5
    assert document.undo_label == "confirm 5 offered values"
    assert building.status.message.text() == "Confirmed: 5 values of T0, T1"
    document.undo()
    assert document.text == before


def test_return_on_a_row_shows_its_field_and_confirms_nothing(
    qtbot: QtBot, building: Frame
) -> None:
    before = text_of(building)

    def press(dialog: OfferedDialog) -> None:
        qtbot.keyClick(dialog.tree, Qt.Key.Key_Space)
        qtbot.keyClick(dialog.tree, Qt.Key.Key_Down)
        qtbot.keyClick(dialog.tree, Qt.Key.Key_Return)
        assert dialog.isHidden()

    building.show_view("round")
    when_open(building, press).trigger()
    assert text_of(building) == before
    assert building.session.chosen == "T0"
    assert building.focusWidget() is field(building, "inside_diameter")


def test_undo_and_other_files_under_the_list_are_followed(
    building: Frame, dialog: OfferedDialog
) -> None:
    document = building.session.document
    assert document is not None
    rows = list(dialog._rows())
    rows[0].setCheckState(0, Qt.CheckState.Checked)
    rows[1].setCheckState(0, Qt.CheckState.Checked)
    changed = document.system_text.set("T0", "inside_diameter", "611 mm")
    again = changed.set("T0", "offered", list(SystemText(document.text).block("T0")["offered"]))
    assert dialog.ticked()[0].spec.key == "inside_diameter"
    document.replace("another size", again.text)
    assert [one.spec.key for one in dialog.ticked()] == [rows_key(dialog, 1)]  # not what changed
    document.undo()
    assert len(dialog.ticked()) == 1
    document.replace("nothing left", SMALL)
    assert dialog.isHidden()
    document.undo()
    building.session.set_document(None)
    assert dialog.isHidden()


def rows_key(dialog: OfferedDialog, number: int) -> str:
    """The field of a row."""
    return str(list(dialog._rows())[number].data(0, VALUE).spec.key)


def test_a_file_that_goes_while_the_list_is_open_closes_it(building: Frame) -> None:
    def close(dialog: OfferedDialog) -> None:
        building.session.set_document(None)
        assert dialog.isHidden()

    when_open(building, close).trigger()


def test_an_entry_that_is_not_taken_comes_first(qtbot: QtBot, building: Frame) -> None:
    building.session.choose("T1")
    retype(qtbot, field(building, "inside_diameter"), "700")
    building.show_view("round")
    building.menus.actions["confirm"].trigger()
    assert QApplication.activeModalWidget() is None
    assert "Finish Inside diameter of T1 first" in building.status.message.text()
    assert field(building, "inside_diameter").hasFocus()
    retype(qtbot, field(building, "inside_diameter"), "700 mm")
    values: list[str] = []
    when_open(
        building, lambda one: values.extend(row.text(1) for row in one._rows())
    ).trigger()  # fmt: skip
    assert len(values) == waiting(building)


def test_where_nothing_can_be_confirmed_it_is_told(quick: None, frame: Frame) -> None:
    frame.files.start_with(SMALL)
    entry = frame.menus.actions["confirm"]
    said = frame.status.message
    entry.trigger()
    assert said.text() == "No value waits to be confirmed."
    document = frame.session.document
    assert document is not None
    document.replace("broken", "format = \n[[")
    entry.trigger()
    assert "mend its text first" in said.text()
    document.undo()
    document.review_only = True
    entry.trigger()
    assert "locked" in said.text()


@in_every_language
def test_a_long_list_scrolls_in_a_small_window(quick: None, frame: Frame, language: str) -> None:
    frame.resize(1024, 700)
    frame.files.start_with(offering(40))
    dialog = OfferedDialog(frame.session, frame.edits, frame)
    dialog.open()
    QApplication.processEvents()
    assert dialog.width() <= 1024
    assert dialog.height() <= 700
    assert dialog.tree.verticalScrollBar().maximum() > 0
    assert dialog.tree.horizontalScrollBar().maximum() == 0
    inside = QRect(0, 0, dialog.width(), dialog.height())
    assert inside.contains(dialog.confirm.geometry().translated(dialog.buttons.pos()))
    assert dialog.told.heightForWidth(dialog.told.width()) <= dialog.told.height()
    last = list(dialog._rows())[-1]
    dialog.tree.setCurrentItem(last)
    assert dialog.tree.viewport().rect().contains(dialog.tree.visualItemRect(last).center())
    dialog.reject()


def test_the_whole_origin_of_the_marked_row_can_be_read(
    building: Frame, dialog: OfferedDialog
) -> None:
    document = building.session.document
    assert document is not None
    size = usual_sizes("line")[4]
    document.replace("size", with_size(document.system_text, "L1", size).text)
    row = next(one for one in dialog._rows() if one.data(0, VALUE).part == "L1")
    dialog.tree.setCurrentItem(row)
    assert size.name in dialog.origin.text()
    assert tr(size.source) in dialog.origin.text()
    assert dialog.origin.text().casefold() == row.text(2).casefold()
    dialog.tree.setCurrentItem(dialog.tree.topLevelItem(0))
    assert dialog.origin.text() == ""
