"""Texts for people that are born below ``wording``: they keep their pattern and their values.

The sources hold codes; the English of each stands in ``resources/messages.toml``. A ``Message``
is its English text, for JSON, logs and programmers. ``wording`` puts the pattern into the
reader's language and fills the values in again.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Annotated, Any, TypeVar

TABLE = "messages.toml"
Kind = TypeVar("Kind")
# Declares a table whose values are codes of messages.
Codes = Annotated[Kind, "codes of messages"]
# Declares a table of texts (or one text): the catalogue takes every text that is a value in it.
Texts = Annotated[Kind, "for people"]
# Declares a table of pairs: the text for one and the text for many.
Forms = Annotated[Kind, "for people, one and many"]


class Message(str):
    """An English text that remembers how it was made.

    ``pattern`` is the text with its ``{named}`` places, ``values`` is what stands there; a value
    may be a message itself.
    """

    pattern: str
    values: dict[str, Any]

    def __new__(cls, pattern: str, values: dict[str, Any] | None = None) -> Message:
        """The text of a pattern; one without values is taken as it is, braces and all."""
        self = super().__new__(cls, pattern.format(**values) if values else pattern)
        self.pattern, self.values = pattern, values or {}
        return self

    def __getnewargs__(self) -> tuple[str, dict[str, Any]]:  # type: ignore[override]
        return self.pattern, self.values


@cache
def english() -> dict[str, str]:
    """The English of every code, with its ``{named}`` places."""
    from airrisk import tables  # at the first message, not at every start

    groups = tables.read_toml(TABLE).values()
    return {code: text for group in groups for code, text in group.items()}


def said(code: str, **values: Any) -> Message:
    """A text for people that ``wording`` can say in another language.

    Parameters
    ----------
    code : str
        Its key in ``resources/messages.toml``, a literal or out of a table of ``Codes``.
    values : object
        What stands in the places: text, whole numbers, other messages. A number that is to be
        rounded comes as text.
    """
    return Message(english()[code], values)


def quoted(text: str) -> Message:
    """A text or word of a table in ``resources/``, or a word that a field can be.

    Parameters
    ----------
    text : str
        English as it stands there, without places; the catalogue takes it from there.
    """
    return Message(text)


def either(words: Sequence[str]) -> str:
    """Words joined as in a sentence: "A", "A or B", "A, B or C"; empty for none."""
    if len(words) < 2:
        return words[0] if words else ""
    return said("words-or-last", words=listed(words[:-1]), last=words[-1])


def listed(words: Sequence[str], between: str = ", ") -> str:
    """Words behind each other with commas, each of them in the reader's language."""
    if len(words) < 2:
        return words[0] if words else ""
    pattern = between.join(f"{{word_{place}}}" for place in range(len(words)))
    return Message(pattern, {f"word_{place}": word for place, word in enumerate(words)})


def told_of(error: BaseException) -> str:
    """What an error says: its message if it has one that can be said in another language."""
    told = getattr(error, "told", None)
    if isinstance(told, str):
        return told
    first = error.args[0] if len(error.args) == 1 else None
    return first if isinstance(first, Message) else str(error)
