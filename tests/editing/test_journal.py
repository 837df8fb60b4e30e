"""What the recovery journal brings back."""

from __future__ import annotations

import os
import random
import signal
from pathlib import Path

import pytest

from airrisk.editing import DiskState, Document, Journal, recoverable
from airrisk.editing.journal import SUFFIX, Recovered, _read, _sealed_line
from tests.editing.systems import SMALL


def die(document: Document) -> None:
    """The process has died: the lock is gone, the journal stays."""
    assert document._journal is not None
    assert document._journal._file is not None
    document._journal._file.close()


def read_journal(journal: Path) -> Recovered | None:
    with open(journal, "rb") as file:
        return _read(journal, file)


def test_a_journal_torn_at_any_byte_gives_the_last_whole_edit(tmp_path: Path) -> None:
    journal = Journal(tmp_path, None, "one")
    states = ["one", "one two", "zero one two", "zero"]
    lengths = [journal.file_path.stat().st_size]
    for text in states[1:]:
        journal.note(text)
        lengths.append(journal.file_path.stat().st_size)
    data = journal.file_path.read_bytes()
    torn = tmp_path / "torn"
    for size in range(lengths[0], len(data) + 1):
        torn.write_bytes(data[:size])
        whole = max(n for n, length in enumerate(lengths) if length <= size)
        recovered = read_journal(torn)
        assert recovered is not None
        assert recovered.text == states[whole]
    torn.write_bytes(data[: lengths[0] - 1])
    assert read_journal(torn) is None
    journal.close()


def test_a_damaged_line_ends_the_recovery_before_it(tmp_path: Path) -> None:
    journal = Journal(tmp_path, None, "one")
    journal.note("two")
    journal.note("three")
    lines = journal.file_path.read_bytes().splitlines(keepends=True)
    lines[2] = lines[2].replace(b'"at"', b'"as"')
    copy = tmp_path / "copy"
    copy.write_bytes(b"".join(lines))
    recovered = read_journal(copy)
    assert recovered is not None
    assert (recovered.text, recovered.edits) == ("two", 1)
    journal.close()


def test_an_open_document_is_not_offered_for_recovery(tmp_path: Path) -> None:
    document = Document(SMALL, None, tmp_path)
    document.replace("edit", SMALL + "\n# more\n")
    assert recoverable(tmp_path) == []
    document.close()
    assert list(tmp_path.iterdir()) == []


def test_a_crash_leaves_its_edits(tmp_path: Path) -> None:
    document = Document(SMALL, None, tmp_path)
    document.replace("edit", SMALL + "\n# more\n")
    die(document)
    (left,) = recoverable(tmp_path)
    restored = Document.from_recovered(left)
    assert restored.text == SMALL + "\n# more\n"
    assert not restored.is_clean
    left.discard()
    assert recoverable(tmp_path) == []


def test_a_crash_after_saving_leaves_nothing_to_restore(tmp_path: Path) -> None:
    file = tmp_path / "system.toml"
    document = Document(SMALL, None, tmp_path / "journals")
    document.replace("edit", SMALL + "\n# more\n")
    document.save(file)
    die(document)
    assert recoverable(tmp_path / "journals") == []


