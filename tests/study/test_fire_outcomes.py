"""One fire as a record: the worst of its runs, what it says beside the verdict, and cures."""

from __future__ import annotations

import datetime as dt
import tomllib
from dataclasses import replace
from functools import cache

import pytest

from airrisk import tables
from airrisk.firetest import bores
from airrisk.firetest.case import build_case
from airrisk.firetest.outcome import Verdict, classify
from airrisk.firetest.run import Cancelled, run
from airrisk.installation.model import Choices, Fire, Inspection, Installation, Plug
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study import fire_cures
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_outcomes import FireStudy, failed_record, fire_record
from airrisk.study.records import Cure, FireRecord
from airrisk.verdict.rule import badness
from tests.firetest.systems import fire, installation, plug, vessel

DAY = dt.date(2026, 11, 1)
FITTED = {"fitted": dt.date(2026, 3, 2), "alloy": "Bi58Sn42"}


def made(burning: Fire, *plugs: Plug, choices: Choices | None = None, **tank: object):
    whole = installation(vessel(**tank), *plugs, burning)
    return replace(whole, choices=choices or Choices())


@cache
def record_of(whole: Installation, bores: bool = False) -> FireRecord:
    (exposure,) = exposures(whole)
    return fire_record(whole, exposure, DAY, bores=bores)


def verdict_of(whole: Installation, **settings: object) -> Verdict:
    (exposure,) = exposures(whole)
    case = build_case(whole, exposure.fire, exposure.section, **settings)  # type: ignore[arg-type]
    return classify(run(case))


def event_time(whole: Installation, kind: str, **settings: object) -> float:
    (exposure,) = exposures(whole)
    case = build_case(whole, exposure.fire, exposure.section, **settings)  # type: ignore[arg-type]
    return next((e.time for e in run(case).events if e.event == kind), float("inf"))


LOCAL = fire(share=0.25, plugs_in_fire=())
ENGULFED = fire()


def test_the_worse_of_both_inner_radiations_counts():
    # property, on fires of several sizes
    for share in (0.05, 0.25, 0.6):
        whole = made(fire(share=share, plugs_in_fire=()), plug(**FITTED))
        verdicts = {
            name: verdict_of(whole, inner_radiation=name == "on", uncredited=())
            for name in ("on", "off")
        }
        worst = max(verdicts.values(), key=badness)
        record = record_of(whole)
        # on a tie of two ruptures the earlier one is named
        if worst.outcome == "ruptures":
            times = {
                name: event_time(whole, "rupture", inner_radiation=name == "on", uncredited=())
                for name in verdicts
            }
            assert times[record.inner_radiation] == pytest.approx(min(times.values()))
        assert badness(verdicts[record.inner_radiation]) == badness(worst)
        assert record.outcome == worst.outcome
        assert record.peak_strength_use == pytest.approx(worst.peak_use, rel=1e-9)


@pytest.mark.parametrize("setting", ["on", "off"])
def test_a_chosen_inner_radiation_is_the_only_one_run(setting):
    whole = made(LOCAL, plug(**FITTED), choices=Choices(inner_radiation=setting))
    assert record_of(whole).inner_radiation == setting


def test_badness_puts_unsafe_before_safe_and_worse_outcomes_first():
    def verdict(outcome: str, safe: bool, use: float = 0.5) -> Verdict:
        return Verdict(outcome, "", "none", safe, use, 1e6, "R1", 0.667)  # type: ignore[arg-type]

    order = [
        verdict("vents in time", True), verdict("vents in time", True, 0.6),
        verdict("outlasts the fire", True), verdict("outlasts the fire", False, 0.8),
        verdict("vents too late", False), verdict("ruptures", False, 1.0),
        verdict("not converged", False),
    ]  # fmt: skip
    assert sorted(order, key=badness) == order


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
    assert record.time_to_rupture_without_vent_s is not None
    # without a plug at all; a blocked one draws a little heat from the wall
    none = record_of(made(ENGULFED))
    (rupture,) = [event.time_s for event in none.events if event.event == "rupture"]
    assert record.time_to_rupture_without_vent_s == pytest.approx(rupture, rel=1e-3)
    assert record.margins is not None
    assert record.first_vent_s is not None
    assert record.margins.vent_before_rupture_s == pytest.approx(
        record.time_to_rupture_without_vent_s - record.first_vent_s
    )


@pytest.mark.parametrize(
    "doubt", [{"condition": "corroded"}, {"condition": "unknown"}, {"fitted": None}]
)
def test_a_doubtful_plug_is_not_credited_but_its_work_is_shown(doubt):
    values = {**FITTED, "bore": 0.02, **doubt}
    record = record_of(made(ENGULFED, plug(**values)))
    assert record.uncredited_plugs == ("FP1",)
    assert not record.safe
    assert record.outcome_if_plugs_work == "vents in time"
    good = record_of(made(ENGULFED, plug(**{**FITTED, "bore": 0.02})))
    assert (good.uncredited_plugs, good.outcome_if_plugs_work) == ((), None)
    assert good.outcome == "vents in time"


