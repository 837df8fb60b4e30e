"""What stands above all: the worst section first, and the distance of the worst run."""

from __future__ import annotations

import dataclasses

import pytest

from airrisk.study.overview import keep_away, overview, section_rows
from airrisk.study.records import SectionRecord
from airrisk.study.verdicts import verdict_records
from tests.report import hand_made
from tests.samples.answers import sample_answer


def two_sections(first, second, **changes):
    """An answer on vessels R1 and R2, each alone in its section."""
    whole = hand_made.assessment()
    fires = (
        dataclasses.replace(first, section="R1", members=("R1",), closed_valves=("V1",)),
        dataclasses.replace(second, section="R2", members=("R2",), closed_valves=("V1",)),
    )
    sections = tuple(SectionRecord(n, (n,), ("V1",), 2.0, (), ()) for n in ("R1", "R2"))
    rows = [(one.id, one.members, one.closed_valves) for one in sections]
    answer = dataclasses.replace(
        whole,
        shut_in=sections,
        fires=fires,
        verdicts=verdict_records(fires, rows, "tensile"),
        parts={"R1": hand_made.part(), "R2": hand_made.part("R2")},
        kinds={**whole.kinds, "R2": "vessel"},
        consequences={"R1": {"fire_unvented": hand_made.case(8.1e6)}},
    )
    return dataclasses.replace(answer, **changes)


def names(answer):
    return [row.section for row in section_rows(answer)]


def test_what_is_not_safe_stands_before_what_is():
    assert names(two_sections(hand_made.fire(), hand_made.unsafe("F2"))) == ["R2", "R1"]
    assert names(two_sections(hand_made.unsafe("F2"), hand_made.fire())) == ["R1", "R2"]


def test_of_two_that_rupture_the_one_with_more_stored_energy_stands_first():
    much = dataclasses.replace(
        hand_made.part("R2"),
        stored_energy_j=dataclasses.replace(hand_made.part().stored_energy_j, isentropic=9e9),
    )
    ruptures = hand_made.unsafe("F2")
    parts = {"R1": hand_made.part(), "R2": much}
    assert names(two_sections(ruptures, ruptures, parts=parts)) == ["R2", "R1"]
    parts = {"R2": hand_made.part("R2"), "R1": dataclasses.replace(much, id="R1")}
    assert names(two_sections(ruptures, ruptures, parts=parts)) == ["R1", "R2"]


def test_of_equals_the_earlier_rupture_stands_first():
    late = hand_made.unsafe("F2")
    assert late.envelope is not None
    early = dataclasses.replace(late, envelope=dataclasses.replace(late.envelope, rupture_s=60.0))
    answer = two_sections(late, early)
    assert names(answer) == ["R2", "R1"]
    assert overview(answer).worst == section_rows(answer)[0].unsafe[0]


def test_the_soonest_rupture_is_told_where_a_graver_section_stands_above_it():
    late = hand_made.unsafe("F2")
    assert late.envelope is not None
    early = dataclasses.replace(
        late,
        envelope=dataclasses.replace(late.envelope, rupture_s=60.0, controlling_part="R2"),
    )
    much = dataclasses.replace(
        hand_made.part(),
        stored_energy_j=dataclasses.replace(hand_made.part().stored_energy_j, isentropic=9e9),
    )
    seen = overview(two_sections(late, early, parts={"R1": much, "R2": hand_made.part("R2")}))
    assert seen.worst is not None
    assert seen.worst.section == "R1"
    assert seen.soonest is not None
    assert (seen.soonest.section, seen.soonest.rupture_s) == ("R2", 60.0)


def test_a_section_of_which_only_a_line_ruptures_stands_below_one_whose_vessel_does():
    vessel = hand_made.unsafe("F2")
    assert vessel.envelope is not None
    thin = dataclasses.replace(vessel.envelope, controlling_part="L1")
    line = dataclasses.replace(vessel, envelope=thin)
    much = dataclasses.replace(
        hand_made.part(),
        stored_energy_j=dataclasses.replace(hand_made.part().stored_energy_j, isentropic=9e9),
    )
    parts = {"R1": much, "R2": hand_made.part("R2")}
    beside = dataclasses.replace(
        vessel, envelope=dataclasses.replace(vessel.envelope, controlling_part="R2")
    )
    answer = two_sections(line, beside, parts=parts)
    assert names(answer) == ["R2", "R1"]


def test_a_line_that_ruptures_sooner_does_not_hide_the_vessel_of_its_section():
    vessel = hand_made.unsafe("F2")
    assert vessel.envelope is not None
    thin = dataclasses.replace(vessel.envelope, rupture_s=60.0, controlling_part="L9")
    line = dataclasses.replace(vessel, id="F3", fire_class="beside", envelope=thin)
    answer = two_sections(vessel, hand_made.fire())
    whole = dataclasses.replace(line, section="R1", members=("R1",), closed_valves=("V1",))
    fires = (*answer.fires, whole)
    rows = [(one.id, one.members, one.closed_valves) for one in answer.shut_in]
    seen = overview(dataclasses.replace(
        answer, fires=fires, verdicts=verdict_records(fires, rows, "tensile")
    ))  # fmt: skip
    assert seen.worst is not None
    assert seen.worst.part == "R1"
    assert seen.soonest is not None
    assert (seen.soonest.part, seen.soonest.rupture_s) == ("L9", 60.0)


def test_a_vessel_without_distances_is_named_and_none_is_taken_from_one_that_stands_all():
    whole = two_sections(hand_made.fire(), hand_made.unsafe("F2"))
    seen = overview(dataclasses.replace(whole, flame_away={}))
    assert seen.keep_away is None
    assert "R2" in seen.without_distance


def test_nobody_is_told_to_come_nearer_because_another_vessel_is_not_safe():
    """R1 is safe, and a flame away from its plugs ruptures it all the same."""
    whole = two_sections(hand_made.fire(), hand_made.unsafe("F2"))
    assert whole.flame_away["R1"].rupture_s is not None
    safe = overview(two_sections(hand_made.fire(), hand_made.fire("F2")))
    seen = overview(whole)
    assert safe.keep_away is not None
    assert seen.keep_away is not None
    assert seen.keep_away.farthest_m >= safe.keep_away.farthest_m
    assert "R2" in seen.without_distance


@pytest.mark.parametrize("name", ["dairy-hall", "river-ferry"])
def test_the_distance_of_the_worst_run_is_never_below_that_of_any_case_a_fire_brings(name):
    """Property, over the blast and the pieces of every case."""
    answer = sample_answer(name)
    seen = overview(answer)
    assert seen.keep_away is not None
    for vessel, cases in answer.consequences.items():
        own = keep_away(answer, vessel)
        unsafe = any(row.unsafe for row in seen.rows if vessel in row.members)
        if own is None or not unsafe:
            continue
        assert seen.keep_away.farthest_m >= own.farthest_m
        ranges = [
            way.range_90_m
            for case, record in cases.items()
            if case != "cold_burst"
            for way in record.fragments.ways
            if way.way == "few pieces, likely"
        ]
        assert own.pieces_m == max(ranges)
    worst = [
        fire.envelope.rupture_state["pressure_pa"]
        for fire in answer.fires
        if fire.envelope is not None
        and fire.envelope.controlling_part == seen.keep_away.vessel
        and fire.envelope.rupture_state
    ]
    transient = answer.consequences[seen.keep_away.vessel]["fire_transient"]
    assert transient.pressure_pa >= max(worst)
