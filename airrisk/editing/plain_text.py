"""A text as lines that end alike, and back: untouched lines keep their own ends."""

from __future__ import annotations

import re

BYTE_ORDER_MARK = "\ufeff"
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")


def plain(text: str) -> str:
    """The text without byte order mark and with line feeds only."""
    return text.removeprefix(BYTE_ORDER_MARK).replace("\r\n", "\n").replace("\r", "\n")


def _lines(text: str) -> list[str]:
    return [line for line in _LINE.findall(text) if line]


def edited(before: str, typed: str) -> str:
    """The text after editing its plain form.

    Parameters
    ----------
    before
        The text with its own line ends and byte order mark.
    typed
        Its plain form after the edit, line feeds only.

    Returns
    -------
    str
        Byte order mark and the ends of untouched lines as before; new lines end like the first.
    """
    mark = BYTE_ORDER_MARK if before.startswith(BYTE_ORDER_MARK) else ""
    old = _lines(before.removeprefix(BYTE_ORDER_MARK))
    seen, new = [plain(line) for line in old], _lines(typed)
    shortest = min(len(old), len(new))
    head = next((n for n in range(shortest) if seen[n] != new[n]), shortest)
    most = shortest - head
    tail = next((n for n in range(most) if seen[-1 - n] != new[-1 - n]), most)
    end = "\r\n" if old and old[0].endswith("\r\n") else "\n"
    middle = [line.replace("\n", end) for line in new[head : len(new) - tail]]
    return mark + "".join([*old[:head], *middle, *(old[len(old) - tail :] if tail else [])])
