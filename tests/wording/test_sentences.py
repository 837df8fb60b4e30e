"""Sentences about fires and sections: the worst of all runs decides, the stated one is named."""

import dataclasses

import pytest

from airrisk.fire import bores
from airrisk.study import smallest_bores
from airrisk.study.records import EventRecord, Failure, SectionRecord
from airrisk.study.verdicts import verdict_records
from airrisk.verdict.rule import Reason
from airrisk.wording.acceptances import finding_counts
from airrisk.wording.sentences import (
    count_sentence,
    creep_sentence,
    fire_sentence,
    fire_title,
    fire_verdict,
    outcome_text,
    protection_sentence,
    remaining_sentence,
    ruling_fire,
    screening_sentence,
    section_sentence,
    section_verdict,
    telling_fires,
    unsafe_in_short,
    why_without_fire,
)
from airrisk.wording.units import SEARCHED_FROM, Units, least_bore_text
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def told(fire, **more) -> str:
    return fire_sentence(fire, UNITS, **more).replace("\u00a0", " ")


def as_stated(**changes):
    """The fire of which the run as stated is the worst."""
    seen = hand_made.envelope(corner=hand_made.AS_STATED, peak_pressure_pa=1.61e6)
    return hand_made.fire(envelope=dataclasses.replace(seen, **changes))


def test_a_fire_is_told_by_its_worst_run_and_the_run_as_stated_is_named_as_such():
    assert told(hand_made.fire()) == (
        "In fire F1, vessel R1 vents in time: plug FP1 opens after 10.9 min. This is the worst of "
        "the 8 runs of this fire: starting from 11 bar(g), the highest that can stand there, with "
        "half the heat. "
        "As stated, vessel R1 vents in time: plug FP1 opens after 6.2 min. If nothing opened, "
        "vessel R1 would rupture after 9.8 min."
    )


def test_where_the_run_as_stated_is_the_worst_its_times_are_told_once():
    assert told(as_stated(first_vent_by_part_s={"R1": 372.0})) == (
        "In fire F1, vessel R1 vents in time: plug FP1 opens after 6.2 min. The run as stated is "
        "the worst of the 8 runs of this fire. If nothing opened, vessel R1 would "
        "rupture after 9.8 min."
    )


def test_a_safe_run_as_stated_does_not_soften_the_worst():
    fire = hand_made.unsafe()
    assert told(fire).startswith(
        "In fire F1, vessel R1 ruptures after 4.3 min although plug FP1 had opened: it cannot "
        "empty vessel R1 in time. This is the worst of the 8 runs of this fire:"
    )
    assert "As stated, vessel R1 vents in time: plug FP1 opens after 6.2 min." in told(fire)
    assert outcome_text(fire) == "ruptures"
    verdict = fire_verdict(fire, "tensile")
    assert verdict.safe is False
    assert verdict.heading == "✖ ruptures"
    assert "150\u00a0% of the allowed load" in verdict.text
    assert "vents" not in verdict.text


def test_the_classes_of_fires_lead_the_sentence_by_what_they_are():
    assert told(hand_made.assumed("whole")).startswith("With all of it in flames, vessel R1 ")
    assert told(hand_made.assumed("beside")).startswith("With a fire beside vessel R1, vessel R1 ")
    assert told(hand_made.assumed("spot")).startswith("With a fire on a small spot of vessel R1, ")
    titles = [fire_title(hand_made.assumed(name)) for name in ("whole", "beside", "spot")]
    assert titles == ["All in flames", "Fire beside vessel R1", "Small spot on vessel R1"]
    assert fire_title(hand_made.fire()) == "Fire F1"


def test_no_plug_and_no_rupture_is_outlasting():
    fire = as_stated(outcome="outlasts the fire", reason=Reason("within the limit", "R1"))
    fire = dataclasses.replace(
        fire, outcome="outlasts the fire", events=(), rupture_nothing_opens_s=None
    )
    assert told(fire) == (
        "In fire F1, vessel R1 outlasts the fire without a vent. The run as stated is the worst "
        "of the 8 runs of this fire. If the fire as stated went on, nothing would rupture within "
        "six hours."
    )
    longer = dataclasses.replace(fire, rupture_if_fire_goes_on_s=5400.0)
    assert told(longer).endswith(
        "If the fire as stated went on, vessel R1 would rupture after 90 min."
    )


