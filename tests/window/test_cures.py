"""Causes and plans in the window: asked for, greyed when old, applied as one edit and undone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from airrisk.fire.stopping import Cancelled
from airrisk.study.cache import StepCache
from airrisk.window.calculations import Memory
from airrisk.window.cures_view import CURES, CuresView, FindCures
from airrisk.window.dispatcher import Report
from airrisk.window.facts.decisions import DecisionDialog
from airrisk.window.frame import Frame
from airrisk.window.tryout.view import TryOutView
from tests.study.cure_plants import PLANTS
from tests.window.conftest import ANSWER_MS

STEPS = StepCache()  # of the file and of all changes that were tried, by the first test


@pytest.fixture
def cures(frame: Frame, qtbot: QtBot, tmp_path, answered: Callable[[Frame], None]) -> CuresView:
    known = StepCache()
    known._answers.update(STEPS._answers)
    frame.session._memory = Memory(known)
    path = tmp_path / "painted.toml"
    path.write_text(PLANTS["a painted plug"], encoding="utf-8")
    frame.files.open_name(str(path))
    answered(frame)
    frame.show_view("cures")
    view = frame.pages["cures"]
    assert isinstance(view, CuresView)
    assert not view.causes.cards
    assert frame.work.line.cure.isVisibleTo(frame.work)
    frame.work.line.cure.click()
    qtbot.waitUntil(
        lambda: view.answer is not None and view.answer.plans is not None, timeout=60_000
    )
    STEPS._answers.update(known._answers)
    return view


def test_a_plan_is_applied_as_one_edit_that_can_be_undone(
    cures: CuresView, frame: Frame, answered: Callable[[Frame], None]
) -> None:
    document = frame.session.document
    assert document is not None
    before = document.text
    assert cures.causes.cards
    line = frame.work.line
    assert "Cheapest proven cure: Renew plug FP1" in line.text.text()
    assert not line.cure.isVisibleTo(frame.work)
    assert cures.plan.count() >= 1
    assert "Renew plug FP1" in cures.steps.text()
    cures.apply.click()
    answered(frame)
    assert document.undo_label == "apply a cure plan"
    assert frame.session.assessment is not None
    assert frame.session.assessment.offered["FP1"] == ("condition", "fitted")
    assert not cures.is_current
    assert "Cheapest" not in line.text.text()
    assert not cures.apply.isEnabled()
    assert "older than the last change" in cures.state.text()
    document.undo()
    answered(frame)
    assert document.text == before
    assert cures.is_current
    assert cures.apply.isEnabled()


def test_a_key_on_a_cause_makes_an_action_that_the_cause_then_shows(
    cures: CuresView,
    frame: Frame,
    qtbot: QtBot,
    answered: Callable[[Frame], None],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    document = frame.session.document
    assert document is not None
    before, words = document.text, []

    def filled(form: DecisionDialog) -> int:
        assert form.day.text() == ""  # a date is a person's, until the proposal is taken
        words.append(form.text.text())
        form.who.setText("Stores")
        form.proposal.click()
        form.save()
        return 1

    monkeypatch.setattr(DecisionDialog, "exec", filled)
    card = cures.causes.cards[0]
    card.setFocus()
    qtbot.keyClick(card, Qt.Key.Key_A)
    assert words == ["Renew plug FP1, so that it is clean and in date."]
    assert words[0] in document.text
    answered(frame)
    assert cures.is_current  # what is to be done moves no answer: the next action needs no search
    assert "(Stores, due " in cures.causes.cards[0].card.text
    assert "Cheapest proven cure" in frame.work.line.text.text()
    document.undo()
    assert document.text == before


def test_a_file_open_for_viewing_takes_no_plan(cures: CuresView, frame: Frame) -> None:
    document = frame.session.document
    assert document is not None
    document.read_only = True
    told: list[str] = []
    frame.edits.refused.connect(told.append)
    before = document.text
    cures.apply.click()
    assert document.text == before
    assert told


def test_a_search_can_be_cancelled(cures: CuresView, frame: Frame) -> None:
    cures.search.click()
    cures.cancel.click()
    assert not cures.progress.isVisible()
    assert cures.answer is not None
    assert CURES not in frame.session.dispatcher._newest


def test_causes_that_are_found_stay_when_the_search_for_plans_is_stopped(
    cures: CuresView, frame: Frame, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = cures.answer
    assert whole is not None

    def only_causes(self: FindCures, report: Report) -> None:
        report.partial("causes", replace(whole, plans=None))
        report.progress(0.5, "changes tried: 7")
        report._stop.wait(60.0)  # type: ignore[attr-defined]
        raise Cancelled

    monkeypatch.setattr(FindCures, "__call__", only_causes)
    cures.search.click()
    qtbot.waitUntil(lambda: cures.progress.text() == "changes tried: 7", timeout=10_000)
    assert [card for card in cures.causes.cards if card.isVisible()]
    assert "still" in cures.tried.text()
    cures.cancel.click()
    assert not cures.progress.isVisible()
    assert [card for card in cures.causes.cards if card.isVisible()]
    assert "stopped" in cures.tried.text()
    assert cures.plan.count() == 0
    qtbot.waitUntil(lambda: not frame.session.dispatcher.busy(CURES), timeout=10_000)
    monkeypatch.undo()
    cures.ask()  # what was stopped is no answer: it is asked again
    qtbot.waitUntil(
        lambda: cures.answer is not None and cures.answer.plans is not None, timeout=60_000
    )


def tried(frame: Frame, qtbot: QtBot) -> TryOutView:
    """Explore, once the case of the file and that with the cure stand in its table."""
    view = frame.pages["tryout"]
    assert isinstance(view, TryOutView)
    assert frame.stack.currentWidget() is view
    qtbot.waitUntil(lambda: len(view.pinned.table.pins) == 2, timeout=ANSWER_MS)
    return view


def test_the_cure_of_the_line_above_is_tried_before_and_after_and_applied(
    cures: CuresView, frame: Frame, qtbot: QtBot, answered: Callable[[Frame], None]
) -> None:
    document = frame.session.document
    assert document is not None
    before = document.text
    frame.turn_to("work")
    qtbot.mouseClick(frame.work.line.try_cure, Qt.MouseButton.LeftButton)
    view = tried(frame, qtbot)
    assert document.text == before
    assert "Renew plug FP1, so that it is clean and in date." in view.bar.words.text()
    assert "assessed as a whole" in view.bar.words.text()
    present, cured = (pin.answer.fire for pin in view.pinned.table.pins)
    assert present is not None
    assert cured is not None
    assert (present.id, present.safe, cured.safe) == (cured.id, False, True)
    names = [view.pinned.table.item(row, 0).text() for row in range(2)]
    assert names == [
        "A: as in the file",
        "B: Renew plug FP1, so that it is clean and in date",
    ]
    assert "vents in time" in view.side.verdict.text()
    assert not view.rows[0].slider.isEnabled()  # a turned value would not be the proven cure
    assert not view.keep_button.isVisible()
    view.keep()  # would count at once what nobody has done
    assert document.text == before
    view.bar.apply.setFocus()
    qtbot.keyClick(view.bar.apply, Qt.Key.Key_Space)
    answered(frame)
    assert frame.stack.currentWidget() is frame.work
    assert document.undo_label == "apply a cure plan"
    assert frame.session.assessment is not None
    assert frame.session.assessment.offered["FP1"] == ("condition", "fitted")
    assert [one.safe for one in frame.session.assessment.verdicts if one.safe is False]
    document.undo()
    assert document.text == before
    answered(frame)
    frame.turn_to("tryout")
    assert not view.bar.isVisible()
    assert view.rows[0].slider.isEnabled()


def test_a_tried_cure_is_dropped_when_the_file_changes(
    cures: CuresView, frame: Frame, qtbot: QtBot
) -> None:
    document = frame.session.document
    assert document is not None
    qtbot.mouseClick(cures.try_it, Qt.MouseButton.LeftButton)
    view = tried(frame, qtbot)
    assert view.bar.isVisible()
    document.replace("wall", document.system_text.set("R1", "wall_thickness", "6 mm").text)
    assert not view.bar.isVisible()
    assert "no longer tried" in view.worded.text()
    assert not view.asking.is_changed
    assert view.keep_button.isVisible()
    assert not frame.work.line.try_cure.isVisibleTo(frame.work)


def test_back_from_a_tried_cure_leads_where_it_was_asked(
    cures: CuresView, frame: Frame, qtbot: QtBot
) -> None:
    document = frame.session.document
    assert document is not None
    before = document.text
    frame.resize(1024, 700)
    qtbot.mouseClick(cures.try_it, Qt.MouseButton.LeftButton)
    view = tried(frame, qtbot)
    assert view.bar.words.height() >= view.bar.words.heightForWidth(view.bar.words.width())
    qtbot.mouseClick(view.bar.back, Qt.MouseButton.LeftButton)
    assert frame.stack.currentWidget() is cures
    assert document.text == before
    frame.turn_to("tryout")
    assert not view.asking.is_changed
    frame.turn_to("work")
    frame.menus.actions["cure"].trigger()  # what the key does
    assert frame.stack.currentWidget() is view
    assert view.bar.isVisible()
