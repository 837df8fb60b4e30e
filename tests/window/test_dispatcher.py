"""One worker, newest revision wins, nothing survives shutdown."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from airrisk.window.dispatcher import Dispatcher, Failed, Report, Result


@pytest.fixture
def dispatcher(qtbot: QtBot) -> Iterator[Dispatcher]:
    made = Dispatcher()
    yield made
    made.shutdown()


def test_an_answer_carries_its_revision(qtbot: QtBot, dispatcher: Dispatcher) -> None:
    with qtbot.waitSignal(dispatcher.arrived) as told:
        dispatcher.request("a", 7, lambda report: "seven")
    assert told.args == [Result("a", 7, "seven")]


def test_the_newest_request_wins_and_the_older_is_asked_to_stop(
    qtbot: QtBot, dispatcher: Dispatcher
) -> None:
    started, stopped = threading.Event(), threading.Event()

    def slow(report: Report) -> str:
        started.set()
        while not report.should_stop():
            stopped.wait(0.001)
        stopped.set()
        return "old"

    results: list[Result] = []
    dispatcher.arrived.connect(results.append)
    dispatcher.request("a", 1, slow)
    assert started.wait(5)
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("a", 2, lambda report: "new")
    assert stopped.is_set()
    assert results == [Result("a", 2, "new")]


def test_an_urgent_lane_interrupts_and_the_other_starts_again(
    qtbot: QtBot, dispatcher: Dispatcher
) -> None:
    started = threading.Event()
    runs: list[int] = []

    def long(report: Report) -> str:
        runs.append(1)
        started.set()
        if len(runs) == 1:
            while not report.should_stop():
                threading.Event().wait(0.001)
        return "long"

    results: list[Result] = []
    dispatcher.arrived.connect(results.append)
    dispatcher.request("slow", 1, long)
    assert started.wait(5)
    dispatcher.request("knob", 1, lambda report: "quick", urgency=1)
    qtbot.waitUntil(lambda: len(results) == 2)
    assert [r.value for r in results] == ["quick", "long"]
    assert len(runs) == 2


def test_a_failing_job_is_told_and_the_next_one_runs(qtbot: QtBot, dispatcher: Dispatcher) -> None:
    def broken(report: Report) -> None:
        raise ZeroDivisionError("by zero")

    with qtbot.waitSignal(dispatcher.failed) as told:
        dispatcher.request("a", 1, broken)
    failure: Failed = told.args[0]
    assert failure.message == "by zero"
    assert "ZeroDivisionError" in failure.details
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("a", 2, lambda report: "fine")


def test_partial_answers_come_before_the_whole_one(qtbot: QtBot, dispatcher: Dispatcher) -> None:
    results: list[Result] = []
    dispatcher.arrived.connect(results.append)

    def work(report: Report) -> str:
        report.partial("first", 1)
        return "whole"

    dispatcher.request("a", 1, work)
    qtbot.waitUntil(lambda: len(results) == 2)
    assert [(r.part, r.value) for r in results] == [("first", 1), ("", "whole")]


def test_a_cancelled_lane_stays_silent(qtbot: QtBot, dispatcher: Dispatcher) -> None:
    started = threading.Event()

    def slow(report: Report) -> str:
        started.set()
        while not report.should_stop():
            threading.Event().wait(0.001)
        return "late"

    results: list[Result] = []
    dispatcher.arrived.connect(results.append)
    dispatcher.request("a", 1, slow)
    assert started.wait(5)
    dispatcher.cancel("a")
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("b", 1, lambda report: "b")
    assert [r.lane for r in results] == ["b"]


def test_a_dragged_knob_sees_every_answer_that_is_ready(
    qtbot: QtBot, dispatcher: Dispatcher
) -> None:
    go = threading.Event()
    results: list[Result] = []
    dispatcher.arrived.connect(results.append)
    dispatcher.request("knob", 1, lambda report: go.wait(5), let_finish=True)
    qtbot.waitUntil(lambda: dispatcher.busy("knob"))
    dispatcher.request("knob", 2, lambda report: "two", let_finish=True)
    go.set()
    qtbot.waitUntil(lambda: bool(results) and results[-1].revision == 2)


def test_shutdown_ends_a_running_job(qtbot: QtBot) -> None:
    dispatcher = Dispatcher()
    started = threading.Event()

    def endless(report: Report) -> None:
        started.set()
        while not report.should_stop():
            threading.Event().wait(0.001)

    dispatcher.request("a", 1, endless)
    assert started.wait(5)
    dispatcher.shutdown()
    assert not dispatcher._worker.isRunning()


def test_a_job_that_was_quick_is_answered_at_once_the_next_time(
    qtbot: QtBot, dispatcher: Dispatcher
) -> None:
    threads: list[threading.Thread] = []

    def work(report: Report) -> int:
        threads.append(threading.current_thread())
        return len(threads)

    results: list[Result] = []
    dispatcher.arrived.connect(results.append)
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("knob", 1, work, quick=True)
    qtbot.waitUntil(lambda: not dispatcher.busy())
    dispatcher.request("knob", 2, work, quick=True)
    assert results == [Result("knob", 1, 1), Result("knob", 2, 2)]
    assert threads[0] is not threads[1] is threading.main_thread()


def test_a_job_that_turns_out_slow_goes_on_in_the_worker(
    qtbot: QtBot, dispatcher: Dispatcher
) -> None:
    """Property: the window waits for it no longer than its patience."""
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("knob", 1, lambda report: "quick", quick=True)
    qtbot.waitUntil(lambda: not dispatcher.busy())
    threads: list[threading.Thread] = []

    def slow(report: Report) -> str:
        threads.append(threading.current_thread())
        if len(threads) == 1:
            while not report.should_stop():
                threading.Event().wait(0.001)
            raise RuntimeError("told to stop")
        return "slow"

    with qtbot.waitSignal(dispatcher.arrived) as told:
        dispatcher.request("knob", 2, slow, quick=True)
    assert told.args == [Result("knob", 2, "slow")]
    assert threads[0] is threading.main_thread() is not threads[1]


def test_a_quick_job_that_fails_is_told(qtbot: QtBot, dispatcher: Dispatcher) -> None:
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("knob", 1, lambda report: "fine", quick=True)
    qtbot.waitUntil(lambda: not dispatcher.busy())
    failures: list[Failed] = []
    dispatcher.failed.connect(failures.append)

    def broken(report: Report) -> None:
        raise ValueError("no such wall")

    dispatcher.request("knob", 2, broken, quick=True)
    assert [(f.revision, f.message) for f in failures] == [(2, "no such wall")]


def test_a_late_answer_does_not_replace_a_newer_one(qtbot: QtBot, dispatcher: Dispatcher) -> None:
    """Property: also where every answer of a lane is shown, revisions only rise."""
    with qtbot.waitSignal(dispatcher.arrived):
        dispatcher.request("knob", 1, lambda report: 1, let_finish=True, quick=True)
    qtbot.waitUntil(lambda: not dispatcher.busy())
    results: list[Result] = []
    dispatcher.arrived.connect(results.append)
    dispatcher.request("knob", 2, lambda report: 2, let_finish=True)
    while dispatcher.busy():  # its answer waits for the event loop
        threading.Event().wait(0.001)
    dispatcher.request("knob", 3, lambda report: 3, let_finish=True, quick=True)
    qtbot.wait(50)
    assert [result.value for result in results] == [3]
