"""The outcome of a run: the first rule that applies, over all vessels."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from airrisk.fire.outcome import classify
from airrisk.fire.run import RunEvent

LIMIT = 0.667


def ended(
    peaks: tuple[float, ...] = (0.5,),
    *,
    opens: float | None = None,
    by: str = "plug opens",
    ruptures: tuple[float, ...] | None = None,
    line: float | None = None,
    reach: tuple[bool, ...] | None = None,
    other: tuple[str, ...] = (),
    **changes: Any,
) -> Any:
    """A finished run of so many vessels and one line behind them, without any physics."""
    count = len(peaks)
    never = (math.nan,) * count
    names = tuple(f"R{k + 1}" for k in range(count))
    events = [RunEvent(50.0, name, "D1") for name in other]
    if opens is not None:
        events.append(RunEvent(opens, by, "D1"))
    if line is not None:
        events.append(RunEvent(line, "line ruptures", "L1"))
    can = reach or (True,) * count
    values = {
        "case": SimpleNamespace(
            limit=LIMIT,
            names=(*names, "L1"),
            vessel_indices=tuple(range(count)),
            reach={
                name: frozenset({"D1"} if one else ()) for name, one in zip(names, can, strict=True)
            },
        ),
        "status": "ended",
        "converged": True,
        "events": tuple(events),
        "peak_use": np.array([*peaks, 1.0]),
        "end_use": np.array([*peaks, 1.0]),
        "peak_pressure": np.full(count + 1, 12e5),
        "rupture_time": np.array([*(ruptures or never), math.nan]),
        "creep_damage": np.zeros(count + 1),
    }
    return SimpleNamespace(**{**values, **changes})


NEVER = math.nan
TABLE = [
    # (run, outcome, kept by, safe)
    (ended(converged=False, status="gave up"), "not converged", "none", False),
    (ended(opens=9.0, converged=False, status="gave up"), "not converged", "none", False),
    (ended((math.nan,)), "not converged", "none", False),
    (ended((1.0,), ruptures=(80.0,)), "ruptures", "none", False),
    (ended((1.0,), ruptures=(80.0,), other=("relief valve lifts",)), "ruptures", "none", False),
    # the worst word for the worst thing, whatever had opened before
    (ended((1.0,), opens=60.0, ruptures=(80.0,)), "ruptures", "none", False),
    (ended((0.7,), opens=60.0), "passes the limit", "heat", False),
    (ended((0.8,)), "passes the limit", "none", False),
    (ended((0.5,), opens=60.0), "vents in time", "heat", True),
    (ended((0.5,), opens=60.0, by="disc bursts"), "vents in time", "pressure", True),
    (ended((0.5,)), "outlasts the fire", "none", True),
    (ended((0.5,), other=("relief valve lifts",)), "outlasts the fire", "pressure", True),
    # what a broken line lets out does not count, and it is a rupture itself
    (ended((0.5,), line=70.0), "ruptures", "none", False),
    (ended((0.5,), opens=60.0, line=70.0), "ruptures", "none", False),
    # over all vessels
    (ended((0.5, 1.0), ruptures=(NEVER, 80.0)), "ruptures", "none", False),
    (ended((0.5, 0.7), opens=60.0), "passes the limit", "heat", False),
    (ended((0.5, 0.6), opens=60.0), "vents in time", "heat", True),
    # a device that the air of one vessel cannot reach vents nothing of it; a plug answers heat
    (ended((0.5, 0.6), opens=60.0, reach=(True, False)), "outlasts the fire", "none", True),
    (
        ended((0.5, 0.6), opens=60.0, by="disc bursts", reach=(True, False)),
        "outlasts the fire",
        "pressure",
        True,
    ),
]


@pytest.mark.parametrize(("run", "outcome", "kept_by", "safe"), TABLE)
def test_the_first_rule_that_applies_gives_the_outcome(run, outcome, kept_by, safe):
    # the rule table of the method, line by line
    found = classify(run)
    assert (found.outcome, found.kept_by, found.safe) == (outcome, kept_by, safe)


def test_a_reason_tells_what_had_opened_and_whether_it_could_empty_the_vessel():
    run = ended((0.5, 1.0), opens=60.0, ruptures=(NEVER, 80.0), reach=(True, False))
    reason = classify(run).reason
    assert (reason.code, reason.part) == ("ruptured", "R2")
    assert (reason.opened, reason.emptying) == (("D1",), ())
    reached = classify(ended((1.0,), opens=60.0, ruptures=(80.0,))).reason
    assert (reached.opened, reached.emptying) == (("D1",), ("D1",))
    early = classify(ended((1.0,), opens=90.0, ruptures=(80.0,))).reason
    assert early.opened == ()


def test_the_rupture_of_a_line_names_the_line():
    verdict = classify(ended((0.5,), line=70.0))
    assert (verdict.reason.code, verdict.controlling_part) == ("line ruptured", "L1")
    assert verdict.rupture_time == 70.0


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


def test_equal_parts_rupture_at_the_same_moment_whatever_the_rounding():
    """Property: of equal parts the one with the lowest id is named, not the luckier one."""
    for first, second in ((60.0, 60.0 + 1e-9), (60.0 + 1e-9, 60.0)):
        verdict = classify(ended((1.0, 1.0), ruptures=(first, second)))
        assert verdict.controlling_part == "R1"
        stopped = classify(ended((1.0 - 1e-7, 1.0), ruptures=(math.nan, first)))
        assert (stopped.controlling_part, stopped.rupture_time) == ("R1", first)
        lines = tuple(
            RunEvent(time, "line ruptures", name) for time, name in ((first, "L2"), (second, "L1"))
        )
        assert classify(ended(line=None, events=lines)).controlling_part == "L1"
    later = ended((0.9, 1.0), ruptures=(60.0, 59.9))
    assert classify(later).controlling_part == "R2"
