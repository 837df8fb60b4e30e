"""Three people from an empty window to an exported answer, with clicks and keys."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QApplication, QFileDialog, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from airrisk.installation.reading import read
from airrisk.tables import sample_path
from airrisk.window.answers_panel import HEATING, STRENGTH
from airrisk.window.facts.editors import TextEditor
from airrisk.window.frame import Frame
from tests.window.conftest import ANSWER_MS

CLICK = Qt.MouseButton.LeftButton


def retype(qtbot: QtBot, line: QLineEdit, text: str) -> None:
    """Replace a line's text by typing and press return."""
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def field(frame: Frame, key: str, kind: str = "vessel") -> TextEditor:
    """The editor of a field of the chosen part."""
    editor = frame.work.facts.form.rows[(kind, key)].editor
    assert isinstance(editor, TextEditor)
    return editor


def answer_file(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    """The next file dialog is answered with this path."""
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), ""))


def click(qtbot: QtBot, widget: QWidget) -> None:
    """One click in the middle of a widget."""
    qtbot.mouseClick(widget, CLICK)


def test_the_engineer_builds_a_vessel_up_and_saves_it(
    qtbot: QtBot, frame: Frame, answered: Callable[[Frame], None], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    questions = frame.welcome.first_vessel
    questions.volume.setText("2000 L")
    retype(qtbot, questions.pressure, "8 bar")
    assert "gauge" in questions.error.text()
    retype(qtbot, questions.pressure, "116 psig")
    answered(frame)
    assert frame.session.chosen == "R1"
    record = frame.session.part_records["R1"]
    assert record.volume_m3 == pytest.approx(2.0, rel=1e-4)
    assert "R1" in frame.work.answers.sentence.text()

    before = record.rupture_temperature_k
    retype(qtbot, field(frame, "wall_thickness"), "12,5 mm")
    answered(frame)
    after = frame.session.part_records["R1"].rupture_temperature_k
    assert before is not None
    assert after is not None
    assert after > before

    qtbot.keyClick(frame, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    answered(frame)
    assert frame.session.part_records["R1"].rupture_temperature_k == pytest.approx(before)
    qtbot.keyClick(
        frame, Qt.Key.Key_Z,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )  # fmt: skip
    answered(frame)

    file = tmp_path / "first.toml"
    answer_file(monkeypatch, file)
    qtbot.keyClick(frame, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert read(file.read_text(encoding="utf-8")).vessels[0].wall_thickness == pytest.approx(0.0125)
    assert frame.session.document is not None
    assert frame.session.document.is_clean

    frame.work.answers.show_chart(HEATING)
    table = tmp_path / "heating.csv"
    answer_file(monkeypatch, table)
    click(qtbot, frame.work.answers.chart.save_button)
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert any("°C" in cell for cell in rows[0])
    assert len(rows) > 20
    frame.work.answers.show_chart(STRENGTH)
    picture = tmp_path / "strength.png"
    answer_file(monkeypatch, picture)
    click(qtbot, frame.work.answers.chart.save_button)
    assert not QImage(str(picture)).isNull()
    drawing = tmp_path / "strength.svg"
    answer_file(monkeypatch, drawing)
    click(qtbot, frame.work.answers.chart.save_button)
    assert drawing.read_text(encoding="utf-8").lstrip().startswith("<?xml")
    click(qtbot, frame.work.answers.chart.copy_button)
    assert not QGuiApplication.clipboard().image().isNull()


def test_the_auditor_goes_from_finding_to_part_to_source_in_two_clicks(
    no_bores: None, qtbot: QtBot, frame: Frame, answered: Callable[[Frame], None], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    frame.files.open_sample(str(sample_path("river-ferry.toml")))
    answered(frame)
    assessment = frame.session.assessment
    assert assessment is not None
    assert assessment.findings
    first = frame.work.strip.findings.cards[0]
    clicks = 0
    click(qtbot, first)
    clicks += 1
    part = frame.session.chosen
    assert part is not None
    assert part in first.card.heading
    assert frame.work.facts.tabs.currentWidget() is frame.work.facts.findings_page
    mine = frame.work.facts.findings.cards[0]
    with qtbot.waitSignal(frame.work.facts.source_asked) as asked:
        click(qtbot, mine)
    clicks += 1
    assert clicks <= 2
    assert asked.args[0].part == part
    assert frame.work.facts.source.isVisible()

    # a valve says what it cuts off and what then lets the air out
    frame.session.choose("V2")
    assert "SB2" in frame.work.plan.hint.text()
    assert "no way out" in frame.work.plan.hint.text()
    frame.session.choose("V1")
    assert "FP1 when hot" in frame.work.plan.hint.text()

    click(qtbot, frame.view_bar.button("round"))
    view = frame.pages["round"]
    assert view.walk.rowCount() == len(assessment.walk)
    file = tmp_path / "upkeep.csv"
    answer_file(monkeypatch, file)
    click(qtbot, view.register_csv)
    assert "FP1" in file.read_text(encoding="utf-8")
    view.walk.cellActivated.emit(2, 1)
    assert frame.session.chosen == assessment.walk[2].place

    click(qtbot, frame.view_bar.button("reach"))
    reach = frame.pages["reach"]
    assert reach.people.rowCount() == len(read(sample_path("river-ferry.toml").read_text()).people)
    assert "MJ" in reach.sentence.text()

    click(qtbot, frame.view_bar.button("paper"))
    paper = frame.pages["paper"]
    qtbot.waitUntil(lambda: paper.chapter.count() > 3, timeout=ANSWER_MS)
    report = tmp_path / "report.csv"
    answer_file(monkeypatch, report)
    click(qtbot, paper.buttons["csv"])
    qtbot.waitUntil(report.exists, timeout=ANSWER_MS)


def test_the_student_guesses_turns_a_knob_and_leaves_the_file_alone(
    qtbot: QtBot, one_vessel: Frame, tmp_path: Path
) -> None:
    frame = one_vessel
    document = frame.session.document
    assert document is not None
    text = document.text
    click(qtbot, frame.view_bar.button("tryout"))
    view = frame.pages["tryout"]
    qtbot.waitUntil(lambda: view.answer is not None and view.answer.complete, timeout=ANSWER_MS)
    qtbot.keyClick(view.guess.switch, Qt.Key.Key_Space)
    assert view.answer_stack.currentIndex() == 1
    view.guess.choice.setCurrentIndex(view.guess.choice.findData("FP1"))
    click(qtbot, view.guess.button)
    assert view.answer_stack.currentIndex() == 0
    assert "FP1" in view.guess.result.text()

    wall = next(row for row in view.rows if row.knob.spec.key == "wall_thickness")
    first = view.answer
    wall.slider.setFocus()
    for _ in range(40):
        qtbot.keyClick(wall.slider, Qt.Key.Key_Left)
    assert view.answer_stack.currentIndex() == 1
    qtbot.waitUntil(lambda: view.answer is not first and view.answer.complete, timeout=ANSWER_MS)
    assert view.answer.part.rupture_temperature_k < first.part.rupture_temperature_k
    assert document.text == text
    qtbot.keyClick(view.guess.switch, Qt.Key.Key_Space)
    click(qtbot, view.pin_button)
    assert view.pinned.table.rowCount() == 1

    click(qtbot, view.drop_button)
    assert document.text == text
    assert not document.undo_label
    assert not view.keep_button.isEnabled()

    retype(qtbot, wall.line, "0.25 in")
    click(qtbot, view.keep_button)
    assert 'wall_thickness = "0.25 in"' in document.text
    assert document.undo()
    assert document.text == text
    assert not document.undo_label


def test_the_main_job_works_with_keys_only(
    qtbot: QtBot, one_vessel: Frame, answered: Callable[[Frame], None]
) -> None:
    frame = one_vessel
    plan = frame.work.plan.view
    plan.setFocus()
    frame.session.choose(None)
    plan.choose(None)
    qtbot.keyClick(plan, Qt.Key.Key_Right)
    assert frame.session.chosen == "R1"
    qtbot.keyClick(frame, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    assert frame.session.chosen == "R2"
    qtbot.keyClick(plan, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert frame.session.document is not None
    assert "move" in str(frame.session.document.undo_label)
    qtbot.keyClick(frame, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert plan.connecting
    qtbot.keyClick(plan, Qt.Key.Key_Left)
    qtbot.keyClick(plan, Qt.Key.Key_Return)
    assert frame.session.chosen == "L1"
    assert frame.session.installation is not None
    assert {frame.session.installation.lines[0].from_, frame.session.installation.lines[0].to} == {
        "R1", "R2",
    }  # fmt: skip
    answered(frame)
    plan.setFocus()
    qtbot.keyClick(frame, Qt.Key.Key_Delete)
    assert frame.session.installation.lines == ()


def tab_to(qtbot: QtBot, kind: type[QWidget], name: str) -> QWidget:
    """Press the tab key until a widget of this kind and name has the keyboard."""
    for _ in range(80):
        place = QApplication.focusWidget()
        if isinstance(place, kind) and place.accessibleName().startswith(name):
            return place
        qtbot.keyClick(place, Qt.Key.Key_Tab)
    pytest.fail(f"the tab key does not lead to {name}")


def test_the_student_tries_out_with_keys_only(
    qtbot: QtBot, frame: Frame, answered: Callable[[Frame], None]
) -> None:
    alt, ctrl = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier
    frame.activateWindow()
    sample = tab_to(qtbot, QWidget, "School laboratory")
    qtbot.keyClick(sample, Qt.Key.Key_Return)
    answered(frame)
    qtbot.keyClick(QApplication.focusWidget() or frame, Qt.Key.Key_4, ctrl)
    qtbot.waitUntil(lambda: "tryout" in frame.pages)
    view = frame.pages["tryout"]
    qtbot.waitUntil(lambda: view.answer is not None and view.answer.complete, timeout=ANSWER_MS)
    qtbot.waitUntil(lambda: QApplication.focusWidget() is view.rows[0].slider)
    first = view.answer
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_P, alt)
    qtbot.waitUntil(lambda: view.pinned.table.rowCount() == 1)

    line = tab_to(qtbot, QLineEdit, "R1: Wall thickness")
    qtbot.keyClick(line, Qt.Key.Key_A, ctrl)
    qtbot.keyClicks(line, "1.5")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    row = next(row for row in view.rows if row.line is line)
    assert "no unit" in row.error.text()
    qtbot.keyClicks(line, " mm")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: view.answer is not first and view.answer.complete, timeout=ANSWER_MS)
    assert view.answer.part.rupture_temperature_k < first.part.rupture_temperature_k
    qtbot.keyClick(line, Qt.Key.Key_P, alt)
    qtbot.waitUntil(lambda: view.pinned.table.rowCount() == 2)
    assert "wall thickness 1.5 mm" in view.pinned.table.item(1, 0).text()
    qtbot.keyClick(line, Qt.Key.Key_C, alt)  # the pinned cases fold away and come back
    qtbot.waitUntil(lambda: not view.pinned.table.isVisible())
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_C, alt)
    qtbot.waitUntil(view.pinned.table.isVisible)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_D, alt)
    qtbot.waitUntil(lambda: not view.keep_button.isEnabled())
    assert view.answer is first
