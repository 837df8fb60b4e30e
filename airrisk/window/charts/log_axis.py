"""An axis with few plain numbers: round steps, and on a logarithmic one 1, 2 and 5."""

from __future__ import annotations

import math

import pyqtgraph as pg

from airrisk.wording.units import localised, number_text


def round_step(raw: float) -> float:
    """The next 1, 2 or 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(max(raw, 1e-12)))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= raw * (1 - 1e-9))


class PlainAxis(pg.AxisItem):
    """An axis that writes plain numbers; on a logarithmic scale only round ones."""

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        if not self.logMode:
            wide = 80.0 if self.orientation in ("bottom", "top") else 40.0
            spacing = round_step((high - low) * wide / max(size, wide))
            first, last = math.ceil(low / spacing - 1e-9), math.floor(high / spacing + 1e-9)
            return [(spacing, [spacing * number for number in range(first, last + 1)])]
        decades = max(high - low, 1e-6)
        room = size / decades
        wide = 46 if self.orientation in ("bottom", "top") else 22
        factors = (1, 2, 5) if room > 3.4 * wide else (1, 3) if room > 2 * wide else (1,)
        every = 1 if room > wide else math.ceil(wide / room)
        ticks = [
            exponent + math.log10(factor)
            for exponent in range(math.floor(low), math.ceil(high) + 1)
            if exponent % every == 0
            for factor in factors
        ]
        return [(1.0, [tick for tick in ticks if low <= tick <= high])]

    def main_ticks(self, low: float, high: float) -> list[float]:
        """Where the grid has lines: the ticks with numbers."""
        size = self.width() if self.orientation in ("bottom", "top") else self.height()
        levels = self.tickValues(low, high, max(float(size), 1.0))
        return [tick for _spacing, ticks in levels[:2] for tick in ticks]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        if not self.logMode:
            return [localised(text) for text in super().tickStrings(values, scale, spacing)]
        return [number_text(10.0**value, 1) for value in values]
