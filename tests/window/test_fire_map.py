"""Where a fire may stand: drawing, pointing with keys, asking about one place, stopping."""

from __future__ import annotations

import threading
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from airrisk.study import fire_map as study
from airrisk.study import plug_sides
from airrisk.study.fire_map_records import RUPTURES
from airrisk.study.plug_sides import PlugSide, SidesOfVessel
from airrisk.tables import sample_path
from airrisk.window.frame import Frame
from tests.window.conftest import ANSWER_MS
from tests.window.test_journeys import click

STEP = threading.Event()  # never set: a job that tells its progress a hundred times a second


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small map: here the window is the point."""
    draw = study.fire_map

    def small(*given: Any, **more: Any) -> Any:
        return draw(*given, positions=80, borders=False, **more)

    monkeypatch.setattr(study, "fire_map", small)


@pytest.fixture
def page(qtbot: QtBot, frame: Frame) -> Any:
    """The map's page of the joinery, nothing drawn yet."""
    frame.files.open_name(str(sample_path("joinery")))
    frame.menus.actions["map"].trigger()
    view: Any = frame.pages["reach"]
    assert view.parts.currentWidget() is view.fire_map
    return view.fire_map


def draw(qtbot: QtBot, page: Any) -> None:
    click(qtbot, page.draw_button)
    qtbot.waitUntil(lambda: page.answer is not None and not page.is_running, timeout=ANSWER_MS)


def test_a_source_of_the_file_or_any_pool_is_moved_about(qtbot: QtBot, page: Any) -> None:
    listed = [page.source.itemText(k) for k in range(page.source.count())]
    assert listed == ["pool Day-tank", "pool Thinner", "a pool of"]
    assert not page.fuel.isEnabled()
    assert page.wanted().id == "Day-tank"
    page.source.setCurrentIndex(2)
    page.source.activated.emit(2)
    assert page.fuel.isEnabled()
    page.fuel.setCurrentIndex(page.fuel.findData("ethanol"))
    page.diameter.setValue(1.5)
    assert (page.wanted().fuel, page.wanted().diameter) == ("ethanol", 1.5)
    draw(qtbot, page)
    assert "ethanol" in page.state.text()
    assert "at most four runs" in page.caution.text()


def test_keys_point_at_a_place_and_enter_makes_all_its_runs(qtbot: QtBot, page: Any) -> None:
    draw(qtbot, page)
    seen = page.answer
    rows, columns = np.nonzero(seen.outcome == RUPTURES)
    goal = (int(rows[0]), int(columns[0]))
    canvas = page.canvas
    canvas.setFocus()
    canvas.cursor_at = (goal[0], goal[1] - 1)
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    assert canvas.cursor_at == goal
    assert "ruptures" in page.told.text()
    assert canvas.accessibleDescription() == page.told.text()
    qtbot.keyClick(canvas, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: page.told.text().startswith("All runs"), timeout=ANSWER_MS)
    assert "Day-tank" in page.told.text()
    assert "of" in page.told.text()
    qtbot.keyClick(canvas, Qt.Key.Key_Up)
    assert not page.told.text().startswith("All runs")


def test_a_click_asks_about_the_place_under_it(qtbot: QtBot, page: Any) -> None:
    draw(qtbot, page)
    canvas = page.canvas
    place = page.answer.nearest(2.5, 0.0)
    spot = canvas.spot_of(place)
    assert canvas.place_at(spot) == place
    qtbot.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=spot.toPoint())
    assert canvas.cursor_at == place
    qtbot.waitUntil(lambda: page.told.text().startswith("All runs"), timeout=ANSWER_MS)


