"""Bores and cures in words: least bore, the size to fit, the usual rule beside it, the proof."""

import dataclasses

import pytest

from airrisk.fire import bores
from airrisk.physics import alloys
from airrisk.study.fire_cures import BORE_MARGIN
from airrisk.study.records import BoreSearch, Cure, EventRecord, NoCure
from airrisk.wording.cures import (
    alloy_choices,
    alloy_text,
    api521_text,
    bore_sentences,
    bore_text,
    bore_with_margin,
    cure_line,
    cure_sentence,
    cure_sentences,
    no_cure_sentence,
    useful_cures,
)
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)
NEW = Cure(
    "fit", "FP3", (), 0.0083, 505.078, 0.622,
    (("on", '"R1"'), ("alloy", '"tin"'), ("bore", '"12.7 mm"')), 0.0127, 43e-6, 12,
)  # fmt: skip


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_a_cure_gives_the_least_bore_the_size_to_fit_and_the_usual_rule():
    # arithmetic: a circle of 43 mm2 is 7.4 mm across, 0.622 / 0.667 is 93 %
    assert plain(cure_sentence(NEW, hand_made.fire(), UNITS)) == (
        "Fit a plug of tin (232 °C) on top of vessel R1, in the flames. Least bore by the runs: "
        "8.3 mm; fit 12.7 mm, the usual size of which it takes at most 80 %. API 521 gives 43 mm², "
        "a bore of 7.4 mm: less, because it passes only what the heat expands; the runs must empty "
        "the vessel before its hot wall gives way. With the least bore, 12 runs take at most "
        "93 % of the allowed load (strength use 0.622, limit 0.667)."
    )


def test_a_proof_that_hangs_on_creep_tells_the_creep():
    near = dataclasses.replace(NEW, peak_strength_use=0.2, creep_damage=0.45)
    text = plain(cure_sentence(near, hand_made.fire(), UNITS))
    assert "at most 90 % of the allowed creep damage" in text
    assert "load" not in text


def test_a_fitted_bore_that_is_enough_is_called_so():
    fitted = Cure("renew", "FP3", (("FP3", "condition", '"clean"'),), 0.0057, 411.0, 0.655)
    text = plain(cure_sentence(fitted, hand_made.fire(), UNITS))
    assert text.startswith("Renew plug FP3, so that it is clean and in date. Least bore")
    assert "5.7 mm; the fitted bore is no smaller." in text


def test_no_usual_size_with_a_margin_is_said_to_be_missing():
    large = dataclasses.replace(NEW, bore_m=0.079, advised_m=None)
    assert "no usual size leaves anything in hand" in cure_sentence(large, hand_made.fire(), UNITS)


def test_the_usual_rule_says_why_it_differs_only_where_it_does():
    assert plain(api521_text(50.3e-6, 0.008, UNITS)) == "API 521 gives 50.3 mm², a bore of 8 mm"
    assert "more, because it keeps the pressure" in api521_text(200e-6, 0.008, UNITS)


def test_the_usual_size_leaves_the_margin_that_the_cures_leave():
    # the next size of the trade, and the one after it where the least bore is too near to it
    assert bore_with_margin(0.0079) == pytest.approx(0.010)
    assert bore_with_margin(0.0081) == pytest.approx(0.0127)
    assert bore_with_margin(1.0) is None
    for size in bores.usual_bores():
        assert bore_with_margin(size * BORE_MARGIN) == pytest.approx(size)


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("out of the flames", "its plugs are out of the flames and learn of the fire too late"),
        ("too hot", "no alloy may be fitted: normal running asks for one that does not begin to "
                    "melt below 392 °C"),
        ("too late", "the metal gives way before the air is out"),
    ],
)  # fmt: skip
def test_why_no_plug_helps_is_said(code, why):
    none = NoCure(code, ("tin", "Bi58Sn42"), 665.15)
    text = plain(no_cure_sentence(hand_made.unsafe(), none, UNITS))
    assert text == (
        f"No plug that was tried makes this fire safe, because {why}. The runs tried tin "
        "(232 °C) and 138 °C alloy (Bi58Sn42)."
    )


