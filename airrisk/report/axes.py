"""Axes of figures: from displayed numbers to points, and the round numbers beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass

SMALL = 7.0
TINY = 6.3
GRID = "#DDDDDD"
INK = "#303030"


@dataclass(frozen=True)
class Scale:
    """From a displayed number to points."""

    low: float
    high: float
    start: float  # points
    end: float
    log: bool

    def at(self, value: float) -> float:
        """Position in points; outside the range it is clamped to a little beyond."""
        if self.log:
            value, low, high = (math.log10(max(v, 1e-300)) for v in (value, self.low, self.high))
        else:
            low, high = self.low, self.high
        share = (value - low) / (high - low)
        return self.start + max(-2.0, min(3.0, share)) * (self.end - self.start)


def linear_ticks(low: float, high: float, most: int = 7) -> list[float]:
    """Round numbers from low to high, at most about ``most``."""
    span = high - low
    if span <= 0:
        return [low]
    raw = span / most
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(size * m for m in (1, 2, 2.5, 5, 10) if size * m >= raw)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(i * step, 12) for i in range(first, last + 1)]


def log_ticks(low: float, high: float) -> list[float]:
    """1, 2, 5 in every decade, or decades only when there are many."""
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    steps = (1,) if last - first > 4 else (1, 2, 5)
    ticks = [m * 10.0**e for e in range(first, last + 1) for m in steps]
    return [t for t in ticks if low * 0.999 <= t <= high * 1.001]


def ticks(scale: Scale, room: float, each: float) -> list[float]:
    """The numbers that an axis of this length shows, ``each`` points apart or more."""
    if scale.log:
        return log_ticks(scale.low, scale.high)
    return linear_ticks(scale.low, scale.high, max(2, int(room / each)))
