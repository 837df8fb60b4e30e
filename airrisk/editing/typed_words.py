"""The words that a person may type to make a part, and what they say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from airrisk.editing.fields import words_for
from airrisk.installation.fields import FIELDS, FieldSpec
from airrisk.tables import read_toml
from airrisk.wording.choices import choice_word
from airrisk.wording.labels import part_kind
from airrisk.wording.translation import tr

TABLE = "typed_words.toml"
CHOSEN = ("choice", "material", "alloy")  # fields whose words stand alone: "tin", "horizontal"


@dataclass(frozen=True)
class KindWord:
    """What a word for a kind of part says."""

    kind: str
    fields: tuple[tuple[str, str], ...]


def folded(text: str) -> str:
    """Words without regard to case and to how many spaces stand between them."""
    return " ".join(text.casefold().split())


def spellings(text: str) -> set[str]:
    """A word as it is folded, and without the letters that a keyboard may not have."""
    word = folded(text)
    plain = word
    for letter, letters in (("ä", "ae"), ("ö", "oe"), ("ü", "ue")):
        plain = plain.replace(letter, letters)
    return {word, plain}


def kind_words() -> dict[str, KindWord]:
    """All words for kinds of parts, those of the reader's language included."""
    return _kind_words(tr("fusible plug"))


@cache
def _kind_words(_language: str) -> dict[str, KindWord]:
    found: dict[str, KindWord] = {}
    for row in read_toml(TABLE)["kind"]:
        word = KindWord(row["of"], tuple(row.get("set", {}).items()))
        for text in row["words"]:
            found.update(dict.fromkeys(spellings(text), word))
        if not word.fields:
            found.setdefault(folded(part_kind(word.kind)), word)
    return found


def field_words(kind: str) -> dict[str, FieldSpec]:
    """All words for the fields of a kind: of the table, the labels and the keys."""
    specs = {spec.key: spec for spec in FIELDS[kind] if spec.key not in ("offered", "notes")}
    found: dict[str, FieldSpec] = {}
    for key, spec in specs.items():
        for text in (key, key.replace("_", " "), spec.label, tr(spec.label)):
            found.update(dict.fromkeys(spellings(text), spec))
    for key, words in read_toml(TABLE)["field"].items():
        for text in words if key in specs else ():
            found.update(dict.fromkeys(spellings(text), specs[key]))
    return found


def choice_words(kind: str) -> dict[str, tuple[tuple[str, str], ...]]:
    """Words that a field of a kind can be -> the fields with the word of the file."""
    found: dict[str, list[tuple[str, str]]] = {}
    for spec in FIELDS[kind]:
        if spec.kind not in CHOSEN:
            continue
        for word in words_for(spec, None, ""):
            for text in {folded(word), folded(choice_word(word))}:
                found.setdefault(text, []).append((spec.key, word))
    keys = {spec.key for spec in FIELDS[kind]}
    for key, words in read_toml(TABLE)["value"].items():
        for text, word in words.items() if key in keys else ():
            found.setdefault(folded(text), []).append((key, word))
    return {text: tuple(dict.fromkeys(says)) for text, says in found.items()}


def longest_at(text: str, known: Mapping[str, object] | Iterable[str]) -> tuple[str, int]:
    """The longest known phrase that a text begins with, and where it ends; "", 0 for none."""
    best, end = "", 0
    for phrase in known:
        stop = _end_of(text, phrase)
        if stop > end:
            best, end = phrase, stop
    return best, end


def _end_of(text: str, phrase: str) -> int:
    """Where a phrase ends that the text begins with as whole words; 0: it does not."""
    place = 0
    for number, word in enumerate(phrase.split(" ")):
        if number:
            after = len(text) - len(text[place:].lstrip(" \t\u00a0"))
            if after == place:
                return 0
            place = after
        piece = text[place : place + len(word)]
        if piece.casefold() != word:
            return 0
        place += len(word)
    follows = text[place : place + 1]
    return 0 if follows.isalnum() or (follows in ("_", "-") and follows) else place
