"""Every value of a file that is only offered, as rows to read, and confirming the chosen ones."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from airrisk.editing.edits import STARTS
from airrisk.editing.offered_beside import offered_beside
from airrisk.editing.raw_values import value_text
from airrisk.editing.usual_sizes import UsualSize, usual_sizes
from airrisk.installation.fields import FIELDS, OFFERING, FieldSpec
from airrisk.installation.splice import EditError, SystemText


@dataclass(frozen=True)
class OfferedValue:
    """One value that the program filled in."""

    part: str  # id
    kind: str  # kind of table
    spec: FieldSpec
    text: str  # as it stands in the file
    origin: str  # start | beside | size | program: what the value is the same as
    size: UsualSize | None = None  # of which list, where the origin is "size"

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells a row from one of another value."""
        return self.part, self.spec.key, self.text


def offered_list(text: SystemText) -> tuple[OfferedValue, ...]:
    """All offered values in the order of the file, the fields of a part as they are declared.

    Parameters
    ----------
    text
        The file; one with a syntax error has none.
    """
    try:
        raw = text.raw
    except EditError:
        return ()
    found: list[OfferedValue] = []
    for kind, tables in raw.items():
        if kind in OFFERING and isinstance(tables, list):
            for table in tables:
                found += _of_table(kind, table, text)
    return tuple(found)


def _of_table(kind: str, table: Any, text: SystemText) -> Iterable[OfferedValue]:
    name = table.get("id") if isinstance(table, dict) else None
    keys = table.get("offered") if isinstance(table, dict) else None
    if not isinstance(name, str) or not isinstance(keys, list):
        return
    said = {key: value for key, value in table.items() if key not in (*keys, "offered")}
    beside = offered_beside(kind, said, text)
    for spec in FIELDS[kind]:
        if spec.key in keys and spec.key in table:
            value = table[spec.key]
            origin, size = _origin(kind, spec.key, table, beside)
            yield OfferedValue(name, kind, spec, value_text(value), origin, size)


def _origin(
    kind: str, key: str, table: dict[str, Any], beside: dict[str, str]
) -> tuple[str, UsualSize | None]:
    """What a value is the same as; the file does not say where it came from."""
    value = table[key]
    if value == STARTS[kind].get(key):
        return "start", None
    if value == beside.get(key):
        return "beside", None
    for size in usual_sizes(kind):
        if key in dict(size.fields) and all(table.get(one) == text for one, text in size.fields):
            return "size", size
    return "program", None


def confirmed(text: SystemText, values: Iterable[OfferedValue]) -> SystemText:
    """The text with these values confirmed, and no others.

    Raises
    ------
    EditError
        There is no such part any more, or the text has a syntax error.
    """
    fields: dict[str, list[str]] = {}
    for one in values:
        fields.setdefault(one.part, []).append(one.spec.key)
    return text.confirm_each(fields)
