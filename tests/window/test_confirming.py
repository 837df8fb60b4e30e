"""Only the value on screen is confirmed: never while a field shows an entry that is not taken."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from airrisk.window.facts.editors import ChoiceEditor
from airrisk.window.first_vessel import vessel_file
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL
from tests.window.test_journeys import click, field, retype


@pytest.fixture
def quick_start(quick: None, frame: Frame) -> Frame:
    """A window with the vessel of the start page, nearly all of which is offered."""
    frame.files.start_with(vessel_file("workshop receiver", 0.5, 8e5, "8 bar(g)"))
    frame.session.choose("R1")
    return frame


def text_of(frame: Frame) -> str:
    document = frame.session.document
    assert document is not None
    return document.text


def offered(frame: Frame, name: str) -> tuple[str, ...]:
    document = frame.session.document
    assert document is not None
    assert document.installation is not None
    return tuple(document.installation.find(name).offered)  # type: ignore[union-attr]


def type_over(qtbot: QtBot, line: QLineEdit, text: str) -> None:
    """Replace a line's text and leave the keyboard there."""
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)


@pytest.mark.parametrize("done", ["Return", "nothing yet"])
@pytest.mark.parametrize("asked", ["this", "another", "all"])
def test_nothing_is_confirmed_while_an_entry_is_not_taken(
    qtbot: QtBot, quick_start: Frame, done: str, asked: str
) -> None:
    form = quick_start.work.facts.form
    before = text_of(quick_start)
    diameter = field(quick_start, "inside_diameter")
    type_over(qtbot, diameter, "700")
    if done == "Return":
        qtbot.keyClick(diameter, Qt.Key.Key_Return)
    key = {"this": "inside_diameter", "another": "wall_thickness"}.get(asked)
    button = form.confirm_all if key is None else form.rows["vessel", key].confirm_button
    assert button.isVisible()
    button.setFocus(Qt.FocusReason.OtherFocusReason)
    click(qtbot, button)
    assert text_of(quick_start) == before
    assert diameter.text() == "700"
    assert form.rows["vessel", "inside_diameter"].error.isVisible()
    assert form.rows["vessel", "inside_diameter"].origin.text() == "offered, not confirmed"
    assert diameter.hasFocus()
    told = quick_start.status.message.text()
    assert told == (
        "Nothing was confirmed. Finish Inside diameter of R1 first: what stands there is not taken."
    )


def test_a_sound_entry_is_taken_and_then_counts_as_typed(qtbot: QtBot, quick_start: Frame) -> None:
    row = quick_start.work.facts.form.rows["vessel", "inside_diameter"]
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    assert row.error.isVisible()
    type_over(qtbot, field(quick_start, "inside_diameter"), "700 mm")
    row.confirm_button.click()
    assert 'inside_diameter = "700 mm"' in text_of(quick_start)
    assert "inside_diameter" not in offered(quick_start, "R1")
    assert row.error.isHidden()
    assert row.origin.text() == "typed"


def test_a_sound_entry_after_a_refused_one_is_saved(qtbot: QtBot, quick_start: Frame) -> None:
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    type_over(qtbot, field(quick_start, "inside_diameter"), "700 mm")
    quick_start.session.take_typed()
    assert 'inside_diameter = "700 mm"' in text_of(quick_start)


def test_taking_an_entry_back_confirms_nothing(qtbot: QtBot, quick_start: Frame) -> None:
    before = text_of(quick_start)
    row = quick_start.work.facts.form.rows["vessel", "inside_diameter"]
    shown = field(quick_start, "inside_diameter").text()
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    assert row.error.isVisible()
    qtbot.keyClick(row.editor, Qt.Key.Key_Escape)
    assert field(quick_start, "inside_diameter").text() == shown
    assert row.error.isHidden()
    assert text_of(quick_start) == before
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    retype(qtbot, field(quick_start, "inside_diameter"), shown)
    assert row.error.isHidden()
    assert text_of(quick_start) == before
    click(qtbot, row.confirm_button)
    assert "inside_diameter" not in offered(quick_start, "R1")


def test_a_word_that_is_refused_is_not_confirmed_either(quick: None, frame: Frame) -> None:
    frame.files.start_with(SMALL)
    frame.session.choose("R2")
    assert frame.edits.add("plug") == "FP2"
    form = frame.work.facts.form
    before = text_of(frame)
    row = form.rows["plug", "alloy"]
    editor = row.editor
    assert isinstance(editor, ChoiceEditor)
    taken = editor.currentIndex()
    editor.addItem("unheard of", "unheard of")
    editor.setCurrentIndex(editor.count() - 1)
    editor.activated.emit(editor.count() - 1)
    assert row.error.isVisible()
    form.rows["plug", "bore"].confirm_button.click()
    row.confirm_button.click()
    form.confirm_all.click()
    assert text_of(frame) == before
    assert "Finish Alloy of FP2 first" in frame.status.message.text()
    editor.setCurrentIndex(taken)
    editor.activated.emit(taken)
    assert row.error.isHidden()
    assert text_of(frame) == before
    row.confirm_button.click()
    assert offered(frame, "FP2") == ("bore", "condition")


def test_an_entry_that_waits_outlasts_the_renaming_of_its_part(
    qtbot: QtBot, quick_start: Frame
) -> None:
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    type_over(qtbot, field(quick_start, "id"), "Tank")
    quick_start.work.facts.form.confirm_all.click()
    assert quick_start.session.chosen == "Tank"
    assert "inside_diameter" in offered(quick_start, "Tank")
    assert field(quick_start, "inside_diameter").text() == "700"
    assert "Inside diameter of Tank" in quick_start.status.message.text()


def test_an_entry_that_the_file_changes_under_is_told_as_lost(
    qtbot: QtBot, quick_start: Frame
) -> None:
    retype(qtbot, field(quick_start, "inside_diameter"), "650 mm")
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    quick_start.menus.actions["undo"].trigger()
    assert field(quick_start, "inside_diameter").text() == "630 mm"
    said = quick_start.status.message
    qtbot.waitUntil(lambda: "Not taken: 700, Inside diameter of R1" in said.text())


def test_an_entry_that_another_part_takes_the_place_of_is_told_as_lost(
    qtbot: QtBot, quick_start: Frame
) -> None:
    retype(qtbot, field(quick_start, "inside_diameter"), "700")
    assert quick_start.edits.type_part("receiver 3 m3 11 bar")
    said = quick_start.status.message
    qtbot.waitUntil(lambda: "Not taken: 700, Inside diameter of R1" in said.text())


@pytest.mark.parametrize("around", [" {} ", "{}\u00a0", "\t{}"])
def test_spaces_around_a_value_of_the_file_are_nothing_typed(
    qtbot: QtBot, quick_start: Frame, around: str
) -> None:
    document = quick_start.session.document
    assert document is not None
    spaced = around.format("630 mm")
    document.replace("spaces", document.text.replace('"630 mm"', f'"{spaced}"'))
    before = document.text
    assert document.installation is not None
    assert spaced in before
    row = quick_start.work.facts.form.rows["vessel", "inside_diameter"]
    assert not row.has_typed
    row.editor.setFocus()
    qtbot.keyClick(row.editor, Qt.Key.Key_Tab)
    qtbot.keyClick(row.editor, Qt.Key.Key_Return)
    quick_start.session.choose("FP1")
    assert document.text == before  # looked at, and still offered
    assert "inside_diameter" in offered(quick_start, "R1")
