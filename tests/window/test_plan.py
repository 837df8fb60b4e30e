"""The drawing in the window: lines that can be hit, two ways of drawing that never mix."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from airrisk.installation.plug_state import uncredited_devices
from airrisk.installation.reading import read
from airrisk.tables import sample_names, sample_path
from airrisk.window.frame import Frame
from airrisk.window.plan.items import Drawn, LineItem, Node, Symbol
from airrisk.window.plan.panel import PlanPanel
from airrisk.window.plan.scene import Mode, PlanScene
from airrisk.window.plan.site_labels import Named, place_names
from airrisk.window.reach.distance_plan import around_vessel
from airrisk.window.theme import set_text_size
from airrisk.wording.schematic.records import Rect, around
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language
from tests.wording.schematic.invented import network
from tests.wording.schematic.overlaps import covered_names, on_each_other, over_symbols, own_symbols

DATED = SMALL.replace("[[vessel]]", "[choices]\naudit_date = 2026-11-01\n\n[[vessel]]", 1)
TWIN = (
    DATED
    + """
[[line]]
id = "L2"
from = "R1"
to = "R2"
length = "4 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[line]]
id = "L3"
from = "R2"
to = "closed"
length = "2 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[people]]
id = "Bench"
at = [9.0, 3.0]
"""
)


@pytest.fixture
def plan(quick: None, make_frame: Callable[[], Frame], qtbot: QtBot) -> PlanPanel:
    frame = make_frame()
    frame.files.start_with(TWIN)
    frame.resize(1280, 800)
    QApplication.processEvents()
    return frame.work.plan


def rect(box: QRectF) -> Rect:
    return Rect(box.left(), box.top(), box.right(), box.bottom())


def shown(scene: PlanScene) -> list[Drawn]:
    return [item for item in scene.items_by_name.values() if item.isVisible()]


def names_of(items: list[Drawn]) -> dict[str, Rect]:
    return {
        item.name: rect(item.label.translated(item.pos()))
        for item in items
        if not item.label.isEmpty()
    }


def answers_of(items: list[Drawn]) -> dict[str, Rect]:
    return {
        f"answer of {item.name}": rect(item.answer_frame().translated(item.pos()))
        for item in items
        if not item.block.isEmpty()
    }


def symbols_of(items: list[Drawn]) -> dict[str, Rect]:
    found = {}
    for item in items:
        if isinstance(item, Symbol) and item.kind != "wall":
            found[item.name] = rect(item.body().boundingRect().translated(item.pos()))
    return found


@pytest.mark.parametrize("name", sample_names())
def test_what_the_window_draws_stands_on_nothing_else(qapp: QApplication, name: str) -> None:
    installation = read(sample_path(name).read_bytes(), name)
    scene = PlanScene()
    scene.show_installation(installation)
    items = shown(scene)
    courses = {
        item.name: [point.toTuple() for point in item.points]
        for item in items
        if isinstance(item, LineItem)
    }
    own = own_symbols(installation)
    assert not list(over_symbols(courses, symbols_of(items), own))
    assert not list(on_each_other(courses))
    names = names_of(items) | answers_of(items)
    assert not list(covered_names(names, symbols_of(items), courses))
    assert {item.name for item in items} == set(scene.items_by_name)


@pytest.mark.parametrize("name", sample_names())
def test_names_on_the_site_plan_cover_neither_each_other_nor_symbols(
    qapp: QApplication, name: str
) -> None:
    installation = read(sample_path(name).read_bytes(), name)
    scene = PlanScene()
    scene.show_installation(installation)
    scene.set_mode("site plan")
    items = shown(scene)
    assert not list(covered_names(names_of(items), symbols_of(items), {}))
    stated = {part.id for part in installation.parts() if part.at is not None}
    lines = {line.id for line in installation.lines}
    assert stated - lines <= set(scene.items_by_name)


def test_each_line_can_be_clicked_along_its_whole_length(plan: PlanPanel, qtbot: QtBot) -> None:
    """Also where two lines join the same parts side by side."""
    for name in ("L1", "L2", "L3"):
        line = plan.scene.items_by_name[name]
        assert isinstance(line, LineItem)
        length = line.length()
        for step in range(1, 40):
            point, _ = line.at_distance(length * step / 40)
            on_it = plan.scene.items(point)
            assert line in on_it
            top = next(item for item in on_it if isinstance(item, Drawn))
            assert top is line or isinstance(top, Symbol), (name, step, top.name)
            assert not any(isinstance(other, LineItem) and other is not line for other in on_it)
        for share in (0.08, 0.92):
            point, _ = line.at_distance(length * share)
            plan.view.choose(None)
            qtbot.mouseClick(
                plan.view.viewport(), Qt.MouseButton.LeftButton, pos=plan.view.mapFromScene(point)
            )
            assert plan.view.chosen_names() == [name]


def test_a_line_is_hit_four_pixels_beside_its_middle(plan: PlanPanel) -> None:
    line = plan.scene.items_by_name["L3"]
    assert isinstance(line, LineItem)
    point, _ = line.at_distance(6.0)
    assert line.shape().contains(point + QPointF(0, 3.5))
    assert not line.shape().contains(point + QPointF(0, 6.0))


def test_a_drag_in_the_schematic_says_nothing_of_where_things_stand(
    plan: PlanPanel, qtbot: QtBot
) -> None:
    document = plan._session.document
    assert document is not None
    assert not plan.order_button.isVisible()
    _drag(plan, qtbot, "R2", QPoint(0, 50))
    vessel = document.installation.vessels[1]
    assert vessel.drawn is not None
    assert vessel.at == (4.0, 0.0)
    node = plan.scene.items_by_name["R2"]
    layout = plan.scene._layout()
    assert layout is not None
    assert layout.cells["R2"] == vessel.drawn
    assert node.pos().toTuple() == (layout.symbols["R2"].x, layout.symbols["R2"].y)
    assert plan.order_button.isVisible()
    plan.order_button.click()
    assert document.installation.vessels[1].drawn is None
    assert not plan.order_button.isVisible()
    document.undo()
    document.undo()
    assert document.text == TWIN


def test_a_drag_on_the_site_plan_moves_that_part_alone(plan: PlanPanel, qtbot: QtBot) -> None:
    plan.show_mode("site plan")
    document = plan._session.document
    assert document is not None
    _drag(plan, qtbot, "R2", QPoint(40, 0))
    first, second = document.installation.vessels
    assert first.at == (0.0, 0.0)
    assert second.at[0] == pytest.approx(4.0 + 40 / plan.scene.pixels_per_metre, abs=0.05)
    assert second.drawn is None
    assert plan.scene.mode == "site plan"


def _drag(plan: PlanPanel, qtbot: QtBot, name: str, by: QPoint) -> None:
    start = plan.view.mapFromScene(plan.scene.items_by_name[name].pos())
    viewport = plan.view.viewport()
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=start)
    for step in range(1, 6):
        qtbot.mouseMove(viewport, start + by * step / 5)
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=start + by)


def test_while_one_part_is_dragged_its_lines_follow(plan: PlanPanel, qtbot: QtBot) -> None:
    line = plan.scene.items_by_name["L3"]
    assert isinstance(line, LineItem)
    before = [point.toTuple() for point in line.points]
    start = plan.view.mapFromScene(plan.scene.items_by_name["R2"].pos())
    viewport = plan.view.viewport()
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(viewport, start + QPoint(0, 30))
    qtbot.mouseMove(viewport, start + QPoint(0, 60))
    assert [point.toTuple() for point in line.points] != before
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=start)


def test_people_and_fires_stand_on_the_site_plan_only_and_choosing_them_shows_it(
    plan: PlanPanel,
) -> None:
    assert "Bench" not in plan.scene.items_by_name
    plan._session.choose("Bench")
    assert plan.scene.mode == "site plan"
    assert plan.modes.buttons["site plan"].isChecked()
    assert plan.view.chosen_names() == ["Bench"]
    assert plan.map_button.isVisible()


@in_every_language
def test_a_part_without_a_place_is_listed_beside_the_site_plan_and_not_drawn(
    quick: None, make_frame: Callable[[], Frame], language: str
) -> None:
    frame = make_frame()
    frame.files.start_with(TWIN.replace("at = [4.0, 0.0]\n", ""))
    plan = frame.work.plan
    assert plan.missing.isHidden()  # the schematic draws all
    assert "R2" in plan.scene.items_by_name
    plan.show_mode("site plan")
    assert {"R2", "L1", "L2", "L3"}.isdisjoint(plan.scene.items_by_name)
    listed = [plan.missing.list.item(row).text() for row in range(plan.missing.list.count())]
    assert sorted(listed) == ["L1", "L2", "L3", "R2"]
    assert plan.missing.isVisible()
    plan.missing.list.itemClicked.emit(plan.missing.list.item(listed.index("R2")))
    assert frame.session.chosen == "R2"


def test_the_site_plan_is_to_scale(plan: PlanPanel) -> None:
    plan.show_mode("site plan")
    at = {name: item.pos() for name, item in plan.scene.items_by_name.items()}
    scale = plan.scene.pixels_per_metre
    assert (at["R2"] - at["R1"]).x() == pytest.approx(4.0 * scale)
    assert (at["Bench"] - at["R1"]).y() == pytest.approx(-3.0 * scale)
    vessel = plan.scene.items_by_name["R1"]
    assert isinstance(vessel, Node)
    assert vessel.path.boundingRect().width() == pytest.approx(max(0.6 * scale, 14.0))
    assert plan.view.transform().m11() == 1.0


def test_marks_stay_when_the_drawing_changes_its_way(plan: PlanPanel) -> None:
    plan.scene.mark_findings({"R1": "danger"})
    plan.scene.tint_groups([["R1", "L1"]])
    plan.scene.set_mode("site plan")
    item = plan.scene.items_by_name["R1"]
    assert item.badge
    assert item.tint
    plan.scene.set_mode("schematic")
    assert plan.scene.items_by_name["L1"].tint


def test_larger_text_makes_larger_names_in_the_schematic(qapp: QApplication) -> None:
    scene = PlanScene()
    scene.show_installation(network(1, 12))
    small = {name: item.label.height() for name, item in scene.items_by_name.items()}
    scene.set_letters(18.0)
    assert all(item.label.height() > small[name] for name, item in scene.items_by_name.items())


def test_a_drag_that_crosses_the_schematic_of_many_parts_is_laid_out_at_its_end(
    qapp: QApplication,
) -> None:
    scene = PlanScene()
    scene.show_installation(network(0, 60))
    assert len(scene.items_by_name) > 150
    assert scene.letter_sizes() == (12.0,)
    name = next(name for name, item in scene.items_by_name.items() if isinstance(item, Node))
    scene.begin_move()
    scene.items_by_name[name].setSelected(True)
    told = []
    scene.drawn_elsewhere.connect(told.append)
    scene.items_by_name[name].moveBy(0.0, -36.0)
    scene.end_move()
    assert [list(cells) for cells in told] == [[name]]


def test_names_take_the_nearest_free_place_and_none_where_all_is_taken() -> None:
    middle = around(0.0, 0.0, 5.0, 5.0)
    found = place_names([Named("A", middle, 20.0, 10.0), Named("B", middle, 20.0, 10.0)])
    assert not found["A"].meets(found["B"])
    assert found["A"].top > middle.bottom
    everywhere = around(0.0, 0.0, 900.0, 900.0)
    assert place_names([Named("A", middle, 20.0, 10.0)], [everywhere]) == {}


@pytest.mark.parametrize("mode", ["schematic", "site plan"])
def test_text_at_two_hundred_per_cent_keeps_names_apart(plan: PlanPanel, mode: Mode) -> None:
    set_text_size(200)
    try:
        plan.show_mode(mode)
        plan.view.fit()
        items = shown(plan.scene)
    finally:
        set_text_size(100)
    assert max(item.letters for item in items) > 12.0
    assert not list(covered_names(names_of(items), symbols_of(items), {}))


def test_a_plug_that_nobody_may_count_on_is_struck_through(plan: PlanPanel) -> None:
    document = plan._session.document
    assert document is not None
    plug = plan.scene.items_by_name["FP1"]
    assert isinstance(plug, Symbol)
    assert not plug.solid.isEmpty()
    document.replace("old", document.text.replace("fitted = 2026-10-01", "fitted = 2019-10-01"))
    plug = plan.scene.items_by_name["FP1"]
    assert isinstance(plug, Symbol)
    assert plug.solid.isEmpty()
    told = plug.toolTip()
    assert "no credit" in told
    plan.show_mode("site plan")
    plan.show_mode("schematic")
    assert plan.scene.items_by_name["FP1"].toolTip() == told


def test_rings_around_a_vessel_without_a_place_say_nothing_of_people() -> None:
    plant = read(TWIN.encode(), "twin")
    centre, people, parts = around_vessel(plant, "R2", {"Bench"})
    assert centre == (4.0, 0.0)
    assert [(one.name, one.reached) for one in people] == [("Bench", True)]
    assert parts == (("R1", (0.0, 0.0)),)
    nowhere = read(TWIN.replace("at = [4.0, 0.0]\n", "").encode(), "twin")
    assert around_vessel(nowhere, "R2", ()) == ((0.0, 0.0), (), ())
    assert [one[0] for one in around_vessel(nowhere, "R1", ())[2]] == []


def test_the_keyboard_changes_the_drawing_and_lays_it_out_again(
    plan: PlanPanel, qtbot: QtBot
) -> None:
    frame = plan.window()
    qtbot.keyClick(frame, Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    assert plan.scene.mode == "site plan"
    qtbot.keyClick(frame, Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    assert plan.scene.mode == "schematic"
    plan.view.choose("R2")
    plan.view.setFocus()
    qtbot.keyClick(plan.view, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    document = plan._session.document
    assert document is not None
    assert document.undo_label == "move R2 in the schematic"
    plan.lay_out_again()
    assert document.undo_label == "lay out the schematic again"


def test_a_relief_valve_that_nobody_has_confirmed_is_struck_through_too() -> None:
    day = dt.date(2026, 11, 1)
    assert uncredited_devices(read(TWIN.encode(), "twin"), day) == {}
    offered = TWIN.replace('area = "78.5 mm2"', 'area = "78.5 mm2"\noffered = ["area"]')
    offered = offered.replace("format = 1", "format = 2")
    assert uncredited_devices(read(offered.encode(), "twin"), day) == {"RV1": "offered"}
    late = dt.date(2029, 11, 1)
    assert uncredited_devices(read(offered.encode(), "twin"), late).keys() == {"RV1", "FP1"}


@pytest.mark.parametrize("mode", ["schematic", "site plan"])
def test_what_is_drawn_anew_under_a_click_was_not_dragged(plan: PlanPanel, mode: Mode) -> None:
    """An answer, or another size of the pane, may move everything between press and release."""
    plan.show_mode(mode)
    plan.view.fit()
    told: list[object] = []
    plan.scene.drawn_elsewhere.connect(told.append)
    plan.scene.stands_elsewhere.connect(told.append)
    node = plan.scene.items_by_name["R1"]
    spot = plan.view.mapFromScene(node.sceneBoundingRect().center())
    QTest.mousePress(plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    for item in plan.scene.items_by_name.values():
        if isinstance(item, Node):
            item.moveBy(90.0, 45.0)
    QTest.mouseRelease(plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert told == []


@pytest.mark.parametrize("mode", ["schematic", "site plan"])
def test_a_hand_that_trembles_drags_nothing(plan: PlanPanel, mode: Mode) -> None:
    plan.show_mode(mode)
    plan.view.fit()
    told: list[object] = []
    plan.scene.drawn_elsewhere.connect(told.append)
    plan.scene.stands_elsewhere.connect(told.append)
    node = plan.scene.items_by_name["R1"]
    stood = QPointF(node.pos())
    spot = plan.view.mapFromScene(node.sceneBoundingRect().center())
    viewport = plan.view.viewport()
    QTest.mousePress(viewport, Qt.MouseButton.LeftButton, pos=spot)
    QTest.mouseMove(viewport, spot + QPoint(3, 2))
    QTest.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=spot + QPoint(3, 2))
    assert told == []
    assert plan.scene.items_by_name["R1"].pos() == stood
