"""The inputs of an installation as rows: field, value with unit, where it came from, remark."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from airrisk import quantities
from airrisk.installation.fields import FIELDS, FieldSpec
from airrisk.installation.model import AssumedFire, Installation, Vessel
from airrisk.wording.labels import fire_curve
from airrisk.wording.translation import date_text, tr
from airrisk.wording.units import (
    Units,
    displayed,
    number_text,
    percent_text,
    pretty_unit,
    quantity_text,
    time_text,
    unit_of,
)
from airrisk.wording.valve_ends import end_names

_SKIPPED = frozenset({"id", "notes", "offered", "drawn"})


# What a left-out field counts as where it does nothing, and how one begins that is computed; the
# words of the fields in ``resources/field_words.toml``.
MOOT = ("not used", "no outlet pipe", "not stated")
COMPUTED = "computed"


@dataclass(frozen=True)
class InputRow:
    """One input as the report prints it."""

    field: str
    label: str
    value: str
    origin: str  # typed | offered | default | computed
    remark: str


@dataclass(frozen=True)
class InputTable:
    """All inputs of one record of the file."""

    kind: str
    id: str  # "" for site and choices
    rows: tuple[InputRow, ...]


def origin_of(record: Any, spec: FieldSpec) -> str:
    """Where a field's value came from: "typed", "offered", "default" or "computed".

    Parameters
    ----------
    record : dataclass
        A record of the installation.
    spec : FieldSpec
        The field.
    """
    if spec.key in getattr(record, "offered", ()):
        return "offered"
    if spec.key in record.given or spec.attr in record.given:
        return "typed"
    resolved = isinstance(record, Vessel) and spec.key in ("volume", "cylinder_length")
    return "computed" if resolved or spec.left_out.startswith(COMPUTED) else "default"


def origin_text(word: str) -> str:
    """Where a value came from, in words."""
    return {
        "typed": tr("typed"),
        "offered": tr("offered, not confirmed"),
        "default": tr("default"),
        "computed": tr("computed"),
    }[word]


def value_text(record: Any, spec: FieldSpec, units: Units) -> str:
    """One field's value as text with its unit; words for what was left out.

    Parameters
    ----------
    record : dataclass
        A record of the installation.
    spec : FieldSpec
        The field.
    units : Units
        Unit set and atmosphere.
    """
    value = getattr(record, spec.attr)
    if value == () and origin_of(record, spec) == "typed":
        return tr("none")
    if value is None or (isinstance(value, (str, tuple)) and not value):
        return tr(spec.left_out) if spec.left_out else tr("not given")
    if isinstance(value, tuple):
        return _list_text(value, spec, units)
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, dt.date):
        return date_text(value)
    if isinstance(value, AssumedFire):
        return f"{fire_curve(value.curve)}, {time_text(value.duration)}"
    if spec.kind == "months":
        return tr("{number} months").format(number=value)
    if spec.kind == "time":
        return time_text(float(value), 4)
    if spec.is_quantity and spec.kind != "calendar":
        unit = spec.unit_in(units.name)
        number = quantities.convert(float(value), spec.kind, unit, units.ambient_pressure)
        return f"{number_text(number)}\u00a0{pretty_unit(unit)}"
    if isinstance(value, float):
        return number_text(value)
    return tr(value) if value in spec.choices else str(value)


def _list_text(values: tuple[Any, ...], spec: FieldSpec, units: Units) -> str:
    """A field that holds several things."""
    if spec.kind == "shares":
        return ", ".join(f"{part} {percent_text(share)}" for part, share in values)
    if spec.kind == "found":
        return ", ".join(f"{key} {_found_text(value)}" for key, value in values)
    if spec.kind == "points":
        return "; ".join(
            f"{time_text(t)} {quantity_text(k, 'temperature', units)}" for t, k in values
        )
    if spec.kind == "path":
        point = replace(spec, kind="point")
        return "; ".join(_list_text(place, point, units) for place in values)
    if spec.kind == "point":
        shown = [number_text(float(displayed(v, "distance", units))) for v in values]
        return ", ".join(shown) + f"\u00a0{unit_of('distance', units)}"
    return ", ".join(str(item) for item in values)


def _found_text(value: Any) -> str:
    """Names, a number or a number for each name."""
    if isinstance(value, tuple):
        return " ".join(_found_text(item) for item in value)
    return number_text(value) if isinstance(value, float) else str(value)


def _moot(spec: FieldSpec) -> bool:
    """Whether a field that was left out does nothing at all."""
    return spec.left_out in MOOT


def input_rows(kind: str, record: Any, units: Units) -> tuple[InputRow, ...]:
    """Every field of one record with its value, origin and remark.

    Parameters
    ----------
    kind : str
        Kind of table in the file, for example "vessel".
    record : dataclass
        The record.
    units : Units
        Unit set and atmosphere.
    """
    notes: Mapping[str, str] = dict(getattr(record, "notes", ()))
    rows: list[InputRow] = []
    for spec in FIELDS[kind]:
        if spec.key in _SKIPPED or not hasattr(record, spec.attr):
            continue
        origin = origin_of(record, spec)
        if spec.kind in ("text", "point", "path") and origin not in ("typed", "offered"):
            continue  # nothing rests on it
        if origin == "default" and getattr(record, spec.attr) in (None, ()) and _moot(spec):
            continue
        if spec.key == "absorbed" and getattr(record, "curve", "") != "flux":
            continue
        remark = notes.get(spec.key, "")
        if not remark and origin == "default" and spec.source:
            remark = tr(spec.source)
        rows.append(
            InputRow(spec.key, tr(spec.label), value_text(record, spec, units), origin, remark)
        )
    return tuple(rows)


def input_tables(installation: Installation, units: Units) -> tuple[InputTable, ...]:
    """All inputs of an installation in the order of the report.

    Parameters
    ----------
    installation : Installation
        The system file, read.
    units : Units
        Unit set and atmosphere.
    """
    tables = [
        InputTable("choices", "", input_rows("choices", installation.choices, units)),
        InputTable("site", "", input_rows("site", installation.site, units)),
    ]
    groups: tuple[tuple[str, tuple[Any, ...]], ...] = (
        ("compressor", installation.compressors),
        ("vessel", installation.vessels),
        ("line", installation.lines),
        ("valve", installation.valves),
        ("plug", installation.plugs),
        ("relief_valve", installation.relief_valves),
        ("bursting_disc", installation.bursting_discs),
        ("fire", installation.fires),
        ("fire_source", installation.fire_sources),
        ("wall", installation.walls),
        ("reading", installation.readings),
        ("people", installation.people),
        ("room", installation.rooms),
    )
    for kind, records in groups:
        tables += [InputTable(kind, r.id, input_rows(kind, r, units)) for r in records]
    return tuple(_at_named_ends(one, installation) for one in tables)


def _at_named_ends(table: InputTable, installation: Installation) -> InputTable:
    """The table of a valve with the end of its line told by the neighbour there."""
    if table.kind != "valve":
        return table
    valve = next(one for one in installation.valves if one.id == table.id)
    if valve.end is None:
        return table
    names = end_names(installation, valve.on)
    rows = tuple(
        replace(row, value=names.get(valve.end, row.value)) if row.field == "end" else row
        for row in table.rows
    )
    return replace(table, rows=rows)
