"""A line that somebody has typed, cut into values, words for fields and other words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from airrisk.editing.typed_words import choice_words, field_words, longest_at
from airrisk.installation.fields import FieldSpec
from airrisk.quantities import kinds, units_of

PieceKind = Literal["quantity", "pipe", "nominal", "number", "date", "field", "choice", "word"]
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d+)*|[.,]\d+)"
_SKIPPED = re.compile(r"(?:[\s\u00a0]+|[,;:=](?=[\s\u00a0]|$)|=)+")
_FILLING = re.compile(r"(?:with|and|of|mit|und)(?=[\s\u00a0]|$)", re.IGNORECASE)
_PIPE = re.compile(rf"({_NUMBER})\s*[xX×]\s*({_NUMBER})(?:\s*mm)?(?![\w.])")
_NOMINAL = re.compile(r"DN\s*(\d+)(?![\w.])", re.IGNORECASE)
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?!\w)|(\d{1,2})\.(\d{1,2})\.(\d{4})(?!\w)")
_QUOTED = re.compile(r'"([^"]*)"')
_WORD = re.compile(r"[^\s\u00a0,;=]+")
_BARE_PRESSURES = ("bar", "mbar", "psi", "kPa", "MPa", "hPa")
_SPELLED = str.maketrans({"²": "2", "³": "3", "µ": "u", "μ": "u", "º": "°"})


def _pattern() -> re.Pattern[str]:
    """A number with any unit that a field can have, the longest spelling first."""
    units = {unit for kind in kinds() for unit in units_of(kind) if unit}
    units |= {*_BARE_PRESSURES, "°C", "°F", "° C", "° F"}
    words = [re.escape(one).replace(r"\ ", r"\s+") for one in sorted(units, key=len, reverse=True)]
    return re.compile(rf"({_NUMBER})\s*({'|'.join(words)})(?![\w/(²³])")


_QUANTITY = _pattern()


@dataclass(frozen=True)
class Piece:
    """One piece of the line: what it is, how it was typed and what was found in it."""

    kind: PieceKind
    text: str
    number: str = ""
    unit: str = ""
    field: FieldSpec | None = None
    says: tuple[tuple[str, str], ...] = ()  # of a choice: fields with the word of the file


def pieces_of(line: str, kind: str) -> tuple[Piece, ...]:
    """The pieces of what follows the word for a kind of part.

    Parameters
    ----------
    line
        As it was typed.
    kind
        Kind of table; its fields and their words are looked for.
    """
    fields, choices = field_words(kind), choice_words(kind)
    found: list[Piece] = []
    place = 0
    while place < len(line):
        skipped = _SKIPPED.match(line, place) or _FILLING.match(line, place)
        if skipped is not None:
            place = skipped.end()
            continue
        piece, length = _value(line, place)
        if piece is None:
            piece, length = _words(line[place:], fields, choices)
        found.append(piece)
        place += length
    return tuple(found)


def _value(line: str, place: int) -> tuple[Piece | None, int]:
    """A value that stands here, and how long it is."""
    spelled = line.translate(_SPELLED)  # sign for sign, so that the places stay
    date = _DATE.match(line, place)
    if date is not None:
        return Piece("date", date.group()), len(date.group())
    pipe = _PIPE.match(line, place)
    if pipe is not None:
        return Piece("pipe", pipe.group(), pipe[1], pipe[2]), len(pipe.group())
    nominal = _NOMINAL.match(line, place)
    if nominal is not None:
        return Piece("nominal", nominal.group(), nominal[1]), len(nominal.group())
    quantity = _QUANTITY.match(spelled, place)
    if quantity is not None:
        unit = " ".join(quantity[2].split())
        return Piece("quantity", quantity.group(), quantity[1], unit), len(quantity.group())
    number = re.compile(rf"{_NUMBER}(?![\w.,])|{_NUMBER}(?=,(?:\s|$))").match(line, place)
    if number is not None:
        return Piece("number", number.group(), number.group()), len(number.group())
    return None, 0


def _words(
    rest: str, fields: dict[str, FieldSpec], choices: dict[str, tuple[tuple[str, str], ...]]
) -> tuple[Piece, int]:
    """The word for a field, the word of a choice, or any other word."""
    quoted = _QUOTED.match(rest)
    if quoted is not None:
        return Piece("word", quoted[1]), quoted.end()
    phrase, end = longest_at(rest, fields)
    word, stop = longest_at(rest, choices)
    if stop > end:
        return Piece("choice", rest[:stop], says=choices[word]), stop
    if end:
        return Piece("field", rest[:end], field=fields[phrase]), end
    other = _WORD.match(rest)
    text = rest[:1] if other is None else other.group()
    return Piece("word", text), len(text)
