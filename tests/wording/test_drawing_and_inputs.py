"""The flow drawing and the table of inputs."""

import dataclasses

import pytest

from airrisk.installation.fields import all_fields
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.reading import read
from airrisk.report.text_width import text_width
from airrisk.study.upkeep import walk_stops
from airrisk.tables import sample_names, sample_path
from airrisk.wording.chart_kinds import COLOURS
from airrisk.wording.drawing import EDGE, HIGHEST, READABLE, flow_drawing
from airrisk.wording.engineers_questions import engineers_questions, which_alloy
from airrisk.wording.figures import Stroke, Words
from airrisk.wording.origin import COMPUTED, MOOT, input_tables, origin_text
from airrisk.wording.units import Units
from airrisk.wording.walk import question
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def test_every_part_valve_and_device_is_drawn_with_its_name():
    figure = flow_drawing(hand_made.installation(), text_width)
    names = {item.text for item in figure.items if isinstance(item, Words)}
    assert {"C1", "R1", "L1", "V1", "FP1", "RV1"} <= names
    assert "L1 from C1 to R1" in figure.description


def test_a_large_drawing_may_take_a_page_so_that_its_names_can_be_read():
    plant = read(sample_path("tile-works").read_bytes(), "tile-works")
    low, tall = flow_drawing(plant, text_width), flow_drawing(plant, text_width, tall=True)
    sizes = [next(i.size for i in one.items if isinstance(i, Words)) for one in (low, tall)]
    assert sizes[0] < READABLE <= sizes[1]
    assert max(one.height for one in (low, tall)) <= HIGHEST + 2 * EDGE
    small = hand_made.installation()
    assert flow_drawing(small, text_width) == flow_drawing(small, text_width, tall=True)


def test_a_figure_says_what_a_broken_line_means():
    plant = hand_made.installation()
    beside = {name: tuple(dataclasses.replace(one, drawn=(9, 9)) for one in getattr(plant, name))
              for name in ("compressors", "vessels")}  # fmt: skip
    figure = flow_drawing(dataclasses.replace(plant, **beside), text_width)
    assert any(isinstance(item, Stroke) and item.dash for item in figure.items)
    assert any("no free way" in item.text for item in figure.items if isinstance(item, Words))
    sound = flow_drawing(plant, text_width)
    assert not any("no free way" in item.text for item in sound.items if isinstance(item, Words))


def test_a_plug_that_nobody_may_count_on_is_struck_through():
    plant = hand_made.installation()
    sound = flow_drawing(plant, text_width)
    struck = flow_drawing(plant, text_width, ["FP1"])
    green = COLOURS["plug"][0]
    filled = [item for item in sound.items if isinstance(item, Stroke) and item.fill == green]
    assert len(filled) == 1
    assert not [item for item in struck.items if isinstance(item, Stroke) and item.fill == green]
    assert [i for i in struck.items if isinstance(i, Stroke) and i.colour == green and not i.closed]


def test_the_words_that_decide_what_is_listed_are_those_of_the_fields():
    """A change of the words in the table must not change what the list of inputs shows."""
    told = {one.left_out for _, one in all_fields()}
    assert set(MOOT) <= told
    assert sum(text.startswith(COMPUTED) for text in told) >= 3


@pytest.mark.parametrize("name", sample_names())
def test_the_figure_shows_all_that_the_layout_has_within_its_edges(name):
    installation = read(sample_path(name).read_bytes(), name)
    figure = flow_drawing(installation, text_width)
    names = [item for item in figure.items if isinstance(item, Words)]
    things = [*installation.parts(), *installation.devices(), *installation.valves]
    assert sorted(item.text for item in names) == sorted(one.id for one in things)
    assert figure.width <= 500.0
    for item in names:
        assert 0.0 <= item.x <= figure.width - text_width(item.text, item.size, item.bold)
        assert 0.0 <= item.y <= figure.height
    for item in figure.items:
        if isinstance(item, Stroke):
            assert all(-0.01 <= x <= figure.width + 0.01 for x, _ in item.points)
            assert all(-0.01 <= y <= figure.height + 0.01 for _, y in item.points)


def test_inputs_say_where_each_value_came_from():
    tables = {t.id: {r.field: r for r in t.rows} for t in
              input_tables(hand_made.installation(), UNITS)}  # fmt: skip
    rows = tables["R1"]
    assert rows["wall_thickness"].value == "8\u00a0mm"
    assert rows["wall_thickness"].origin == "typed"
    assert rows["wall_thickness"].remark == "ultrasonic survey, low point"
    assert rows["weld_factor"].origin == "default"
    assert rows["cylinder_length"].origin == "computed"
    assert rows["pressure"].value == "10\u00a0bar(g)"


