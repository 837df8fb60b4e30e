"""A pocket calculator: what a printed formula gives when its numbers are typed in."""

from __future__ import annotations

import math
from collections.abc import Mapping

from airrisk.study.records import Trace
from airrisk.wording.formulas import formula
from airrisk.wording.units import number_text

FUNCTIONS = {
    "sqrt": math.sqrt, "log": math.log, "log10": math.log10, "exp": math.exp, "min": min,
    "max": max, "pi": math.pi,
}  # fmt: skip


def calculate(text: str, values: Mapping[str, float]) -> float:
    """The value of an arithmetic expression with a value for each of its symbols."""
    return float(eval(text, {"__builtins__": {}}, {**FUNCTIONS, **values}))


def recomputed(key: str, **values: float) -> float:
    """The result of a printed formula; every symbol that it explains has a value, and no other."""
    entry = formula(key)
    assert set(values) == set(entry.symbols)
    return calculate(entry.evaluate, values)


def recompute(trace: Trace, digits: int | None = None) -> float:
    """The result of a trace again; with digits its numbers are first rounded as in print."""
    return recomputed(
        trace.key,
        **{
            name: float(number_text(value, digits)) if digits else float(value)
            for name, value in trace.inputs.items()
        },
    )