def test_a_question_about_a_place_does_not_lose_the_map_that_is_drawn(
    qtbot: QtBot, page: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[object] = []
    small = study.fire_map

    def slowly(*words: Any, kept: Any, watcher: Any, **more: Any) -> Any:
        given.append(kept)
        found = small(*words, kept=kept, **more)
        watcher.partial(found)
        while len(given) == 1:
            STEP.wait(0.01)
            watcher.progress(0.9, "borders")
        return found

    monkeypatch.setattr(study, "fire_map", slowly)
    click(qtbot, page.draw_button)
    qtbot.waitUntil(lambda: page.answer is not None, timeout=ANSWER_MS)
    page.ask_place((0, 0))
    qtbot.waitUntil(lambda: not page.is_running, timeout=ANSWER_MS)
    assert given[0] is given[1]
    assert given[0]
    assert "are being made" not in page.told.text()


def test_a_change_of_the_file_makes_the_map_an_old_one(
    qtbot: QtBot, frame: Frame, page: Any
) -> None:
    draw(qtbot, page)
    assert page.is_current
    text = frame.session.document.text
    frame.session.document.replace(
        "change", text.replace('diameter = "1.5 m"', 'diameter = "1.6 m"')
    )
    assert not page.is_current
    assert "older than the last change" in page.state.text()
    page.ask_place((0, 0))
    assert not frame.session.dispatcher.busy("fire at a place")


def test_a_map_that_is_drawn_can_be_stopped(
    qtbot: QtBot, page: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def endless(*_: Any, watcher: Any, **__: Any) -> Any:
        while not STEP.wait(0.01):
            watcher.progress(0.5, "picture")

    monkeypatch.setattr(study, "fire_map", endless)
    click(qtbot, page.draw_button)
    qtbot.waitUntil(lambda: page.progress.value() == 50, timeout=ANSWER_MS)
    click(qtbot, page.stop_button)
    assert not page.is_running
    assert "Stopped" in page.state.text()


def test_the_layout_leads_to_the_map_of_the_chosen_source(qtbot: QtBot, frame: Frame) -> None:
    frame.files.open_name(str(sample_path("joinery")))
    frame.show_view("work")
    frame.session.choose("Thinner")
    click(qtbot, frame.work.plan.map_button)
    view: Any = frame.pages["reach"]
    assert view.parts.currentWidget() is view.fire_map
    assert view.fire_map.wanted().id == "Thinner"


def test_the_sides_of_plugs_are_asked_for_and_stand_in_a_table(
    qtbot: QtBot, frame: Frame, page: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    top = PlugSide("top", None, False, 30, 40, (4,))
    found = SidesOfVessel("R1", "diesel", 1.5, "FP1", 121, 80, 0.5, 8, (top,))

    def few(whole: object, source: object, on: object, **_: object) -> Any:
        asked.append(source)
        return (found,)

    monkeypatch.setattr(plug_sides, "plug_sides", few)
    panel = page.sides
    assert panel.table.isHidden()
    click(qtbot, panel.button)
    qtbot.waitUntil(lambda: bool(panel.answer), timeout=ANSWER_MS)
    assert asked[0].id == "Day-tank"
    assert "a plug like FP1" in panel.told.text()
    assert [panel.table.item(0, k).text() for k in (1, 5)] == ["on top", "south"]
    assert not panel.table.isHidden()
    assert "never proof" in panel.caution.text()
    text = frame.session.document.text
    frame.session.document.replace("change", text.replace("1.5 m", "1.6 m"))
    assert panel.told.text().startswith("Older than the last change")
    assert page.canvas.isHidden()
    click(qtbot, panel.hide_button)
    assert panel.answer == ()
    assert not page.canvas.isHidden()
    assert panel.table.isHidden()


def test_a_jet_has_a_map_and_no_sides(qtbot: QtBot, frame: Frame, page: Any) -> None:
    jet = '\n[[fire_source]]\nid = "Leak"\nkind = "jet"\nlength = "2 m"\nat = [5.0, 5.0]\n'
    frame.session.document.replace("change", frame.session.document.text + jet)
    page.choose_source("Leak")
    assert page.wanted().kind == "jet"
    assert page.draw_button.isEnabled()
    assert not page.sides.button.isEnabled()
    page.choose_source("Day-tank")
    assert page.sides.button.isEnabled()


def test_what_cannot_be_drawn_says_why(qtbot: QtBot, frame: Frame, page: Any) -> None:
    text = frame.session.document.text
    frame.session.document.replace("change", text.replace("at = [14.0, 0.0]", "at = [9000.0, 0.0]"))
    click(qtbot, page.draw_button)
    qtbot.waitUntil(lambda: page.state.text().startswith("No map"), timeout=ANSWER_MS)
    assert "mistyped position" in page.state.text()


def test_the_diameter_follows_the_units(frame: Frame, page: Any) -> None:
    page.source.setCurrentIndex(2)
    page.diameter.setValue(2.0)
    frame.session.set_unit_set("US customary")
    assert page.diameter.suffix().strip() == "ft"
    assert page.diameter.value() == pytest.approx(6.56)
    assert page.wanted().diameter == pytest.approx(2.0, rel=1e-3)
    frame.session.set_unit_set("metric")
    assert page.diameter.value() == pytest.approx(2.0)
