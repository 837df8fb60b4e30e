"""A language that only puts marks around every text: what stands outside of them is English.

Ids, units, numbers, symbols of formulas and what the user typed stand outside and are taken off
by ``outside``, which gives the words that are left.
"""

from __future__ import annotations

import re
import string
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from airrisk.wording import translation
from airrisk.wording.extraction import all_texts

OPEN, CLOSE = "⟦", "⟧"


@cache
def known() -> frozenset[str]:
    """Every text that the catalogue has."""
    return frozenset(one for text in all_texts() for one in (text.text, text.plural) if one)


def marked(text: str) -> str:
    """A text in marks; what is put into its places stands outside of them."""
    if "{{" in text:
        return f"{OPEN}{text}{CLOSE}"
    try:
        pieces = list(string.Formatter().parse(text))
    except ValueError:  # braces that stand for themselves
        return f"{OPEN}{text}{CLOSE}"
    out = []
    for literal, name, form, how in pieces:
        if literal:
            out.append(f"{OPEN}{literal}{CLOSE}")
        if name is not None:
            out.append("{" + name + (f"!{how}" if how else "") + (f":{form}" if form else "") + "}")
    return "".join(out)


class Pseudo:
    """A catalogue that marks each text and notes those that the real one would not have."""

    def __init__(self) -> None:
        self.unknown: set[str] = set()

    def gettext(self, message: str) -> str:
        if re.search(r"[^\W\d_]{2}", re.sub(r"{\w*}", "", message)) is None:
            return message  # commas and places
        if message not in known():
            self.unknown.add(message)
        return marked(message)

    def pgettext(self, context: str, message: str) -> str:
        return self.gettext(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


@contextmanager
def pseudo_language() -> Iterator[Pseudo]:
    """Speak it for a while."""
    catalogue = Pseudo()
    translation.use(catalogue, "de", ",", "%d.%m.%Y")
    try:
        yield catalogue
    finally:
        translation.use(None)


def outside(text: str) -> str:
    """What stands outside of all marks."""
    depth, left = 0, []
    for sign in text:
        if sign == OPEN:
            depth += 1
            left.append(" ")
        elif sign == CLOSE:
            depth -= 1
        elif depth <= 0:
            left.append(sign)
    return "".join(left)


_ENGLISH = re.compile(r"(?<![\w.-])[A-Za-z]?[a-z]{2,}(?![\w-])(?!\.\w)")


def english_in(text: str, allowed: frozenset[str] = frozenset()) -> list[str]:
    """Words outside of the marks that look English, less those allowed."""
    return [word for word in _ENGLISH.findall(outside(text)) if word not in allowed]
