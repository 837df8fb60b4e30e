"""Each rule with a case that fails, one that passes and the edge between them."""

from __future__ import annotations

import datetime as dt
import functools
import string
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import (
    Choices,
    Compressor,
    Fire,
    Inspection,
    Installation,
    Junction,
    People,
    Room,
    Site,
    Valve,
)
from airrisk.study.compressors import compressor_records
from airrisk.study.placement import audit, section_records
from airrisk.study.records import EventRecord, Failure, Finding, FireRecord, Margins
from airrisk.study.rules import RULES, RuleContext
from airrisk.study.rules.context import TEXTS_FILE
from airrisk.study.rules.plugs import outlet_flow_share
from airrisk.study.rules.pressures import carried_pressure
from airrisk.study.running import running_temperatures
from airrisk.study.screening import screen
from airrisk.study.upkeep import upkeep_rows
from airrisk.tables import read_toml
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.networks import compressor, disc, line, plug, relief, vessel

ON = dt.date(2026, 11, 1)
KELVIN = 273.15
TYPED = frozenset(
    {
        "weld_factor", "measured", "temperature", "condition", "discharge_coefficient", "place",
        "in_fire", "lubrication", "efficiency",
    }
)  # fmt: skip


def sound_plug(name: str = "P1", on: str = "R1", **other: Any):
    """A plug in good order, given every value that matters."""
    values = {
        "alloy": "Bi58Sn42",
        "condition": "clean",
        "fitted": dt.date(2026, 5, 1),
        "discharges_to": "above the roof, no access",
        "given": TYPED,
    }
    return plug(name, on, **(values | other))


def sound(**other: Any) -> Installation:
    """C1 - L1 - R1, plug and relief valve on the receiver, nothing that can be shut."""
    values: dict[str, Any] = {
        "compressors": (
            compressor(
                in_fire="stops", lubrication="oil-free", discharge_temperature=353.15, given=TYPED
            ),
        ),
        "vessels": (vessel("R1", measured=True, given=TYPED),),
        "lines": (line("L1", "C1", "R1", measured=True, given=TYPED),),
        "plugs": (sound_plug(),),
        "relief_valves": (relief("S1", "R1", given=TYPED),),
    }
    return Installation(**(values | other))


@functools.cache
def machines(compressors: tuple[Compressor, ...], site: Site) -> Any:
    """Compressor records; the same few machines come again and again."""
    return compressor_records(Installation(compressors=compressors, site=site))


def context(plant: Installation, fires: Sequence[FireRecord] = (), **other: Any) -> RuleContext:
    compressors, failures = machines(plant.compressors, plant.site)
    values: dict[str, Any] = {
        "parts": {},
        "compressors": compressors,
        "upkeep": upkeep_rows(plant, ON),
        "failures": failures,
    }
    return RuleContext(plant, ON, fires=tuple(fires), **(values | other))


def found(rule: str, plant: Installation, *args: Any, **other: Any) -> list[Finding]:
    """Findings of one rule; every text is filled in, so that a missing value shows."""
    findings = [f for f in audit(context(plant, *args, **other)) if f.rule == rule]
    for one in findings:
        assert "{" not in finding_text(one, Units()) + finding_cure(one, Units())
    return findings


def severities(rule: str, plant: Installation, *args: Any, **other: Any) -> list[str]:
    return [f.severity for f in found(rule, plant, *args, **other)]


