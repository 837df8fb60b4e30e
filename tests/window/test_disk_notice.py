"""A file that is deleted or changed under the open document: said, never acted on unasked."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QPushButton
from pytestqt.qtbot import QtBot

from airrisk.window.frame import Frame
from tests.editing.systems import SMALL

CHANGED = SMALL.replace("8 bar(g)", "9 bar(g)")


@pytest.fixture
def file(quick: None, frame: Frame, tmp_path: Path) -> Path:
    """The open file."""
    path = tmp_path / "somewhere" / "system.toml"
    path.parent.mkdir()
    path.write_text(SMALL, encoding="utf-8")
    frame.files.open_name(str(path))
    return path


@pytest.fixture
def questions(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every question asked; each is answered with its last choice, which does nothing."""
    asked: list[str] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda box: asked.append(box.text()) or 0)
    monkeypatch.setattr(QMessageBox, "clickedButton", lambda box: box.escapeButton())
    return asked


def click(qtbot: QtBot, button: QPushButton) -> None:
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def text_of(frame: Frame) -> str:
    document = frame.session.document
    assert document is not None
    return document.text


def test_a_changed_file_is_said_and_loaded_when_asked(
    qtbot: QtBot, frame: Frame, file: Path
) -> None:
    assert not frame.disk.isVisible()
    file.write_text(CHANGED, encoding="utf-8")
    qtbot.waitUntil(frame.disk.isVisible)
    assert "system.toml was changed on disk" in frame.disk.said.text()
    assert text_of(frame) == SMALL
    click(qtbot, frame.disk.load_button)
    assert text_of(frame) == CHANGED
    assert not frame.disk.isVisible()
    document = frame.session.document
    assert document is not None
    assert document.is_clean
    document.undo()
    assert document.text == SMALL
    assert not document.is_clean


def test_a_file_that_another_one_took_the_place_of_is_said(
    qtbot: QtBot, frame: Frame, file: Path
) -> None:
    """As programs write that replace a file in one step, twice."""
    for text in (CHANGED, SMALL + "\n# later\n"):
        beside = file.with_name("beside")
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, file)
        qtbot.waitUntil(frame.disk.isVisible)
        click(qtbot, frame.disk.load_button)
        assert text_of(frame) == text
        assert not frame.disk.isVisible()


def test_what_is_kept_is_asked_about_before_it_replaces_the_other_one(
    qtbot: QtBot, frame: Frame, file: Path, questions: list[str]
) -> None:
    frame.edits.add("vessel")
    file.write_text(CHANGED, encoding="utf-8")
    qtbot.waitUntil(frame.disk.isVisible)
    assert "Your changes here are not in it." in frame.disk.said.text()
    click(qtbot, frame.disk.keep_button)
    assert not frame.disk.isVisible()
    assert not frame.files.save()
    assert len(questions) == 1
    assert file.read_text(encoding="utf-8") == CHANGED
    frame.edits.add("vessel")
    assert not frame.disk.isVisible()
    file.write_text(CHANGED + "\n", encoding="utf-8")
    qtbot.waitUntil(frame.disk.isVisible)


def test_a_deleted_file_is_said_and_its_text_is_not_lost_by_closing(
    qtbot: QtBot, frame: Frame, file: Path, questions: list[str]
) -> None:
    file.unlink()
    qtbot.waitUntil(frame.disk.isVisible)
    assert "system.toml is not on disk any more" in frame.disk.said.text()
    assert not frame.disk.load_button.isVisible()
    assert not frame.close()
    assert len(questions) == 1
    click(qtbot, frame.disk.save_button)
    assert file.read_text(encoding="utf-8") == SMALL
    assert not frame.disk.isVisible()
    assert frame.files.may_close()
    assert len(questions) == 1


def test_closing_right_after_the_file_went_asks(
    frame: Frame, file: Path, questions: list[str]
) -> None:
    file.unlink()
    assert not frame.files.may_close()
    assert len(questions) == 1


def test_a_file_that_comes_back_as_it_was_is_clean_again(
    qtbot: QtBot, frame: Frame, file: Path
) -> None:
    file.unlink()
    qtbot.waitUntil(frame.disk.isVisible)
    file.write_text(SMALL, encoding="utf-8")
    qtbot.waitUntil(lambda: not frame.disk.isVisible())
    document = frame.session.document
    assert document is not None
    assert document.is_clean


def test_the_text_that_stands_here_may_be_written_by_anybody(
    qtbot: QtBot, frame: Frame, file: Path
) -> None:
    frame.edits.add("vessel")
    file.write_text(text_of(frame), encoding="utf-8")
    document = frame.session.document
    assert document is not None
    qtbot.waitUntil(lambda: document.is_clean)
    assert not frame.disk.isVisible()


def test_a_changed_file_that_cannot_be_read_is_said_and_nothing_is_lost(
    qtbot: QtBot, frame: Frame, file: Path
) -> None:
    file.write_bytes(b"\xff\xfe\x00")
    qtbot.waitUntil(frame.disk.isVisible)
    click(qtbot, frame.disk.load_button)
    assert frame.disk.isVisible()
    assert "Not loaded" in frame.disk.said.text()
    assert text_of(frame) == SMALL


def test_a_folder_that_goes_is_a_file_that_is_gone(
    qtbot: QtBot, frame: Frame, file: Path, questions: list[str]
) -> None:
    file.unlink()
    file.parent.rmdir()
    qtbot.waitUntil(frame.disk.isVisible)
    click(qtbot, frame.disk.save_button)
    assert "could not be written" in questions[0]
    assert text_of(frame) == SMALL


def test_a_file_that_is_for_viewing_shows_the_changed_text(
    qtbot: QtBot, frame: Frame, file: Path
) -> None:
    document = frame.session.document
    assert document is not None
    document.read_only = True
    file.write_text(CHANGED, encoding="utf-8")
    qtbot.waitUntil(frame.disk.isVisible)
    click(qtbot, frame.disk.load_button)
    assert document.text == CHANGED
    assert document.read_only


def test_saving_and_another_file_leave_no_notice(
    qtbot: QtBot, frame: Frame, file: Path, tmp_path: Path
) -> None:
    frame.edits.add("vessel")
    assert frame.files.save()
    qtbot.waitUntil(lambda: not frame.disk._later.isActive())
    assert not frame.disk.isVisible()
    file.write_text(CHANGED, encoding="utf-8")
    qtbot.waitUntil(frame.disk.isVisible)
    other = tmp_path / "other.toml"
    other.write_text(SMALL, encoding="utf-8")
    frame.files.open_name(str(other))
    assert not frame.disk.isVisible()
    assert str(file) not in frame.disk._watcher.files()
