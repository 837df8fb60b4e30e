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
from airrisk.installation.sections import shut_in
from airrisk.study.records import (
    BoreSearch,
    CornerRecord,
    Cure,
    DoubtRecord,
    EnvelopeRecord,
    EventRecord,
    Failure,
    FireRecord,
    FlameAway,
    Margins,
)
from airrisk.study.verdicts import verdict_records
from airrisk.verdict.rule import Reason
from tests.study.networks import line, vessel
from tests.study.rule_plants import (
    MEMBERS,
    TYPED,
    fire_record,
    found,
    severities,
    sound,
    with_valve,
)


def worst_run(outcome: str, **other: Any) -> EnvelopeRecord:
    """The worst of the runs of a fire."""
    values: dict[str, Any] = {
        "runs": 24,
        "corner": CornerRecord(1.2e6, "highest", 1.0, 1.0, "credited", "off"),
        "outcome": outcome,
        "reason": Reason("ruptured" if outcome == "ruptures" else "limit passed", "R1"),
        "peak_strength_use": 1.0 if outcome == "ruptures" else 0.7,
        "peak_pressure_pa": 1.5e6,
        "rupture_s": 500.0 if outcome == "ruptures" else None,
        "first_vent_s": None,
        "first_vent_by_part_s": {},
        "controlling_part": "R1",
        "outcome_credited": outcome,
    }
    return EnvelopeRecord(**(values | other))


BAD: dict[str, Any] = {
    "outcome": "ruptures",
    "reason": Reason("ruptured", "R1"),
    "safe": False,
    "sure": None,
    "kept_by": "none",
    "events": (EventRecord(600.0, "rupture", "R1"),),
    "first_vent_s": None,
    "smallest_bore_m": {},
    "by_basis": {"tensile": "ruptures", "yield": "ruptures"},
    "peak_strength_use": 1.0,
}
PASSED: dict[str, Any] = BAD | {
    "outcome": "passes the limit",
    "reason": Reason("limit passed", "R1"),
    "events": (),
    "peak_strength_use": 0.7,
}
CLASSES = ("stated", "whole", "beside", "spot")


# outcomes


@pytest.mark.parametrize(
    ("fire_class", "rupture", "passed"),
    [
        ("stated", "danger", "danger"), ("whole", "danger", "danger"),
        ("beside", "danger", "warning"), ("spot", "danger", "warning"),
    ],
)  # fmt: skip
def test_unsafe_outcomes_weigh_by_class(fire_class: str, rupture: str, passed: str) -> None:
    for values, expected in ((BAD, rupture), (PASSED, passed)):
        record = fire_record(**values, fire_class=fire_class)
        (one,) = found("fire-outcome", sound(), [record])
        assert (one.severity, one.part) == (expected, "R1")
        assert (one.section, one.fire_class) == ("C1+L1+R1", fire_class)
    assert found("fire-outcome", sound(), [fire_record(fire_class=fire_class)]) == []


@pytest.mark.parametrize(
    ("fire_class", "rupture", "passed"),
    [("stated", "warning", "warning"), ("beside", "warning", "warning")],
)
def test_lines_alone_weigh_one_step_less_than_danger(
    fire_class: str, rupture: str, passed: str
) -> None:
    plant = sound(lines=(line("L1", "C1", "R1"), line("L2", "closed", "closed", pressure=1.1e6)))
    for values, expected in ((BAD, rupture), (PASSED, passed)):
        record = fire_record(**values, fire_class=fire_class, section="L2", members=("L2",))
        assert severities("fire-outcome", plant, [record]) == [expected]


@pytest.mark.parametrize("fire_class", CLASSES)
def test_what_is_not_safe_is_never_less_than_a_warning(fire_class: str) -> None:
    plant = replace(sound(), choices=Choices(small_section=2e6))
    for values in (BAD, PASSED):
        record = fire_record(**values, fire_class=fire_class)
        assert severities("fire-outcome", plant, [record]) == ["warning"]


