"""One fire as a record: the worst of its runs, what it says beside the verdict, and cures."""

from __future__ import annotations

import datetime as dt
import math
import tomllib
from dataclasses import replace
from functools import cache

import pytest

from airrisk import tables
from airrisk.fire import bores
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.fire.outcome import classify
from airrisk.fire.run import run
from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import Choices, Fire, Inspection, Installation, Plug
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study import envelope as envelopes
from airrisk.study import fire_cures
from airrisk.study.envelope import CREEP_RATE, DOUBTS, INSULATION
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_outcomes import failed_record, fire_record
from airrisk.study.fire_runs import Ending, FireStudy
from airrisk.study.records import Cure, FireRecord
from airrisk.study.slices import fire_slice
from airrisk.verdict.rule import Reason, Verdict
from tests.fire.systems import fire, installation, plug, relief, vessel
from tests.study.one_fire import of_class, stated

DAY = dt.date(2026, 11, 1)
FITTED = {"fitted": dt.date(2026, 3, 2), "alloy": "Bi58Sn42"}


def made(burning: Fire, *plugs: Plug, choices: Choices | None = None, **tank: object):
    whole = installation(vessel(**tank), *plugs, burning)
    return replace(whole, choices=choices or Choices())


@cache
def record_of(whole: Installation, bores: bool = False) -> FireRecord:
    exposure = stated(whole)
    return fire_record(whole, exposure, DAY, bores=bores)


def verdict_of(whole: Installation, **settings: object) -> Verdict:
    exposure = stated(whole)
    assumed = CaseSettings(**settings)  # type: ignore[arg-type]
    case = build_case(whole, exposure.fire, exposure.section, assumed)
    return classify(run(case))


def event_time(whole: Installation, kind: str, **settings: object) -> float:
    exposure = stated(whole)
    assumed = CaseSettings(**settings)  # type: ignore[arg-type]
    case = build_case(whole, exposure.fire, exposure.section, assumed)
    return next((e.time for e in run(case).events if e.event == kind), float("inf"))


LOCAL = fire(share=0.25, plugs_in_fire=())
ENGULFED = fire()


def test_of_the_fire_as_stated_the_worse_of_both_inner_radiations_counts():
    # property, on fires of several sizes
    for share in (0.05, 0.25, 0.6):
        whole = made(fire(share=share, plugs_in_fire=()), plug(**FITTED))
        verdicts = {
            name: verdict_of(whole, inner_radiation=name == "on", uncredited=())
            for name in ("on", "off")
        }
        worst = max(verdicts.values(), key=Verdict.rank)
        record = record_of(whole)
        assert verdicts[record.inner_radiation] == worst
        assert record.outcome == worst.outcome
        assert record.peak_strength_use == pytest.approx(worst.peak_use, rel=1e-9)


@pytest.mark.parametrize("setting", ["on", "off"])
def test_a_chosen_inner_radiation_is_that_of_the_run_as_stated(setting):
    """Property: the choice does not make the envelope smaller, which knows of no radiation."""
    plain = record_of(made(LOCAL, plug(**FITTED)))
    whole = made(LOCAL, plug(**FITTED), choices=Choices(inner_radiation=setting))
    record = record_of(whole)
    assert record.inner_radiation == setting
    assert record.envelope.peak_strength_use == plain.envelope.peak_strength_use
    assert record.envelope.runs == plain.envelope.runs


def test_verdicts_are_sorted_from_good_to_bad():
    """Property: both safe outcomes are as good; what is taken of the allowed decides between them.

    That is of the strength use or of the creep damage, whichever is nearer its limit.
    """

    def verdict(
        outcome: str, use: float, time: float | None = None, damage: float = 0.0
    ) -> Verdict:
        reason = Reason("within the limit", "R1")
        return Verdict(outcome, reason, "none", use, 1e6, "R1", 0.667, damage, time)  # type: ignore[arg-type]

    order = [
        verdict("outlasts the fire", 0.4), verdict("vents in time", 0.5),
        verdict("outlasts the fire", 0.6), verdict("vents in time", 0.3, damage=0.48),
        verdict("passes the limit", 0.7), verdict("passes the limit", 0.2, damage=0.55),
        verdict("passes the limit", 0.8), verdict("passes the limit", 0.2, damage=0.9),
        verdict("ruptures", 1.0, 900.0),
        verdict("ruptures", 1.0, 300.0), verdict("not converged", 0.1),
    ]  # fmt: skip
    assert sorted([*order[5:], *order[:5]], key=Verdict.rank) == order


