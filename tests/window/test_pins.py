"""The pinned cases of the Try-out: what a row says of how a case ends."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import pytest

from airrisk.verdict.rule import Reason
from airrisk.window.tryout.pins import Pin, Pins, _row
from airrisk.wording.units import Units
from tests.report import hand_made

LOAD = 2


def _answer(part: Any, fire: Any, energy: float = 2.9e6) -> Any:
    stored = SimpleNamespace(energies=SimpleNamespace(isentropic=energy))
    return SimpleNamespace(part=part, fire=fire, energy=stored, settled=True, complete=True)


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
    answer: Any = _answer(part, fire)
    pin = Pin({}, answer, 1, True)
    row = _row("A", pin, pin, Units("metric", hand_made.AMBIENT))
    assert row[LOAD].replace("\u00a0", " ") == expected


def test_behind_the_numbers_of_a_case_stands_how_they_differ_from_the_first(qtbot: Any) -> None:
    units = Units("metric", hand_made.AMBIENT)
    table = Pins()
    qtbot.addWidget(table)
    slow = hand_made.fire(rupture_nothing_opens_s=276.0, first_vent_s=200.0)
    quick = hand_made.fire(rupture_nothing_opens_s=186.0, first_vent_s=200.0)
    for fire, kelvin, energy, wall in ((slow, 801.0, 2.9e6, "9 mm"), (quick, 711.0, 4.1e6, "6 mm")):
        part = SimpleNamespace(rupture_temperature_k=kelvin)
        changes = {("R1", "wall_thickness"): wall}
        table.add(Pin(changes, _answer(part, fire, energy), 1, True, "R1"), units)
    texts = [
        [table.item(row, column).text().replace("\u00a0", " ") for column in range(8)]
        for row in range(2)
    ]
    assert texts[0][0] == "A: R1 wall thickness 9 mm"
    assert texts[1][0] == "B: R1 wall thickness 6 mm"
    assert not any("(" in text.replace("bar(g)", "") for text in texts[0])
    assert texts[1][3] == texts[0][3]  # equal: no difference is told
    assert texts[1][4] == "3.1 min (−90 s)"
    assert texts[1][6] == "438 °C (−90 K)"
    assert texts[1][7] == "4.1 MJ (+1.2 MJ)"
    assert [letter for letter, _ in table.lettered("R1")] == ["A", "B"]
    assert table.lettered("R2") == ()
