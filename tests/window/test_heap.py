"""Memory that a large calculation leaves goes back to the machine."""

from __future__ import annotations

import ctypes
import functools
import platform
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from airrisk.installation.reading import check
from airrisk.study import assessment
from airrisk.study.cache import StepCache
from airrisk.window import dispatcher as room
from airrisk.window import heap
from airrisk.window.calculations import Assess, Memory
from airrisk.window.dispatcher import Dispatcher, Job, Report
from tests.window.conftest import ONE_VESSEL
from tests.window.processes import run

# Pieces below the size that gets pages of its own, with some between them that stay.
LEAVE = """
from airrisk.window.heap import give_back
from tests.window.memory import held
pieces = [bytearray(60_000) for _ in range(1000)]
kept = pieces[::50]
full = held()
del pieces
assert give_back()
print(full - held())
"""

# Each thread holds a little while the others do, so that none can take over the heap of another.
THREADS = """
import ctypes, os, sys, threading
from airrisk.window.start import make_application
make_application(["airrisk"])
met = threading.Barrier(9)
def hold():
    kept = ctypes.CDLL(None).malloc(5000)
    met.wait()
    met.wait()
for _ in range(8):
    threading.Thread(target=hold, daemon=True).start()
met.wait()
c = ctypes.CDLL(None)
c.fopen.restype = ctypes.c_void_p
file = ctypes.c_void_p(c.fopen(sys.argv[1].encode(), b"w"))
c.malloc_info(0, file)
c.fclose(file)
print(open(sys.argv[1]).read().count("<heap nr="), flush=True)
os._exit(0)
"""


@pytest.fixture
def given(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Dispatcher, list[str]]]:
    """A dispatcher, and a list that grows when it gives memory back."""
    times: list[str] = []
    monkeypatch.setattr(room, "give_back", lambda: times.append("given"))
    made = Dispatcher()
    yield made, times
    made.shutdown()


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="the C library has no such call")
def test_what_is_free_between_what_is_kept_goes_back(tmp_path: Path) -> None:
    done = run(tmp_path, "-c", LEAVE)
    assert done.returncode == 0, done.stderr
    assert float(done.stdout) > 40.0  # MB, of 60


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="the C library has no such call")
def test_all_threads_share_one_heap(tmp_path: Path) -> None:
    done = run(tmp_path, "-c", THREADS, str(tmp_path / "told"))
    assert done.stdout.split()[-1] == "1", done.stderr


def test_a_system_without_the_call_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    for error in (AttributeError, OSError, TypeError):

        def fail(_name: None, error: type[Exception] = error) -> None:
            raise error

        monkeypatch.setattr(ctypes, "CDLL", fail)
        assert not heap.give_back()
        assert not heap.share_one_heap()


@pytest.mark.parametrize(("large", "times"), [(-1.0, 1), (1e9, 0)])
def test_the_worker_gives_back_what_a_large_job_left(
    qtbot: QtBot,
    given: tuple[Dispatcher, list[str]],
    monkeypatch: pytest.MonkeyPatch,
    large: float,
    times: int,
) -> None:
    monkeypatch.setattr(room, "LARGE", large)
    made, seen = given
    with qtbot.waitSignal(made.arrived):
        made.request("a", 1, lambda report: "one")
    made.shutdown()
    assert len(seen) == times


def test_what_is_remembered_suffices_for_the_file_that_is_open(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """However large it is: an answer to the same file again runs no step anew."""
    installation, problems = check(ONE_VESSEL)
    assert installation is not None, problems
    known = StepCache(room=1000)
    ask = Assess(installation, ONE_VESSEL.encode(), Memory(known))
    monkeypatch.setattr(assessment, "assess", functools.partial(assessment.assess, bores=False))
    report = Report(Job("a", 1, ask), lambda told: None, threading.Event())
    ask(report)
    assert len(known) == 1
    ask(report)
    stored: list[object] = []
    monkeypatch.setattr(StepCache, "_store", lambda _self, key, _value: stored.append(key))
    ask(report)
    assert not stored
