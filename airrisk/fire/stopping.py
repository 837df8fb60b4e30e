"""The one way in which a calculation ends early because the caller asked it to."""

from __future__ import annotations

from collections.abc import Callable


class Cancelled(Exception):
    """The caller asked to stop; goes through every floor up to whoever asked."""


def go_on(should_stop: Callable[[], bool] | None) -> None:
    """Go on unless the caller has asked to stop; for work between the runs, which ask themselves.

    Raises
    ------
    Cancelled
        The caller asked to stop.
    """
    if should_stop is not None and should_stop():
        raise Cancelled
