"""Templates and formulas: every one can be filled, and a calculator repeats what is printed."""

import dataclasses
import re
import string

import pytest

from airrisk.study.records import Cure, Finding, FireRecord, NoCure, Trace
from airrisk.study.rules.context import source_of
from airrisk.tables import read_toml
from airrisk.verdict.rule import Reason
from airrisk.wording.findings import (
    RESOURCE,
    UnknownRule,
    fill_template,
    finding_cure,
    finding_source,
    finding_text,
    finding_title,
    worst_finding,
    worst_first,
)
from airrisk.wording.formulas import (
    UnknownFormula,
    formulas,
    put_in,
    render_trace,
)
from airrisk.wording.translation import set_translator
from airrisk.wording.units import Units, quantity_text
from tests.calculator import calculate, recompute
from tests.report import hand_made
from tests.wording.sentence_rules import too_long

UNITS = Units("metric", 101300.0)


def test_a_doubt_about_a_drained_run_of_a_spot_is_told_in_short_sentences():
    corner = dataclasses.replace(hand_made.HIGHEST, heat=1.0, condensate=0.03)
    record = hand_made.assumed("spot", envelope=hand_made.envelope(corner=corner))
    values = {
        "part": "R1", "doubt": "convection 0.6", "outcome": "ruptures", "record": record,
        "at": "worst", "basis": "tensile", "strength_use_limit": 0.667, "peak_strength_use": 1.0,
        "creep_damage": None, "load_share": 1.5, "fire_on": "R1", "fire_class": "spot",
        "relief_valves": (), "plugs": (), "fire": record.id, "other_basis": "yield",
    }  # fmt: skip
    found = Finding("verdict-depends-on-convection", "warning", "R1", "judgement", values)
    text = finding_text(found, UNITS).replace("\u00a0", " ")
    assert (
        "That is the run starting from 11 bar(g), the highest that can stand there, with 3 %"
        in text
    )
    assert not list(too_long(text, {"R1"}))


def test_template_takes_units_from_its_keys():
    text = fill_template(
        "{part} at {pressure_pa:3}, {found_margin_k:3}, bore {bore_m:3}, valves {valves}",
        {
            "part": "R1",
            "pressure_pa": 1.1013e6,
            "found_margin_k": 12.345,
            "bore_m": 0.01,
            "valves": ("V1", "V2"),
        },
        UNITS,
    )
    assert text.replace("\u00a0", " ") == ("R1 at 10 bar(g), 12.3 K, bore 10 mm, valves V1 and V2")


def test_a_missing_value_is_an_error_not_a_blank():
    with pytest.raises(KeyError):
        fill_template("{part} {nothing_there}", {"part": "R1"}, UNITS)


def test_unknown_rule_is_named():
    with pytest.raises(UnknownRule, match="no-such-rule"):
        finding_text(Finding("no-such-rule", "note", "R1", ""), UNITS)


def test_every_rule_has_title_text_cure_and_source():
    for key, entry in read_toml(RESOURCE).items():
        for piece in ("title", "text", "cure", "source"):
            assert entry[piece], (key, piece)
        for template in (value for name, value in entry.items() if "text" in name):
            assert all(spec == "" or spec.isdigit() for _, _, spec, _ in
                       string.Formatter().parse(template) if spec is not None), key  # fmt: skip


def test_variant_chooses_the_text():
    found = Finding(
        "plug-alloy-unstated", "warning", "FP1", "", {"on": "R1", "variant": "not a variant"}
    )
    assert finding_text(found, UNITS).startswith("The alloy of FP1 on R1 is not known.")
    assert "FP1" not in finding_title(found)
    assert finding_cure(found, UNITS)
    assert finding_source(found)


def test_worst_first():
    notes = [Finding("a", s, "R1", "") for s in ("note", "danger", "warning")]
    assert [f.severity for f in worst_first(tuple(notes))] == ["danger", "warning", "note"]


@pytest.mark.parametrize("key", sorted(formulas()))
def test_print_and_machine_form_of_a_formula_are_the_same(key):
    """The printed right-hand side, typed into a calculator, gives the machine's number."""
    entry = formulas()[key]
    step = -0.1 if key == "api521_factor" else 0.3  # its wall is hotter than its gas
    values = {name: 1.7 + step * index for index, name in enumerate(entry.symbols)}
    if "p_0" in values:
        values["p_0"] = 1.01  # the surroundings have the lowest pressure
    if "T_cr" in values:
        values["v_w"] = 0.2  # colder than the critical point
    result = calculate(entry.evaluate, values)
    typed = put_in(entry.expression, values)
    typed = typed.replace("×", "*").replace("^", "**").replace("ln(", "log(")
    typed = typed.replace("[", "(").replace("]", ")")
    assert calculate(typed, {}) == pytest.approx(result, rel=1e-9), (key, typed)


def test_every_formula_says_source_standing_and_units():
    for entry in formulas().values():
        assert entry.source, entry.key
        assert entry.standing in ("read", "memory", "judgement", "arithmetic"), entry.key
        for name, (what, _) in entry.symbols.items():
            assert what, (entry.key, name)


