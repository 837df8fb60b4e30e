"""Every field of the system file, declared once: for reader, form and report.

The words for people, label and help, stand in ``resources/field_words.toml``.

``FIELDS`` gives the fields of each kind of table in the order in which they are written. The
tables that stand once are "" (the top of the file), "about", "choices", "spread" and "site".
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import get_args

from airrisk.installation import model
from airrisk.installation.field_spec import FieldSpec
from airrisk.messages import Codes, said
from airrisk.physics import fires, jet_fires, pool_fires, room_fires
from airrisk.physics.metal import CARBON_BASES
from airrisk.physics.shells import BURST_FORMULAS, HEADS
from airrisk.verdict.rule import OUTCOMES

# what a line may end at without a part
OPEN_ENDS = ("closed", "atmosphere")
ALLOY_UNSTATED = "unknown"  # a plug whose alloy nobody knows
OUTDOORS, PEOPLE_PASS = "outdoors, nobody passes", "people pass"
OUTLET_PLACES = (OUTDOORS, PEOPLE_PASS)  # where an outlet may be, apart from a room of the file

BAR = 1e5

HOLDERS = ("vessel", "line")
DEVICES = ("plug", "relief_valve", "bursting_disc")
PARTS = ("compressor", "vessel", "line", "junction", "consumer")


_ID = FieldSpec("id", "id", "id", required=True)
_AT = FieldSpec("at", "at", "point", low=-1e5, high=1e5, unit="m", us_unit="ft")
_DRAWN = FieldSpec("drawn", "drawn", "cell", low=-1000.0, high=1000.0, since=2)
_AREA = FieldSpec("area", "area", "text")
_NOTES = FieldSpec("notes", "notes", "notes")
_PLACED = (_AT, _DRAWN, _AREA, _NOTES)
_CONDENSATE = FieldSpec(
    "condensate", "condensate", "volume", "0 L", 0.0, 100.0, unit="L", us_unit="gal(US)"
)
_MEASURED = FieldSpec("measured", "measured", "flag", "false")


def _material(default: str | None) -> FieldSpec:
    return FieldSpec("material", "material", "material", default=default, required=default is None)


def _emissivity(default: str | None) -> FieldSpec:
    return FieldSpec("emissivity", "emissivity", "number", default, 0.01, 1.0)


def _coefficient(default: str) -> FieldSpec:
    return FieldSpec("discharge_coefficient", "discharge_coefficient", "number", default, 0.05, 1.0)


def _angle(key: str) -> FieldSpec:
    whole = 2.0 * math.pi
    return FieldSpec(
        key, key, "angle", low=-whole, high=whole, unit="deg", us_unit="deg", since=2
    )  # fmt: skip


def _path(key: str, required: bool = False) -> FieldSpec:
    return FieldSpec(
        key, key, "path", low=-1e5, high=1e5, unit="m", us_unit="ft", since=2, required=required
    )  # fmt: skip


_EXAMINED = (
    FieldSpec("examined", "examined", "date", since=2),
    FieldSpec("examine_every", "examine_every", "months", low=1, high=1200, since=2),
)
_MADE = (
    FieldSpec("maker", "maker", "text", since=2),
    FieldSpec("year_made", "year_made", "integer", low=1800, high=2200, since=2),
)
_INSULATION = (
    FieldSpec(
        "insulation_thickness", "insulation_thickness", "length", low=0.001, high=1.0, since=2,
        unit="mm", us_unit="in",
    ),
    FieldSpec(
        "insulation_conductivity", "insulation_conductivity", "heat_conductivity", low=0.01,
        high=5.0, since=2, unit="W/m/K", us_unit="Btu/h/ft/degF",
    ),
    FieldSpec(
        "insulation_resistance", "insulation_resistance", "heat_resistance", low=0.0005,
        high=20.0, since=2, unit="m2 K/W", us_unit="h ft2 degF/Btu",
    ),
    FieldSpec(
        "insulation_known_at", "insulation_known_at", "temperature", low=223.15, high=1873.15,
        unit="degC", us_unit="degF", since=2,
    ),
    FieldSpec(
        "insulation_holds_to", "insulation_holds_to", "temperature", low=323.15, high=2273.15,
        unit="degC", us_unit="degF", since=2,
    ),
)  # fmt: skip
PLUG_CONDITIONS: tuple[model.Condition, ...] = get_args(model.Condition)


_ON = FieldSpec("on", "on", "reference", required=True, targets=HOLDERS)
_DISCHARGES_TO = FieldSpec("discharges_to", "discharges_to", "text")
_OUTLET_PLACE = FieldSpec(
    "outlet_place", "outlet_place", "outlet", choices=OUTLET_PLACES, targets=("room",), since=2
)
_OFFERED = FieldSpec("offered", "offered", "keys", since=2)
_FLOW_AREA = FieldSpec(
    "area", "area", "area", low=1e-7, high=1.0, required=True, unit="mm2", us_unit="in2"
)


def _pressure(key: str, **more: object) -> FieldSpec:
    given: dict[str, object] = {"required": True, "low": 0.01 * BAR, "high": 1000 * BAR, **more}
    return FieldSpec(key, key, "pressure", **given)  # type: ignore[arg-type]


def _length(key: str, low: float, high: float, **more: object) -> FieldSpec:
    given: dict[str, object] = {"unit": "mm", "us_unit": "in", **more}
    return FieldSpec(key, key, "length", low=low, high=high, **given)  # type: ignore[arg-type]


def _text(key: str, since: int = 1) -> FieldSpec:
    return FieldSpec(key, key, "text", since=since)


_METRES = {"unit": "m", "us_unit": "ft"}
_ELEVATION = FieldSpec(
    "elevation", "elevation", "length", low=0.0, high=100.0, unit="m", us_unit="ft", since=2
)

_DECLARED: dict[str, tuple[FieldSpec, ...]] = {
    "": (FieldSpec("format", "format", "integer", required=True, low=1, high=2), _text("title")),
    "about": (
        _text("site"),
        _text("prepared_by"),
        _text("checked_by"),
        _text("revision"),
        FieldSpec("date", "date", "date"),
        _text("plan_picture", since=2),
        FieldSpec("plan_picture_page", "plan_picture_page", "integer", low=1, high=9999, since=2),
        _length("plan_picture_width", 0.1, 1e5, **_METRES, since=2),
        FieldSpec(
            "plan_picture_at",
            "plan_picture_at",
            "point",
            low=-1e5,
            high=1e5,
            unit="m",
            us_unit="ft",
            since=2,
        ),
    ),
    "choices": (
        FieldSpec("strength_basis", "strength_basis", "choice", "tensile", choices=CARBON_BASES),
        FieldSpec(
            "burst_formula", "burst_formula", "choice", "mean diameter", choices=BURST_FORMULAS
        ),
        FieldSpec("strength_use_limit", "strength_use_limit", "number", low=0.05, high=1.0),
        FieldSpec(
            "inner_radiation",
            "inner_radiation",
            "choice",
            "worse of both",
            choices=get_args(model.InnerRadiation),
        ),
        FieldSpec(
            "tnt_energy",
            "tnt_energy",
            "specific_energy",
            "4.184 MJ/kg",
            1e6,
            1e7,
            unit="MJ/kg",
            us_unit="Btu/lb",
        ),
        FieldSpec("audit_date", "audit_date", "date"),
        FieldSpec(
            "running_margin",
            "running_margin",
            "temperature_difference",
            "30 K",
            0.0,
            200.0,
            unit="K",
            us_unit="degF",
        ),
        FieldSpec(
            "small_section",
            "small_section",
            "pressure_volume",
            "50 bar L",
            0.0,
            25e3,  # 250 bar L: more than that is no small energy by anybody's rule
            unit="bar L",
            us_unit="psi ft3",
        ),
        FieldSpec("due_soon", "due_soon", "calendar", "2 months"),
        FieldSpec(
            "assumed_fire",
            "assumed_fire",
            "fire",
            '{ curve = "hydrocarbon", duration = "60 min" }',
            choices=fires.NOMINAL_CURVES,
            since=2,
        ),
        FieldSpec(
            "flame_radiation_factor", "flame_radiation_factor", "number", "2", 1.0, 5.0, since=2
        ),
        FieldSpec(
            "beside_flux",
            "beside_flux",
            "flux",
            "50 kW/m2",
            1000.0,
            500000.0,
            unit="kW/m2",
            us_unit="Btu/h/ft2",
            since=2,
        ),
        FieldSpec(
            "examination_rules",
            "examination_rules",
            "choice",
            "none, local law",
            choices=get_args(model.ExaminationRules),
            since=2,
        ),
        FieldSpec(
            "keep_clear_of",
            "keep_clear_of",
            "choice",
            choices=tuple(pool_fires.fuels()),
            since=2,
        ),
    ),
    "spread": (),
    "site": (
        FieldSpec(
            "ambient_temperature",
            "ambient_temperature",
            "temperature",
            "15 degC",
            223.15,
            333.15,
            unit="degC",
            us_unit="degF",
        ),
        FieldSpec(
            "ambient_pressure",
            "ambient_pressure",
            "pressure",
            "1013.25 mbar(a)",
            0.4 * BAR,
            1.2 * BAR,
            unit="mbar(a)",
            us_unit="psia",
            absolute=True,
        ),
    ),
    "compressor": (
        _ID,
        FieldSpec(
            "delivery",
            "delivery",
            "flow",
            low=1 / 60000,
            high=50.0,
            required=True,
            unit="m3/min",
            us_unit="cfm",
        ),
        FieldSpec("stages", "stages", "integer", "1", 1, 8),
        FieldSpec(
            "inlet_temperature",
            "inlet_temperature",
            "temperature",
            "20 degC",
            223.15,
            353.15,
            unit="degC",
            us_unit="degF",
        ),
        _pressure("discharge_pressure"),
        _pressure("cut_in_pressure", required=False),
        FieldSpec("efficiency", "efficiency", "number", "0.75", 0.2, 1.0),
        FieldSpec("cooling", "cooling", "choice", "none", choices=get_args(model.Cooling)),
        FieldSpec("lubrication", "lubrication", "choice", choices=get_args(model.Lubrication)),
        FieldSpec(
            "discharge_temperature",
            "discharge_temperature",
            "temperature",
            low=273.15,
            high=673.15,
            unit="degC",
            us_unit="degF",
        ),
        FieldSpec(
            "in_fire",
            "in_fire",
            "choice",
            "keeps running",
            choices=get_args(model.CompressorInFire),
        ),
        *_PLACED,
        _OFFERED,
    ),
    "vessel": (
        _ID,
        FieldSpec("role", "role", "choice", "receiver", choices=get_args(model.Role)),
        _length("inside_diameter", 0.005, 10.0, required=True),
        FieldSpec("volume", "volume", "volume", low=1e-5, high=2000.0, unit="m3", us_unit="ft3"),
        _length("cylinder_length", 0.0, 200.0),
        FieldSpec("heads", "heads", "choice", "torispherical", choices=HEADS),
        _length("head_thickness", 0.0002, 0.5),
        FieldSpec(
            "orientation", "orientation", "choice", "vertical", choices=get_args(model.Orientation)
        ),
        _angle("direction"),
        _ELEVATION,
        _length("wall_thickness", 0.0002, 0.5, required=True),
        _MEASURED,
        FieldSpec("weld_factor", "weld_factor", "number", "0.85", 0.4, 1.0),
        _material(None),
        _pressure("design_pressure"),
        _pressure("pressure"),
        FieldSpec(
            "temperature",
            "temperature",
            "temperature",
            low=223.15,
            high=573.15,
            unit="degC",
            us_unit="degF",
        ),
        _CONDENSATE,
        *_EXAMINED,
        *_MADE,
        _pressure("test_pressure", required=False, since=2),
        *_INSULATION,
        *_PLACED,
        _OFFERED,
    ),
    "line": (
        _ID,
        FieldSpec(
            "from",
            "from_",
            "end",
            required=True,
            targets=("compressor", "vessel", "junction", "consumer"),
        ),
        FieldSpec(
            "to",
            "to",
            "end",
            required=True,
            targets=("compressor", "vessel", "junction", "consumer"),
        ),
        _length("length", 0.01, 10000.0, required=True, **_METRES),
        _length("inside_diameter", 0.002, 3.0, required=True),
        _length("wall_thickness", 0.0001, 0.2, required=True),
        _MEASURED,
        FieldSpec("weld_factor", "weld_factor", "number", "1", 0.4, 1.0),
        _material("P235TR1"),
        FieldSpec("loss", "loss", "number", "0", 0.0, 10000.0),
        _pressure("design_pressure", required=False),
        _pressure("pressure", required=False),
        FieldSpec(
            "temperature",
            "temperature",
            "temperature",
            low=223.15,
            high=573.15,
            unit="degC",
            us_unit="degF",
        ),
        _CONDENSATE,
        FieldSpec("joints", "joints", "choice", choices=get_args(model.Joints), since=2),
        _path("route"),
        _ELEVATION,
        *_INSULATION,
        *_PLACED,
        _OFFERED,
    ),
    "junction": (_ID, *_PLACED),
    "consumer": (_ID, *_PLACED),
    "valve": (
        _ID,
        FieldSpec("on", "on", "reference", required=True, targets=("line", *DEVICES)),
        FieldSpec("end", "end", "choice", choices=get_args(model.End)),
        FieldSpec("kind", "kind", "choice", "isolating", choices=get_args(model.ValveKind)),
        FieldSpec("state", "state", "choice", "open", choices=get_args(model.ValveState)),
        FieldSpec("reverse", "reverse", "flag", "false"),
        _NOTES,
    ),
    "plug": (
        _ID,
        _ON,
        FieldSpec("alloy", "alloy", "alloy", required=True),
        _length("bore", 0.0005, 0.3, required=True),
        FieldSpec("place", "place", "choice", "top", choices=get_args(model.PlugPlace)),
        _angle("faces"),
        _coefficient("0.6"),
        FieldSpec("outlet", "outlet", "choice", "open", choices=get_args(model.Outlet)),
        _length("outlet_length", 0.001, 500.0, **_METRES),
        _length("outlet_diameter", 0.001, 1.0),
        _DISCHARGES_TO,
        _OUTLET_PLACE,
        FieldSpec("fitted", "fitted", "date"),
        FieldSpec("renew_every", "renew_every", "months", "12 months", 1, 1200),
        FieldSpec("condition", "condition", "choice", "unknown", choices=PLUG_CONDITIONS),
        FieldSpec("response", "response", "choice", "own body", choices=get_args(model.Response)),
        FieldSpec("body_mass", "body_mass", "mass", low=1e-4, high=50.0, unit="g", us_unit="oz"),
        FieldSpec(
            "boss_mass", "boss_mass", "mass", low=0.0, high=50.0, since=2, unit="g", us_unit="oz"
        ),
        _length("core_length", 0.0005, 0.5),
        FieldSpec(
            "contact_conductance",
            "contact_conductance",
            "conductance",
            low=1e-4,
            high=1e4,
            unit="W/K",
            us_unit="Btu/h/degF",
        ),
        FieldSpec(
            "exposed_area", "exposed_area", "area", low=0.0, high=1.0, unit="mm2", us_unit="in2"
        ),
        _emissivity(None),
        FieldSpec("stands_free", "stands_free", "flag", "false", since=2),
        _NOTES,
        _OFFERED,
    ),
    "relief_valve": (
        _ID,
        _ON,
        _pressure("set_pressure"),
        _FLOW_AREA,
        _coefficient("0.8"),
        *_EXAMINED,
        *_MADE,
        _DISCHARGES_TO,
        _OUTLET_PLACE,
        _NOTES,
        _OFFERED,
    ),
    "bursting_disc": (
        _ID,
        _ON,
        _pressure("burst_pressure"),
        _FLOW_AREA,
        _coefficient("0.62"),
        _DISCHARGES_TO,
        _OUTLET_PLACE,
        _NOTES,
        _OFFERED,
    ),
    "inspection": (
        FieldSpec("on", "on", "reference", required=True, targets=(*DEVICES, "valve", *PARTS)),
        FieldSpec("date", "date", "date", required=True),
        _text("by"),
        FieldSpec("condition", "condition", "choice", choices=get_args(model.Found)),
        FieldSpec("renewed", "renewed", "flag", "false"),
        _text("note"),
    ),
    "reading": (
        _ID,
        FieldSpec("on", "on", "reference", required=True, targets=HOLDERS, since=2),
        FieldSpec("date", "date", "date", required=True, since=2),
        replace(_length("thickness", 0.0001, 0.5, required=True), since=2),
        FieldSpec("spot", "spot", "text", since=2),
        _NOTES,
    ),
    "fire": (
        _ID,
        FieldSpec("curve", "curve", "choice", required=True, choices=fires.CURVES),
        FieldSpec("flux", "flux", "flux", low=100.0, high=1e6, unit="kW/m2", us_unit="Btu/h/ft2"),
        FieldSpec("absorbed", "absorbed", "flag", "false"),
        FieldSpec(
            "temperature",
            "temperature",
            "temperature",
            low=273.15,
            high=2273.15,
            unit="degC",
            us_unit="degF",
        ),
        FieldSpec("points", "points", "points"),
        FieldSpec("reaches", "reaches", "references", required=True, targets=HOLDERS),
        FieldSpec("exposed_share", "exposed_share", "shares", "1", 0.001, 1.0),
        FieldSpec("plugs_in_fire", "plugs_in_fire", "references", targets=("plug",)),
        FieldSpec("closed", "closed", "references", targets=("valve",)),
        _emissivity("0.8"),
        FieldSpec(
            "convection",
            "convection",
            "heat_transfer",
            low=0.0,
            high=500.0,
            unit="W/m2/K",
            us_unit="Btu/h/ft2/degF",
        ),
        FieldSpec(
            "duration", "duration", "time", "60 min", 6.0, 86400.0, unit="min", us_unit="min"
        ),
        _NOTES,
    ),
    "fire_source": (
        _ID,
        FieldSpec("kind", "kind", "choice", "pool", choices=get_args(model.SourceKind), since=2),
        FieldSpec("fuel", "fuel", "choice", choices=tuple(jet_fires.jet_fuels()), since=2),
        FieldSpec(
            "diameter", "diameter", "length", low=0.2, high=50.0, since=2, unit="m", us_unit="ft"
        ),
        FieldSpec(
            "surface", "surface", "area", low=0.04, high=1900.0, unit="m2", us_unit="ft2", since=2
        ),
        FieldSpec(
            "volume", "volume", "volume", low=1e-4, high=1e4, unit="L", us_unit="gal(US)", since=2
        ),
        FieldSpec(
            "heat_release",
            "heat_release",
            "power",
            low=1e4,
            high=1e8,
            unit="kW",
            us_unit="kW",
            since=2,
        ),
        FieldSpec(
            "mass_flow",
            "mass_flow",
            "mass_flow",
            low=1e-4,
            high=100.0,
            unit="kg/s",
            us_unit="lb/s",
            since=2,
        ),
        FieldSpec(
            "length", "length", "length", low=0.1, high=200.0, since=2, unit="m", us_unit="ft"
        ),
        FieldSpec(
            "incident_flux",
            "incident_flux",
            "flux",
            low=5e4,
            high=5e5,
            unit="kW/m2",
            us_unit="Btu/h/ft2",
            since=2,
        ),
        _angle("direction"),
        _ELEVATION,
        FieldSpec(
            "duration",
            "duration",
            "time",
            low=6.0,
            high=86400.0,
            unit="min",
            us_unit="min",
            since=2,
        ),
        FieldSpec(
            "at", "at", "point", low=-1e5, high=1e5, required=True, unit="m", us_unit="ft", since=2
        ),
        replace(_AREA, since=2),
        _NOTES,
    ),
    "wall": (
        _ID,
        _path("points", required=True),
        FieldSpec(
            "height",
            "height",
            "length",
            low=0.1,
            high=100.0,
            required=True,
            since=2,
            unit="m",
            us_unit="ft",
        ),
        FieldSpec(
            "resists",
            "resists",
            "time",
            low=60.0,
            high=86400.0,
            unit="min",
            us_unit="min",
            since=2,
        ),
        _NOTES,
    ),
    "people": (
        _ID,
        FieldSpec("kind", "kind", "choice", "outdoors", choices=get_args(model.PeopleKind)),
        FieldSpec("at", "at", "point", low=-1e5, high=1e5, unit="m", us_unit="ft"),
        _length("distance", 0.1, 1e5, **_METRES, since=2),
        FieldSpec("from", "from_", "reference", targets=("vessel",), since=2),
        FieldSpec("background_level", "background_level", "number", low=20.0, high=130.0, since=2),
        FieldSpec(
            "alarm_after",
            "alarm_after",
            "time",
            low=0.0,
            high=7200.0,
            unit="s",
            us_unit="s",
            since=2,
        ),
    ),
    "room": (
        _ID,
        FieldSpec(
            "volume", "volume", "volume", low=0.1, high=1e7, required=True, unit="m3", us_unit="ft3"
        ),
        FieldSpec(
            "extinguishing",
            "extinguishing",
            "choice",
            "none",
            choices=get_args(model.Extinguishing),
        ),
        FieldSpec("area", "area", "text"),
        FieldSpec(
            "height", "height", "length", low=1.0, high=50.0, since=2, unit="m", us_unit="ft"
        ),
        FieldSpec(
            "vent_area",
            "vent_area",
            "area",
            low=0.05,
            high=1000.0,
            unit="m2",
            us_unit="ft2",
            since=2,
        ),
        FieldSpec(
            "vent_height",
            "vent_height",
            "length",
            low=0.2,
            high=20.0,
            since=2,
            unit="m",
            us_unit="ft",
        ),
        FieldSpec("lining", "lining", "choice", choices=tuple(room_fires.linings()), since=2),
        _length("lining_thickness", 0.001, 2.0, since=2),
    ),
}

_DECLARED["action"] = (
    _ID,
    FieldSpec("rule", "rule", "rule", required=True, since=2),
    FieldSpec(
        "part",
        "part",
        "reference",
        since=2,
        targets=tuple(
            kind for kind, found in _DECLARED.items() if any(one.kind == "id" for one in found)
        ),
    ),
    FieldSpec("section", "section", "text", since=2),
    FieldSpec("class", "fire_class", "choice", choices=model.FIRE_CLASSES, since=2),
    FieldSpec(
        "decision", "decision", "choice", required=True, choices=get_args(model.Decision), since=2
    ),
    *(_text(key, since=2) for key in ("text", "owner")),
    FieldSpec("due", "due", "date", since=2),
    FieldSpec("done", "done", "date", since=2),
    *(_text(key, since=2) for key in ("evidence", "reason", "by")),
    FieldSpec("until", "until", "date", since=2),
    FieldSpec("accepted", "accepted", "accepted", choices=OUTCOMES, since=2),
    FieldSpec("found", "found", "found", since=2),
    FieldSpec("severity", "severity", "choice", choices=get_args(model.Severity), since=2),
)

# The tables with their fields, each of which knows where its words stand.
FIELDS: dict[str, tuple[FieldSpec, ...]] = {
    kind: tuple(replace(one, table=kind or "file") for one in found)
    for kind, found in _DECLARED.items()
}

# Kinds of tables that a later format has brought: the first format that has them.
KINDS_SINCE = {"action": 2, "fire_source": 2, "reading": 2, "wall": 2}
OFFERING = tuple(kind for kind, found in FIELDS.items() if _OFFERED in found)

SINGLE = ("", "about", "choices", "spread", "site")
REPEATED = tuple(kind for kind in FIELDS if kind not in SINGLE)
WITH_ID = tuple(kind for kind in REPEATED if kind != "inspection")


def spec(kind: str, key: str) -> FieldSpec:
    """The declaration of one field.

    Parameters
    ----------
    kind : str
        Kind of table, for example "vessel".
    key : str
        Key in the file.

    Raises
    ------
    KeyError
        No such kind or key.
    """
    for found in FIELDS[kind]:
        if found.key == key:
            return found
    raise KeyError(key)


def keys_of(kind: str) -> tuple[str, ...]:
    """All keys of one kind of table, in the order in which they are written."""
    return tuple(found.key for found in FIELDS[kind])


def all_fields() -> Iterator[tuple[str, FieldSpec]]:
    """Every kind of table with each of its fields."""
    for kind, found in FIELDS.items():
        for one in found:
            yield kind, one


def kind_name(kind: str) -> str:
    """A kind of table in words, for example "relief valve"."""
    return said(_KIND_WORDS[kind]) if kind in _KIND_WORDS else kind.replace("_", " ")


_KIND_WORDS: Codes[dict[str, str]] = {
    "": "file", "about": "about", "choices": "choices", "site": "site", "spread": "spread",
    "compressor": "compressor", "vessel": "vessel", "line": "line", "junction": "junction",
    "consumer": "consumer", "valve": "valve", "plug": "plug", "relief_valve": "relief-valve",
    "bursting_disc": "bursting-disc", "inspection": "inspection", "reading": "reading",
    "fire": "fire", "fire_source": "fire-source", "wall": "wall", "people": "people",
    "room": "room", "action": "action",
}  # fmt: skip


def named_place(kind: str, name: str, index: int) -> str:
    """A table for people: "vessel R1", or "inspection number 3" for one without an id."""
    word = kind_name(kind)
    if name:
        return said("kind-and-name", kind=word, name=name)
    return said("kind-and-number", kind=word, number=index + 1)
