"""Sentences and verdicts: the margin and the basis always stand beside the word."""

import dataclasses

from airrisk.firetest import bores
from airrisk.study import smallest_bores
from airrisk.study.records import BoreSearch, Cure, EventRecord
from airrisk.wording.sentences import (
    bore_sentences,
    cure_sentence,
    fire_sentence,
    fire_verdict,
    outcome_text,
    overall_sentence,
    protection_sentence,
    ruling_fire,
    screening_sentence,
    section_sentence,
    section_verdict,
    why_without_fire,
)
from airrisk.wording.units import SEARCHED_FROM, Units, least_bore_text
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def test_a_fire_reads_as_one_sentence_with_both_times():
    text = fire_sentence(hand_made.fire()).replace("\u00a0", " ")
    assert text == "In F1 FP1 opens at 6.2 min; R1 would have ruptured at 9.8 min."


def test_a_rupture_is_said_even_after_the_plug_opened():
    fire = hand_made.fire(
        outcome="vents too late",
        safe=False,
        events=(EventRecord(372.0, "plug opens", "FP1"), EventRecord(400.0, "rupture", "R1")),
    )
    assert "R1 ruptures at 6.67" in fire_sentence(fire)


def test_no_plug_and_no_rupture_is_outlasting():
    fire = hand_made.fire(
        outcome="outlasts the fire", events=(), time_to_rupture_without_vent_s=None
    )
    assert fire_sentence(fire) == "In F1 no plug opens; R1 outlasts the fire."


def test_what_does_not_converge_is_said_and_never_safe():
    fire = hand_made.fire(
        outcome="not converged", safe=False, reason="step too small", events=(), margins=None
    )
    verdict = fire_verdict(fire, "tensile")
    assert "did not converge: step too small" in fire_sentence(fire)
    assert not verdict.safe
    assert verdict.word == "not converged"


def test_a_verdict_names_margin_basis_and_the_cautious_basis():
    verdict = section_verdict(hand_made.assessment(), "L1+R1")
    assert verdict.safe
    assert "3.6\u00a0min before rupture" in verdict.margin
    assert "0.308 of 0.667" in verdict.margin
    assert "tensile" in verdict.basis
    assert "not on the cautious basis" in verdict.cautious
    assert verdict.word in verdict.text
    assert verdict.shape in verdict.text


def test_a_section_without_fire_is_not_assessed():
    verdict = section_verdict(dataclasses.replace(hand_made.assessment(), fires=()), "L1+R1")
    assert verdict.outcome is None
    assert verdict.word == "not assessed"
    assert not verdict.safe


def test_the_worst_fire_rules_and_small_shares_do_not():
    safe = hand_made.fire("F1")
    worse = hand_made.fire("F2", outcome="ruptures", safe=False, by_basis={})
    residual = hand_made.fire("F3", outcome="ruptures", safe=False, default_case="c")
    answer = dataclasses.replace(hand_made.assessment(), fires=(safe, residual))
    assert ruling_fire(answer, "L1+R1").id == "F1"
    answer = dataclasses.replace(answer, fires=(safe, worse, residual))
    assert ruling_fire(answer, "L1+R1").id == "F2"


def test_section_and_protection_name_the_devices():
    answer = hand_made.assessment()
    text = section_sentence(answer.shut_in[0], UNITS)
    assert "L1 and R1" in text
    assert "shut in by V1" in text
    assert "plug FP1, relief valve RV1" in text
    assert "plug FP1 (no credit)" in section_sentence(answer.shut_in[0], UNITS, {"FP1"})
    assert "with V1 shut no heated plug" in protection_sentence(answer, "L1")
    assert "not assessed" in protection_sentence(answer, "R9")


def test_screening_compares_plug_and_rupture():
    text = screening_sentence(hand_made.part(), UNITS)
    assert "524.9\u00a0°C" in text
    assert "FP1 is molten 293\u00a0K earlier" in text


def test_overall_sentence_counts_findings_and_failures():
    text = overall_sentence(hand_made.assessment())
    assert "The one shut-in section comes through its fires" in text
    assert "Findings: no danger, 1 warning, no note." in text
    assert "1 warning" in text


def test_a_cure_gives_the_least_bore_and_the_next_usual_size():
    new = Cure("fit", "FP3", (), 0.0011, 411.0, 0.622, (("on", '"D1"'), ("alloy", '"tin"')))
    text = cure_sentence(new, hand_made.fire(), UNITS).replace("\u00a0", " ")
    assert "bore at least 1.1 mm (next usual size 3.2 mm)" in text
    fitted = Cure("renew", "FP3", (("FP3", "condition", '"clean"'),), 0.0057, 411.0, 0.655)
    text = cure_sentence(fitted, hand_made.fire(), UNITS).replace("\u00a0", " ")
    assert "bore at least 5.7 mm (the fitted bore is enough)" in text


def test_a_bore_that_is_never_enough_says_why():
    none = BoreSearch(None, None, None, None, None, None)
    elsewhere = hand_made.fire(
        bores={"FP9": none},
        events=(EventRecord(136.0, "plug opens", "FP9"), EventRecord(880.0, "rupture", "R1")),
        first_vent_by_part_s={"L1": 136.0},
    )
    assert bore_sentences(elsewhere, UNITS) == [
        "No bore of FP9 alone is enough: it lets no air out of R1."
    ]
    late = dataclasses.replace(none, late_by_s=30.0)
    assert (
        "30\u00a0s after the metal" in bore_sentences(hand_made.fire(bores={"FP9": late}), UNITS)[0]
    )


