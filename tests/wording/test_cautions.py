"""What is said of condensate: where its steam counts, how long, and what is judgement."""

from airrisk.firetest.case import COOL_DOWN
from airrisk.study import envelope
from airrisk.wording.cautions import assumptions, steam_note
from airrisk.wording.method import method_steps


def test_the_note_on_steam_names_the_other_vessels_and_the_bound():
    note = steam_note(("R1",))
    assert "every vessel that the air from there can flow to" in note
    assert "after the vent is bounded" in note
    assert "(judgement)" in note
    assert "alone" not in note


def test_the_assumptions_and_the_method_say_the_same():
    (assumed,) = (text for text in assumptions() if "condensate counts" in text)
    assert "every vessel that its air" in assumed
    (step,) = (one for one in method_steps() if one.title == "Condensate")
    assert step.standing == "judgement"
    assert "every vessel" in step.text


def test_texts_give_the_end_of_a_run_as_the_runs_have_it():
    (outcome,) = (one.text for one in method_steps() if one.title == "Outcome of a fire")
    assert COOL_DOWN == 2 * 3600.0
    assert "at most two hours" in outcome


def test_the_method_gives_the_runs_of_the_envelope_as_they_are():
    (text,) = (one.text for one in method_steps() if one.title == "What a verdict answers for")
    assert envelope.HEATS == (1.0, 0.5)
    assert envelope.THINNER == (1.0, 0.7, 0.5)
    assert "from 0.7 and 0.5 of the highest" in text
    (text,) = (one.text for one in method_steps() if one.title == "Sure or not sure")
    assert len(envelope.DOUBTS) == 7
    assert (envelope.CONTACT_SHARE, envelope.MORE_METAL) == (1.0 / 3.0, 0.5 * 480.0)
    assert "a third of the contact" in text
    assert "0.5 kg more metal" in text


def test_the_note_on_steam_says_what_is_drawn_for_lines():
    assert "lines that share their air with a vessel" in steam_note(("R1",))
