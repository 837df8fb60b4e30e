"""A station built from an empty file, with the mouse and with keys only, counted."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from airrisk.installation.model import Installation
from airrisk.installation.sections import sections_with
from airrisk.window.cures_view import CuresView
from airrisk.window.frame import Frame

WALKS = Path(__file__).resolve().parents[2] / "docs" / "walks.md"
MOST_CLICKS = 25
CONTROL = Qt.KeyboardModifier.ControlModifier


class Walk:
    """A person at the window: what is done is counted."""

    def __init__(self, qtbot: QtBot, frame: Frame) -> None:
        self.qtbot, self.frame = qtbot, frame
        self.clicks = self.keys = 0

    def click(self, widget: QWidget) -> None:
        self.clicks += 1
        self.qtbot.mouseClick(widget, Qt.MouseButton.LeftButton)

    def click_part(self, name: str) -> None:
        view = self.frame.work.plan.view
        self.clicks += 1
        place = view.mapFromScene(view.plan.items_by_name[name].pos())
        self.qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=place)

    def choose_in_menu(self, key: str) -> None:
        """The menu of what is under the pointer, and one of its entries: two clicks."""
        self.clicks += 2
        self.frame.menus.actions[key].trigger()

    def join(self, first: str, last: str) -> None:
        self.click_part(first)
        self.click(self.frame.work.plan.connect_button)
        self.click_part(last)

    def press(
        self, key: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        self.keys += 1
        place = QApplication.focusWidget() or self.frame
        self.qtbot.keyClick(place, key, modifiers)

    def type(self, *lines: str) -> None:
        """Lines where the keyboard is, each with Return."""
        for line in lines:
            self.keys += len(line) + 1
            place = QApplication.focusWidget()
            assert place is not None
            self.qtbot.keyClicks(place, line)
            self.qtbot.keyClick(place, Qt.Key.Key_Return)


def figures(heading: str) -> list[int]:
    """Clicks and keystrokes that the page tells of a walk."""
    row = next(line for line in WALKS.read_text(encoding="utf-8").splitlines() if heading in line)
    return [int(one) for one in re.findall(r"\b\d+\b", row)]


def plant(frame: Frame) -> Installation:
    found = frame.session.installation
    assert found is not None
    return found


def held_to_be_the_station(found: Installation) -> None:
    """Nine parts that are one section while all valves are open."""
    assert len(list(found.parts())) == 9
    assert [one.role for one in found.vessels] == ["aftercooler", "receiver", "receiver"]
    assert [one.volume for one in found.vessels] == [0.06, 3.0, 3.0]
    assert [len(found.plugs), len(found.relief_valves), len(found.valves)] == [2, 2, 3]
    assert {one.on for one in found.plugs} == {one.on for one in found.relief_valves}
    assert len(sections_with(found, ())) == 1
    assert len(found.fires) == 1


def test_the_station_is_built_with_the_mouse(quick: None, qtbot: QtBot, frame: Frame) -> None:
    walk = Walk(qtbot, frame)
    plan = frame.work.plan
    walk.click(frame.welcome.new_button)
    walk.click(plan.typing)
    walk.type(
        "compressor 5 m3/min 10 bar", "aftercooler 60 L 11 bar", "receiver 3 m3 11 bar",
        "plug tin 12 mm", "relief valve 11 bar",
    )  # fmt: skip
    walk.click_part("R2")
    walk.choose_in_menu("duplicate")
    walk.click(plan.typing)
    walk.type("point of use")
    for first, last in (("C1", "R1"), ("R1", "R2"), ("R2", "R3"), ("R3", "U1")):
        walk.join(first, last)
    walk.click(plan.typing)
    walk.type("non-return valve L2 near R1", "valve L3 near R2", "valve L4 near R3",
              "fire R2 R3 30 min")  # fmt: skip
    held_to_be_the_station(plant(frame))
    assert walk.clicks <= MOST_CLICKS
    assert [walk.clicks, walk.keys] == figures("with the mouse")


def build_with_keys(walk: Walk) -> None:
    frame = walk.frame
    frame.setFocus()
    walk.press(Qt.Key.Key_N, CONTROL)
    walk.press(Qt.Key.Key_T, CONTROL)
    walk.type(
        "compressor 5 m3/min 10 bar", "aftercooler 60 L 11 bar", "receiver 3 m3 11 bar",
        "plug tin 12 mm", "relief valve 11 bar",
    )  # fmt: skip
    walk.press(Qt.Key.Key_Escape)
    frame.session.choose("R2")  # what Find does; it is a dialog
    walk.keys += len("R2") + 2
    walk.press(Qt.Key.Key_D, CONTROL)
    walk.press(Qt.Key.Key_T, CONTROL)
    walk.type(
        "point of use", "line C1 R1", "line R1 R2", "line R2 R3", "line R3 U1",
        "non-return valve L2 near R1", "valve L3 near R2", "valve L4 near R3",
        "fire R2 R3 30 min",
    )  # fmt: skip


def test_the_station_is_built_with_keys_only(quick: None, qtbot: QtBot, frame: Frame) -> None:
    walk = Walk(qtbot, frame)
    build_with_keys(walk)
    held_to_be_the_station(plant(frame))
    assert walk.clicks == 0
    assert [walk.clicks, walk.keys] == figures("with keys only")


def test_what_fails_first_when_and_what_to_do_is_told_of_the_station(
    qtbot: QtBot, frame: Frame, answered: Callable[[Frame], None]
) -> None:
    build_with_keys(Walk(qtbot, frame))
    answered(frame)
    line = frame.work.line
    told = line.text.text()
    assert re.search(r"Worst: .* R1 ruptures after [\d.]+\smin", told)
    assert re.search(r"keep \d+\sm away", told)
    line.cure.click()
    cures = frame.pages["cures"]
    assert isinstance(cures, CuresView)
    qtbot.waitUntil(
        lambda: cures.answer is not None and cures.answer.plans is not None, timeout=120_000
    )
    assert "Cheapest proven cure" in line.text.text()
    assert cures.plan.count() >= 1
    done = cures.steps.text()
    for deed in ("Renew plug FP1", "Fit a plug", "Insulate"):
        assert deed in done
    rows = range(cures.table.rowCount())
    then = [cures.table.item(row, 3).text() for row in rows]
    assert then
    assert not [one for one in then if "ruptures" in one]
