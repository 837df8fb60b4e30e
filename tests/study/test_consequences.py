"""Consequences of a vessel that lets go, and of an open plug, from the file to the records."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from airrisk.installation.model import Choices, Installation, People, Room
from airrisk.installation.reading import read
from airrisk.physics import energy
from airrisk.physics.harm import thresholds
from airrisk.study.consequences import (
    DISTANCES,
    PEOPLE_HARM,
    STEAM_NOTE,
    longer_by_flashing,
    people_reach,
    strong_burst_pressure,
    vessel_consequences,
)
from airrisk.study.discharges import discharges, room_entered
from airrisk.study.exposures import exposures
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.placement import audit
from airrisk.study.records import (
    CornerRecord,
    EnvelopeRecord,
    EventRecord,
    FireCurves,
    FireRecord,
    PartCurves,
)
from airrisk.study.rules import RuleContext
from airrisk.study.screening import screen
from airrisk.tables import sample_path
from airrisk.verdict.rule import Reason
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.calculator import recompute
from tests.fire import systems
from tests.study.networks import line, plug, relief, vessel

ON = dt.date(2026, 11, 1)


def plant(**changes):
    """One receiver of 1 m3 at 10 bar(g) with people and a room."""
    made = Installation(
        vessels=(vessel("R1", at=(0.0, 0.0), area="hall"),),
        lines=(line("L1", "R1", "closed", area="hall"),),
        plugs=(plug("P1", "R1"), plug("P2", "L1", outlet="piped")),
        relief_valves=(relief("RV1", "R1"),),
        people=(
            People(id="Bench", at=(3.0, 0.0), kind="work place"),
            People(id="Office", at=(0.0, 60.0), kind="building"),
        ),
        rooms=(Room(id="Hall", volume=200.0, extinguishing="gas", area="hall"),),
    )
    return replace(made, **changes)


def screened(installation):
    return {part.id: screen(installation, part) for part in installation.holders()}


def consequences(installation, parts, fires=()):
    return {
        one.id: vessel_consequences(installation, one, parts[one.id], fires)
        for one in installation.vessels
    }


def rupture_fire(name="F1", pressure=20e5, temperature=700.0, fire_class="stated"):
    curves = PartCurves(
        (1e6, pressure, 1.2e5), (300.0, temperature, 500.0), (300.0, 800.0, 800.0),
        (300.0, 400.0, 400.0), (0.1, 1.0, 0.1), (5.0, 5.0, 1.0),
    )  # fmt: skip
    return FireRecord(
        id=name, section="R1", closed_valves=(), fire_class=fire_class, outcome="ruptures",
        reason=Reason("ruptured", "R1"), kept_by="none", safe=False,
        events=(EventRecord(100.0, "rupture", "R1"),),
        peak_pressure_pa=pressure, peak_strength_use=1.0, rupture_nothing_opens_s=100.0,
        smallest_bore_m={}, by_basis={}, inner_radiation="off", balance=None,
        curves=FireCurves((0.0, 100.0, 200.0), {"R1": curves}, {}),
    )  # fmt: skip


@pytest.fixture(scope="module")
def answer():
    installation = plant()
    return installation, consequences(installation, screened(installation), (rupture_fire(),))


def test_four_cases_from_weak_to_strong(answer):
    installation, found = answer
    cases = found["R1"]
    assert list(cases) == ["cold_working", "cold_burst", "fire_unvented", "fire_transient"]
    receiver = installation.vessels[0]
    working, burst = cases["cold_working"], cases["cold_burst"]
    assert working.pressure_pa == receiver.pressure
    assert burst.pressure_pa == pytest.approx(
        installation.site.ambient_pressure + strong_burst_pressure(installation, receiver, 293.15)
    )
    assert working.energy_j < cases["fire_unvented"].energy_j < burst.energy_j
    own = cases["fire_transient"]
    assert (own.pressure_pa, own.temperature_k, own.fire) == (20e5, 700.0, "F1")


def test_unvented_rupture_is_where_strong_metal_meets_heated_air(answer):
    # property: on the isochore, and at the strength of that temperature
    installation, found = answer
    receiver, case = installation.vessels[0], found["R1"]["fire_unvented"]
    strong = strong_burst_pressure(installation, receiver, case.temperature_k)
    assert case.pressure_pa - installation.site.ambient_pressure == pytest.approx(strong, rel=2e-3)
    ideal = receiver.pressure * case.temperature_k / receiver.temperature
    assert case.pressure_pa == pytest.approx(ideal, rel=0.02)
    assert case.pressure_pa > screened(installation)["R1"].rupture_pressure_pa


def test_energy_and_tnt_are_the_stated_measures(answer):
    installation, found = answer
    for case in found["R1"].values():
        v, p0 = installation.vessels[0].volume, installation.site.ambient_pressure
        assert case.energy_j == pytest.approx(energy.isentropic_energy(case.pressure_pa, v, p0))
        assert case.tnt_kg == pytest.approx(case.energy_j / Choices().tnt_energy)
        assert case.methods["burst"].inputs["scaled_energy_j"] == pytest.approx(
            2 * energy.brode_energy(case.pressure_pa, v, p0)
        )


def test_traces_can_be_worked_again(answer):
    _, found = answer
    for case in found["R1"].values():
        assert case.traces
        for trace in case.traces:
            assert recompute(trace) == pytest.approx(trace.result, rel=1e-6), trace.key


def test_both_methods_stand_side_by_side(answer):
    _, found = answer
    for case in found["R1"].values():
        assert set(case.methods) == {"tnt", "burst"}
        for method in case.methods.values():
            assert tuple(row.distance_m for row in method.overpressure) == DISTANCES
            incident = np.array([row.incident_pa for row in method.overpressure])
            assert np.all(np.diff(incident) <= 0)
            assert all(row.reflected_pa >= row.incident_pa for row in method.overpressure)
            assert len(method.thresholds) == len(thresholds())
            distance = [row.distance_m for row in method.thresholds]
            assert distance == sorted(distance, reverse=True)
        # near the vessel TNT overstates a sphere: its curve knows no vessel
        tnt, burst = (case.methods[name].overpressure[0] for name in ("tnt", "burst"))
        assert tnt.sphere_incident_pa is None
        assert tnt.incident_pa > burst.sphere_incident_pa
        # no factor lifts the wave above the vessel's own pressure
        assert burst.sphere_incident_pa < burst.incident_pa < case.pressure_pa
        assert all(ratio > 0 for ratio in case.tnt_over_burst.values())
        assert case.believe_beyond_m > 0


def test_fragments_are_bounded_by_their_share_of_energy(answer):
    _, found = answer
    for case in found["R1"].values():
        thrown = case.fragments
        assert thrown.speed_likely_m_s < thrown.speed_bound_m_s
        for way in thrown.ways:
            assert 0 < way.range_50_m <= way.range_90_m <= way.range_99_m
            assert way.longest_range_m <= way.vacuum_range_m * 1.001
            # no mass thrown may carry more than the bound share
            mass = {"one head": thrown.head_mass_kg}.get(way.way, thrown.casing_mass_kg)
            kinetic = 0.5 * mass * way.launch_speed_m_s**2
            assert kinetic <= 1.3 * thrown.kinetic_share_bound * case.energies_j["brode"]
        speeds = [row.median_speed_m_s for row in thrown.flat_flight]
        assert speeds == sorted(speeds, reverse=True)


def test_people_are_told_who_is_in_reach_and_by_how_much(answer):
    installation, found = answer
    rows = people_reach(installation, found)
    assert len(rows) == 2 * 4
    near = next(r for r in rows if (r.people, r.case) == ("Bench", "cold_burst"))
    far = next(r for r in rows if (r.people, r.case) == ("Office", "cold_working"))
    assert near.distance_m == pytest.approx(3.0)
    assert near.reached_by_people_harm
    assert not far.reached_by_people_harm
    assert far.stand_off_kept
    assert not near.stand_off_kept
    for row in rows:
        case = found["R1"][row.case]
        for name, blast in row.methods.items():
            assert blast.incident_pa > 0
            for harm, limit in zip(blast.harms, case.methods[name].thresholds, strict=True):
                assert harm.reaches == (limit.distance_m >= row.distance_m)
                assert harm.margin_m == pytest.approx(row.distance_m - limit.distance_m)
                # the curve and its inverse say the same
                if abs(harm.margin_m) > 0.02 * row.distance_m:
                    assert harm.reaches == (blast.incident_pa >= limit.incident_pa)
            assert all(0 <= share <= 1 for share in blast.share_affected.values())
        assert all(0 <= share <= 1 for share in row.beyond_share.values())
    assert near.beyond_share["few pieces, likely"] > 0.95


def test_a_vessel_without_position_or_pressure_is_left_out():
    installation = plant()
    receiver = replace(installation.vessels[0], at=None, pressure=101325.0)
    installation = replace(installation, vessels=(receiver,))
    found = consequences(installation, screened(plant()))
    assert people_reach(installation, found) == ()
    cold = consequences(installation, screened(installation))
    assert "cold_working" not in cold["R1"]


def test_pressure_below_the_burst_table_is_marked():
    installation = plant()
    receiver = replace(installation.vessels[0], pressure=1.6e5)
    installation = replace(installation, vessels=(receiver,))
    case = consequences(installation, screened(installation))["R1"]["cold_working"]
    assert not case.methods["burst"].in_range
    assert "outside the burst table, nearest edge taken" in case.notes


def test_discharge_of_a_plug():
    installation = plant()
    parts = screened(installation)
    found = discharges(installation, parts)
    assert set(found) == {"P1", "P2", "RV1"}
    out = found["P1"]
    # arithmetic: ideal choked flow, force about 1.2 p A near 12 bar
    p, t = out.pressure_pa, out.temperature_k
    area = 0.6 * math.pi / 4 * installation.plugs[0].bore ** 2
    assert out.flow_kg_s == pytest.approx(0.6847 * p * area / math.sqrt(287.05 * t), rel=0.02)
    p0 = installation.site.ambient_pressure
    assert out.reaction_force_n == pytest.approx((1.2679 * p - p0) * area, rel=0.02)
    assert out.empty_adiabatic_s < out.empty_isothermal_s
    assert set(out.emptied_parts) == {"R1", "L1"}
    assert out.emptied_volume_m3 == pytest.approx(sum(part.volume_m3 for part in parts.values()))
    assert out.noise_at_1_m_db == pytest.approx(out.noise_at_30_m_db + 29.54, abs=0.01)
    assert out.noise_85_db_m > out.noise_140_db_m
    assert out.jet_5_m_s_m == pytest.approx(4 * out.jet_20_m_s_m)
    assert set(out.jet_at_people_m_s) == {"Bench", "Office"}
    for trace in out.traces:
        assert recompute(trace) == pytest.approx(trace.result, rel=1e-6)
    # the same bore behind a long narrow pipe lets less through and pushes less
    narrow = replace(
        installation.plugs[0], outlet="piped", outlet_length=20.0, outlet_diameter=0.012
    )
    tight = discharges(replace(installation, plugs=(narrow,)), parts)["P1"]
    assert tight.flow_kg_s < 0.9 * out.flow_kg_s
    assert tight.reaction_force_n < out.reaction_force_n
    assert tight.empty_adiabatic_s > out.empty_adiabatic_s
    assert tight.noise_at_30_m_db < out.noise_at_30_m_db
    wide = replace(narrow, outlet_length=1.0, outlet_diameter=0.04)
    loose = discharges(replace(installation, plugs=(wide,)), parts)["P1"]
    assert loose.flow_kg_s == pytest.approx(out.flow_kg_s, rel=1e-3)
    # property: a wide pipe does not take the noise of the throat away
    assert loose.noise_at_30_m_db == pytest.approx(out.noise_at_30_m_db, abs=0.1)
    assert found["RV1"].pressure_pa == installation.relief_valves[0].set_pressure


def test_air_let_into_a_room():
    installation = plant()
    parts = screened(installation)
    room = discharges(installation, parts)["P1"].room
    assert room is not None
    assert room.from_parts == ("R1", "L1") or set(room.from_parts) == {"R1", "L1"}
    p0 = installation.site.ambient_pressure
    ideal = sum(
        (part.pressure_pa * 288.15 / part.temperature_k - p0) * part.volume_m3 / p0
        for part in parts.values()
    )
    assert room.free_air_m3 == pytest.approx(ideal, rel=1e-6)
    assert room.room_share == pytest.approx(ideal / 200.0, rel=1e-6)
    assert not room.spoils_extinguishing_gas
    small = replace(installation.rooms[0], volume=15.0)
    crowded = discharges(replace(installation, rooms=(small,)), parts)["P1"].room
    assert crowded.spoils_extinguishing_gas
    assert crowded.agent_left_share < 1 / 1.3


def test_where_the_air_goes():
    installation = plant()
    open_plug, piped = installation.plugs
    assert room_entered(installation, open_plug).id == "Hall"
    assert room_entered(installation, piped) is None
    named = replace(piped, discharges_to="hall")
    assert room_entered(installation, named).id == "Hall"
    words = replace(open_plug, discharges_to="above the roof")
    assert room_entered(installation, words).id == "Hall"  # words are no statement
    away = replace(piped, outlet_place="outdoors, nobody passes")
    assert room_entered(installation, away) is None


def test_people_near_a_vessel_that_ruptures_are_a_finding():
    installation = plant()
    parts = screened(installation)

    def found(fires):
        context = RuleContext(installation, ON, parts, fires)
        return [f for f in audit(context) if f.rule == "people-within-reach"]

    (one,) = found((rupture_fire(),))
    assert (one.severity, one.part) == ("warning", "R1")
    assert one.values["place"] == "Bench"
    assert one.values["harm"] == PEOPLE_HARM
    text = finding_text(one, Units())
    assert "Bench" in text
    assert "{" not in text
    assert found(()) == []
    # whatever class of fire it is that the vessel does not survive
    for fire_class in ("whole", "beside", "spot"):
        assert len(found((rupture_fire(fire_class=fire_class),))) == 1


def test_people_near_a_vessel_that_ruptures_in_the_worst_run_alone_are_a_finding_too():
    installation = plant()
    parts = screened(installation)
    kept = replace(
        rupture_fire(), outcome="vents in time", reason=Reason("vented within the limit", "R1"),
        events=(),
    )  # fmt: skip
    corner = CornerRecord(1.2e6, "highest", 0.5, 1.0, "credited", "off")
    worst = EnvelopeRecord(
        runs=24, corner=corner, outcome="ruptures", reason=Reason("ruptured", "R1"),
        peak_strength_use=1.0, peak_pressure_pa=22e5, rupture_s=200.0, first_vent_s=None,
        first_vent_by_part_s={}, controlling_part="R1",
        rupture_state={"pressure_pa": 21e5, "temperature_k": 650.0},
    )  # fmt: skip

    def found(fire):
        context = RuleContext(installation, ON, parts, (fire,))
        return [f for f in audit(context) if f.rule == "people-within-reach"]

    assert found(kept) == []
    (one,) = found(replace(kept, envelope=worst))
    assert one.values["rupture_pressure_pa"] == 21e5
    other = replace(worst, controlling_part="R2")
    assert found(replace(kept, envelope=other)) == []


def test_people_near_a_vessel_without_a_plan_position_are_a_finding_too():
    installation = plant()
    nowhere = replace(installation.vessels[0], at=None)
    installation = replace(installation, vessels=(nowhere, *installation.vessels[1:]))
    parts = screened(installation)

    def found(plant, fires):
        context = RuleContext(plant, ON, parts, fires)
        return [f for f in audit(context) if f.rule == "people-within-reach"]

    (one,) = found(installation, (rupture_fire(),))
    assert (one.severity, one.part, one.values["variant"]) == ("warning", "R1", "unplaced")
    assert "no place on the layout" in finding_text(one, Units())
    assert found(replace(installation, people=()), (rupture_fire(),)) == []
    assert found(installation, ()) == []


def test_consequences_of_one_vessel_take_milliseconds(benchmark):
    installation = plant()
    parts = screened(installation)
    result = benchmark(consequences, installation, parts, (rupture_fire(),))
    assert len(result["R1"]) == 4


def test_a_plug_before_a_non_return_valve_empties_its_own_line_only():
    quarry = read(sample_path("slate-quarry").read_bytes())
    parts = {part.id: screen(quarry, part) for part in quarry.holders()}
    found = discharges(quarry, parts)
    assert found["FP1"].emptied_parts == ("L1",)
    assert found["FP1"].empty_isothermal_s < 10.0
    assert set(found["FP2"].emptied_parts) >= {"R1", "L1"}


@pytest.mark.parametrize(("share", "ratio"), [(0.1, 1.14), (0.02, 1.18)])
def test_steam_of_the_same_pressure_holds_up_to_a_fifth_more(share, ratio):
    """Arithmetic: the isentropic measure with k 1.3 (steam, from memory) against 1.4."""
    steam = energy.isentropic_energy(1.0, 1.0, share, 1.3)
    assert steam / energy.isentropic_energy(1.0, 1.0, share, 1.4) == pytest.approx(ratio, abs=0.01)


def test_a_hot_wet_vessel_says_that_its_steam_counts_as_air():
    for water, said in ((0.0, False), (0.02, True)):
        installation = plant()
        receiver = replace(installation.vessels[0], condensate=water)
        installation = replace(installation, vessels=(receiver,))
        cases = consequences(installation, screened(installation))["R1"]
        assert (STEAM_NOTE in cases["fire_unvented"].notes) is said
        assert STEAM_NOTE not in cases["cold_working"].notes


def test_much_hot_water_lengthens_the_distances_and_that_is_said():
    """Arithmetic: energy of 500 L of water at 200 degC beside that of the air, cube root."""
    receiver = replace(plant().vessels[0], condensate=0.5)
    hot, stored = 473.15, 4e6
    steam = 15.5e5 * (receiver.volume - 0.5) / (461.5 * hot)  # kg, saturated at 200 degC
    by_hand = (1.0 + (0.5 * 998.0 - steam) * 78.3e3 / stored) ** (1.0 / 3.0)  # steam tables
    assert longer_by_flashing(receiver, hot, stored) == pytest.approx(by_hand, rel=0.01)
    for water, said in ((0.001, False), (0.5, True)):
        installation = plant()
        installation = replace(
            installation, vessels=(replace(installation.vessels[0], condensate=water),)
        )
        case = consequences(installation, screened(installation))["R1"]["fire_unvented"]
        assert any("times as long" in note for note in case.notes) is said


def test_a_vessel_that_ruptures_in_the_worst_run_only_is_told_with_that_rupture():
    """Property: the run as stated ends well; people are told of the run that does not."""
    day = dt.date(2026, 11, 1)
    tin = systems.plug(alloy="tin", bore=0.0085, fitted=day)
    whole = systems.installation(systems.vessel(pressure=6e5), tin, systems.fire())
    record = fire_record(whole, exposures(whole)[0], day, bores=False)
    assert record.outcome == "vents in time"
    assert record.envelope is not None
    assert record.envelope.outcome == "ruptures"
    assert record.ruptures("R1")
    found = consequences(whole, screened(whole), (record,))["R1"]["fire_transient"]
    assert found.pressure_pa == record.envelope.rupture_state["pressure_pa"]