@pytest.mark.parametrize(("litres", "expected"), [(4.8, "danger"), (4.7, "warning")])
def test_the_highest_pressure_decides_what_little_air_is(litres: float, expected: str) -> None:
    # arithmetic: 4.8 L at 1.15e6 Pa, the set pressure of its relief valve, less 101325 Pa, is
    # above 5000 J; by the stated pressure of nothing at all it would hold nothing
    empty = vessel("R1", volume=litres / 1e3, pressure=101325.0, given=TYPED)
    plant = sound(vessels=(empty,), lines=(), compressors=())
    record = fire_record(**BAD, section="R1", members=("R1",))
    assert severities("fire-outcome", plant, [record]) == [expected]


def test_one_finding_for_each_section_and_class_with_the_worst_run() -> None:
    """Property: however many vessels, spots and pressures; the numbers are of the worst run."""
    records = [
        fire_record(**BAD, id="Beside R1", fire_class="beside", envelope=worst_run("ruptures")),
        fire_record(**PASSED, id="Beside R2", fire_class="beside"),
        fire_record(id="Beside R3", fire_class="beside"),
        fire_record(**PASSED, id="Spot on R1", fire_class="spot"),
        fire_record(**BAD, id="F1"),
        fire_record(**BAD, id="F2"),
    ]
    findings = found("fire-outcome", sound(), records)
    by_class = {one.fire_class: one for one in findings}
    assert len(findings) == len(by_class) == 3
    assert by_class["beside"].values["fires"] == ("Beside R1", "Beside R2")
    assert by_class["beside"].values["rupture_s"] == 500.0
    assert by_class["spot"].values["fire"] == "Spot on R1"
    assert by_class["stated"].values["fires"] == ("F1", "F2")


def test_a_fire_that_is_safe_as_stated_and_ruptures_in_its_worst_run_is_told() -> None:
    record = fire_record(safe=False, sure=None, envelope=worst_run("ruptures"))
    (one,) = found("fire-outcome", sound(), [record])
    assert (one.severity, one.values["outcome"]) == ("danger", "ruptures")
    assert one.values["as_stated"] == "vents in time"


def test_a_changing_value_whose_envelope_has_not_been_run_is_no_finding_yet() -> None:
    """Property: the verdict is not known, and nothing is said of it."""
    records = [fire_record(safe=None, sure=None)]
    verdicts = [replace(one, safe=None) for one in verdict_records(records, (), "tensile")]
    assert found("fire-outcome", sound(), records, verdicts=tuple(verdicts)) == []


@pytest.mark.parametrize(("share", "expected"), [(0.999, "danger"), (1.001, "warning")])
def test_little_air_is_what_lies_below_the_limit_itself(share: float, expected: str) -> None:
    # arithmetic: 1 m3 and a pipe of 10 m x 50 mm, both at the set pressure of the relief valve
    stored = (1.15e6 - 101325.0) * (1.0 + math.pi / 4 * 0.05**2 * 10.0)
    plant = replace(sound(), choices=Choices(small_section=share * stored))
    record = fire_record(**BAD)
    assert severities("fire-outcome", plant, [record]) == [expected]


def test_run_that_did_not_converge_is_never_silent() -> None:
    failed = {"outcome": "not converged", "reason": Reason("solver", detail="step too small")}
    record = fire_record(**(BAD | failed))
    (one,) = found("calculation-failed", sound(), [record])
    assert (one.severity, one.section, one.fire_class) == ("danger", "C1+L1+R1", "stated")
    assert found("fire-outcome", sound(), [record]) == []
    same = (Failure("fire", "F1 on R1", "step too small"),)
    assert len(found("calculation-failed", sound(), [record], failures=same)) == 1
    other = (Failure("screening", "R1", "no room for air"),)
    assert len(found("calculation-failed", sound(), [record], failures=other)) == 2
    assert found("calculation-failed", sound(), [fire_record()]) == []


def test_a_run_of_the_envelope_that_did_not_converge_is_never_silent() -> None:
    seen = worst_run("not converged", reason=Reason("solver", "R1", detail="step too small"))
    record = fire_record(safe=False, sure=None, envelope=seen)
    (one,) = found("calculation-failed", sound(), [record])
    assert one.values["reason"] == "step too small"


def test_a_failed_run_does_not_hide_the_rupture_in_another_fire_of_its_class() -> None:
    failed = fire_record(
        **(BAD | {"outcome": "not converged", "reason": Reason("solver", detail="no")}), id="F2"
    )
    records = [failed, fire_record(**BAD)]
    assert [one.values["fire"] for one in found("fire-outcome", sound(), records)] == ["F1"]
    assert len(found("calculation-failed", sound(), records)) == 1


