"""A turned knob: what is asked for, how often, and what is shown until the answer is there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import shiboken6
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from airrisk.report import exercise_sheet
from airrisk.window.frame import Frame
from airrisk.window.tryout.answer_side import ENERGY, HEATING, ORDER, RUPTURES
from airrisk.window.tryout.asking import DRAG, SETTLE
from tests.window.conftest import ANSWER_MS
from tests.window.test_journeys import retype


@pytest.fixture
def asked(one_vessel: Frame, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The lanes of all requests from now on, which still run."""
    lanes: list[str] = []
    dispatcher = one_vessel.session.dispatcher
    real = dispatcher.request

    def request(lane: str, *rest: Any, **more: Any) -> None:
        lanes.append(lane)
        real(lane, *rest, **more)

    monkeypatch.setattr(dispatcher, "request", request)
    return lanes


def opened(qtbot: QtBot, frame: Frame) -> Any:
    """The Try-out with its first answer."""
    qtbot.mouseClick(frame.view_bar.button("tryout"), Qt.MouseButton.LeftButton)
    view: Any = frame.pages["tryout"]
    qtbot.waitUntil(lambda: view.answer is not None and view.answer.complete, timeout=ANSWER_MS)
    return view


def knob(view: Any, key: str) -> Any:
    return next(row for row in view.rows if row.knob.spec.key == key)


def test_only_the_newest_of_many_movements_is_run(
    qtbot: QtBot, one_vessel: Frame, asked: list[str]
) -> None:
    """Property: movements between two rounds of the event loop are one request."""
    view = opened(qtbot, one_vessel)
    first = view.answer
    for step in range(151, 191):
        knob(view, "wall_thickness").slider.setValue(step)
    qtbot.waitUntil(lambda: view.answer is not first and view.answer.complete, timeout=ANSWER_MS)
    assert asked.count(DRAG) == 1
    assert asked.count(SETTLE) == 1
    line = knob(view, "wall_thickness").line.text()
    assert view._scratch.changes == {("R1", "wall_thickness"): line}


def test_a_released_knob_does_not_make_the_next_movements_ask_for_bores(
    qtbot: QtBot, one_vessel: Frame, asked: list[str]
) -> None:
    """Property: the whole answer is asked for at rest only, also after a first rest."""
    view = opened(qtbot, one_vessel)
    slider = knob(view, "wall_thickness").slider
    slider.setValue(160)
    slider.sliderReleased.emit()
    qtbot.waitUntil(lambda: view.answer.settled and asked.count(SETTLE) == 1, timeout=ANSWER_MS)
    slider.setValue(170)
    assert view.asking.rest_timer.isActive()
    assert view.asking.rest_timer.interval() > 0
    qtbot.waitUntil(lambda: asked.count(SETTLE) == 2, timeout=ANSWER_MS)


