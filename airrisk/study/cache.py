"""A bounded memory of step answers, keyed by exactly what went into them."""

from __future__ import annotations

import dataclasses
import sys
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from typing import TypeVar

import numpy as np

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
    room
        Memory that they may take, bytes; None: any. An answer with its curves has some 100 kB, so
        a program that runs for hours needs it. ``fit`` makes more of it for a large installation.
    """

    def __init__(self, capacity: int = 2000, room: int | None = None) -> None:
        self._capacity = capacity
        self._room = self._least_room = room
        self._drove_out = False  # any answer, since the last ``fit``
        self._taken = 0  # bytes, counted only where room is limited
        self._weights: dict[_Key, int] = {}
        self._answers: OrderedDict[_Key, object] = OrderedDict()
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
        weight = 0 if self._room is None else weight_of(value)
        with self._lock:
            self._answers[key] = value
            self._answers.move_to_end(key)
            self._taken += weight - self._weights.get(key, 0)
            self._weights[key] = weight
            while len(self._answers) > self._capacity or self._is_full():
                gone, _ = self._answers.popitem(last=False)
                self._taken -= self._weights.pop(gone)
                self._drove_out = True

    def fit(self, whole: object) -> None:
        """Have room for two answers like this: the next finds what an edit has left as it was."""
        if self._least_room is None or (self._room == self._least_room and not self._drove_out):
            return  # to weigh it takes a while
        wanted = 2 * weight_of(whole)
        with self._lock:
            self._room = max(self._least_room, wanted)
            self._drove_out = False

    def _is_full(self) -> bool:
        """Whether something must go; the newest answer stays, however large it is."""
        return self._room is not None and self._taken > self._room and len(self._answers) > 1


def weight_of(value: object) -> int:
    """Memory that a record takes with all that hangs on it, bytes, roughly."""
    seen: set[int] = set()
    waiting = [value]
    weight = 0
    while waiting:
        one = waiting.pop()
        if id(one) in seen or isinstance(one, type):
            continue
        seen.add(id(one))
        weight += sys.getsizeof(one)
        if isinstance(one, np.ndarray):
            if one.base is not None:  # a view keeps all of what it is cut from
                waiting.append(one.base)
        elif isinstance(one, Mapping):
            waiting += [*one.keys(), *one.values()]
        elif isinstance(one, (tuple, list, set, frozenset)):
            waiting += one
        elif dataclasses.is_dataclass(one):
            waiting += [getattr(one, field.name) for field in dataclasses.fields(one)]
    return weight