def with_valve(**valve: Any) -> Installation:
    """The sound plant with a second receiver behind a valve."""
    plant = sound()
    return replace(
        plant,
        vessels=(*plant.vessels, vessel("R2", measured=True, given=TYPED)),
        lines=(*plant.lines, line("L2", "R1", "R2", measured=True, given=TYPED)),
        valves=(Valve(id="V1", on="L2", end="to", **valve),),
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
        assert rule.cure_key in texts
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
    assert one.values["stored_pa_m3"] == pytest.approx(1.0e6)
    assert found("unprotected-section", with_valve(state="locked open")) == []


@pytest.mark.parametrize(("litres", "expected"), [(5.0, "danger"), (4.99, "note")])
def test_small_sections_are_notes(litres: float, expected: str) -> None:
    # 5 L at 10 bar(g) is 50 bar L, the limit itself
    plant = with_valve()
    small = replace(plant.vessels[1], volume=litres / 1e3, pressure=101325.0 + 1e6)
    plant = replace(plant, vessels=(plant.vessels[0], small))
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
    with_plug = replace(plant, plugs=(*plant.plugs, sound_plug("P2", "R2")))
    (guarded,) = found("relief-valve-can-be-isolated", with_plug)
    assert guarded.values["plugs"] == ("P2",)
    own = replace(plant, relief_valves=(*plant.relief_valves, relief("S2", "R2")))
    assert found("relief-valve-can-be-isolated", own) == []
    small = replace(plant, vessels=(plant.vessels[0], replace(plant.vessels[1], volume=0.004)))
    assert severities("relief-valve-can-be-isolated", small) == ["note"]


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


def test_plug_behind_the_non_return_valve_of_its_compressor() -> None:
    behind = discharge(
        Valve(id="N1", on="L1", end="from", kind="non-return"), plugs=(sound_plug("P1", "L1"),)
    )
    (one,) = found("plug-behind-non-return-valve", behind)
    assert (one.part, one.values["valve"]) == ("P1", "N1")
    before = discharge(
        Valve(id="N1", on="L1", end="to", kind="non-return"),
        plugs=(sound_plug("P1", "L1"), sound_plug("P2", "R1")),
    )
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


# plugs


@pytest.mark.parametrize(
    ("running", "expected"),
    [(138.0, ["danger"]), (108.01, ["warning"]), (108.0, []), (80.0, [])],
)
def test_margin_above_normal_running(running: float, expected: list[str]) -> None:
    # Bi58Sn42 melts at 138 degC; the margin is 30 K
    hot = vessel("R1", temperature=running + KELVIN, measured=True, given=TYPED)
    assert severities("plug-melts-too-low", sound(vessels=(hot,))) == expected


def test_margin_is_a_choice() -> None:
    hot = vessel("R1", temperature=118.0 + KELVIN, given=TYPED)
    plant = sound(vessels=(hot,), choices=Choices(running_margin=20.0))
    assert found("plug-melts-too-low", plant) == []


def test_plug_on_the_discharge_line_is_as_hot_as_the_discharge() -> None:
    hot = compressor(discharge_temperature=130.0 + KELVIN, in_fire="stops")
    plant = sound(compressors=(hot,), plugs=(sound_plug("P1", "L1"),))
    assert severities("plug-melts-too-low", plant) == ["warning"]


def test_discharge_heat_ends_at_stated_temperatures_and_coolers() -> None:
    hot = compressor(discharge_temperature=400.0)
    plant = Installation(
        compressors=(hot,),
        vessels=(
            vessel("R1", temperature=300.0),
            vessel("K1", temperature=310.0, role="aftercooler"),
            vessel("R3", temperature=305.0, given=frozenset({"temperature"})),
        ),
        junctions=(Junction(id="J1"),),
        lines=(
            line("L1", "C1", "J1", temperature=290.0, given=frozenset({"temperature"})),
            line("L2", "J1", "R1"),
            line("L3", "J1", "K1"),
            line("L4", "J1", "R3", temperature=301.0, given=frozenset({"temperature"})),
            line("L5", "R1", "closed"),
            line("L6", "K1", "closed", temperature=299.0),
        ),
    )
    records, _ = compressor_records(plant)
    assert running_temperatures(plant, records) == {
        "R1": 400.0, "K1": 310.0, "R3": 305.0,
        "L1": 400.0, "L2": 400.0, "L3": 400.0, "L4": 301.0, "L5": 400.0, "L6": 299.0,
    }  # fmt: skip


def screened(plant: Installation, **part: Any) -> dict[str, Any]:
    records = {p.id: screen(plant, p) for p in plant.holders()}
    return records | {"R1": replace(records["R1"], **part)}


@pytest.mark.parametrize(
    ("rupture", "expected"),
    [(411.15, ["danger"]), (441.14, ["warning"]), (441.15, []), (None, [])],
)
def test_plug_molten_before_rupture(rupture: float | None, expected: list[str]) -> None:
    # Bi58Sn42: liquidus 138 degC = 411.15 K, margin 30 K
    plant = sound()
    parts = screened(plant, rupture_temperature_k=rupture)
    assert severities("plug-melts-too-high", plant, parts=parts) == expected


@pytest.mark.parametrize(
    ("design", "with_relief", "expected"),
    [(411.14, False, ["warning"]), (411.15, False, []), (411.14, True, [])],
)
def test_plug_molten_before_design_pressure(
    design: float, with_relief: bool, expected: list[str]
) -> None:
    plant = sound() if with_relief else sound(relief_valves=())
    parts = screened(plant, rupture_temperature_k=700.0, design_pressure_temperature_k=design)
    assert severities("plug-melts-too-high", plant, parts=parts) == expected


def test_tin_plug_is_no_trip_for_hot_discharge() -> None:
    oily = replace(sound().compressors[0], lubrication="oil-lubricated")
    tin = (sound_plug("P1", "L1", alloy="tin"),)
    (one,) = found("plug-melts-too-high", sound(compressors=(oily,), plugs=tin))
    assert (one.severity, one.values["variant"]) == ("note", "oil")
    assert found("plug-melts-too-high", sound(plugs=tin)) == []
    assert found("plug-melts-too-high", sound(compressors=(oily,))) == []


@pytest.mark.parametrize(
    ("alloy", "gauge", "expected"),
    [
        ("Bi50Pb26.7Sn13.3Cd10", 3.4501e6, ["warning"]),
        ("Bi50Pb26.7Sn13.3Cd10", 3.45e6, []),
        ("Bi58Sn42", 3.6e6, []),
    ],
)
def test_low_melting_plug_at_pressure(alloy: str, gauge: float, expected: list[str]) -> None:
    # published: such plugs only up to 34.5 bar
    strong = vessel("R1", pressure=gauge + 101325.0, design_pressure=gauge + 101325.0)
    plant = sound(vessels=(strong,), plugs=(sound_plug(alloy=alloy),), relief_valves=())
    assert severities("low-melting-plug-above-its-pressure", plant) == expected


def test_unknown_alloy() -> None:
    assert severities("plug-alloy-unstated", sound(plugs=(sound_plug(alloy=None),))) == ["warning"]
    assert found("plug-alloy-unstated", sound()) == []


@pytest.mark.parametrize(
    ("place", "condensate", "role", "expected"),
    [
        ("drain", 0.0, "dryer", ["warning"]),
        ("bottom", 0.001, "dryer", ["warning"]),
        ("bottom", 0.0, "receiver", ["warning"]),
        ("bottom", 0.0, "dryer", ["note"]),
        ("side", 0.04, "receiver", []),
        ("top", 0.04, "receiver", []),
    ],
)
def test_plug_in_liquid(place: str, condensate: float, role: str, expected: list[str]) -> None:
    plant = sound(
        vessels=(vessel("R1", condensate=condensate, role=role),),
        plugs=(sound_plug(place=place),),
    )
    assert severities("plug-in-liquid", plant) == expected


def piped(diameter: float, length: float) -> Any:
    return sound_plug(outlet="piped", outlet_diameter=diameter, outlet_length=length)


def test_outlet_pipe() -> None:
    assert severities("outlet-line-too-tight", sound(plugs=(piped(0.009, 5.0),))) == ["warning"]
    assert found("outlet-line-too-tight", sound(plugs=(piped(0.05, 5.0),))) == []


def test_edge_of_the_outlet_pipe_is_nine_tenths_of_the_flow() -> None:
    plant = sound()

    def share(diameter: float) -> float:
        value = outlet_flow_share(piped(diameter, 3.0), plant.vessels[0].pressure, 308.15, 101325.0)
        assert value is not None
        return value

    low, high = 0.008, 0.06
    assert share(low) < 0.9 < share(high) <= 1.0 + 1e-9
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if share(middle) < 0.9 else (low, middle)
    plant = sound(vessels=(vessel("R1", given=TYPED),))
    assert found("outlet-line-too-tight", replace(plant, plugs=(piped(high, 3.0),))) == []
    assert found("outlet-line-too-tight", replace(plant, plugs=(piped(low - 1e-9, 3.0),)))


@pytest.mark.parametrize(
    ("text", "extinguishing", "expected"),
    [
        ("packing hall", "none", ["warning"]),
        ("near Office-2 window", "none", ["warning"]),
        ("Office 2", "none", ["warning"]),
        ("packing hallway roof", "none", []),  # not the name of a place
        ("packing hall, no access", "none", []),
        ("packing hall, no access", "gas", ["danger"]),  # the gas is driven out all the same
        ("outdoors, no access", "gas", []),
        ("", "none", ["note"]),
    ],
)
def test_outlet_into_a_place(text: str, extinguishing: Any, expected: list[str]) -> None:
    plant = sound(
        vessels=(vessel("R1", area="packing hall"),),
        lines=(line("L1", "C1", "R1", area="packing hall"),),
        plugs=(sound_plug(discharges_to=text),),
        rooms=(Room(id="Hall", volume=30.0, area="packing hall", extinguishing=extinguishing),),
        people=(People(id="Office-2", at=(0.0, 0.0), kind="building"),),
    )
    assert severities("outlet-into-occupied-place", plant) == expected


def test_large_room_with_gas_is_a_warning() -> None:
    plant = sound(
        plugs=(sound_plug(discharges_to="Hall"),),
        rooms=(Room(id="Hall", volume=3000.0, extinguishing="gas"),),
    )
    (one,) = found("outlet-into-occupied-place", plant)
    assert one.severity == "warning"
    # arithmetic: 1 m3 and the line at 10 bar(g), 35 degC, brought to 15 degC and 1 atm
    free = (1.101325e6 / 308.15 - 101325 / 288.15) * 288.15 / 101325
    assert one.values["free_air_m3"] == pytest.approx(free, rel=0.03)


@pytest.mark.parametrize(
    ("fitted", "expected"),
    [(dt.date(2025, 10, 31), ["warning"]), (dt.date(2025, 11, 1), []), (None, ["warning"])],
)
def test_overdue(fitted: dt.date | None, expected: list[str]) -> None:
    assert severities("plug-overdue", sound(plugs=(sound_plug(fitted=fitted),))) == expected


@pytest.mark.parametrize(
    ("fitted", "expected"),
    [(dt.date(2026, 1, 2), []), (dt.date(2026, 1, 1), ["note"]), (dt.date(2025, 10, 31), [])],
)
def test_due_soon(fitted: dt.date, expected: list[str]) -> None:
    assert severities("plug-due-soon", sound(plugs=(sound_plug(fitted=fitted),))) == expected


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        ("clean", []),
        ("oil film", ["note"]),
        ("unknown", ["warning"]),
        ("corroded", ["warning"]),
        ("painted over", ["warning"]),
    ],
)
def test_condition(condition: str, expected: list[str]) -> None:
    assert severities("plug-condition", sound(plugs=(sound_plug(condition=condition),))) == expected


