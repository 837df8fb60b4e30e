"""Formulas as they are printed: with their symbols explained and with the numbers put in.

The formulas stand in resources/formulas*.toml: ``title``, ``expression`` (as printed),
``evaluate`` (the same for a machine), ``symbols``, ``result``, ``source``, ``standing``. Inside
a formula every number is SI, so that a pocket calculator repeats it without conversions.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from airrisk.messages import Texts
from airrisk.study.records import Trace
from airrisk.tables import MissingResource, read_toml
from airrisk.wording.translation import decimal_sign, tr
from airrisk.wording.units import Units, absolute_text, keyed_text, number_text, with_decimals

RESOURCES = ("formulas.toml", "formulas_blast.toml")
PRINTED_DIGITS = 6
_UNIT_TEXT = {
    "Pa": "Pa", "K": "K", "m": "m", "m2": "m²", "m3": "m³", "kg": "kg", "s": "s", "J": "J",
    "J/kg": "J/kg", "W/m2": "W/m²", "J/kg/K": "J/(kg·K)", "kg/m3": "kg/m³", "W/m2/K": "W/(m²·K)",
    "W/m2/K4": "W/(m²·K⁴)", "m2 K/W": "m²·K/W", "W/m/K": "W/(m·K)",
    "kg/s": "kg/s", "kg/m2/s": "kg/(m²·s)", "m/s": "m/s", "m/s2": "m/s²",
    "kg/m2": "kg/m²", "N s": "N·s", "N": "N", "W": "W", "1": "", "-": "",
}  # fmt: skip
_NAMES = re.compile(r"[A-Za-zΑ-ω_][A-Za-zΑ-ω_0-9]*")


class UnknownFormula(KeyError):
    """A trace names a formula that is not in resources."""


@dataclass(frozen=True)
class Formula:
    """One formula of resources."""

    key: str
    title: str
    expression: str
    evaluate: str
    symbols: Mapping[str, tuple[str, str]]  # symbol -> (what it is, unit)
    result: tuple[str, str]  # symbol of the result, unit
    source: str
    standing: str


@dataclass(frozen=True)
class Worked:
    """One formula with the numbers of a trace put in, ready to print."""

    key: str
    title: str
    expression: str
    filled: str  # right-hand side with numbers
    result: str  # number with its SI unit
    shown: str  # the same in the reader's units, "" when it is no different
    symbols: tuple[tuple[str, str, str], ...]  # symbol, what it is, value with SI unit
    source: str
    standing: str


def _symbol(entry: Any) -> tuple[str, str]:
    """What a symbol is and its unit, from "air pressure, Pa" or a table with text and unit."""
    if isinstance(entry, Mapping):
        return str(entry.get("text", "")), _UNIT_TEXT.get(
            str(entry.get("unit", "")), str(entry.get("unit", ""))
        )
    text, comma, unit = str(entry).rpartition(", ")
    if not comma:
        return str(entry), ""
    return text, _UNIT_TEXT.get(unit, unit)


@functools.cache
def formulas() -> Mapping[str, Formula]:
    """All formulas by key."""
    found: dict[str, Formula] = {}
    for name in RESOURCES:
        try:
            table = read_toml(name)
        except MissingResource:
            if name == RESOURCES[0]:
                raise
            continue
        for key, entry in table.items():
            if not isinstance(entry, Mapping) or "expression" not in entry:
                continue
            left = str(entry["expression"]).partition("=")[0].strip()
            unit = str(entry.get("unit", entry.get("result_unit", "")))
            found[key] = Formula(
                key=key,
                title=str(entry["title"]),
                expression=str(entry["expression"]),
                evaluate=str(entry["evaluate"]),
                symbols={s: _symbol(e) for s, e in entry.get("symbols", {}).items()},
                result=(left, _UNIT_TEXT.get(unit, unit)),
                source=str(entry.get("source", "")),
                standing=str(entry.get("standing", "")),
            )
    return found


def formula(key: str) -> Formula:
    """One formula.

    Raises
    ------
    UnknownFormula
        No formula has the key.
    """
    try:
        return formulas()[key]
    except KeyError:
        raise UnknownFormula(key) from None


def calculator_number(value: float, digits: int = PRINTED_DIGITS) -> str:
    """A number as typed into a calculator: from a million on with e6, below 0.001 with e-6."""
    size = abs(value)
    if not math.isfinite(value) or size == 0.0 or 1e-3 <= size < 1e6:
        return number_text(value, digits)
    power = 3 * math.floor(math.log10(size) / 3)
    return f"{number_text(value / 10.0**power, digits)}e{power}"


def put_in(expression: str, inputs: Mapping[str, float], digits: int = PRINTED_DIGITS) -> str:
    """The right-hand side of a printed expression with the symbols replaced by numbers."""
    right = expression.partition("=")[2] or expression

    def swap(match: re.Match[str]) -> str:
        name = match.group()
        if name not in inputs:
            return name
        text = calculator_number(float(inputs[name]), digits)
        return f"({text})" if text.startswith("-") else text

    return printed(_NAMES.sub(swap, right).strip())


def printed(expression: str) -> str:
    """An expression with signs as in print: × for *, ^ for **, ln for log, the reader's decimals.

    Where a comma stands in the numbers, a semicolon stands between the arguments of a function.
    """
    text = expression.replace("**", "^").replace(" * ", " × ").replace("*", "×")
    if decimal_sign() == ",":
        text = with_decimals(text.replace(", ", "; "))
    return re.sub(r"\blog\(", "ln(", text)


def render_trace(trace: Trace, units: Units) -> Worked:
    """A trace as formula, symbols, numbers put in and result.

    Parameters
    ----------
    trace : Trace
        One computed number.
    units : Units
        The result is shown in SI and, when different, in these units.

    Raises
    ------
    UnknownFormula
        The trace names a formula that is not in resources.
    """
    entry = formula(trace.key)
    unit = entry.result[1]
    plain = calculator_number(trace.result)
    result = f"{plain}\u00a0{unit}" if unit else plain
    rows = tuple(
        (
            name,
            tr(entry.symbols.get(name, ("", ""))[0]),
            _with_unit(calculator_number(float(value)), entry.symbols, name),
        )
        for name, value in trace.inputs.items()
    )
    shown = _shown(trace.key, trace.result, unit, units)
    return Worked(
        key=trace.key,
        title=tr(entry.title) + _state(trace.state),
        expression=printed(entry.expression),
        filled=put_in(entry.expression, trace.inputs),
        result=result,
        shown="" if shown == result else shown,
        symbols=rows,
        source=tr(entry.source),
        standing=standing_text(entry.standing),
    )


_STANDINGS: Texts[dict[str, str]] = {
    "read": "read", "memory": "memory", "judgement": "judgement", "arithmetic": "arithmetic",
}  # fmt: skip


def standing_text(standing: str) -> str:
    """How sure a source is, in a word."""
    return tr(_STANDINGS.get(standing, standing))


_STATES: Texts[dict[str, str]] = {
    "cold": "cold", "start": "at the start", "rupture": "at rupture",
    "lift": "as the relief valve lifts", "design": "at the design pressure",
}  # fmt: skip


def _state(word: str) -> str:
    return f", {tr(_STATES[word])}" if word else ""


def _with_unit(text: str, symbols: Mapping[str, tuple[str, str]], name: str) -> str:
    unit = symbols.get(name, ("", ""))[1]
    return f"{text}\u00a0{unit}" if unit else text


_SHOWN_KEYS = {
    "Pa": "x_stress_pa", "Pa gauge": "x_gauge_pa", "J": "x_j", "K": "x_k", "m³": "x_m3",
    "kg": "x_kg", "N": "x_n", "m²": "x_m2", "m": "x_m", "m/s": "x_m_s", "kg/s": "x_kg_s",
}  # fmt: skip


def _shown(formula_key: str, value: float, unit: str, units: Units) -> str:
    if unit == "Pa" and formula_key.endswith("_pressure"):
        return absolute_text(value, units)
    if unit == "Pa" and formula_key.startswith("burst_"):
        unit = "Pa gauge"
    if unit == "Pa" and formula_key.endswith("_incident"):
        return keyed_text("x_incident_pa", value, units)
    key = _SHOWN_KEYS.get(unit)
    return keyed_text(key, value, units) if key else ""
