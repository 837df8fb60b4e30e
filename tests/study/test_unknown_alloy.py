"""Plugs that a fire run may not count on."""

from __future__ import annotations

import pytest

from tests.firetest.systems import plug
from tests.study.test_fire_outcomes import ENGULFED, FITTED, made, record_of


def test_a_plug_of_unknown_alloy_is_left_shut_and_the_fire_is_run():
    """Property: it gets no credit, so that the outcome is that of the vessel without it."""
    bare = record_of(made(ENGULFED))
    unknown = record_of(made(ENGULFED, plug(alloy=None, fitted=FITTED["fitted"])))
    assert unknown.outcome == bare.outcome == "ruptures"
    assert unknown.time_to_rupture_without_vent_s == pytest.approx(
        bare.time_to_rupture_without_vent_s, rel=1e-5
    )
    assert unknown.uncredited_plugs == ("FP1",)
    assert unknown.outcome_if_plugs_work is None


def test_a_plug_of_unknown_alloy_does_not_take_the_others_along():
    good = plug(bore=0.02, **FITTED)
    doubtful = plug("FP2", condition="corroded", bore=0.02, **FITTED)
    unknown = plug("FP3", alloy=None, fitted=FITTED["fitted"])
    assert record_of(made(ENGULFED, good, unknown)).outcome == "vents in time"
    record = record_of(made(ENGULFED, doubtful, unknown), bores=True)
    assert (record.outcome, record.outcome_if_plugs_work) == ("ruptures", "vents in time")
    assert set(record.uncredited_plugs) == {"FP2", "FP3"}