def test_no_plug_helps_is_not_said_of_one_that_only_waits_for_its_confirmation():
    fire = hand_made.unsafe(uncredited={"FP7": "offered"})
    envelope = dataclasses.replace(fire.envelope, outcome_working="vents in time")
    none = NoCure("too late", ("tin",), 338.0)
    told = no_cure_sentence(dataclasses.replace(fire, envelope=envelope), none, UNITS)
    assert told.startswith("While device FP7 cannot be counted on, no other plug that was tried ")
    no_help = dataclasses.replace(envelope, outcome_working="ruptures")
    told = no_cure_sentence(dataclasses.replace(fire, envelope=no_help), none, UNITS)
    assert told.startswith("No plug that was tried makes this fire safe")


def test_another_alloy_is_no_cure_beside_a_larger_bore_that_is_enough_alone():
    larger = Cure("bore", "FP2", (("FP2", "bore", '"25.4 mm"'),), 0.0174, 411.0, 0.6)
    both = dataclasses.replace(larger, kind="alloy and bore")
    assert useful_cures(hand_made.unsafe(cures=(larger, both))) == (larger,)
    smaller = dataclasses.replace(both, bore_m=0.012)
    assert useful_cures(hand_made.unsafe(cures=(larger, smaller))) == (larger, smaller)
    assert useful_cures(hand_made.unsafe(cures=(both,))) == (both,)


def test_one_deed_that_cures_two_fires_is_told_once_with_its_largest_bore():
    larger = dataclasses.replace(NEW, bore_m=0.0302, advised_m=0.04)
    both = [(NEW, hand_made.unsafe()), (larger, hand_made.assumed("whole"))]
    assert plain(cure_line(both, UNITS)) == (
        "Fit a plug of tin (232 °C) on top of vessel R1, in the flames. Choose a bore of 40 mm. "
        "Runs have proven 40 mm for the fire with all in flames and 12.7 mm for fire F1."
    )
    assert plain(cure_line(both[:1], UNITS)).endswith("Runs have proven it for fire F1.")


def test_where_no_plug_was_tried_nothing_is_said_of_plugs():
    none = NoCure("too late", (), 318.0)
    assert "No plug was tried" in no_cure_sentence(hand_made.unsafe(), none, UNITS)
    assert cure_sentences(hand_made.unsafe(no_cure=none), UNITS)
    assert cure_sentences(hand_made.fire(), UNITS) == []


def test_alloys_are_named_as_the_trade_buys_them():
    assert plain(alloy_text("Bi58Sn42", UNITS)) == "138 °C alloy (Bi58Sn42)"
    assert plain(alloy_text("tin", UNITS)) == "tin (232 °C)"
    assert alloy_text("of my own", UNITS) == "of my own"


def test_a_bore_that_is_never_enough_says_why():
    none = BoreSearch(None, None, None, None, None, None)
    elsewhere = hand_made.fire(
        bores={"FP9": none},
        events=(EventRecord(136.0, "plug opens", "FP9"), EventRecord(880.0, "rupture", "R1")),
        first_vent_by_part_s={"L1": 136.0},
    )
    assert bore_sentences(elsewhere, UNITS) == [
        "Plug FP9: no bore of it alone is enough: no air of vessel R1 reaches it."
    ]
    late = dataclasses.replace(none, late_by_s=30.0)
    assert (
        "30\u00a0s after the metal" in bore_sentences(hand_made.fire(bores={"FP9": late}), UNITS)[0]
    )