def test_last_inspection_rules_over_the_stated_condition() -> None:
    entry = Inspection(on="P1", date=dt.date(2026, 10, 1), condition="scaled")
    assert severities("plug-condition", sound(inspections=(entry,))) == ["warning"]
    later = replace(entry, date=dt.date(2026, 11, 2))
    assert found("plug-condition", sound(inspections=(later,))) == []


# pressures and walls


@pytest.mark.parametrize(
    ("set_pressure", "expected"), [(1.2e6 + 10.0, ["danger"]), (1.2e6, []), (1.0e6, [])]
)
def test_relief_valve_set_above_design(set_pressure: float, expected: list[str]) -> None:
    plant = sound(relief_valves=(relief("S1", "R1", set_pressure=set_pressure),))
    assert severities("relief-set-above-design", plant) == expected


def test_second_relief_valve_may_be_five_per_cent_higher() -> None:
    # from memory: ASME VIII UG-134; design gauge 1.2e6 - 101325
    edge = 1.2e6 + 0.05 * (1.2e6 - 101325.0)
    first = relief("S1", "R1", set_pressure=1.2e6)

    def plant(pressure: float) -> Installation:
        return sound(relief_valves=(first, relief("S2", "R1", set_pressure=pressure)))

    assert found("relief-set-above-design", plant(edge)) == []
    assert severities("relief-set-above-design", plant(edge + 10.0)) == ["warning"]


