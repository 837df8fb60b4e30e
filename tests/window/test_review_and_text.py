"""Remarks, inspections, open for review and the text page, through the window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from airrisk.tables import sample_path
from airrisk.window.facts.editors import TextEditor
from airrisk.window.facts.inspections import InspectionDialog
from airrisk.window.frame import Frame
from airrisk.window.text_page import TextPage
from tests.editing.systems import SMALL

FERRY = sample_path("river-ferry.toml")


def test_a_remark_is_written_with_keys_only(qtbot: QtBot, quick: None, frame: Frame) -> None:
    frame.files.start_with(SMALL)
    frame.session.choose("R1")
    row = frame.work.facts.form.rows[("vessel", "wall_thickness")]
    row.editor.setFocus()
    qtbot.keyClick(row.editor, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    assert row.remark_line.hasFocus()
    qtbot.keyClicks(row.remark_line, "least of nine readings")
    qtbot.keyClick(row.remark_line, Qt.Key.Key_Return)
    document = frame.session.document
    assert document is not None
    assert 'notes = { wall_thickness = "least of nine readings" }' in document.text
    row = frame.work.facts.form.rows[("vessel", "wall_thickness")]
    assert "least of nine readings" in row.remark.text()
    assert document.undo()
    assert document.text == SMALL


def test_open_for_review_locks_values_but_not_inspections(
    qtbot: QtBot, quick: None, frame: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "ferry.toml"
    file.write_bytes(FERRY.read_bytes())
    frame.files.open_name(str(file), review=True)
    document = frame.session.document
    assert document is not None
    assert "review" in frame.windowTitle()
    frame.session.choose("FP2")
    bore = frame.work.facts.form.rows[("plug", "bore")].editor
    assert isinstance(bore, TextEditor)
    assert bore.isReadOnly()
    before = document.text
    frame.edits.add("vessel")
    frame.edits.delete(["FP2"])
    assert document.text == before

    def fill(dialog: QDialog) -> int:
        assert isinstance(dialog, InspectionDialog)
        assert dialog.on.currentText() == "FP2"
        dialog.date.setText("yesterday")
        dialog.save()
        assert "Date" in dialog.error.text()
        dialog.date.setText("2026-10-20")
        dialog.condition.setCurrentIndex(dialog.condition.findData("scaled"))
        qtbot.keyClicks(dialog.note, "white crust")
        dialog.save()
        return 1

    monkeypatch.setattr(InspectionDialog, "exec", fill)
    page = frame.work.facts.inspections
    frame.work.facts.tabs.setCurrentWidget(page)
    seen = page.count
    qtbot.mouseClick(page.add_button, Qt.MouseButton.LeftButton)
    assert page.count == seen + 1
    assert "scaled" in page.cards.cards[0].card.heading
    installation = frame.session.installation
    assert installation is not None
    assert installation.inspections[-1].note == "white crust"

    def take_out(dialog: InspectionDialog) -> int:
        dialog.remove()
        return 1

    monkeypatch.setattr(InspectionDialog, "exec", take_out)
    page.cards.cards[0].chosen.emit("0")
    assert document.text == before
    assert document.undo()
    assert page.count == seen + 1


def test_a_file_with_a_syntax_error_is_mended_as_text(
    qtbot: QtBot, quick: None, frame: Frame, tmp_path: Path
) -> None:
    file = tmp_path / "broken.toml"
    good = SMALL.replace("\n", "\r\n")
    line = good.split("\r\n").index('id = "R1"')
    file.write_bytes(good.replace('id = "R1"', 'id = "R1').encode())
    frame.files.open_name(str(file))
    document = frame.session.document
    assert document is not None
    page = frame.pages["text"]
    assert isinstance(page, TextPage)
    assert page.isVisible()
    assert page.editor.marked == {line + 1}
    assert f"line {line + 1}" in page.problems.cards[0].card.heading
    assert page.editor.textCursor().blockNumber() == line
    qtbot.keyClick(page.editor, Qt.Key.Key_End)
    qtbot.keyClicks(page.editor, '"')
    qtbot.waitUntil(lambda: not document.problems)
    assert document.text == good
    assert not page.editor.marked
    qtbot.keyClick(page.editor, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert document.problems
    assert page.editor.marked == {line + 1}


def test_the_text_follows_the_form_and_the_form_the_text(
    qtbot: QtBot, quick: None, frame: Frame
) -> None:
    frame.files.start_with(SMALL)
    frame.session.choose("R1")
    frame.show_view("text")
    page = frame.pages["text"]
    assert isinstance(page, TextPage)
    assert page.editor.text() == SMALL
    page.editor.setPlainText(SMALL.replace('wall_thickness = "', 'wall_thickness = "1', 1))
    page.take()
    document = frame.session.document
    assert document is not None
    row = frame.work.facts.form.rows[("vessel", "wall_thickness")]
    assert row.editor.text().startswith("1")  # type: ignore[union-attr]
    document.undo()
    assert page.editor.text() == SMALL


def test_the_inspection_form_has_names_for_all_its_inputs(
    quick: None, frame: Frame, make_dialog: Callable[[Frame], InspectionDialog]
) -> None:
    frame.files.start_with(FERRY.read_text(encoding="utf-8"))
    dialog = make_dialog(frame)
    for widget in (dialog.on, dialog.date, dialog.by, dialog.condition, dialog.note):
        assert widget.accessibleName()
    assert dialog.on.count() > 5
    QApplication.processEvents()


@pytest.fixture
def make_dialog(qtbot: QtBot) -> Callable[[Frame], InspectionDialog]:
    """Makes the inspection form without running it."""

    def make(frame: Frame) -> InspectionDialog:
        dialog = InspectionDialog(frame.session, "FP1", None, frame)
        qtbot.addWidget(dialog)
        return dialog

    return make


def test_an_inspection_after_the_audit_date_says_that_it_does_not_count(
    quick: None, frame: Frame, make_dialog: Callable[[Frame], InspectionDialog]
) -> None:
    frame.files.start_with(FERRY.read_text(encoding="utf-8"))
    frame.session.choose("FP1")
    dialog = make_dialog(frame)
    dialog.date.setText("2026-10-30")
    assert dialog.late.isHidden()
    dialog.date.setText("2026-11-25")
    assert not dialog.late.isHidden()
    assert "2026-11-01" in dialog.late.text()
    dialog.save()
    newest = frame.work.facts.inspections.cards.cards[0].card
    assert "not counted" in newest.small
    assert "not counted" not in frame.work.facts.inspections.cards.cards[1].card.small


def test_the_tab_key_leads_from_a_list_of_cards_into_its_cards(one_vessel: Frame) -> None:
    findings = one_vessel.work.strip.findings
    assert len(findings.cards) >= 2
    place: QWidget = findings
    for card in findings.cards:
        place = place.nextInFocusChain()
        while place.focusPolicy() == Qt.FocusPolicy.NoFocus:
            place = place.nextInFocusChain()
        assert place is card


def test_the_keyboard_stays_at_its_card_when_the_answer_is_new(
    qtbot: QtBot, one_vessel: Frame, answered: Callable[[Frame], None]
) -> None:
    frame = one_vessel
    frame.activateWindow()
    cards = frame.work.strip.findings.cards
    cards[1].setFocus()
    said = [one.card for one in cards]
    document = frame.session.document
    assert document is not None
    document.replace("wall", document.system_text.set("R1", "wall_thickness", "2 mm").text)
    answered(frame)
    fresh = frame.work.strip.findings.cards
    assert [one.card for one in fresh] != said
    assert fresh[1].hasFocus()


def test_the_edit_menu_works_on_the_text_that_the_keyboard_is_in(
    qtbot: QtBot, quick: None, frame: Frame
) -> None:
    """Deleting or cutting in the text must not take the part that is chosen in the plan."""
    frame.files.start_with(SMALL)
    frame.activateWindow()
    assert frame.session.chosen == "R1"
    frame.turn_to("text")
    page: Any = frame.pages["text"]
    qtbot.waitUntil(page.editor.hasFocus)
    page.editor.go_to(1)
    frame.menus.actions["delete"].trigger()
    page.take()
    document = frame.session.document
    assert document is not None
    assert document.text == SMALL.removeprefix("#")
    page.editor.selectAll()
    frame.menus.actions["copy"].trigger()
    assert QGuiApplication.clipboard().text() == SMALL.removeprefix("#")
    frame.menus.actions["cut"].trigger()
    frame.menus.actions["paste"].trigger()
    page.take()
    assert document.text == SMALL.removeprefix("#")
