"""What is said of condensate: where its steam counts, how long, and what is judgement."""

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
    assert "every vessel that the air" in assumed
    (step,) = (one for one in method_steps() if one.title == "Condensate")
    assert step.standing == "judgement"
    assert "every vessel" in step.text
