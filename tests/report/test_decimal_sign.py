"""In a language with a decimal comma every number of the report has one."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from airrisk.report.content import build_report, units_for
from airrisk.report.html import render_html
from airrisk.wording import translation
from airrisk.wording.catalogue_making import read_source
from airrisk.wording.catalogue_places import source_path
from airrisk.wording.formulas import put_in
from airrisk.wording.languages import speak
from airrisk.wording.units import with_decimals
from tests.samples.answers import (
    sample_answer,
    sample_installation,
    sample_source,
    samples_to_print,
)

POINT = re.compile(r"(?<![\w.-])\d+\.\d+(?![\w.]|-\d)")


@pytest.fixture
def german() -> Iterator[None]:
    assert not speak("de")
    yield
    speak("en")


def _of_standards() -> frozenset[str]:
    """Numbers of tables, annexes and editions, as the translated texts name them."""
    texts = read_source(source_path("de").read_bytes(), "de")
    found: set[str] = set()
    for one in texts:
        forms = one.string if isinstance(one.string, (list, tuple)) else (one.string,)
        found.update(number for text in forms for number in POINT.findall(text))
    return frozenset(found)


@pytest.mark.parametrize("name", samples_to_print())
def test_no_number_of_a_german_report_has_a_point(german: None, name: str) -> None:
    installation = sample_installation(name)
    page = render_html(build_report(sample_answer(name), installation), units_for(installation))
    bare = re.sub(r"<(style|script).*?</\1>|<[^>]*>", "\n", page, flags=re.DOTALL)
    typed = sample_source(name).decode()  # remarks are shown as they were typed
    known = _of_standards() | frozenset(POINT.findall(typed))
    left = {
        number: line.strip()
        for line in bare.splitlines()
        for number in POINT.findall(line)
        if number not in known
    }
    assert "0,667" in bare or "0,8" in bare
    assert left == {}


def test_arguments_stand_apart_where_numbers_have_commas(german: None) -> None:
    told = put_in("F = max(182, 0.2772 / A)", {"A": 0.6})
    assert told == "max(182; 0,2772 / 0,6)"
    assert with_decimals("4.5 mm, V1.2x") == "4,5 mm, V1,2x"
    with translation.english():
        assert put_in("F = max(182, 0.2772 / A)", {"A": 0.6}) == "max(182, 0.2772 / 0.6)"