def test_a_stronger_neighbour_may_have_a_higher_relief_valve() -> None:
    plant = sound(
        vessels=(vessel("R1"), vessel("R2", design_pressure=1.6e6)),
        lines=(line("L1", "C1", "R1"), line("L2", "R1", "R2")),
        relief_valves=(
            relief("S1", "R1", set_pressure=1.2e6),
            relief("S2", "R2", set_pressure=1.6e6),
        ),
    )
    assert found("relief-set-above-design", plant) == []


def test_disc_above_design_counts_too() -> None:
    plant = sound(relief_valves=(), bursting_discs=(disc("B1", "R1"),))  # 13 bar over 12 bar
    assert severities("relief-set-above-design", plant) == ["danger"]


@pytest.mark.parametrize(("pressure", "expected"), [(1.2001e6, ["danger"]), (1.2e6, [])])
def test_standing_pressure_above_design(pressure: float, expected: list[str]) -> None:
    plant = sound(vessels=(vessel("R1", pressure=pressure),))
    assert severities("pressure-above-design", plant) == expected


def test_compressor_that_delivers_more_than_design() -> None:
    strong = replace(sound().compressors[0], discharge_pressure=1.3e6)
    bare = sound(compressors=(strong,), relief_valves=())
    (one,) = found("pressure-above-design", bare)
    assert (one.part, one.values["variant"]) == ("R1", "pumped")
    assert found("pressure-above-design", sound(compressors=(strong,))) == []
    shut = sound(compressors=(strong,), valves=(Valve(id="V9", on="S1"),))
    assert severities("pressure-above-design", shut) == ["danger"]
    equal = replace(strong, discharge_pressure=1.2e6)
    assert found("pressure-above-design", sound(compressors=(equal,), relief_valves=())) == []


