"""The numbers beside a finding: those that it used, and no records of the program."""

from __future__ import annotations

import re

import pytest

from airrisk import tables
from airrisk.window.facts.finding_source import finding_source_html
from airrisk.wording.units import Units
from tests.samples.answers import sample_answer


@pytest.mark.parametrize("name", sorted(tables.sample_names()))
def test_no_record_of_the_program_stands_among_the_numbers(name):
    for one in sample_answer(name).findings:
        html = finding_source_html(one, Units())
        assert not re.search(r"\b[A-Z]\w+\(\w+=", html), html
        assert "variant" not in html


def test_the_numbers_stand_there_with_their_units():
    one = next(f for f in sample_answer("dairy-hall").findings if f.rule == "fire-outcome")
    html = finding_source_html(one, Units())
    assert "rupture" in html
    assert "min" in html
