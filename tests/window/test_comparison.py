"""The open file beside an older one: what became of causes, verdicts and values."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from airrisk.window.comparison import ComparisonDialog, ask_and_compare
from airrisk.window.frame import Frame
from tests.study.cure_plants import PLANTS
from tests.window.conftest import ANSWER_MS

CLEAN = PLANTS["a painted plug"].replace("painted over", "clean")


@pytest.fixture
def painted(frame: Frame, tmp_path: Path, answered: Callable[[Frame], None]) -> Frame:
    path = tmp_path / "this year.toml"
    path.write_text(PLANTS["a painted plug"], encoding="utf-8")
    frame.files.open_name(str(path))
    answered(frame)
    return frame


def test_what_has_become_worse_since_last_year_is_told(
    painted: Frame, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    older = tmp_path / "last year.toml"
    older.write_text(CLEAN, encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_args: (str(older), ""))
    shown: list[str] = []

    def seen(dialog: ComparisonDialog) -> int:
        qtbot.waitUntil(dialog.progress.isHidden, timeout=ANSWER_MS)
        shown.extend(one.as_text() for one in (dialog.causes, dialog.verdicts, dialog.values))
        shown.append(dialog.state.text())
        dialog.done(0)
        return 0

    monkeypatch.setattr(ComparisonDialog, "exec", seen)
    assert ask_and_compare(painted.session, painted) == ""
    causes, verdicts, values, state = shown
    assert "new\t\u25c6 danger: vessel R1, not safe in a fire" in causes
    assert "changed" in verdicts
    assert "FP1\tCondition\tclean\tpainted over" in values
    assert "Values: 1" in state


def test_a_file_with_mistakes_or_none_is_refused_in_words(
    painted: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "broken.toml"
    broken.write_text(CLEAN.replace("600 mm", "600 cubits"), encoding="utf-8")
    for name in (str(broken), str(tmp_path / "nowhere.toml")):
        monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_args, name=name: (name, ""))
        assert ask_and_compare(painted.session, painted)
