"""A turned knob: what is asked for, how often, and what is shown until the answer is there."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from airrisk.window.frame import Frame
from airrisk.window.tryout.view import DRAG, SETTLE
from tests.window.conftest import ANSWER_MS


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
    qtbot.waitUntil(lambda: view._answer is not None, timeout=ANSWER_MS)
    return view


def knob(view: Any, key: str) -> Any:
    return next(row for row in view.rows if row.knob.spec.key == key)


def test_only_the_newest_of_many_movements_is_run(
    qtbot: QtBot, one_vessel: Frame, asked: list[str]
) -> None:
    """Property: movements between two rounds of the event loop are one request."""
    view = opened(qtbot, one_vessel)
    first = view._answer
    for step in range(151, 191):
        knob(view, "wall_thickness").slider.setValue(step)
    qtbot.waitUntil(lambda: view._answer is not first and view._answer.settled, timeout=ANSWER_MS)
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
    qtbot.waitUntil(lambda: view._answer.settled and asked.count(SETTLE) == 1, timeout=ANSWER_MS)
    slider.setValue(170)
    assert view._rest.isActive()
    assert view._rest.interval() > 0
    qtbot.waitUntil(lambda: asked.count(SETTLE) == 2, timeout=ANSWER_MS)


def test_the_smallest_bore_is_greyed_until_it_is_found_again(
    qtbot: QtBot, one_vessel: Frame
) -> None:
    view = opened(qtbot, one_vessel)
    assert view.bores.isEnabled()
    assert "FP1" in view.bores.text()
    assert "mm" in view.bores.text()
    assert "vents in time" in view.verdict.text()
    before = view.bores.text()
    slider = knob(view, "volume").slider
    slider.setValue(200)
    qtbot.waitUntil(lambda: not view.bores.isEnabled(), timeout=ANSWER_MS)
    assert view.bores.text() == before
    qtbot.waitUntil(view.bores.isEnabled, timeout=ANSWER_MS)
    assert view.bores.text() != before


def test_the_axes_hold_still_while_the_curve_still_fits(qtbot: QtBot, one_vessel: Frame) -> None:
    """Property: a small movement leaves the range, a large one follows, and both are painted."""
    view = opened(qtbot, one_vessel)
    slider = knob(view, "wall_thickness").slider
    plot = view.chart._line_plot()

    def turn(step: int) -> list[Any]:
        before = view._answer
        slider.setValue(step)
        qtbot.waitUntil(lambda: view._answer is not before, timeout=ANSWER_MS)
        return list(plot._range)

    turn(160)
    start = turn(175)
    assert turn(178) == start
    picture = plot.grab().toImage()
    assert turn(290) != start
    assert plot.grab().toImage() != picture
    assert isinstance(picture, QImage)