def test_what_does_not_converge_is_said_and_never_safe():
    fire = hand_made.fire(
        outcome="not converged", safe=False, sure=None, envelope=None, margins=None, events=(),
        reason=Reason("solver", detail="time step too small"),
    )  # fmt: skip
    verdict = fire_verdict(fire, "tensile")
    assert told(fire) == (
        "In fire F1, the calculation did not come to an end: its time steps became too small. "
        "Nothing is known about its end."
    )
    assert not verdict.safe
    assert verdict.word == "not converged"


@pytest.mark.parametrize("word", ["vents in time", "outlasts the fire"])
def test_a_fire_whose_other_runs_have_not_been_made_is_not_called_safe(word):
    fire = hand_made.fire(outcome=word, safe=None, sure=None, envelope=None, doubts=())
    verdict = fire_verdict(fire, "tensile")
    assert verdict.safe is None
    assert verdict.word == "not yet checked"
    assert verdict.text.startswith(f"… not yet checked: as stated {word};")
    assert outcome_text(fire) == f"not yet checked: as stated {word}"
    assert "the others of this fire have not been made yet" in told(fire)


def test_a_verdict_names_margin_basis_and_what_it_hangs_on():
    verdict = section_verdict(hand_made.assessment(), "L1+R1")
    assert verdict.safe
    assert verdict.margin.replace("\u00a0", " ") == (
        "53 % of the allowed load (strength use 0.351, limit 0.667)"
    )
    assert "tensile" in verdict.basis
    assert verdict.cautious == "not sure: passes the limit on the cautious basis (yield strength)"
    assert verdict.word in verdict.text
    assert verdict.shape in verdict.text


def test_a_section_without_fire_is_not_assessed():
    answer = dataclasses.replace(hand_made.assessment(), fires=())
    verdict = section_verdict(answer, "L1+R1")
    assert verdict.outcome is None
    assert verdict.word == "not assessed"
    assert not verdict.safe
    assert why_without_fire(answer, ("R1",)) == "no fire was run against it"
    failed = dataclasses.replace(answer, failures=(Failure("fire", "R1", "no air"),))
    assert why_without_fire(failed, ("R1",)) == "no air"


def test_the_worst_fire_of_every_class_rules():
    safe = hand_made.fire("F1")
    spot = hand_made.unsafe("Spot on R1", fire_class="spot", exposed=("R1",))
    answer = hand_made.answered(safe, spot)
    assert ruling_fire(answer, "L1+R1").id == "Spot on R1"
    assert section_verdict(answer, "L1+R1").fire_class == "spot"
    assert [fire.id for fire in telling_fires(answer)] == ["F1", "Spot on R1"]


def test_of_two_safe_fires_the_one_that_is_not_sure_rules():
    sure = hand_made.fire("F1", sure=True, doubts=())
    assert ruling_fire(hand_made.answered(sure, hand_made.fire("F2")), "L1+R1").id == "F2"


def test_section_and_protection_name_the_devices():
    answer = hand_made.assessment()
    text = section_sentence(answer.shut_in[0], UNITS, answer.kinds)
    assert text.startswith("Vessel R1 and line L1, ")
    assert "shut in by valve V1" in text
    assert "plug FP1, relief valve RV1" in text
    assert "plug FP1 (no credit)" in section_sentence(
        answer.shut_in[0], UNITS, answer.kinds, {"FP1"}
    )
    assert "with valve V1 shut, no heated plug" in protection_sentence(answer, "L1")
    assert "not assessed" in protection_sentence(answer, "R9")


def test_that_a_plug_can_be_reached_is_not_said_to_be_enough():
    text = protection_sentence(hand_made.assessment(), "R1")
    assert text == (
        "Vessel R1: its air can reach plug FP1 in every position of the valves. Whether that is "
        "enough, only the verdicts on its fires tell."
    )
    doubted = hand_made.answered(hand_made.fire(uncredited={"FP1": "overdue"}))
    assert "Nobody may count on FP1." in protection_sentence(doubted, "R1")


