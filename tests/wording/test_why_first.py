"""Why something acts first, in the numbers of the run."""

from __future__ import annotations

import dataclasses

import pytest

from airrisk.study.records import EventRecord
from airrisk.wording.units import Units
from airrisk.wording.why_first import first_act, why_first
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def with_events(*events: EventRecord):
    return hand_made.fire(events=events)


def part_of(fire) -> str:
    return next(iter(fire.curves.parts))


@pytest.mark.parametrize(
    ("event", "part", "said"),
    [
        ("plug opens", "FP1", "core of plug FP1 has melted"),
        ("relief valve lifts", "RV1", "lifts relief valve RV1"),
        ("disc bursts", "BD1", "bursts disc BD1"),
        ("rupture", "", "bears no more than its air"),
        ("line ruptures", "L9", "L9 gives way"),
    ],
)
def test_each_first_act_has_its_reason(event, part, said):
    fire = hand_made.fire()
    moment = fire.curves.time_s[len(fire.curves.time_s) // 2]
    holder = part_of(fire)
    acting = EventRecord(moment, event, part or holder)
    later = EventRecord(moment + 1.0, "plug opens", "later")
    told = why_first(with_events(later, acting), holder, UNITS)
    assert said in told
    assert "later" not in told
    assert first_act(with_events(later, acting)) == acting


def test_where_nothing_acts_the_worst_use_is_told():
    fire = with_events(EventRecord(10.0, "fire ends", "F1"))
    assert first_act(fire) is None
    assert "no device opens" in why_first(fire, part_of(fire), UNITS)


def test_without_curves_nothing_is_made_up():
    fire = dataclasses.replace(hand_made.fire(), curves=None)
    assert why_first(fire, "R1", UNITS) == ""
