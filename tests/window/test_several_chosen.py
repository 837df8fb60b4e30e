"""Where several parts are chosen, the panel says that it shows one of them."""

from __future__ import annotations

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from airrisk.window.frame import Frame
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language

CONTROL = Qt.KeyboardModifier.ControlModifier


def press(qtbot: QtBot, frame: Frame, name: str, how: Qt.KeyboardModifier) -> None:
    """Click on the item with this name."""
    view = frame.work.plan.view
    place = view.mapFromScene(view.plan.items_by_name[name].pos())
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, how, place)


@in_every_language
def test_the_panel_says_that_it_shows_one_of_several(
    qtbot: QtBot, quick: None, frame: Frame, language: str
) -> None:
    frame.resize(1024, 700)
    frame.files.start_with(SMALL)
    assert frame.edits.type_part("receiver named R3 3 m3 11 bar(g)")
    several = frame.work.facts.several
    assert several.isHidden()
    press(qtbot, frame, "R1", Qt.KeyboardModifier.NoModifier)
    assert several.isHidden()
    press(qtbot, frame, "R2", CONTROL)
    press(qtbot, frame, "R3", CONTROL)
    shown = frame.session.chosen
    assert shown in ("R1", "R2", "R3")
    assert several.isVisible()
    if language == "en":
        assert several.text() == (
            f"{shown} is shown, one of 3 that are chosen. What is typed here changes {shown} only."
        )
    assert several.toolTip() == "R1, R2, R3"
    assert several.heightForWidth(several.width()) <= several.height()
    frame.edits.delete(["R3"])
    assert several.isHidden()


def test_the_line_goes_when_one_part_is_chosen_or_left_over(
    qtbot: QtBot, quick: None, frame: Frame
) -> None:
    frame.files.start_with(SMALL)
    several = frame.work.facts.several
    press(qtbot, frame, "R1", Qt.KeyboardModifier.NoModifier)
    press(qtbot, frame, "R2", CONTROL)
    assert several.isVisible()
    press(qtbot, frame, "R2", CONTROL)
    assert several.isHidden()
    press(qtbot, frame, "R2", CONTROL)
    assert several.isVisible()
    frame.session.choose("F1")  # nothing of it is drawn
    assert several.isHidden()
    press(qtbot, frame, "R1", Qt.KeyboardModifier.NoModifier)
    press(qtbot, frame, "R2", CONTROL)
    document = frame.session.document
    assert document is not None
    document.replace("wall", document.system_text.set("R1", "wall_thickness", "6 mm").text)
    assert several.isVisible()  # drawn anew, the choice stays
    document.replace("less", document.system_text.remove("R2", with_dependents=True).text)
    assert several.isHidden()