def test_the_cautious_basis_stands_beside_the_chosen_one():
    record = record_of(made(ENGULFED, plug(**FITTED)))
    assert set(record.by_basis) == {"tensile", "yield"}
    assert record.by_basis["tensile"] == record.outcome
    on_yield = record_of(made(ENGULFED, plug(**FITTED), choices=Choices(strength_basis="yield")))
    assert set(on_yield.by_basis) == {"yield"}
    assert on_yield.by_basis["yield"] == record.by_basis["yield"]


def test_a_verdict_may_depend_on_the_basis():
    # property: between two bores the one basis passes and the other does not
    found = set()
    for tenths in range(80, 101, 2):
        burning = made(ENGULFED, plug(bore=1e-4 * tenths, **FITTED), material="SA-516-70")
        record = record_of(burning)
        found.add((record.by_basis["tensile"], record.by_basis["yield"]))
    assert any(one != other for one, other in found)


def test_the_run_without_a_plug_gives_the_seconds_in_hand():
    record = record_of(made(ENGULFED, plug(bore=0.02, **FITTED)))
    assert record.rupture_nothing_opens_s is not None
    # without a plug at all; a blocked one draws a little heat from the wall
    none = record_of(made(ENGULFED))
    (rupture,) = [event.time_s for event in none.events if event.event == "rupture"]
    assert record.rupture_nothing_opens_s == pytest.approx(rupture, rel=1e-3)
    assert record.margins is not None
    assert record.first_vent_s is not None
    assert record.margins.vent_before_rupture_s == pytest.approx(
        record.rupture_nothing_opens_s - record.first_vent_s
    )


@pytest.mark.parametrize("with_plug", [True, False])
def test_where_nothing_opens_the_relief_valve_does_not_lift_either(with_plug):
    """Property: a valve that lifts would let air out and put the rupture off."""
    fitted = [plug(bore=0.02, **FITTED)] if with_plug else []
    bare = record_of(made(ENGULFED, *fitted))
    valve = relief(area=1e-3, set_pressure=11.5e5)
    relieved = record_of(replace(made(ENGULFED, *fitted), relief_valves=(valve,)))
    assert relieved.rupture_nothing_opens_s == pytest.approx(bare.rupture_nothing_opens_s, rel=1e-6)
    if not with_plug:
        (late,) = [event.time_s for event in relieved.events if event.event == "rupture"]
        assert late > relieved.rupture_nothing_opens_s + 20.0


@pytest.mark.parametrize(
    ("doubt", "why"),
    [
        ({"condition": "corroded"}, "corroded"),
        ({"condition": "unknown"}, "unknown"),
        ({"fitted": None}, "no date"),
        ({"fitted": dt.date(2024, 3, 2)}, "overdue"),
        ({"offered": ("bore",)}, "offered"),
    ],
)
def test_a_doubtful_plug_is_not_credited_but_its_work_is_shown(doubt, why):
    values = {**FITTED, "bore": 0.02, **doubt}
    record = record_of(made(ENGULFED, plug(**values)))
    assert record.uncredited == {"FP1": why}
    assert not record.safe
    assert record.envelope.outcome_working == "vents in time"
    assert record.envelope.outcome_credited == record.outcome == "ruptures"
    good = record_of(made(ENGULFED, plug(**{**FITTED, "bore": 0.02})))
    assert (good.uncredited, good.envelope.outcome_working) == ({}, None)
    assert good.outcome == "vents in time"


