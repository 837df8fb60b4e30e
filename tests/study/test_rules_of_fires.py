"""Rules about the fires: failing, passing and edge."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import (
    Choices,
    Fire,
    Installation,
)
from airrisk.study.records import EventRecord, Failure, FireRecord, Margins
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.study.rule_plants import (
    found,
    severities,
    sound,
    with_valve,
)


def fire_record(**other: Any) -> FireRecord:
    """A fire that ends well."""
    values: dict[str, Any] = {
        "id": "F1",
        "section": "C1+L1+R1",
        "closed_valves": (),
        "default_case": None,
        "outcome": "vents in time",
        "reason": "empty",
        "kept_by": "heat",
        "safe": True,
        "events": (EventRecord(300.0, "plug opens", "P1"), EventRecord(500.0, "empty", "R1")),
        "peak_pressure_pa": 1.4e6,
        "peak_strength_use": 0.4,
        "time_to_rupture_without_vent_s": 700.0,
        "smallest_bore_m": {"P1": 0.008},
        "by_basis": {"tensile": "vents in time", "yield": "vents in time"},
        "inner_radiation": "on",
        "balance": None,
        "curves": None,
        "members": ("C1", "L1", "R1"),
        "exposed": ("R1",),
        "margins": Margins(400.0, 0.267, 0.667, {"P1": 420.0}, "R1"),
        "first_vent_s": 300.0,
    }
    return FireRecord(**(values | other))


BAD: dict[str, Any] = {
    "outcome": "ruptures",
    "safe": False,
    "kept_by": "none",
    "events": (EventRecord(600.0, "rupture", "R1"),),
    "first_vent_s": None,
    "smallest_bore_m": {},
    "by_basis": {"tensile": "ruptures", "yield": "ruptures"},
    "peak_strength_use": 1.0,
}


@pytest.mark.parametrize(
    ("case", "expected"), [(None, "danger"), ("a", "danger"), ("b", "warning"), ("c", "note")]
)
def test_unsafe_outcomes_weigh_by_case(case: str | None, expected: str) -> None:
    record = fire_record(**BAD, default_case=case)
    assert severities("fire-outcome", sound(), [record]) == [expected]
    assert found("fire-outcome", sound(), [fire_record(default_case=case)]) == []


def test_plug_without_credit_is_named_with_what_it_would_do() -> None:
    record = fire_record(**BAD, uncredited_plugs=("P1",), outcome_if_plugs_work="vents in time")
    (one,) = found("fire-outcome", sound(), [record])
    assert one.values["variant"] == "file_uncredited"
    text = finding_text(one, Units())
    assert "P1" in text
    assert "vents in time" in text


def test_like_cases_of_a_section_make_one_finding() -> None:
    records = [
        fire_record(**BAD, default_case="b", id="Quarter of R1", start="pressure"),
        fire_record(**BAD, default_case="b", id="Quarter of R1 high", start="highest"),
        fire_record(**BAD, default_case="c", id="Twentieth of R1"),
        fire_record(**BAD, id="F1"),
        fire_record(**BAD, id="F2"),
    ]
    findings = found("fire-outcome", sound(), records)
    assert [len(f.values["fires"]) for f in findings] == [1, 1, 2, 1]
    assert {name for f in findings for name in f.values["fires"]} == {r.id for r in records}


@pytest.mark.parametrize(("case", "expected"), [("a", "note"), ("b", "note"), (None, "danger")])
def test_little_air_weighs_less_except_in_the_files_own_fires(
    case: str | None, expected: str
) -> None:
    plant = replace(sound(), choices=Choices(small_section=2e6))
    record = fire_record(**BAD, default_case=case)
    assert severities("fire-outcome", plant, [record]) == [expected]


@pytest.mark.parametrize(("share", "expected"), [(0.999, "danger"), (1.001, "note")])
def test_little_air_is_what_lies_below_the_limit_itself(share: float, expected: str) -> None:
    # arithmetic: 1 m3 and a pipe of 10 m x 50 mm, both at 10 bar(g)
    stored = 1.0e6 * (1.0 + math.pi / 4 * 0.05**2 * 10.0)
    plant = replace(sound(), choices=Choices(small_section=share * stored))
    record = fire_record(**BAD, default_case="a")
    assert severities("fire-outcome", plant, [record]) == [expected]


def test_outlasting_above_the_limit_is_unsafe() -> None:
    record = fire_record(**(BAD | {"outcome": "outlasts the fire", "peak_strength_use": 0.7}))
    assert severities("fire-outcome", sound(), [record]) == ["danger"]


def test_run_that_did_not_converge_is_never_silent() -> None:
    record = fire_record(**(BAD | {"outcome": "not converged", "reason": "step too small"}))
    assert severities("calculation-failed", sound(), [record]) == ["danger"]
    assert found("fire-outcome", sound(), [record]) == []
    same = (Failure("fire", "F1 on R1", "step too small"),)
    assert len(found("calculation-failed", sound(), [record], failures=same)) == 1
    other = (Failure("screening", "R1", "no room for air"),)
    assert len(found("calculation-failed", sound(), [record], failures=other)) == 2
    assert found("calculation-failed", sound(), [fire_record()]) == []


def beside(share: float = 0.25) -> Installation:
    fire = Fire(id="F1", curve="hydrocarbon", reaches=("R1",), exposed_share=(("R1", share),))
    return sound(fires=(fire,))


def test_plug_out_of_reach() -> None:
    rule = "plug-out-of-reach-of-fire"
    (one,) = found(rule, beside(), [fire_record(**BAD)])
    assert (one.part, one.severity, one.values["variant"]) == ("P1", "danger", "never")
    assert one.values["plug_temperature_k"] == 420.0
    assert found(rule, beside(), [fire_record()]) == []  # safe
    assert found(rule, beside(1.0), [fire_record(**BAD)]) == []  # the plug is in the fire
    uncredited = fire_record(**BAD, uncredited_plugs=("P1",))
    assert found(rule, beside(), [uncredited]) == []  # another cause
    late = fire_record(
        **(BAD | {"outcome": "vents too late", "events": (EventRecord(650.0, "plug opens", "P1"),)})
    )
    assert found(rule, beside(), [late])[0].values["opens_s"] == 650.0


@pytest.mark.parametrize(
    ("need", "expected"), [(0.0101, ["danger"]), (0.010, []), (None, []), (0.008, [])]
)
def test_bore(need: float | None, expected: list[str]) -> None:
    record = fire_record(**(BAD | {"smallest_bore_m": {"P1": need}}))
    assert severities("bore-too-small", sound(), [record]) == expected


def test_bore_of_a_safe_outcome_is_enough() -> None:
    assert found("bore-too-small", sound(), [fire_record(smallest_bore_m={"P1": 0.02})]) == []


def test_largest_need_of_all_fires_counts() -> None:
    records = [
        fire_record(**(BAD | {"smallest_bore_m": {"P1": need}}), id=f"F{need}", default_case=case)
        for need, case in ((0.02, None), (0.03, "c"))
    ]
    (one,) = found("bore-too-small", sound(), records)
    assert one.values["smallest_bore_m"] == 0.03
    assert one.severity == "danger"


@pytest.mark.parametrize(
    ("yields", "case", "expected"),
    [
        ("ruptures", None, ["warning"]),
        ("outlasts the fire", None, ["note"]),
        ("vents in time", None, []),
        ("ruptures", "c", ["note"]),
    ],
)
def test_verdict_by_basis(yields: str, case: str | None, expected: list[str]) -> None:
    record = fire_record(by_basis={"tensile": "vents in time", "yield": yields}, default_case=case)
    assert severities("verdict-depends-on-strength-basis", sound(), [record]) == expected


def test_safe_fire_kept_by_the_relief_valve_is_said() -> None:
    record = fire_record(outcome="outlasts the fire", kept_by="pressure")
    assert severities("kept-by-pressure-alone", sound(), [record]) == ["warning"]
    assert found("kept-by-pressure-alone", sound(), [fire_record()]) == []


def burning(*reaches: str, **other: Any) -> Fire:
    values: dict[str, Any] = {
        "id": "F1",
        "curve": "standard",
        "reaches": reaches,
        "exposed_share": tuple((name, 1.0) for name in reaches),
    }
    return Fire(**(values | other))


def test_a_vessel_that_no_fire_of_the_file_reaches_is_told() -> None:
    plant = with_valve(state="locked open")
    (one,) = found("fire-not-calculated", replace(plant, fires=(burning("R1"),)))
    assert (one.severity, one.part, one.values["variant"]) == ("warning", "R2", "")
    assert found("fire-not-calculated", replace(plant, fires=(burning("R1", "R2"),))) == []
    # without any fire in the file the study makes one for every section
    assert found("fire-not-calculated", plant) == []


def test_a_fire_with_a_valve_open_that_may_be_shut_does_not_tell_of_the_section_shut_in() -> None:
    plant = with_valve()
    both = burning("R1", "R2", closed=())
    told = found("fire-not-calculated", replace(plant, fires=(both,)))
    assert [(f.part, f.values["valves"]) for f in told] == [("R1", ("V1",)), ("R2", ("V1",))]
    assert {f.values["variant"] for f in told} == {"open"}
    # one fire with the valve shut is enough, named or left out
    for shut in (burning("R1", "R2", id="F2"), burning("R1", "R2", id="F2", closed=("V1",))):
        assert found("fire-not-calculated", replace(plant, fires=(both, shut))) == []


def test_a_small_vessel_that_no_fire_reaches_is_a_note() -> None:
    plant = with_valve()
    small = replace(plant.vessels[1], volume=0.001)
    plant = replace(plant, vessels=(plant.vessels[0], small), fires=(burning("R1"),))
    assert severities("fire-not-calculated", plant) == ["note"]


def test_a_basis_that_outlasts_above_its_limit_turns_the_verdict() -> None:
    """Property: the word is the same on both bases, the answer is not."""
    record = fire_record(
        outcome="outlasts the fire",
        by_basis={"tensile": "outlasts the fire", "yield": "outlasts the fire"},
        side_runs_safe={"tensile": True, "yield": False},
    )
    (one,) = found("verdict-depends-on-strength-basis", sound(), [record])
    assert (one.severity, one.values["variant"]) == ("warning", "turns")
    assert "on yield: outlasts the fire, not safe" in finding_text(one, Units())
