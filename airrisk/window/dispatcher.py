"""One worker thread owns all calculation; the newest request of a lane wins.

A lane is one kind of question ("assessment", "try-out", ...). A new request in a lane
replaces the waiting one and asks the running one to stop. A request in a more urgent lane
interrupts a less urgent running job, which starts again afterwards (its finished steps come
from the study's cache). Results carry lane and revision and arrive as signals in the thread
that made the dispatcher.

A job that takes a few milliseconds can run in that thread itself: two threads that both need
the interpreter hand it to one another far more slowly than that.
"""

from __future__ import annotations

import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

from PySide6.QtCore import QObject, QThread, Signal

from airrisk.fire.stopping import Cancelled
from airrisk.window.heap import give_back

QUICK = 0.025  # s of processor time that a job may take to run without the worker
LARGE = 0.3  # s, after which a job may have left memory behind
PATIENCE = 0.06  # s, after which a job that turns out to be slow is handed to the worker


@dataclass(frozen=True)
class Job:
    """One request.

    ``urgency``: smaller goes first. ``let_finish``: a newer request waits for the running one
    instead of stopping it, so that a dragged knob sees every answer that is ready.
    """

    lane: str
    revision: int
    work: Callable[[Report], Any]
    urgency: int = 5
    let_finish: bool = False


@dataclass(frozen=True)
class Result:
    """A finished job's value; ``part`` names a partial result, empty for the final one."""

    lane: str
    revision: int
    value: Any
    part: str = ""
    seconds: float = field(default=0.0, compare=False)  # of processor time, of the final one


@dataclass(frozen=True)
class Failed:
    """A job that raised; the window shows it and lives on."""

    lane: str
    revision: int
    message: str
    details: str


@dataclass(frozen=True)
class Progress:
    """How far a job is, 0 to 1, and what it does."""

    lane: str
    revision: int
    share: float
    text: str


class _Stop(Protocol):
    def is_set(self) -> bool: ...


class _Deadline:
    """Set by the clock."""

    def __init__(self, seconds: float) -> None:
        self._end = time.perf_counter() + seconds

    def is_set(self) -> bool:
        return time.perf_counter() > self._end


class Report:
    """What a job may tell and ask while it runs."""

    def __init__(self, job: Job, emit: Callable[[object], None], stop: _Stop) -> None:
        self._job = job
        self._emit = emit
        self._stop = stop

    def should_stop(self) -> bool:
        """Whether the job must end now."""
        return self._stop.is_set()

    def progress(self, share: float, text: str = "") -> None:
        """Tell how far the job is; ends the job when it was asked to stop.

        Raises
        ------
        Cancelled
            The job must end.
        """
        if self._stop.is_set():
            raise Cancelled
        self._emit(Progress(self._job.lane, self._job.revision, share, text))

    def partial(self, part: str, value: Any) -> None:
        """Hand over a first piece of the answer."""
        if not self._stop.is_set():
            self._emit(Result(self._job.lane, self._job.revision, value, part))


