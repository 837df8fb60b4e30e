"""A verdict answers for every fire up to the stated one, and credits nothing unconfirmed."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from CoolProp import CoolProp

from airrisk.fire.outcome import classify
from airrisk.installation.model import (
    AssumedFire,
    Choices,
    Compressor,
    Fire,
    Installation,
    Line,
    Valve,
)
from airrisk.kernel import layout
from airrisk.physics import air, metal
from airrisk.study import creep_doubt as creep
from airrisk.study import envelope as envelopes
from airrisk.study.assessment import assess
from airrisk.study.compressors import compressor_record
from airrisk.study.envelope import corners, doubts, envelope, isothermal, run_corners, worse
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.fire_runs import STATED, Corner, Ending, FireStudy
from airrisk.study.records import Assessment, FireRecord
from airrisk.study.slices import Slicer, fire_slice
from airrisk.verdict.rule import DAMAGE_LIMIT, Reason, Verdict
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.margins import corner_text, surety_text
from airrisk.wording.units import Units
from tests.fire.systems import fire, installation, line, plug, relief, vessel

DAY = dt.date(2026, 11, 1)
GOOD = {"alloy": "Bi58Sn42", "fitted": dt.date(2026, 3, 2), "bore": 0.02}


def exposure_of(whole: Installation, fire_class: str) -> Exposure:
    return next(one for one in exposures(whole) if one.fire_class == fire_class)


def study_of(whole: Installation, fire_class: str = "stated") -> FireStudy:
    return FireStudy(fire_slice(whole, exposure_of(whole, fire_class), DAY))


def record_of(whole: Installation, fire_class: str = "stated", bores: bool = False) -> FireRecord:
    return fire_record(whole, exposure_of(whole, fire_class), DAY, bores=bores)


def matrix(answer: Assessment) -> dict[tuple[str, str], tuple[object, ...]]:
    return {
        (one.section, one.fire_class): (one.outcome, one.safe, one.peak_strength_use)
        for one in answer.verdicts
        if one.fire_class != "stated"
    }


def test_a_fire_in_the_file_switches_no_assumed_fire_off():
    # at 6 bar(g), relief at 11 bar(g): the stated fire from 6 bar(g) alone looked well
    tank = vessel(pressure=7.0e5)
    plain = installation(tank, plug(alloy="tin", fitted=DAY), relief())
    burning = replace(plain, fires=(fire(),))
    without, with_it = assess(plain, DAY, bores=False), assess(burning, DAY, bores=False)
    assert matrix(without) == matrix(with_it)
    verdicts = {one.fire_class: one for one in with_it.verdicts}
    assert list(verdicts) == ["stated", "whole", "beside", "spot"]
    # what is stated starts from the highest pressure too: the set pressure of the valve
    assert verdicts["stated"].corner is not None
    assert verdicts["stated"].corner.start == "highest"
    absent = {one.fire_class: one for one in without.verdicts}["stated"]
    assert (absent.safe, absent.fire, absent.outcome) == (None, None, None)


def test_a_start_below_the_relief_set_does_not_hide_what_can_stand_there():
    tank = vessel(pressure=7.0e5)
    whole = installation(tank, plug(alloy="tin", fitted=DAY, bore=0.012), relief(), fire())
    record = record_of(whole)
    assert record.outcome == "vents in time"
    assert record.envelope is not None
    assert record.envelope.corner.start == "highest"
    assert record.envelope.corner.start_pa == pytest.approx(relief().set_pressure)
    assert (record.envelope.peak_strength_use or 0.0) > 1.2 * (record.peak_strength_use or 1.0)


@pytest.mark.parametrize("share", [0.999, 1.0])
def test_a_plug_out_of_the_flames_is_judged_alike_on_either_side_of_the_whole_shell(share):
    whole = installation(vessel(), plug(**GOOD), fire(share=share, plugs_in_fire=()))
    assert record_of(whole).safe is False


def test_a_plug_at_the_drain_under_water_counts_for_nothing_and_renewal_is_no_cure():
    tank = vessel(condensate=0.04)
    wet = installation(tank, plug(**GOOD, place="drain"), fire())
    record = record_of(wet, bores=True)
    assert record.uncredited == {"FP1": "under water"}
    assert not any(event.event == "plug opens" for event in record.events)
    assert all(cure.device != "FP1" for cure in record.cures)
    dry = replace(wet, vessels=(vessel(),))
    assert record_of(dry).uncredited == {}
    on_top = installation(tank, plug(**GOOD, place="top"), fire())
    assert record_of(on_top).uncredited == {}


def test_an_offered_device_has_no_credit_and_an_offered_wall_leaves_the_verdict_unsure():
    sound = installation(vessel(), plug(**GOOD), fire(curve="standard"))
    assert (record_of(sound).safe, record_of(sound).sure) == (True, True)
    offered = replace(sound, plugs=(replace(sound.plugs[0], offered=("bore",)),))
    record = record_of(offered)
    assert record.uncredited == {"FP1": "offered"}
    assert record.safe is False
    wall = replace(sound, vessels=(replace(sound.vessels[0], offered=("wall_thickness",)),))
    record = record_of(wall)
    assert (record.safe, record.sure, record.unconfirmed) == (True, False, ("R1",))
    valve = replace(relief(), offered=("set_pressure",))
    kept = installation(vessel(), valve, fire(curve="external", duration=600.0))
    record = record_of(kept)
    assert record.uncredited == {"RV1": "offered"}
    assert not any(event.event == "relief valve lifts" for event in record.events)


def test_no_device_opens_in_the_time_that_firefighters_are_told():
    whole = installation(vessel(), plug(**GOOD, condition="corroded"), relief(), fire())
    record = record_of(whole)
    lifting = next(event.time_s for event in record.events if event.event == "rupture")
    assert record.rupture_nothing_opens_s is not None
    assert record.rupture_nothing_opens_s < lifting - 20.0
    bare = replace(whole, plugs=(), relief_valves=())
    alone = next(e.time_s for e in record_of(bare).events if e.event == "rupture")
    assert record.rupture_nothing_opens_s == pytest.approx(alone, rel=1e-3)


def test_quick_corners_end_like_full_runs():
    # property: the batch and the stored run of each corner
    whole = installation(vessel(), plug(**GOOD), relief(), fire(share=0.4, plugs_in_fire=()))
    study = study_of(whole)
    wanted = corners(study)
    assert len(wanted) == 4 * 2 * 4  # starts, heats, shares as stated and below 0.4
    found = run_corners(study, wanted)
    for corner in wanted[::3]:
        (run,) = study.run([study.case(corner)])
        verdict = classify(run)
        assert verdict.outcome == found[corner].outcome, corner
        assert found[corner].peak_use == pytest.approx(verdict.peak_use, rel=2e-3), corner


def test_half_the_heat_of_a_flux_is_half_the_flux_and_of_a_flame_a_fourth_root():
    flux = Fire(
        id="F1", curve="flux", flux=60e3, reaches=("R1",), exposed_share=(("R1", 1.0),),
        convection=25.0,
    )  # fmt: skip
    hot = replace(flux, curve="temperature", flux=None, temperature=1200.0)
    weak = {
        "flux": replace(flux, flux=30e3),
        "flame": replace(hot, temperature=1200.0 * 0.5**0.25),
    }
    for name, strong in (("flux", flux), ("flame", hot)):
        halved = study_of(installation(vessel(), plug(**GOOD), strong))
        direct = study_of(installation(vessel(), plug(**GOOD), weak[name]))
        one = run_corners(halved, [Corner(heat=0.5)])[Corner(heat=0.5)]
        other = run_corners(direct, [Corner()])[Corner()]
        assert one == other


def test_a_very_slow_fire_is_looked_at_where_the_plug_begins_to_open():
    whole = installation(vessel(), plug(alloy="tin", fitted=DAY, bore=0.05), fire())
    study = study_of(whole)
    slow = isothermal(study)
    assert slow is not None
    # by hand: constant volume from the highest pressure to 505.078 K, the strength at that heat
    start = max(whole.vessels[0].design_pressure, whole.vessels[0].pressure)
    density = float(air.density(start, whole.vessels[0].temperature))
    pressure = float(air.pressure(density, 505.078))
    assert slow.pressure == pytest.approx(pressure, rel=1e-4)
    grade = metal.grade("P265GH", 0.008)
    strength = float(metal.strength(grade, "tensile", 505.078))
    factor = study.case().floats[study.case().space_at("R1", layout.S_BURST_FACTOR)]
    assert slow.use == pytest.approx((pressure - 101325.0) / (factor * strength), rel=1e-3)
    # a relief valve that its air can reach keeps it to that of the full lift
    kept = isothermal(study_of(replace(whole, relief_valves=(relief(set_pressure=12.0e5),))))
    assert kept is not None
    assert kept.pressure == pytest.approx(101325.0 + 1.1 * (12.0e5 - 101325.0), rel=1e-6)
    assert isothermal(study_of(replace(whole, plugs=()))) is None


def test_flames_colder_than_the_alloy_open_no_plug_and_heat_nothing_beyond_themselves():
    # flames of 225 degC never melt tin, 232 degC
    whole = installation(
        vessel(wall_thickness=0.012),
        plug(alloy="tin", fitted=DAY, bore=0.012),
        fire(curve="temperature", temperature=498.15, duration=36000.0, convection=25.0),
    )
    slow = isothermal(study_of(whole))
    assert slow is not None
    assert (slow.plug, slow.temperature) == ("", 498.15)
    record = record_of(whole, bores=True)
    assert record.safe
    assert (record.outcome, record.worst_outcome) == ("outlasts the fire", "outlasts the fire")
    assert record.smallest_bore_m == {}  # no bore of a plug that never melts is enough or too small
    hotter = replace(whole, fires=(replace(whole.fires[0], temperature=520.0),))
    opens = isothermal(study_of(hotter))
    assert opens is not None
    assert (opens.plug, opens.temperature) == ("FP1", pytest.approx(505.078, abs=0.01))


@pytest.mark.parametrize("fire_class", ["beside", "spot"])
def test_stating_more_water_than_there_is_hides_no_rupture(fire_class):
    """300 L keep a small spot cool; the steam of 20 L of them alone ruptures the vessel."""
    tank = vessel(
        inside_diameter=0.8, volume=1.0, cylinder_length=1.8, wall_thickness=0.009, measured=False
    )
    fitted = plug(**(GOOD | {"bore": 0.04}))
    found = {}
    for water in (0.02, 0.3):
        whole = installation(replace(tank, condensate=water), fitted, fire())
        found[water] = record_of(whole, fire_class)
    assert not found[0.02].safe
    assert not found[0.3].safe
    worst = found[0.3].envelope
    assert worst is not None
    assert worst.corner.condensate in (0.3, 0.1, 0.03)
    assert "of the stated condensate" in corner_text(found[0.3], Units())


def test_a_drained_vessel_is_among_the_runs_of_a_wet_one():
    wet = study_of(installation(vessel(condensate=0.04), plug(**GOOD), fire()))
    dry = study_of(installation(vessel(), plug(**GOOD), fire()))
    drained = Corner(water=0.0)
    assert drained in corners(wet)
    assert not any(corner.water is not None for corner in corners(dry))
    assert run_corners(wet, [drained])[drained] == run_corners(dry, [STATED])[STATED]


@pytest.mark.parametrize(
    ("joints", "parts"),
    [("hose", True), ("soft-soldered", True), ("threaded", False), ("welded", False)],
)
def test_a_line_that_parts_in_its_fire_is_never_surely_safe(joints, parts):
    # 350 degC: a thick pipe bears it, rubber and soft solder do not
    run = line(
        "L1", "R1", "closed", length=6.0, inside_diameter=0.02, wall_thickness=0.002, joints=joints
    )
    valves = (
        Valve(id="V1", on="L1", end="from"),
        Valve(id="V2", on="L1", end="to"),
    )
    burning = fire(
        ("L1",), curve="temperature", temperature=623.15, duration=36000.0, convection=25.0
    )
    whole = installation(vessel(), run, *valves, burning)
    record = record_of(whole)
    assert (record.section, record.safe) == ("L1", True)
    assert record.lines_come_apart == (("L1",) if parts else ())
    assert record.sure is not parts
    answer = assess(whole, DAY, bores=False)
    told = [one for one in answer.findings if one.rule == "joint-lets-go"]
    assert {one.severity for one in told} == (
        {"warning"} if parts else {"note"} if joints == "threaded" else set()
    )
    assert ("line L1 parts at its soft solder" in surety_text(record)) is parts


def test_a_vessel_more_than_half_full_of_water_has_no_answer_and_a_fifth_is_never_sure():
    # general-purpose property library: as hot as molten tin, water takes a fifth more room
    density = CoolProp.PropsSI("D", "T", 505.08, "Q", 0, "Water")
    assert density == pytest.approx(825.0, abs=3.0)
    burning = fire(curve="temperature", temperature=600.0, convection=25.0)
    sound = installation(vessel(), plug(**GOOD), burning)
    found = {}
    for share in (0.15, 0.25, 0.51):
        tank = vessel(condensate=share * 2.0, wall_thickness=0.012)
        found[share] = assess(replace(sound, vessels=(tank,)), DAY, bores=False)
    stated = {
        share: next(f for f in answer.fires if f.id == "F1") for share, answer in found.items()
    }
    assert [stated[share].much_water for share in (0.15, 0.25)] == [(), ("R1",)]
    assert [(stated[one].safe, stated[one].sure) for one in (0.15, 0.25)] == [
        (True, True),
        (True, False),
    ]
    assert "fills more than a fifth of vessel R1" in surety_text(stated[0.25])
    assert stated[0.51].outcome == "not converged"
    assert not any(one.safe for one in found[0.51].verdicts)
    (told,) = [one for one in found[0.51].findings if one.rule == "calculation-failed"]
    assert (told.severity, told.part) == ("danger", "R1")
    assert "1.02\u00a0m³ of condensate fill more than half of vessel R1" in finding_text(
        told, Units()
    )
    assert "at most 1\u00a0m³" in finding_cure(told, Units())


def test_every_doubt_of_a_safe_fire_is_asked():
    whole = installation(vessel(), plug(**GOOD), relief(), fire(curve="standard"))
    study = study_of(whole)
    found = envelope(study)
    assert found.safe
    asked = {one.what for one in doubts(study, found.corner)}
    assert asked == {
        "relief valve", "strength basis", "convection 0.6", "convection 1.4", "contact",
        "flames on the plug", "metal at the plug", "slow plug", "half the bore",
    }  # fmt: skip


def test_a_doubt_that_turns_the_verdict_leaves_it_unsure():
    # 12 mm of tin are just enough; half a kilogramme more of metal around them is too slow
    tin = {"alloy": "tin", "fitted": DAY}
    near = record_of(installation(vessel(), plug(**tin, bore=0.012), fire()))
    assert (near.safe, near.sure) == (True, False)
    turned = [one.what for one in near.doubts if not one.safe]
    assert turned == ["metal at the plug", "slow plug", "half the bore"]
    ample = record_of(installation(vessel(), plug(**tin, bore=0.016), fire()))
    assert (ample.safe, ample.sure) == (True, True)


def test_the_highest_pressure_is_the_relief_set_else_what_a_compressor_can_fill():
    machine = Compressor(id="C1", delivery=0.1, discharge_pressure=14.0e5)
    pipe = Line(
        id="L1", from_="C1", to="R1", length=5.0, inside_diameter=0.05, wall_thickness=0.003,
    )  # fmt: skip
    shut = Valve(id="V1", on="L1", end="to")
    whole = installation(vessel(), pipe, machine, shut, plug(**GOOD))
    section = next(s for s in exposures(whole) if "R1" in s.section.vessels)
    highest = dict(fire_slice(whole, section, DAY).highest)
    assert highest["R1"] == 14.0e5  # filled before V1 was shut; its design is 12 bar(a)
    relieved = replace(whole, relief_valves=(relief(set_pressure=13.0e5),))
    section = next(s for s in exposures(relieved) if "R1" in s.section.vessels)
    assert dict(fire_slice(relieved, section, DAY).highest)["R1"] == 13.0e5
    no_feed = replace(whole, compressors=(), lines=(), valves=())
    section = exposures(no_feed)[0]
    assert dict(fire_slice(no_feed, section, DAY).highest)["R1"] == 12.0e5


def test_what_is_shut_in_may_stand_as_high_as_what_filled_it():
    # between V1 and V2: no relief valve, no stated design pressure; R1 is relieved at 13 bar(a)
    pipe = line("L1", "R1", "R2")
    other = vessel("R2", design_pressure=8.0e5, pressure=7.0e5)
    valves = (Valve(id="V1", on="L1", end="from"), Valve(id="V2", on="L1", end="to"))
    whole = installation(vessel(), other, pipe, *valves, relief(set_pressure=13.0e5))
    slicer = Slicer(whole, DAY)
    highest: dict[str, float] = {}
    for one in exposures(whole):
        highest |= slicer.fire(one).highest
    assert highest == {"R1": 13.0e5, "L1": 13.0e5, "R2": 13.0e5}
    # without it the weakest that one open valve joins it with: the line may be filled from R1
    bare = replace(whole, relief_valves=())
    slicer = Slicer(bare, DAY)
    highest = {}
    for one in exposures(bare):
        highest |= slicer.fire(one).highest
    assert highest == {"R1": 12.0e5, "L1": 12.0e5, "R2": 8.0e5}


def test_fire_and_record_give_a_compressor_the_same_air():
    # oil-flooded by its lubrication, cooling left out
    machine = Compressor(
        id="C1", delivery=0.1, discharge_pressure=11.0e5, lubrication="oil-flooded",
    )  # fmt: skip
    pipe = Line(
        id="L1", from_="C1", to="R1", length=5.0, inside_diameter=0.05, wall_thickness=0.003,
    )  # fmt: skip
    whole = installation(vessel(), pipe, machine, plug(**GOOD), fire())
    study = study_of(whole)
    case = study.case()
    record = compressor_record(whole, machine)
    density = air.density(machine.discharge_pressure, record.discharge_temperature_k)
    expected = float(air.enthalpy(float(density), record.discharge_temperature_k))
    assert study.installation.compressors[0].discharge_temperature == pytest.approx(
        record.discharge_temperature_k
    )
    assert any(abs(value - expected) < 1e-6 * abs(expected) for value in case.floats.tolist())


def test_another_assumed_fire_can_be_chosen_and_is_run():
    whole = installation(vessel(), plug(**GOOD))
    mild = replace(
        whole,
        choices=Choices(assumed_fire=AssumedFire(curve="external", duration=1800.0)),
    )
    fires = {one.fire_class: one.fire for one in exposures(mild)}
    assert (fires["whole"].curve, fires["whole"].duration) == ("external", 1800.0)
    assert fires["beside"].flux == 50e3
    weaker = replace(whole, choices=Choices(beside_flux=20e3))
    assert {one.fire.flux for one in exposures(weaker) if one.fire_class != "whole"} == {20e3}


def test_an_assessment_counts_its_runs_and_how_long_a_flame_away_is_stood():
    whole = installation(vessel(), plug(**GOOD))
    answer = assess(whole, DAY, bores=False)
    assert answer.runs == sum(fire.runs for fire in answer.fires) + 4
    assert answer.runs > sum(fire.envelope.runs for fire in answer.fires if fire.envelope)
    away = answer.flame_away["R1"]
    assert away.rupture_s is not None
    assert 60.0 < away.rupture_s < 900.0
    jet = answer.jet_spot["R1"]
    assert jet.rupture_s is not None
    assert 60.0 < jet.rupture_s < away.rupture_s


def test_a_fire_that_is_outlasted_comes_with_the_time_of_the_rupture_were_it_to_go_on():
    short = installation(vessel(), fire(curve="standard", duration=300.0))
    record = record_of(short)
    assert record.outcome == "outlasts the fire"
    long = record_of(installation(vessel(), fire(curve="standard", duration=3600.0)))
    ruptured = next(event.time_s for event in long.events if event.event == "rupture")
    assert record.rupture_if_fire_goes_on_s == pytest.approx(ruptured, rel=2e-3)
    cold = installation(vessel(), fire(curve="temperature", temperature=420.0))
    assert record_of(cold).outcome == "outlasts the fire"
    assert record_of(cold).rupture_if_fire_goes_on_s is None


def test_of_runs_that_rupture_the_earliest_rules_and_no_record_shows_a_later_time():
    far = fire(plugs_in_fire=(), exposed_share=(("R1", 0.25),))
    record = record_of(installation(vessel(), plug(fitted=DAY), relief(), far))
    study = study_of(installation(vessel(), plug(fitted=DAY), relief(), far))
    ends = run_corners(study, corners(study)).values()
    times = [one.rupture_time for one in ends if one.outcome == "ruptures" and one.rupture_time]
    assert len(times) > 5
    assert record.envelope is not None
    assert record.envelope.rupture_s == pytest.approx(min(times), rel=1e-3)


def test_the_worst_is_sought_where_the_creep_damage_is_near_its_limit(monkeypatch):
    """Property: a run between two corners that creeps for too long is found."""
    whole = installation(vessel(), plug(**GOOD), fire(share=0.5, plugs_in_fire=()))
    study = study_of(whole)

    def creeping(_study, wanted):
        found = {}
        for corner in wanted:
            damage = 0.45 if corner.heat == 1.0 else 0.55 if corner.heat > 0.6 else 0.1
            use = 0.3 if corner.heat > 0.6 else 0.4
            outcome = "passes the limit" if damage > 0.5 else "outlasts the fire"
            found[corner] = Ending(outcome, use, None, 0.667, damage)
        return found

    monkeypatch.setattr(envelopes, "run_corners", creeping)
    found = envelope(study)
    assert not found.safe
    assert found.ending.creep_damage == 0.55


@pytest.mark.parametrize(
    ("ending", "creep"),
    [
        (Ending("passes the limit", 0.3, None, 0.667, 0.6), True),
        (Ending("passes the limit", 0.7, None, 0.667, 0.6), False),
        (Ending("ruptures", 0.7, 900.0, 0.667, 1.0), True),
        (Ending("ruptures", 1.0, 900.0, 0.667, 0.7), False),
        (Ending("ruptures", 0.5, 900.0, 0.667, 0.6), False),  # a line
    ],
)
def test_a_worse_end_of_the_quick_run_says_whether_creep_decides(ending, creep):
    safe = Verdict(
        "outlasts the fire", Reason("within the limit", "R1"), "none", 0.3, 1e6, "R1", 0.667, 0.49
    )
    assert worse(safe, ending).reason.creep is creep


def held_hot(duration: float, **tank: object) -> FireRecord:
    """A thick vessel under a steady flame, the strength of its metal used to a good part."""
    whole = installation(
        vessel(pressure=8e5, **tank),
        relief(set_pressure=8.2e5, area=1e-6),
        fire(curve="temperature", temperature=850.0 + 273.15, duration=duration),
    )
    return record_of(replace(whole, choices=Choices(strength_use_limit=0.99)))


def test_a_safe_verdict_that_the_creep_rate_turns_is_not_sure():
    """Property: the rupture tests leave it within its limit, the creep rate does not."""
    record = held_hot(3000.0, material="304L", wall_thickness=0.0245)
    doubt = {one.what: one for one in record.doubts}["creep rate"]
    assert record.safe
    assert not record.sure
    assert doubt.outcome == "passes the limit"
    assert doubt.creep_damage > DAMAGE_LIMIT > (record.worst_damage or 1.0)
    assert record.worst_otherwise is not None
    assert record.worst_otherwise.omega == doubt.creep_damage
    assert record.worst_otherwise.mean < (record.worst_damage or 0.0)


def test_the_run_that_creeps_most_is_asked_even_where_another_one_rules(monkeypatch):
    """Property: of two corners the one with the higher load rules, the other creeps for longer."""
    study = study_of(installation(vessel(), relief(), fire()))
    found = replace(envelope(study), most_crept=(Corner(heat=0.5), 0.4))
    (cold,) = study.run([study.case()])
    hot = replace(cold, creep_damage=cold.creep_damage * 0.0 + 0.7)
    asked: list[float] = []

    def made(cases):
        asked.extend(case.floats[layout.F_FLAME_FACTOR] for case in cases)
        return [hot]

    monkeypatch.setattr(study, "run", made)
    monkeypatch.setattr(creep, "by_omega", lambda run: run)
    doubt = creep.creep_doubt(study, found, {"stated": [cold]})
    assert asked == [0.5**0.25]
    assert doubt is not None
    assert (doubt.at, doubt.ending.creep_damage) == ("most creep", 0.7)
    assert creep.creep_doubt(study, replace(found, most_crept=(STATED, 0.4)), {}) is None
