"""The auditor's way, with the mouse and with keys only.

Open for review, walk the round, note inspections and actions, hand out an owner's list, compare
with last year's file, save.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDialog, QDialogButtonBox, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from airrisk.installation.reading import read
from airrisk.window.comparison import ComparisonDialog
from airrisk.window.facts.decisions import DecisionDialog
from airrisk.window.facts.inspections import InspectionDialog
from airrisk.window.frame import Frame
from tests.study.cure_plants import PLANTS
from tests.window.conftest import ANSWER_MS
from tests.window.test_journeys import answer_file, click

LAST_YEAR = PLANTS["a painted plug"].replace("painted over", "clean")
CONTROL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
MOST_TABS = 60


@dataclass
class Auditor:
    """One way to work: by mouse, or by keys only."""

    qtbot: QtBot
    frame: Frame
    keys: bool
    said: list[str] = field(default_factory=list)

    def place(self) -> QWidget:
        """Where the keyboard is in the window, when no form stands before it any more."""
        self.frame.activateWindow()
        self.qtbot.waitUntil(self.frame.isActiveWindow)
        return QApplication.focusWidget() or self.frame

    def choose(self, action: str, key: Qt.Key, more: Qt.KeyboardModifier) -> None:
        """A command of the menus, or its key."""
        if self.keys:
            self.qtbot.keyClick(self.place(), key, CONTROL | more)
        else:
            self.frame.menus.actions[action].trigger()

    def show(self, view: str, number: Qt.Key) -> None:
        """Turn to a view."""
        if self.keys:
            self.qtbot.keyClick(self.place(), number, CONTROL)
        else:
            click(self.qtbot, self.frame.view_bar.button(view))
        self.qtbot.waitUntil(lambda: self.frame.stack.currentWidget() is self.frame.pages.get(view))

    def go_to(self, widget: QWidget) -> None:
        """Tab until the keyboard is in a widget: it can be reached."""
        for _ in range(MOST_TABS):
            if QApplication.focusWidget() is widget:
                return
            self.qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        raise AssertionError(f"no way by the tab key to {widget.accessibleName() or widget}")

    def press(self, button: Any) -> None:
        """A button, by a click or by tab and space."""
        if self.keys:
            self.go_to(button)
            self.qtbot.keyClick(button, Qt.Key.Key_Space)
        else:
            click(self.qtbot, button)

    def type_into(self, line: QWidget, text: str) -> None:
        """Type into a field of a form."""
        if self.keys:
            self.go_to(line)
        else:
            click(self.qtbot, line)
        self.qtbot.keyClicks(line, text)

    def save(self, form: Any, line: QWidget) -> None:
        """End a form: its button, or the return key in its last field."""
        if self.keys:
            self.qtbot.keyClick(line, Qt.Key.Key_Return)
        else:
            click(self.qtbot, form.buttons.button(QDialogButtonBox.StandardButton.Save))


@pytest.mark.qt_log_ignore("propagateSizeHints")  # of showing a form offscreen
@pytest.mark.parametrize("keys", [False, True], ids=["mouse", "keys only"])
def test_the_auditors_way(
    qtbot: QtBot,
    no_bores: None,
    frame: Frame,
    answered: Callable[[Frame], None],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    keys: bool,
) -> None:
    this, last = tmp_path / "this year.toml", tmp_path / "last year.toml"
    this.write_text(PLANTS["a painted plug"], encoding="utf-8")
    last.write_text(LAST_YEAR, encoding="utf-8")
    auditor = Auditor(qtbot, frame, keys)

    # open for review: what the file says is locked
    opens(monkeypatch, this)
    auditor.choose("review", Qt.Key.Key_O, SHIFT)
    answered(frame)
    document: Any = frame.session.document
    assert document.review_only
    assert not document.replace("a value", document.text.replace("8 mm", "9 mm"))

    # the round: an inspection of its second stop, the plug
    auditor.show("round", Qt.Key.Key_2)
    view: Any = frame.pages["round"]
    qtbot.waitUntil(lambda: view.walk.rowCount() == 2, timeout=ANSWER_MS)
    if keys:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Down)
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Down)
    look_at(monkeypatch, auditor)
    auditor.choose("inspection", Qt.Key.Key_I, SHIFT)
    answered(frame)
    (seen,) = read(document.text).inspections
    assert (seen.by, seen.note) == ("A. Weaver", "white paint")

    # an action about the gravest finding, from its card
    decide(monkeypatch, auditor)
    auditor.show("work", Qt.Key.Key_1)
    card = frame.work.strip.findings.cards[0]
    if keys:
        auditor.go_to(card)
        qtbot.keyClick(card, Qt.Key.Key_A)
    else:
        click(qtbot, card.deed)
    answered(frame)
    (action,) = read(document.text).actions
    assert (action.owner, action.decision) == ("Stores", "do")
    assert action.due is not None

    # the owner's list
    auditor.show("round", Qt.Key.Key_2)
    qtbot.waitUntil(lambda: view.decided.rowCount() == 1, timeout=ANSWER_MS)
    if keys:
        auditor.go_to(view.registers.tabBar())
        qtbot.keyClick(view.registers.tabBar(), Qt.Key.Key_Right)
        auditor.go_to(view.owner)
        qtbot.keyClick(view.owner, Qt.Key.Key_Down)
    else:
        bar = view.registers.tabBar()
        qtbot.mouseClick(bar, Qt.MouseButton.LeftButton, pos=bar.tabRect(1).center())
        view.owner.setCurrentIndex(1)
        view.owner.activated.emit(1)
    assert view.owner.currentText() == "Stores"
    listed = tmp_path / "stores.csv"
    answer_file(monkeypatch, listed)
    auditor.press(view.actions_csv)
    with listed.open(encoding="utf-8", newline="") as table:
        (row,) = csv.DictReader(table)
    assert (row["id"], row["owner"], row["due"]) == ("A1", "Stores", action.due.isoformat())

    # what has changed since last year, and saving
    opens(monkeypatch, last)
    compared = watch_comparison(monkeypatch, auditor)
    auditor.choose("compare", Qt.Key.Key_K, Qt.KeyboardModifier.NoModifier)
    if not keys:  # once is enough for what it answers
        assert "new\t" in compared[0]
        assert "inspection of FP1" in compared[1]
    assert compared
    auditor.choose("save", Qt.Key.Key_S, Qt.KeyboardModifier.NoModifier)
    assert this.read_text(encoding="utf-8") == document.text
    assert document.is_clean


def opens(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(path), ""))


def look_at(monkeypatch: pytest.MonkeyPatch, auditor: Auditor) -> None:
    """What the auditor types into the form of an inspection."""

    def fill(form: InspectionDialog) -> int:
        form.on.setCurrentText("FP1")
        shown(auditor.qtbot, form)
        auditor.type_into(form.by, "A. Weaver")
        auditor.type_into(form.note, "white paint")
        auditor.save(form, form.note)
        return form.result()

    monkeypatch.setattr(InspectionDialog, "exec", fill)


def decide(monkeypatch: pytest.MonkeyPatch, auditor: Auditor) -> None:
    """What the auditor types into the form of a decision."""

    def fill(form: DecisionDialog) -> int:
        assert form.decision.count() == 1  # a reviewer accepts nothing
        shown(auditor.qtbot, form)
        auditor.type_into(form.who, "Stores")
        auditor.press(form.proposal)
        auditor.save(form, form.day)
        return form.result()

    monkeypatch.setattr(DecisionDialog, "exec", fill)


def watch_comparison(monkeypatch: pytest.MonkeyPatch, auditor: Auditor) -> list[str]:
    """The pages of the comparison as the auditor sees them."""
    pages: list[str] = []

    def seen(dialog: ComparisonDialog) -> int:
        shown(auditor.qtbot, dialog)
        if auditor.keys:
            pages.append("opened")
            auditor.qtbot.keyClick(dialog, Qt.Key.Key_Escape)
            return 0
        auditor.qtbot.waitUntil(dialog.progress.isHidden, timeout=ANSWER_MS)
        pages.extend((dialog.causes.as_text(), dialog.values.as_text()))
        dialog.done(0)
        return 0

    monkeypatch.setattr(ComparisonDialog, "exec", seen)
    return pages


def shown(qtbot: QtBot, form: QDialog) -> None:
    """Show a form without waiting for its end."""
    form.show()
    qtbot.waitExposed(form)
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