def test_the_smallest_bore_is_greyed_until_it_is_found_again(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    assert view.side.bores.isEnabled()
    assert "FP1" in view.side.bores.text()
    assert "mm" in view.side.bores.text()
    assert "vents in time" in view.side.verdict.text()
    before = view.side.bores.text()
    slider = knob(view, "volume").slider
    slider.setValue(200)
    qtbot.waitUntil(lambda: not view.side.bores.isEnabled(), timeout=ANSWER_MS)
    assert view.side.bores.text() == before
    qtbot.waitUntil(view.side.bores.isEnabled, timeout=ANSWER_MS)
    assert view.side.bores.text() != before


def test_the_axes_hold_still_while_the_curve_still_fits(qtbot: QtBot, one_vessel: Frame) -> None:
    """Property: a small movement leaves the range, a large one follows, and both are painted."""
    view = opened(qtbot, one_vessel)
    slider = knob(view, "wall_thickness").slider
    plot = view.side.chart._line_plot()

    def turn(step: int) -> list[Any]:
        before = view.answer
        slider.setValue(step)
        qtbot.waitUntil(lambda: view.answer is not before, timeout=ANSWER_MS)
        return list(plot._range)

    turn(160)
    start = turn(175)
    assert turn(178) == start
    picture = plot.grab().toImage()
    assert turn(290) != start
    assert plot.grab().toImage() != picture
    assert isinstance(picture, QImage)


@pytest.mark.parametrize(("width", "height"), [(1024, 700), (1280, 800), (1920, 1080)])
def test_the_chart_keeps_its_height_beside_pinned_cases(
    qtbot: QtBot, one_vessel: Frame, width: int, height: int
) -> None:
    view = opened(qtbot, one_vessel)
    one_vessel.resize(width, height)
    for _ in range(6):
        view.pin()
    plot = view.side.chart._line_plot()
    qtbot.waitUntil(lambda: view.side.chart.height() >= 250 and view.pinned.table.height() >= 60)
    assert plot.height() >= 190
    seen = plot.viewport().visibleRegion().boundingRect()
    # what a verdict hangs on is told above in up to four lines; then the side scrolls by one
    assert seen.height() >= 0.9 * plot.viewport().height()
    assert view.pinned.height() <= 0.31 * view.height()


def test_a_low_window_shows_the_pinned_cases_when_they_are_asked_for(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    one_vessel.resize(960, 540)
    view.pin()
    qtbot.waitUntil(lambda: not view.pinned.table.isVisible())
    assert "1" in view.pinned.heading.text()
    qtbot.mouseClick(view.pinned.heading, Qt.MouseButton.LeftButton)
    assert view.pinned.table.isVisible()
    assert view.pinned.table.height() >= view.pinned.table.wanted_height()
    plot = view.side.chart._line_plot()
    assert plot.height() >= 190  # the side scrolls


def test_the_order_of_events_has_a_page_where_there_is_no_room_above(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    one_vessel.resize(1920, 1080)
    qtbot.waitUntil(lambda: view.side.ruler.isVisible() and view.side.chart.isVisible())
    one_vessel.resize(1024, 700)
    view.pin()
    qtbot.waitUntil(lambda: not view.side.ruler.isVisible())
    view.side.show_chart(ORDER)
    qtbot.waitUntil(lambda: view.side.ruler.isVisible() and view.side.times.isVisible())
    assert not view.side.chart.isVisible()
    one_vessel.resize(1920, 1080)
    qtbot.waitUntil(lambda: view.side.ruler.isVisible() and view.side.chart.isVisible())


def test_the_grey_curve_of_the_file_is_named(qtbot: QtBot, one_vessel: Frame) -> None:
    view = opened(qtbot, one_vessel)
    names = view.side.chart._legend.names
    assert names() == ("R1",)
    before = view.answer
    knob(view, "wall_thickness").slider.setValue(170)
    qtbot.waitUntil(lambda: view.answer is not before, timeout=ANSWER_MS)
    assert names() == ("R1", "as in the file")


@pytest.mark.parametrize(
    ("text", "said"),
    [("-3 mm", "out of range"), ("3", "no unit"), ("0.001 mm", "0.2 mm"), ("4 bar(g)", "mm")],
)
def test_a_wrong_value_is_refused_beside_its_knob(
    qtbot: QtBot, one_vessel: Frame, text: str, said: str
) -> None:
    view = opened(qtbot, one_vessel)
    row = knob(view, "wall_thickness")
    retype(qtbot, row.line, text)
    assert said in row.error.text()
    assert row.error.isVisible()
    assert not view.keep_button.isEnabled()
    qtbot.mouseClick(view.drop_button, Qt.MouseButton.LeftButton)
    assert view.answer is not None


def test_values_that_contradict_each_other_are_not_kept(qtbot: QtBot, one_vessel: Frame) -> None:
    view = opened(qtbot, one_vessel)
    document = one_vessel.session.document
    assert document is not None
    before, told = document.text, []
    view.message.connect(told.append)
    retype(qtbot, knob(view, "volume").line, "20 L")  # in its range, but less than its heads
    qtbot.waitUntil(lambda: view.answer is None)
    assert "heads" in view.side.verdict.text()
    qtbot.mouseClick(view.keep_button, Qt.MouseButton.LeftButton)
    assert document.text == before
    assert "Not kept" in told[-1]


def test_a_fire_that_was_turned_can_be_deleted(qtbot: QtBot, one_vessel: Frame) -> None:
    """What was tried of it is named and forgotten; everything else stays tried."""
    view = opened(qtbot, one_vessel)
    knob(view, "exposed_share").slider.setValue(100)
    knob(view, "wall_thickness").slider.setValue(120)
    wall = knob(view, "wall_thickness").line.text()
    one_vessel.edits.delete(["F1"])
    qtbot.waitUntil(lambda: view.answer is not None, timeout=ANSWER_MS)
    assert view.answer.fire is None or view.answer.fire.id != "F1"
    assert view._scratch.changes == {("R1", "wall_thickness"): wall}
    assert knob(view, "wall_thickness").line.text() == wall
    tried, _, dropped = view.worded.text().partition("No longer tried: ")
    assert wall in tried
    assert dropped.startswith("F1 ")
    assert "R1" not in dropped


def test_what_was_tried_of_a_part_that_is_gone_is_refused_while_the_view_is_away(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    knob(view, "exposed_share").slider.setValue(100)
    one_vessel.turn_to("work")
    one_vessel.edits.delete(["F1"])
    document = one_vessel.session.document
    assert document is not None
    text = document.text
    view.keep()
    assert "no part 'F1'" in one_vessel.status.message.text()
    assert document.text == text
    with qtbot.waitSignal(view.asking.refused, timeout=ANSWER_MS):
        view.asking.rested()


def test_what_is_tried_outlives_an_edit_of_the_file_and_a_mistake_in_it(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    knob(view, "wall_thickness").slider.setValue(120)
    wall = knob(view, "wall_thickness").line.text()
    document = one_vessel.session.document
    assert document is not None
    document.replace("a mistake", document.text.replace('on = "R1"', 'on = "R9"'))
    assert not view.rows
    document.undo()
    document.replace("pressure", document.system_text.set("R1", "pressure", "6 bar(g)").text)
    assert view._scratch.changes == {("R1", "wall_thickness"): wall}
    assert knob(view, "wall_thickness").line.text() == wall
    assert knob(view, "pressure").line.text() == "6 bar(g)"
    qtbot.waitUntil(lambda: view.answer is not None and view.answer.complete, timeout=ANSWER_MS)


def test_a_knob_is_not_deleted_while_a_kept_value_changes_the_knobs(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    row = knob(view, "wall_thickness")
    row.slider.setValue(120)
    row.turned.connect(view.keep)
    retype(qtbot, row.line, "4 mm")
    assert shiboken6.isValid(row)
    assert knob(view, "wall_thickness") is row
    assert one_vessel.session.document is not None
    assert 'wall_thickness = "4 mm"' in one_vessel.session.document.text


def test_a_dragged_picture_is_never_shown_as_safe(
    qtbot: QtBot, one_vessel: Frame, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The run as stated is only one of those that the verdict answers for."""
    view = opened(qtbot, one_vessel)
    assert view.answer.fire.safe
    assert view.side.verdict.property("tone") in ("sound", "note")
    monkeypatch.setattr(view.asking, "_settle", lambda: None)
    view.asking.rest_timer.timeout.disconnect()
    first = view.answer
    knob(view, "wall_thickness").slider.setValue(160)
    qtbot.waitUntil(lambda: view.answer is not first, timeout=ANSWER_MS)
    assert view.answer.fire.outcome == "vents in time"
    assert view.answer.fire.safe is None
    assert view.side.verdict.property("tone") == "quiet"
    said = view.side.verdict.text()
    assert said.startswith("… not yet checked: as stated vents in time")
    assert said.endswith("the other runs of this fire follow")
    assert not view.side.sentence.isEnabled()
    view.pin()
    assert view.pinned.table.item(0, 1).text().startswith("… not yet checked")


def test_an_unsafe_run_as_stated_is_told_at_once(qtbot: QtBot, one_vessel: Frame) -> None:
    """No other run can make it safe."""
    view = opened(qtbot, one_vessel)
    view.asking.rest_timer.timeout.disconnect()
    first = view.answer
    knob(view, "wall_thickness").slider.setValue(0)
    qtbot.waitUntil(lambda: view.answer is not first, timeout=ANSWER_MS)
    assert view.side.verdict.property("tone") == "danger"
    assert view.side.verdict.text().startswith("✖ ruptures")


def test_a_case_that_is_pinned_too_early_gets_its_verdict(qtbot: QtBot, one_vessel: Frame) -> None:
    view = opened(qtbot, one_vessel)
    knob(view, "wall_thickness").slider.setValue(160)
    view.pin()  # what is on the screen is still the answer to the file
    pin = view.pinned.table.pins[0]
    assert not pin.final
    assert pin.changes
    qtbot.waitUntil(lambda: view.pinned.table.pins[0].final, timeout=ANSWER_MS)
    pin = view.pinned.table.pins[0]
    assert pin.answer is view.answer
    assert pin.answer.fire.safe is not None
    knob(view, "wall_thickness").slider.setValue(0)
    qtbot.waitUntil(lambda: view.answer.fire.safe is False and view.answer.complete,
                    timeout=ANSWER_MS)  # fmt: skip
    assert view.pinned.table.pins[0] is pin


def test_the_verdict_does_not_wait_for_the_bores(qtbot: QtBot, one_vessel: Frame) -> None:
    view = opened(qtbot, one_vessel)
    told: list[tuple[bool, bool]] = []
    view.asking.answered.connect(lambda: told.append((view.answer.settled, view.answer.complete)))
    knob(view, "wall_thickness").slider.setValue(160)
    qtbot.waitUntil(lambda: (True, True) in told, timeout=ANSWER_MS)
    assert list(dict.fromkeys(told)) == [(False, False), (True, False), (True, True)]


def test_a_value_that_is_typed_is_tried_when_its_line_is_left_or_kept(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    """Property: the line and the slider of a knob never say two different things."""
    view = opened(qtbot, one_vessel)
    line = knob(view, "wall_thickness").line
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "4 mm")
    knob(view, "pressure").slider.setFocus()
    assert view._scratch.changes == {("R1", "wall_thickness"): "4 mm"}
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "3 mm")
    view.keep()
    assert one_vessel.session.document is not None
    assert 'wall_thickness = "3 mm"' in one_vessel.session.document.text


def test_nothing_is_kept_beside_a_value_that_is_refused(qtbot: QtBot, one_vessel: Frame) -> None:
    view = opened(qtbot, one_vessel)
    knob(view, "pressure").slider.setValue(120)
    line = knob(view, "wall_thickness").line
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "thin")
    assert one_vessel.session.document is not None
    before = one_vessel.session.document.text
    view.keep()
    assert one_vessel.session.document.text == before
    assert "Not kept: R1: Wall thickness" in one_vessel.status.message.text()
    view.drop()
    assert knob(view, "wall_thickness").error.isHidden()


def test_a_pressure_above_the_design_pressure_is_said_while_it_is_tried(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    assert "design pressure" not in view.side.energy.text()
    line = knob(view, "pressure").line
    line.setFocus()
    line.selectAll()
    first = view.answer
    qtbot.keyClicks(line, "25 bar(g)")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: view.answer is not first and view.answer.complete, timeout=ANSWER_MS)
    assert "above its design pressure of" in view.side.energy.text()


def test_pinned_cases_stand_behind_the_curves_and_energy_follows_the_knob(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    qtbot.mouseClick(view.pin_button, Qt.MouseButton.LeftButton)
    stored = view.side.energy.text()
    assert "isentropic" in stored
    row = knob(view, "pressure")
    first = view.answer
    row.slider.setValue(row.slider.value() + 60)
    qtbot.waitUntil(lambda: view.answer is not first and view.answer.complete, timeout=ANSWER_MS)
    assert view.side.energy.text() != stored
    view.side.show_chart(HEATING)
    qtbot.mouseClick(view.pin_button, Qt.MouseButton.LeftButton)
    legend = view.side.chart._legend.names()
    assert "as in the file" in legend
    assert "pinned case B" in legend
    assert "pinned case A" not in legend  # it is the file's, which is there already
    view.side.show_chart(ENERGY)
    assert all(bar.mark < bar.value for bar in view.side.chart.picture.bars)
    view.side.show_chart(RUPTURES)
    [mark] = view.side.chart.picture.marks
    assert mark.label == "now"
    # the point lies on the curve of the answer beside it, within the spacing of the curve
    assert mark.y == pytest.approx(view.answer.part.rupture_temperature_k, rel=0.01)


def test_the_temperature_of_the_air_has_a_knob(qtbot: QtBot, one_vessel: Frame) -> None:
    view = opened(qtbot, one_vessel)
    first = view.answer
    row = knob(view, "temperature")
    row.slider.setValue(row.slider.value() + 40)
    qtbot.waitUntil(lambda: view.answer is not first and view.answer.complete, timeout=ANSWER_MS)
    assert view.answer.part.temperature_k > first.part.temperature_k
    assert view.answer.part.gas_mass_kg < first.part.gas_mass_kg


def test_after_a_guess_the_reason_is_told_and_goes_with_the_next_movement(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    qtbot.keyClick(view.guess.switch, Qt.Key.Key_Space)
    assert view.guess.why.isHidden()
    qtbot.mouseClick(view.guess.button, Qt.MouseButton.LeftButton)
    assert view.guess.why.isVisible()
    assert "After" in view.guess.why.text() or "bears at most" in view.guess.why.text()
    row = knob(view, "wall_thickness")
    row.slider.setValue(row.slider.value() - 5)
    assert view.guess.why.isHidden()


def test_the_exercise_sheet_has_the_tried_numbers(
    qtbot: QtBot, one_vessel: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    view = opened(qtbot, one_vessel)
    retype(qtbot, knob(view, "pressure").line, "5 bar(g)")
    target = tmp_path / "sheet.pdf"
    monkeypatch.setattr("airrisk.window.tryout.sheet.ask_where", lambda *_: target)
    made: list[Any] = []
    real = exercise_sheet.build_exercise

    def build(installation: Any, part: Any, units: str) -> Any:
        made.append(part.pressure)
        return real(installation, part, units)

    monkeypatch.setattr(exercise_sheet, "build_exercise", build)
    qtbot.mouseClick(view.exercise_button, Qt.MouseButton.LeftButton)
    assert target.read_bytes().startswith(b"%PDF")
    assert made == [pytest.approx(6.01325e5)]