# doubts


def doubt(what: str, outcome: str = "ruptures", use: float = 1.0) -> DoubtRecord:
    return DoubtRecord(what, outcome, outcome == "vents in time", use, "worst")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("what", "rule", "expected"),
    [
        ("strength basis", "strength-basis", "warning"),
        ("relief valve", "relief-valve", "warning"),
        ("convection 0.6", "convection", "warning"),
        ("convection 1.4", "convection", "warning"),
        ("creep rate", "creep-rate", "warning"),
        ("insulation", "insulation", "warning"),
        ("contact", "slow-plug", "note"),
        ("flames on the plug", "slow-plug", "note"),
        ("metal at the plug", "slow-plug", "note"),
        ("slow plug", "slow-plug", "note"),
        ("half the bore", "whole-bore", "note"),
    ],
)
def test_a_doubt_that_turns_a_safe_verdict_is_told(what: str, rule: str, expected: str) -> None:
    record = fire_record(sure=False, doubts=(doubt(what),))
    (one,) = found(f"verdict-depends-on-{rule}", sound(), [record])
    assert (one.severity, one.part, one.section) == (expected, "R1", "C1+L1+R1")
    assert (one.values["doubt"], one.values["outcome"]) == (what, "ruptures")
    holds = fire_record(doubts=(doubt(what, "vents in time", 0.5),))
    assert found(f"verdict-depends-on-{rule}", sound(), [holds]) == []
    unsafe = fire_record(**BAD, doubts=(doubt(what),))
    assert found(f"verdict-depends-on-{rule}", sound(), [unsafe]) == []


def test_one_finding_for_each_doubt_and_section() -> None:
    """Property: the worst of its fires; all three doubts of a slow plug are one note."""
    whats = ("strength basis", "contact", "flames on the plug", "metal at the plug")
    records = [
        fire_record(
            sure=False, doubts=tuple(doubt(what, "passes the limit", 0.7) for what in whats)
        ),
        fire_record(sure=False, fire_class="whole", doubts=(doubt("strength basis"),)),
    ]
    (basis,) = found("verdict-depends-on-strength-basis", sound(), records)
    assert basis.values["classes"] == ("stated", "whole")
    assert (basis.fire_class, basis.values["outcome"]) == ("whole", "ruptures")
    (slow,) = found("verdict-depends-on-slow-plug", sound(), records)
    assert set(slow.values["doubts"]) == set(whats[1:])


@pytest.mark.parametrize(
    ("fire_class", "outcome", "expected"),
    [
        ("whole", "passes the limit", "warning"),
        ("beside", "passes the limit", "warning"),
        ("beside", "not converged", "warning"),
    ],
)
def test_a_doubt_is_never_more_than_a_warning(fire_class: str, outcome: str, expected: str) -> None:
    record = fire_record(
        sure=False, fire_class=fire_class, doubts=(doubt("strength basis", outcome),)
    )
    assert severities("verdict-depends-on-strength-basis", sound(), [record]) == [expected]


def test_a_doubt_weighs_no_more_than_its_class_would() -> None:
    little = replace(sound(), choices=Choices(small_section=2e6))
    record = fire_record(sure=False, doubts=(doubt("strength basis"),))
    assert severities("verdict-depends-on-strength-basis", little, [record]) == ["note"]
    plant = sound(lines=(line("L2", "closed", "closed", pressure=1.1e6),))
    lines = {"section": "L2", "members": ("L2",), "sure": False, "fire_class": "beside"}
    for outcome, expected in (("ruptures", "warning"), ("passes the limit", "note")):
        record = fire_record(**lines, doubts=(doubt("strength basis", outcome, 0.7),))
        assert severities("verdict-depends-on-strength-basis", plant, [record]) == [expected]


def test_a_verdict_that_turns_without_the_relief_valve_is_told_once() -> None:
    kept = fire_record(outcome="outlasts the fire", kept_by="pressure")
    assert severities("kept-by-pressure-alone", sound(), [kept]) == ["warning"]
    turns = replace(kept, sure=False, doubts=(doubt("relief valve"),))
    assert severities("verdict-depends-on-relief-valve", sound(), [turns]) == ["warning"]
    assert found("kept-by-pressure-alone", sound(), [turns]) == []


