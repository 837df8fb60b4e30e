"""Consequences open with what the answer speaks of, and stay with what a person asks for."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from airrisk.study.overview import overview
from airrisk.tables import sample_path
from airrisk.window.frame import Frame
from airrisk.window.reach.view import ReachView
from airrisk.wording.units import kept_distance


@pytest.fixture
def reach(
    frame: Frame, tmp_path: Path, answered: Callable[[Frame], None], no_bores: None
) -> ReachView:
    file = tmp_path / "ferry.toml"
    shutil.copy(sample_path("river-ferry"), file)
    frame.files.open_name(str(file))
    answered(frame)
    frame.show_view("reach")
    view = frame.pages["reach"]
    assert isinstance(view, ReachView)
    return view


def far_of(frame: Frame):
    assert frame.session.assessment is not None
    far = overview(frame.session.assessment).keep_away
    assert far is not None
    return far


def test_it_opens_with_the_vessel_and_the_case_of_the_first_line(
    reach: ReachView, frame: Frame
) -> None:
    far = far_of(frame)
    assert (reach.vessel.currentData(), reach.case.currentData()) == (far.vessel, far.case)
    distance = kept_distance(far.farthest_m, frame.session.units)
    assert f"keep {distance} away" in reach.sentence.text()
    assert distance in frame.work.line.text.text()


def pick(box, key: str) -> None:
    box.setCurrentIndex(box.findData(key))
    box.activated.emit(box.currentIndex())


def test_what_is_asked_for_here_stays_and_what_is_chosen_elsewhere_follows(
    reach: ReachView, frame: Frame, qtbot: QtBot, answered: Callable[[Frame], None]
) -> None:
    far = far_of(frame)
    other = next(
        key for n in range(reach.vessel.count()) if (key := reach.vessel.itemData(n)) != far.vessel
    )
    pick(reach.vessel, other)
    pick(reach.case, "cold_working")
    frame.session.document.replace("title", frame.session.document.text + "\n")
    answered(frame)
    assert (reach.vessel.currentData(), reach.case.currentData()) == (other, "cold_working")
    frame.session.choose(far.vessel)
    assert (reach.vessel.currentData(), reach.case.currentData()) == (far.vessel, "cold_working")
