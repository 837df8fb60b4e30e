"""Fires that a running compressor turns: proven by the same runs with it stopped."""

from __future__ import annotations

import datetime as dt
from functools import cache

import pytest

from airrisk.installation.model import Compressor, Installation, Valve
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.records import FireRecord
from airrisk.study.rules import RuleContext
from airrisk.study.rules.fires import fire_outcomes
from airrisk.study.verdicts import verdict_records
from tests.fire.systems import fire, installation, line, plug, vessel
from tests.study.one_fire import stated

DAY = dt.date(2026, 11, 1)
GOOD = {"alloy": "Bi58Sn42", "fitted": dt.date(2026, 3, 2), "bore": 0.016}


def fed(*more: object, in_fire: str = "keeps running", **fitted: object) -> Installation:
    """A receiver in the flames, and a compressor that fills it."""
    machine = Compressor(
        id="C1", delivery=0.1, discharge_pressure=11.0e5, discharge_temperature=380.0,
        in_fire=in_fire,  # type: ignore[arg-type]
    )  # fmt: skip
    plugs = [] if fitted.get("bore", 1.0) == 0.0 else [plug(**{**GOOD, **fitted})]
    return installation(vessel(), line("L1", "C1", "R1"), machine, *plugs, fire(), *more)


@cache
def record_of(whole: Installation) -> FireRecord:
    return fire_record(whole, stated(whole), DAY, bores=False)


def test_a_compressor_that_turns_the_fire_is_named_and_its_stop_proves_it():
    record = record_of(fed())
    assert (record.safe, record.safe_if_stopped) == (False, ("C1",))
    stopped = record_of(fed(in_fire="stops"))
    assert (stopped.safe, stopped.safe_if_stopped) == (True, ())
    assert record.runs > stopped.envelope.runs  # the proof is counted


@pytest.mark.parametrize(
    "whole",
    [
        fed(bore=0.0),  # nothing vents it, fed or not
        fed(condition="corroded"),
        fed(Valve(id="V1", on="L1", end="to")),  # shut in, the compressor feeds nothing
    ],
)
def test_a_compressor_that_does_not_decide_is_not_named(whole):
    assert record_of(whole).safe_if_stopped == ()


def test_the_finding_about_the_fire_names_the_cause():
    whole = fed()
    record = record_of(whole)
    verdicts = verdict_records([record], (), "tensile")
    (found,) = fire_outcomes(RuleContext(whole, DAY, fires=(record,), verdicts=verdicts))
    assert found.values["stopped"] == ("C1",)