def test_a_journal_folder_that_cannot_be_written_stops_no_edit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = Document(SMALL, None, tmp_path)

    def full(*_arguments: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("airrisk.editing.journal.os.fsync", full)
    assert document.replace("edit", SMALL + "#\n")
    assert "No space left" in document.journal_error
    assert document.text.endswith("#\n")
    monkeypatch.undo()
    assert document.replace("edit", SMALL + "##\n")
    assert document.journal_error == ""
    die(document)
    (left,) = recoverable(tmp_path)
    assert left.text == SMALL + "##\n"
    assert not left.torn
    assert left.base == SMALL


def test_a_line_that_does_not_fit_its_text_ends_the_recovery_before_it(tmp_path: Path) -> None:
    journal = Journal(tmp_path, None, "one")
    journal.note("one two")
    strange = [
        {"at": 0, "old": "nine", "new": "ten"}, {"at": -1, "old": "", "new": "x"},
        {"at": "0", "old": "", "new": "x"}, {"at": 0, "old": 1, "new": "x"}, {"new": "x"},
    ]  # fmt: skip
    data = journal.file_path.read_bytes()
    journal.note("three")
    later = journal.file_path.read_bytes()[len(data) :]
    journal.close()
    for record in strange:
        left = tmp_path / f"left{SUFFIX}"
        left.write_bytes(data + _sealed_line(record) + later)
        (recovered,) = recoverable(tmp_path)
        assert (recovered.text, recovered.edits, recovered.torn) == ("one two", 1, True)


@pytest.mark.parametrize("place", ["a file in the way", "a folder that is closed"])
def test_a_journal_that_could_not_begin_begins_with_a_later_edit(
    tmp_path: Path, place: str
) -> None:
    folder = tmp_path / "journals"
    if place == "a file in the way":
        folder.write_bytes(b"")
    else:
        folder.mkdir()
    file = tmp_path / "system.toml"
    file.write_text(SMALL, encoding="utf-8")
    closed = pytest.MonkeyPatch()
    if place != "a file in the way":  # whoever runs this may be allowed everything
        closed.setattr("airrisk.editing.journal.open", denied, raising=False)
    document = Document.open(file, folder)
    assert document.journal_error
    document.replace("edit", SMALL + "#\n")
    assert document.journal_error
    closed.undo()
    if place == "a file in the way":
        folder.unlink()
    document.replace("edit", SMALL + "##\n")
    assert document.journal_error == ""
    die(document)
    (left,) = recoverable(folder)
    assert (left.base, left.text) == (SMALL, SMALL + "##\n")


def denied(*_words: object, **_more: object) -> object:
    raise PermissionError(13, "Permission denied")


def crashed(folder: Path, file: Path, text: str) -> None:
    """Somebody edited the file and the program died."""
    document = Document.open(file, folder)
    document.replace("edit", text)
    die(document)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "system.toml"
    path.write_text(SMALL, encoding="utf-8")
    return path


def test_what_was_restored_never_passes_for_the_newer_file(tmp_path: Path, file: Path) -> None:
    folder = tmp_path / "journals"
    crashed(folder, file, SMALL + "# before the crash\n")
    again = Document.open(file, folder)
    again.replace("edit", SMALL + "# later work\n")
    again.save()
    again.close()
    (left,) = recoverable(folder)
    assert left.base == SMALL
    assert left.file_state() is DiskState.CHANGED
    restored = Document.from_recovered(left, folder)
    assert restored.disk_state() is DiskState.CHANGED  # so saving asks
    assert not restored.is_clean
    assert file.read_text(encoding="utf-8") == SMALL + "# later work\n"
    restored.close()


def test_what_was_restored_to_the_file_it_was_made_from_is_saved_without_a_question(
    tmp_path: Path, file: Path
) -> None:
    crashed(tmp_path / "journals", file, SMALL + "# before the crash\n")
    (left,) = recoverable(tmp_path / "journals")
    assert left.file_state() is DiskState.SAME
    restored = Document.from_recovered(left)
    assert restored.disk_state() is DiskState.SAME
    restored.save()
    assert file.read_text(encoding="utf-8") == SMALL + "# before the crash\n"
    assert restored.disk_state() is DiskState.SAME


def test_a_file_that_is_gone_is_known_when_its_edits_come_back(tmp_path: Path, file: Path) -> None:
    crashed(tmp_path / "journals", file, SMALL + "#\n")
    file.unlink()
    (left,) = recoverable(tmp_path / "journals")
    assert left.file_state() is DiskState.GONE
    assert Document.from_recovered(left).disk_state() is DiskState.GONE


def test_a_second_crash_right_after_restoring_loses_nothing(tmp_path: Path, file: Path) -> None:
    folder = tmp_path / "journals"
    crashed(folder, file, SMALL + "# before the crash\n")
    (left,) = recoverable(folder)
    restored = Document.from_recovered(left, folder)
    left.discard()
    die(restored)
    (again,) = recoverable(folder)
    assert (again.base, again.text) == (SMALL, SMALL + "# before the crash\n")


def test_a_file_named_from_another_folder_is_known_again(
    tmp_path: Path, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    crashed(tmp_path / "journals", Path("system.toml"), SMALL + "#\n")
    monkeypatch.chdir("/")
    (left,) = recoverable(tmp_path / "journals")
    assert left.path == file
    assert left.belongs_to(file)
    link = tmp_path / "link.toml"
    link.symlink_to(file)
    assert left.belongs_to(link)
    assert not left.belongs_to(tmp_path / "other.toml")
    assert left.file_state() is DiskState.SAME


def test_loading_the_changed_file_begins_the_journal_from_it(tmp_path: Path, file: Path) -> None:
    document = Document.open(file, tmp_path / "journals")
    document.replace("edit", SMALL + "# mine\n")
    file.write_text(SMALL + "# theirs\n", encoding="utf-8")
    document.reload("load")
    document.replace("edit", SMALL + "# both\n")
    die(document)
    (left,) = recoverable(tmp_path / "journals")
    assert (left.base, left.text) == (SMALL + "# theirs\n", SMALL + "# both\n")
    assert left.file_state() is DiskState.SAME


def test_journals_are_offered_newest_first_and_strange_files_stay(tmp_path: Path) -> None:
    for number, text in enumerate(("first", "second", "third")):
        journal = Journal(tmp_path, None, "")
        journal.note(text)
        assert journal._file is not None
        journal._file.close()
        os.utime(journal.file_path, (1000 + number, 1000 + number))
    newer = tmp_path / f"newer{SUFFIX}"
    newer.write_bytes(_sealed_line({"journal": 2, "what": "only a later program knows"}))
    (tmp_path / f"torn at birth{SUFFIX}").write_bytes(b"1234 {")
    (tmp_path / f"folder{SUFFIX}").mkdir()
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / f"pipe{SUFFIX}")
    assert [one.text for one in recoverable(tmp_path)] == ["third", "second", "first"]
    assert newer.exists()
    assert not (tmp_path / f"torn at birth{SUFFIX}").exists()


def test_a_death_between_a_new_journal_and_the_end_of_the_old_one_offers_the_new_one_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def dying(*_arguments: object) -> None:
        raise KeyboardInterrupt  # stands for the end of the process: nothing is tidied up

    journal = Journal(tmp_path, None, "one")
    journal.note("one two")
    with monkeypatch.context() as dead:
        dead.setattr("airrisk.editing.journal.os.rename", dying)
        dead.setattr("airrisk.editing.journal._remove", lambda path: None)
        journal.error = "the disk was full"
        with pytest.raises(KeyboardInterrupt):
            journal.note("one two three")
    assert journal._file is not None
    journal._file.close()
    assert len(list(tmp_path.iterdir())) == 2
    assert [one.text for one in recoverable(tmp_path)] == ["one two three"]
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.skipif(os.name == "nt", reason="permissions of this kind are not on Windows")
def test_nobody_else_may_read_a_journal(tmp_path: Path) -> None:
    journal = Journal(tmp_path, None, "one")
    assert journal.file_path.stat().st_mode & 0o077 == 0
    journal.close()


def test_halves_of_a_surrogate_pair_do_not_stop_a_save(tmp_path: Path, file: Path) -> None:
    document = Document.open(file, tmp_path / "journals")
    document.replace("edit", SMALL + "# \ud83d\ude00 \ud800\n")
    document.save()
    assert file.read_text(encoding="utf-8").endswith("# \U0001f600 \ufffd\n")
    assert document.disk_state() is DiskState.SAME
    document.close()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and limits of file size")
@pytest.mark.parametrize("seed", range(25))
def test_under_a_limit_of_file_size_no_whole_edit_is_lost(tmp_path: Path, seed: int) -> None:
    """Property: after a crash the last edit that was said to be kept comes back, or a later one."""
    import resource

    rng = random.Random(seed)
    limit = rng.randrange(200, 4000)
    texts = [SMALL[: rng.randrange(1, 400)] + "#" * rng.randrange(200) for _ in range(30)]
    told, tell = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            document = Document(texts[0], None, tmp_path)
            for number, text in enumerate(texts):
                document.replace("edit", text)
                if number and not document.journal_error:
                    os.write(tell, bytes([number]))
        finally:
            os._exit(7)
    os.close(tell)
    with os.fdopen(told, "rb") as pipe:
        kept = pipe.read()
    os.waitpid(child, 0)
    left = recoverable(tmp_path)
    if not kept:
        assert not left
        return
    assert not left[0].torn
    allowed = [text for number, text in enumerate(texts) if number >= kept[-1]]
    if texts[kept[-1]] == texts[0]:
        return
    assert left[0].text in allowed
