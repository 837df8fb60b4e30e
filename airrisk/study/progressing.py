"""How far the runs of an assessment are."""

from __future__ import annotations

from collections.abc import Callable, Sequence

Ran = Callable[[int], None]  # called with how many runs were made, again and again


class Progressing:
    """How much of the runs ahead is made; more of one fire than were known of count as all its.

    Parameters
    ----------
    planned
        Runs of each fire, at least.
    """

    def __init__(self, planned: Sequence[int]) -> None:
        self._planned = list(planned)
        self._made = [0] * len(planned)

    def ran(self, number: int, runs: int) -> None:
        """Runs of one fire were made."""
        if self._planned:
            self._made[number] = min(self._made[number] + runs, self._planned[number])

    def finish(self, number: int) -> None:
        """A fire has its answer, with however many runs."""
        if self._planned:
            self._made[number] = self._planned[number]

    @property
    def share(self) -> float:
        """Share of the runs ahead that is made."""
        return sum(self._made) / max(sum(self._planned), 1)
