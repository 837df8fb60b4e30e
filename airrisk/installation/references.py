"""Which tables of a system file name which other ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from airrisk.installation.fields import FIELDS, REPEATED, FieldSpec, named_place
from airrisk.installation.layout import Path
from airrisk.installation.values import fold
from airrisk.messages import said


@dataclass(frozen=True)
class Reference:
    """One place that names an id.

    Parameters
    ----------
    kind : str
        Kind of the table that names it.
    index : int
        Place among the tables of that kind, from 0.
    id : str
        Id of that table; empty when it has none.
    field : str
        Key in which the id is named.
    named : str
        The id as it is written there.
    path : tuple
        Where it stands.
    is_key : bool
        Whether the id is a key instead of a value.
    needed : bool
        Whether the table means nothing without it.
    """

    kind: str
    index: int
    id: str
    field: str
    named: str
    path: Path
    is_key: bool
    needed: bool

    @property
    def told(self) -> str:
        """The place in words, which can be said in another language."""
        if self.kind == "spread":
            return said("spread-of", part=self.named)
        place = named_place(self.kind, self.id, self.index)
        return said("place-and-field", place=place, field=self.field)

    def __str__(self) -> str:
        return str(self.told)


def references(raw: Mapping[str, Any]) -> Iterator[Reference]:
    """Every place in a file that names an id.

    Parameters
    ----------
    raw : mapping
        What the file says as plain TOML.
    """
    for kind in REPEATED:
        for index, table in enumerate(tables_of(raw, kind)):
            own = table.get("id")
            name = own if isinstance(own, str) else ""
            for spec in FIELDS[kind]:
                for named, inside, is_key, needed in _named_in(table.get(spec.key), spec):
                    path: Path = (kind, index, spec.key, *inside)
                    yield Reference(kind, index, name, spec.key, named, path, is_key, needed)
    spread = raw.get("spread")
    if isinstance(spread, dict):
        for key in spread:
            yield Reference("spread", 0, "", key, key, ("spread", key), True, False)


def _named_in(value: Any, spec: FieldSpec) -> Iterator[tuple[str, Path, bool, bool]]:
    """Ids in one field: the id, where inside the value, whether it is a key, whether needed."""
    if spec.kind in {"reference", "end"} and isinstance(value, str):
        yield value, (), False, True
    elif spec.kind == "outlet" and isinstance(value, str):
        if value not in spec.choices:
            yield value, (), False, False
    elif spec.kind == "references" and isinstance(value, list):
        needed = spec.required and len(value) == 1
        for place, item in enumerate(value):
            if isinstance(item, str):
                yield item, (place,), False, needed
    elif spec.kind == "shares" and isinstance(value, dict):
        for key in value:
            yield key, (key,), True, False


def naming(raw: Mapping[str, Any], name: str) -> tuple[Reference, ...]:
    """Every place in a file that names one id.

    Parameters
    ----------
    raw : mapping
        What the file says as plain TOML.
    name : str
        The id, compared without case.
    """
    wanted = fold(name)
    return tuple(found for found in references(raw) if fold(found.named) == wanted)


def in_section_order(ids: Iterable[str]) -> tuple[str, ...]:
    """Ids in the order in which they make the id of a section."""
    return tuple(sorted(ids, key=lambda name: (name.casefold(), name)))


def renamed_member(section: str, old: str, new: str) -> str | None:
    """The id of a section after one of its parts got another id; None when it has no such part.

    Parameters
    ----------
    section : str
        Ids of the parts with + between them.
    old, new : str
        The part's id before and after.
    """
    names = [section] if fold(section) == fold(old) else section.split("+")
    if fold(old) not in map(fold, names):
        return None
    return "+".join(in_section_order(new if fold(name) == fold(old) else name for name in names))


def tables_of(raw: Mapping[str, Any], kind: str) -> list[dict[str, Any]]:
    """The tables of one kind; empty where the file holds something else."""
    found = raw.get(kind)
    if not isinstance(found, list):
        return []
    return [table if isinstance(table, dict) else {} for table in found]
