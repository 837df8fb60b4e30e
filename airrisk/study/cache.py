"""A bounded memory of step answers, keyed by exactly what went into them."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import TypeVar

from airrisk.fire.known_runs import KnownRuns

T = TypeVar("T")


class _Key:
    """A key whose hash is worked out once: that of a whole slice takes a while."""

    __slots__ = ("hash", "value")

    def __init__(self, value: Hashable) -> None:
        self.value = value
        self.hash = hash(value)

    def __hash__(self) -> int:
        return self.hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.hash == other.hash and self.value == other.value


class StepCache:
    """Answers of pure steps; the least recently used go first. Beside them those of single runs.

    Parameters
    ----------
    capacity
        Number of answers kept.
    """

    def __init__(self, capacity: int = 2000) -> None:
        self._capacity = capacity
        self._answers: OrderedDict[Hashable, object] = OrderedDict()
        self._lock = threading.Lock()
        self.runs = KnownRuns()

    def __len__(self) -> int:
        return len(self._answers)

    def known(self, key: Hashable) -> object | None:
        """The stored answer for ``key``; None: it is new."""
        with self._lock:
            return self._answers.get(_Key(key))

    def keep(self, key: Hashable, value: object) -> None:
        """Store an answer that was found another way."""
        self._store(_Key(key), value)

    def answer(self, key: Hashable, compute: Callable[[], T]) -> T:
        """The stored answer for ``key``, computed (and stored) when it is new."""
        wanted = _Key(key)
        with self._lock:
            if wanted in self._answers:
                self._answers.move_to_end(wanted)
                return self._answers[wanted]  # type: ignore[return-value]
        value = compute()
        self._store(wanted, value)
        return value

    def _store(self, key: _Key, value: object) -> None:
        with self._lock:
            self._answers[key] = value
            self._answers.move_to_end(key)
            while len(self._answers) > self._capacity:
                self._answers.popitem(last=False)
