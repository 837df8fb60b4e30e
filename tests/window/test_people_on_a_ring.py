"""People told by a distance from a vessel, as a person types, sees and clicks them."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from airrisk.installation.reading import read
from airrisk.window.facts.row import FieldRow
from airrisk.window.frame import Frame
from airrisk.window.plan.items import RingItem
from airrisk.window.plan.panel import PlanPanel
from airrisk.window.reach.distance_plan import around_vessel
from tests.editing.systems import SMALL
from tests.window.test_journeys import retype

SECOND = SMALL.replace("format = 1", "format = 2")
RING = '\n[[people]]\nid = "P1"\ndistance = "25 m"\nfrom = "R1"\n'


@pytest.fixture
def frame_with(quick: None, make_frame: Callable[[], Frame]) -> Callable[[str], Frame]:
    def opened(text: str) -> Frame:
        frame = make_frame()
        frame.files.start_with(text)
        frame.work.plan.show_mode("site plan")
        QApplication.processEvents()
        return frame

    return opened


def row(frame: Frame, key: str) -> FieldRow:
    return frame.work.facts.form.rows["people", key]


def ring_of(plan: PlanPanel) -> RingItem:
    item = plan.scene.items_by_name["P1"]
    assert isinstance(item, RingItem)
    return item


def test_the_ring_stands_round_its_vessel_to_scale_and_is_clicked_on_its_line_alone(
    frame_with: Callable[[str], Frame], qtbot: QtBot
) -> None:
    frame = frame_with(SECOND + RING)
    plan = frame.work.plan
    ring, vessel = ring_of(plan), plan.scene.items_by_name["R1"]
    assert ring.pos() == vessel.pos()
    assert ring.radius == pytest.approx(25.0 * plan.scene.pixels_per_metre)
    assert "25 m from vessel R1, direction not known" in ring.toolTip()
    frame.session.choose(None)

    def click(place: QPointF) -> None:
        spot = plan.view.mapFromScene(place)
        qtbot.mouseClick(plan.view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(spot))

    click(ring.pos() + QPointF(0.6 * ring.radius, 0.5 * ring.radius))
    assert frame.session.chosen is None
    turned = QPointF(0.6 * ring.radius, 0.8 * ring.radius)
    click(ring.pos() + turned)
    assert frame.session.chosen == "P1"
    document = frame.session.document
    assert document is not None
    before = document.text
    spot = plan.view.mapFromScene(ring.pos() + turned)
    qtbot.mousePress(plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    qtbot.mouseMove(plan.view.viewport(), spot + QPoint(40, 30))
    qtbot.mouseRelease(plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot + QPoint(40, 30))
    assert document.text == before  # a ring has no place to be dragged to


def test_a_distance_typed_in_the_form_takes_the_place_of_the_position_and_back(
    frame_with: Callable[[str], Frame], qtbot: QtBot
) -> None:
    one = (
        SECOND.partition('[[vessel]]\nid = "R2"')[0] + '\n[[people]]\nid = "P1"\nat = [9.0, 3.0]\n'
    )
    frame = frame_with(one)
    frame.session.choose("P1")
    retype(qtbot, row(frame, "distance").editor, "25 m")
    installation = frame.session.installation
    assert installation is not None
    (place,) = installation.people
    assert (place.at, place.distance, place.from_) == (None, 25.0, "R1")
    assert isinstance(ring_of(frame.work.plan), RingItem)
    document = frame.session.document
    assert document is not None
    document.undo()
    assert document.text == one
    document.redo()
    retype(qtbot, row(frame, "at").editor, "[4, 5]")
    assert frame.session.installation is not None
    (place,) = frame.session.installation.people
    assert (place.at, place.distance, place.from_) == ((4.0, 5.0), None, "")


def test_a_ring_round_a_vessel_without_a_place_is_listed_and_drawn_nowhere(
    frame_with: Callable[[str], Frame],
) -> None:
    text = SECOND + RING
    at = next(line for line in text.splitlines() if line.startswith("at = "))
    frame = frame_with(text.replace(at + "\n", "", 1))
    assert "P1" not in frame.work.plan.scene.items_by_name
    assert {"R1", "P1"} <= set(frame.work.plan.scene.missing)


def test_the_plan_of_distances_shows_how_near_they_can_be() -> None:
    installation = read(SECOND + RING)
    _, people, _ = around_vessel(installation, "R1", ())
    assert [(one.name, one.ring, one.least) for one in people] == [("P1", 25.0, 25.0)]
    other = around_vessel(installation, "R2", ("P1",))[1][0]
    first, second = (one.at for one in installation.vessels)
    assert first is not None
    assert second is not None
    assert other.reached
    assert other.least < 25.0
    assert other.place == first


def test_a_renamed_vessel_keeps_its_people(frame_with: Callable[[str], Frame]) -> None:
    frame = frame_with(SECOND + RING)
    document = frame.session.document
    assert document is not None
    document.replace("rename", document.system_text.rename("R1", "Tank").text)
    assert frame.session.installation is not None
    assert frame.session.installation.people[0].from_ == "Tank"
