"""What is said of condensate: where its steam counts, how long, and what is judgement."""

from airrisk.firetest.case import COOL_DOWN
from airrisk.firetest.stepper import EMPTIED_USE
from airrisk.wording.cautions import assumptions, steam_note
from airrisk.wording.labels import fire_reason
from airrisk.wording.method import method_steps


def test_the_note_on_steam_names_the_other_vessels_and_the_bound():
    note = steam_note(("R1",))
    assert "every vessel that the air from there can flow to" in note
    assert "after the vent is bounded" in note
    assert "(judgement)" in note
    assert "alone" not in note


def test_the_assumptions_and_the_method_say_the_same():
    (assumed,) = (text for text in assumptions() if "condensate counts" in text)
    assert "every vessel that the air" in assumed
    (step,) = (one for one in method_steps() if one.title == "Condensate")
    assert step.standing == "judgement"
    assert "every vessel" in step.text


def test_texts_give_the_end_of_a_run_as_the_runs_have_it():
    (outcome,) = (one.text for one in method_steps() if one.title == "Outcome of a fire")
    assert (EMPTIED_USE, COOL_DOWN) == (0.2, 1800.0)
    for text in (outcome, fire_reason("not emptied")):
        assert "0.2" in text
        assert "half an hour after the fire" in text


def test_the_note_on_steam_says_what_is_drawn_for_lines():
    assert "lines that share their air with a vessel" in steam_note(("R1",))
