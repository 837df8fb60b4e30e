"""The words that fields of the system file can be, for people."""

from __future__ import annotations

from functools import cache

from airrisk.installation.fields import FIELDS, OPEN_ENDS
from airrisk.messages import Message
from airrisk.wording.translation import tr


@cache
def _choices() -> frozenset[str]:
    specs = (spec for group in FIELDS.values() for spec in group)
    return frozenset(word for spec in specs for word in spec.choices) | frozenset(OPEN_ENDS)


def choice_word(word: str) -> str:
    """A word that a field can be, or a message, in the reader's language; else the word itself."""
    return tr(word) if isinstance(word, Message) or word in _choices() else word