def test_a_plug_under_water_opens_in_no_run():
    """Property: water at its place keeps it cold, however new and clean it is."""
    low = plug(place="drain", **{**FITTED, "bore": 0.02})
    record = record_of(made(ENGULFED, low, condensate=0.04))
    assert record.uncredited == {"FP1": "under water"}
    assert record.envelope.outcome_working is None
    assert record.worst_outcome == "ruptures"
    dry = record_of(made(ENGULFED, low))
    assert (dry.uncredited, dry.outcome) == ({}, "vents in time")


def test_the_last_inspection_decides_about_the_credit():
    whole = made(ENGULFED, plug(bore=0.02, **FITTED))
    seen = replace(
        whole, inspections=(Inspection(on="FP1", date=dt.date(2026, 9, 1), condition="scaled"),)
    )
    assert record_of(seen).uncredited == {"FP1": "scaled"}
    later = replace(
        whole, inspections=(Inspection(on="FP1", date=dt.date(2026, 12, 1), condition="scaled"),)
    )
    assert record_of(later).uncredited == {}


def test_a_safe_verdict_is_asked_of_every_doubt():
    valve = relief(area=1e-4, set_pressure=12.0e5)
    record = record_of(replace(made(ENGULFED, plug(bore=0.025, **FITTED)), relief_valves=(valve,)))
    assert record.safe
    # it vents while its metal is cold, so that there is no creep to count otherwise, and is bare
    assert {doubt.what for doubt in record.doubts} == set(DOUBTS) - {CREEP_RATE, INSULATION}
    # all that slows a plug at once, and half a bore, are told and no doubts of their own
    others = [doubt.safe for doubt in record.doubts if doubt.counts]
    assert record.sure == all(others)
    unsafe = record_of(made(ENGULFED))
    assert (unsafe.safe, unsafe.sure, unsafe.doubts) == (False, None, ())


def test_a_verdict_with_offered_values_of_a_part_is_never_sure():
    plain = made(ENGULFED, plug(bore=0.03, **FITTED), wall_thickness=0.012)
    assert record_of(plain).sure is True
    (tank,) = plain.vessels
    offered = replace(plain, vessels=(replace(tank, offered=("wall_thickness",)),))
    record = record_of(offered)
    assert (record.safe, record.sure, record.unconfirmed) == (True, False, ("R1",))


def test_a_run_that_does_not_converge_is_never_safe(monkeypatch):
    monkeypatch.setattr("airrisk.fire.case_building.BUDGET", 30)
    whole = made(ENGULFED, plug(bore=0.02, **FITTED))
    exposure = stated(whole)
    record = fire_record(whole, exposure, DAY)
    assert (record.outcome, record.worst_outcome, record.safe) == (
        "not converged", "not converged", False,
    )  # fmt: skip
    assert record.cures == ()


def test_one_run_of_the_envelope_that_does_not_converge_spoils_the_verdict(monkeypatch):
    # property: the failed one counts, however well all others end
    whole = made(ENGULFED, plug(bore=0.02, **FITTED))
    exposure = stated(whole)
    run_all = envelopes.run_corners

    def one_fails(study, wanted):
        found = run_all(study, wanted)
        return {
            corner: Ending("not converged", math.nan, None, 0.64) if corner.heat == 0.5 else ending
            for corner, ending in found.items()
        }

    assert fire_record(whole, exposure, DAY, bores=False).safe
    monkeypatch.setattr(envelopes, "run_corners", one_fails)
    record = fire_record(whole, exposure, DAY, bores=False)
    assert (record.outcome, record.safe) == ("vents in time", False)
    assert record.worst_outcome == "not converged"
    assert record.envelope.reason.code == "solver"


def test_a_failed_record_is_never_safe_and_says_why():
    record = failed_record(stated(made(ENGULFED)), "the air left its table")
    assert (record.outcome, record.safe) == ("not converged", False)
    assert (record.reason.code, record.reason.detail) == ("solver", "the air left its table")


