"""A speed: what, how it is measured, and its limit where one was promised."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

Unit = Literal["s", "ms", "times", "%", "MB", "modules"]
SCALES: dict[str, float] = {"ms": 1e3, "%": 1e2}


@dataclass(frozen=True)
class Speed:
    """One line of the table; measured and limit in SI (s, 1), shown in ``unit``."""

    what: str
    measure: Callable[[], float]
    limit: float | None  # None: told, not promised
    unit: Unit
    at_least: bool = False  # the limit is a floor

    def holds(self, measured: float) -> bool:
        """Whether a measured value keeps the promise, if there is one."""
        if self.limit is None:
            return True
        return measured >= self.limit if self.at_least else measured <= self.limit

    @property
    def bound(self) -> str:
        """The limit in words."""
        if self.limit is None:
            return "no limit"
        return f"{'>=' if self.at_least else '<='} {self.shown(self.limit)}"

    def shown(self, value: float) -> str:
        """The value with its unit, to three figures."""
        return f"{value * SCALES.get(self.unit, 1.0):.3g} {self.unit}"


def best_of(action: Callable[[], Any], times: int = 5, warm: int = 1) -> float:
    """Shortest of several timings after some warm ones, s: the least disturbed by others."""
    for _ in range(warm):
        action()
    found = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        found.append(time.perf_counter() - start)
    return min(found)