def test_wall_for_the_design_pressure() -> None:
    plant = sound()
    # design pressure exactly what the wall carries, then a little more
    edge = carried_pressure(plant.vessels[0]) + 101325.0

    def designed(pressure: float) -> Installation:
        return sound(vessels=(replace(plant.vessels[0], design_pressure=pressure),))

    assert found("wall-thinner-than-design-needs", designed(edge)) == []
    assert severities("wall-thinner-than-design-needs", designed(edge * 1.001)) == ["warning"]
    thin = sound(vessels=(replace(plant.vessels[0], wall_thickness=0.001, measured=True),))
    assert severities("wall-thinner-than-design-needs", thin) == ["danger"]


def test_wall_of_a_cylinder_against_the_shell_formula() -> None:
    # analytic: p = 2 f z t / (Di + t), mean diameter; hemispheres are stronger than the shell
    shell = vessel("R1", heads="hemispherical", measured=True)
    f = min(410e6 / 2.4, 265e6 / 1.5)
    expected = 2 * f * 0.85 * 0.008 / 0.808
    assert carried_pressure(shell) == pytest.approx(expected, rel=1e-9)


def test_condensate() -> None:
    wet = sound(vessels=(vessel("R1", condensate=0.04),))
    (one,) = found("condensate-raises-pressure", wet)
    assert one.severity == "warning"
    # published, from memory (steam tables): 3.41 bar at 138 degC
    assert one.values["vapour_difference_pa"] == pytest.approx(3.41e5, rel=5e-3)
    assert found("condensate-raises-pressure", sound()) == []
    drop = sound(vessels=(vessel("R1", condensate=1e-6),))
    (little,) = found("condensate-raises-pressure", drop)
    assert little.severity == "note"
    # arithmetic: a gramme of water evaporates whole, m R T / V
    assert little.values["vapour_difference_pa"] == pytest.approx(
        0.998e-3 * 461.5 * 411.15, rel=1e-3
    )


@pytest.mark.parametrize(("share", "expected"), [(0.1001, "warning"), (0.0999, "note")])
def test_vapour_of_a_tenth_of_the_design_pressure_is_a_warning(share: float, expected: str) -> None:
    # arithmetic: m R T / V of water that evaporates whole
    wanted = share * (1.2e6 - 101325.0)
    litres = wanted / (998.0 * 461.526 * 411.15)
    wet = sound(vessels=(vessel("R1", condensate=litres / (1.0 + litres)),))
    assert severities("condensate-raises-pressure", wet) == [expected]


# machines


@pytest.mark.parametrize(
    ("celsius", "lubrication", "expected"),
    [
        (220.01, "oil-lubricated", ["warning"]),
        (220.0, "oil-lubricated", []),
        (230.0, "oil-free", []),
        (120.1, "oil-flooded", ["warning"]),
        (120.0, "oil-flooded", []),
    ],
)
def test_discharge_temperature(celsius: float, lubrication: Any, expected: list[str]) -> None:
    machine = Compressor(
        id="C1",
        delivery=0.01,
        discharge_pressure=9e5,
        lubrication=lubrication,
        discharge_temperature=celsius + KELVIN,
    )
    plant = sound(compressors=(machine,))
    assert severities("discharge-temperature-too-hot", plant) == expected


