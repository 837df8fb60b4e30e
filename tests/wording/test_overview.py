"""The line above everything: count, worst, soonest, how far people keep."""

import dataclasses

from airrisk.installation.model import AssumedFire
from airrisk.study.records import FlameAway
from airrisk.wording.overview import overview_sentences
from airrisk.wording.units import Units, kept_distance
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def told(answer) -> str:
    return " ".join(overview_sentences(answer, UNITS)).replace("\u00a0", " ")


def far(answer):
    """With a blast that reaches far enough to count."""
    cases = answer.consequences["R1"]
    near = {name: dataclasses.replace(one, methods=_strong(one)) for name, one in cases.items()}
    return dataclasses.replace(answer, consequences={"R1": near})


def _strong(case):
    return {
        name: dataclasses.replace(
            method,
            thresholds=tuple(
                dataclasses.replace(row, incident_pa=max(row.incident_pa, 2e4))
                for row in method.thresholds
            ),
        )
        for name, method in case.methods.items()
    }


def test_what_is_not_safe_is_counted_told_and_kept_away_from():
    answer = far(hand_made.answered(hand_made.fire(), hand_made.unsafe("F2")))
    text = told(answer)
    assert text.startswith(
        "The one isolable section is not safe in at least one fire that was run."
    )
    assert "Worst: in fire F2, vessel R1 ruptures after 4.3 min" in text
    assert "away from vessel R1 in a fire until all are safe." in text


def test_where_all_are_safe_the_flame_away_from_the_plugs_still_keeps_people_away():
    text = told(far(hand_made.assessment()))
    assert "Worst" not in text
    assert "A flame away from its plugs still ruptures vessel R1 after 4.53 min." in text
    assert "in a fire keep" in text
    stands = dataclasses.replace(
        far(hand_made.assessment()), flame_away={"R1": FlameAway(None, None)}
    )
    assert "keep" not in told(stands)


def test_a_vessel_of_which_no_distance_is_known_is_named_instead():
    answer = hand_made.answered(hand_made.unsafe("F2"))
    text = told(dataclasses.replace(answer, consequences={}))
    assert "No distance is worked out for vessel R1." in text
    assert "keep" not in text


def test_without_anything_assessed_nothing_is_said_of_safety():
    answer = dataclasses.replace(hand_made.assessment(), parts={}, verdicts=(), shut_in=())
    assert told(answer) == "Nothing was assessed."


def test_a_distance_to_keep_is_rounded_up():
    # arithmetic: two figures, never below the number
    assert kept_distance(331.0, UNITS).replace("\u00a0", " ") == "340 m"
    assert kept_distance(330.0, UNITS).replace("\u00a0", " ") == "330 m"


def test_weaker_assumed_fires_are_told_beside_the_count_of_sections():
    """All is safe in a minute of fire: whoever reads that must read that it was a minute."""
    answer = hand_made.answered(hand_made.fire())
    assert "weaker than usual" not in " ".join(overview_sentences(answer, Units()))
    weak = dataclasses.replace(
        answer,
        choices={
            **answer.choices,
            "assumed_fire": (AssumedFire(curve="standard", duration=60.0), "typed"),
            "beside_flux": (1e3, "typed"),
        },
    )
    told = overview_sentences(weak, Units())[1]
    assert told.startswith("The file makes the assumed fires weaker than usual: ")
    assert "60\u00a0s, not 60\u00a0min" in told
    assert "1\u00a0kW/m², not 50\u00a0kW/m²" in told
    assert told.count("not") == 3
