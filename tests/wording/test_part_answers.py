"""What the block of a part says: the worst of its answers, and nothing safe without all runs."""

from __future__ import annotations

import dataclasses

import pytest

from airrisk.installation.model import FIRE_CLASSES
from airrisk.study.records import Failure
from airrisk.study.verdicts import verdict_records
from airrisk.wording.part_answers import (
    carriers,
    deciding_parts,
    longest_texts,
    no_answer,
    out_of_date,
    part_answers,
)
from tests.report import hand_made

ASSUMED = [hand_made.assumed(name) for name in ("whole", "beside", "spot")]
SURE = hand_made.fire(sure=True, doubts=())


def answer_of(*fires, part="R1", **changes):
    return part_answers(hand_made.answered(*fires, **changes))[part]


def test_safe_and_sure_only_where_every_class_was_run_and_is_safe():
    told = answer_of(SURE, *ASSUMED)
    assert (told.heading, told.safe, told.sure) == ("● vents in time", True, True)
    assert told.margin.endswith("%")
    assert answer_of(*ASSUMED).safe  # nobody has stated a fire


@pytest.mark.parametrize("missing", [one for one in FIRE_CLASSES if one != "stated"])
def test_a_class_that_was_not_run_leaves_no_answer(missing):
    assert answer_of(SURE, *(one for one in ASSUMED if one.fire_class != missing)) == no_answer()


def test_no_fire_at_all_and_a_failure_leave_no_answer():
    assert answer_of() == no_answer()
    failed = (Failure("fire", "R1", "no"),)
    assert answer_of(SURE, *ASSUMED, failures=failed) == no_answer()


def test_one_doubted_class_is_enough_for_not_sure():
    told = answer_of(hand_made.fire(), *ASSUMED)
    assert (told.heading, told.safe, told.sure) == ("⬖ not sure", True, False)
    assert "vents" not in told.spoken


def test_one_unsafe_class_is_told_before_all_safe_ones_and_also_where_a_class_was_not_run():
    for fires in ([hand_made.unsafe(), *ASSUMED], [hand_made.unsafe()]):
        told = answer_of(*fires)
        assert (told.heading, told.margin, told.safe) == ("✖ ruptures", "after 4.3\xa0min", False)


def test_an_outcome_that_sounds_safe_and_is_not_is_told_as_not_safe():
    told = answer_of(hand_made.fire(safe=False, sure=None, doubts=()), *ASSUMED)
    assert (told.heading, told.safe) == ("△ not safe", False)


def test_where_another_part_decides_it_is_named():
    line = hand_made.unsafe(envelope=hand_made.ruptured(controlling_part="L1"))
    assert answer_of(line, *ASSUMED).margin == "L1 after 4.3\xa0min"
    assert answer_of(line, *ASSUMED, part="L1").margin == "after 4.3\xa0min"
    assert deciding_parts(hand_made.answered(line, *ASSUMED)) == {"L1"}


def test_of_equally_grave_ends_a_vessel_shows_its_own():
    """A line that ruptures sooner has a block of its own."""
    line = hand_made.unsafe(envelope=hand_made.ruptured(controlling_part="L1", rupture_s=60.0))
    vessel = hand_made.unsafe("Engulfed", fire_class="whole")
    assert answer_of(line, vessel).margin == "after 4.3\xa0min"
    assert answer_of(line, vessel, part="L1").margin == "after 60\xa0s"
    assert "L1" in deciding_parts(hand_made.answered(line, vessel))


def test_the_worst_of_all_positions_of_the_valves_counts():
    """R1 is in a safe section with V1 shut, and in one with it open that is not."""
    other = hand_made.unsafe("F2", section="C1+L1+R1", closed_valves=())
    told = answer_of(SURE, *ASSUMED, other)
    assert told.word == "ruptures"
    safe = hand_made.fire("F2", section="C1+L1+R1", closed_valves=(), sure=True, doubts=())
    assert answer_of(SURE, *ASSUMED, safe).safe  # run with the valve open for the stated fire only


def test_a_part_in_no_section_that_valves_shut_in_has_no_safe_answer():
    fires = [SURE, *ASSUMED]
    whole = hand_made.answered(*fires)
    rows = dataclasses.replace(whole, shut_in=(), verdicts=verdict_records(fires, (), "tensile"))
    assert part_answers(rows)["R1"] == no_answer()


def test_after_a_change_a_danger_still_warns_and_safety_is_gone():
    old = out_of_date(answer_of(hand_made.unsafe(), *ASSUMED))
    assert (old.heading, old.safe, old.old) == ("✖ ruptures", False, True)
    assert "before the last change" in old.spoken
    for fires in ([SURE, *ASSUMED], [hand_made.fire(), *ASSUMED], []):
        gone = out_of_date(answer_of(*fires))
        assert (gone.word, gone.margin, gone.safe, gone.old) == ("out of date", "", None, True)


def test_vessels_always_carry_a_block_and_others_where_they_decide():
    plant = hand_made.installation()
    vessels = {vessel.id for vessel in plant.vessels}
    line = plant.lines[0].id
    assert carriers(plant) == vessels
    assert carriers(plant, {line, "nobody"}) == vessels | {line}
    assert any(part.id in text for part in plant.parts() for text in longest_texts(plant))