def test_computed_discharge_temperature_is_judged_too() -> None:
    machine = Compressor(id="C1", delivery=0.01, discharge_pressure=9e5, efficiency=0.6)
    (one,) = found("discharge-temperature-too-hot", sound(compressors=(machine,)))
    assert one.values["variant"] == "computed"


def test_compressor_that_keeps_running() -> None:
    runs = replace(sound().compressors[0], in_fire="keeps running")
    (one,) = found("no-stop-on-fire-alarm", sound(compressors=(runs,)))
    assert one.values["variant"] == "typed"
    default = replace(runs, given=frozenset())
    assert found("no-stop-on-fire-alarm", sound(compressors=(default,)))[0].values["variant"] == (
        "assumed"
    )
    assert found("no-stop-on-fire-alarm", sound()) == []


def test_oil_in_the_air_is_said() -> None:
    oily = replace(sound().compressors[0], lubrication="oil-flooded")
    assert severities("oil-film-can-burn-inside", sound(compressors=(oily,))) == ["note"]
    assert found("oil-film-can-burn-inside", sound()) == []


def test_assumed_values_are_named_once_a_part() -> None:
    bare = sound(vessels=(vessel("R1", given=frozenset({"measured"})),))
    (one,) = found("value-assumed", bare)
    assert (one.part, one.severity, one.values["fields"]) == ("R1", "note", ("weld factor",))
    assert found("value-assumed", sound()) == []


# fires


def fire_record(**other: Any) -> FireRecord:
    """A fire that ends well."""
    values: dict[str, Any] = {
        "id": "F1",
        "section": "C1+L1+R1",
        "closed_valves": (),
        "default_case": None,
        "outcome": "vents in time",
        "reason": "empty",
        "kept_by": "heat",
        "safe": True,
        "events": (EventRecord(300.0, "plug opens", "P1"), EventRecord(500.0, "empty", "R1")),
        "peak_pressure_pa": 1.4e6,
        "peak_strength_use": 0.4,
        "time_to_rupture_without_vent_s": 700.0,
        "smallest_bore_m": {"P1": 0.008},
        "by_basis": {"tensile": "vents in time", "yield": "vents in time"},
        "inner_radiation": "on",
        "balance": None,
        "curves": None,
        "members": ("C1", "L1", "R1"),
        "exposed": ("R1",),
        "margins": Margins(400.0, 0.267, 0.667, {"P1": 420.0}, "R1"),
        "first_vent_s": 300.0,
    }
    return FireRecord(**(values | other))


BAD: dict[str, Any] = {
    "outcome": "ruptures",
    "safe": False,
    "kept_by": "none",
    "events": (EventRecord(600.0, "rupture", "R1"),),
    "first_vent_s": None,
    "smallest_bore_m": {},
    "by_basis": {"tensile": "ruptures", "yield": "ruptures"},
    "peak_strength_use": 1.0,
}


@pytest.mark.parametrize(
    ("case", "expected"), [(None, "danger"), ("a", "danger"), ("b", "warning"), ("c", "note")]
)
def test_unsafe_outcomes_weigh_by_case(case: str | None, expected: str) -> None:
    record = fire_record(**BAD, default_case=case)
    assert severities("fire-outcome", sound(), [record]) == [expected]
    assert found("fire-outcome", sound(), [fire_record(default_case=case)]) == []


def test_plug_without_credit_is_named_with_what_it_would_do() -> None:
    record = fire_record(**BAD, uncredited_plugs=("P1",), outcome_if_plugs_work="vents in time")
    (one,) = found("fire-outcome", sound(), [record])
    assert one.values["variant"] == "file_uncredited"
    text = finding_text(one, Units())
    assert "P1" in text
    assert "vents in time" in text


def test_like_cases_of_a_section_make_one_finding() -> None:
    records = [
        fire_record(**BAD, default_case="b", id="Quarter of R1", start="pressure"),
        fire_record(**BAD, default_case="b", id="Quarter of R1 high", start="highest"),
        fire_record(**BAD, default_case="c", id="Twentieth of R1"),
        fire_record(**BAD, id="F1"),
        fire_record(**BAD, id="F2"),
    ]
    findings = found("fire-outcome", sound(), records)
    assert [len(f.values["fires"]) for f in findings] == [1, 1, 2, 1]
    assert {name for f in findings for name in f.values["fires"]} == {r.id for r in records}


