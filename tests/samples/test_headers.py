"""What a sample says of itself at its top is so."""

from __future__ import annotations

import re

import pytest

from airrisk.physics.alloys import alloy
from tests.samples.answers import sample_answer, sample_installation, sample_source

SCHOOL = "school-laboratory"


def header(name: str) -> str:
    """The comment at the top, as one line."""
    lines = sample_source(name).decode().splitlines()
    told = [line.lstrip("# ") for line in lines[: lines.index("")]]
    return re.sub(r"\s+", " ", " ".join(told))


@pytest.mark.parametrize(
    "claim",
    [
        "50 L vessel",
        "Its vessel is safe in every fire that is run",
        "the thin line to the bench is not: shut in, its metal gives way",
        "So little air is let loose there that it is a warning and no danger",
        "air is drawn on the bench through one valve",
        "with nothing between that could be shut",
        "the plug lets go below the temperature at which the pressure reaches design",
        "a fire in the preparation room (standard curve, 30 minutes) around vessel and line",
    ],
)
def test_the_school_laboratory_says_what_the_tests_below_hold(claim: str) -> None:
    assert claim in header(SCHOOL)


def test_the_school_vessel_is_safe_in_every_fire_and_its_line_is_not() -> None:
    fires = sample_answer(SCHOOL).fires
    vessel = [one for one in fires if "R1" in one.members]
    line = [one for one in fires if "L1" in one.members]
    assert {one.fire_class for one in vessel} == {"stated", "whole", "beside", "spot"}
    assert all(one.safe for one in vessel)
    failed = {one.fire_class: one.envelope for one in line if not one.safe}
    assert set(failed) == {"stated", "whole"}
    for seen in failed.values():
        assert seen is not None
        assert (seen.outcome, seen.reason.part) == ("ruptures", "L1")


def test_all_that_the_school_laboratory_finds_above_a_note_is_of_its_line() -> None:
    answer = sample_answer(SCHOOL)
    graver = {(one.severity, one.part) for one in answer.findings if one.severity != "note"}
    assert graver == {("warning", "L1")}
    told = {one.part for one in answer.findings if one.rule == "fire-outcome"}
    assert told == {"L1"}


def test_nothing_in_the_school_laboratory_can_be_shut_between_vessel_and_devices() -> None:
    whole = sample_installation(SCHOOL)
    assert [valve.on for valve in whole.valves] == ["L1"]
    assert [one.on for one in (*whole.plugs, *whole.relief_valves)] == ["R1", "R1"]
    assert whole.vessels[0].volume == pytest.approx(0.05)


def test_the_school_plug_lets_go_before_the_pressure_reaches_design() -> None:
    """By hand: the air is shut in, so that p/T stays: T = T1 (p_design + p_a)/(p1 + p_a)."""
    whole = sample_installation(SCHOOL)
    vessel, plug = whole.vessels[0], whole.plugs[0]
    at_design = 293.15 * (12.0 + 1.013) / (8.0 + 1.013)  # 423 K, 150 degC
    assert vessel.design_pressure / vessel.pressure == pytest.approx(at_design / 293.15)
    assert alloy(plug.alloy).liquidus == pytest.approx(138.0 + 273.15, abs=1.0)
    assert alloy(plug.alloy).liquidus < at_design


def test_the_fire_of_the_school_laboratory_is_the_one_that_is_told() -> None:
    (fire,) = sample_installation(SCHOOL).fires
    assert (fire.curve, fire.duration, fire.reaches) == ("standard", 1800.0, ("R1", "L1"))
