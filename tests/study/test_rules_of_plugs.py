"""Rules about plugs, each with a case that fails, one that passes and the edge between them."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import (
    Choices,
    Inspection,
    Installation,
    Junction,
)
from airrisk.study.compressors import compressor_records
from airrisk.study.rules.plugs import outlet_flow_share
from airrisk.study.running import running_temperatures
from airrisk.study.screening import screen
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.networks import compressor, line, vessel
from tests.study.rule_plants import (
    KELVIN,
    TYPED,
    found,
    severities,
    sound,
    sound_plug,
)


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


def test_a_plug_on_an_aftercooler_feels_the_air_that_comes_in() -> None:
    hot = compressor(discharge_temperature=200.0 + KELVIN, in_fire="stops")
    cooler = vessel("R1", role="aftercooler")
    assert severities("plug-melts-too-low", sound(compressors=(hot,), vessels=(cooler,)))
    stated = vessel("R1", role="aftercooler", temperature=40.0 + KELVIN, given=TYPED)
    assert not severities("plug-melts-too-low", sound(compressors=(hot,), vessels=(stated,)))


def test_discharge_heat_ends_behind_coolers_and_at_stated_temperatures() -> None:
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
        "R1": 400.0, "K1": 400.0, "R3": 305.0,
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
    ("running", "rupture", "expected"),
    [
        # Bi58Sn42 melts at 138 degC; the next that begin to melt above 138 degC: indium at 156.6,
        # Sn63Pb37 at 183 degC; margins 30 K on both sides
        (120.0, 300.0, ["alloy"]),
        (120.0, 186.6, ["alloy"]),
        (120.0, 186.5, ["no_alloy"]),
        (120.0, 160.0, ["rupture_no_alloy", "no_alloy"]),
        (80.0, 160.0, ["rupture"]),
    ],
)
def test_another_alloy_is_advised_only_where_one_fits(
    running: float, rupture: float, expected: list[str]
) -> None:
    """Property: both findings about a plug that no alloy can replace say so, in the same words."""
    hot = vessel("R1", temperature=running + KELVIN, given=TYPED)
    machine = replace(sound().compressors[0], discharge_temperature=running + KELVIN)
    plant = sound(vessels=(hot,), compressors=(machine,), plugs=(sound_plug(alloy="Bi58Sn42"),))
    parts = screened(plant, rupture_temperature_k=rupture + KELVIN)
    rows = [
        one
        for rule in ("plug-melts-too-high", "plug-melts-too-low")
        for one in found(rule, plant, parts=parts)
    ]
    assert [one.values["variant"] for one in rows] == expected
    cures = {finding_cure(one, Units()) for one in rows}
    for one in rows:
        said = finding_cure(one, Units())
        assert said.startswith(("No listed alloy", "No alloy can do both")) == one.values[
            "variant"
        ].endswith("no_alloy")
        assert ("Choose" in said) != one.values["variant"].endswith("no_alloy")
    assert len(cures) == 1


def test_where_no_alloy_is_molten_by_the_design_pressure_a_relief_valve_is_advised() -> None:
    plant = sound(relief_valves=())
    parts = screened(plant, rupture_temperature_k=700.0, design_pressure_temperature_k=340.0)
    (one,) = found("plug-melts-too-high", plant, parts=parts)
    assert one.values["variant"] == "design_no_alloy"
    assert finding_cure(one, Units()).endswith(
        "Fit a relief valve that is always open to vessel R1."
    )


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


@pytest.mark.parametrize(
    ("alloy", "bar", "expected"),
    [
        ("tin", 100.01, ["warning"]),
        ("tin", 100.0, []),
        ("Bi58Sn42", 100.01, ["warning"]),
        ("In66.3Bi33.7", 100.01, []),  # that has the stricter rule
    ],
)
def test_core_at_high_pressure(alloy: str, bar: float, expected: list[str]) -> None:
    # judgement: 100 bar lies between 40 and 200 bar, at which tin at 150 degC shears by 6e-5 and
    # by 1.8 in a year (tin with silver, from memory)
    plant = pressed(bar, alloy=alloy)
    assert severities("plug-core-above-its-pressure", plant) == expected
    assert len(found("low-melting-plug-above-its-pressure", plant)) == (alloy[:2] == "In")


def pressed(bar: float, **other: Any) -> Installation:
    """The plug under so many bar gauge and nothing that opens before."""
    pressure = bar * 1e5 + 101325.0
    strong = vessel("R1", pressure=pressure, design_pressure=pressure, measured=True, given=TYPED)
    fed = compressor(
        in_fire="stops", lubrication="oil-free", discharge_temperature=353.15, given=TYPED
    )
    return sound(
        vessels=(strong,), compressors=(fed,), plugs=(sound_plug(**other),), relief_valves=()
    )


def test_a_short_core_is_strained_as_by_a_higher_pressure() -> None:
    """Arithmetic: shear p d / (4 L), so a core of half a bore is sheared as one of two by four
    times the pressure."""
    (one,) = found("plug-core-above-its-pressure", pressed(26.0, alloy="tin", core_length=0.005))
    assert one.values["variant"] == "short"
    assert one.values["like_gauge_pa"] == pytest.approx(104e5)
    assert one.values["core_stress_pa"] == pytest.approx(26e5 * 0.010 / (4 * 0.005))
    said = finding_text(one, Units()).replace("\u00a0", " ")
    assert "Its core of 5 mm is short for its bore of 10 mm: 104 bar(g)" in said
    assert finding_cure(one, Units()).startswith("Choose a longer core")
    assert (
        found("plug-core-above-its-pressure", pressed(24.9, alloy="tin", core_length=0.005)) == []
    )
    # a long core is not credited: the limits are limits of pressure
    assert found("plug-core-above-its-pressure", pressed(101.0, alloy="tin", core_length=0.04))


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
    ("fitted", "expected"),
    [(dt.date(2025, 10, 31), ["warning"]), (dt.date(2025, 11, 1), []), (None, ["warning"])],
)
def test_overdue(fitted: dt.date | None, expected: list[str]) -> None:
    assert severities("plug-overdue", sound(plugs=(sound_plug(fitted=fitted),))) == expected


def test_a_date_of_fitting_to_come_is_told_as_such() -> None:
    (one,) = found("plug-overdue", sound(plugs=(sound_plug(fitted=dt.date(2027, 2, 1)),)))
    said = finding_text(one, Units())
    assert "2027-02-01, lies after the date of this assessment, 2026-11-01" in said
    assert "no date" not in said


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


def test_a_plug_as_hot_as_its_wall_is_told() -> None:
    (one,) = found("plug-without-heat-lag", sound(plugs=(sound_plug(response="follows wall"),)))
    assert (one.severity, one.part) == ("warning", "P1")
    assert found("plug-without-heat-lag", sound()) == []


def test_a_plug_too_near_to_running_says_where_the_heat_comes_from() -> None:
    """Property: the part's own temperature, the discharge into it, or heat carried on to it."""
    hot = compressor(discharge_temperature=130.0 + KELVIN, in_fire="stops")

    def told(plant: Installation) -> str:
        (one,) = found("plug-melts-too-low", plant)
        return finding_text(one, Units())

    fed = told(sound(compressors=(hot,), plugs=(sound_plug("P1", "L1"),)))
    assert "the discharge temperature of compressor C1. The alloy should begin" in fed
    unstated = vessel("R1", given=TYPED - {"temperature"})
    carried = told(sound(compressors=(hot,), vessels=(unstated,)))
    assert "the discharge temperature of compressor C1" in carried
    assert "taken to reach it because no temperature of R1 is stated" in carried
    assert "state its temperature" in carried
    own = told(sound(vessels=(vessel("R1", temperature=130.0 + KELVIN, given=TYPED),)))
    assert "C1" not in own
