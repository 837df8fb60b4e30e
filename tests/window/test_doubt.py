"""How sure is the answer: asking with clicks and keys, stopping, stale answers, export."""

from __future__ import annotations

import csv
import io
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from airrisk.fire.stopping import Cancelled
from airrisk.window.dispatcher import Report
from airrisk.window.doubt.jobs import AskWhatIf, KnownInput
from airrisk.window.doubt.sweep_row import ends_of
from airrisk.window.frame import Frame
from airrisk.wording.units import Units
from tests.window.conftest import ANSWER_MS, in_every_language
from tests.window.test_journeys import answer_file, click, retype


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few runs for bores and indices: here the window is the point."""
    from airrisk.study import index_runs, what_if

    monkeypatch.setattr(index_runs, "INDEX_SAMPLES", 16)
    for name, number in (("BORE_SAMPLES", 4), ("TIME_SAMPLES", 32)):
        monkeypatch.setattr(what_if, name, number)


@pytest.fixture
def doubt(qtbot: QtBot, one_vessel: Frame) -> Any:
    """The Doubt view of one vessel with its inputs listed."""
    click(qtbot, one_vessel.view_bar.button("doubt"))
    view: Any = one_vessel.pages["doubt"]
    qtbot.waitUntil(lambda: view.inputs.topLevelItemCount() > 0, timeout=ANSWER_MS)
    return view


def ask(qtbot: QtBot, view: Any, samples: int = 64) -> None:
    view.samples.setValue(samples)
    before = view.answer
    click(qtbot, view.ask_button)
    qtbot.waitUntil(lambda: view.answer is not before and not view.is_running, timeout=ANSWER_MS)


def row_of(view: Any, key: str) -> Any:
    return next(item for item in view.inputs._rows() if item.data(0, 256) == key)


def test_the_inputs_stand_there_with_value_spread_and_origin(doubt: Any) -> None:
    item = row_of(doubt, "R1.wall_thickness")
    texts = [item.text(column) for column in range(3)]
    assert texts[0] == "R1 wall thickness"
    assert texts[1].replace("\u00a0", " ") == "5 mm"
    assert "mm" in texts[2]
    doubt.inputs.setCurrentItem(item)
    assert "Origin: Judgement" in doubt.about_input.text()
    assert item.checkState(0) == Qt.CheckState.Checked
    assert "F1" in doubt.state.text()


def test_the_engineer_asks_how_sure_the_verdict_is(
    qtbot: QtBot, one_vessel: Frame, doubt: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ask(qtbot, doubt)
    words = doubt.answers.all.words.text()
    assert "%" in words
    assert "64" in words
    assert doubt.answers.all.headline.isVisible()
    assert "acts first in" in doubt.answers.all.headline.text()
    assert doubt.answers.all.which.count() >= 3
    assert doubt.answers.all.table.rowCount() >= 3
    assert doubt.answers.isEnabled()

    doubt.answers.setCurrentWidget(doubt.answers.one)
    chart = doubt.answers.one.chart
    assert len(chart.picture.spans) >= 5
    page = doubt.answers.one
    qtbot.keyClick(page.which, Qt.Key.Key_End)
    assert page.stack.currentWidget() is page.table
    assert page.table.rowCount() >= 5
    qtbot.keyClick(page.which, Qt.Key.Key_Home)
    for ending in ("csv", "png", "svg"):
        path = tmp_path / f"one.{ending}"
        answer_file(monkeypatch, path)
        click(qtbot, chart.save_button)
        assert path.stat().st_size > 100
    rows = list(csv.reader(io.StringIO((tmp_path / "one.csv").read_text())))
    assert any("wall thickness" in cell for row in rows for cell in row)
    assert not QImage(str(tmp_path / "one.png")).isNull()
    assert b"<svg" in (tmp_path / "one.svg").read_bytes()


def test_the_same_seed_gives_the_same_answer_and_another_one_does_not(
    qtbot: QtBot, doubt: Any
) -> None:
    ask(qtbot, doubt)
    first = doubt.answer.sampled
    ask(qtbot, doubt)
    assert doubt.answer.sampled.peak_strength_use == first.peak_strength_use
    doubt.seed.setValue(7)
    assert not doubt.answers.isEnabled()
    ask(qtbot, doubt)
    assert doubt.answer.sampled.peak_strength_use != first.peak_strength_use


def test_one_swept_input_is_a_curve_and_two_are_a_map(qtbot: QtBot, doubt: Any) -> None:
    for row, key, low, high in (
        (doubt.sweeps[0], "FP1.bore", "2 mm", "1 in"),
        (doubt.sweeps[1], "R1.wall_thickness", "3 mm", "8 mm"),
    ):
        row.box.setCurrentIndex(row.box.findData(key))
        row.box.activated.emit(row.box.currentIndex())
        assert "mm" in row.low.text()
        for line, text in ((row.low, low), (row.high, high)):
            retype(qtbot, line, text)
        ask(qtbot, doubt, samples=0)
        assert doubt.answers.swept.chart.picture is not None
    assert len(doubt.answer.maps) == 1
    assert doubt.answers.swept.chart.picture.border
    assert "safe" in doubt.answers.swept.words.text()


def test_a_wrong_range_is_refused_with_what_is_valid(qtbot: QtBot, doubt: Any) -> None:
    row = doubt.sweeps[0]
    row.box.setCurrentIndex(row.box.findData("R1.pressure"))
    row.box.activated.emit(row.box.currentIndex())
    retype(qtbot, row.low, "5 bar")
    click(qtbot, doubt.ask_button)
    qtbot.waitUntil(lambda: "Not assessed" in doubt.state.text(), timeout=ANSWER_MS)
    assert "R1.pressure" in doubt.state.text()
    assert "gauge" in doubt.state.text()
    assert doubt.answer is None
    assert doubt.ask_button.isVisible()


def test_an_edit_greys_the_answer(qtbot: QtBot, one_vessel: Frame, doubt: Any) -> None:
    ask(qtbot, doubt)
    document = one_vessel.session.document
    assert document is not None
    seen = doubt.answers.all.chart._drawing.grab().toImage()
    document.replace("wall", document.text.replace('"5 mm"', '"6 mm"'))
    qtbot.waitUntil(lambda: not doubt.answers.isEnabled(), timeout=ANSWER_MS)
    assert "older" in doubt.state.text()
    assert doubt.answers.all.chart._drawing.grab().toImage() != seen
    assert not doubt.answers.all.chart.save_button.isEnabled()
    assert document.undo()


def test_a_long_study_shows_progress_and_can_be_stopped(
    qtbot: QtBot, one_vessel: Frame, doubt: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def endless(self: AskWhatIf, report: Report) -> None:
        report.progress(0.25, "sampling")
        while not report.should_stop():
            time.sleep(0.001)
        raise Cancelled

    monkeypatch.setattr(AskWhatIf, "__call__", endless)
    click(qtbot, doubt.ask_button)
    qtbot.waitUntil(lambda: doubt.progress.value() == 25, timeout=ANSWER_MS)
    assert "sampling" in doubt.state.text()
    assert one_vessel.view_bar.button("tryout").isEnabled()
    click(qtbot, doubt.stop_button)
    qtbot.waitUntil(lambda: not one_vessel.session.dispatcher.busy("doubt study"), timeout=10_000)
    assert doubt.ask_button.isVisible()
    assert doubt.state.text() == "Stopped."


def test_what_was_worked_out_stays_when_a_study_is_stopped_and_says_that_it_is_not_all(
    qtbot: QtBot, one_vessel: Frame, doubt: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    ask(qtbot, doubt, 64)
    whole = doubt.answer
    assert whole.sampled is not None

    def one_part(self: AskWhatIf, report: Report) -> None:
        report.partial("so far", replace(whole, sampled=None))
        report._stop.wait(60.0)  # type: ignore[attr-defined]
        raise Cancelled

    monkeypatch.setattr(AskWhatIf, "__call__", one_part)
    doubt.samples.setValue(128)
    click(qtbot, doubt.ask_button)
    qtbot.waitUntil(lambda: doubt.answer is not whole, timeout=ANSWER_MS)
    assert doubt.answers.isEnabled()  # it can be read while the rest is worked out
    click(qtbot, doubt.stop_button)
    assert doubt.answers.isEnabled()
    assert doubt.answers.one.table.rowCount() == len(whole.tornado.bars)
    assert "stopped" in doubt.state.text()
    assert "not known" in doubt.state.text()
    one_vessel.session.units_changed.emit()
    assert "stopped" in doubt.state.text()
    doubt.samples.setValue(256)
    assert "another question" in doubt.state.text()
    qtbot.waitUntil(lambda: not one_vessel.session.dispatcher.busy("doubt study"), timeout=10_000)


def test_an_input_that_is_ticked_off_stays_as_stated_with_keys_only(
    qtbot: QtBot, one_vessel: Frame, doubt: Any
) -> None:
    doubt.inputs.setFocus()
    item = row_of(doubt, "R1.wall_thickness")
    doubt.inputs.setCurrentItem(item)
    qtbot.keyClick(doubt.inputs, Qt.Key.Key_Space)
    assert item.checkState(0) == Qt.CheckState.Unchecked
    doubt.samples.setValue(32)
    doubt.ask_button.setFocus()
    qtbot.keyClick(doubt.ask_button, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: doubt.answer is not None and not doubt.is_running, timeout=ANSWER_MS)
    keys = [one.key for one in doubt.answer.sampled.inputs]
    assert "R1.wall_thickness" not in keys
    assert "R1.wall_thickness" not in [bar.key for bar in doubt.answer.tornado.bars]
    assert keys


def test_unit_set_and_tick_marks_live_together(qtbot: QtBot, one_vessel: Frame, doubt: Any) -> None:
    row_of(doubt, "FP1.bore").setCheckState(0, Qt.CheckState.Unchecked)
    one_vessel.session.set_unit_set("US customary")
    item = row_of(doubt, "FP1.bore")
    assert item.checkState(0) == Qt.CheckState.Unchecked
    assert "in" in item.text(1)
    ask(qtbot, doubt, samples=16)
    assert doubt.answers.all.words.text()


def test_beside_the_verdict_stands_how_sure_it_is(qtbot: QtBot, one_vessel: Frame) -> None:
    fire = one_vessel.work.answers.fire()
    assert fire is not None
    click(qtbot, one_vessel.work.answers.doubt_button)
    view: Any = one_vessel.pages["doubt"]
    assert one_vessel.stack.currentWidget() is view
    qtbot.waitUntil(lambda: view.inputs.topLevelItemCount() > 0, timeout=ANSWER_MS)
    assert view.fire.currentData() == (fire.id, fire.section)
    assert (view._known.subject.fire, view._known.subject.section) == (fire.id, fire.section)
    ask(qtbot, view)
    view.fire.setCurrentIndex(0)  # the ruling one, which is the same run
    view.fire.activated.emit(0)
    qtbot.waitUntil(lambda: view.is_current, timeout=ANSWER_MS)
    assert "up to date" in view.state.text()
    view.samples.setValue(128)
    assert "another question" in view.state.text()


@in_every_language
@pytest.mark.parametrize("width", [960, 1024, 1280])
def test_every_input_stands_in_full_without_scrolling_sideways(
    qtbot: QtBot, one_vessel: Frame, doubt: Any, width: int
) -> None:
    """Property: each cell has the height that its text takes at the width of its column."""
    one_vessel.resize(width, 700)
    inputs = doubt.inputs
    qtbot.waitUntil(lambda: inputs.header().length() <= inputs.viewport().width())
    qtbot.waitUntil(lambda: inputs.horizontalScrollBar().maximum() == 0)
    for item in inputs._rows():
        for column in range(3):
            cell = inputs.visualRect(inputs.indexFromItem(item, column))
            room = cell.width() - inputs.beside_text(inputs.indexFromItem(item, column))
            need = inputs.fontMetrics().boundingRect(
                QRect(0, 0, room, 1000), int(Qt.TextFlag.TextWordWrap), item.text(column)
            )
            assert need.height() <= cell.height(), item.text(column)
            assert need.width() <= room, item.text(column)


def test_without_variance_no_index_is_listed_and_the_reason_is_told(
    qtbot: QtBot, one_vessel: Frame, doubt: Any
) -> None:
    ask(qtbot, doubt)
    answer, units = doubt.answer, one_vessel.session.units
    page = doubt.answers.all
    assert page.table.rowCount() > 3
    assert "no input changes it" not in page.words.text()
    use = answer.sampled.peak_strength_use
    quantiles = dict.fromkeys(use.quantiles, 1.0)
    alike = replace(use, mean=1.0, deviation=1e-9, quantiles=quantiles)
    sampled = replace(answer.sampled, peak_strength_use=alike)
    doubt.answers.show_answer(replace(answer, sampled=sampled), units)
    assert page.table.rowCount() == 0
    assert "no input changes it" in page.words.text()
    offered = [page.which.itemText(n) for n in range(page.which.count())]
    assert not any("table" in text or "indices" in text for text in offered)


def test_the_pressure_of_the_atmosphere_is_offered_as_an_absolute_one():
    known = KnownInput("site.ambient_pressure", "pressure", 101300.0, None, 4e4, 1.2e5)
    low, high = ends_of(known, Units())
    assert (low, high) == ("0.506 bar(a)", "1.2 bar(a)")
    assert ends_of(known, Units("US customary"))[0].endswith("psia")
    inside = KnownInput("R1.pressure", "pressure", 851300.0, None, None, None)
    assert ends_of(inside, Units("metric", 101300.0))[0] == "3.75 bar(g)"
