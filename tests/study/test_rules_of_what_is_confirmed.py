"""Rules about values that nobody has confirmed and about what inspections have found."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import Choices, Inspection, Valve
from airrisk.installation.sections import shut_in
from airrisk.installation.start import highest_pressure
from airrisk.study.slices import fire_slice
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.fire.systems import fire, installation, relief
from tests.fire.systems import vessel as tank
from tests.study.networks import relief as small_relief
from tests.study.networks import vessel
from tests.study.one_fire import stated
from tests.study.rule_plants import ON, TYPED, found, severities, sound, sound_plug

OFFERED = "value-offered"
FAULT = "inspection-found-fault"


def told(rule: str, plant: Any) -> str:
    (one,) = found(rule, plant)
    return finding_text(one, Units()).replace("\u00a0", " ")


def test_offered_values_of_a_plug_are_listed_with_that_it_gets_no_credit() -> None:
    plant = sound(plugs=(sound_plug(offered=("alloy", "bore")),))
    assert severities(OFFERED, plant) == ["warning"]
    said = told(OFFERED, plant)
    assert "plug P1: alloy (Bi58Sn42) and bore (10 mm)" in said
    assert "no credit" in said
    assert found(OFFERED, sound()) == []


def test_offered_values_of_a_part_leave_its_verdicts_unsure() -> None:
    offered = vessel("R1", measured=True, given=TYPED, offered=("wall_thickness",))
    plant = sound(vessels=(offered,))
    assert severities(OFFERED, plant) == ["warning"]
    said = told(OFFERED, plant)
    assert "vessel R1: wall thickness (8 mm)" in said
    assert said.endswith("No verdict on it is sure.")
    assert severities(OFFERED, replace(plant, choices=Choices(small_section=2e6))) == ["note"]


@pytest.mark.parametrize("kind", ["compressors", "lines", "relief_valves"])
def test_offered_values_of_any_part_or_device_are_told(kind: str) -> None:
    keys = {"compressors": "delivery", "lines": "length", "relief_valves": "set_pressure"}
    plant = sound()
    (record,) = getattr(plant, kind)
    offered = replace(plant, **{kind: (replace(record, offered=(keys[kind],)),)})
    (one,) = found(OFFERED, offered)
    assert (one.severity, one.part) == ("warning", record.id)


def seen(on: str, condition: Any = None, note: str = "", **other: Any) -> Inspection:
    return Inspection(on=on, date=dt.date(2026, 8, 3), condition=condition, note=note, **other)


@pytest.mark.parametrize(
    ("on", "condition", "credit"),
    [
        ("S1", "seized", True), ("S1", "corroded", True), ("S1", "unknown", True),
        ("V9", "leaking", False), ("R1", "corroded", False),
    ],
)  # fmt: skip
def test_what_an_inspection_finds_not_in_order_is_told(
    on: str, condition: str, credit: bool
) -> None:
    plant = sound(valves=(Valve(id="V9", on="L1", end="to"),), inspections=(seen(on, condition),))
    (one,) = found(FAULT, plant)
    assert (one.severity, one.part) == ("warning", on)
    said = finding_text(one, Units())
    assert f"was found {condition} on 2026-08-03" in said
    assert ("no credit" in said) is credit


@pytest.mark.parametrize("condition", ["clean", "oil film"])
def test_what_is_in_order_is_not_told(condition: str) -> None:
    assert found(FAULT, sound(inspections=(seen("S1", condition),))) == []
    later = replace(seen("S1", "seized"), date=dt.date(2026, 12, 1))
    assert found(FAULT, sound(inspections=(later,))) == []
    mended = (seen("S1", "seized"), replace(seen("S1", renewed=True), date=dt.date(2026, 9, 1)))
    assert found(FAULT, sound(inspections=mended)) == []


def test_the_condition_of_a_plug_is_told_once() -> None:
    plant = sound(inspections=(seen("P1", "scaled", "scale, leaking"),))
    assert severities("plug-condition", plant) == ["warning"]
    assert found(FAULT, plant) == []


@pytest.mark.parametrize(
    ("on", "condition", "note", "expected"),
    [
        ("S1", None, "corroded, seized", ["warning"]),
        ("V9", None, "handwheel stuck", ["warning"]),
        ("P1", None, "leaks a little", ["warning"]),
        ("P1", "clean", "leaks a little", ["note"]),
        ("S1", "clean", "no corrosion", []),
        ("S1", None, "tested, lifts at 10.5 bar", []),
    ],
)
def test_a_remark_that_speaks_of_a_fault_is_told_where_no_condition_is(
    on: str, condition: Any, note: str, expected: list[str]
) -> None:
    plant = sound(
        valves=(Valve(id="V9", on="L1", end="to"),), inspections=(seen(on, condition, note),)
    )
    assert severities(FAULT, plant) == expected
    if expected:
        assert f'remarks: "{note}"' in told(FAULT, plant)


# what is not confirmed does not count elsewhere


@pytest.mark.parametrize(
    ("fields", "inspections"),
    [({"offered": ("set_pressure",)}, ()), ({}, (seen("S1", "seized"),))],
)
def test_a_relief_valve_that_nobody_may_count_on_keeps_no_pressure(
    fields: dict[str, Any], inspections: tuple[Inspection, ...]
) -> None:
    """Property: what it would have kept quiet is told."""
    strong = replace(sound().compressors[0], discharge_pressure=1.3e6)
    plant = sound(compressors=(strong,))
    assert found("pressure-above-design", plant) == []
    (valve,) = plant.relief_valves
    doubted = replace(plant, relief_valves=(replace(valve, **fields),), inspections=inspections)
    (one,) = found("pressure-above-design", doubted)
    assert one.values["variant"] == "pumped"
    # a further valve may be set higher only beside one that counts
    high = small_relief("S2", "R1", set_pressure=1.24e6, given=TYPED)
    rule = "relief-set-above-design"
    both = replace(plant, relief_valves=(*plant.relief_valves, high))
    assert found(rule, both) == []
    alone = replace(doubted, relief_valves=(*doubted.relief_valves, high))
    assert severities(rule, alone) == ["danger"]


@pytest.mark.parametrize(
    ("valve", "inspections", "why"),
    [
        ({"offered": ("set_pressure",)}, (), "offered"),
        ({}, (seen("RV1", "seized"),), "seized"),
        ({}, (seen("RV1", "clean"),), ""),
    ],
)
def test_a_relief_valve_without_credit_stays_shut_and_does_not_bound_the_start(
    valve: dict[str, Any], inspections: tuple[Inspection, ...], why: str
) -> None:
    """Property: the higher of what it would keep and what can stand without it."""
    plant = installation(tank(), relief(set_pressure=11.2e5, **valve), fire())
    plant = replace(plant, inspections=inspections)
    cut = fire_slice(plant, stated(plant), ON)
    assert {one.device: one.uncredited for one in cut.credits} == {"RV1": why}
    assert dict(cut.highest) == {"R1": 12.0e5 if why else 11.2e5}  # its design pressure
    (section,) = shut_in(plant)
    above = installation(tank(), relief(set_pressure=13.0e5))
    assert highest_pressure(above, section) == 13.0e5
    assert highest_pressure(above, section, uncredited=("RV1",)) == 13.0e5
