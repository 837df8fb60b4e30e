"""What insulation does to verdicts: it counts where it holds, and reassures nobody where not."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from airrisk.installation.model import FireSource, Inspection
from airrisk.installation.plug_state import plug_state
from airrisk.study.envelope import corners, doubts, envelope
from airrisk.study.exposures import jet_spot
from airrisk.study.fire_cures import find_cures
from airrisk.study.fire_runs import STATED, Corner
from airrisk.study.slices import fire_slice
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.margins import corner_text
from airrisk.wording.sentences import insulation_sentence, uncredited_sentence
from airrisk.wording.units import Units
from tests.fire.systems import fire, installation, plug, relief, vessel
from tests.study.rule_plants import fire_record as made_record
from tests.study.rule_plants import found, sound
from tests.study.test_envelope import DAY, GOOD, exposure_of, record_of, study_of

KELVIN = 273.15
LAYER = {
    "insulation_resistance": 0.4,
    "insulation_known_at": 850.0 + KELVIN,
    "insulation_holds_to": 1150.0 + KELVIN,
}
UNITS = Units()


def lagged(**changes):
    return vessel(**(LAYER | changes))


def test_a_layer_that_holds_keeps_a_vessel_without_plug_and_says_so():
    assert record_of(installation(vessel(), fire())).safe is False
    record = record_of(installation(lagged(insulation_resistance=0.7), fire()))
    assert (record.safe, record.worst_outcome) == (True, "outlasts the fire")
    assert {one.what: one.safe for one in record.doubts}["insulation"]
    assert insulation_sentence(record, UNITS) == (
        "The insulation of vessel R1 counts: 0.7\u00a0m²·K/W in this fire, whole to 1150\u00a0°C."
    )


def test_half_of_what_it_resists_is_a_doubt_that_leaves_a_verdict_unsure():
    thin = study_of(installation(lagged(insulation_resistance=0.28), fire()))
    assert envelope(thin).safe
    turned = {one.what: one.ending.outcome for one in doubts(thin, STATED)}
    assert turned["insulation"] in ("passes the limit", "ruptures")


@pytest.mark.parametrize(
    ("changes", "inspected"),
    [
        ({"insulation_holds_to": None}, None),
        ({"insulation_holds_to": 1090.0 + KELVIN}, None),
        ({"offered": ("insulation_resistance",)}, None),
        ({"offered": ("insulation_holds_to",)}, None),
        ({}, Inspection(on="R1", date=DAY, condition="corroded")),
        ({}, Inspection(on="R1", date=DAY, note="cladding damaged on the north side")),
        ({"insulation_known_at": None}, None),
    ],
)
def test_a_layer_that_nobody_can_count_on_makes_nothing_safe(changes, inspected):
    whole = installation(lagged(**changes), fire())
    if inspected is not None:
        whole = replace(whole, inspections=(inspected,))
    record = record_of(whole)
    assert record.safe is False
    assert record.worst_outcome == "ruptures"


def test_what_does_not_count_is_run_without_and_with_it():
    """A layer may hold longer than stated: it keeps heat in, and plugs cold."""
    gone = lagged(insulation_holds_to=600.0 + KELVIN)
    engulfed = study_of(installation(gone, fire()))
    assert {one.layers for one in corners(engulfed)} == {"counted", "all"}
    beside = study_of(installation(gone, fire(share=0.25)))
    assert {one.layers for one in corners(beside)} == {"counted", "unstruck", "all"}
    holds = study_of(installation(lagged(), fire(share=0.25)))
    assert {one.layers for one in corners(holds)} == {"counted"}
    bare = study_of(installation(vessel(), fire(share=0.25)))
    assert {one.layers for one in corners(bare)} == {"counted"}


def test_a_verdict_with_a_doubtful_layer_is_never_better_than_without_or_with_it():
    """Property: with it the plug out of the flames stays cold, without it the wall gets hot."""
    for share, limit in ((0.25, 600.0), (0.25, 1150.0), (1.0, 600.0)):
        tank = lagged(insulation_holds_to=limit + KELVIN, insulation_resistance=0.02)
        named = plug(**GOOD, stands_free=True)
        burning = fire(share=share, plugs_in_fire=("FP1",))
        study = study_of(installation(tank, named, burning))
        whole = envelope(study)
        for layers in ("counted", "unstruck", "all"):
            corner = Corner(layers=layers)
            case = study.case(corner)
            if layers == "counted" or not case.covers["R1"].counted:
                (ending,) = study.endings(case, [{}])
                assert ending.rank() <= whole.ending.rank()


def test_a_plug_under_insulation_has_no_credit_until_it_stands_free():
    hidden = installation(lagged(insulation_resistance=0.02), plug(**GOOD), fire())
    record = record_of(hidden)
    assert record.uncredited == {"FP1": "insulated"}
    assert record.safe is False
    assert "plug FP1 (under insulation)" in uncredited_sentence(record)
    free = replace(hidden, plugs=(replace(hidden.plugs[0], stands_free=True),))
    credited = record_of(free)
    assert credited.uncredited == {}
    assert credited.worst_outcome == "vents in time"
    # where the layer is only offered it may lie there too
    doubted = replace(
        hidden, vessels=(lagged(insulation_resistance=0.02, offered=("insulation_resistance",)),)
    )
    assert record_of(doubted).uncredited == {"FP1": "insulated"}


def test_renewing_a_plug_under_insulation_takes_the_insulation_off_it():
    study = study_of(installation(lagged(insulation_resistance=0.02), plug(**GOOD), fire()))
    cures, _ = find_cures(study, {})
    (renewed,) = [one for one in cures if one.kind == "renew"]
    assert ("FP1", "stands_free", "true") in renewed.changes
    none = study_of(installation(lagged(insulation_resistance=0.02), fire()))
    cures, _ = find_cures(none, {})
    (fitted,) = [one for one in cures if one.kind == "fit"]
    assert ("stands_free", "true") in fitted.added


def test_a_relief_valve_in_the_flames_is_not_as_cool_as_its_insulated_vessel():
    tank = lagged(insulation_resistance=0.1)
    record = record_of(installation(tank, relief(), fire()))
    assert record.uncredited == {"RV1": "exposed"}
    assert "relief valve RV1 (its body is in the fire)" in uncredited_sentence(record)
    assert record.envelope is not None
    assert record.envelope.outcome_working is not None
    beside = record_of(installation(tank, relief(), fire(share=0.25)))
    assert beside.uncredited == {}


def test_the_corner_with_a_layer_that_does_not_count_is_told():
    gone = lagged(insulation_holds_to=600.0 + KELVIN, wall_thickness=0.006)
    record = record_of(installation(gone, fire(curve="flux", flux=45e3, share=0.25)))
    assert record.envelope is not None
    assert record.envelope.corner.layers == "unstruck"
    assert "with the insulation in place where no fire strikes it" in corner_text(record, UNITS)


def test_the_slice_of_a_fire_knows_which_insulation_is_confirmed():
    whole = installation(lagged(offered=("insulation_known_at",)), fire())
    cut = fire_slice(whole, exposure_of(whole, "stated"), DAY)
    assert cut.unconfirmed_layers == ("R1",)
    before = Inspection(on="R1", date=DAY + dt.timedelta(days=1), condition="corroded")
    later = replace(installation(lagged(), fire()), inspections=(before,))
    assert fire_slice(later, exposure_of(later, "stated"), DAY).unconfirmed_layers == ()


# findings


def covered(**changes):
    (tank,) = sound().vessels
    return replace(tank, **(LAYER | changes))


def test_a_plug_under_insulation_is_told():
    (told,) = found("plug-under-insulation", sound(vessels=(covered(),)))
    assert (told.severity, told.part, told.values["on"]) == ("warning", "P1", "R1")
    assert "under the insulation of vessel R1" in finding_text(told, UNITS)
    assert "plug P1" in finding_cure(told, UNITS)
    free = tuple(replace(one, stands_free=True) for one in sound().plugs)
    assert found("plug-under-insulation", sound(vessels=(covered(),), plugs=free)) == []
    assert found("plug-under-insulation", sound()) == []


def test_insulation_that_counts_for_nothing_is_told_with_why():
    rule = "insulation-counts-for-nothing"
    assert found(rule, sound(vessels=(covered(),))) == []
    (limit,) = found(rule, sound(vessels=(covered(insulation_holds_to=None),)))
    assert "nobody says up to which temperature" in finding_text(limit, UNITS)
    seen = Inspection(on="R1", date=dt.date(2026, 6, 1), condition="corroded")
    (fault,) = found(rule, sound(vessels=(covered(),), inspections=(seen,)))
    assert "found a fault" in finding_text(fault, UNITS)
    offered = covered(offered=("insulation_resistance",))
    assert found(rule, sound(vessels=(offered,))) == []  # told as an offered value
    gone = lagged(insulation_holds_to=600.0 + KELVIN)
    real = record_of(installation(gone, fire()))
    record = made_record(insulation=real.insulation)
    plant = sound(vessels=(covered(insulation_holds_to=600.0 + KELVIN),))
    (hot,) = found(rule, plant, [record])
    assert (hot.values["holds_to_k"], hot.values["fire"]) == (600.0 + KELVIN, record.id)
    assert "can reach 1100\u00a0°C, and it holds to 600\u00a0°C" in finding_text(hot, UNITS)


def credited(note: str, *, later: str = "") -> bool:
    """Whether a layer counts after an inspection with a remark, and perhaps a later one."""
    seen = [Inspection(on="r1", date=DAY - dt.timedelta(days=60), note=note)]
    if later:
        seen.append(Inspection(on="R1", date=DAY - dt.timedelta(days=30), note=later))
    whole = replace(installation(lagged(), fire()), inspections=tuple(seen))
    return fire_slice(whole, exposure_of(whole, "stated"), DAY).unconfirmed_layers == ()


@pytest.mark.parametrize(
    "note",
    [
        "insulation torn off on the north side", "damaged insulation removed",
        "cladding missing, fibre hangs loose and is wet", "insulation not whole",
        "Isolierung fehlt auf der Nordseite, beschädigt", "Dämmung nicht in Ordnung",
        "insulation looked at",
    ],
)  # fmt: skip
def test_a_remark_about_insulation_that_does_not_say_it_is_good_takes_its_credit(note):
    assert not credited(note)
    assert not credited(note, later="wall thickness measured")
    assert credited(note, later="insulation mended, whole and dry")


def test_a_remark_that_says_nothing_of_insulation_or_that_it_is_whole_leaves_its_credit():
    assert credited("wall thickness measured")
    assert credited("insulation whole and dry")
    assert credited("Dämmung vollständig, in Ordnung")


def test_a_plug_that_a_remark_tells_of_as_under_insulation_has_no_credit():
    def state(note: str) -> str:
        whole = sound()
        seen = Inspection(on="P1", date=dt.date(2026, 6, 1), note=note)
        whole = replace(whole, inspections=(seen,))
        return plug_state(whole, whole.plugs[0], DAY).uncredited

    assert state("head lies under the new insulation, cannot be seen") == "insulated"
    assert state("insulation cut back, head free") == ""
    assert state("cleaned") == ""


def test_a_layer_needs_a_margin_to_the_hottest_that_its_face_can_get():
    """A flame a little hotter than reckoned must not take it away."""

    def counts(more: float) -> bool:
        found = record_of(installation(lagged(insulation_holds_to=1100.0 + KELVIN + more), fire()))
        return found.insulation["R1"].counted

    assert [counts(more) for more in (49.0, 51.0)] == [False, True]


def test_a_valve_of_an_insulated_vessel_that_nearly_all_stands_in_the_fire_has_no_credit():
    def why(share: float) -> str:
        whole = installation(lagged(), relief(), fire(share=share))
        (credit,) = fire_slice(whole, exposure_of(whole, "stated"), DAY).credits
        return credit.uncredited

    assert [why(share) for share in (1.0, 0.995, 0.3, 0.25)] == ["exposed"] * 3 + [""]


def test_no_layer_counts_against_a_jet_however_hot_it_may_get():
    """Its blow may tear off what stands the heat."""
    tank = lagged(insulation_holds_to=1900.0 + KELVIN, at=(3.0, 0.0))
    sources = {
        "jet": FireSource(id="Leak", kind="jet", fuel="natural gas", mass_flow=0.1, at=(6.0, 0.0),
                          duration=1200.0),
        "pool": FireSource(id="Pool", kind="pool", fuel="diesel", diameter=2.0, at=(6.0, 0.0),
                           duration=1200.0),
    }  # fmt: skip
    for kind, source in sources.items():
        record = record_of(replace(installation(tank), fire_sources=(source,)))
        assert record.insulation["R1"].counted == (kind == "pool")
        told = found("insulation-counts-for-nothing", sound(vessels=(covered(),)), [record])
        assert [one.values["fire"] for one in told] == (["Leak"] if kind == "jet" else [])
        assert all("tear it off" in finding_text(one, UNITS) for one in told)
    spot = jet_spot(installation(tank))[0]
    assert fire_slice(installation(tank), spot, DAY).unconfirmed_layers == ("R1",)


def test_insulation_of_which_only_cold_numbers_are_known_is_told():
    (told,) = found("insulation-known-cold", sound(vessels=(covered(insulation_known_at=None),)))
    assert told.severity == "note"
    assert "10\u00a0°C" in finding_text(told, UNITS)
    assert found("insulation-known-cold", sound(vessels=(covered(),))) == []


def test_insulation_under_a_flux_that_is_absorbed_has_no_bound_of_its_face():
    absorbed = fire(curve="flux", flux=45e3, absorbed=True)
    record = record_of(installation(lagged(), absorbed))
    (told,) = found("insulation-counts-for-nothing", sound(vessels=(covered(),)), [record])
    text = finding_text(told, UNITS)
    assert "nothing bounds how hot its outer face gets" in text
    assert "not computed" not in text
    assert "temperature" in finding_cure(told, UNITS)


def test_a_fire_that_insulation_does_not_stand_is_named_as_elsewhere():
    gone = record_of(installation(lagged(insulation_holds_to=600.0 + KELVIN), fire()))
    for fire_class, words in (("whole", "the fire with all of it in flames"),
                              ("beside", "the fire beside vessel R1")):  # fmt: skip
        record = made_record(insulation=gone.insulation, fire_class=fire_class)
        (told,) = found("insulation-counts-for-nothing", sound(vessels=(covered(),)), [record])
        assert f"for nothing in {words}: its outer" in finding_text(told, UNITS)


def test_what_insulation_holds_to_is_rounded_down_and_its_face_up():
    """Both would read 1100 degC, rounded to the nearest."""
    limit = 1099.7 + KELVIN
    real = record_of(installation(lagged(insulation_holds_to=limit), fire())).insulation
    (told,) = found(
        "insulation-counts-for-nothing",
        sound(vessels=(covered(insulation_holds_to=limit),)),
        [made_record(insulation=real)],
    )
    text = finding_text(told, UNITS)
    assert "can reach 1100\u00a0°C, and it holds to 1099\u00a0°C" in text
    counts = {"R1": replace(real["R1"], counted=True, holds_to_k=1155.9 + KELVIN)}
    told_of_run = insulation_sentence(made_record(insulation=counts), UNITS)
    assert told_of_run.endswith("whole to 1155\u00a0°C.")