def test_screening_compares_plug_and_rupture():
    text = screening_sentence(hand_made.part(), UNITS)
    assert "vessel R1 ruptures at 525\u00a0°C." in text
    assert "Plug FP1 is molten 293\u00a0K below that." in text
    doubted = screening_sentence(hand_made.part(), UNITS, ("FP1",))
    assert doubted.endswith("FP1 is molten 293\u00a0K below that, but nobody may count on it.")


def test_creep_is_told_where_it_says_something():
    fire = hand_made.fire(envelope=None, creep_damage=0.2)
    assert creep_sentence(fire) == (
        "Creep uses up 20\u00a0% of the life of the hot metal; 50\u00a0% is allowed."
    )
    broken = hand_made.fire(envelope=None, outcome="ruptures", safe=False, creep_damage=0.2)
    assert creep_sentence(broken) == ""  # its strength had given way
    crept = hand_made.fire(envelope=None, outcome="ruptures", safe=False, creep_damage=1.0)
    assert "100\u00a0%" in creep_sentence(crept)


def test_the_one_part_that_would_rupture_is_named():
    fire = as_stated(outcome="outlasts the fire", reason=Reason("within the limit", "L1"))
    fire = dataclasses.replace(
        fire, outcome="outlasts the fire", events=(), members=("L1",), vessels=(),
        exposed=("L1",), rupture_if_fire_goes_on_s=5400.0, rupture_nothing_opens_s=5400.0,
    )  # fmt: skip
    assert "If the fire as stated went on, line L1 would rupture after 90" in told(fire)


def test_the_count_of_sections_is_safe_only_where_every_fire_is():
    assert count_sentence(hand_made.assessment()) == (
        "The one isolable section is safe in every fire that was run. That is not sure; see what "
        "it hangs on."
    )
    unsafe = count_sentence(hand_made.answered(hand_made.fire(), hand_made.unsafe("F2")))
    assert unsafe == "The one isolable section is not safe in at least one fire that was run."
    none = dataclasses.replace(hand_made.assessment(), parts={})
    assert count_sentence(none) == "Nothing was assessed."


@pytest.mark.parametrize(
    ("others", "told"),
    [
        ((), "All 2 isolable sections are safe in every fire that was run."),
        (("ruptures",), "1 of 2 isolable sections is not safe in at least one fire that was run."),
        ((None,), "1 of 2 isolable sections are safe in every fire that was run."),
    ],
)
def test_of_several_sections_those_that_are_not_safe_are_counted(others, told):
    second = SectionRecord("R2", ("R2",), ("V1",), 1.0, (), ())
    whole = hand_made.assessment()
    record = hand_made.fire("F2", section="R2", closed_valves=("V1",), members=("R2",))
    if others == ("ruptures",):
        record = hand_made.unsafe("F2", section="R2", closed_valves=("V1",), members=("R2",))
    fires = [hand_made.fire(), *([] if others == (None,) else [record])]
    rows = [(one.id, one.members, one.closed_valves) for one in (*whole.shut_in, second)]
    answer = dataclasses.replace(
        whole,
        shut_in=(*whole.shut_in, second),
        fires=tuple(fires),
        verdicts=verdict_records(fires, rows, "tensile"),
    )
    text = count_sentence(answer)
    assert text.startswith(told)
    assert ("Not assessed: 1." in text) == (others == (None,))


def test_the_remaining_sentence_counts_findings_and_failures():
    assert remaining_sentence(hand_made.assessment()) == (
        "Findings: 0 dangers, 1 warning, 0 notes."
    )
    assumed = remaining_sentence(hand_made.answered(hand_made.assumed("whole")))
    assert "No fire is stated for the isolable section." in assumed


def test_a_stated_fire_with_valves_open_is_told_where_it_is_not_safe():
    other = hand_made.unsafe("F2", section="C1+L1+R1", closed_valves=())
    text = remaining_sentence(hand_made.answered(hand_made.fire(), other))
    assert "Not safe either, with other valves open: fire F2 (ruptures)." in text