def test_the_record_names_what_burns():
    record = record_of(made(ENGULFED, plug(**FITTED)))
    assert (record.id, record.members, record.exposed) == ("F1", ("R1",), ("R1",))
    assert record.balance is not None
    assert record.balance.mass_rel < 1e-6
    assert record.balance.energy_rel < 1e-5
    assert record.curves is not None
    assert {event.time_s for event in record.events} <= set(record.curves.time_s)


def test_assumed_fires_of_local_kind_search_no_bores():
    whole = made(ENGULFED, plug(**FITTED))
    for local in (*of_class(whole, "beside"), *of_class(whole, "spot")):
        assert fire_record(whole, local, DAY).bores == {}


# cures


@cache
def sawmill() -> tuple[SystemText, tuple[Cure, ...], FireRecord]:
    text = SystemText(tables.sample_path("sawmill").read_bytes())
    record = first_fire(text, bores=True)
    return text, record.cures, record


def first_fire(text: SystemText, bores: bool = False) -> FireRecord:
    whole = read(text.text)
    exposure: Exposure = next(e for e in exposures(whole) if e.fire.id == "F1")
    day = whole.choices.audit_date
    assert day is not None
    return fire_record(whole, exposure, day, bores=bores)


def applied(text: SystemText, cure: Cure, bore: float | None = None) -> SystemText:
    """The file with a cure in it; with ``bore`` [m] in place of the fitted or printed one."""
    for part, field, written in cure.changes:
        text = text.set(part, field, tomllib.loads(f"value = {written}")["value"])
    if cure.added:
        values = tomllib.loads("\n".join(f"{key} = {written}" for key, written in cure.added))
        text = text.add("plug", values)
    if bore is not None:
        text = text.set(cure.device, "bore", f"{bore * 1e3:.4f} mm")
    return text


def test_the_sawmill_ruptures_because_its_plug_is_out_of_the_flames():
    """Property: as stated it opens too late; in the worst run, a small spot, it does not at all."""
    _, cures, record = sawmill()
    assert (record.outcome, record.worst_outcome, record.safe) == ("ruptures", "ruptures", False)
    assert record.envelope.rupture_s > record.rupture_nothing_opens_s
    assert record.envelope.first_vent_s is None
    assert set(record.envelope.rupture_state) >= {"pressure_pa", "temperature_k"}
    assert record.bores["FP1"].exact_m is None
    assert [cure.kind for cure in cures] == ["place"]


def test_every_printed_cure_of_the_sawmill_works_in_its_file():
    text, cures, _ = sawmill()
    for cure in cures:
        cured = first_fire(applied(text, cure))
        assert (cured.outcome, cured.safe) == ("vents in time", True), cure.kind
        least = first_fire(applied(text, cure, cure.bore_m))
        assert least.worst_use == pytest.approx(cure.peak_strength_use, rel=0.01)
        assert least.envelope.runs == cure.runs


def test_the_printed_bore_works_and_nine_tenths_of_it_does_not():
    text, cures, _ = sawmill()
    for cure in cures:
        assert cure.bore_m is not None
        least = first_fire(applied(text, cure, cure.bore_m))
        assert (least.outcome, least.safe) == ("vents in time", True), cure.kind
        assert not first_fire(applied(text, cure, 0.9 * cure.bore_m)).safe, cure.kind


def test_a_cure_writes_a_bore_with_a_margin():
    """Property: four fifths of a new bore would be enough; a fitted one that is kept, too."""
    text, cures, _ = sawmill()
    for cure in cures:
        written = {plug.id: plug.bore for plug in read(applied(text, cure).text).plugs}
        assert written[cure.device] == pytest.approx(cure.advised_m)
        assert cure.bore_m <= 0.8 * cure.advised_m * (1.0 + 1e-9)


def test_the_other_fields_of_the_file_stay_as_they_are():
    # property: a cure touches only the lines it names
    text, cures, _ = sawmill()
    for cure in cures:
        before = text.text.splitlines()
        after = applied(text, cure).text.splitlines()
        changed = sum(a != b for a, b in zip(before, after, strict=True))
        assert changed == len(cure.changes)


