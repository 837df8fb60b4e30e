"""What is said of condensate, of the end of a run and of the envelope is what the code does."""

from airrisk.fire.case_building import COOL_DOWN
from airrisk.study import envelope
from airrisk.wording.cautions import assumptions, steam_note
from airrisk.wording.method import method_steps


def test_the_note_on_condensate_says_what_heats_it_and_where_its_steam_goes():
    note = steam_note(("R1",), {"R1": "vessel"})
    assert note.startswith("Condensate boils in vessel R1.")
    assert "all the heat that the fire gives to cold metal" in note
    assert "leaves with it" in note
    assert "safe side" in note


def test_the_assumptions_and_the_method_say_the_same():
    (assumed,) = (text for text in assumptions() if "Condensate stands" in text)
    assert "leaves with it" in assumed
    (step,) = (one for one in method_steps() if one.title == "Condensate")
    assert step.standing == "judgement"
    assert "leaves with it in its share" in step.text


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
    assert len(envelope.DOUBTS) == 11
    assert (envelope.CONTACT_SHARE, envelope.MORE_METAL) == (1.0 / 3.0, 0.5 * 520.0)
    assert "a third of the contact" in text
    assert "0.5 kg more metal" in text
    assert "creep by the Omega rate" in text
    assert envelope.RESISTS_SHARE == 0.5
    assert "half of what insulation resists" in text
