"""The bar of long work: share, and about how long it will still take, by a clock of the test."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from airrisk.window.work_progress import WorkProgress


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def bar(qtbot: QtBot, clock: Clock) -> WorkProgress:
    found = WorkProgress("Progress of the map", clock=clock)
    qtbot.addWidget(found)
    found.begin()
    return found


def test_the_time_left_is_that_of_the_rest_at_the_speed_so_far(
    bar: WorkProgress, clock: Clock
) -> None:
    clock.now += 10.0
    bar.tell(0.25)
    assert bar.left == pytest.approx(30.0)
    assert "30\u00a0s" in bar.text()
    assert "25" in bar.text()
    clock.now += 590.0
    bar.tell(0.5)
    assert "10\u00a0min" in bar.text()
    assert "10\u00a0min" in bar.accessibleDescription()


def test_nothing_is_said_of_the_time_before_it_can_be_known(
    bar: WorkProgress, clock: Clock
) -> None:
    clock.now += 0.5
    bar.tell(0.3)
    assert bar.left is None
    clock.now += 60.0
    bar.begin()
    clock.now += 5.0
    bar.tell(0.001)
    assert bar.left is None
    assert "left" not in bar.text()


def test_a_share_that_goes_back_does_not_move_the_bar_back(bar: WorkProgress) -> None:
    bar.tell(0.6)
    bar.tell(0.2)
    assert bar.value() == 60
    bar.tell(1.7)
    assert bar.value() == 100
    bar.begin()
    assert bar.value() == 0


def test_where_nobody_knows_how_much_there_is_no_time_is_told(
    bar: WorkProgress, clock: Clock
) -> None:
    clock.now += 30.0
    bar.tell(0.5, "changes tried: 12")
    assert bar.text() == "changes tried: 12"
    bar.tell(0.6, "100 % sure")
    assert "100 % sure" in bar.text().replace("%%", "%")
