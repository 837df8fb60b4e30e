"""Every entry of the register of inputs enters the case somewhere."""

from __future__ import annotations

import re

import pytest

from airrisk.fire.entering import RULES, rule_of
from airrisk.installation.inputs import Input, inputs
from airrisk.kernel import layout as at

NUMBER = re.compile(r"[FSPRDC]_[A-Z_]+")


@pytest.mark.parametrize("one", [pytest.param(o, id=f"{o.of}.{o.field}") for o in inputs()])
def test_an_input_enters_by_a_rule_or_at_a_number_of_the_layout(one: Input):
    _, number = rule_of(one)
    assert number == "" or (NUMBER.fullmatch(number) and hasattr(at, number))


def test_every_rule_is_used():
    assert {one.enters.split()[0] for one in inputs()} >= set(RULES)
