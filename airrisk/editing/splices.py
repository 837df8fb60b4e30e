"""The smallest replacement that turns one text into another."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Splice:
    """At ``start``, ``old`` was replaced by ``new`` (offsets in characters)."""

    start: int
    old: str
    new: str

    def apply(self, text: str) -> str:
        """The text after the replacement.

        Raises
        ------
        ValueError
            The text does not hold ``old`` at ``start``.
        """
        end = self.start + len(self.old)
        if text[self.start : end] != self.old:
            raise ValueError(f"the text at {self.start} is not what the splice replaces")
        return text[: self.start] + self.new + text[end:]

    def reversed(self) -> Splice:
        """The splice that takes this one back."""
        return Splice(self.start, self.new, self.old)


def _common_length(first: str, second: str) -> int:
    """Number of leading characters that both texts share, by bisection."""
    low, high = 0, min(len(first), len(second))
    while low < high:
        middle = (low + high + 1) // 2
        if first[low:middle] == second[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def splice_between(before: str, after: str) -> Splice:
    """The one replacement that makes ``after`` of ``before``."""
    start = _common_length(before, after)
    rest_before, rest_after = before[start:], after[start:]
    tail = _common_length(rest_before[::-1], rest_after[::-1])
    return Splice(
        start, rest_before[: len(rest_before) - tail], rest_after[: len(rest_after) - tail]
    )
