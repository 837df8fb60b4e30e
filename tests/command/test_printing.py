"""The short answer as text, from records made by hand."""

import dataclasses

from airrisk.command.printing import print_assessment
from tests.report import hand_made


def test_a_fire_that_sounds_safe_and_is_not_says_so_with_the_reason(capsys):
    fire = hand_made.fire(outcome="outlasts the fire", safe=False, reason="limit passed", events=())
    print_assessment(dataclasses.replace(hand_made.assessment(), fires=(fire,)), "metric")
    text = capsys.readouterr().out
    assert "△ outlasts the fire, not safe: F1 on L1+R1" in text
    assert "not safe: limit passed." in text
