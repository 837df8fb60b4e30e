"""Typing into the form: nothing typed is lost, no editor goes while it handles a key."""

from __future__ import annotations

from pathlib import Path

import pytest
import shiboken6
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from airrisk.tables import sample_path
from airrisk.window.facts.inspections import InspectionDialog
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL
from tests.window.processes import child
from tests.window.test_journeys import field, retype

STEPS = 100


@pytest.fixture
def small(quick: None, frame: Frame) -> Frame:
    """A window with two vessels and a line."""
    frame.files.start_with(SMALL)
    return frame


def typed(qtbot: QtBot, frame: Frame, key: str, text: str) -> None:
    """Replace a field's text without leaving the field."""
    line = field(frame, key)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)


def text_of(frame: Frame) -> str:
    document = frame.session.document
    assert document is not None
    return document.text


@pytest.mark.parametrize("seed", [7, 8])
def test_a_hundred_fields_typed_into_and_left_in_every_way(tmp_path: Path, seed: int) -> None:
    """Property: an editor is never deleted inside its own key or focus event.

    A form that takes its page apart when a part is renamed ends the process within twenty fields.
    """
    result = child(tmp_path, "tests.window.typing_at_length", str(STEPS), str(seed))
    assert result.returncode == 0, result.stderr
    assert result.stderr == ""


def test_a_renamed_part_stays_chosen_and_the_keyboard_stays_in_its_field(
    qtbot: QtBot, small: Frame
) -> None:
    small.activateWindow()
    editor = field(small, "id")
    retype(qtbot, editor, "N1")
    assert small.session.chosen == "N1"
    assert field(small, "id") is editor
    assert editor.hasFocus()
    qtbot.keyClick(editor, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert text_of(small) == SMALL
    assert small.session.chosen == "R1"
    assert editor.text() == "R1"
    qtbot.keyClick(
        editor, Qt.Key.Key_Z,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )  # fmt: skip
    assert small.session.chosen == "N1"


def test_a_part_renamed_beside_another_mistake_stays_chosen(qtbot: QtBot, small: Frame) -> None:
    document = small.session.document
    assert document is not None
    document.replace("a mistake", SMALL.replace('"L1"\nfrom = "R1"', '"L1"\nfrom = "R9"'))
    assert document.installation is None
    retype(qtbot, field(small, "id"), "N1")
    assert small.session.chosen == "N1"
    small.session.choose("R1")  # as the plan still calls it
    assert small.session.chosen == "N1"


def test_saving_takes_what_is_typed_and_not_told_yet(
    qtbot: QtBot, quick: None, frame: Frame, tmp_path: Path
) -> None:
    file = tmp_path / "system.toml"
    file.write_text(SMALL, encoding="utf-8")
    frame.files.open_name(str(file))
    typed(qtbot, frame, "pressure", "7 bar(g)")
    frame.menus.actions["save"].trigger()
    assert 'pressure = "7 bar(g)"' in file.read_text(encoding="utf-8")


def test_another_part_takes_nothing_from_what_is_typed(qtbot: QtBot, small: Frame) -> None:
    typed(qtbot, small, "pressure", "7 bar(g)")
    small.menus.actions["installation"].trigger()
    assert small.session.chosen is None
    assert text_of(small) == SMALL.replace("8 bar(g)", "7 bar(g)", 1)


def test_what_is_typed_and_refused_is_told_when_another_part_is_chosen(
    qtbot: QtBot, small: Frame
) -> None:
    typed(qtbot, small, "pressure", "much")
    small.session.choose("R2")
    assert text_of(small) == SMALL
    assert field(small, "pressure").text() == "8 bar(g)"
    said = small.status.message
    qtbot.waitUntil(lambda: "much" in said.text())
    assert "R1" in said.text()


def test_a_text_that_is_being_typed_outlives_a_change_elsewhere(qtbot: QtBot, small: Frame) -> None:
    typed(qtbot, small, "pressure", "7 b")
    document = small.session.document
    assert document is not None
    document.replace("wall", document.system_text.set("R1", "wall_thickness", "6 mm").text)
    assert field(small, "pressure").text() == "7 b"
    assert field(small, "wall_thickness").text() == "6 mm"
    document.replace("pressure", document.system_text.set("R1", "pressure", "5 bar(g)").text)
    assert field(small, "pressure").text() == "5 bar(g)"


def test_text_typed_into_the_page_is_there_before_another_view_changes_it(
    qtbot: QtBot, small: Frame
) -> None:
    small.turn_to("text")
    page = small.pages["text"]
    page.editor.setPlainText(SMALL.replace("Test bench", "Shed"))  # type: ignore[attr-defined]
    small.turn_to("work")
    retype(qtbot, field(small, "pressure"), "7 bar(g)")
    qtbot.wait(0)
    assert "Shed" in text_of(small)
    assert "7 bar(g)" in text_of(small)


def test_a_card_outlives_the_dialog_that_it_opened(
    qtbot: QtBot, quick: None, qapp: QApplication, frame: Frame,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """Saving in the dialog changes the cards while the click on one is still handled."""
    frame.files.open_sample(str(sample_path("school-laboratory.toml")))
    frame.session.choose("FP1")
    page = frame.work.facts.inspections
    frame.work.facts.tabs.setCurrentWidget(page)
    assert page.count
    card = page.cards.cards[-1]
    alive = []

    def remove(dialog: InspectionDialog) -> int:
        dialog.remove()
        qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # type: ignore[arg-type]
        alive.append(shiboken6.isValid(card))
        return 1

    monkeypatch.setattr(InspectionDialog, "exec", remove)
    count = page.count
    qtbot.mouseClick(card, Qt.MouseButton.LeftButton)
    assert page.count == count - 1
    assert alive == [True]


def test_the_fields_stay_in_their_place_while_the_answer_is_on_its_way(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    """A click on the next field right after an edit must not meet another one."""
    editor = field(one_vessel, "volume")
    before = editor.mapTo(one_vessel, editor.rect().topLeft())
    retype(qtbot, field(one_vessel, "id"), "N1")
    assert not one_vessel.session.is_current
    one_vessel.work.facts.layout().activate()
    assert editor.mapTo(one_vessel, editor.rect().topLeft()) == before
