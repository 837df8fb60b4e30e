"""What the recovery journal brings back."""

from __future__ import annotations

from pathlib import Path

import pytest

from airrisk.editing import Document, Journal, recoverable
from airrisk.editing.journal import read_journal
from tests.editing.systems import SMALL


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
    assert document._journal is not None
    assert document._journal._file is not None
    document._journal._file.close()  # the process has died: the lock is gone
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
    assert document._journal is not None
    assert document._journal._file is not None
    document._journal._file.close()
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
    document.close()
