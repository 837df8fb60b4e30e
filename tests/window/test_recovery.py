"""What a crash left behind is offered however its file is opened, and replaces nothing unasked."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QLabel, QMessageBox

from airrisk.editing import Document, recoverable
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL

LOST = SMALL + "# before the crash\n"
LATER = SMALL + "# later work\n"


class Person:
    """Reads every question and presses the button with a given word."""

    def __init__(self) -> None:
        self.read: list[str] = []
        self.presses = "Restore"

    def clicked(self, box: QMessageBox) -> object:
        self.read.append(box.text())
        return next((one for one in box.buttons() if one.text() == self.presses), None)


@pytest.fixture
def person(monkeypatch: pytest.MonkeyPatch) -> Person:
    one = Person()

    def clicked(box: QMessageBox) -> object:
        return one.clicked(box)

    monkeypatch.setattr(QMessageBox, "exec", lambda box: 0)
    monkeypatch.setattr(QMessageBox, "clickedButton", clicked)
    return one


@pytest.fixture
def file(quick: None, frame: Frame, tmp_path: Path) -> Path:
    """A file whose last edits were lost in a crash."""
    path = tmp_path / "system.toml"
    path.write_text(SMALL, encoding="utf-8")
    assert frame.session.journal_folder is not None
    lost = Document.open(path, frame.session.journal_folder)
    lost.replace("edit", LOST)
    assert lost._journal is not None
    assert lost._journal._file is not None
    lost._journal._file.close()
    return path


def left(frame: Frame) -> list[str]:
    assert frame.session.journal_folder is not None
    return [one.text for one in recoverable(frame.session.journal_folder)]


def work_on(frame: Frame, file: Path) -> None:
    """Somebody decided later, opened the file, worked on and saved."""
    again = Document.open(file)
    again.replace("edit", LATER)
    again.save()
    again.close()


def start_without_a_file(frame: Frame, file: Path) -> None:
    assert frame.session.journal_folder is not None
    frame.files.offer_recovery(frame.session.journal_folder)


def open_by_name(frame: Frame, file: Path) -> None:
    frame.files.open_name(str(file))


def open_by_a_link(frame: Frame, file: Path) -> None:
    link = file.with_name("link.toml")
    link.symlink_to(file)
    frame.files.open_name(str(link))


def open_by_dialog(frame: Frame, file: Path) -> None:
    with pytest.MonkeyPatch.context() as chosen:
        chosen.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(file), ""))
        frame.files.ask_and_open()


def open_for_review(frame: Frame, file: Path) -> None:
    frame.files.open_name(str(file), review=True)


def open_from_welcome(frame: Frame, file: Path) -> None:
    frame.welcome.file_chosen.emit(str(file))


WAYS = [start_without_a_file, open_by_name, open_by_a_link, open_by_dialog, open_for_review,
        open_from_welcome]  # fmt: skip


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_lost_edits_are_offered_and_restored(
    frame: Frame, file: Path, person: Person, way: object
) -> None:
    way(frame, file)  # type: ignore[operator]
    (read,) = person.read
    assert "system.toml" in read
    assert "until you save" in read
    document = frame.session.document
    assert document is not None
    assert document.text == LOST
    assert not document.is_clean
    assert file.read_text(encoding="utf-8") == SMALL
    assert left(frame) == []
    assert document.review_only == (way is open_for_review)
    person.presses = "Cancel"
    assert frame.files.save()
    assert file.read_text(encoding="utf-8") == LOST
    assert len(person.read) == 1


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_older_edits_never_replace_newer_work_without_a_question(
    frame: Frame, file: Path, person: Person, way: object
) -> None:
    work_on(frame, file)
    way(frame, file)  # type: ignore[operator]
    assert "was changed on disk since these edits began" in person.read[0]
    assert "lacks" in person.read[0]
    document = frame.session.document
    assert document is not None
    assert document.text == LOST
    assert frame.disk.isVisible()
    person.presses = "Cancel"
    assert not frame.files.save()
    assert "was changed on disk" in person.read[-1]
    assert file.read_text(encoding="utf-8") == LATER
    document.reload("load")
    assert document.text == LATER
    document.undo()
    assert document.text == LOST


def test_deciding_later_opens_the_file_and_keeps_the_edits(
    frame: Frame, file: Path, person: Person
) -> None:
    person.presses = "Decide later"
    assert frame.files.open_name(str(file))
    assert frame.session.document is not None
    assert frame.session.document.text == SMALL
    assert left(frame) == [LOST]


def test_discarding_opens_the_file_and_asks_no_more(
    frame: Frame, file: Path, person: Person
) -> None:
    person.presses = "Discard the edits"
    assert frame.files.open_name(str(file))
    assert frame.session.document is not None
    assert frame.session.document.text == SMALL
    assert left(frame) == []


def test_the_default_answer_about_older_edits_restores_nothing(
    frame: Frame, file: Path, person: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    work_on(frame, file)
    monkeypatch.setattr(QMessageBox, "clickedButton", lambda box: box.defaultButton())
    assert frame.files.open_name(str(file))
    assert frame.session.document is not None
    assert frame.session.document.text == LATER
    assert left(frame) == [LOST]


def test_another_file_is_opened_without_a_question_and_the_edits_are_told(
    frame: Frame, file: Path, person: Person
) -> None:
    other = file.with_name("other.toml")
    other.write_text(SMALL, encoding="utf-8")
    assert frame.files.open_name(str(other))
    assert person.read == []
    assert frame.session.journal_folder is not None
    frame.files.tell_of_others(frame.session.journal_folder)
    assert "Unsaved edits are kept" in frame.status.message.text()
    assert left(frame) == [LOST]


def test_what_cannot_be_kept_anew_is_not_thrown_away(
    frame: Frame, file: Path, person: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("airrisk.editing.journal.os.fsync", full)
    assert frame.files.open_name(str(file))
    assert frame.session.document is not None
    assert frame.session.document.text == LOST
    assert left(frame) == [LOST]
    assert frame.status.unkept.isVisible()
    assert "No space left" in frame.status.unkept.toolTip()
    monkeypatch.undo()
    frame.session.document.replace("edit", LOST + "#\n")
    assert not frame.status.unkept.isVisible()


def test_a_name_that_looks_like_markup_is_shown_as_it_is(
    quick: None, frame: Frame, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[QMessageBox] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda box: shown.append(box) or 0)
    name = tmp_path / "<b>\u202eno such.toml"
    assert not frame.files.open_name(str(name))
    assert "<b>\\u202eno such.toml" in shown[0].text()
    assert shown[0].textFormat().name == "PlainText"


def test_a_file_name_cannot_turn_what_the_window_says(
    quick: None, frame: Frame, tmp_path: Path
) -> None:
    path = tmp_path / "a\u202eb<b>.toml"
    path.write_text(SMALL, encoding="utf-8")
    assert frame.files.open_name(str(path))
    assert "a\\u202eb<b>.toml" in frame.windowTitle()
    assert frame.files.save()
    assert "a\\u202eb<b>.toml" in frame.status.message.text()
    path.unlink()
    frame.disk.look()
    assert "a\\u202eb<b>.toml" in frame.disk.said.text()
    path.write_text(SMALL, encoding="utf-8")
    frame.session.set_document(None)
    shown = [label.text() for label in frame.welcome.findChildren(QLabel)]
    assert "a\\u202eb<b>.toml" in shown
    assert not any("\u202e" in text for text in shown)
