"""Names for people: kinds of part, fields, severities, outcomes, events, results."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from airrisk.installation import fields
from airrisk.installation.naming import in_order
from airrisk.messages import Forms, Message, Texts
from airrisk.study.records import SEVERITIES
from airrisk.verdict.rule import SAFE_OUTCOMES
from airrisk.wording.translation import ENGLISH, language, ntr, tr
from airrisk.wording.units import and_list

_PARTS: Texts[dict[str, str]] = {
    "compressor": "compressor", "vessel": "vessel", "line": "line", "junction": "junction",
    "consumer": "point of use", "valve": "valve", "plug": "fusible plug",
    "relief_valve": "relief valve", "bursting_disc": "bursting disc",
    "inspection": "inspection", "fire": "fire", "fire_source": "source of fire", "wall": "wall",
    "reading": "reading of a wall thickness",
    "people": "place with people", "room": "room",
    "site": "site", "about": "about", "choices": "choices", "spread": "spread",
}  # fmt: skip

_RESULTS: Texts[dict[str, str]] = {
    "volume_m3": "Volume", "surface_m2": "Outer surface", "wall_mass_kg": "Mass of the metal",
    "gas_mass_kg": "Mass of the air", "pressure_pa": "Pressure at the start",
    "temperature_k": "Temperature at the start",
    "burst_pressure_cold_gauge_pa": "Burst pressure, cold",
    "design_pressure_temperature_k": "Design pressure reached at",
    "relief_lift_temperature_k": "Relief valve lifts at",
    "rupture_temperature_k": "Rupture at", "rupture_pressure_pa": "Pressure at rupture",
    "tnt_kg": "TNT of the same energy", "pcc2_energy_j": "Stored energy by ASME PCC-2",
    "pcc2_tnt_kg": "TNT by ASME PCC-2", "peak_pressure_pa": "Highest pressure",
    "peak_strength_use": "Highest strength use",
    "rupture_nothing_opens_s": "Rupture if nothing opens, after",
    "first_vent_s": "First plug or disc opens after",
    "discharge_temperature_k": "Discharge temperature",
}  # fmt: skip

_SEVERITIES: Texts[dict[str, str]] = {"danger": "danger", "warning": "warning", "note": "note"}
_SEVERITY_SHAPES = {"danger": "◆", "warning": "▲", "note": "○"}

_OUTCOMES: Texts[dict[str, str]] = {
    "vents in time": "vents in time", "outlasts the fire": "outlasts the fire",
    "passes the limit": "passes the limit", "ruptures": "ruptures",
    "not converged": "not converged",
}  # fmt: skip
NOT_ASSESSED: Texts[str] = "not assessed"
NOT_CHECKED: Texts[str] = "not yet checked"
_OUTCOME_SHAPES = {
    "vents in time": "●", "outlasts the fire": "■", "passes the limit": "▲", "ruptures": "✖",
    "not converged": "?", NOT_ASSESSED: "–", NOT_CHECKED: "…",
}  # fmt: skip

_EVENTS: Texts[dict[str, str]] = {
    "plug opens": "{part} opens", "relief valve lifts": "{part} lifts",
    "relief valve reseats": "{part} reseats", "disc bursts": "{part} bursts",
    "rupture": "{part} ruptures", "line ruptures": "{part} ruptures",
    "empty": "{part} is empty", "fire ends": "the fire ends",
}  # fmt: skip

_KEPT_BY: Texts[dict[str, str]] = {
    "heat": "a device that answers heat",
    "pressure": "a relief valve or disc only, which answers pressure",
    "none": "nothing that answers heat",
}

_BASES: Texts[dict[str, str]] = {
    "tensile": "tensile strength, reduced by temperature",
    "annex-a": "EN 1993-1-2 annex A on the yield strength",
    "yield": "yield strength, reduced by temperature",
    "tensile-ky": "tensile strength with yield-strength factors (optimistic, for comparison)",
}

_SHORT_BASES: Texts[dict[str, str]] = {
    "tensile": "tensile", "annex-a": "annex A", "yield": "yield",
    "tensile-ky": "tensile, yield factors",
}  # fmt: skip

_ENERGIES: Texts[dict[str, str]] = {
    "brode": "constant volume (Brode)", "isentropic": "isentropic, ideal gas",
    "isothermal": "isothermal, ideal gas", "availability": "availability, ideal gas",
    "isentropic_real": "isentropic, real gas", "pcc2": "ASME PCC-2",
}  # fmt: skip

_CASES: Texts[dict[str, str]] = {
    "cold_working": "cold, at the working pressure",
    "cold_burst": "cold, pressurised to burst",
    "fire_unvented": "in the fire, nothing opens",
    "fire_transient": "in the fire, as computed",
}

_MARKS: Texts[dict[str, str]] = {
    "running": "hottest normal running", "plug solidus": "plug begins to melt",
    "plug liquidus": "plug is molten", "relief lift": "relief valve lifts",
    "design pressure": "design pressure", "rupture": "rupture",
}  # fmt: skip

_CLASSES: Texts[dict[str, str]] = {
    "stated": "stated fire", "whole": "all in flames", "beside": "fire beside it",
    "spot": "small spot",
}  # fmt: skip

_STATUSES: Texts[dict[str, str]] = {
    "in date": "in date", "due soon": "due soon", "overdue": "overdue", "no date": "no date",
    "no credit": "no credit",
}  # fmt: skip
_NO_CREDIT: Texts[dict[str, str]] = {
    "offered": "offered, not confirmed", "under water": "under water",
    "insulated": "under insulation", "exposed": "its body is in the fire",
    "overdue": "overdue for renewal", "no date": "no date of fitting",
    "alloy": "alloy not known", "unknown": "condition unknown",
}  # fmt: skip

_CURVES: Texts[dict[str, str]] = {
    "standard": "standard fire, EN 1991-1-2", "external": "external fire, EN 1991-1-2",
    "hydrocarbon": "hydrocarbon fire, EN 1991-1-2", "slow": "slow-growing fire, EN 1363-2",
    "flux": "given heat flux", "temperature": "given flame temperature",
    "table": "given temperature table",
}  # fmt: skip


def part_kind(kind: str) -> str:
    """The name of a kind of part or device: "relief_valve" gives "relief valve"."""
    return tr(_PARTS.get(kind, kind.replace("_", " ")))


_NAMED: Forms[dict[str, tuple[str, str]]] = {
    "vessel": ("vessel {ids}", "vessels {ids}"), "line": ("line {ids}", "lines {ids}"),
    "plug": ("plug {ids}", "plugs {ids}"), "fire": ("fire {ids}", "fires {ids}"),
    "pool": ("pool {ids}", "pools {ids}"), "jet": ("jet {ids}", "jets {ids}"),
    "goods": ("stack {ids}", "stacks {ids}"), "wall": ("wall {ids}", "walls {ids}"),
    "reading": ("reading {ids}", "readings {ids}"),
    "relief valve": ("relief valve {ids}", "relief valves {ids}"),
    "bursting disc": ("bursting disc {ids}", "bursting discs {ids}"),
    "device": ("device {ids}", "devices {ids}"), "valve": ("valve {ids}", "valves {ids}"),
    "non-return valve": ("non-return valve {ids}", "non-return valves {ids}"),
    "compressor": ("compressor {ids}", "compressors {ids}"),
    "junction": ("junction {ids}", "junctions {ids}"),
    "consumer": ("point of use {ids}", "points of use {ids}"),
    "room": ("room {ids}", "rooms {ids}"), "place": ("place {ids}", "places {ids}"),
}  # fmt: skip


def named(kind: str, ids: Sequence[str]) -> str:
    """The kind with the ids: "plug FP1", "plugs FP1 and FP2"."""
    one, many = _NAMED[kind]
    return ntr(one, many, len(ids)).format(ids=and_list(list(ids)))


# in which order the kinds of a section are told
_FIRST = ("vessel", "line", "compressor", "junction", "consumer")


def named_all(ids: Iterable[str], kinds: Mapping[str, str]) -> str:
    """Ids with what they are, vessels first: "vessel R1, lines L1 and L3 and compressor C1".

    Parameters
    ----------
    ids : iterable of str
        Ids of any kinds.
    kinds : mapping
        Id -> what it is; an id that is not in it is told alone.
    """
    groups: dict[str, list[str]] = {}
    for name in in_order(ids):
        groups.setdefault(kinds.get(name, ""), []).append(name)
    told = sorted(groups, key=lambda kind: _FIRST.index(kind) if kind in _FIRST else len(_FIRST))
    return and_list(
        [named(kind, groups[kind]) if kind else and_list(groups[kind]) for kind in told]
    )


def sentence(text: str) -> str:
    """A text with a capital letter at its beginning."""
    return text[:1].upper() + text[1:]


def uncapitalised(text: str) -> str:
    """A text that goes on in the middle of a sentence; only English lowers what may be a noun."""
    return text[:1].lower() + text[1:] if language() == ENGLISH else text


_PLURALS: Texts[dict[str, str]] = {
    "compressor": "Compressors", "vessel": "Vessels", "line": "Lines", "valve": "Valves",
    "plug": "Fusible plugs", "relief_valve": "Relief valves", "bursting_disc": "Bursting discs",
    "fire": "Fires", "fire_source": "Sources of fire", "wall": "Walls",
    "reading": "Readings of wall thickness",
    "people": "Places with people", "room": "Rooms",
}  # fmt: skip


def kinds_plural(kind: str) -> str:
    """The heading over several parts or devices of one kind."""
    return tr(_PLURALS.get(kind, sentence(kind.replace("_", " "))))


def field_name(kind: str, key: str) -> str:
    """The name of a field of the system file, without its unit.

    Parameters
    ----------
    kind : str
        Kind of table, for example "vessel".
    key : str
        Key in the file.

    Raises
    ------
    KeyError
        No such field.
    """
    return tr(fields.spec(kind, key).label)


def result_name(key: str) -> str:
    """The name of a result, without its unit."""
    return tr(_RESULTS.get(key, key.replace("_", " ")))


def severity(word: str) -> str:
    """The word of a severity."""
    return tr(_SEVERITIES[word])


STEPS: Texts[tuple[str, ...]] = (  # of a calculation, as failures and the progress name them
    "sections", "walk", "people", "screening", "fires", "consequences", "findings", "upkeep",
    "protection", "compression",
)  # fmt: skip


def step_text(what: str) -> str:
    """What is being worked out, in words; the id of a fire stays as it is."""
    return tr(what) if isinstance(what, Message) or what in STEPS else what


_COUNTED: Forms[dict[str, tuple[str, str]]] = {
    "danger": ("{count} danger", "{count} dangers"),
    "warning": ("{count} warning", "{count} warnings"),
    "note": ("{count} note", "{count} notes"),
}


def severity_count(word: str, count: int) -> str:
    """How many findings of one severity: "0 dangers", "1 warning", "2 notes".

    Never "no danger": that would say something of the installation.
    """
    return ntr(*_COUNTED[word], count).format(count=count)


def severity_shape(word: str) -> str:
    """The sign that stands before a severity, so that colour is never alone."""
    return _SEVERITY_SHAPES[word]


def severity_rank(word: str) -> int:
    """0 for danger, then rising: sorts the worst first."""
    return SEVERITIES.index(word)


def outcome(word: str | None) -> str:
    """The words of an outcome; None: "not assessed"."""
    return tr(NOT_ASSESSED) if word is None else tr(_OUTCOMES[word])


def outcome_shape(word: str | None) -> str:
    """The sign that stands before an outcome."""
    return _OUTCOME_SHAPES[NOT_ASSESSED if word is None else word]


def answer(word: str | None, safe: bool | None) -> str:
    """The words of an outcome, with "not safe" where the word alone would sound safe.

    Parameters
    ----------
    word : str or None
        An outcome; None: not assessed.
    safe : bool or None
        Whether every run that the verdict answers for is safe; None: they have not been made.
    """
    text = outcome(word)
    if word not in SAFE_OUTCOMES or safe:
        return text
    return tr(NOT_CHECKED) if safe is None else tr("{outcome}, not safe").format(outcome=text)


def answer_shape(word: str | None, safe: bool | None) -> str:
    """The sign that stands before an outcome; an open triangle where its word sounds safe."""
    if word not in SAFE_OUTCOMES or safe:
        return outcome_shape(word)
    return outcome_shape(NOT_CHECKED) if safe is None else "△"


def fire_class(key: str) -> str:
    """A class of fires in two or three words, for the head of a column."""
    return tr(_CLASSES[key])


def event(kind: str, part: str) -> str:
    """An event in words: "FP1 opens"."""
    return tr(_EVENTS[kind]).format(part=part)


def kept_by(word: str) -> str:
    """What kept the vessel whole."""
    return tr(_KEPT_BY[word])


def basis(key: str) -> str:
    """A strength basis in words."""
    return tr(_BASES.get(key, key.replace("-", " ").replace("_", " ")))


def short_basis(key: str) -> str:
    """A strength basis in a word or two, for the head of a column or a tick."""
    return tr(_SHORT_BASES.get(key, key.replace("-", " ").replace("_", " ")))


def energy_measure(key: str) -> str:
    """A measure of stored energy in words."""
    return tr(_ENERGIES.get(key, key.replace("_", " ")))


def consequence_case(key: str) -> str:
    """A case of the consequence study in words."""
    return tr(_CASES.get(key, key.replace("_", " ")))


def ruler_mark(kind: str) -> str:
    """A tick of the order ruler in words."""
    return tr(_MARKS[kind])


def no_credit_reason(why: str) -> str:
    """Why nobody may count on a device."""
    return tr(_NO_CREDIT.get(why, why))


def upkeep_status(word: str, why: str = "") -> str:
    """A status of the upkeep register, with why a plug gets no credit although it is in date."""
    text = tr(_STATUSES[word])
    return f"{text}: {no_credit_reason(why)}" if word == "no credit" and why else text


_WAYS: Texts[dict[str, str]] = {
    "few pieces, likely": "few pieces, likely", "few pieces, bound": "few pieces, bound",
    "many pieces": "many pieces", "one head": "one head", "vessel takes off": "vessel takes off",
}  # fmt: skip


def way_of_breaking(key: str) -> str:
    """In how many pieces a vessel breaks, in words."""
    return tr(_WAYS.get(key, key))


def fire_curve(kind: str) -> str:
    """A fire curve with its standard."""
    return tr(_CURVES[kind])


def outlet_text(place: str, remark: str) -> str:
    """Where an outlet is, with the remark beside it; said too when nobody has stated it."""
    known = place in fields.OUTLET_PLACES  # another one is the id of a room
    shown = (tr(place) if known else place) if place else tr("not stated")
    return f"{shown} ({remark})" if remark else shown
