"""Findings in words: the templates of resources/findings.toml filled with numbers and units."""

from __future__ import annotations

import functools
import math
import string
from collections.abc import Callable, Mapping, Sequence
from typing import Any, get_args

from airrisk.installation.fields import spec
from airrisk.installation.naming import in_order
from airrisk.messages import Texts
from airrisk.study.overview import overview
from airrisk.study.records import Assessment, Burning, Finding
from airrisk.tables import read_toml
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.cures import cure_deed, no_cure_sentence, useful_cures
from airrisk.wording.margins import (
    corner_text,
    doubt_text,
    is_as_stated,
    load_text,
    uncredited_sentence,
)
from airrisk.wording.origin import value_text
from airrisk.wording.reasons import status_text
from airrisk.wording.sentences import corner_sentence, verdict_sentence
from airrisk.wording.translation import ntr, tr
from airrisk.wording.units import (
    Units,
    and_list,
    kept_distance,
    keyed_text,
    temperature_down,
    temperature_up,
)

RESOURCE = "findings.toml"
# what nobody may be told better than found: distances to keep and faces up, limits down
KEPT: dict[str, Callable[[float, Units, int], str]] = {
    "clear_m": kept_distance,
    "reach_m": kept_distance,
    "outer_k": lambda kelvin, units, _: temperature_up(kelvin, units),
    "holds_to_k": lambda kelvin, units, _: temperature_down(kelvin, units),
}


class UnknownRule(KeyError):
    """A finding names a rule that has no text."""


@functools.cache
def _templates() -> Mapping[str, Mapping[str, str]]:
    return read_toml(RESOURCE)


class _Naming:
    """Ids with what they are at their first mention: "plug FP1", then "FP1"."""

    def __init__(self, kinds: Mapping[str, str]) -> None:
        self.kinds = kinds
        self.told: set[str] = set()

    def text(self, value: object) -> str | None:
        """An id or several in words; None: it is none."""
        names = [value] if isinstance(value, str) else value
        if not isinstance(names, (list, tuple)) or not names:
            return None
        if not all(isinstance(name, str) and name in self.kinds for name in names):
            return None
        if self.told.issuperset(names):
            return and_list(list(names))
        self.told.update(names)
        groups: dict[str, list[str]] = {}
        for name in names:
            groups.setdefault(self.kinds[name], []).append(name)
        return and_list([labels.named(kind, ids) for kind, ids in groups.items()])


def fill_template(
    template: str,
    values: Mapping[str, Any],
    units: Units,
    kinds: Mapping[str, str] | None = None,
) -> str:
    """A template with its ``{key}`` places filled; a value's kind is its key's unit suffix.

    ``{key:3}`` asks for three significant figures.

    Parameters
    ----------
    template : str
        Text with named places, in the reader's language.
    values : mapping
        Key -> SI number, name, date, or list of names.
    units : Units
        Unit set and atmosphere.
    kinds : mapping, optional
        Id -> what it is, told at its first mention.

    Raises
    ------
    KeyError
        The template names a value that is not there.
    """
    naming = _Naming(kinds or {})
    text = ""
    for literal, field, digits, _ in string.Formatter().parse(template):
        text += literal
        if field is not None:
            told = naming.text(values[field])
            figures = int(digits) if digits else 4
            if told is None and field in KEPT and values[field] is not None:
                told = KEPT[field](values[field], units, figures)
            if told is None:
                told = keyed_text(field, values[field], units, figures)
            begins = not text or text.endswith((". ", "! ", "? "))
            text += labels.sentence(told) if begins else told
    return text


def _template(finding: Finding, piece: str) -> str:
    try:
        entry = _templates()[finding.rule]
    except KeyError:
        raise UnknownRule(finding.rule) from None
    chosen = finding.values.get(f"{piece}_variant", finding.values.get("variant"))
    if chosen is None or f"{piece}_{chosen}" not in entry:
        return entry.get(piece, "")
    if _no_range(finding):
        return entry.get(f"{piece}_{chosen}_ever", entry[f"{piece}_{chosen}"])
    return entry[f"{piece}_{chosen}"]


def _no_range(finding: Finding) -> bool:
    """Whether no alloy at all could be asked for: what it may begin at lies above its end."""
    least, most = finding.values.get("least_solidus_k"), finding.values.get("most_liquidus_k")
    return least is not None and most is not None and least >= most