@pytest.mark.parametrize(("name", "section"), [("river-ferry", "SB2"), ("dairy-hall", "D1")])
def test_a_vessel_without_any_plug_is_told_which_one_to_fit(name, section):
    """Property: the file with the new plug is safe, with nine tenths of the least bore it fails."""
    text = SystemText(tables.sample_path(name).read_bytes())

    def record(changed: SystemText, bores: bool = False) -> FireRecord:
        whole = read(changed.text)
        exposure = next(e for e in exposures(whole) if e.section.id == section)
        assert whole.choices.audit_date is not None
        return fire_record(whole, exposure, whole.choices.audit_date, bores=bores)

    before = record(text, bores=True)
    assert before.outcome == "ruptures"
    (cure,) = before.cures
    assert cure.kind == "fit"
    cured = record(applied(text, cure))
    assert (cured.outcome, cured.safe) == ("vents in time", True)
    least = record(applied(text, cure, cure.bore_m))
    assert least.safe
    assert least.worst_use == pytest.approx(cure.peak_strength_use, rel=0.01)
    assert not record(applied(text, cure, 0.9 * cure.bore_m)).safe


def test_where_no_plug_helps_the_alloys_that_were_tried_are_told():
    """Property: a stated fire all around, with a wall that gives way before any alloy melts."""
    thin = made(ENGULFED, plug(bore=0.02, **FITTED), wall_thickness=0.0035)
    record = record_of(thin, bores=True)
    assert (record.safe, record.cures) == (False, ())
    assert record.no_cure.code == "too late"
    assert len(record.no_cure.tried) >= 3
    assert len(set(record.no_cure.tried)) == len(record.no_cure.tried)


def test_in_an_assumed_fire_a_new_plug_is_all_that_changes():
    whole = made(ENGULFED)
    (exposure,) = of_class(whole, "whole")
    (cure,) = fire_record(whole, exposure, DAY).cures
    assert (cure.kind, cure.device, cure.changes) == ("fit", "FP1", ())
    assert dict(cure.added)["on"] == '"R1"'
    assert dict(cure.added)["bore"] == f'"{cure.advised_m * 1e3:.4g} mm"'
    assert cure.bore_m <= 0.8 * cure.advised_m
    # the usual alloys of the trade first: pure tin
    assert dict(cure.added)["alloy"] == '"tin"'


def test_a_wish_to_stop_ends_the_search_for_cures_within_a_bore_search(monkeypatch):
    # property: at most one more run begins on each of the two threads
    asked, after = False, 0
    run_one = bores.run

    def counted(*words, **settings):
        nonlocal after
        after += asked
        return run_one(*words, **settings)

    def searching(*words, **settings):
        nonlocal asked
        asked = True
        return bores.smallest_bore(*words, **settings)

    monkeypatch.setattr(bores, "run", counted)
    monkeypatch.setattr(fire_cures, "smallest_bore", searching)
    whole = read(tables.sample_path("sawmill").read_text(encoding="utf-8"))
    exposure = next(e for e in exposures(whole) if e.fire.id == "F1")
    study = FireStudy(fire_slice(whole, exposure, DAY), lambda: asked)
    with pytest.raises(Cancelled):
        fire_cures.find_cures(study, {})
    assert after <= 2


def test_a_vessel_whose_metal_has_no_creep_data_is_safe_but_never_sure():
    """Property: the same vessel of a steel, as safe, is sure."""
    found = {}
    for metal in ("P265GH", "5083"):
        tank = vessel(material=metal, wall_thickness=0.03, pressure=2e5)
        whole = installation(tank, fire(curve="flux", flux=2e3))
        record = fire_record(whole, stated(whole), DAY, bores=False)
        found[metal] = (record.safe, record.sure, record.no_creep_data)
    assert found == {"P265GH": (True, True, ()), "5083": (True, False, ("R1",))}
