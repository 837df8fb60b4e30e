"""The pinned cases of the Try-out: what a row says of how a case ends."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import pytest

from airrisk.verdict.rule import Reason
from airrisk.window.tryout.pins import Pin, _row
from airrisk.wording.units import Units
from tests.report import hand_made

LOAD = 2


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        (
            {
                "outcome": "passes the limit", "peak_strength_use": 0.3, "creep_damage": 0.62,
                "reason": Reason("limit passed", "R1", creep=True),
            },
            "creep 124 %",
        ),
        ({"outcome": "ruptures", "reason": Reason("line ruptured", "L1")}, "–"),
        ({"peak_strength_use": 0.56}, "84 %"),
    ],
)  # fmt: skip
def test_no_harmless_load_stands_beside_a_case_that_ends_badly(
    changes: dict[str, Any], expected: str
) -> None:
    seen = dataclasses.replace(hand_made.envelope(), **changes)
    fire = hand_made.fire(envelope=seen, safe=seen.outcome == "vents in time")
    part = SimpleNamespace(rupture_temperature_k=None)
    answer: Any = SimpleNamespace(part=part, fire=fire, settled=True, complete=True)
    row = _row(Pin({}, answer, 1, True), Units("metric", hand_made.AMBIENT))
    assert row[LOAD].replace("\u00a0", " ") == expected
