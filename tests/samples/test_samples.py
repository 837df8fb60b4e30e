"""Every sample against its expected answers, and against its twin.

The expected files were written by hand from the descriptions of the samples; their numbers are
arithmetic checks with the calculation beside them.
"""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from airrisk import tables
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from airrisk.report.json_output import to_json_dict
from airrisk.study.cure_trials import OF_SEARCHES
from airrisk.study.records import Assessment
from tests.samples.answers import LARGE, answer_beside, sample_answer

HERE = Path(__file__).parent
NAMES = sorted(path.stem for path in HERE.glob("*.toml"))

Key = tuple[str, str, str]


def _assessed(text: str, *, searches: bool = True) -> dict[str, Any]:
    installation, problems = check(text)
    assert installation is not None, problems
    return _as_json(answer_beside(installation, bores=searches))


def _as_json(answer: Assessment) -> dict[str, Any]:
    return json.loads(json.dumps(to_json_dict(answer)))


def _text(name: str) -> str:
    return tables.sample_path(name).read_text(encoding="utf-8")


@cache
def _answer(name: str) -> dict[str, Any]:
    return _as_json(sample_answer(name))


@cache
def _expected(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def _twin(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / "twins" / f"{name}.toml").read_text(encoding="utf-8"))


def _keys(findings: list[dict[str, Any]]) -> list[Key]:
    return sorted((f["rule"], f["severity"], f["part"]) for f in findings)


def test_every_packaged_sample_has_expected_answers_and_a_twin():
    packaged = {Path(name).stem for name in tables.sample_names()}
    assert packaged == set(NAMES)
    assert {path.stem for path in (HERE / "twins").glob("*.toml")} == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_findings_are_exactly_the_expected_ones(name):
    assert _keys(_answer(name)["findings"]) == _keys(_expected(name)["finding"])


@pytest.mark.parametrize("name", NAMES)
def test_sound_samples_have_nothing_above_a_note_but_of_their_lines_that_nobody_has_accepted(name):
    answer = _answer(name)
    severities = {
        f["severity"]
        for f in answer["findings"]
        if f["accepted"] is None and f["part"] not in answer["lines"]
    }
    assert (severities <= {"note"}) is _expected(name)["sound"]


@pytest.mark.parametrize("name", NAMES)
def test_vessels_of_sound_samples_are_safe_in_every_class_or_that_was_accepted(name):
    if not _expected(name)["sound"]:
        return
    answer = _answer(name)
    accepted = {(f["section"], f["class"]) for f in answer["findings"] if f["accepted"] is not None}
    with_vessel = [v for v in answer["verdicts"] if set(v["members"]) & set(answer["vessels"])]
    assert with_vessel
    for verdict in with_vessel:
        where = (verdict["section"], verdict["class"])
        assert (verdict["safe"] is True) is (where not in accepted), where
        if verdict["class"] in ("stated", "whole"):
            assert (verdict["safe"], verdict["sure"]) == (True, True), where


@pytest.mark.parametrize("name", NAMES)
def test_hand_calculated_numbers_agree(name):
    answer = _answer(name)
    numbers = _expected(name)["number"]
    assert len(numbers) == 3
    for number in numbers:
        found: Any = answer
        if "section_of" in number:
            found = next(
                s for s in answer["sections"]["shut_in"] if number["section_of"] in s["members"]
            )
        for key in number["path"]:
            found = found[key]
        assert found == pytest.approx(number["value"], rel=number["relative_tolerance"]), number


@pytest.mark.parametrize("name", NAMES)
def test_fires_end_as_expected(name):
    answer = _answer(name)
    for fire in _expected(name)["fire"]:
        record = next(
            f
            for f in answer["fires"]
            if f["id"] == fire["id"] and fire["part"] in f["curves"]["parts"]
        )
        assert (record["outcome"], record["safe"]) == (fire["outcome"], fire["safe"]), record


def test_a_plug_that_opens_elsewhere_is_named_with_what_it_cannot_empty():
    """Property of the dairy: FP1 stands on L1, behind a non-return valve from R1."""
    record = next(f for f in _answer("dairy-hall")["fires"] if "R1" in f["curves"]["parts"])
    assert (record["outcome"], record["reason"]) == ("ruptures", "ruptured")
    why = record["reason_values"]
    assert (why["opened"], why["emptying"], why["part"]) == (["FP1"], [], "R1")


@pytest.mark.parametrize("name", NAMES)
def test_twin_differs_by_exactly_the_stated_rules(name):
    twin = _twin(name)
    text = SystemText(_text(name))
    for edit in twin["edit"]:
        value = tomllib.loads(f"value = {edit['text']}")["value"]
        text = text.set(edit["id"], edit["field"], value)
    before = _keys(_answer(name)["findings"])
    if name in LARGE:
        before = [key for key in before if key[0] not in OF_SEARCHES]
    after = _keys(_assessed(text.text, searches=name not in LARGE)["findings"])
    for key in _keys(twin["removed"]):
        before.remove(key)
    assert after == sorted(before + _keys(twin["added"]))