_CLASS_WORDS: Texts[dict[str, str]] = {
    "whole": "the fire with all of it in flames",
    "beside": "the fire beside {part}",
    "spot": "the fire on a small spot of {part}",
}


def _fire_text(values: Mapping[str, Any], kinds: Mapping[str, str]) -> str:
    """A fire in the middle of a sentence: "fire F1", "the fire beside vessel R1"."""
    name, fire_class = str(values["fire"]), values.get("fire_class_of", "")
    if fire_class not in _CLASS_WORDS:
        kind = kinds.get(name, "fire")
        return labels.named(kind if kind in get_args(Burning) else "fire", [name])
    part = _Naming(kinds).text(values.get("fire_on", ())) or and_list(values.get("fire_on", ()))
    return tr(_CLASS_WORDS[fire_class]).format(part=part)


def _values(finding: Finding, units: Units) -> dict[str, Any]:
    """The values of a finding with those that only words can make."""
    values = {"part": finding.part, **finding.values}
    if "fire" in values:
        values["fire"] = _fire_text(values, finding.kinds)
    if "doubt" in values:
        values |= _doubt_values(values, units)
    if finding.rule == "calculation-failed" and isinstance(values.get("reason"), str):
        values["reason"] = status_text(values["reason"])
    if finding.rule == "value-assumed":
        values["pairs"] = _assumed_pairs(values)
    if "record" in values and finding.rule == "value-offered":
        values["pairs"] = _pairs(values, units)
    return values