def test_a_bore_is_told_with_the_usual_size_to_fit():
    search = BoreSearch(0.0061, 0.0064, None, None, None, None)
    assert plain(bore_sentences(hand_made.fire(bores={"FP1": search}), UNITS)[0]) == (
        "Plug FP1: least bore by the runs 6.1 mm; fit 8 mm, the usual size of which it takes at "
        "most 80 %."
    )


def test_where_the_search_ended_the_smallest_bore_is_told_as_enough_and_the_one_to_fit():
    search = BoreSearch(0.001, 0.001, None, None, None, None)
    assert plain(bore_sentences(hand_made.fire(bores={"FP1": search}), UNITS)[0]) == (
        "Plug FP1: a bore of 1 mm would already be enough by the runs; fit 3.2 mm, the usual size "
        "of which it takes at most 80 %."
    )
    both = hand_made.fire(bores={"FP1": search, "FP2": search})
    assert "by the runs, the other plugs as fitted; fit" in bore_text(both, "FP1", search, UNITS)
    failed = bore_text(hand_made.unsafe(bores={"FP1": search}), "FP1", search, UNITS)
    assert "enough" not in failed


def test_a_bore_that_passes_one_run_only_is_not_called_enough():
    search = BoreSearch(0.0479, 0.05, None, None, None, None)
    fire = hand_made.unsafe(bores={"FP1": search})
    (text,) = bore_sentences(fire, UNITS)
    assert plain(text) == "Plug FP1: 47.9 mm would pass one run, but not every run of this fire."
    proven = Cure("bore", "FP1", (("FP1", "bore", '"65 mm"'),), 0.0479, 505.0, 0.6, (), 0.065)
    (text,) = bore_sentences(dataclasses.replace(fire, cures=(proven,)), UNITS)
    assert plain(text).startswith("Plug FP1: least bore by the runs 47.9 mm")


def test_a_plug_that_does_not_open_before_the_rupture_would_open_too_late():
    search = BoreSearch(None, None, 30.0, None, None, None)
    shut = hand_made.fire(bores={"FP1": search}, events=())
    assert "it would open 30" in bore_sentences(shut, UNITS)[0]
    assert "it opens 30" in bore_sentences(hand_made.fire(bores={"FP1": search}), UNITS)[0]


def test_two_least_bores_beside_each_other_say_that_the_other_plugs_stay_as_fitted():
    one = BoreSearch(0.0061, 0.0064, None, None, None, None)
    two = BoreSearch(0.004, 0.004, None, None, None, None)
    alone = hand_made.fire(bores={"FP1": one})
    assert "as fitted" not in bore_text(alone, "FP1", one, UNITS)
    both = hand_made.fire(bores={"FP1": one, "FP2": two})
    for plug, search in both.bores.items():
        assert "the other plugs as fitted" in bore_text(both, plug, search, UNITS)


def test_a_cure_that_takes_insulation_off_a_plug_says_so():
    renewed = Cure(
        "renew", "FP3", (("FP3", "condition", '"clean"'), ("FP3", "stands_free", "true")),
        0.0057, 411.0, 0.655,
    )  # fmt: skip
    fitted = dataclasses.replace(NEW, added=(*NEW.added, ("stands_free", "true")))
    cut = ", and cut the insulation back so that its head and outlet stand free. "
    for cure in (renewed, fitted):
        assert cut in cure_sentence(cure, hand_made.fire(), UNITS)
        assert cut in cure_line([(cure, hand_made.fire())], UNITS)
    covered = dataclasses.replace(renewed, changes=(("FP3", "stands_free", "false"),))
    assert "insulation" not in cure_sentence(covered, hand_made.fire(), UNITS)


def test_the_list_of_alloys_shows_where_each_melts():
    shown = {key: text.replace("\u00a0", " ") for key, text in alloy_choices(UNITS).items()}
    assert shown["tin"] == "tin (232 °C)"
    for one in alloys.alloys():
        text = shown[one.key]
        assert text.startswith(f"{one.key} (")
        assert (" to " in text) == (round(one.liquidus) > round(one.solidus))
