"""Drawing, form and file in step; nothing lost, nothing silent."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from airrisk.editing import StaleAnswer
from airrisk.tables import sample_path
from airrisk.window import calculations
from airrisk.window.dispatcher import Report
from airrisk.window.facts.editors import ChoiceEditor
from airrisk.window.frame import Frame
from airrisk.window.session import ASSESSMENT
from tests.editing.systems import SMALL
from tests.window.conftest import ONE_VESSEL
from tests.window.test_journeys import field, retype


@pytest.fixture
def small(quick: None, frame: Frame) -> Frame:
    """A window with two vessels and a line."""
    frame.files.start_with(SMALL)
    return frame


def test_a_field_with_an_error_says_so_beside_it_and_changes_nothing(
    qtbot: QtBot, small: Frame
) -> None:
    text = small.session.document.text  # type: ignore[union-attr]
    retype(qtbot, field(small, "pressure"), "8 bar")
    row = small.work.facts.form.rows[("vessel", "pressure")]
    assert row.error.isVisible()
    assert "gauge" in row.error.text()
    assert small.session.document.text == text  # type: ignore[union-attr]
    qtbot.keyClick(row.editor, Qt.Key.Key_Escape)
    assert not row.error.isVisible()


def test_an_emptied_field_counts_as_its_default_again(qtbot: QtBot, small: Frame) -> None:
    retype(qtbot, field(small, "weld_factor"), "0,9")
    row = small.work.facts.form.rows[("vessel", "weld_factor")]
    assert row.origin.text() == "typed"
    retype(qtbot, field(small, "weld_factor"), " ")
    assert row.origin.text() == "default"
    assert small.session.document.text == SMALL  # type: ignore[union-attr]


def test_pages_of_all_kinds_in_the_file_are_made_before_anything_is_chosen(
    qtbot: QtBot, small: Frame
) -> None:
    form = small.work.facts.form
    small.session.choose("R1")
    shown = form.rows
    qtbot.waitUntil(lambda: {("vessel",), ("line",)} <= set(form._pages))
    assert form.rows is shown
    assert [page.isVisible() for page in form._pages.values()].count(True) == 1


def test_dragging_a_vessel_is_one_step_and_undo_puts_it_back(qtbot: QtBot, small: Frame) -> None:
    document = small.session.document
    assert document is not None
    plan = small.work.plan
    item = plan.scene.items_by_name["R2"]
    start = plan.view.mapFromScene(item.pos())
    viewport = plan.view.viewport()
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=start)
    for step in range(1, 6):
        qtbot.mouseMove(viewport, start + QPoint(0, 10 * step))
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=start + QPoint(0, 50))
    assert document.undo_label == "move R2 in the schematic"
    assert document.installation is not None
    vessel = document.installation.vessels[1]
    assert vessel.drawn is not None
    assert vessel.at == (4.0, 0.0)  # distances rest on it
    assert document.installation.vessels[0].drawn is None
    document.undo()
    assert document.text == SMALL


def test_twenty_random_edits_through_the_window_all_undo(qtbot: QtBot, small: Frame) -> None:
    rng = random.Random(7)
    document = small.session.document
    assert document is not None
    states = [document.text]
    for _ in range(20):
        installation = document.installation
        assert installation is not None
        vessels = [v.id for v in installation.vessels]
        if not vessels:
            small.edits.add("vessel")
        else:
            name = rng.choice(vessels)
            small.session.choose(name)
            action = rng.choice(("add", "plug", "duplicate", "delete", "type", "move"))
            if action == "add":
                small.edits.add(rng.choice(("vessel", "compressor", "people", "junction")))
            elif action == "plug":
                small.edits.add("plug")
            elif action == "duplicate":
                small.edits.duplicate([name])
            elif action == "delete":
                small.edits.delete([name])
            elif action == "type":
                retype(qtbot, field(small, "pressure"), f"{rng.randint(1, 9)} bar(g)")
            else:
                places = {name: (rng.random() * 9, rng.random() * 9)}
                small.edits.move(places)
        assert document.installation is not None, document.problems
        if document.text != states[-1]:
            states.append(document.text)
    drawn = set(small.work.plan.scene.items_by_name)
    assert {part.id for part in document.installation.parts()} <= drawn
    for text in reversed(states[:-1]):
        qtbot.keyClick(small, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
        assert document.text == text
    assert document.is_clean


def test_unsaved_changes_are_guarded(
    qtbot: QtBot, small: Frame, monkeypatch: pytest.MonkeyPatch
) -> None:
    small.edits.add("vessel")
    asked: list[str] = []

    def cancel(box: QMessageBox) -> int:
        asked.append(box.text())
        return 0

    monkeypatch.setattr(QMessageBox, "exec", cancel)
    monkeypatch.setattr(QMessageBox, "clickedButton", lambda box: box.escapeButton())
    assert not small.close()
    assert len(asked) == 1
    assert small.isVisible()


@pytest.mark.parametrize("content", [b"\x00\x01\xff", b"format = [", b"\xff\xfe", b"x" * 3_000_000])
def test_a_damaged_file_is_explained_and_the_window_lives(
    quick: None, frame: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes
) -> None:
    file = tmp_path / "damaged.toml"
    file.write_bytes(content)
    said: list[str] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda box: said.append(box.text()) or 0)
    opened = frame.files.open_name(str(file))
    if opened:
        assert frame.session.document is not None
        assert frame.session.document.problems
        assert frame.work.strip.findings.cards
    else:
        assert "damaged.toml" in said[0]
    assert frame.isVisible()


def test_a_full_disk_is_said_and_the_edits_stay(
    quick: None, frame: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "system.toml"
    file.write_text(SMALL, encoding="utf-8")
    frame.files.open_name(str(file))
    frame.edits.add("vessel")
    said: list[str] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda box: said.append(box.text()) or 0)

    def full(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("airrisk.installation.saving.os.fsync", full)
    assert not frame.files.save()
    assert "No space left" in said[0]
    assert file.read_text(encoding="utf-8") == SMALL
    assert frame.session.document is not None
    assert not frame.session.document.is_clean


def test_a_failing_calculation_is_shown_and_the_window_lives(
    qtbot: QtBot, frame: Frame, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(self: calculations.Assess, report: Report) -> None:
        raise ArithmeticError("no root between 300 K and 900 K")

    monkeypatch.setattr(calculations.Assess, "__call__", broken)
    frame.files.start_with(SMALL)
    qtbot.waitUntil(lambda: frame.session.failure is not None)
    assert "failed" in frame.work.strip.findings.cards[0].card.heading
    assert "no root" in frame.work.strip.findings.cards[0].card.text
    assert "Not assessed" in frame.status.age.text()
    with pytest.raises(StaleAnswer):
        frame.session.shelf.for_export(ASSESSMENT, 0)


def test_an_old_answer_is_greyed_and_not_exported(
    qtbot: QtBot, one_vessel: Frame, monkeypatch: pytest.MonkeyPatch,
    answered: Callable[[Frame], None],
) -> None:  # fmt: skip
    frame = one_vessel
    document = frame.session.document
    assert document is not None
    retype(qtbot, field(frame, "pressure"), "7 bar(g)")
    assert not frame.session.is_current
    assert "older" in frame.status.age.text()
    with pytest.raises(StaleAnswer):
        frame.session.shelf.for_export(ASSESSMENT, document.revision)
    answered(frame)
    assert frame.session.shelf.for_export(ASSESSMENT, document.revision) is not None


def test_units_switch_without_computing_again(qtbot: QtBot, one_vessel: Frame) -> None:
    frame = one_vessel
    answer = frame.session.assessment
    frame.status.units.setCurrentIndex(1)
    frame.status.units.activated.emit(1)
    assert "°F" in frame.work.answers.sentence.text()
    assert frame.session.assessment is answer
    assert frame.session.is_current


def test_edits_of_a_crash_are_offered_and_restored(
    quick: None, frame: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from airrisk.editing import Document

    folder = tmp_path / "journals"
    lost = Document(SMALL, None, folder)
    lost.replace("edit", SMALL + "# lost\n")
    assert lost._journal is not None
    assert lost._journal._file is not None
    lost._journal._file.close()
    monkeypatch.setattr(QMessageBox, "exec", lambda box: 0)
    monkeypatch.setattr(QMessageBox, "clickedButton", lambda box: box.defaultButton())
    frame.files.offer_recovery(folder)
    assert frame.session.document is not None
    assert frame.session.document.text == SMALL + "# lost\n"
    assert not frame.session.document.is_clean


def test_a_line_begins_at_the_part_that_a_chosen_device_is_on(
    quick: None, qtbot: QtBot, frame: Frame
) -> None:
    frame.files.start_with(ONE_VESSEL)
    frame.session.choose("FP1")
    assert frame.edits.add("line") == "L1"
    installation = frame.session.installation
    assert installation is not None
    assert installation.lines[0].from_ == "R1"
    frame.session.choose(None)  # with one vessel only there is no doubt where it begins
    assert frame.edits.add("line") == "L2"
    installation = frame.session.installation
    assert installation is not None
    assert installation.lines[1].from_ == "R1"


def test_a_refusal_goes_with_the_next_change(quick: None, frame: Frame) -> None:
    frame.files.start_with(ONE_VESSEL)
    frame.session.choose("R1")
    assert frame.edits.add("valve") is None
    assert "valve" in frame.status.message.text()
    frame.session.choose("FP1")
    assert frame.edits.add("valve") == "V1"
    assert frame.status.message.text() == ""


def test_a_flag_is_asked_in_words_and_written_as_the_file_has_it(small: Frame) -> None:
    small.session.choose("R1")
    editor = small.work.facts.form.rows[("vessel", "measured")].editor
    assert isinstance(editor, ChoiceEditor)
    assert [editor.itemText(i) for i in range(editor.count())] == ["no (default)", "yes", "no"]
    editor.setCurrentIndex(1)
    editor.activated.emit(1)
    assert "measured = true" in small.session.document.text  # type: ignore[union-attr]
    assert editor.currentText() == "yes"


def test_undo_in_a_field_takes_back_what_the_file_got(qtbot: QtBot, small: Frame) -> None:
    small.activateWindow()
    line = field(small, "wall_thickness")
    before = line.text()
    retype(qtbot, line, "12,5 mm")
    assert small.session.document.text != SMALL  # type: ignore[union-attr]
    qtbot.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert small.session.document.text == SMALL  # type: ignore[union-attr]
    assert line.text() == before
    qtbot.keyClick(
        line, Qt.Key.Key_Z,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )  # fmt: skip
    assert line.text() == "12,5 mm"
    assert "12,5 mm" in small.session.document.text  # type: ignore[union-attr]
    qtbot.keyClicks(line, "9")  # typed and not taken yet: the line's own undo
    text = small.session.document.text  # type: ignore[union-attr]
    qtbot.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert line.text() == "12,5 mm"
    assert small.session.document.text == text  # type: ignore[union-attr]


def test_findings_and_their_source_follow_the_unit_set(
    no_bores: None, frame: Frame, answered: Callable[[Frame], None]
) -> None:
    frame.files.open_sample(str(sample_path("dairy-hall")))
    answered(frame)
    frame.session.choose("R1")
    facts = frame.work.facts

    def said() -> str:
        return " ".join(card.card.text for card in facts.findings.cards)

    assert "bar(g)" in said()
    water = next(c for c in facts.findings.cards if "water" in c.card.text)
    water.chosen.emit(water.card.key)
    assert "bar" in facts.source.toPlainText()
    frame.session.set_unit_set("US customary")
    assert "bar(g)" not in said()
    assert "psig" in said()
    assert "bar" not in facts.source.toPlainText()


def test_a_tool_tip_says_how_a_value_is_typed_in_the_window(quick: None, frame: Frame) -> None:
    frame.files.start_with(ONE_VESSEL)
    frame.session.choose("F1")
    tip = frame.work.facts.form.rows[("fire", "reaches")].toolTip()
    assert "R1, L1" in tip
    assert "[" not in tip


def test_the_end_of_a_valve_is_chosen_by_the_neighbour(quick: None, frame: Frame) -> None:
    line = (
        '\n[[line]]\nid = "L9"\nlength = "3 m"\ninside_diameter = "40 mm"\n'
        'wall_thickness = "3 mm"\nfrom = "R1"\nto = "closed"\npressure = "7 bar(g)"\n'
        '\n[[valve]]\nid = "V9"\non = "L9"\nend = "to"\n'
    )
    frame.files.start_with(ONE_VESSEL + line)
    frame.session.choose("V9")
    editor = frame.work.facts.form.rows["valve", "end"].editor
    assert isinstance(editor, ChoiceEditor)
    assert editor.currentText() == "at the closed end"
    near = editor.findText("near R1")
    editor.activated.emit(near)
    document = frame.session.document
    assert document is not None
    assert document.installation is not None
    assert next(one for one in document.installation.valves if one.id == "V9").end == "from"
