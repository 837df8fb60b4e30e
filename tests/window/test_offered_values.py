"""What the program filled in is shown as offered until the person confirms or replaces it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from airrisk.installation.offered import offered_fields
from airrisk.installation.reading import read
from airrisk.window.facts.editors import ChoiceEditor
from airrisk.window.first_vessel import SORTS, vessel_file
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language
from tests.window.test_journeys import field, retype


@pytest.fixture
def fresh(quick: None, frame: Frame) -> Frame:
    """A window with a plug that was just added."""
    frame.files.start_with(SMALL)
    frame.session.choose("R2")
    assert frame.edits.add("plug") == "FP2"
    return frame


@pytest.mark.parametrize("sort", SORTS)
def test_a_first_vessel_offers_all_that_nobody_said(sort: str) -> None:
    installation = read(vessel_file(sort, 0.5, 8e5, "8 bar(g)"))
    offered = offered_fields(installation)
    assert set(offered) == {"R1", "FP1", "RV1"}
    vessel, plug, valve = (installation.find(name) for name in ("R1", "FP1", "RV1"))
    assert vessel.given - {"id", "at", "offered", *offered["R1"]} == {"volume", "pressure"}
    assert plug.given - {"id", "on", "offered", *offered["FP1"]} == set()
    assert valve.given - {"id", "on", "offered", *offered["RV1"]} == set()


def test_a_confirmed_value_stays_and_undo_offers_it_again(qtbot: QtBot, fresh: Frame) -> None:
    document = fresh.session.document
    assert document is not None
    rows = fresh.work.facts.form.rows
    bore, place = rows["plug", "bore"], rows["plug", "place"]
    assert bore.origin.text() == "offered, not confirmed"
    assert bore.editor.accessibleDescription().startswith("offered, not confirmed. ")
    assert bore.confirm_button.isVisible()
    assert not place.confirm_button.isVisible()
    assert place.origin.text() == "default"
    qtbot.mouseClick(bore.confirm_button, Qt.MouseButton.LeftButton)
    assert document.installation is not None
    assert document.installation.plugs[1].offered == ("alloy", "condition")
    assert document.undo_label == "confirm Bore of FP2"
    assert bore.origin.text() == "typed"
    assert not bore.confirm_button.isVisible()
    document.undo()
    assert document.installation.plugs[1].offered == ("alloy", "bore", "condition")
    assert bore.confirm_button.isVisible()


def test_typing_another_value_confirms_it(qtbot: QtBot, fresh: Frame) -> None:
    document = fresh.session.document
    assert document is not None
    retype(qtbot, field(fresh, "bore", "plug"), "12 mm")
    assert document.installation is not None
    plug = document.installation.plugs[1]
    assert plug.bore == pytest.approx(0.012)
    assert plug.offered == ("alloy", "condition")


def test_all_values_of_a_part_are_confirmed_in_one_step(qtbot: QtBot, fresh: Frame) -> None:
    document = fresh.session.document
    assert document is not None
    form = fresh.work.facts.form
    assert form.confirm_all.isVisible()
    before = document.text
    qtbot.mouseClick(form.confirm_all, Qt.MouseButton.LeftButton)
    assert document.installation is not None
    assert document.installation.plugs[1].offered == ()
    assert not form.confirm_all.isVisible()
    document.undo()
    assert document.text == before
    fresh.session.choose("FP1")
    assert not fresh.work.facts.form.confirm_all.isVisible()


def test_what_is_open_for_review_cannot_be_confirmed(fresh: Frame) -> None:
    document = fresh.session.document
    assert document is not None
    document.review_only = True
    form = fresh.work.facts.form
    form.refresh()
    assert not form.confirm_all.isVisible()
    assert not form.rows["plug", "bore"].confirm_button.isVisible()
    assert form.rows["plug", "bore"].origin.text() == "offered, not confirmed, locked"


def test_the_place_of_an_outlet_is_chosen_among_words_and_rooms(fresh: Frame) -> None:
    fresh.session.choose("R2")
    assert fresh.edits.add("room") == "Room1"
    fresh.session.choose("FP1")
    editor = fresh.work.facts.form.rows["plug", "outlet_place"].editor
    assert isinstance(editor, ChoiceEditor)
    words = [editor.itemText(index) for index in range(editor.count())]
    assert words == [
        "not stated (default)", "outdoors, nobody passes", "people pass", "Room1",
    ]  # fmt: skip
    editor.activated.emit(3)
    document = fresh.session.document
    assert document is not None
    assert document.installation is not None
    assert document.installation.plugs[0].outlet_place == "Room1"


@in_every_language
@pytest.mark.parametrize("units", ["metric", "US customary"])
def test_the_fields_of_an_offered_part_are_not_cut_off(fresh: Frame, units: str) -> None:
    fresh.resize(1280, 800)
    fresh.session.choose("R2")
    document = fresh.session.document
    assert document is not None
    keys = list(document.system_text.block("R2"))[1:-1]
    document.replace("offer", document.system_text.set("R2", "offered", keys).text)
    fresh.session.set_unit_set(units)
    form = fresh.work.facts.form
    shown = form.rows["vessel", "wall_thickness"]
    assert shown.confirm_button.isVisible()
    assert shown.other.isVisible() is (units != "metric")
    page = form.widget()
    page.layout().activate()
    assert page.minimumSizeHint().width() <= form.viewport().width()
