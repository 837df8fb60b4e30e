"""Rules about compressors that reach nothing, and about a file with nothing in it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from airrisk import tables
from airrisk.installation.model import Consumer, Installation, Junction, Valve
from airrisk.installation.reading import read
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.study.networks import compressor, line
from tests.study.rule_plants import TYPED, found, severities, sound, sound_plug


def _delivery(lines: Any, *valves: Valve, **other: Any) -> Installation:
    plant = sound(lines=tuple(line(*one, measured=True, given=TYPED) for one in lines), **other)
    return replace(plant, valves=valves, plugs=(sound_plug(),))


NON_RETURN: dict[str, Any] = {"on": "L1", "kind": "non-return"}


@pytest.mark.parametrize(
    ("lines", "valves", "variant"),
    [
        ([("L1", "C1", "R1")], [], None),
        ([("L1", "C1", "atmosphere")], [], None),
        ([("L1", "C1", "J1"), ("L2", "J1", "W1")], [], None),
        ([("L1", "C1", "R1")], [{"end": "to", **NON_RETURN}], None),
        ([("L1", "C1", "R1")], [{"end": "to", "on": "L1", "state": "closed"}], None),
        ([("L1", "R1", "C1")], [{"end": "to", **NON_RETURN}], "suction"),
        ([("L1", "C1", "R1")], [{"end": "to", "reverse": True, **NON_RETURN}], "opposed"),
        ([("L1", "C1", "R1")], [{"end": "from", "reverse": True, **NON_RETURN}], "opposed"),
        (
            [("L1", "C1", "J1"), ("L2", "R1", "J1")],
            [{"end": "from", "on": "L2", "kind": "non-return"}],
            "opposed",
        ),
        ([("L1", "C1", "closed")], [], "blank"),
        ([("L1", "C1", "J1")], [], "blank"),
        ([("L1", "R1", "atmosphere")], [], "unconnected"),
        ([("L1", "C1", "closed"), ("L2", "C1", "R1")], [], None),
    ],
)
def test_a_compressor_that_reaches_nothing(lines: Any, valves: Any, variant: str | None) -> None:
    """Property: one way to a vessel, consumer or open end is enough, whatever people can shut."""
    plant = _delivery(
        lines,
        *(Valve(id=f"V{n}", **one) for n, one in enumerate(valves)),
        junctions=(Junction(id="J1"),),
        consumers=(Consumer(id="W1"),),
    )
    rows = found("compressor-cannot-deliver", plant)
    assert [row.values["variant"] for row in rows] == ([] if variant is None else [variant])
    for row in rows:
        assert (row.severity, row.part) == ("warning", "C1")
        assert row.values["valves"] == (("V0",) if variant == "opposed" else ())


def test_a_sample_with_its_delivery_line_turned_round_is_told() -> None:
    text = tables.sample_path("slate-quarry").read_text(encoding="utf-8")
    turned = text.replace('from = "C1"\nto = "R1"', 'from = "R1"\nto = "C1"')
    assert turned != text
    assert found("compressor-cannot-deliver", read(text)) == []
    (one,) = found("compressor-cannot-deliver", read(turned))
    assert "L1 runs to it" in finding_text(one, Units())


def test_a_file_with_nothing_in_it_is_told() -> None:
    for plant in (Installation(), Installation(compressors=(compressor(),))):
        assert severities("nothing-to-assess", plant) == ["warning"]
    assert found("nothing-to-assess", sound()) == []
