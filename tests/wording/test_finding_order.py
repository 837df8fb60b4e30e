"""Findings sorted and filed by severity, part, rule, cause and action."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from airrisk.installation.naming import in_order
from airrisk.wording.finding_order import (
    ACTION,
    CAUSE,
    PART,
    RULE,
    SEVERITY,
    WAYS,
    Known,
    filed_under,
    ordered,
)
from airrisk.wording.findings import worst_first
from airrisk.wording.labels import severity_rank
from tests.samples.answers import sample_answer

NAME = "river-ferry"


@pytest.fixture(scope="module")
def known() -> Known:
    """The sample with two causes, as somebody who has asked for them sees it."""
    answer = sample_answer(NAME)
    worst = worst_first(answer.findings)
    causes = (SimpleNamespace(findings=(worst[1],)), SimpleNamespace(findings=(worst[0], worst[1])))
    return Known.of(answer, replace(answer, causes=causes))


@pytest.mark.parametrize("way", list(WAYS))
def test_every_order_holds_every_finding_once(known: Known, way: str) -> None:
    findings = sample_answer(NAME).findings
    found = ordered(findings, way, known)
    assert len(found) == len(findings)
    assert all(one in found for one in findings)


def test_the_worst_stand_first_and_among_those_that_are_alike(known: Known) -> None:
    findings = sample_answer(NAME).findings
    assert ordered(findings, SEVERITY, known) == worst_first(findings)
    by_part = ordered(findings, PART, known)
    parts = list(dict.fromkeys(one.part for one in by_part))
    assert parts == list(in_order(parts))
    for part in parts:
        ranks = [severity_rank(one.severity) for one in by_part if one.part == part]
        assert ranks == sorted(ranks)


def test_what_has_no_cause_comes_last_and_is_filed_as_such(known: Known) -> None:
    findings = sample_answer(NAME).findings
    worst = worst_first(findings)
    found = ordered(findings, CAUSE, known)
    assert found[:2] == [worst[1], worst[0]]
    assert known.cause(found[-1]) is None
    words = filed_under(findings, CAUSE, known)
    assert words[:2] == ["cause 1", "cause 2"]
    assert words[-1] == "no cause known"


def test_nobody_has_asked_for_causes() -> None:
    answer = sample_answer(NAME)
    assert filed_under(answer.findings, CAUSE, Known.of(answer, None)) == ["no cause known"]


def test_a_finding_is_filed_under_each_action_about_it(known: Known) -> None:
    answer = sample_answer(NAME)
    words = filed_under(answer.findings, ACTION, known)
    assert words[-1] == "nothing decided"
    for one in answer.findings:
        assert (one.accepted in known.about(one)) or not one.accepted
    rules = filed_under(answer.findings, RULE, known)
    assert rules == sorted(rules, key=str.casefold)
