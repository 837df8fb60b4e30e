"""Exports are written whole or not at all, and never over a system file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from airrisk.window.exports import NotSaved, write_export
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL
from tests.window.conftest import ANSWER_MS
from tests.window.test_journeys import click


@pytest.fixture
def names(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """What the person answers to file dialogs, one after the other; an empty list gives up."""
    answers: list[Path] = []

    def answer(*_args: Any) -> tuple[str, str]:
        return (str(answers.pop(0)), "") if answers else ("", "")

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    return answers


@pytest.fixture
def warned(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Texts of the warnings shown."""
    texts: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *args: texts.append(args[2]))
    return texts


def paper(qtbot: QtBot, frame: Frame) -> Callable[[], None]:
    frame.show_view("paper")
    view: Any = frame.pages["paper"]
    qtbot.waitUntil(view.buttons["csv"].isEnabled, timeout=ANSWER_MS)
    return lambda: click(qtbot, view.buttons["csv"])


def round_(qtbot: QtBot, frame: Frame) -> Callable[[], None]:
    frame.show_view("round")
    view: Any = frame.pages["round"]
    return lambda: click(qtbot, view.walk_csv)


def chart(qtbot: QtBot, frame: Frame) -> Callable[[], None]:
    view = frame.work.answers
    view.show_chart(1)
    return lambda: click(qtbot, view.chart.save_button)


@pytest.mark.parametrize("place", [paper, round_, chart])
def test_an_export_asks_for_another_name_where_a_system_file_stands(
    qtbot: QtBot,
    no_bores: None,
    one_vessel: Frame,
    names: list[Path],
    warned: list[str],
    tmp_path: Path,
    place: Callable[[QtBot, Frame], Callable[[], None]],
) -> None:
    hidden, other = tmp_path / "plant.csv", tmp_path / "other.csv"
    hidden.write_text(SMALL, encoding="utf-8")
    save = place(qtbot, one_vessel)
    names += [tmp_path / "new.toml", hidden, other]
    save()
    qtbot.waitUntil(other.exists, timeout=ANSWER_MS)
    assert ["new.toml" in warned[0], "plant.csv" in warned[1], len(warned)] == [True, True, 2]
    assert all("another name" in text for text in warned)
    assert hidden.read_text(encoding="utf-8") == SMALL
    assert not (tmp_path / "new.toml").exists()
    assert len(other.read_text(encoding="utf-8").splitlines()) > 1


def test_a_report_that_meets_a_system_file_late_is_not_written(
    qtbot: QtBot, no_bores: None, one_vessel: Frame, tmp_path: Path
) -> None:
    """The file has come there after the question for the name."""
    paper(qtbot, one_vessel)
    view: Any = one_vessel.pages["paper"]
    file = tmp_path / "late.csv"
    file.write_text(SMALL, encoding="utf-8")
    with qtbot.waitSignal(view.message, timeout=ANSWER_MS) as told:
        view.save(file, "csv")
    assert told.args is not None
    assert told.args[0].startswith("Not saved: late.csv")
    assert file.read_text(encoding="utf-8") == SMALL


def test_the_report_is_saved_in_every_form(
    qtbot: QtBot, no_bores: None, one_vessel: Frame, tmp_path: Path, names: list[Path]
) -> None:
    paper(qtbot, one_vessel)
    view: Any = one_vessel.pages["paper"]
    begins = {"short": b"%PDF", "pdf": b"%PDF", "html": b"<!DOCTYPE", "xlsx": b"PK", "json": b"{"}
    for kind, begin in begins.items():
        target = tmp_path / f"{kind}.{'pdf' if kind == 'short' else kind}"
        names.append(target)
        click(qtbot, view.buttons[kind])
        qtbot.waitUntil(target.exists, timeout=ANSWER_MS)
        assert target.read_bytes().startswith(begin)
    assert (tmp_path / "short.pdf").stat().st_size < (tmp_path / "pdf.pdf").stat().st_size


@pytest.mark.parametrize("ending", [".png", ".svg", ".csv"])
def test_a_chart_that_cannot_be_written_leaves_the_old_file_and_nothing_else(
    qtbot: QtBot,
    no_bores: None,
    one_vessel: Frame,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    ending: str,
) -> None:
    view = one_vessel.work.answers
    view.show_chart(1)
    folder = tmp_path / "out"
    folder.mkdir()
    file = folder / f"chart{ending}"
    assert view.chart.save(file)
    before = file.read_bytes()
    if ending == ".png":
        assert not QImage(str(file)).isNull()

    def full(*_args: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with qtbot.waitSignal(view.chart.message) as told:
        assert not view.chart.save(file)
    assert told.args == [f"Not saved: chart{ending}: No space left on device"]
    assert [one.name for one in folder.iterdir()] == [file.name]
    assert file.read_bytes() == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files there")
def test_an_export_takes_the_place_of_files_only(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    for place in (pipe, Path("/dev/null")):
        with pytest.raises(NotSaved, match="not a regular file"):
            write_export(place, b"data")
    assert pipe.is_fifo()
    assert Path("/dev/null").is_char_device()