def test_the_last_inspection_decides_about_the_credit():
    whole = made(ENGULFED, plug(bore=0.02, **FITTED))
    seen = replace(
        whole, inspections=(Inspection(on="FP1", date=dt.date(2026, 9, 1), condition="scaled"),)
    )
    assert record_of(seen).uncredited_plugs == ("FP1",)
    later = replace(
        whole, inspections=(Inspection(on="FP1", date=dt.date(2026, 12, 1), condition="scaled"),)
    )
    assert record_of(later).uncredited_plugs == ()


def test_doubt_about_convection_is_reported_both_ways():
    assert set(record_of(made(LOCAL, plug(**FITTED))).convection_doubt) == {"0.6", "1.4"}


def test_a_run_that_does_not_converge_is_never_safe(monkeypatch):
    monkeypatch.setattr("airrisk.firetest.case.BUDGET", 30)
    whole = made(ENGULFED, plug(bore=0.02, **FITTED))
    (exposure,) = exposures(whole)
    record = fire_record(whole, exposure, DAY)
    assert (record.outcome, record.safe) == ("not converged", False)
    assert record.cures == ()


def test_one_start_that_does_not_converge_spoils_the_verdict(monkeypatch):
    # property: of two start pressures the failed one counts, however well the other ends
    whole = replace(made(ENGULFED, plug(bore=0.02, **FITTED)), fires=())
    exposure = next(e for e in exposures(whole) if e.default_case == "a")
    from airrisk.study import fire_outcomes

    build = fire_outcomes.build_case

    def starved(*args: object, **settings: object):
        case = build(*args, **settings)  # type: ignore[arg-type]
        if settings["start"] == "highest" and settings["basis"] == "tensile":
            from airrisk.firetest import layout as at

            return case.changed(integers={at.I_BUDGET: 30})
        return case

    assert fire_record(whole, exposure, DAY, bores=False).outcome != "not converged"
    monkeypatch.setattr(fire_outcomes, "build_case", starved)
    record = fire_record(whole, exposure, DAY, bores=False)
    assert (record.outcome, record.safe, record.start) == ("not converged", False, "highest")


def test_a_failed_record_is_never_safe_and_says_why():
    (exposure,) = exposures(made(ENGULFED))
    record = failed_record(exposure, "the air left its table")
    assert (record.outcome, record.safe) == ("not converged", False)
    assert record.reason == "the air left its table"


def test_the_record_names_what_burns():
    record = record_of(made(ENGULFED, plug(**FITTED)))
    assert (record.id, record.members, record.exposed) == ("F1", ("R1",), ("R1",))
    assert record.balance is not None
    assert record.balance.mass_rel < 1e-6
    assert record.balance.energy_rel < 1e-5
    assert record.curves is not None
    assert {event.time_s for event in record.events} <= set(record.curves.time_s)


def test_assumed_fires_of_local_kind_search_no_bores():
    whole = replace(made(ENGULFED, plug(**FITTED)), fires=())
    local = next(e for e in exposures(whole) if e.default_case == "c")
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


def test_the_sawmill_ruptures_because_its_plug_opens_too_late():
    _, cures, record = sawmill()
    assert (record.outcome, record.safe) == ("ruptures", False)
    assert cures
    search = record.bores["FP1"]
    assert search.exact_m is None
    assert search.late_by_s is not None
    assert search.late_by_s > 0.0


def test_every_printed_cure_of_the_sawmill_works_in_its_file():
    text, cures, _ = sawmill()
    for cure in cures:
        cured = first_fire(applied(text, cure))
        assert (cured.outcome, cured.safe) == ("vents in time", True), cure.kind


def test_the_printed_bore_works_and_nine_tenths_of_it_does_not():
    text, cures, _ = sawmill()
    for cure in cures:
        assert cure.bore_m is not None
        assert first_fire(applied(text, cure, cure.bore_m)).outcome == "vents in time", cure.kind
        small = first_fire(applied(text, cure, 0.9 * cure.bore_m))
        assert small.outcome != "vents in time", cure.kind
        assert not small.safe


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
    """Property: the file with the new plug vents in time, with nine tenths of its bore it fails."""
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
    assert cured.peak_strength_use == pytest.approx(cure.peak_strength_use, rel=0.01)
    assert record(applied(text, cure, 0.9 * cure.bore_m)).outcome != "vents in time"


def test_in_an_assumed_fire_a_new_plug_is_all_that_changes():
    whole = replace(made(ENGULFED), fires=())
    exposure = next(e for e in exposures(whole) if e.default_case == "a")
    (cure,) = fire_record(whole, exposure, DAY).cures
    assert (cure.kind, cure.device, cure.changes) == ("fit", "FP1", ())
    assert dict(cure.added)["on"] == '"R1"'
    assert dict(cure.added)["bore"] == f'"{cure.bore_m * 1e3:.1f} mm"'


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
    study = FireStudy(whole, exposure, DAY, lambda: asked)
    with pytest.raises(Cancelled):
        fire_cures.find_cures(study, study.settings("tensile")[0], {})
    assert after <= 2