def test_trace_is_rendered_with_numbers_and_recomputed_within_half_a_percent():
    """Published: ASME PCC-2 form, 1 m3 at 0.8 MPa gauge, 1 047 882 J (arithmetic)."""
    if "pcc2_energy" not in formulas():
        pytest.skip("no such formula")
    names = set(formulas()["pcc2_energy"].symbols)
    inputs = {"p": 901000.0, "V": 1.0, "p_at": 101000.0}
    assert names == set(inputs)
    trace = Trace("pcc2_energy", inputs, 1047882.0, "start")
    worked = render_trace(trace, UNITS)
    assert "901000" in worked.filled
    assert worked.title.endswith("at the start")
    assert worked.result == "1.04788e6\u00a0J"
    assert recompute(trace) == pytest.approx(1047882.0, rel=1e-5)
    assert recompute(trace, digits=6) == pytest.approx(1047882.0, rel=5e-3)


def test_unknown_formula_is_named():
    with pytest.raises(UnknownFormula, match="nothing"):
        render_trace(Trace("nothing", {}, 1.0), UNITS)


def test_texts_pass_through_the_translator():
    set_translator(lambda text: "nicht berechnet" if text == "not computed" else text)
    try:
        assert quantity_text(None, "pressure", UNITS) == "nicht berechnet"
    finally:
        set_translator(None)
    assert quantity_text(None, "pressure", UNITS) == "not computed"


def test_the_steam_of_condensate_is_given_in_the_unit_of_the_gauge_pressure_beside_it():
    values = {
        "variant": "plug", "condensate_m3": 0.04, "at_temperature_k": 411.15,
        "vapour_difference_pa": 3.41e5, "pressure_pa": 8.513e5,
    }  # fmt: skip
    wet = Finding("condensate-raises-pressure", "warning", "R1", "", values)
    text = finding_text(wet, UNITS).replace("\u00a0", " ")
    assert "40 L of water" in text
    assert "adds 3.41 bar to air that stands at 7.5 bar(g)" in text
    text = finding_text(wet, Units("US customary", 101300.0)).replace("\u00a0", " ")
    assert "10.6 gal(US) of water" in text  # 40 L / 3.785411784 L
    assert "adds 49.5 psi to air" in text


def test_results_of_pressure_say_gauge_or_absolute():
    burst = Trace("burst_mean_diameter", {"z": 0.85, "S": 410e6, "t": 0.008, "D": 1.1}, 5.0325e6)
    assert render_trace(burst, UNITS).shown == "50.33\u00a0bar(g)"
    hot = Trace("isochore_pressure", {"Z": 1.0, "rho": 9.5, "R": 287.0, "T": 800.0}, 2.1812e6)
    assert render_trace(hot, UNITS).shown == "21.81\u00a0bar(a)"


KINDS = {"R1": "vessel", "R2": "vessel", "FP1": "plug", "FP2": "plug", "L1": "line"}


def test_an_id_comes_with_what_it_is_at_its_first_mention():
    def told(template: str, **values: object) -> str:
        return fill_template(template, values, UNITS, KINDS)

    assert told("{part} on {on}. {part} is warm.", part="FP1", on="R1") == (
        "Plug FP1 on vessel R1. FP1 is warm."
    )
    assert (
        told("air of {parts}", parts=("L1", "R1", "R2")) == "air of line L1 and vessels R1 and R2"
    )
    assert told("Renew {plugs}. {plugs} too.", plugs=("FP1", "FP2")) == (
        "Renew plugs FP1 and FP2. FP1 and FP2 too."
    )
    assert told("into {place}", place="the yard") == "into the yard"  # no id


def about(fire: FireRecord, **values: object) -> Finding:
    """A finding about a fire, as the rules make it."""
    worst = fire.envelope
    assert worst is not None
    known = {
        "fire": fire.id, "fire_class_of": fire.fire_class, "fire_on": fire.exposed[:1],
        "record": fire, "closed_valves": fire.closed_valves, "outcome": worst.outcome,
        "peak_strength_use": worst.peak_strength_use, "strength_use_limit": 0.667,
        "outcome_working": None, "stopped": (),
    }  # fmt: skip
    return Finding(
        "fire-outcome", "danger", "R1", "", {**known, **values}, fire.section, fire.fire_class,
        {**KINDS, "C1": "compressor"},
    )  # fmt: skip


def said(finding: Finding) -> tuple[str, str]:
    return tuple(
        words(finding, UNITS).replace("\u00a0", " ") for words in (finding_text, finding_cure)
    )  # type: ignore[return-value]


def test_a_finding_about_a_fire_tells_the_worst_run_and_which_one_that_is():
    text, _ = said(about(hand_made.unsafe()))
    assert text.startswith("In fire F1, vessel R1 ruptures after 4.3 min")
    assert "This is the worst of" in text
    whole, _ = said(about(hand_made.assumed("whole", envelope=hand_made.ruptured())))
    assert whole.startswith("With all of it in flames, vessel R1 ruptures")


