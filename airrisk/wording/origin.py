"""The inputs of an installation as rows: field, value with unit, where it came from, remark."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from airrisk.installation.model import Fire, Installation, Line, Plug, Vessel
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, absolute_text, percent_text, quantity_text, time_text

_KINDS = {
    "ambient_temperature": "temperature", "ambient_pressure": "absolute",
    "delivery": "flow", "discharge_pressure": "pressure", "inlet_temperature": "temperature",
    "discharge_temperature": "temperature", "cut_in_pressure": "pressure",
    "inside_diameter": "length", "volume": "volume", "cylinder_length": "distance",
    "wall_thickness": "length", "head_thickness": "length", "design_pressure": "pressure",
    "pressure": "pressure", "temperature": "temperature", "condensate": "volume",
    "length": "distance", "bore": "length", "outlet_length": "distance",
    "outlet_diameter": "length", "body_mass": "mass", "core_length": "length",
    "contact_conductance": "conductance", "exposed_area": "area", "set_pressure": "pressure",
    "area": "area", "burst_pressure": "pressure", "flux": "flux", "convection": "heat_transfer",
    "tnt_energy": "specific_energy", "running_margin": "temperature_difference",
    "small_section": "pressure_volume",
}  # fmt: skip
_SKIPPED = frozenset({"id", "at", "notes", "given", "order", "area"})


@dataclass(frozen=True)
class InputRow:
    """One input as the report prints it."""

    field: str
    label: str
    value: str
    origin: str  # typed | default | computed
    remark: str


def _origin(record: Any, field: str) -> str:
    given = record.given
    key = field.rstrip("_")
    if key in given or field in given:
        return "typed"
    if isinstance(record, Vessel) and field in ("volume", "cylinder_length"):
        return "computed"
    if isinstance(record, Line) and field in ("pressure", "temperature", "design_pressure"):
        return "computed" if getattr(record, field) is not None else "default"
    return "default"


def value_text(record: Any, field: str, units: Units) -> str:
    """One field's value as text with its unit; words for what was left out.

    Parameters
    ----------
    record : dataclass
        A record of the installation.
    field : str
        Attribute name.
    units : Units
        Unit set and atmosphere.
    """
    value = getattr(record, field)
    if value is None:
        return _absent(record, field)
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if isinstance(value, dt.date):
        return value.isoformat()
    if field == "renew_every":
        return tr("{number} months").format(number=value)
    if field == "duration":
        return time_text(value)
    if field == "exposed_share":
        return ", ".join(f"{part} {percent_text(share)}" for part, share in value)
    if field == "points":
        return "; ".join(
            f"{time_text(t)} {quantity_text(k, 'temperature', units)}" for t, k in value
        )
    if isinstance(value, tuple):
        return ", ".join(str(item) for item in value) if value else tr("none")
    kind = "area" if field == "area" and isinstance(value, float) else _KINDS.get(field, "")
    if kind == "absolute":
        return absolute_text(value, units)
    if kind and isinstance(value, (int, float)):
        return quantity_text(float(value), kind, units)
    if isinstance(value, float):
        return quantity_text(value, "ratio", units)
    return str(value)


def _absent(record: Any, field: str) -> str:
    if isinstance(record, Fire) and field == "closed":
        return tr("every valve that may be closed")
    if isinstance(record, Fire) and field == "plugs_in_fire":
        return tr("those on parts wholly in the fire")
    if isinstance(record, Plug) and field == "fitted":
        return tr("no date, counts as overdue")
    if field == "head_thickness":
        return tr("as the wall")
    if field == "strength_use_limit":
        return tr("that of the basis")
    if isinstance(record, Line) and field in ("pressure", "temperature"):
        return tr("that of the joined vessels") if field == "pressure" else tr("ambient")
    return tr("not given")


def input_rows(record: Any, units: Units) -> list[InputRow]:
    """Every field of one record with its value, origin and remark.

    Parameters
    ----------
    record : dataclass
        A part, device, fire, site or choices of the installation.
    units : Units
        Unit set and atmosphere.
    """
    if not is_dataclass(record):
        raise TypeError("an installation record is wanted")
    notes: Mapping[str, str] = dict(getattr(record, "notes", ()))
    rows: list[InputRow] = []
    for entry in fields(record):
        field = entry.name
        numeric_area = field == "area" and isinstance(getattr(record, field), float)
        if field in _SKIPPED and not numeric_area:
            continue
        value = getattr(record, field)
        origin = _origin(record, field)
        if (value is None or value in ("", ())) and origin == "default" and _uninteresting(field):
            continue
        rows.append(
            InputRow(
                field=field.rstrip("_"),
                label=labels.field_name(field) if not numeric_area else tr("flow area"),
                value=value_text(record, field, units),
                origin=origin,
                remark=notes.get(field.rstrip("_"), ""),
            )
        )
    return rows


def _uninteresting(field: str) -> bool:
    return field not in {
        "fitted", "closed", "plugs_in_fire", "head_thickness", "strength_use_limit", "alloy",
        "pressure",
    }  # fmt: skip


def input_tables(installation: Installation, units: Units) -> list[tuple[str, str, list[InputRow]]]:
    """All inputs of an installation: (kind, id, rows), in the order of the report."""
    tables: list[tuple[str, str, list[InputRow]]] = [
        ("choices", "", input_rows(installation.choices, units)),
        ("site", "", input_rows(installation.site, units)),
    ]
    for kind, group in (
        ("compressor", installation.compressors),
        ("vessel", installation.vessels),
        ("line", installation.lines),
        ("valve", installation.valves),
        ("plug", installation.plugs),
        ("relief_valve", installation.relief_valves),
        ("bursting_disc", installation.bursting_discs),
        ("fire", installation.fires),
        ("room", installation.rooms),
    ):
        tables += [(kind, record.id, input_rows(record, units)) for record in group]
    return tables


def origin_text(word: str) -> str:
    """Where a value came from, in words."""
    return {
        "typed": tr("typed"),
        "default": tr("default"),
        "computed": tr("computed"),
    }[word]
