"""The register of inputs that can vary: every entry is whole, and [spread] takes what it names."""

from __future__ import annotations

import pytest

from airrisk.installation.field_spec import QUANTITY_KINDS
from airrisk.installation.inputs import Input, inputs, inputs_of, is_yes_or_no
from airrisk.installation.spreads import DISTRIBUTIONS, spread_fields
from airrisk.quantities import UNIT_SETS
from airrisk.tables import read_toml

EVERY = [pytest.param(one, id=f"{one.of}.{one.field}") for one in inputs()]
KEYS = {
    "of", "field", "each", "enters", "knob", "spread", "only_swept", "kind", "default", "low",
    "high", "unit", "us_unit",
}  # fmt: skip
OF_A_SPREAD = {"distribution", "relative", "offset", "standing", "source", "interval"}


def test_no_input_stands_there_twice_and_no_key_is_unknown():
    names = [(one.of, one.field) for one in inputs()]
    assert len(names) == len(set(names))
    for row in read_toml("inputs.toml")["input"]:
        assert set(row) <= KEYS, row["field"]
        parameters = DISTRIBUTIONS[row["spread"]["distribution"]][0] if "spread" in row else ()
        assert set(row.get("spread", {})) <= OF_A_SPREAD | set(parameters), row["field"]


@pytest.mark.parametrize("one", EVERY)
def test_every_input_has_bounds_and_a_unit(one: Input):
    assert one.spec.low is not None
    assert one.spec.high is not None
    assert one.spec.low < one.spec.high
    assert one.kind in QUANTITY_KINDS | {"number", "share"}
    if one.kind in QUANTITY_KINDS:
        assert all(one.spec.unit_in(units) for units in UNIT_SETS)
        assert one.spec.range_text()


@pytest.mark.parametrize("one", EVERY)
def test_every_input_has_a_default_spread_with_its_source_or_says_why_not(one: Input):
    if one.spread is None:
        assert one.only_swept
        return
    assert not one.only_swept
    assert one.spread.source
    assert one.spread.standing in {"P", "M", "J"}
    parameters, optional = DISTRIBUTIONS[one.spread.distribution]
    assert set(parameters) - optional <= set(one.spread.parameters) | {"median", "mean", "mode"}


@pytest.mark.parametrize("one", EVERY)
def test_the_file_takes_a_spread_of_every_input(one: Input):
    assert one.spec in spread_fields(one.of)
    assert one.in_file == bool(one.spec.attr)


def test_what_is_no_field_of_a_file_is_taken_by_its_spread_alone():
    known = {one.key for one in spread_fields("plug")}
    assert {one.field for one in inputs_of("plug")} <= known
    assert "works" in known
    assert is_yes_or_no("FP1.works")
    assert not is_yes_or_no("FP1.bore")