def test_a_fire_with_condensate_says_how_its_steam_counts_unless_a_note_beside_it_does():
    wet = hand_made.fire(wet_parts=("R1",))
    assert "steam of condensate in R1 counts" in fire_sentence(wet)
    assert "relief valve lets out of it is not taken off" in fire_sentence(wet)
    assert fire_sentence(wet, steam=False) == fire_sentence(hand_made.fire())


def test_a_section_that_only_other_valve_positions_burn_names_the_fire_that_fails_there():
    shut = hand_made.fire("F1")
    opened = {"section": "L1+R1+STORE", "exposed": ("STORE",), "default_case": None}
    failing = hand_made.fire("F2", outcome="ruptures", safe=False, **opened)
    passing = hand_made.fire("F3", **opened)
    answer = dataclasses.replace(hand_made.assessment(), fires=(shut, failing, passing))
    why = why_without_fire(answer, ("P6", "STORE"))
    assert why == "reached by F2 and F3 only, with these valves open; not safe then: F2 (ruptures)"
    told = "Not safe either, with valves open: F2 (ruptures) on L1+R1+STORE."
    assert told in overall_sentence(answer)
    answer = dataclasses.replace(answer, fires=(shut, passing))
    assert "not safe" not in why_without_fire(answer, ("P6", "STORE"))
    assert "Not safe" not in overall_sentence(answer)


BROKEN = {
    "outcome": "outlasts the fire",
    "safe": False,
    "reason": "L1 ruptures and lets the air out",
    "time_to_rupture_without_vent_s": None,
    "line_rupture_without_vent_s": ("L1", 120.0),
    "first_vent_by_part_s": {"R1": 200.4},
}


def test_a_line_that_breaks_in_the_fire_is_told_as_it_happens():
    events = (
        EventRecord(120.0, "line ruptures", "L1"),
        EventRecord(150.0, "empty", "R1"),
        EventRecord(200.4, "plug opens", "FP1"),
    )
    text = fire_sentence(hand_made.fire(events=events, **BROKEN)).replace("\u00a0", " ")
    assert text == (
        "In F1 L1 ruptures at 2 min and empties R1; FP1 opens only then, at 3.34 min; not safe."
    )


def test_a_line_that_breaks_after_the_vent_does_not_claim_what_the_plug_did():
    events = (
        EventRecord(60.0, "plug opens", "FP1"),
        EventRecord(120.0, "line ruptures", "L1"),
        EventRecord(150.0, "empty", "R1"),
    )
    changes = {**BROKEN, "outcome": "vents in time", "first_vent_by_part_s": {"R1": 60.0}}
    text = fire_sentence(hand_made.fire(events=events, **changes)).replace("\u00a0", " ")
    assert text == "In F1 FP1 opens at 60 s; L1 ruptures at 2 min; not safe."


def test_a_broken_line_with_no_plug_and_a_vessel_that_ruptures_later():
    events = (EventRecord(120.0, "line ruptures", "L1"), EventRecord(300.0, "rupture", "R1"))
    changes = {**BROKEN, "outcome": "ruptures", "first_vent_by_part_s": {}}
    text = fire_sentence(hand_made.fire(events=events, **changes)).replace("\u00a0", " ")
    assert text == "In F1 L1 ruptures at 2 min; no plug opens; R1 ruptures at 5 min."


def test_an_outcome_that_sounds_safe_says_that_it_is_not_and_why():
    fire = hand_made.fire(
        outcome="outlasts the fire",
        safe=False,
        reason="limit passed",
        events=(),
        time_to_rupture_without_vent_s=None,
    )
    assert fire_sentence(fire) == (
        "In F1 no plug opens; R1 outlasts the fire; not safe: limit passed."
    )
    assert outcome_text(fire) == "outlasts the fire, not safe: limit passed"
    verdict = fire_verdict(fire, "tensile")
    assert verdict.word == "outlasts the fire, not safe"
    assert verdict.text.startswith("△ outlasts the fire, not safe: limit passed;")


def test_what_is_not_emptied_says_when_the_run_ends():
    fire = hand_made.fire(outcome="vents too late", safe=False, reason="not emptied")
    assert "not safe: neither empty nor below a strength use of 0.2" in fire_sentence(fire)
    assert "half an hour after the fire" in fire_sentence(fire)


def test_a_plug_that_does_not_open_before_the_rupture_would_open_too_late():
    search = BoreSearch(None, None, 30.0, None, None, None)
    shut = hand_made.fire(bores={"FP1": search}, events=())
    assert "it would open 30" in bore_sentences(shut, UNITS)[0]
    assert "it opens 30" in bore_sentences(hand_made.fire(bores={"FP1": search}), UNITS)[0]


def test_runs_beside_the_verdict_say_not_safe_where_their_word_sounds_safe():
    fire = hand_made.fire(
        by_basis={"tensile": "vents in time", "yield": "outlasts the fire"},
        uncredited_plugs=("FP1",),
        outcome_if_plugs_work="outlasts the fire",
        side_runs_safe={"tensile": True, "yield": False, "plugs work": False},
    )
    assert "If it still works: outlasts the fire, not safe." in fire_sentence(fire)
    verdict = fire_verdict(fire, "tensile")
    assert "not on the cautious basis (yield strength: outlasts the fire, not safe)" in verdict.text


def test_a_bore_at_the_end_of_the_search_is_said_to_be_at_most_that():
    # arithmetic
    assert least_bore_text(1e-3, UNITS) == "at most 1\u00a0mm"
    assert least_bore_text(2.734e-3, UNITS) == "2.73\u00a0mm"
    assert SEARCHED_FROM == bores.SMALLEST_BORE == smallest_bores.SMALLEST