def test_a_fire_with_condensate_says_how_its_steam_counts_unless_a_note_beside_it_does():
    wet = hand_made.fire(wet_parts=("R1",))
    assert "Condensate boils in vessel R1 in this fire, and its steam counts." in told(wet)
    assert "team" not in told(wet, steam=False)


def test_condensate_in_a_part_that_the_fire_does_not_reach_is_not_said_to_boil():
    wet = hand_made.fire(wet_parts=("L1", "R1"), exposed=("R1",))
    assert "boils in vessel R1 in this fire" in told(wet)
    dry = dataclasses.replace(wet, wet_parts=("L1",))
    assert "boils" not in told(dry)


def test_a_very_slow_fire_is_not_counted_among_the_runs():
    corner = dataclasses.replace(hand_made.HIGHEST, heat=1.0, isothermal_k=505.15)
    reason = Reason("isothermal", "R1", ("FP1",), ("FP1",))
    fire = hand_made.fire(envelope=hand_made.envelope(corner=corner, reason=reason))
    assert told(fire).startswith(
        "In fire F1, vessel R1 vents in time: even in a very slow fire it holds until plug "
        "FP1 opens. That is worse than each of the 8 runs of this fire. It starts from 11 bar(g), "
        "the highest that can stand there, and air and metal are all at 232 °C. As stated, "
        "vessel R1 vents in time: "
    )


def test_a_line_that_ruptures_is_named_with_what_had_opened():
    broken = Reason("line ruptured", "L1", ("FP1",))
    fire = as_stated(outcome="ruptures", reason=broken, rupture_s=120.0)
    events = (EventRecord(60.0, "plug opens", "FP1"), EventRecord(120.0, "line ruptures", "L1"))
    fire = dataclasses.replace(
        fire, outcome="ruptures", safe=False, sure=None, reason=broken, events=events,
        first_vent_by_part_s={"R1": 60.0},
    )  # fmt: skip
    assert told(fire) == (
        "In fire F1, line L1 ruptures after 2 min although plug FP1 had opened. The run as stated "
        "is the worst of the 8 runs of this fire. Plug FP1 opens after 60 s."
    )
    # the load of the vessels says nothing of the line
    assert fire_verdict(fire, "tensile").margin == "after 2\u00a0min"


def test_a_line_that_would_rupture_if_nothing_opened_is_named():
    fire = hand_made.fire(rupture_nothing_opens_s=None, line_rupture_nothing_opens_s=("L1", 212.5))
    assert "If nothing opened, line L1 would rupture after 3.54 min." in told(fire)


def test_devices_without_credit_are_told_with_what_comes_if_they_work():
    fire = hand_made.unsafe(
        uncredited={"FP1": "overdue"}, envelope=hand_made.ruptured(outcome_working="vents in time")
    )
    assert "Nobody may count on plug FP1 (overdue for renewal)." in told(fire)
    assert "If it works all the same, the worst run vents in time." in told(fire)


def test_a_bore_at_the_end_of_the_search_is_said_to_be_at_most_that():
    # arithmetic
    assert least_bore_text(1e-3, UNITS) == "at most 1\u00a0mm"
    assert least_bore_text(2.734e-3, UNITS) == "2.73\u00a0mm"
    assert SEARCHED_FROM == bores.SMALLEST_BORE == smallest_bores.SMALLEST


def test_counts_tell_what_was_accepted_and_never_that_there_is_no_danger():
    """A section is not safe and the finding on it is accepted: that is no reassurance."""
    answer = hand_made.answered(hand_made.unsafe("F1"))
    first = answer.findings[0]
    accepted = dataclasses.replace(
        answer,
        findings=tuple(
            dataclasses.replace(one, accepted="A1") if one is first else one
            for one in answer.findings
        ),
    )
    assert finding_counts(accepted.findings)[-1] == "1 accepted"
    assert len(finding_counts(answer.findings)) == 3
    assert "1 accepted" in remaining_sentence(accepted)
    for text in (*finding_counts(accepted.findings), remaining_sentence(accepted)):
        assert "no danger" not in text
        assert "no warning" not in text
    assert unsafe_in_short(accepted) == "✖ 1 of 1 not safe"
    assert unsafe_in_short(hand_made.answered(hand_made.fire())) == ""
