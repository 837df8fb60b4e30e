"""Older formats of the system file, brought up to date step by step on the text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from airrisk.installation.layout import Layout

FORMAT = 2
# Formats whose files mean the same today: they are read as they stand, line by line. A file of
# format 1 only lacks the fields that came later.
READ_AS_WRITTEN = frozenset({1, 2})


def _raise_number(text: str) -> str:
    """The text with the next higher format number; all else stays byte for byte."""
    data = text.encode("utf-8", "replace")
    entry = Layout(data).entries[("format",)]
    found = int(data[entry.value_start : entry.value_end], 0)
    new = f"{found + 1}".encode()
    return (data[: entry.value_start] + new + data[entry.value_end :]).decode("utf-8")


# From format n to n + 1, text to text. Each step keeps comments and order.
STEPS: Mapping[int, Callable[[str], str]] = MappingProxyType({1: _raise_number})


def migrate(text: str, found: int, *, to: int = FORMAT) -> str:
    """The text in the present format.

    Parameters
    ----------
    text : str
        A system file.
    found : int
        Format of the text.
    to : int, optional
        Format wanted.

    Raises
    ------
    ValueError
        There is no way from the found format to the wanted one.
    """
    while found < to:
        if found not in STEPS:
            raise ValueError(f"no way from format {found} to format {found + 1}")
        text = STEPS[found](text)
        found += 1
    return text


def is_older(found: object) -> bool:
    """Whether a format is one that can be brought up to date."""
    return isinstance(found, int) and not isinstance(found, bool) and found in STEPS
