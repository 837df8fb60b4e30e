"""Everything that a system file says, entry by entry, so that no difference of two is lost."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

from airrisk.installation.fields import FIELDS, FieldSpec
from airrisk.installation.model import RECORDS, AssumedFire, Inspection, Installation, Spread
from airrisk.wording import labels
from airrisk.wording.origin import origin_of, origin_text, value_text
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import Units, number_text

KINDS = {record: kind for kind, record in RECORDS.items()}
BESIDE = frozenset({"notes", "offered"})  # told with the field that they are about
Place = tuple[str, str]  # where, what


@dataclasses.dataclass(frozen=True)
class Entry:
    """One value of the file: as it is kept, as it is told, and where it came from."""

    value: Any
    text: str
    origin: str = "typed"  # "typed" | "offered" | "default" | "computed"

    @property
    def stated(self) -> bool:
        """Whether the file itself says it."""
        return self.origin in ("typed", "offered")


def file_entries(installation: Installation, units: Units) -> dict[Place, Entry]:
    """Every value of a file with what stands for one that was left out.

    Parameters
    ----------
    installation
        The system file, read.
    units
        Unit set and atmosphere.
    """
    found = {("", tr("Title")): Entry(installation.title, installation.title)}
    for group in dataclasses.fields(installation):
        records = getattr(installation, group.name)
        for where, record in _named(records if isinstance(records, tuple) else (records,)):
            if isinstance(record, Spread):
                found[where, tr("spread of {field}").format(field=record.field)] = _spread(record)
            elif dataclasses.is_dataclass(record):
                found |= {(where, what): one for what, one in _entries(record, units)}
    return found


def _named(records: tuple[Any, ...]) -> Iterator[tuple[str, Any]]:
    """Records with their names; entries about one thing on one day are counted."""
    seen: dict[str, int] = {}
    for record in records:
        if isinstance(record, Spread):
            yield record.part, record
            continue
        if isinstance(record, Inspection):
            name = tr("inspection of {part}, {date}").format(
                part=record.on, date=date_text(record.date)
            )
            seen[name] = seen.get(name, 0) + 1
            yield (name if seen[name] == 1 else f"{name} ({seen[name]})"), record
            continue
        kind = KINDS.get(type(record), "")
        yield getattr(record, "id", "") or labels.part_kind(kind), record


def _spread(record: Spread) -> Entry:
    numbers = ", ".join(f"{name} {number_text(value)}" for name, value in record.parameters)
    return Entry((record.distribution, record.parameters), f"{record.distribution}, {numbers}")


def _entries(record: Any, units: Units) -> Iterator[tuple[str, Entry]]:
    for spec in FIELDS[KINDS[type(record)]]:
        if spec.key in BESIDE or not hasattr(record, spec.attr):
            continue
        value = getattr(record, spec.attr)
        origin = "typed" if spec.kind == "id" else origin_of(record, spec)
        yield tr(spec.label), Entry(value, _text(record, spec, units), origin)
    words = {spec.key: tr(spec.label) for spec in FIELDS[KINDS[type(record)]]}
    for key, text in getattr(record, "notes", ()):
        yield tr("remark on {field}").format(field=words.get(key, key)), Entry(text, text)


def _text(record: Any, spec: FieldSpec, units: Units) -> str:
    value = getattr(record, spec.attr)
    if dataclasses.is_dataclass(value) and not isinstance(value, (AssumedFire, type)):
        inner = (getattr(value, one.name) for one in dataclasses.fields(value))
        return ", ".join(
            number_text(one) if isinstance(one, float) else str(one)
            for one in inner
            if one is not None
        )
    return value_text(record, spec, units)


def told_change(before: Entry | None, after: Entry | None) -> tuple[str, str] | None:
    """What an entry was and is, in words; None: nothing that the file says has changed.

    Parameters
    ----------
    before, after
        None: the table that it belongs to is not there.
    """
    if before is None or after is None:
        there = before or after
        if there is None or not there.stated:
            return None
        return ("" if before is None else before.text, "" if after is None else after.text)
    if before.value == after.value:
        if before.origin == after.origin:
            return None
        return _with_origin(before), _with_origin(after)
    if before.text == after.text:  # a difference too small for the usual digits
        return f"{before.text} ({before.value!r})", f"{after.text} ({after.value!r})"
    return before.text, after.text


def _with_origin(entry: Entry) -> str:
    return f"{entry.text}, {origin_text(entry.origin)}"