def test_a_passed_limit_says_its_load_and_what_it_is_measured_to():
    worst = hand_made.ruptured(
        outcome="passes the limit", reason=Reason("limit passed", "R1"), peak_strength_use=0.8,
        rupture_s=None,
    )  # fmt: skip
    text, _ = said(about(hand_made.unsafe(envelope=worst)))
    assert "It reaches 120 % of the allowed load (strength use 0.8, limit 0.667)." in text


def test_devices_without_credit_and_a_compressor_that_turns_the_fire_are_named():
    fire = hand_made.unsafe(uncredited={"FP1": "overdue"})
    text, cure = said(about(fire, outcome_working="vents in time", stopped=("C1",)))
    assert (
        "Nobody may count on plug FP1 (overdue for renewal). If it works all the same, the worst "
        "run vents in time." in text
    )
    assert "With compressor C1 stopped this fire is safe in every run." in text
    assert cure == "Stop compressor C1 by the fire alarm."


def test_what_the_runs_have_proven_comes_before_what_may_help():
    fit = Cure("fit", "FP3", (), 0.0011, 505.0, 0.6, (("on", '"R1"'), ("alloy", '"tin"')))
    _, cure = said(about(hand_made.unsafe(cures=(fit,))))
    assert cure.startswith("Fit a plug of tin (232 °C) on top of vessel R1, in the flames.")
    assert cure.endswith('See Cures (in the report: "What to do") for what the runs have proven.')
    none = NoCure("too late", ("tin",), 338.0)
    _, cure = said(about(hand_made.unsafe(no_cure=none)))
    assert cure.startswith("No plug that was tried makes this fire safe, because")
    _, cure = said(about(hand_made.unsafe()))
    assert "Enter the change: only its runs tell whether it is enough." in cure


def test_a_source_that_was_not_seen_again_is_told_as_such():
    assert source_of("relief-set-above-design") == "ASME VIII UG-134 (edition not checked)"
    assert not any("from memory" in source_of(rule) for rule in read_toml(RESOURCE))


def said_cure(finding: Finding) -> str:
    return finding_cure(finding, UNITS).replace("\u00a0", " ")


def test_two_ranges_of_melting_that_exclude_each_other_are_said_to_do_so():
    def cure(least: float, most: float) -> str:
        values = {
            "on": "R1", "variant": "rupture_no_alloy", "least_solidus_k": least,
            "most_liquidus_k": most,
        }  # fmt: skip
        return said_cure(Finding("plug-melts-too-high", "danger", "FP1", "", values, kinds=KINDS))

    assert cure(318.15, 313.65).startswith(
        "No alloy can do both: it may not begin to melt below 45 °C, yet must be molten by 40.5 °C."
    )
    assert cure(318.15, 323.15).startswith("No listed alloy begins to melt at 45 °C or above")


def test_the_cure_of_a_soldered_line_says_nothing_of_hoses():
    def cure(variant: str) -> str:
        values = {"variant": variant, "joints": "soft-soldered"}
        return said_cure(Finding("joint-lets-go", "note", "L1", "", values, kinds=KINDS))

    assert "hose" not in cure("joints")
    assert "hose" in cure("hose")


def test_the_worst_finding_is_the_gravest_and_of_those_the_soonest_rupture():
    def one(part: str, rupture_s: float | None, severity: str = "danger") -> Finding:
        values = {"rupture_s": rupture_s}
        return Finding("fire-outcome", severity, part, "", values)  # type: ignore[arg-type]

    answer = hand_made.assessment()
    late, soon, never = one("R1", 816.0), one("R2", 180.0), one("R1", None)
    warned = one("R1", 60.0, "warning")
    assert worst_finding((late, never, warned, soon), answer) is soon
    same = one("R1", 180.0)  # R1 is a part with energy, R2 none of the answer
    assert worst_finding((soon, same), answer) is same
    other = Finding("relief-set-above-design", "danger", "R1", "")
    assert worst_finding((other, never, late), answer) is late
    unsafe = hand_made.answered(hand_made.unsafe("F2"))
    told = dataclasses.replace(late, section="L1+R1", fire_class="stated")  # that of the first line
    assert worst_finding((soon, told), unsafe) is told


def test_a_symbol_means_one_thing_in_all_formulas():
    """Its words begin alike wherever it stands, and it has one unit, also as a result."""
    kinds: dict[str, set[str]] = {}
    units: dict[str, set[str]] = {}
    for entry in formulas().values():
        for name, (what, unit) in entry.symbols.items():
            kinds.setdefault(name, set()).add(re.split(r"[ ,:]", what)[0])
            units.setdefault(name, set()).add(unit)
        name, unit = entry.result
        units.setdefault(name, set()).add(unit)
    assert {name: found for name, found in kinds.items() if len(found) > 1} == {}
    assert {name: found for name, found in units.items() if len(found) > 1} == {}


def test_a_standard_is_named_with_its_edition_or_said_not_to_be_checked():
    for entry in formulas().values():
        if re.search(r"\b(EN|API|ASME|ISO|DIN|WRC)\b", entry.source):
            dated = re.search(r":\d{4}|\(\d{4}\)|edition not checked", entry.source)
            assert dated, (entry.key, entry.source)
