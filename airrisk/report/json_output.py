"""The assessment as a JSON document: SI, keys that end in their unit, null for what is absent."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from airrisk import __version__
from airrisk.installation.model import Action, AssumedFire, Kept
from airrisk.report.cures_json import causes_json, plans_json
from airrisk.study.curve import Curve
from airrisk.study.open_work import open_work
from airrisk.study.records import (
    FORMAT,
    Assessment,
    EnvelopeRecord,
    Finding,
    FireRecord,
    PartRecord,
    SectionRecord,
    VerdictRecord,
)
from airrisk.verdict.rule import Reason
from airrisk.wording.action_deeds import english_deed
from airrisk.wording.cautions import steam_note
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.reasons import kinds_of
from airrisk.wording.sentences import boiling_parts
from airrisk.wording.units import Units

_PART_KEYS = (
    "volume_m3", "surface_m2", "wall_mass_kg", "gas_mass_kg", "pressure_pa", "temperature_k",
    "burst_pressure_cold_gauge_pa", "design_pressure_temperature_k", "relief_lift_temperature_k",
    "rupture_temperature_k", "rupture_pressure_pa", "rupture_temperature_by_basis_k",
    "stored_energy_j", "rupture_energy_j", "tnt_kg", "pcc2_energy_j", "pcc2_tnt_kg",
    "plug_margin_k", "oil_inside",
)  # fmt: skip
_FIRE_KEYS = (
    "id", "section", "closed_valves", "outcome", "kept_by", "safe", "sure", "events",
    "peak_pressure_pa", "peak_strength_use", "rupture_nothing_opens_s",
    "rupture_if_fire_goes_on_s", "smallest_bore_m", "by_basis", "inner_radiation", "balance",
    "curves", "members", "vessels", "exposed", "doubts", "unconfirmed", "uncredited", "bores",
    "margins", "cures", "no_cure", "reaction_force_n", "first_vent_s", "first_vent_by_part_s",
    "rupture_state", "wet_parts", "creep_damage", "creep_otherwise", "no_creep_data",
    "lines_come_apart", "insulation", "much_water", "not_placed", "leaned_on", "source_kind",
    "hot_room", "reached_plugs", "safe_if_stopped", "runs",
)  # fmt: skip
_ENVELOPE_KEYS = (
    "runs", "corner", "outcome", "peak_strength_use", "peak_pressure_pa", "rupture_s",
    "first_vent_s", "first_vent_by_part_s", "controlling_part", "outcome_credited",
    "outcome_working", "creep_damage", "creep_otherwise",
)  # fmt: skip
_VERDICT_KEYS = (
    "section", "members", "closed_valves", "fire", "part", "outcome", "safe", "sure", "limit",
    "basis", "corner", "peak_strength_use", "first_vent_s", "rupture_s",
    "rupture_nothing_opens_s", "creep_damage", "runs",
)  # fmt: skip
_ACTION_KEYS = (
    "id", "rule", "part", "section", "class", "decision", "text", "owner", "due", "done",
    "evidence", "reason", "by", "until", "severity",
)  # fmt: skip


def plain(value: Any) -> Any:
    """A record, array, date or number as what JSON knows; NaN and infinity become null."""
    if value is None or isinstance(value, (str, bool)):
        return value
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, (dt.date, dt.datetime)):
        return value.isoformat()
    if isinstance(value, np.ndarray):
        return [plain(item) for item in value.tolist()]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (set, frozenset)):
        return [plain(item) for item in sorted(value)]
    if isinstance(value, Curve):
        return [item if math.isfinite(item) else None for item in value]
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no JSON form")


def _part(record: PartRecord) -> dict[str, Any]:
    return {key: plain(getattr(record, key)) for key in _PART_KEYS}


def _choice(value: Any) -> Any:
    if isinstance(value, AssumedFire):
        return {"curve": value.curve, "duration_s": value.duration}
    return plain(value)


def _action(record: Action) -> dict[str, Any]:
    """What was decided about a finding; what the file does not say is null."""
    then = record.accepted
    found = {
        key: plain(getattr(record, "fire_class" if key == "class" else key)) or None
        for key in _ACTION_KEYS
    }
    found["accepted"] = None if then is None else {
        "outcome": then.outcome, "use": then.use, "rupture_s": then.rupture_after,
    }  # fmt: skip
    kept = record.found
    found["found"] = None if kept is None else {key: _kept(value) for key, value in kept}
    return found


def _kept(value: Kept) -> Any:
    """Names, a number, or a number for each name."""
    if isinstance(value, float):
        return value
    by_name = [one for one in value if isinstance(one, tuple)]
    return dict(by_name) if by_name else list(value)


def _section(record: SectionRecord) -> dict[str, Any]:
    return plain(record)


def _reason(reason: Reason | None) -> dict[str, Any]:
    """The code of a reason, and beside it the names that it speaks of."""
    if reason is None:
        return {"reason": None, "reason_values": None}
    values = plain(reason)
    return {"reason": values.pop("code"), "reason_values": values}


def _envelope(record: EnvelopeRecord | None) -> dict[str, Any] | None:
    if record is None:
        return None
    return {key: plain(getattr(record, key)) for key in _ENVELOPE_KEYS} | _reason(record.reason)


def _fire(record: FireRecord) -> dict[str, Any]:
    line = record.line_rupture_nothing_opens_s
    found = {key: plain(getattr(record, key)) for key in _FIRE_KEYS}
    boiling = boiling_parts(record)
    return (
        found
        | _reason(record.reason)
        | {
            "class": record.fire_class,
            "envelope": _envelope(record.envelope),
            "time_to_rupture_without_vent_s": plain(record.rupture_nothing_opens_s),
            "line_rupture_nothing_opens_s": None if line is None else plain(dict([line])),
            "notes": [steam_note(boiling, kinds_of(record))] if boiling else [],
        }
    )


def _verdict(record: VerdictRecord) -> dict[str, Any]:
    found = {key: plain(getattr(record, key)) for key in _VERDICT_KEYS}
    return found | _reason(record.reason) | {"class": record.fire_class}


def _finding(record: Finding, units: Units, answer: Assessment) -> dict[str, Any]:
    return {
        "rule": record.rule,
        "severity": record.severity,
        "part": record.part,
        "section": record.section or None,
        "class": record.fire_class,
        "text": finding_text(record, units),
        "cure": finding_cure(record, units),
        "source": record.source,
        "accepted": record.accepted or None,
        "open_actions": [one.id for one in open_work((record,), answer.actions, answer.on)],
        "lapsed": [{"id": name, "why": why} for name, why in record.lapsed],
        "numbers": {
            key: plain(value)
            for key, value in record.values.items()
            if isinstance(value, (int, float, np.generic)) and not isinstance(value, bool)
        },
    }


def to_json_dict(assessment: Assessment, units: Units | None = None) -> dict[str, Any]:
    """The assessment as nested dictionaries of what JSON knows.

    Parameters
    ----------
    assessment : Assessment
        The answer.
    units : Units or None
        For the numbers inside the texts of findings; None: metric, the site's atmosphere.

    Returns
    -------
    dict
        SI numbers; ``_pa`` absolute, ``_gauge_pa`` above the atmosphere; no NaN.
    """
    units = units or Units(ambient_pressure=assessment.ambient_pressure_pa)
    parts = assessment.parts

    def listed(records: dict[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
        return {
            name: {**record, "offered": plain(assessment.offered.get(name, ()))}
            for name, record in records.items()
        }

    return {
        "format": FORMAT,
        "program": {"name": "airrisk", "version": __version__},
        "title": assessment.title,
        "inputs_sha256": assessment.inputs_sha256,
        "on": assessment.on.isoformat(),
        "choices": {
            name: {"value": _choice(value), "origin": origin}
            for name, (value, origin) in assessment.choices.items()
        },
        "vessels": listed({k: _part(r) for k, r in parts.items() if r.kind == "vessel"}),
        "lines": listed({k: _part(r) for k, r in parts.items() if r.kind == "line"}),
        "sections": {
            "as_drawn": [_section(s) for s in assessment.as_drawn],
            "shut_in": [_section(s) for s in assessment.shut_in],
        },
        "protection": {k: plain(r) for k, r in assessment.protection.items()},
        "verdicts": [_verdict(one) for one in assessment.verdicts],
        "flame_away": {k: plain(r) for k, r in assessment.flame_away.items()},
        "jet_spot": {k: plain(r) for k, r in assessment.jet_spot.items()},
        "runs": assessment.runs,
        "fires": [_fire(f) for f in assessment.fires],
        "consequences": plain(assessment.consequences),
        "compressors": listed({k: plain(r) for k, r in assessment.compressors.items()}),
        "findings": [_finding(f, units, assessment) for f in assessment.findings],
        "people_reach": [plain(record) for record in assessment.people_reach],
        "heard": [plain(record) for record in assessment.heard],
        "discharges": listed({k: plain(r) for k, r in assessment.discharges.items()}),
        "upkeep": [plain(row) for row in assessment.upkeep],
        "examinations": [plain(row) for row in assessment.examinations],
        "wear": [plain(row) for row in assessment.wear],
        "failures": [plain(f) for f in assessment.failures],
        "fire_sources": plain(assessment.fire_sources),
        "actions": [_action(record) for record in assessment.actions],
        "action_register": [
            {**plain(row), "deed": english_deed(row, assessment, units)}
            for row in assessment.action_register
        ],
        "causes": None if assessment.causes is None else causes_json(assessment, units),
        "plan": None if assessment.plans is None else plans_json(assessment, units),
    }


def to_json_text(assessment: Assessment, units: Units | None = None) -> str:
    """The assessment as JSON text, ending in a line end; the same answer gives the same bytes."""
    document = to_json_dict(assessment, units)
    # One line for each key at the top: readable, and many times faster than indenting curves.
    lines = [
        f"{json.dumps(key)}: {json.dumps(value, ensure_ascii=False, allow_nan=False)}"
        for key, value in document.items()
    ]
    return "{\n" + ",\n".join(lines) + "\n}\n"