def _doubt_values(values: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """What a doubt turns a safe verdict to, in words."""
    use, limit = values["peak_strength_use"], values["strength_use_limit"]
    outcome = _outcome_word(values["outcome"])
    # where a line ruptures, what the vessels bear says nothing of it
    if values["outcome"] != "ruptures" or use >= limit or values.get("creep_damage"):
        outcome = tr("{outcome}: {load}").format(
            outcome=outcome, load=load_text(use, limit, values.get("creep_damage"))
        )
    return {
        "outcome": outcome,
        "condition": doubt_text(values["doubt"]),
        "basis": labels.short_basis(values["basis"]),
        "where": tr("in {fire}, {run}").format(
            fire=values["fire"],
            run=_which_run(values, units),
        ),
    }


def _which_run(values: Mapping[str, Any], units: Units) -> str:
    """The run in which a doubt turns a verdict."""
    if values["at"] == "stated":
        return tr("as stated")
    if values["at"] == "most creep":
        return tr("in the run whose metal creeps most")
    record = values["record"]
    if record.envelope is not None and record.envelope.corner.isothermal_k is not None:
        # that one is no run, and nothing can be turned in it
        return tr("in the worst of its runs")
    if is_as_stated(record):
        return tr("as stated")
    return tr("in its worst run. That is the run {corner}").format(
        corner=corner_text(record, units)
    )


def _outcome_word(outcome: str) -> str:
    """An outcome of "it": "it ruptures"."""
    return tr("it {outcome}").format(outcome=labels.outcome(outcome))


def _pairs(values: Mapping[str, Any], units: Units) -> tuple[str, ...]:
    """Fields with their values: "bore (10 mm)"."""
    kind, record = values["kind"], values["record"]
    return tuple(
        f"{labels.uncapitalised(labels.field_name(kind, key))} "
        f"({value_text(record, spec(kind, key), units)})"
        for key in values["fields"]
    )


def _assumed_pairs(values: Mapping[str, Any]) -> tuple[str, ...]:
    """Fields with what counts where nobody typed a value: "weld factor (0.85)"."""
    return tuple(
        tr("{field} ({value})").format(
            field=labels.uncapitalised(labels.field_name(values["kind"], key)),
            value=choice_word(value),
        )
        for key, value in zip(values["keys"], values["values"], strict=True)
    )


def finding_text(finding: Finding, units: Units) -> str:
    """What is wrong, with its numbers."""
    if finding.rule == "fire-outcome" and "record" in finding.values:
        return _fire_outcome_text(finding, units)
    values = _values(finding, units)
    template = tr(_template(finding, "text"))
    return fill_template(template, values, units, finding.kinds)


def finding_cure(finding: Finding, units: Units, *, brief: bool = False) -> str:
    """What to do about it; in brief without why no plug does it."""
    values = _values(finding, units)
    template = tr(_template(finding, "cure"))
    if finding.rule == "fire-outcome" and "record" in finding.values:
        template = _fire_outcome_cure(finding, values, units, brief=brief)
    return fill_template(template, values, units, finding.kinds)


def _fire_outcome_text(finding: Finding, units: Units) -> str:
    """How the worst run of the worst fire ends, which run it is, and what would turn it."""
    values, fire = finding.values, finding.values["record"]
    entry = _templates()[finding.rule]
    pieces = [verdict_sentence(fire)]
    if fire.worst_outcome == "passes the limit":
        load = load_text(
            values["peak_strength_use"], values["strength_use_limit"], fire.worst_damage
        )
        pieces.append(tr("It reaches {load}.").format(load=load))
    if finding.fire_class == "stated" and values["closed_valves"]:
        valves = labels.named("valve", values["closed_valves"])
        pattern = ntr(
            "{valves} is shut in that fire.",
            "{valves} are shut in that fire.",
            len(values["closed_valves"]),
        )
        pieces.append(pattern.format(valves=labels.sentence(valves)))
    pieces += [corner_sentence(fire, units), uncredited_sentence(fire)]
    if fire.uncredited and values["outcome_working"] is not None:
        word = labels.outcome(values["outcome_working"])
        key = "working" if len(fire.uncredited) == 1 else "working_all"
        pieces.append(tr(entry[key]).format(outcome_working=word))
    if values["stopped"]:
        stopped = labels.named("compressor", values["stopped"])
        pieces.append(tr(entry["stopped"]).format(stopped=stopped))
    return " ".join(piece for piece in pieces if piece)


def _fire_outcome_cure(
    finding: Finding, values: dict[str, Any], units: Units, *, brief: bool
) -> str:
    """The template of the cure: what the runs have proven, before what may help."""
    fire, entry = values["record"], _templates()[finding.rule]
    cures = useful_cures(fire)
    pieces = []
    if values["stopped"]:
        pieces.append(tr(entry["cure_stopped"]))
    if cures:
        values["deeds"] = tr("; or ").join(
            labels.uncapitalised(cure_deed(cure, fire, units)) if number else
            cure_deed(cure, fire, units)
            for number, cure in enumerate(cures)
        )  # fmt: skip
        pieces.append(tr(entry["cure_proven"]))
    elif fire.no_cure is not None:
        pieces += [] if brief else [no_cure_sentence(fire, fire.no_cure, units)]
        pieces.append(tr(entry["cure_none"]))
    elif not pieces:
        pieces.append(tr(entry["cure"]))
    return " ".join(pieces)


def finding_place(finding: Finding) -> str:
    """The part that a finding is about, or that it is about the whole installation."""
    return finding.part or tr("installation")


def finding_source(finding: Finding) -> str:
    """Where the rule comes from; "common practice, no source" is said as such."""
    return tr(finding.source or _template(finding, "source"))


def rule_title(rule: str) -> str:
    """The title of the findings of a rule; an unknown one is shown as it is."""
    entry = _templates().get(rule)
    return rule if entry is None else tr(entry["title"])


def finding_title(finding: Finding) -> str:
    """A short name of the rule."""
    return tr(_templates().get(finding.rule, {}).get("title", "")) or finding.rule.replace("-", " ")


def worst_first(findings: tuple[Finding, ...]) -> list[Finding]:
    """Findings sorted by severity, then part as people count, then rule."""
    place = {name: number for number, name in enumerate(in_order({f.part for f in findings}))}
    return sorted(findings, key=lambda f: (labels.severity_rank(f.severity), place[f.part], f.rule))


def worst_finding(findings: Sequence[Finding], assessment: Assessment) -> Finding:
    """The one finding to tell first: the gravest; of those the one on the worst verdict.

    Else the rupture that comes soonest, and of equally soon ones that of the part that would
    burst with the most energy.

    Parameters
    ----------
    findings : sequence of Finding
        At least one.
    assessment : Assessment
        For the energies.
    """

    seen = overview(assessment).worst
    ruling = None if seen is None else (seen.section, seen.fire_class)

    def rank(finding: Finding) -> tuple[int, bool, float, float]:
        rupture, energy = math.inf, 0.0
        record = assessment.parts.get(finding.part)
        if finding.rule == "fire-outcome":
            after = finding.values.get("rupture_s")
            rupture = math.inf if after is None else float(after)
            if record is not None:
                energy = (record.rupture_energy_j or record.stored_energy_j).isentropic
        told = finding.rule == "fire-outcome" and (finding.section, finding.fire_class) == ruling
        return labels.severity_rank(finding.severity), not told, rupture, -energy

    return min(worst_first(tuple(findings)), key=rank)  # of equals the first
