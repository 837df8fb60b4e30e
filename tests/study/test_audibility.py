"""An open plug as a warning: never called likely within the scatter or through walls."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.model import People, Room
from airrisk.physics.noise import level_to_be_heard
from airrisk.report.heard_table import heard_blocks
from airrisk.study.assessment import assess
from airrisk.study.audibility import heard_records
from airrisk.study.discharges import discharges
from airrisk.study.screening import screen
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.fire.systems import installation, plug, vessel

DAY, FITTED = dt.date(2026, 11, 1), dt.date(2026, 5, 1)


def plant(*, outlet: str = "open", place: str = "outdoors, nobody passes", **changes: object):
    values: dict[str, object] = {"id": "Gate", "at": (20.0, 0.0), "background_level": 60.0}
    people = People(**{**values, **changes})  # type: ignore[arg-type]
    bare = installation(
        vessel(at=(0.0, 0.0)), plug(outlet=outlet, outlet_place=place, fitted=FITTED)
    )
    return replace(bare, people=(people,))


@cache
def parts():
    """The state of the air, which does not depend on people."""
    whole = plant()
    return {one.id: screen(whole, one) for one in whole.vessels}


def levels(whole):
    return heard_records(whole, discharges(whole, parts()), (), DAY)


@pytest.mark.parametrize(
    ("background", "needed"),
    # ISO 7731: at least 65 dB(A), and 15 dB above the background (from memory)
    [(30.0, 65.0), (50.0, 65.0), (50.1, 65.1), (85.0, 100.0)],
)
def test_a_signal_is_heard_15_db_above_the_background_and_from_65_on(background, needed):
    assert level_to_be_heard(background) == pytest.approx(needed)


def test_the_scatter_and_the_air_are_taken_off_before_it_is_likely():
    (one,) = levels(plant())
    # 6 dB of scatter, and 117 dB per km of absorption at 8 kHz (ISO 9613-2, from memory)
    assert one.lowest_db == pytest.approx(one.level_db - 6.0 - 0.117 * 20.0)
    assert one.highest_db == pytest.approx(one.level_db + 6.0)

    def at(needed: float) -> str:
        return levels(plant(background_level=needed - 15.0))[0].heard

    assert at(one.lowest_db - 0.1) == "likely"
    assert at(one.lowest_db + 0.1) == "not sure"
    assert at(one.highest_db - 0.1) == "not sure"
    assert at(one.highest_db + 0.1) == "not likely"


@pytest.mark.parametrize(
    "changes",
    [{"kind": "building"}, {"kind": "work place"}, {"outlet": "piped"}, {"place": "hall"}],
)
def test_through_walls_or_a_pipe_nothing_is_likely(changes):
    whole = replace(plant(background_level=20.0, **changes), rooms=(Room(id="hall", volume=500.0),))
    (one,) = levels(whole)
    assert one.lowest_db > one.needed_db
    assert one.heard == "not sure"


def test_a_plug_that_nobody_may_count_on_is_not_likely_to_be_heard():
    whole = plant(background_level=30.0)
    (one,) = levels(whole)
    painted = replace(whole.plugs[0], condition="painted over")
    overdue = replace(whole.plugs[0], fitted=dt.date(2020, 1, 1))
    assert one.heard == "likely"
    for doubtful in (painted, overdue):
        assert levels(replace(whole, plugs=(doubtful,)))[0].heard == "not sure"


@settings(max_examples=40, deadline=None)
@given(background=st.floats(20.0, 130.0), farther=st.floats(1.0, 400.0))
def test_more_noise_or_more_distance_never_makes_it_likelier(background, farther):
    rank = ("not likely", "not sure", "likely")
    near, far, loud = (
        rank.index(levels(plant(**changes))[0].heard)
        for changes in (
            {"background_level": background},
            {"background_level": background, "at": (20.0 + farther, 0.0)},
            {"background_level": min(background + farther, 130.0)},
        )
    )
    assert far <= near
    assert loud <= near


def test_a_place_where_no_plug_is_likely_to_be_heard_is_found():
    def told(whole):
        answer = assess(whole, DAY, bores=False)
        return [f for f in answer.findings if f.rule == "plug-not-heard"], answer

    assert told(plant(background_level=None))[0] == []
    assert told(plant(background_level=30.0))[0] == []
    (found,), answer = told(plant(background_level=125.0))
    assert (found.severity, found.part) == ("warning", "Gate")
    assert "no plug is likely to be heard" in finding_text(found, Units())
    assert "The loudest, plug FP1, makes" in finding_text(found, Units())
    assert "a fire alarm" in finding_cure(found, Units())
    (record,) = answer.heard
    assert record.fires >= record.fires_opened > 0
    assert record.first_open_s is not None
    assert 0.0 < record.first_open_s <= record.last_open_s
    rows = heard_blocks(answer, Units())[-1].rows
    assert "not likely" in str(rows)
    (found,), _ = told(plant(background_level=125.0, alarm_after=30.0))
    assert found.severity == "note"
    assert "never on the noise" in finding_cure(found, Units())
