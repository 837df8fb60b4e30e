"""A save that is killed leaves the old or the new text, and the journal has the last edit."""

from __future__ import annotations

import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from airrisk.editing import Document, recoverable
from tests.editing.systems import SMALL

OLD = SMALL
NEW = SMALL.replace("8 bar(g)", "9 bar(g)") + "# longer by a remark\n" * 2000

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork"),
    # the child writes a file and ends; it takes no lock that another thread may have held
    pytest.mark.filterwarnings("ignore:.*multi-threaded, use of fork:DeprecationWarning"),
]


def in_child(work: Callable[[], None]) -> int:
    """Run ``work`` in a forked child that never returns to the tests; its exit status."""
    child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            os._exit(7)
    return os.waitpid(child, 0)[1]


@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize("call", ["write", "fsync", "replace"])
@pytest.mark.parametrize("count", [1, 2])
def test_death_at_every_system_call_leaves_old_or_new(
    tmp_path: Path, when: str, call: str, count: int
) -> None:
    file = tmp_path / "system.toml"
    file.write_bytes(OLD.encode())
    journals = tmp_path / "journals"

    def work() -> None:
        document = Document.open(file, journals)
        document.replace("edit", NEW)
        seen = 0
        real = getattr(os, call if call != "write" else "fdopen")

        def dying(*arguments: object, **more: object) -> object:
            nonlocal seen
            seen += 1
            if seen == count and when == "before":
                os._exit(9)
            result = real(*arguments, **more)
            if call == "write":
                inner = result.write

                def write(data: bytes) -> int:
                    inner(data[: len(data) // 2])
                    result.flush()
                    os._exit(9)

                if when == "after" and seen == count:
                    result = _Writer(result, write)
                return result
            if seen == count:
                os._exit(9)
            return result

        setattr(os, call if call != "write" else "fdopen", dying)
        document.save()

    in_child(work)
    held = file.read_bytes()
    assert held in (OLD.encode(), NEW.encode())
    if held == OLD.encode():
        (left,) = recoverable(journals)
        assert left.text == NEW


class _Writer:
    """A file whose write dies half way."""

    def __init__(self, file: object, write: Callable[[bytes], int]) -> None:
        self._file, self.write = file, write

    def __enter__(self) -> _Writer:
        return self

    def __exit__(self, *_error: object) -> None:
        self._file.close()  # type: ignore[attr-defined]

    def __getattr__(self, name: str) -> object:
        return getattr(self._file, name)


def test_fifty_random_kills_leave_old_or_new_and_the_last_edit(tmp_path: Path) -> None:
    rng = random.Random(20261125)
    file = tmp_path / "system.toml"
    for number in range(50):
        file.write_bytes(OLD.encode())
        journals = tmp_path / f"journals {number}"
        ready, tell = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                document = Document.open(file, journals)
                document.replace("edit", NEW)
                os.write(tell, b"x")
                while True:
                    document.save()
                    document.undo()
                    document.redo()
            finally:
                os._exit(7)
        os.close(tell)
        assert os.read(ready, 1) == b"x"
        os.close(ready)
        end = time.perf_counter() + rng.uniform(0, 0.008)
        while time.perf_counter() < end:
            pass
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        held = file.read_bytes()
        assert held in (OLD.encode(), NEW.encode())
        left = recoverable(journals)
        if held == OLD.encode():
            assert left[0].text in (OLD, NEW)
            assert left[0].text == NEW or left[0].edits > 1
        elif left:
            assert left[0].text in (OLD, NEW)
