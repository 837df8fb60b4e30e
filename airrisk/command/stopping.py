"""Ctrl+C as a wish that calculations ask for, so that threads end and no file is half written."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from airrisk.fire.stopping import Cancelled


@contextmanager
def stop_on_interrupt() -> Iterator[Callable[[], bool]]:
    """Whether to stop, for ``should_stop``: true after Ctrl+C. A second one ends it at once.

    Raises
    ------
    KeyboardInterrupt
        The calculation stopped because it was asked to, or was interrupted twice.
    """
    wished = threading.Event()

    def wish(_number: int, _frame: FrameType | None) -> None:
        if wished.is_set():
            raise KeyboardInterrupt
        wished.set()

    before = signal.getsignal(signal.SIGINT)
    # only the main thread may listen; a job in the background is not meant by Ctrl+C
    listening = threading.current_thread() is threading.main_thread() and before not in (
        None,
        signal.SIG_IGN,
    )
    if listening:
        signal.signal(signal.SIGINT, wish)
    try:
        yield wished.is_set
    except Cancelled:
        raise KeyboardInterrupt from None
    finally:
        if listening:
            signal.signal(signal.SIGINT, before)
