"""The outcome of a run: the first rule that applies, over all vessels."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from airrisk.firetest.outcome import classify
from airrisk.firetest.run import RunEvent

LIMIT = 0.667


def ended(
    peaks: tuple[float, ...] = (0.5,),
    *,
    opens: float | None = None,
    by: str = "plug opens",
    ruptures: tuple[float, ...] | None = None,
    empties: tuple[float, ...] | None = None,
    ends: tuple[float, ...] | None = None,
    other: tuple[str, ...] = (),
    **changes: Any,
) -> Any:
    """A finished run of so many vessels and one line behind them, without any physics."""
    count = len(peaks)
    never = (math.nan,) * count
    events = [RunEvent(50.0, name, "D1") for name in other]
    if opens is not None:
        events.append(RunEvent(opens, by, "D1"))
    values = {
        "case": SimpleNamespace(
            limit=LIMIT,
            names=(*(f"R{k + 1}" for k in range(count)), "L1"),
            vessel_indices=tuple(range(count)),
        ),
        "status": "ended",
        "converged": True,
        "events": tuple(events),
        # the line is used beyond its strength, which is no rupture of a vessel
        "peak_use": np.array([*peaks, 1.0]),
        "peak_pressure": np.full(count + 1, 12e5),
        "end_use": np.array([*(ends or peaks), 0.0]),
        "rupture_time": np.array([*(ruptures or never), 10.0]),
        "empty_time": np.array([*(empties or never), math.nan]),
        "first_vent": opens,
    }
    return SimpleNamespace(**{**values, **changes})


NEVER = math.nan
TABLE = [
    # (run, outcome, kept by, safe)
    (ended(converged=False, status="gave up"), "not converged", "none", False),
    (
        ended(opens=9.0, empties=(20.0,), converged=False, status="gave up"),
        "not converged", "none", False,
    ),
    (ended((math.nan,)), "not converged", "none", False),
    (ended((1.0,), ruptures=(80.0,)), "ruptures", "none", False),
    (ended((1.0,), ruptures=(80.0,), other=("relief valve lifts",)), "ruptures", "none", False),
    (ended((1.0,), opens=60.0, ruptures=(80.0,)), "vents too late", "none", False),
    (ended((0.7,), opens=60.0, empties=(90.0,)), "vents too late", "heat", False),
    (ended((0.5,), opens=60.0, ends=(0.3,)), "vents too late", "heat", False),
    (ended((0.5,), opens=60.0, ends=(0.1,)), "vents in time", "heat", True),
    (ended((0.5,), opens=60.0, ends=(0.3,), empties=(99.0,)), "vents in time", "heat", True),
    (
        ended((0.5,), opens=60.0, by="disc bursts", empties=(99.0,)),
        "vents in time", "pressure", True,
    ),
    (ended((0.5,)), "outlasts the fire", "none", True),
    (ended((0.8,)), "outlasts the fire", "none", False),
    (ended((0.5,), other=("relief valve lifts",)), "outlasts the fire", "pressure", True),
    (ended((0.5,), other=("line ruptures",)), "outlasts the fire", "none", True),
    # over all vessels
    (ended((0.5, 1.0), ruptures=(NEVER, 80.0)), "ruptures", "none", False),
    (ended((0.5, 0.7), opens=60.0, empties=(9.0, 9.0)), "vents too late", "heat", False),
    (
        ended((0.5, 0.5), opens=60.0, empties=(99.0, NEVER), ends=(0.0, 0.3)),
        "vents too late", "heat", False,
    ),
    (
        ended((0.5, 0.5), opens=60.0, empties=(99.0, NEVER), ends=(0.0, 0.1)),
        "vents in time", "heat", True,
    ),
]  # fmt: skip


@pytest.mark.parametrize(("run", "outcome", "kept_by", "safe"), TABLE)
def test_the_first_rule_that_applies_gives_the_outcome(run, outcome, kept_by, safe):
    # the rule table of the method, line by line
    found = classify(run)
    assert (found.outcome, found.kept_by, found.safe) == (outcome, kept_by, safe)


def test_reasons_tell_the_two_ways_of_venting_too_late_apart():
    assert classify(ended((0.7,), opens=60.0, empties=(90.0,))).reason == "limit passed"
    left = classify(ended((0.5, 0.5), opens=60.0, empties=(9.0, NEVER), ends=(0.0, 0.3)))
    assert (left.reason, left.controlling_part) == ("not emptied", "R2")


def test_a_rupture_before_the_vent_counts_as_rupture_whoever_vents_later():
    # R2 let go at 40 s, the plug opened at 60 s: in the run order this is a rupture
    run = ended((0.4, 1.0), opens=60.0, ruptures=(NEVER, 40.0))
    assert classify(run).outcome == "ruptures"


def test_the_controlling_part_is_the_vessel_used_most():
    assert classify(ended((0.3, 0.6, 0.5))).controlling_part == "R2"


def test_a_limit_of_its_own_can_be_asked_for():
    run = ended((0.8,))
    assert not classify(run).safe
    assert classify(run, limit=0.9).safe


@pytest.mark.parametrize(
    "peak", [LIMIT, np.nextafter(LIMIT, 1.0)], ids=["at the limit", "just above"]
)
def test_the_limit_itself_is_still_safe(peak):
    assert classify(ended((float(peak),))).safe is bool(peak <= LIMIT)