def test_a_value_that_nobody_confirmed_says_so():
    plant = hand_made.installation()
    vessel = dataclasses.replace(plant.vessels[0], offered=("wall_thickness",))
    changed = dataclasses.replace(plant, vessels=(vessel,))
    rows = {r.field: r for t in input_tables(changed, UNITS) for r in t.rows if t.id == "R1"}
    assert origin_text(rows["wall_thickness"].origin) == "offered, not confirmed"
    assert rows["pressure"].origin == "typed"
    assert "offered" not in rows  # it stands with each value


def test_the_assumed_fire_is_an_input_like_others():
    plant = hand_made.installation()
    (choices,) = [t for t in input_tables(plant, UNITS) if t.kind == "choices"]
    rows = {row.field: row for row in choices.rows}
    assert rows["assumed_fire"].value == "hydrocarbon fire, EN 1991-1-2, 60\u00a0min"
    assert rows["assumed_fire"].origin == "default"
    assert rows["beside_flux"].value == "50\u00a0kW/m²"


def test_inputs_hold_every_quantity_of_the_record():
    rows = input_tables(hand_made.installation(), UNITS)
    vessel = next(t for t in rows if t.id == "R1")
    quantities = {
        f.name for f in dataclasses.fields(Vessel) if isinstance(
            getattr(hand_made.installation().vessels[0], f.name), float)
    }  # fmt: skip
    assert quantities <= {r.field for r in vessel.rows}
    line = next(t for t in rows if t.id == "L1")
    wanted = {f.name for f in dataclasses.fields(Line)}
    assert {r.field for r in line.rows} <= wanted | {"from"}


def test_engineers_questions_are_answered_with_numbers_of_this_installation():
    answers = engineers_questions(hand_made.assessment(), hand_made.installation(), UNITS)
    assert len(answers) == 11
    text = " ".join(a.answer for a in answers)
    assert "In fire F1, as stated, plug FP1 opens after 6.2\u00a0min" in text
    assert "The verdict on that fire is: vents in time, not sure:" in text
    assert "bar(g)" in text
    assert "None" not in text
    assert "{" not in text


def test_no_answer_reassures_where_a_verdict_is_not_safe():
    fires = (hand_made.unsafe(), hand_made.unsafe("Engulfed L1+R1", fire_class="whole"))
    answer = hand_made.answered(*fires)
    found = {a.question: a.answer for a in engineers_questions(
        answer, hand_made.installation(), UNITS
    )}  # fmt: skip
    assert (
        "The verdict on that fire is: ruptures."
        in found["Does the plug feel the fire or the air behind it?"]
    )
    assert (
        "Not safe with all of it in flames: vessel R1 and line L1."
        in found["Why a plug at the compressor and another on the receiver?"]
    )
    started = found["Which start pressure: normal, alarm or set?"].replace("\u00a0", " ")
    assert "the worst run is this one: starting from 11 bar(g), the highest" in started
    assert "It comes to: ruptures. Another run, as stated, comes to: vents in time." in started
    assert "each with a plug" not in " ".join(found.values())


def test_an_alloy_that_fits_by_temperature_is_not_called_enough():
    unsafe = hand_made.unsafe(margins=None)
    answer = which_alloy(hand_made.answered(unsafe), hand_made.installation(), UNITS)
    assert "By temperature alone the first of the table is" in answer
    assert "That does not make it enough. Stated fires and fires with all in flames" in answer
    assert "That does not make it" not in which_alloy(
        hand_made.assessment(), hand_made.installation(), UNITS
    )


def test_questions_are_answered_for_an_empty_installation():
    from airrisk.study.records import Assessment

    empty = Assessment("", "0" * 64, hand_made.assessment().on, {}, {})
    answers = engineers_questions(empty, Installation(), UNITS)
    assert all(a.answer for a in answers)
    assert "Not assessed" in answers[5].answer


def test_walk_questions_have_words():
    keys = {
        stop.question_key
        for name in sample_names()
        for stop in walk_stops(read(sample_path(name).read_text(encoding="utf-8")))
    }
    assert keys >= {"plug", "compressor", "shut-off", "part-without-plug"}
    for key in keys:
        assert question(key).endswith("?")


@pytest.mark.parametrize(("kelvin", "word"), [(800.0, "already ruptures"), (881.4, "ruptures")])
def test_a_vessel_that_outlives_the_wall_limit_of_the_formula_is_not_called_ruptured_before_it(
    kelvin, word
):
    whole = hand_made.assessment()
    record = dataclasses.replace(whole.parts["R1"], rupture_temperature_k=kelvin)
    whole = dataclasses.replace(whole, parts={**whole.parts, "R1": record})
    answers = engineers_questions(whole, hand_made.installation(), UNITS)
    told = next(one.answer for one in answers if "gas-vessel formula" in one.question)
    assert f"R1, shut in, {word} at" in told
