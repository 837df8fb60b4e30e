"""The matrix in words: a cell for each section and class, never safe without its margin."""

import dataclasses

from airrisk.installation.model import AssumedFire
from airrisk.study.records import Finding, FlameAway
from airrisk.verdict.rule import Reason
from airrisk.wording.matrix import (
    cell_of,
    class_heads,
    classes_sentences,
    flame_away_sentences,
    jet_spot_sentences,
    matrix_rows,
    runs_sentence,
    short_title,
    unsure_sentences,
)
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def whole() -> tuple:
    return (
        hand_made.assumed("whole"),
        hand_made.unsafe("Beside R1", fire_class="beside", exposed=("R1",)),
        hand_made.assumed("spot"),
    )


def test_a_row_has_a_cell_for_each_class_with_word_margin_and_sureness():
    (row,) = matrix_rows(hand_made.answered(hand_made.fire(), *whole()))
    assert row.title == "Vessel R1 and line L1, with valve V1 shut"
    assert class_heads() == ("Stated fire", "All in flames", "Fire beside it", "Small spot")
    # arithmetic: 0.351 / 0.667
    assert [plain(cell.text) for cell in row.cells] == [
        "● vents in time, 53 %, not sure",
        "● vents in time, 53 %, sure",
        "✖ ruptures, after 4.3 min",
        "● vents in time, 53 %, sure",
    ]


def test_without_a_stated_fire_the_cell_says_so_and_is_not_safe():
    (row,) = matrix_rows(hand_made.answered(*whole()))
    assert row.cells[0].text == "– no fire stated"
    assert row.cells[0].safe is None
    assert cell_of(None).text == "– no fire stated"


def test_a_verdict_that_somebody_has_accepted_says_so_and_stays_unsafe():
    found = Finding(
        "fire-outcome", "danger", "R1", "", {}, "L1+R1", "beside", accepted="A1"
    )  # fmt: skip
    (row,) = matrix_rows(hand_made.answered(*whole(), findings=(found,)))
    assert plain(row.cells[2].text) == "✖ ruptures, after 4.3 min, not safe, accepted"
    assert row.cells[2].safe is False
    assert "accepted" not in row.cells[1].text


def test_the_worst_fire_of_a_class_rules_its_cell():
    (row,) = matrix_rows(hand_made.answered(hand_made.fire("F1"), hand_made.unsafe("F2")))
    assert row.cells[0].heading == "✖ ruptures"
    assert row.cells[0].sure == ""


def test_what_safe_verdicts_hang_on_is_told_beside_the_matrix():
    answer = hand_made.answered(hand_made.fire(), *whole())
    assert unsure_sentences(answer) == [
        "Vessel R1 and line L1, with valve V1 shut: In fire F1, it is safe, but not sure: passes "
        "the limit on the cautious basis (yield strength)."
    ]


def test_the_assumed_fires_are_told_with_whether_somebody_chose_them():
    answer = hand_made.assessment()
    text = plain(" ".join(classes_sentences(answer, UNITS)))
    assert "hydrocarbon fire, EN 1991-1-2, 60 min" in text
    assert "50 kW/m²" in text
    assert "not the default" not in text
    choices = {
        **answer.choices,
        "assumed_fire": (AssumedFire(curve="standard", duration=1800.0), "typed"),
        "beside_flux": (20e3, "default"),
    }
    text = plain(" ".join(classes_sentences(dataclasses.replace(answer, choices=choices), UNITS)))
    assert "standard fire, EN 1991-1-2, 30 min" in text
    assert text.count("chosen in the file, not the default") == 2
    assert "20 kW/m²" in text


def test_the_runs_and_the_flame_away_from_the_plugs_stand_beside_it():
    answer = hand_made.assessment()
    assert "26 runs were made" in runs_sentence(answer)
    text = plain(" ".join(flame_away_sentences(answer)))
    assert "a number and no verdict" in text
    assert "practically no vessel survives" in text
    (row,) = matrix_rows(answer)
    assert plain(row.away) == "after 4.53 min"
    assert flame_away_sentences(dataclasses.replace(answer, flame_away={})) == []
    text = plain(" ".join(jet_spot_sentences(answer, UNITS)))
    assert "jet flame of 300 kW/m² on 5 % of a shell" in text
    assert "Vessel R1 ruptures after 2.32 min." in text
    outlasted = dataclasses.replace(answer, jet_spot={"R1": FlameAway(None, None)})
    assert "did not rupture" in " ".join(jet_spot_sentences(outlasted, UNITS))
    assert jet_spot_sentences(dataclasses.replace(answer, jet_spot={}), UNITS) == []


def test_a_vessel_that_was_not_asked_about_flames_away_is_not_told_to_stand_them():
    answer = hand_made.assessment()
    (row,) = matrix_rows(dataclasses.replace(answer, flame_away={}))
    assert row.away == "not assessed"
    (row,) = matrix_rows(dataclasses.replace(answer, flame_away={"R1": FlameAway(None, None)}))
    assert row.away == "no rupture in this run"
    (row,) = matrix_rows(dataclasses.replace(answer, kinds={**answer.kinds, "R1": "line"}))
    assert row.away == "no vessel"


def test_a_narrow_title_names_the_vessels_first_and_counts_the_rest():
    kinds = {"R1": "vessel", "L1": "line", "L2": "line", "L3": "line"}
    text = short_title(("C1", "L1", "L2", "L3", "R1"), ("V2", "V4"), kinds)
    assert text == "R1, L1, L2, L3 and 1 more\nV2 and V4 shut"
    assert short_title(("R1",), (), kinds) == "R1"


def test_a_cell_in_which_creep_decides_shows_the_creep_and_no_harmless_load():
    record = hand_made.fire(safe=False, sure=None, doubts=())
    assert record.envelope is not None
    crept = dataclasses.replace(
        record.envelope,
        outcome="passes the limit",
        reason=Reason("limit passed", "R1", creep=True),
        peak_strength_use=0.5,
        creep_damage=0.62,
    )
    (row,) = matrix_rows(hand_made.answered(dataclasses.replace(record, envelope=crept)))
    assert plain(row.cells[0].text) == "▲ passes the limit, creep 124 %"
    near = dataclasses.replace(record.envelope, peak_strength_use=0.2, creep_damage=0.45)
    (row,) = matrix_rows(hand_made.answered(hand_made.fire(envelope=near)))
    assert "creep 90 %" in plain(row.cells[0].text)
