"""The flow drawing and the table of inputs."""

import dataclasses
import itertools

import pytest

from airrisk.installation.fields import all_fields
from airrisk.installation.model import Installation, Junction, Line, Vessel
from airrisk.installation.reading import read
from airrisk.study.upkeep import walk_stops
from airrisk.tables import sample_names, sample_path
from airrisk.wording.drawing import flow_drawing, lay_out
from airrisk.wording.engineers_questions import engineers_questions, which_alloy
from airrisk.wording.figures import Words
from airrisk.wording.origin import COMPUTED, MOOT, input_tables, origin_text
from airrisk.wording.units import Units
from airrisk.wording.walk import question
from tests.report import hand_made

UNITS = Units("metric", hand_made.AMBIENT)


def test_every_part_valve_and_device_is_drawn_with_its_name():
    figure = flow_drawing(hand_made.installation())
    names = {item.text for item in figure.items if isinstance(item, Words)}
    assert {"C1", "R1", "L1", "V1", "FP1", "RV1"} <= names
    assert "L1 from C1 to R1" in figure.description


def test_the_words_that_decide_what_is_listed_are_those_of_the_fields():
    """A change of the words in the table must not change what the list of inputs shows."""
    told = {one.left_out for _, one in all_fields()}
    assert set(MOOT) <= told
    assert sum(text.startswith(COMPUTED) for text in told) >= 3


def _ring() -> Installation:
    vessel = hand_made.installation().vessels[0]
    line = hand_made.installation().lines[0]
    vessels = tuple(dataclasses.replace(vessel, id=f"R{i}") for i in range(5))
    joins = [("C1", "R0"), ("R0", "R1"), ("R1", "R2"), ("R2", "R3"), ("R3", "R4"), ("R4", "R0"),
             ("R0", "R3"), ("R4", "closed"), ("R2", "atmosphere")]  # fmt: skip
    lines = tuple(
        dataclasses.replace(line, id=f"L{i}", from_=a, to=b) for i, (a, b) in enumerate(joins)
    )
    return dataclasses.replace(
        hand_made.installation(), vessels=vessels, lines=lines, valves=(), plugs=(),
        relief_valves=(),
    )  # fmt: skip


def test_boxes_keep_clear_of_each_other_in_a_ring():
    layout = lay_out(_ring())
    boxes = list(layout.boxes.values())
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            apart_x = abs(a.x - b.x) >= a.half_width + b.half_width
            apart_y = abs(a.y - b.y) >= a.half_height + b.half_height
            assert apart_x or apart_y, (a.id, b.id)


@pytest.mark.parametrize("name", sample_names())
def test_names_and_devices_on_a_drawing_do_not_cover_each_other(name):
    figure = flow_drawing(read(sample_path(name).read_bytes(), name))
    words = [item for item in figure.items if isinstance(item, Words)]
    for i, a in enumerate(words):
        for b in words[i + 1 :]:
            half = 0.3 * 6.5 * (len(a.text) + len(b.text)) / 2
            assert abs(a.x - b.x) > half or abs(a.y - b.y) > 5.0, (a.text, b.text)


@pytest.mark.parametrize("name", sample_names())
def test_a_name_does_not_stand_at_a_stretch_that_two_lines_share(name):
    installation = read(sample_path(name).read_bytes(), name)
    routes = {line: route.points for line, route in lay_out(installation).routes.items()}
    words = {i.text: i for i in flow_drawing(installation).items if isinstance(i, Words)}
    for line in routes:
        near = [
            other
            for other, points in routes.items()
            for (x1, y1), (x2, y2) in itertools.pairwise(points)
            if abs(y1 - y2) < 0.1
            and 0.0 < y1 - words[line].y < 12.0
            and min(x1, x2) < words[line].x < max(x1, x2)
        ]
        assert not near or set(near) == {line}, line


def test_routes_join_their_parts_and_stay_on_the_drawing():
    layout = lay_out(_ring())
    for route in layout.routes.values():
        for x, y in route.points:
            assert 0 <= x <= layout.width
            assert 0 <= y <= layout.height
    start = layout.routes["L1"].points[0]
    box = layout.boxes["R0"]
    assert abs(start[0] - box.x) == pytest.approx(box.half_width)


def test_parts_that_no_compressor_feeds_are_drawn_too():
    alone = dataclasses.replace(
        hand_made.installation(), compressors=(), lines=(), valves=(),
        junctions=(Junction(id="J1"),),
    )  # fmt: skip
    assert set(lay_out(alone).boxes) == {"R1", "J1"}


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
