"""Plugs that a fire run may not count on."""

from __future__ import annotations

import pytest

from tests.fire.systems import plug
from tests.study.test_fire_outcomes import ENGULFED, FITTED, made, record_of


def test_a_plug_of_unknown_alloy_is_left_shut_and_the_fire_is_run():
    """Property: it gets no credit, so that the outcome is that of the vessel without it."""
    bare = record_of(made(ENGULFED))
    unknown = record_of(made(ENGULFED, plug(alloy=None, fitted=FITTED["fitted"])))
    assert unknown.outcome == bare.outcome == "ruptures"
    assert unknown.rupture_nothing_opens_s == pytest.approx(bare.rupture_nothing_opens_s, rel=1e-5)
    assert unknown.uncredited == {"FP1": "alloy"}
    assert unknown.envelope.outcome_working is None


def test_a_plug_of_unknown_alloy_does_not_take_the_others_along():
    good = plug(bore=0.02, **FITTED)
    doubtful = plug("FP2", condition="corroded", bore=0.02, **FITTED)
    unknown = plug("FP3", alloy=None, fitted=FITTED["fitted"])
    assert record_of(made(ENGULFED, good, unknown)).outcome == "vents in time"
    record = record_of(made(ENGULFED, doubtful, unknown), bores=True)
    seen = record.envelope
    assert (seen.outcome_credited, seen.outcome_working) == ("ruptures", "vents in time")
    assert record.uncredited == {"FP2": "corroded", "FP3": "alloy"}