def test_safe_fires_kept_by_the_relief_valve_are_said_once_a_section() -> None:
    records = [
        fire_record(id=f"F-{one}", outcome="outlasts the fire", kept_by="pressure", fire_class=one)
        for one in CLASSES
    ]
    assert severities("kept-by-pressure-alone", sound(), records) == ["warning"]
    assert severities("kept-by-pressure-alone", sound(), records[2:]) == ["note"]
    assert found("kept-by-pressure-alone", sound(), [fire_record()]) == []


# a flame away from the plugs


def test_how_long_a_vessel_stands_a_flame_away_from_its_plugs_is_a_note() -> None:
    rule = "flame-away-from-plugs"
    (one,) = found(rule, sound(), flame_away={"R1": FlameAway(272.0, None)})
    assert (one.severity, one.part, one.values["rupture_s"]) == ("note", "R1", 272.0)
    assert one.values["variant"] == "shut"
    (vented,) = found(rule, sound(), flame_away={"R1": FlameAway(272.0, 100.0)})
    assert vented.values["variant"] == "vented"
    assert found(rule, sound(), flame_away={"R1": FlameAway(None, 100.0)}) == []
    assert found(rule, sound()) == []


def test_how_long_a_vessel_stands_a_jet_on_a_spot_is_a_note() -> None:
    rule = "jet-on-a-spot"
    (one,) = found(rule, sound(), jet_spot={"R1": FlameAway(139.0, None)})
    assert (one.severity, one.part, one.values["rupture_s"]) == ("note", "R1", 139.0)
    assert (one.values["flux_w_m2"], one.values["variant"]) == (300e3, "shut")
    (vented,) = found(rule, sound(), jet_spot={"R1": FlameAway(272.0, 100.0)})
    assert vented.values["variant"] == "vented"
    assert found(rule, sound(), jet_spot={"R1": FlameAway(None, 100.0)}) == []
    assert found(rule, sound(), flame_away={"R1": FlameAway(139.0, None)}) == []


# plugs in the fires


def beside(share: float = 0.25) -> Installation:
    fire = Fire(
        id="F1",
        curve="hydrocarbon",
        reaches=("R1",),
        exposed_share=(("R1", share),),
        convection=50.0,
    )
    return sound(fires=(fire,))


def test_plug_out_of_reach() -> None:
    rule = "plug-out-of-reach-of-fire"
    (one,) = found(rule, beside(), [fire_record(**BAD)])
    assert (one.part, one.severity, one.values["variant"]) == ("P1", "danger", "never")
    assert one.values["plug_temperature_k"] == 420.0
    assert found(rule, beside(), [fire_record()]) == []  # safe
    assert found(rule, beside(1.0), [fire_record(**BAD)]) == []  # the plug is in the fire
    uncredited = fire_record(**BAD, uncredited={"P1": "overdue"})
    assert found(rule, beside(), [uncredited]) == []  # another cause
    assumed = fire_record(**BAD, fire_class="beside", id="Beside R1")
    assert found(rule, beside(), [assumed]) == []  # out of the flames by its class
    late = fire_record(**(PASSED | {"events": (EventRecord(650.0, "plug opens", "P1"),)}))
    assert found(rule, beside(), [late])[0].values["opens_s"] == 650.0
    weaker = fire_record(safe=False, sure=None, envelope=worst_run("ruptures"))
    assert found(rule, beside(), [weaker])[0].values["variant"] == "weaker"


@pytest.mark.parametrize(
    ("valve", "expected"),
    [
        ({"state": "locked open"}, ["P1"]),
        ({"kind": "non-return"}, []),  # air passes from R1 to R2, not back to the plug
        ({"kind": "non-return", "reverse": True}, ["P1"]),
    ],
)
def test_a_plug_that_the_failing_part_cannot_reach_is_not_advised_into_the_fire(
    valve: dict[str, Any], expected: list[str]
) -> None:
    """Property: moved into the flames it would open and empty another vessel."""
    plant = replace(with_valve(**valve), fires=beside().fires)
    record = fire_record(**BAD, members=(*MEMBERS, "L2", "R2"))
    record = replace(record, margins=Margins(None, 0.0, 0.667, {"P1": 420.0}, "R2"))
    parts = [one.part for one in found("plug-out-of-reach-of-fire", plant, [record])]
    assert parts == expected


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
        fire_record(**(PASSED | {"smallest_bore_m": {"P1": need}}), id=f"F{need}", fire_class=of)
        for need, of in ((0.02, "stated"), (0.03, "spot"))
    ]
    (one,) = found("bore-too-small", sound(), records)
    assert one.values["smallest_bore_m"] == 0.03
    assert one.severity == "danger"


