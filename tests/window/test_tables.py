"""Tables of the window: sorted, filtered, copied, with the widths that a person gave them."""

from __future__ import annotations

import datetime as dt

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from pytestqt.qtbot import QtBot

from airrisk.window.places import settings
from airrisk.window.tables import TableFilter, TextTable, as_counted

HEADS = ("Place", "Due", "Remark")
ROWS = (
    ("V10", "02/03/2027", "seized\tand\nleaking"),
    ("V9", "", "in order"),
    ("R1", "01/12/2026", "in order"),
)
DAYS = (
    (None, dt.date(2027, 3, 2), None),
    (None, dt.date.max, None),
    (None, dt.date(2026, 12, 1), None),
)


@pytest.fixture
def table(qtbot: QtBot) -> TextTable:
    """A shown table of three rows."""
    found = TextTable("Stops", HEADS, 2)
    qtbot.addWidget(found)
    found.resize(500, 200)
    found.show()
    found.show_rows(ROWS, ("V10", "V9", "R1"), order=DAYS)
    return found


def places(table: TextTable) -> list[str]:
    return [table._line(row).split("\t")[0] for row in range(table.rowCount())]


def test_a_head_sorts_as_people_count_then_back_then_as_it_was(table: TextTable) -> None:
    table.sort_by(0)
    assert places(table) == ["R1", "V9", "V10"]
    table.sort_by(0)
    assert places(table) == ["V10", "V9", "R1"]
    table.sort_by(0)
    assert places(table) == ["V10", "V9", "R1"]
    assert not table.horizontalHeader().isSortIndicatorShown()


def test_days_are_sorted_as_days_however_they_are_written(table: TextTable) -> None:
    table.sort_by(1)
    assert places(table) == ["R1", "V10", "V9"]  # no day comes last


def test_the_key_of_a_row_follows_it_when_rows_are_sorted_and_filtered(
    qtbot: QtBot, table: TextTable
) -> None:
    table.sort_by(0)
    with qtbot.waitSignal(table.row_chosen) as told:
        table.cellActivated.emit(2, 0)
    assert told.args == ["V10"]
    table.setCurrentCell(2, 0)
    table.filter_by("leaking")
    assert places(table) == ["V10"]
    assert table.current_key() == "V10"
    assert table.counts == (1, 3)


def test_a_chosen_row_that_is_filtered_out_leaves_no_other_one_chosen(table: TextTable) -> None:
    """What is noted as done must never be the row that has slid into its place."""
    table.setCurrentCell(0, 0)
    table.filter_by("order")
    assert table.current_key() is None
    table.filter_by("")
    assert table.current_key() is None
    table.setCurrentCell(2, 0)
    table.show_rows(ROWS[:1], ("V10",))
    assert table.current_key() is None


def test_a_filter_asks_for_all_of_its_words_and_outlives_new_rows(table: TextTable) -> None:
    line = TableFilter(table)
    line.setText("ORDER v")
    assert places(table) == ["V9"]
    assert "1" in line.shown.text()
    assert "3" in line.shown.text()
    assert not line.shown.isHidden()
    table.show_rows(ROWS[:2], ("V10", "V9"))
    assert places(table) == ["V9"]
    line.clear()
    assert len(places(table)) == 2
    assert line.shown.isHidden()
    line.shown.deleteLater()


def test_copied_rows_stay_in_their_cells(qtbot: QtBot, table: TextTable) -> None:
    qtbot.keySequence(table, QKeySequence(QKeySequence.StandardKey.Copy))
    lines = QGuiApplication.clipboard().text().splitlines()
    assert lines[0] == "Place\tDue\tRemark"
    assert lines[1] == "V10\t02/03/2027\tseized and leaking"
    assert len(lines) == 4
    table.setCurrentCell(1, 0)
    table.copy_row()
    assert QGuiApplication.clipboard().text() == "V9\t\tin order\n"


def test_a_width_that_a_person_gave_is_kept_until_it_is_given_up(
    qtbot: QtBot, table: TextTable
) -> None:
    usual = table.columnWidth(0)
    table.horizontalHeader().resizeSection(0, 137)
    table.resize(620, 200)
    assert table.columnWidth(0) == 137
    again = TextTable("Stops", HEADS, 2)
    qtbot.addWidget(again)
    again.resize(500, 200)
    again.show()
    again.show_rows(ROWS, ("V10", "V9", "R1"))
    assert again.columnWidth(0) == 137
    again.fill_menu()
    again.usual_widths()
    assert again.columnWidth(0) == usual


@pytest.mark.parametrize("stored", ["0:99999999", "nonsense", "7:40", 12, ["0:1"]])
def test_damaged_widths_in_the_settings_count_as_none(qtbot: QtBot, stored: object) -> None:
    first = TextTable("Stops", HEADS, 2)
    qtbot.addWidget(first)
    settings().setValue(first._place, stored)
    found = TextTable("Stops", HEADS, 2)
    qtbot.addWidget(found)
    assert found._by_hand == {}


def test_the_menu_of_a_table_sorts_and_copies(table: TextTable) -> None:
    table.setCurrentCell(0, 0)
    table.fill_menu()
    texts = [action.text() for action in table.menu.actions()]
    assert any("row" in text for text in texts)
    table._sorting.actions()[0].trigger()
    assert places(table) == ["R1", "V9", "V10"]
    table.fill_menu()  # again and again, no menu is left over
    assert len(table.menu.actions()) == len(texts)


def test_texts_are_counted_without_their_shapes() -> None:
    assert sorted(["V10", "V9", "● v8"], key=as_counted) == ["● v8", "V9", "V10"]
    assert sorted(["12,5 mm", "2 mm"], key=as_counted) == ["2 mm", "12,5 mm"]
    assert sorted(["10² x", "² a", "9² x"], key=as_counted) == ["9² x", "10² x", "² a"]


def test_a_click_on_a_head_is_enough(qtbot: QtBot, table: TextTable) -> None:
    header = table.horizontalHeader()
    place = header.viewport().rect().topLeft()
    place.setX(header.sectionViewportPosition(0) + 10)
    place.setY(header.height() // 2)
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert places(table) == ["R1", "V9", "V10"]
