"""Oil that burns inside a part: rupture, oxygen, plugs, and the note about the compressor."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from airrisk.installation.geometry import inner_surface
from airrisk.installation.model import Installation
from airrisk.report.oil_section import oil_blocks
from airrisk.study.assessment import assess
from airrisk.study.screening import screen
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.study.networks import line, plug, vessel
from tests.study.rule_plants import ON, found, sound


def oil_of(part, *plugs, **site):
    return screen(Installation(vessels=(part,), plugs=plugs, **site), part).oil_inside


def test_the_oil_that_ruptures_a_vessel_by_hand():
    """Analytic: an ideal gas with the mean heat capacity of hot air. 11 bar(a) in 1 m3 at 35 degC;
    P265GH of 410 MPa bursts a torispherical head of 8 mm less 0.3 mm by 0.8 x 0.85 of the cylinder,
    at 53 bar gauge; cv of air between 300 and 1500 K is 0.72 to 0.92 kJ/kg/K (tables, from
    memory), in the mean 0.83."""
    found = oil_of(vessel("R1"))
    head = 0.8 * 0.85 * 410e6 * 2 * 0.0077 / (0.8 + 0.0077)
    assert found.rupture_pressure_pa == pytest.approx(head + 101325.0, rel=1e-6)
    ratio = found.rupture_pressure_pa / 1.101325e6
    assert found.rupture_gas_temperature_k == pytest.approx(308.15 * ratio, rel=0.02)
    air = 1.101325e6 / (287.05 * 308.15)  # kg in a cubic metre
    by_hand = air * 830.0 * 308.15 * (ratio - 1.0) / 42.5e6
    assert found.rupture_kg == pytest.approx(by_hand, rel=0.03)
    film = found.rupture_kg / 870.0 / found.surface_m2
    assert found.rupture_film_thickness_m == pytest.approx(film)
    assert 2e-5 < film < 1e-4  # hundredths of a millimetre, as is said of discharge lines


def test_oxygen_is_the_limit():
    """Arithmetic: 23.1 % oxygen, 3.4 kg for a kilogramme of oil."""
    part = vessel("R1")
    thin = oil_of(part)
    air = screen(Installation(vessels=(part,)), part).gas_mass_kg
    assert thin.most_kg == pytest.approx(0.231 / 3.4 * air)
    strong = oil_of(replace(part, wall_thickness=0.03))
    assert strong.most_kg == pytest.approx(thin.most_kg, rel=0.05)
    assert strong.rupture_pressure_pa > strong.most_pressure_pa
    assert (strong.rupture_kg, strong.rupture_film_thickness_m) == (None, None)
    assert thin.rupture_pressure_pa < thin.most_pressure_pa < 13.0 * 1.101325e6


def test_more_pressure_inside_asks_for_a_smaller_rise_not_for_more_than_the_oxygen_gives():
    """Property: the film that bursts a part shrinks as the part is fuller near its burst
    pressure, and a part without pressure has too little oxygen."""
    films = [
        oil_of(vessel("R1", pressure=bar * 1e5)).rupture_kg for bar in (20.0, 30.0, 40.0, 50.0)
    ]
    assert films == sorted(films, reverse=True)
    assert oil_of(vessel("R1", pressure=1.2e5)).rupture_kg is None


def test_steam_of_the_start_keeps_its_share():
    """Property: a wet part bursts with no more oil than a dry one of its free volume."""
    wet = oil_of(vessel("R1", condensate=0.01, temperature=353.15))
    dry = oil_of(vessel("R1", temperature=353.15))
    assert wet.rupture_kg < dry.rupture_kg


def test_a_plug_needs_at_least_the_hot_air_and_surely_the_hot_wall():
    """Arithmetic: ideal gas of 0.725 kJ/kg/K (300 to 505 K) and steel of 0.49 kJ/kg/K."""
    part = vessel("R1", wall_thickness=0.006)
    record = screen(Installation(vessels=(part,), plugs=(plug("P1", "R1"),)), part)
    one = record.oil_inside.plugs["P1"]
    rise = 505.078 - 308.15
    assert one.air_kg == pytest.approx(record.gas_mass_kg * 725.0 * rise / 42.5e6, rel=0.03)
    more = record.wall_mass_kg * 495.0 * rise / 42.5e6
    assert one.metal_kg == pytest.approx(one.air_kg + more, rel=0.03)
    thick = replace(part, wall_thickness=0.05)
    assert oil_of(thick, plug("P1", "R1")).plugs["P1"].metal_kg is None
    # unknown metal: nothing; a plug of another part: nothing
    assert oil_of(part, plug("P1", "R1", alloy=None)).plugs == {}
    assert oil_of(part, plug("P1", "R2")).plugs == {}


def test_a_part_that_is_hotter_than_its_plug_needs_no_oil():
    hot = vessel("R1", temperature=520.0)
    one = oil_of(hot, plug("P1", "R1")).plugs["P1"]
    assert (one.air_kg, one.metal_kg) == (0.0, 0.0)


def test_a_line_has_its_numbers_too():
    """Arithmetic of the inner surface."""
    pipe = line("L1", "closed", "closed", pressure=1.1e6, temperature=300.0)
    record = screen(Installation(lines=(pipe,)), pipe).oil_inside
    assert record.surface_m2 == pytest.approx(math.pi * 0.05 * 10.0)
    assert record.rupture_kg is None  # 50 mm of 3 mm bear more than all the oxygen makes
    assert record.most_film_thickness_m == pytest.approx(record.most_kg / 870.0 / record.surface_m2)


@pytest.mark.parametrize(
    ("heads", "one"),
    [
        # a hemisphere pi D^2 / 2, a flat disc pi D^2 / 4
        ("hemispherical", math.pi * 0.8**2 / 2),
        ("flat", math.pi * 0.8**2 / 4),
    ],
)
def test_inner_surface(heads, one):
    part = vessel("R1", heads=heads, measured=True, head_thickness=0.012)
    whole = math.pi * 0.8 * part.cylinder_length + 2 * one
    assert inner_surface(part) == pytest.approx(whole, rel=0.08 if heads == "flat" else 1e-9)


def test_the_note_names_the_part_that_the_thinnest_film_bursts():
    oily = replace(sound().compressors[0], lubrication="oil-lubricated")
    plant = sound(compressors=(oily,))
    parts = {one.id: screen(plant, one) for one in plant.holders()}
    (note,) = found("oil-film-can-burn-inside", plant, parts=parts)
    assert (note.severity, note.values["bursts"]) == ("note", "R1")
    said = finding_text(note, Units()).replace("\u00a0", " ")
    assert "of oil would burst vessel R1, as a film of 0.0" in said
    strong = replace(plant.vessels[0], wall_thickness=0.03)
    parts["R1"] = screen(replace(plant, vessels=(strong,)), strong)
    (bare,) = found("oil-film-can-burn-inside", plant, parts=parts)
    assert bare.values["variant"] == "alone"
    assert "would burst" not in finding_text(bare, Units())


def test_the_report_lists_every_part():
    answer = assess(sound(fires=()), ON, bores=False)
    heading, _, table = oil_blocks(answer, Units())
    assert heading.text == "Oil that burns inside"
    rows = {row[0]: row[1:] for row in table.rows}
    assert set(rows) == {"R1", "L1"}
    assert rows["L1"][0] == "–"
    assert rows["R1"][5].startswith("P1: ")
