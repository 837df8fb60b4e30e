"""Times of the window, drawn offscreen."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from tests.benchmarks.speed import Speed, best_of


@cache
def _drag() -> tuple[float, float, float, float]:
    from tests.window.speed import drag_times

    return drag_times()


def _choice() -> float:
    from tests.window.speed import choice_time

    return choice_time()


def _start() -> float:
    from tests.window.speed import start_time

    return start_time()


def _schematic() -> float:
    from airrisk.report.text_width import text_width
    from airrisk.wording.schematic.layout import lay_out
    from tests.wording.schematic.invented import network

    plant = network(0, 50)  # and some sixty lines between them
    return best_of(lambda: lay_out(plant, 12.0, lambda name: text_width(name, 12.0, True)), 3)


def speeds() -> Iterator[Speed]:
    """Start, dragging of a knob and what follows it."""
    yield Speed("window usable after the command", _start, 1.5, "s")
    yield Speed("schematic of a hundred parts laid out", _schematic, 1.0, "s")
    yield Speed("window: knob to repainted fire curve, p95", lambda: _drag()[0], 33e-3, "ms")
    yield Speed("window: processor time of one such repaint", lambda: _drag()[1], 33e-3, "ms")
    yield Speed("window: smallest bore after the last movement", lambda: _drag()[2], 0.15, "ms")
    yield Speed("window: change of a field to the first answer", lambda: _drag()[3], 0.1, "ms")
    yield Speed("window: choice to all of it shown, slowest part", _choice, 50e-3, "ms")