@pytest.mark.parametrize(("case", "expected"), [("a", "note"), ("b", "note"), (None, "danger")])
def test_little_air_weighs_less_except_in_the_files_own_fires(
    case: str | None, expected: str
) -> None:
    plant = replace(sound(), choices=Choices(small_section=2e6))
    record = fire_record(**BAD, default_case=case)
    assert severities("fire-outcome", plant, [record]) == [expected]


def test_outlasting_above_the_limit_is_unsafe() -> None:
    record = fire_record(**(BAD | {"outcome": "outlasts the fire", "peak_strength_use": 0.7}))
    assert severities("fire-outcome", sound(), [record]) == ["danger"]


def test_run_that_did_not_converge_is_never_silent() -> None:
    record = fire_record(**(BAD | {"outcome": "not converged", "reason": "step too small"}))
    assert severities("calculation-failed", sound(), [record]) == ["danger"]
    assert found("fire-outcome", sound(), [record]) == []
    same = (Failure("fire", "F1 on R1", "step too small"),)
    assert len(found("calculation-failed", sound(), [record], failures=same)) == 1
    other = (Failure("screening", "R1", "no room for air"),)
    assert len(found("calculation-failed", sound(), [record], failures=other)) == 2
    assert found("calculation-failed", sound(), [fire_record()]) == []


def beside(share: float = 0.25) -> Installation:
    fire = Fire(id="F1", curve="hydrocarbon", reaches=("R1",), exposed_share=(("R1", share),))
    return sound(fires=(fire,))


def test_plug_out_of_reach() -> None:
    rule = "plug-out-of-reach-of-fire"
    (one,) = found(rule, beside(), [fire_record(**BAD)])
    assert (one.part, one.severity, one.values["variant"]) == ("P1", "danger", "never")
    assert one.values["plug_temperature_k"] == 420.0
    assert found(rule, beside(), [fire_record()]) == []  # safe
    assert found(rule, beside(1.0), [fire_record(**BAD)]) == []  # the plug is in the fire
    uncredited = fire_record(**BAD, uncredited_plugs=("P1",))
    assert found(rule, beside(), [uncredited]) == []  # another cause
    late = fire_record(
        **(BAD | {"outcome": "vents too late", "events": (EventRecord(650.0, "plug opens", "P1"),)})
    )
    assert found(rule, beside(), [late])[0].values["opens_s"] == 650.0


@pytest.mark.parametrize(
    ("need", "expected"), [(0.0101, ["danger"]), (0.010, []), (None, []), (0.008, [])]
)
def test_bore(need: float | None, expected: list[str]) -> None:
    record = fire_record(**(BAD | {"smallest_bore_m": {"P1": need}}))
    assert severities("bore-too-small", sound(), [record]) == expected


def test_bore_of_a_safe_outcome_is_enough() -> None:
    assert found("bore-too-small", sound(), [fire_record(smallest_bore_m={"P1": 0.02})]) == []


def test_largest_need_of_all_fires_counts() -> None:
    records = [
        fire_record(**(BAD | {"smallest_bore_m": {"P1": need}}), id=f"F{need}", default_case=case)
        for need, case in ((0.02, None), (0.03, "c"))
    ]
    (one,) = found("bore-too-small", sound(), records)
    assert one.values["smallest_bore_m"] == 0.03
    assert one.severity == "danger"


@pytest.mark.parametrize(
    ("yields", "case", "expected"),
    [
        ("ruptures", None, ["warning"]),
        ("outlasts the fire", None, ["note"]),
        ("vents in time", None, []),
        ("ruptures", "c", ["note"]),
    ],
)
def test_verdict_by_basis(yields: str, case: str | None, expected: list[str]) -> None:
    record = fire_record(by_basis={"tensile": "vents in time", "yield": yields}, default_case=case)
    assert severities("verdict-depends-on-strength-basis", sound(), [record]) == expected


def test_safe_fire_kept_by_the_relief_valve_is_said() -> None:
    record = fire_record(outcome="outlasts the fire", kept_by="pressure")
    assert severities("kept-by-pressure-alone", sound(), [record]) == ["warning"]
    assert found("kept-by-pressure-alone", sound(), [fire_record()]) == []


# records


def test_section_records_carry_what_the_sections_say() -> None:
    plant = with_valve()
    first, second = section_records(context(plant).sections)
    assert first.members == ("C1", "L1", "L2", "R1")
    assert second.closed_valves == ("V1",)
    assert second.volume_m3 == pytest.approx(1.0)
