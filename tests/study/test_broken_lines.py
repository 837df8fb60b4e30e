"""Runs that end well only because a line breaks, or in which nothing vents the vessel."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from airrisk.installation.model import Installation, Valve
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.records import FireRecord
from airrisk.study.rules import RuleContext
from airrisk.study.rules.doubts import on_strength_basis
from airrisk.study.rules.fires import fire_outcomes
from airrisk.study.verdicts import verdict_records
from tests.fire.systems import fire, installation, line, plug, vessel
from tests.study.one_fire import stated
from tests.study.test_fire_outcomes import DAY, FITTED

THIN = {"inside_diameter": 0.15, "wall_thickness": 0.0015, "length": 5.0, "loss": 0.0}
HEAVY = {"wall_thickness": 0.02}


@cache
def record_of(whole: Installation, bores: bool = False) -> FireRecord:
    exposure = stated(whole)
    return fire_record(whole, exposure, DAY, bores=bores)


def context_of(whole: Installation, record: FireRecord) -> RuleContext:
    verdicts = verdict_records([record], (), "tensile")
    return RuleContext(whole, DAY, fires=(record,), verdicts=verdicts)


def burning(*records: Any, reaches: tuple[str, ...] = ("R1", "L1"), **changes: Any) -> Installation:
    leg = line("L1", "R1", "closed", **THIN)
    return installation(vessel(**HEAVY), leg, *records, fire(reaches, **changes))


def when(record: FireRecord, event: str) -> float:
    return next(e.time_s for e in record.events if e.event == event)


@pytest.mark.parametrize("fitted", [False, True])
def test_a_vessel_that_empties_through_a_broken_line_is_not_safe(fitted):
    """Property: the line lets go before any plug opens, so that no plug has vented the vessel."""
    late = plug(bore=0.02, **{**FITTED, "alloy": "tin"})
    record = record_of(burning(*([late] if fitted else [])))
    broken = when(record, "line ruptures")
    assert broken < when(record, "empty")
    if fitted:
        assert when(record, "plug opens") > when(record, "empty")
    assert (record.outcome, record.worst_outcome, record.safe) == ("ruptures", "ruptures", False)
    assert (record.reason.code, record.reason.part) == ("line ruptured", "L1")
    assert record.reason.opened == ()


def test_a_broken_line_is_a_finding():
    whole = burning()
    (found,) = fire_outcomes(context_of(whole, record_of(whole)))
    assert found.severity == "danger"
    assert found.values["reason"].part == "L1"


def test_a_plug_that_opens_before_any_line_breaks_still_vents_in_time():
    soon = plug(on="R1", bore=0.04, response="follows wall", **{**FITTED, "alloy": "Bi58Sn42"})
    strong = {**THIN, "wall_thickness": 0.0045}
    whole = installation(vessel(), line("L1", "R1", "closed", **strong), soon, fire(("R1", "L1")))
    record = record_of(whole)
    assert "line ruptures" not in {event.event for event in record.events}
    assert (record.outcome, record.safe) == ("vents in time", True)


def test_no_bore_is_enough_that_leaves_a_line_to_break():
    """Property: with the bore that is printed no line ruptures."""
    late = plug(bore=0.004, **{**FITTED, "alloy": "tin"})
    record = record_of(burning(late), bores=True)
    assert record.smallest_bore_m == {"FP1": None}
    assert all(cure.kind != "bore" for cure in record.cures)


def test_a_vessel_whose_air_no_open_plug_lets_out_does_not_vent():
    """Property: the plug stands before the non-return valve; R1 keeps its air and its strength."""
    whole = installation(
        vessel(wall_thickness=0.04),
        line("L1", "closed", "R1"),
        Valve(id="N1", on="L1", end="to", kind="non-return"),
        plug(on="L1", **FITTED),
        fire(("R1", "L1"), duration=600.0),
    )
    record = record_of(whole)
    assert when(record, "plug opens") < 600.0
    assert record.curves is not None
    mass = record.curves.parts["R1"].gas_mass_kg
    assert min(mass) > 0.999 * mass[0]
    assert (record.outcome, record.kept_by, record.safe) == ("outlasts the fire", "none", True)


def test_a_line_that_breaks_on_the_cautious_basis_alone_turns_the_verdict_there():
    """Property: the wall lies between those that break on both bases and on none."""
    between = {**THIN, "wall_thickness": 0.0015}
    soon = plug(bore=0.03, **{**FITTED, "alloy": "Bi58Sn42"})
    leg = line("L1", "R1", "closed", **between)
    whole = installation(vessel(temperature=308.15, **HEAVY), leg, soon, fire(("R1", "L1")))
    record = record_of(whole)
    assert (record.outcome, record.safe) == ("vents in time", True)
    assert record.by_basis == {"tensile": "vents in time", "yield": "ruptures"}
    (told,) = on_strength_basis(context_of(whole, record))
    assert (told.severity, told.values["outcome"]) == ("warning", "ruptures")


def test_a_doubtful_plug_that_leaves_a_line_to_break_is_not_said_to_vent():
    painted = plug(bore=0.02, **{**FITTED, "alloy": "tin", "condition": "painted over"})
    record = record_of(burning(painted))
    assert record.uncredited == {"FP1": "painted over"}
    assert record.envelope.outcome_working == "ruptures"
