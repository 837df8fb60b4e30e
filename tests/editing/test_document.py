"""The open document and its file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from airrisk.editing import AnswerShelf, DiskState, Document, StaleAnswer
from airrisk.editing.fields import trial
from airrisk.installation.fields import spec
from tests.editing.systems import SMALL


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "system.toml"
    path.write_text(SMALL, encoding="utf-8")
    return path


def test_open_and_save_is_byte_identical_with_crlf_and_mark(tmp_path: Path) -> None:
    path = tmp_path / "system.toml"
    data = b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode()
    path.write_bytes(data)
    document = Document.open(path)
    assert document.installation is not None
    document.save()
    assert path.read_bytes() == data


def test_raising_the_format_keeps_the_file_as_it_was(file: Path) -> None:
    document = Document.open(file)
    document.replace("edit", document.system_text.set("R1", "volume", "400 L").text)
    document.save()
    assert document.copy_kept is None
    before = file.read_bytes()
    document.replace("place", document.system_text.set("FP1", "outlet_place", "people pass").text)
    assert document.problems == ()
    document.save()
    assert document.copy_kept == file.with_name("system.before.toml")
    assert document.copy_kept.read_bytes() == before
    document.replace("more", document.system_text.set("RV1", "outlet_place", "people pass").text)
    document.save()
    assert document.copy_kept is None
    document.undo()
    document.undo()
    assert document.text.encode() == before  # one step back lowers the number again
    assert len(list(file.parent.iterdir())) == 2


def test_a_file_that_is_no_system_file_is_not_kept(tmp_path: Path) -> None:
    for number, data in enumerate((b"\xff\xfe", b"format = [", b"format = 2", b"x = 1", b"")):
        path = tmp_path / f"{number}.toml"
        path.write_bytes(data)
        document = Document("format = 2\n", path)
        document.save()
        assert document.copy_kept is None


def test_every_change_raises_the_revision_and_tells(file: Path) -> None:
    document = Document.open(file)
    told: list[int] = []
    document.watch(lambda: told.append(document.revision))
    document.replace("edit", SMALL + "#\n")
    document.undo()
    document.redo()
    assert told == [1, 2, 3]
    assert document.text == SMALL + "#\n"


def test_clean_means_equal_to_the_file(file: Path) -> None:
    document = Document.open(file)
    document.replace("edit", SMALL + "#\n")
    assert not document.is_clean
    document.save()
    assert document.is_clean
    document.undo()
    assert not document.is_clean
    document.redo()
    assert document.is_clean


def test_a_changed_file_is_noticed_even_when_size_and_time_agree_at_first(file: Path) -> None:
    document = Document.open(file)
    assert document.disk_state() is DiskState.SAME
    file.write_text(SMALL.replace("8 bar(g)", "9 bar(g)"), encoding="utf-8")
    os.utime(file, (1, 1))
    assert document.disk_state() is DiskState.CHANGED
    file.unlink()
    assert document.disk_state() is DiskState.GONE


def test_a_touched_file_with_the_same_text_counts_as_same(file: Path) -> None:
    document = Document.open(file)
    os.utime(file, (1, 1))
    assert document.disk_state() is DiskState.SAME


def test_loading_a_changed_file_is_one_step_that_undo_takes_back(file: Path) -> None:
    document = Document.open(file)
    changed = SMALL.replace("8 bar(g)", "9 bar(g)")
    file.write_text(changed, encoding="utf-8")
    document.reload("load")
    assert document.text == changed
    assert document.is_clean
    document.undo()
    assert document.text == SMALL
    assert not document.is_clean


def test_a_failed_save_leaves_file_and_document_as_they_were(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = Document.open(file)
    document.replace("edit", SMALL + "#\n")

    def full(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("airrisk.installation.saving.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        document.save()
    assert file.read_text(encoding="utf-8") == SMALL
    assert not document.is_clean
    assert [p.name for p in file.parent.iterdir()] == ["system.toml"]


def test_a_wrong_file_can_be_edited_and_names_its_mistake() -> None:
    document = Document(SMALL.replace('"8 bar(g)"', '"8 bar"'))
    assert document.installation is None
    assert {problem.field for problem in document.problems} == {"pressure"}
    document.replace("mend", SMALL)
    assert document.installation is not None


@pytest.mark.parametrize(
    ("key", "typed", "written"),
    [
        ("pressure", "145 psig", 'pressure = "145 psig"'),
        ("volume", "2000 L", 'volume = "2000 L"'),
        ("inside_diameter", "0,6 m", 'inside_diameter = "0,6 m"'),
        ("weld_factor", "0,9", "weld_factor = 0.9"),
        ("measured", "true", "measured = true"),
        ("at", "1.5, 2.5", "at = [1.5, 2.5]"),
    ],
)
def test_a_field_takes_any_sensible_text(key: str, typed: str, written: str) -> None:
    document = Document(SMALL)
    text, mistake = trial(document, "vessel", "R1", spec("vessel", key), typed)
    assert mistake == ""
    assert written in text


@pytest.mark.parametrize(
    ("key", "typed", "says"),
    [
        ("pressure", "8 bar", "gauge"),
        ("pressure", "-3 bar(g)", ""),
        ("volume", "", "needed"),
        ("wall_thickness", "5", "unit"),
        ("material", "cheese", ""),
        ("id", "R2", "already"),
    ],
)
def test_a_field_that_is_wrong_says_so_and_changes_nothing(key: str, typed: str, says: str) -> None:
    document = Document(SMALL)
    _text, mistake = trial(document, "vessel", "R1", spec("vessel", key), typed)
    if key == "volume":
        assert mistake or "volume" not in _text.split("[[vessel]]")[1]
    else:
        assert mistake
        assert says in mistake
    assert document.text == SMALL


def test_an_answer_of_another_revision_is_not_exported() -> None:
    shelf = AnswerShelf()
    with pytest.raises(StaleAnswer, match="no answer"):
        shelf.for_export("assessment", 3)
    shelf.put("assessment", 3, "three")
    assert shelf.for_export("assessment", 3) == "three"
    with pytest.raises(StaleAnswer, match="older"):
        shelf.for_export("assessment", 4)
    assert not shelf.put("assessment", 2, "two")
    assert shelf.for_export("assessment", 3) == "three"


def test_a_text_is_read_once_and_again_after_an_edit(file: Path) -> None:
    document = Document.open(file)
    read = document.system_text
    assert document.system_text is read
    assert read.raw is document.system_text.raw
    document.replace("title", read.set("", "title", "Another").text)
    assert document.system_text is not read
    assert document.system_text.raw["title"] == "Another"
