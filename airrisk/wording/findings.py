"""Findings in words: the templates of resources/findings.toml filled with numbers and units."""

from __future__ import annotations

import functools
import string
from collections.abc import Mapping
from typing import Any

from airrisk.study.records import Finding
from airrisk.tables import read_toml
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, keyed_text

RESOURCE = "findings.toml"


class UnknownRule(KeyError):
    """A finding names a rule that has no text."""


@functools.cache
def _templates() -> Mapping[str, Mapping[str, str]]:
    return read_toml(RESOURCE)


def rule_keys() -> tuple[str, ...]:
    """The keys of all rules that have a text."""
    return tuple(_templates())


def fill_template(template: str, values: Mapping[str, Any], units: Units) -> str:
    """A template with its ``{key}`` places filled; a value's kind is its key's unit suffix.

    ``{key:3}`` asks for three significant figures.

    Parameters
    ----------
    template : str
        Text with named places.
    values : mapping
        Key -> SI number, name, date, or list of names.
    units : Units
        Unit set and atmosphere.

    Raises
    ------
    KeyError
        The template names a value that is not there.
    """
    pieces: list[str] = []
    for literal, field, spec, _ in string.Formatter().parse(tr(template)):
        pieces.append(literal)
        if field is not None:
            pieces.append(keyed_text(field, values[field], units, int(spec) if spec else 4))
    return "".join(pieces)


def _template(finding: Finding, piece: str) -> str:
    try:
        entry = _templates()[finding.rule]
    except KeyError:
        raise UnknownRule(finding.rule) from None
    chosen = finding.values.get(f"{piece}_variant", finding.values.get("variant"))
    if chosen is None:
        chosen = finding.fire_class
    if chosen is not None and f"{piece}_{chosen}" in entry:
        return entry[f"{piece}_{chosen}"]
    return entry.get(piece, "")


def _values(finding: Finding) -> dict[str, Any]:
    values = {"part": finding.part, **finding.values}
    if "doubt" in values:
        values["convection_share"] = _CONVECTION.get(values["doubt"])
    return values


_CONVECTION = {"convection 0.6": 0.6, "convection 1.4": 1.4}


def finding_text(finding: Finding, units: Units) -> str:
    """What is wrong, with its numbers."""
    return fill_template(_template(finding, "text"), _values(finding), units)


def finding_cure(finding: Finding, units: Units) -> str:
    """What to do about it."""
    return fill_template(_template(finding, "cure"), _values(finding), units)


def finding_place(finding: Finding) -> str:
    """The part that a finding is about, or that it is about the whole installation."""
    return finding.part or tr("installation")


def finding_source(finding: Finding) -> str:
    """Where the rule comes from; "common practice, no source" is said as such."""
    return finding.source or _template(finding, "source")


def finding_title(finding: Finding) -> str:
    """A short name of the rule."""
    return tr(_templates().get(finding.rule, {}).get("title", "")) or finding.rule.replace("-", " ")


def worst_first(findings: tuple[Finding, ...]) -> list[Finding]:
    """Findings sorted by severity, then part, then rule."""
    return sorted(findings, key=lambda f: (labels.severity_rank(f.severity), f.part, f.rule))