def test_a_larger_bore_is_advised_only_where_it_passes_all_runs() -> None:
    search = BoreSearch(0.012, 0.0125, None, None, None, None)
    values = BAD | {"smallest_bore_m": {"P1": 0.012}, "bores": {"P1": search}}
    (one,) = found("bore-too-small", sound(), [fire_record(**values)])
    assert (one.values["variant"], one.values["advised_bore_m"]) == ("searched", None)
    cure = Cure("bore", "P1", (), 0.0122, 411.0, 0.5, advised_m=0.016)
    (proven,) = found("bore-too-small", sound(), [fire_record(**values, cures=(cure,))])
    assert (proven.values["variant"], proven.values["advised_bore_m"]) == ("proven", 0.016)


@pytest.mark.parametrize(
    ("need", "expected"),
    [(0.008, []), (0.00801, ["warning"]), (0.0101, ["warning"]), (None, [])],
)
def test_a_bore_with_little_in_hand(need: float | None, expected: list[str]) -> None:
    # the plug has 10 mm; four fifths of it are enough
    record = fire_record(smallest_bore_m={"P1": need})
    assert severities("bore-without-margin", sound(), [record]) == expected
    unsafe = fire_record(**(BAD | {"smallest_bore_m": {"P1": need}}))
    assert found("bore-without-margin", sound(), [unsafe]) == []


def test_a_bore_with_little_in_hand_for_little_air_is_a_note() -> None:
    plant = replace(sound(), choices=Choices(small_section=2e6))
    record = fire_record(smallest_bore_m={"P1": 0.009})
    assert severities("bore-without-margin", plant, [record]) == ["note"]


# what the file states


def burning(*reaches: str, **other: Any) -> Fire:
    values: dict[str, Any] = {
        "id": "F1",
        "curve": "standard",
        "convection": 25.0,
        "reaches": reaches,
        "exposed_share": tuple((name, 1.0) for name in reaches),
    }
    return Fire(**(values | other))


def without_fire(plant: Installation, *records: FireRecord) -> list[Any]:
    sections = [(one.id, one.members, one.closed_valves) for one in shut_in(plant)]
    verdicts = verdict_records(records, sections, "tensile")
    return found("no-fire-stated", plant, records, verdicts=verdicts)


def test_a_section_that_no_fire_of_the_file_reaches_is_a_note() -> None:
    plant = replace(with_valve(), fires=(burning("R1"),))
    record = fire_record(section="C1+L1+L2+R1", closed_valves=("V1",))
    (one,) = without_fire(plant, record)
    assert (one.severity, one.part, one.section) == ("note", "R2", "R2")
    assert one.values["variant"] == "section"
    both = fire_record(section="R2", closed_valves=("V1",), members=("R2",))
    assert without_fire(plant, record, both) == []


def test_a_section_that_burns_only_with_a_valve_open_is_told_which() -> None:
    plant = replace(with_valve(), fires=(burning("R1", "R2", closed=()),))
    joined = fire_record(
        section="C1+L1+L2+R1+R2", members=(*MEMBERS, "L2", "R2"), exposed=("R1", "R2")
    )
    told = without_fire(plant, joined)
    assert {one.values["variant"] for one in told} == {"open"}
    assert {one.values["valves"] for one in told} == {("V1",)}
    assert {one.values["fires"] for one in told} == {("F1",)}


def test_a_file_without_any_fire_has_one_note() -> None:
    (one,) = without_fire(with_valve())
    assert (one.severity, one.part) == ("note", "")


def test_a_small_section_that_no_fire_reaches_is_left_alone() -> None:
    plant = with_valve()
    small = replace(plant.vessels[1], volume=0.001)
    plant = replace(plant, vessels=(plant.vessels[0], small), fires=(burning("R1"),))
    record = fire_record(section="C1+L1+L2+R1", closed_valves=("V1",))
    assert without_fire(plant, record) == []
