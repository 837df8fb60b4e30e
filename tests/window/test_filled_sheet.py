"""A filled walk sheet in the window: looked at, then taken over as one undoable step."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QDialog, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from airrisk.window.filled_sheet import SheetDialog
from airrisk.window.frame import Frame
from tests.window.test_journeys import click


def sheet(folder: Path, line: str) -> Path:
    path = folder / "filled.csv"
    path.write_text(f"place,found,date,by,remark\n{line}\n", encoding="utf-8")
    return path


@pytest.fixture
def view(qtbot: QtBot, one_vessel: Frame) -> Any:
    one_vessel.show_view("round")
    return one_vessel.pages["round"]


def choose(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_args: (str(path), ""))


def test_what_was_found_becomes_one_step_that_can_be_undone(
    qtbot: QtBot,
    no_bores: None,
    one_vessel: Frame,
    view: Any,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    choose(monkeypatch, sheet(tmp_path, "R1,corroded,2026-10-30,A. Weaver,at the drain"))
    shown: list[SheetDialog] = []

    def look(dialog: SheetDialog) -> int:
        shown.append(dialog)
        return int(QDialog.DialogCode.Accepted)

    monkeypatch.setattr(SheetDialog, "exec", look)
    document = view._session.document
    before = document.text
    click(qtbot, view.read_sheet)
    assert [row.on for row in shown[0].rows] == ["R1"]
    assert shown[0].with_actions.isChecked()
    assert 'condition = "corroded"' in document.text
    assert "[[action]]" in document.text
    document.undo()
    assert document.text == before


def test_giving_up_changes_nothing(
    qtbot: QtBot, no_bores: None, view: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(monkeypatch, sheet(tmp_path, "R1,clean,2026-10-30,A. Weaver,"))
    monkeypatch.setattr(SheetDialog, "exec", lambda _dialog: int(QDialog.DialogCode.Rejected))
    before = view._session.document.text
    click(qtbot, view.read_sheet)
    assert view._session.document.text == before


def test_a_sheet_of_another_file_is_told_and_changes_nothing(
    qtbot: QtBot, no_bores: None, view: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(monkeypatch, sheet(tmp_path, "R77,clean,2026-10-30,A. Weaver,"))
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *args: told.append(args[2]))
    before = view._session.document.text
    click(qtbot, view.read_sheet)
    assert "R77: not in this file" in told[0]
    assert view._session.document.text == before
