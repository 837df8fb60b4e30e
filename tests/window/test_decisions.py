"""Deciding about a finding in the window: an action, its register, its end."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtWidgets import QDialogButtonBox, QInputDialog
from pytestqt.qtbot import QtBot

from airrisk.window.facts.decisions import DecisionDialog, ask_for_decision, findings_to_decide
from airrisk.window.frame import Frame
from tests.window.conftest import ANSWER_MS
from tests.window.test_journeys import click


def dialog(qtbot: QtBot, frame: Frame) -> DecisionDialog:
    session: Any = frame.session
    qtbot.waitUntil(lambda: bool(findings_to_decide(session)), timeout=ANSWER_MS)
    form = DecisionDialog(session, findings_to_decide(session), frame)
    qtbot.addWidget(form)
    return form


def save(form: DecisionDialog) -> None:
    form.buttons.button(QDialogButtonBox.StandardButton.Save).click()


def test_what_is_to_be_done_stands_in_the_register_until_it_is_done(
    qtbot: QtBot, no_bores: None, one_vessel: Frame, monkeypatch: pytest.MonkeyPatch
) -> None:
    form = dialog(qtbot, one_vessel)
    document: Any = one_vessel.session.document
    before = document.text
    assert form.text.text()  # the cure is offered
    assert not form.words.isHidden()  # and said to be the program's words
    form.text.textEdited.emit("")
    assert form.words.isHidden()
    form.who.setText("Maintenance")
    form.day.setText("2027-03-01")
    save(form)
    assert 'owner = "Maintenance"' in document.text
    assert "due = 2027-03-01" in document.text
    one_vessel.show_view("round")
    view: Any = one_vessel.pages["round"]
    qtbot.waitUntil(lambda: view.decided.rowCount() == 1, timeout=ANSWER_MS)
    assert "Maintenance" in view.decided.as_text()
    view.registers.setCurrentIndex(1)
    view.decided.selectRow(0)
    monkeypatch.setattr(QInputDialog, "getText", lambda *_args: ("job sheet 7", True))
    click(qtbot, view.done)
    assert 'evidence = "job sheet 7"' in document.text
    document.undo()
    document.undo()
    assert document.text == before


def test_a_day_that_is_none_is_told_beside_the_form_and_nothing_changes(
    qtbot: QtBot, no_bores: None, one_vessel: Frame
) -> None:
    form = dialog(qtbot, one_vessel)
    document: Any = one_vessel.session.document
    before = document.text
    form.day.setText("soon")
    save(form)
    assert not form.error.isHidden()
    assert document.text == before


def test_a_finding_may_stay_only_with_reason_name_and_day(
    qtbot: QtBot, no_bores: None, one_vessel: Frame
) -> None:
    form = dialog(qtbot, one_vessel)
    document: Any = one_vessel.session.document
    form.decision.setCurrentIndex(1)
    assert form.text.text() == ""  # the cure is no reason
    save(form)
    assert not form.error.isHidden()
    assert "[[action]]" not in document.text
    form.text.setText("nothing burns within 6 m")
    form.who.setText("Safety")
    form.day.setText("2027-06-30")
    save(form)
    assert 'decision = "accept"' in document.text


def test_the_button_of_a_finding_asks_about_that_finding(
    qtbot: QtBot, no_bores: None, one_vessel: Frame, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    strip = one_vessel.work.strip

    def seen(form: DecisionDialog) -> int:
        assert form.chosen is strip._findings[-1]
        assert form.day.text() == ""
        form.decision.setCurrentIndex(1)
        assert form.proposal.isHidden()  # how long something may stay nobody proposes
        asked.append(form.told.text())
        return 0

    monkeypatch.setattr(DecisionDialog, "exec", seen)
    card = strip.findings.cards[-1]
    card.deed.click()
    assert asked == [card.card.text]


def test_without_an_answer_there_is_nothing_to_decide(qtbot: QtBot, frame: Frame) -> None:
    assert ask_for_decision(frame.session, frame)
