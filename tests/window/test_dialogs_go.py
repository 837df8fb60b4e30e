"""A dialog that was answered is gone: one that stays holds memory and slows a change of look."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication, QDialog, QMessageBox

import airrisk.window
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL

WINDOW = Path(airrisk.window.__file__).parent
SOURCES = sorted(WINDOW.rglob("*.py"))


def called(function: ast.AST, method: str) -> set[str]:
    """The names whose method a function calls without an argument."""
    return {
        call.func.value.id
        for call in ast.walk(function)
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and isinstance(call.func.value, ast.Name)
        and call.func.attr == method
        and not call.args
    }


def test_who_waits_for_a_dialog_lets_it_go() -> None:
    """Qt keeps a dialog as long as its window, unless it is told."""
    waited = set()
    for source in SOURCES:
        for function in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            if isinstance(function, ast.FunctionDef):
                dialogs = called(function, "exec") - {"application"}
                kept = dialogs - called(function, "deleteLater")
                assert not kept, f"{source.relative_to(WINDOW)}: {function.name} keeps {kept}"
                waited |= {(source.name, function.name) for _ in dialogs}
    assert len(waited) > 10


def test_questions_and_warnings_go(
    qapp: QApplication, quick: None, frame: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QMessageBox, "exec", lambda _box: 0)
    monkeypatch.setattr(QMessageBox, "clickedButton", lambda box: box.escapeButton())
    frame.files.start_with(SMALL)
    frame.edits.add("vessel")
    broken = tmp_path / "broken.toml"
    broken.write_bytes(b"\x00\xff")
    asked = []
    for _time in range(3):
        assert not frame.close()
        frame.files.open_name(str(broken))
        asked += frame.findChildren(QDialog)
        qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert len(asked) >= 3
    assert not frame.findChildren(QDialog)
