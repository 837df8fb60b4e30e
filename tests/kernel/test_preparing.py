"""Nobody waits for the compiler: what runs while the kernel is being prepared."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from airrisk.fire.run import run, run_many
from airrisk.fire.stopping import Cancelled
from airrisk.kernel import compiled
from tests.fire.systems import case_of, fire, line, plug, vessel


@pytest.fixture
def preparing(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """The kernel is not there until the event is set."""
    assert compiled.compile_now()
    ready = compiled.entry("drive")
    release = threading.Event()

    def finish() -> None:
        release.wait(20)
        compiled._loaded["drive"] = ready

    thread = threading.Thread(target=finish)
    monkeypatch.delitem(compiled._loaded, "drive")
    monkeypatch.setitem(compiled._preparing, "drive", thread)
    thread.start()
    yield release
    release.set()
    thread.join()


def test_one_vessel_is_run_by_the_plain_functions_meanwhile(
    preparing: threading.Event,
) -> None:
    # property: the same answer, early
    case = case_of(vessel(), plug(), fire())
    assert compiled.is_preparing()
    early = run(case)
    both = run_many([case, case])
    assert compiled.is_preparing()
    preparing.set()
    assert compiled.compile_now()
    late = run(case)
    assert early.steps == late.steps == both[1].steps
    assert early.peak_use == pytest.approx(late.peak_use, rel=1e-9)


def test_a_network_waits_and_can_be_stopped(preparing: threading.Event) -> None:
    case = case_of(vessel(), vessel("R2"), line("L1", "R1", "R2"), fire())
    asked = []

    def stop_at_third() -> bool:
        asked.append(True)
        return len(asked) == 3

    with pytest.raises(Cancelled):
        run(case, should_stop=stop_at_third)
    assert compiled.is_preparing()
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(run, case)
        time.sleep(0.1)
        assert not waiting.done()
        preparing.set()
        assert waiting.result(20).converged
    assert not compiled.is_preparing()


def test_who_needs_compiled_code_waits_for_the_preparation(preparing: threading.Event) -> None:
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(compiled.compile_now)
        time.sleep(0.05)
        assert not waiting.done()
        preparing.set()
        assert waiting.result(20)


def test_prepare_loads_in_the_background(monkeypatch: pytest.MonkeyPatch) -> None:
    assert compiled.compile_now()
    assert not compiled.must_compile()
    thread = compiled.prepare(["drive"])
    assert not thread.daemon
    thread.join(20)
    monkeypatch.delitem(compiled._preparing, "drive")
    assert compiled.is_ready()
    assert not compiled.is_preparing()
    assert not thread.is_alive()


def test_what_must_be_compiled_is_compiled_by_another_process(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import multiprocessing

    steps = []

    class Compiler:
        def __init__(self, **options: object) -> None:
            assert options["daemon"]
            steps.append("made")

        def start(self) -> None:
            steps.append("started")

        def join(self) -> None:
            steps.append("ended")

    class Context:
        Process = Compiler

    monkeypatch.setattr(multiprocessing, "get_context", lambda kind: Context)
    monkeypatch.setattr(compiled, "must_compile", lambda name: True)
    monkeypatch.setattr(compiled, "compile_now", lambda name: steps.append("loaded"))
    monkeypatch.setattr(compiled, "_preparing", {})
    thread = compiled.prepare(["drive"])
    assert thread.daemon
    thread.join(20)
    assert steps == ["made", "started", "ended", "loaded"]
