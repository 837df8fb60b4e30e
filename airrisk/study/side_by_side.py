"""The same question about several things at once, on threads."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from airrisk.kernel import compiled

Item = TypeVar("Item")
Answer = TypeVar("Answer")
THREADS = 2


def side_by_side(ask: Callable[[Item], Answer], items: Iterable[Item]) -> list[Answer]:
    """Answers in the order of the items; fire runs in compiled code do not hold each other up.

    Parameters
    ----------
    ask
        Depends on nothing but its item.
    items
        What to ask about.

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
    with ThreadPoolExecutor(THREADS, thread_name_prefix="study") as pool:
        return list(pool.map(ask, waiting))
