"""The same question about several things at once, on threads."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from airrisk.kernel import compiled

Item = TypeVar("Item")
Answer = TypeVar("Answer")
THREADS = 2
# s after which a thread hands the interpreter on; usual are 5 ms, as long as a run takes: a thread
# that comes back from one would wait as long again before it could start the next
TURN = 5e-4


class _QuickTurns:
    """Threads take turns quickly for as long as anybody asks something side by side."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._asking = 0
        self._usual = 0.0

    def __enter__(self) -> None:
        with self._lock:
            if self._asking == 0:
                self._usual = sys.getswitchinterval()
                sys.setswitchinterval(min(TURN, self._usual))
            self._asking += 1

    def __exit__(self, *_: object) -> None:
        with self._lock:
            self._asking -= 1
            if self._asking == 0:
                sys.setswitchinterval(self._usual)


_quick_turns = _QuickTurns()


def side_by_side(
    ask: Callable[[Item], Answer],
    items: Iterable[Item],
    weight: Callable[[Item], float] | None = None,
) -> list[Answer]:
    """Answers in the order of the items; fire runs in compiled code do not hold each other up.

    Parameters
    ----------
    ask
        Depends on nothing but its item.
    items
        What to ask about.
    weight
        About how long an item takes, in any unit: the longest are asked first, so that none of
        them is left alone at the end. Left out: all take alike.

    Returns
    -------
    list
        One answer an item.

    Raises
    ------
    Exception
        Of the first item, in their order, whose question failed.
    """
    waiting = list(items)
    if len(waiting) > 1 and not compiled.is_preparing():
        compiled.compile_now()
    if len(waiting) < 2 or not compiled.is_ready():
        return [ask(item) for item in waiting]
    order = list(range(len(waiting)))
    if weight is not None:
        weights = [weight(item) for item in waiting]
        order.sort(key=lambda place: -weights[place])
    with _quick_turns, ThreadPoolExecutor(THREADS, thread_name_prefix="study") as pool:
        asked = {place: pool.submit(ask, waiting[place]) for place in order}
        try:
            return [asked[place].result() for place in range(len(waiting))]
        finally:  # after a failure nobody waits for the rest
            for one in asked.values():
                one.cancel()
