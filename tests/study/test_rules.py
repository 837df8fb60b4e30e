"""Rules about sections and ways out, and the texts of all rules: failing, passing and edge."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import (
    Choices,
    Installation,
    Junction,
    Valve,
)
from airrisk.study.placement import audit, section_records
from airrisk.study.rules import RULES
from airrisk.study.rules.context import TEXTS_FILE
from airrisk.study.screening import screen
from airrisk.tables import read_toml
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.networks import compressor, line, relief, vessel
from tests.study.rule_plants import (
    context,
    fire_record,
    found,
    severities,
    sound,
    sound_plug,
    with_valve,
)


def test_a_sound_plant_has_no_finding() -> None:
    plant = sound()
    parts = {p.id: screen(plant, p) for p in plant.holders()}
    assert audit(context(plant, parts=parts)) == ()


# texts


def test_every_rule_has_its_texts_and_every_text_its_rule() -> None:
    texts = read_toml(TEXTS_FILE)
    assert list(texts) == list(dict.fromkeys(texts))
    assert set(texts) == {rule.id for rule in RULES}
    for rule in RULES:
        assert rule.title
        assert rule.meaning
        assert rule.source
        assert texts[rule.id].get("standing") in (None, "published", "from memory", "judgement")


def test_texts_can_be_parsed_and_name_no_place_by_number() -> None:
    for entry in read_toml(TEXTS_FILE).values():
        for key, text in entry.items():
            if key.startswith(("text", "cure")):
                names = [name for _, name, _, _ in string.Formatter().parse(text) if name]
                assert all(name.isidentifier() for name in names)


def test_findings_are_sorted_by_severity() -> None:
    plant = with_valve()
    plant = replace(plant, plugs=(sound_plug(condition="oil film", fitted=None),))
    order = [f.severity for f in audit(context(plant))]
    assert order == sorted(order, key=["danger", "warning", "note"].index)
    assert set(order) == {"danger", "warning", "note"}


# sections and ways out


def test_unprotected_section() -> None:
    (one,) = found("unprotected-section", with_valve())
    assert (one.severity, one.part) == ("danger", "R2")
    assert one.values["worst_valves"] == ("V1",)
    # 1 m3 at the design pressure, which is the highest that can stand there: no relief valve
    assert one.values["stored_pa_m3"] == pytest.approx(1.2e6 - 101325.0)
    assert found("unprotected-section", with_valve(state="locked open")) == []


@pytest.mark.parametrize(("litres", "expected"), [(5.0, "danger"), (4.99, "note")])
def test_small_sections_are_notes(litres: float, expected: str) -> None:
    # 5 L at 10 bar(g), the highest pressure that can stand there, is 50 bar L, the limit itself
    plant = with_valve()
    small = replace(
        plant.vessels[1], volume=litres / 1e3, pressure=5e5, design_pressure=101325.0 + 1e6
    )
    # what fills it while its valve is open can stand no higher either
    relieved = tuple(replace(one, set_pressure=101325.0 + 1e6) for one in plant.relief_valves)
    plant = replace(plant, vessels=(plant.vessels[0], small), relief_valves=relieved)
    assert severities("unprotected-section", plant) == [expected]


def test_limit_of_small_sections_is_a_choice() -> None:
    plant = replace(with_valve(), choices=Choices(small_section=2e6))
    assert severities("unprotected-section", plant) == ["note"]


def test_one_finding_for_all_parts_of_a_section() -> None:
    plant = with_valve()
    plant = replace(
        plant,
        lines=(*plant.lines, line("L3", "R2", "U1"), line("L4", "R2", "U1")),
        junctions=(Junction(id="U1"),),
    )
    (one,) = found("unprotected-section", plant)
    assert one.values["parts"] == ("L3", "L4", "R2")


def test_plug_in_another_compartment_is_no_protection() -> None:
    plant = sound(
        vessels=(vessel("R1", area="hall"), vessel("R2", area="yard")),
        lines=(line("L1", "C1", "R1", area="hall"), line("L2", "R1", "R2", area="yard")),
    )
    (one,) = found("unprotected-section", plant)
    assert one.values["variant"] == "not_heated_ever"
    assert one.severity == "danger"
    assert one.values["area"] == "yard"


def test_kept_by_pressure_alone() -> None:
    plant = with_valve()
    kept = replace(plant, relief_valves=(*plant.relief_valves, relief("S2", "R2")))
    (one,) = found("kept-by-pressure-alone", kept)
    assert (one.severity, one.part, one.values["left"]) == ("warning", "R2", ("S2",))
    assert found("unprotected-section", kept) == []
    both = replace(kept, plugs=(*kept.plugs, sound_plug("P2", "R2")))
    assert found("kept-by-pressure-alone", both) == []


@pytest.mark.parametrize(
    ("valve", "expected"),
    [
        ({"on": "S1"}, ["danger"]),
        ({"on": "S1", "state": "locked open"}, []),
        ({"on": "S1", "kind": "non-return"}, []),
    ],
)
def test_valve_under_a_relief_valve(valve: dict[str, Any], expected: list[str]) -> None:
    plant = sound(valves=(Valve(id="V9", **valve),))
    assert severities("relief-valve-can-be-isolated", plant) == expected


def test_receiver_cut_off_from_its_relief_valve() -> None:
    plant = with_valve()
    (one,) = found("relief-valve-can-be-isolated", plant)
    assert (one.part, one.severity, one.values["valves"]) == ("R2", "warning", ("V1",))
    own = replace(plant, relief_valves=(*plant.relief_valves, relief("S2", "R2")))
    assert found("relief-valve-can-be-isolated", own) == []
    small = replace(plant, vessels=(plant.vessels[0], replace(plant.vessels[1], volume=0.004)))
    assert severities("relief-valve-can-be-isolated", small) == ["note"]


ENGULFED = {
    "id": "Engulfed R2", "fire_class": "whole", "section": "R2", "closed_valves": ("V1",),
    "members": ("R2",), "exposed": ("R2",),
}  # fmt: skip


@pytest.mark.parametrize(
    ("plug", "fires", "named"),
    [
        ({}, [{}], True),
        ({}, [], False),  # no run proves it
        ({}, [{"safe": False, "sure": None}], False),
        ({}, [{"outcome": "outlasts the fire"}], False),  # it holds, but not by the plug
        ({}, [{}, {"id": "F1", "fire_class": "stated", "safe": False, "sure": None}], False),
        ({}, [{}, {"id": "F1", "fire_class": "stated"}], True),
        ({"fitted": None}, [{}], False),
        ({"condition": "painted over"}, [{}], False),
        ({"alloy": None}, [{}], False),
        ({"offered": ("bore",)}, [{}], False),
        ({"place": "drain"}, [{}], False),  # another finding rejects it
        ({"bore": 0.0075}, [{"smallest_bore_m": {"P2": 0.007}}], False),  # too little in hand
    ],
)
def test_a_plug_in_place_of_a_relief_valve_is_named_only_where_its_runs_are_safe(
    plug: dict[str, Any], fires: list[dict[str, Any]], named: bool
) -> None:
    plant = with_valve()
    plant = replace(plant, plugs=(*plant.plugs, sound_plug("P2", "R2", **plug)))
    records = [fire_record(**(ENGULFED | one)) for one in fires]
    (one,) = found("relief-valve-can-be-isolated", plant, records)
    assert one.values["plugs"] == (("P2",) if named else ())
    said = finding_text(one, Units()) + finding_cure(one, Units())
    assert ("P2" in said) is named
    assert ("vents in time" in said) is named


@pytest.mark.parametrize(
    ("plug", "advised"),
    [({}, True), ({"fitted": None}, False), ({"condition": "scaled"}, False),
     ({"offered": ("alloy",)}, False)],
)  # fmt: skip
def test_a_valve_is_advised_to_be_locked_open_only_where_that_reaches_a_plug_to_count_on(
    plug: dict[str, Any], advised: bool
) -> None:
    plant = with_valve()
    plant = replace(plant, plugs=(sound_plug(**plug),))
    (one,) = found("unprotected-section", plant)
    assert ("lock valve V1 open" in finding_cure(one, Units())) is advised


def test_the_figures_of_a_finding_are_those_of_the_parts_that_it_names() -> None:
    """Property: not those of the whole section, which other parts share."""
    plant = with_valve(kind="non-return")  # R2 and L2 beyond it reach no plug; R1 does
    (one,) = found("unprotected-section", plant)
    assert one.values["parts"] == ("R2",)
    assert one.values["volume_m3"] == pytest.approx(1.0)
    assert one.values["section_volume_m3"] > 2.0


def discharge(*valves: Valve, plugs: Sequence[Any] = (), role: str = "receiver") -> Installation:
    """C1 - L1 - J1 - L2 - R1."""
    return sound(
        lines=(line("L1", "C1", "J1"), line("L2", "J1", "R1")),
        junctions=(Junction(id="J1"),),
        vessels=(vessel("R1", role=role),),
        valves=valves,
        plugs=tuple(plugs),
    )


@pytest.mark.parametrize(
    ("valves", "on", "ok"),
    [
        ((), "L1", True),
        ((), "R1", True),  # nothing between compressor and receiver
        ((Valve(id="V1", on="L2", end="to"),), "R1", False),
        ((Valve(id="V1", on="L2", end="to", state="locked open"),), "R1", True),
        ((Valve(id="N1", on="L2", end="to", kind="non-return"),), "R1", False),
        ((Valve(id="N1", on="L2", end="to", kind="non-return"),), "L2", True),
        ((Valve(id="N1", on="L2", end="from", kind="non-return"),), "L2", False),
        ((Valve(id="V1", on="L1", end="from"),), "L1", False),
        ((Valve(id="V9", on="P1"),), "L1", False),
    ],
)
def test_plug_after_the_compressor(valves: tuple[Valve, ...], on: str, ok: bool) -> None:
    plant = discharge(*valves, plugs=(sound_plug("P1", on),))
    assert severities("no-plug-after-compressor", plant) == ([] if ok else ["warning"])


def test_plug_in_the_cooler_is_not_before_it() -> None:
    plant = discharge(plugs=(sound_plug("P1", "R1"),), role="aftercooler")
    (one,) = found("no-plug-after-compressor", plant)
    assert one.values["stops"] == ("R1",)


def test_compressor_without_a_line_is_left_alone() -> None:
    plant = sound(compressors=(*sound().compressors, replace(compressor("C9"), in_fire="stops")))
    assert found("no-plug-after-compressor", plant) == []


def test_a_plug_behind_the_non_return_valve_of_its_compressor_is_told_once() -> None:
    """Property: that the compressor has no plug and where the nearest stands is one fact."""
    behind = discharge(
        Valve(id="N1", on="L1", end="from", kind="non-return"), plugs=(sound_plug("P1", "L1"),)
    )
    (one,) = found("no-plug-after-compressor", behind)
    assert (one.part, one.values["valves"], one.values["plugs"]) == ("C1", ("N1",), ("P1",))
    assert "plug P1, stands behind N1" in finding_text(one, Units())
    assert found("plug-behind-non-return-valve", behind) == []
    before = discharge(
        Valve(id="N1", on="L1", end="to", kind="non-return"),
        plugs=(sound_plug("P1", "L1"), sound_plug("P2", "R1")),
    )
    assert found("no-plug-after-compressor", before) == []
    assert found("plug-behind-non-return-valve", before) == []


def test_non_return_valve_between_a_receiver_and_its_only_plug() -> None:
    down = with_valve(kind="non-return")
    (one,) = found("plug-behind-non-return-valve", down)
    assert (one.part, one.values["parts"], one.values["valve"]) == ("P1", ("R2",), "V1")
    turned = with_valve(kind="non-return", reverse=True)
    assert found("plug-behind-non-return-valve", turned) == []


@pytest.mark.parametrize(
    ("valve", "expected"),
    [({}, ["danger"]), ({"state": "closed"}, ["danger"]), ({"state": "locked open"}, [])],
)
def test_valve_under_a_plug(valve: dict[str, Any], expected: list[str]) -> None:
    plant = sound(valves=(Valve(id="V9", on="P1", **valve),))
    assert severities("outlet-can-be-shut", plant) == expected


# records


def test_section_records_carry_what_the_sections_say() -> None:
    plant = with_valve()
    first, second = section_records(context(plant).sections)
    assert first.members == ("C1", "L1", "L2", "R1")
    assert second.closed_valves == ("V1",)
    assert second.volume_m3 == pytest.approx(1.0)
