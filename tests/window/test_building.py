"""Building an installation: by typing, as a table, by menus, with the mouse and with keys only."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QContextMenuEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from airrisk.window.entry_dialog import EntryDialog
from airrisk.window.frame import Frame
from airrisk.window.usual_sizes_dialog import UsualSizesDialog
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints")  # of dialogs offscreen


@pytest.fixture
def small(quick: None, frame: Frame) -> Frame:
    """A window with two vessels and a line."""
    frame.files.start_with(SMALL)
    return frame


def text_of(frame: Frame) -> str:
    document = frame.session.document
    assert document is not None
    return document.text


def undo_label(frame: Frame) -> str | None:
    document = frame.session.document
    assert document is not None
    return document.undo_label


def test_letters_typed_in_the_drawing_make_a_part_in_one_step(qtbot: QtBot, small: Frame) -> None:
    plan = small.work.plan
    plan.view.setFocus()
    before = text_of(small)
    qtbot.keyClicks(plan.view, "r")
    assert plan.typing.hasFocus()
    qtbot.keyClicks(plan.typing, "eceiver 3 m3 11 bar")
    qtbot.waitUntil(lambda: "R3" in plan.typing.told.text())
    assert text_of(small) == before  # nothing is made before Return
    qtbot.keyClick(plan.typing, Qt.Key.Key_Return)
    assert small.session.chosen == "R3"
    assert plan.typing.text() == ""
    assert plan.typing.told.isHidden()
    qtbot.keyClick(small, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert text_of(small) == before


def test_what_is_not_understood_is_named_and_stays_to_be_mended(qtbot: QtBot, small: Frame) -> None:
    line, before = small.work.plan.typing, text_of(small)
    line.begin()
    qtbot.keyClicks(line, "receiver blue 3 m3")
    qtbot.waitUntil(lambda: "blue" in line.told.text())
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert text_of(small) == before
    assert line.text() == "receiver blue 3 m3"
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert small.work.plan.view.hasFocus()
    assert line.text() == ""


@in_every_language
def test_what_a_line_makes_says_what_is_assumed_and_what_is_offered(
    small: Frame, language: str
) -> None:
    line = small.work.plan.typing
    line.setText("Schmelzstopfen auf R2 10 mm")
    line.refresh()
    told = line.told.text()
    assert "R2" in told
    assert "tin" in told  # the alloy that nobody has typed
    line.setText("receiver 3 m3 11 bar")
    line.refresh()
    assert "11 bar(g)" in line.told.text()
    assert ("gauge" if language == "en" else "Überdruck") in line.told.text()


def test_a_file_for_review_takes_no_typed_part(small: Frame) -> None:
    document = small.session.document
    assert document is not None
    document.review_only = True
    before = text_of(small)
    assert not small.edits.type_part("receiver 3 m3 11 bar")
    small.work.plan.typing.refresh()
    assert not small.work.plan.typing.isEnabled()
    assert text_of(small) == before


def test_connect_says_what_it_will_join_before_it_does(qtbot: QtBot, small: Frame) -> None:
    plan, before = small.work.plan, text_of(small)
    small.session.choose("R1")
    qtbot.keyClick(small, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert "R1" in plan.hint.text()
    plan.view._choose_and_tell("R2")
    assert "R1" in plan.hint.text()
    assert "R2" in plan.hint.text()
    assert "L1" in plan.hint.text()  # they are joined already
    assert text_of(small) == before
    qtbot.keyClick(plan.view, Qt.Key.Key_Return)
    assert text_of(small) != before
    assert small.session.chosen == "L2"


def test_the_menu_of_a_part_acts_on_that_part(qtbot: QtBot, small: Frame) -> None:
    view, menus = small.work.plan.view, small.context_menus
    small.session.choose("R1")
    view.menu_asked.disconnect()  # no menu opens without a desktop
    asked: list[object] = []
    view.menu_asked.connect(lambda name, _place: asked.append(name))
    event = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(), QPoint())
    QApplication.sendEvent(view, event)
    assert asked == ["R1"]
    menus.fill("R1")
    actions = small.menus.actions
    assert actions["duplicate"] in menus.menu.actions()
    assert actions["fit"] not in menus.menu.actions()
    seen = {one.data() for one in menus.add_actions if one.isVisible()}
    assert "plug" in seen
    assert "compressor" not in seen
    actions["duplicate"].trigger()
    assert small.session.chosen == "R3"
    installation = small.session.installation
    assert installation is not None
    assert [one.on for one in installation.plugs] == ["R1", "R3"]
    menus.fill("")
    assert actions["entry"] in menus.menu.actions()
    assert all(one.isVisible() for one in menus.add_actions)


def in_dialog(kind: type[QWidget], what: object) -> None:
    """Do something in a dialog as soon as it is open."""

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, kind):
            QTimer.singleShot(5, look)
            return
        what(dialog)  # type: ignore[operator]

    QTimer.singleShot(0, look)


def test_a_pasted_table_is_added_as_one_step(qtbot: QtBot, small: Frame) -> None:
    clipboard = "Id\tFitted on\tAlloy\tBore\nFP7\tR2\ttin\t12,5\nFP8\tR1\ttin\t12,5 mm\n"
    QGuiApplication.clipboard().setText(clipboard)
    before = text_of(small)

    def fill(dialog: EntryDialog) -> None:
        dialog.kind.setCurrentIndex(dialog.kind.findData("plug"))
        dialog.kind.activated.emit(dialog.kind.currentIndex())
        qtbot.keyClick(dialog.grid, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
        assert "2" in dialog.mistakes.toPlainText()
        qtbot.mouseClick(dialog.add_button, Qt.MouseButton.LeftButton)

    in_dialog(EntryDialog, fill)
    small.menus.actions["entry"].trigger()
    installation = small.session.installation
    assert installation is not None
    assert installation.find("FP7").bore == pytest.approx(0.0125)  # type: ignore[attr-defined]
    small.menus.actions["undo"].trigger()
    assert text_of(small) == before


def test_a_mistake_in_a_table_stands_beside_its_cell_and_nothing_is_added(
    qtbot: QtBot, small: Frame
) -> None:
    before = text_of(small)

    def fill(dialog: EntryDialog) -> None:
        dialog.kind.setCurrentIndex(dialog.kind.findData("plug"))
        dialog.kind.activated.emit(dialog.kind.currentIndex())
        QGuiApplication.clipboard().setText("FP7\tR9\ttin\t12\nFP8\tR1\ttin\t900\n")
        dialog.grid.setCurrentCell(0, 1)
        dialog.paste()
        bore = [spec.key for spec in _columns("plug")].index("bore") + 1
        assert dialog.grid.item(1, bore).toolTip()
        assert dialog.grid.cell(0, 0).startswith("✖")
        assert dialog.grid.cell(1, 0).startswith("✖")
        assert not dialog.add_button.isEnabled()
        dialog.add_all()
        assert dialog.isVisible()
        dialog.leave()

    in_dialog(EntryDialog, fill)
    small.menus.actions["entry"].trigger()
    assert text_of(small) == before


def test_rows_of_another_kind_wait_while_its_table_is_shown_and_are_added_too(
    qtbot: QtBot, small: Frame
) -> None:
    def show(dialog: EntryDialog, kind: str) -> None:
        dialog.kind.setCurrentIndex(dialog.kind.findData(kind))
        dialog.kind.activated.emit(dialog.kind.currentIndex())

    def fill(dialog: EntryDialog) -> None:
        show(dialog, "plug")
        QGuiApplication.clipboard().setText("FP7\tR1\ttin\t12\n")
        dialog.grid.setCurrentCell(0, 1)
        dialog.paste()
        show(dialog, "plug")  # the same once more
        show(dialog, "junction")
        assert not any(any(row.values()) for row in dialog.grid.rows())
        QGuiApplication.clipboard().setText("J7\n")
        dialog.paste()
        qtbot.mouseClick(dialog.add_button, Qt.MouseButton.LeftButton)
        assert dialog.isVisible()
        assert dialog.grid.cell(0, 1) == "FP7"
        qtbot.mouseClick(dialog.add_button, Qt.MouseButton.LeftButton)
        assert not dialog.isVisible()

    in_dialog(EntryDialog, fill)
    small.menus.actions["entry"].trigger()
    installation = small.session.installation
    assert installation is not None
    assert {"J7", "FP7"} <= {one.id for one in (*installation.junctions, *installation.plugs)}


def _columns(kind: str) -> tuple[object, ...]:
    from airrisk.editing.entry_table import columns_of

    return columns_of(kind)


def test_a_filled_table_does_not_go_with_one_escape(
    qtbot: QtBot, small: Frame, monkeypatch: pytest.MonkeyPatch
) -> None:
    from PySide6.QtWidgets import QMessageBox

    answers = [QMessageBox.StandardButton.No, QMessageBox.StandardButton.Yes]
    monkeypatch.setattr(QMessageBox, "question", lambda *_a, **_k: answers.pop(0))

    def fill(dialog: EntryDialog) -> None:
        QGuiApplication.clipboard().setText("R7\t1200\n")
        dialog.paste()
        qtbot.keyClick(dialog, Qt.Key.Key_Escape)
        assert dialog.isVisible()
        qtbot.keyClick(dialog, Qt.Key.Key_Escape)

    in_dialog(EntryDialog, fill)
    small.menus.actions["entry"].trigger()
    assert answers == []


def test_a_usual_size_is_offered_to_the_chosen_line(qtbot: QtBot, small: Frame) -> None:
    small.session.choose("L1")

    def choose(dialog: UsualSizesDialog) -> None:
        assert dialog.source.text()
        qtbot.keyClick(dialog.list, Qt.Key.Key_Down)
        qtbot.keyClick(dialog, Qt.Key.Key_Return)

    in_dialog(UsualSizesDialog, choose)
    small.menus.actions["usual"].trigger()
    document = small.session.document
    assert document is not None
    block = document.system_text.block("L1")
    assert block["offered"] == ["inside_diameter", "wall_thickness"]
    assert "L1" in str(undo_label(small))
    small.session.choose("RV1")
    small.menus.actions["usual"].trigger()  # no list, and no dialog
    assert document.system_text.block("L1") == block


def test_a_usual_size_that_cannot_be_is_refused_as_a_whole(small: Frame) -> None:
    document = small.session.document
    assert document is not None
    wide = document.system_text.set("R2", "inside_diameter", "800 mm").text
    document.replace("a wider vessel", wide)
    assert document.problems == ()
    small.session.choose("R2")
    told: list[str] = []
    small.edits.refused.connect(told.append)
    in_dialog(UsualSizesDialog, lambda dialog: dialog.accept())
    small.menus.actions["usual"].trigger()  # 50 L, less than its heads hold
    assert document.text == wide
    assert "R2" in told[0]


@pytest.mark.parametrize(
    ("line", "told", "origin"),
    [
        ("receiver 3 m3 11 bar(g)", "Offered, not confirmed: ", "offered, not confirmed"),
        ("valve on L1", "Assumed, and counts as typed: kind isolating, state open. ", "typed"),
        ("fire", "Assumed, and counts as typed: curve hydrocarbon. ", "typed"),
    ],
)
def test_what_is_filled_in_is_told_as_the_fields_then_show_it(
    qtbot: QtBot, small: Frame, line: str, told: str, origin: str
) -> None:
    typing = small.work.plan.typing
    typing.setText(line)
    typing.refresh()
    assert told in typing.told.text()
    filled = list(small.edits.understand(line).offered)
    qtbot.keyClick(typing, Qt.Key.Key_Return)
    rows = {key: row for (_kind, key), row in small.work.facts.form.rows.items()}
    assert filled
    assert {rows[key].origin.text() for key in filled} == {origin}
