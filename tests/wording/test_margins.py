"""Margins, the run that ruled and what a safe verdict hangs on, in words."""

import dataclasses

from airrisk.study.envelope import DOUBTS
from airrisk.study.records import DoubtRecord
from airrisk.wording import margins
from airrisk.wording.margins import (
    corner_text,
    doubt_text,
    load_percent,
    load_text,
    share_text,
    surety_text,
    uncredited_sentence,
)
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_a_load_is_told_in_percent_of_what_is_allowed():
    # arithmetic: 0.56 / 0.667 and 1 / 0.667
    assert plain(load_text(0.56, 0.667)) == (
        "84 % of the allowed load (strength use 0.56, limit 0.667)"
    )
    assert plain(load_text(1.0, 0.667)).startswith("150 % of the allowed load")
    assert load_text(None, 0.667) == ""


def test_where_creep_decides_its_damage_is_told_in_place_of_the_load():
    assert plain(load_text(0.56, 0.667, 0.62)) == (
        "124 % of the allowed creep damage (damage 0.62, limit 0.5)"
    )
    assert plain(load_text(0.56, 0.667, 0.4)).startswith("84 % of the allowed load")
    assert plain(load_text(0.8, 0.667, 0.62)).startswith("120 % of the allowed load")


def test_the_nearer_of_both_limits_is_told():
    assert plain(share_text(0.2, 0.667, 0.45)) == "creep 90 %"
    assert plain(share_text(0.56, 0.667, 0.1)) == "84 %"
    assert plain(share_text(0.8, 0.667, 0.62)) == "120 %"
    assert share_text(None, 0.667, 0.62) == ""
    assert plain(load_text(0.2, 0.667, 0.45)).startswith("90 % of the allowed creep damage")


def test_near_the_limit_no_load_is_rounded_across_it():
    assert plain(load_percent(0.6675, 0.667)) == "100.1 %"
    assert plain(load_percent(0.66701, 0.667)) == "just over 100 %"
    assert plain(load_percent(0.66699, 0.667)) == "just under 100 %"
    assert plain(load_percent(0.667, 0.667)) == "100 %"
    # the two numbers in brackets differ as well
    assert "strength use 0.6671, limit 0.667" in load_text(0.6671, 0.667)
    assert plain(load_text(0.79996, 0.8)) == (
        "just under 100 % of the allowed load (strength use just under 0.8, limit 0.8)"
    )
    assert "(strength use just over 0.8, limit 0.8)" in load_text(0.80001, 0.8)
    assert plain(load_text(0.8, 0.8)).startswith("100 % of the allowed load (strength use 0.8,")


def test_the_run_that_ruled_is_told_by_what_sets_it_apart():
    assert plain(corner_text(hand_made.fire(), UNITS)) == (
        "starting from 11 bar(g), the highest that can stand there, with half the heat"
    )

    def told(fire=hand_made.fire, **changes):
        corner = dataclasses.replace(hand_made.AS_STATED, **changes)
        return plain(corner_text(fire(envelope=hand_made.envelope(corner=corner)), UNITS))

    assert told(share=0.125) == "with 12.5 % of the shell in the fire"
    assert told(heat=0.75) == "with 75 % of the heat"
    assert told(start="thinner", start_pa=7.013e5) == (
        "starting from 6 bar(g), less than the highest that can stand there"
    )
    assert told(start="highest", start_pa=1.2013e6, isothermal_k=505.15) == (
        "a very slow fire, from 11 bar(g), the highest that can stand there, all at 232 °C"
    )
    doubted = {"FP3": "painted over"}
    assert told(lambda **k: hand_made.fire(uncredited=doubted, **k), devices="working") == (
        "with plug FP3 working, on which nobody may count"
    )


def test_a_run_as_stated_is_called_so():
    same = hand_made.envelope(corner=hand_made.AS_STATED, peak_pressure_pa=1.61e6)
    assert corner_text(hand_made.fire(envelope=same), UNITS) == "as stated"
    beside = hand_made.assumed(
        "beside",
        envelope=hand_made.envelope(
            corner=dataclasses.replace(hand_made.HIGHEST, heat=1.0, share=0.25)
        ),
    )
    assert "shell" not in corner_text(beside, UNITS)  # its class has said so


def test_a_safe_verdict_is_followed_by_sure_or_by_what_it_hangs_on():
    assert surety_text(hand_made.fire(sure=True, doubts=())) == "sure"
    assert surety_text(hand_made.fire()) == (
        "not sure: passes the limit on the cautious basis (yield strength)"
    )
    both = (
        DoubtRecord("relief valve", "ruptures", False, 1.0, "worst"),
        DoubtRecord("contact", "ruptures", False, 1.0, "stated"),
        DoubtRecord("convection 1.4", "vents in time", True, 0.5, "stated"),
    )
    assert surety_text(hand_made.fire(doubts=both)) == (
        "not sure: ruptures if no relief valve opens; or if a third of the heat passes into "
        "the plug"
    )
    offered = hand_made.fire(doubts=(), unconfirmed=("R1",))
    assert surety_text(offered) == "not sure: offered values of vessel R1 are not confirmed"
    assert surety_text(hand_made.unsafe()) == ""


def test_every_doubt_has_its_words():
    assert set(margins._DOUBTS) == set(DOUBTS)
    assert all(doubt_text(what).startswith(("if ", "on ")) for what in DOUBTS)


def test_what_is_not_counted_on_is_told_with_why():
    fire = hand_made.fire(uncredited={"FP1": "under water", "FP9": "overdue"})
    assert uncredited_sentence(fire) == (
        "Nobody may count on plug FP1 (under water) and plug FP9 (overdue for renewal)."
    )
    assert uncredited_sentence(hand_made.fire()) == ""