class _Worker(QThread):
    """Takes jobs one after the other until it is closed."""

    told = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("airrisk calculation")
        self._condition = threading.Condition()
        self._waiting: dict[str, Job] = {}
        self._running: Job | None = None
        self._stop = threading.Event()
        self._closed = False

    def put(self, job: Job) -> None:
        with self._condition:
            self._waiting[job.lane] = job
            running = self._running
            if running is not None:
                if running.lane == job.lane:
                    if not job.let_finish:
                        self._stop.set()
                elif job.urgency < running.urgency:
                    self._waiting.setdefault(running.lane, running)
                    self._stop.set()
            self._condition.notify()

    def cancel(self, lane: str) -> None:
        with self._condition:
            self._waiting.pop(lane, None)
            if self._running is not None and self._running.lane == lane:
                self._stop.set()

    def busy(self, lane: str | None) -> bool:
        with self._condition:
            if lane is None:
                return self._running is not None or bool(self._waiting)
            running = self._running is not None and self._running.lane == lane
            return running or lane in self._waiting

    def close(self) -> None:
        with self._condition:
            self._closed = True
            self._waiting.clear()
            self._stop.set()
            self._condition.notify()

    def _next(self) -> Job | None:
        with self._condition:
            self._running = None
            while not self._waiting and not self._closed:
                self._condition.wait()
            if self._closed:
                return None
            lane = min(self._waiting, key=lambda name: self._waiting[name].urgency)
            self._running = self._waiting.pop(lane)
            self._stop = threading.Event()
            return self._running

    def run(self) -> None:
        while (job := self._next()) is not None:
            begin = time.perf_counter()
            self._do(job, self._stop)
            if time.perf_counter() - begin > LARGE:
                give_back()

    def _do(self, job: Job, stop: threading.Event) -> None:
        begin = time.thread_time()
        try:
            value = job.work(Report(job, self.told.emit, stop))
        except Cancelled:
            return
        except Exception as error:
            if not stop.is_set():
                message = str(error) or type(error).__name__
                details = traceback.format_exc()
                self.told.emit(Failed(job.lane, job.revision, message, details))
            return
        if not stop.is_set():
            seconds = time.thread_time() - begin
            self.told.emit(Result(job.lane, job.revision, value, seconds=seconds))


class Dispatcher(QObject):
    """Owner of the worker thread; ``shutdown`` must be called before it goes."""

    arrived = Signal(object)  # Result
    failed = Signal(object)  # Failed
    progressed = Signal(object)  # Progress

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._newest: dict[str, int] = {}
        self._let_finish: set[str] = set()
        self._told: dict[str, int] = {}  # newest revision of each lane that has arrived
        self._seconds: dict[str, float] = {}  # what the last job of each lane took
        self._worker = _Worker()
        self._worker.told.connect(self._deliver)
        self._worker.start()

    def request(
        self,
        lane: str,
        revision: int,
        work: Callable[[Report], Any],
        *,
        urgency: int = 5,
        let_finish: bool = False,
        quick: bool = False,
    ) -> None:
        """Ask for a calculation; an older request of the same lane is dropped.

        ``quick``: answer before this returns, without the worker, when the last job of the lane
        took a few milliseconds and nothing else is calculated.
        """
        self._newest[lane] = revision
        if let_finish:
            self._let_finish.add(lane)
        job = Job(lane, revision, work, urgency, let_finish)
        if not (quick and self._seconds.get(lane, QUICK) < QUICK and self._run_here(job)):
            self._worker.put(job)

    def _run_here(self, job: Job) -> bool:
        """Run a job in this thread; False when that was not possible or took too long."""
        if self.busy():
            return False
        stop, begin = _Deadline(PATIENCE), time.thread_time()
        told: Result | Failed
        try:
            value = job.work(Report(job, self._deliver, stop))
        except Exception as error:
            self._seconds.pop(job.lane)
            if stop.is_set():
                return False
            told = Failed(
                job.lane, job.revision, str(error) or type(error).__name__, traceback.format_exc()
            )
        else:
            told = Result(job.lane, job.revision, value, seconds=time.thread_time() - begin)
        self._deliver(told)
        return True

    def cancel(self, lane: str) -> None:
        """Stop and forget what the lane does."""
        self._newest.pop(lane, None)
        self._worker.cancel(lane)

    def busy(self, lane: str | None = None) -> bool:
        """Whether the lane (or any) has something running or waiting."""
        return self._worker.busy(lane)

    def shutdown(self) -> None:
        """Ask the worker to stop and wait until it has."""
        self._worker.close()
        self._worker.wait()

    def _deliver(self, told: object) -> None:
        if not isinstance(told, (Result, Failed, Progress)):
            return
        newest = self._newest.get(told.lane)
        if newest is None:
            return
        if told.revision != newest and (
            told.lane not in self._let_finish
            or told.revision < self._told.get(told.lane, told.revision)
        ):
            return  # an older revision: a newer answer is on its way, or there already
        if isinstance(told, Result):
            if not told.part:
                self._told[told.lane] = told.revision
                self._seconds[told.lane] = told.seconds
            self.arrived.emit(told)
        elif isinstance(told, Failed):
            self.failed.emit(told)
        else:
            self.progressed.emit(told)
