"""Parts made of a typed line: what is understood, what is offered, what is refused."""

from __future__ import annotations

import datetime as dt

import pytest

from airrisk.editing.fields import words_for
from airrisk.editing.typed_part import Here, Understood, understood
from airrisk.editing.typed_words import TABLE, folded
from airrisk.installation.fields import FIELDS, all_fields, keys_of, spec
from airrisk.installation.model import Line, People, Plug, Vessel
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from airrisk.quantities import STANDARD_ATMOSPHERE
from airrisk.tables import read_toml
from tests.editing.systems import SMALL

R1 = Here("R1", "R1", dt.date(2026, 11, 30))


def of(line: str, here: Here = R1, text: str = SMALL) -> Understood:
    return understood(line, SystemText(text), check(text)[0], here)


def made(line: str, here: Here = R1) -> object:
    """The record that a line makes."""
    found = of(line, here)
    assert found.mistakes == []
    assert found.text is not None
    installation, problems = check(found.text.text)
    assert problems == []
    assert installation is not None
    return installation.find(found.name)


@pytest.mark.parametrize(
    "line",
    [
        "receiver 3 m3 11 bar",
        "Behälter 3 m³, 11 bar",
        "behaelter 3 m3 11 bar",
        "RECEIVER 3m3 11bar",
    ],
)
def test_a_receiver_of_volume_and_pressure(line: str) -> None:
    vessel = made(line)
    assert isinstance(vessel, Vessel)
    assert vessel.volume == pytest.approx(3.0)
    assert vessel.design_pressure == pytest.approx(11e5 + STANDARD_ATMOSPHERE)
    assert set(vessel.offered) == {"inside_diameter", "wall_thickness", "material", "pressure"}


def test_a_pressure_without_gauge_or_absolute_is_read_as_gauge_and_that_is_told() -> None:
    assert of("receiver 11 bar").gauge == ["design_pressure"]
    assert of("receiver 11 bar(g)").gauge == []
    vessel = made("receiver 11 bar(a)")
    assert isinstance(vessel, Vessel)
    assert vessel.design_pressure == pytest.approx(11e5)


def test_what_nobody_typed_is_offered_and_nothing_else_is() -> None:
    found = of("receiver 2000 L design 16 bar working 13 bar wall 8 mm")
    assert found.text is not None
    assert found.text.block(found.name)["offered"] == ["inside_diameter", "material"]
    assert found.fields["wall_thickness"] == "8 mm"


def test_a_vessel_is_never_offered_a_design_pressure_below_its_working_one() -> None:
    vessel = made("receiver 500 L working 30 bar")
    assert isinstance(vessel, Vessel)
    assert vessel.design_pressure > vessel.pressure
    assert "design_pressure" in vessel.offered


def test_a_line_by_outer_diameter_and_wall_or_by_nominal_size() -> None:
    line = made("line R1 R2 12 m 60,3x2,9")
    assert isinstance(line, Line)
    assert (line.from_, line.to) == ("R1", "R2")
    assert line.inside_diameter == pytest.approx(0.0545)
    assert line.offered == ()
    nominal = made("Leitung von R1 nach R2 12 m DN 50")
    assert isinstance(nominal, Line)
    assert nominal.offered == ("inside_diameter", "wall_thickness")


def test_what_is_typed_belongs_to_what_is_chosen_unless_it_says_where() -> None:
    assert of("plug tin 10 mm").fields["on"] == "R1"
    plug = made("Schmelzlotpfropfen auf R2 Zinn 10 mm sauber eingebaut 1.10.2026")
    assert isinstance(plug, Plug)
    assert (plug.on, plug.fitted, plug.offered) == ("R2", dt.date(2026, 10, 1), ())
    assert of("line R2 5 m").fields["from"] == "R1"
    assert of("valve on L1 near R2").fields["end"] == "to"
    assert of("check valve L1").fields["kind"] == "non-return"


@pytest.mark.parametrize("line", ["people 25 m from R2", "Personen 25 m von R2"])
def test_people_may_be_typed_by_their_distance_from_a_vessel(line: str) -> None:
    place = made(line)
    assert isinstance(place, People)
    assert (place.at, place.distance, place.from_) == (None, 25.0, "R2")
    chosen = made("people 25 m")
    assert isinstance(chosen, People)
    assert chosen.from_ == "R1"
    placed = made("people at 3 4")
    assert isinstance(placed, People)
    assert placed.at == (3.0, 4.0)


@pytest.mark.parametrize(
    ("line", "named"),
    [
        ("gizmo 3 m3", "gizmo"), ("receiver 3", "3:"), ("receiver blue 3 m3", "blue"),
        ("receiver 3 kg", "3 kg"), ("receiver 3 m3 11 bar 8 bar", "8 bar"),
        ("receiver 1,200 L", "ambiguous"), ("receiver R1 3 m3", "R1"),
        ("receiver named R1 3 m3", "R1"), ("receiver wall", "Wall thickness"),
        ("plug R9 tin 10 mm", "R9"), ("plug on R9", "R9"), ("plug 700 mm", "Bore"),
        ("valve L1 near FP1", "FP1"), ("line 12 m", "both ends"), ("line R1 R2 DN 51", "DN 51"),
        ("relief valve 3 m3", "3 m3"), ("people at 12", "two numbers"), ("", ""),
        ("receiver " + 400 * "x", "400"), ("fire standard standard hydrocarbon", "hydrocarbon"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_and_nothing_is_made(line: str, named: str) -> None:
    found = of(line)
    assert found.text is None
    assert found.mistakes
    assert named in " ".join(map(str, found.mistakes))


def test_an_alloy_may_be_typed_by_the_temperature_at_which_it_melts() -> None:
    for line in ("plug on R2 232 °C 10 mm", "plug on R2 450 degF 10 mm"):
        found = of(line)
        assert found.offered["alloy"] == "tin"  # ITS-90: 231.928 °C
        assert found.text is not None
        assert "alloy" in found.text.block(found.name)["offered"]  # nobody has named it
    assert of("plug on R2 232 °C tin").fields["alloy"] == "tin"  # what is named counts
    assert of("plug on R2 138 °C tin").mistakes  # tin does not melt there
    assert of("plug on R2 200 °C").text is None  # nothing melts sharply there


def test_devices_need_a_place_and_a_fire_needs_something_to_reach() -> None:
    nothing = Here()
    for line in ("plug tin 10 mm", "relief valve", "valve", "reading 5 mm"):
        assert of(line, nothing).mistakes
    assert of("fire", nothing, "format = 2\n").mistakes
    assert of("fire", nothing).fields["reaches"] == ["R1", "R2", "L1"]


def test_a_relief_valve_is_offered_the_design_pressure_of_what_it_stands_on() -> None:
    text = SystemText(SMALL).set("R2", "design_pressure", "16 bar(g)").text
    found = of("relief valve on R2", Here(), text)
    assert found.offered["set_pressure"] == "16 bar(g)"


def test_a_file_that_cannot_be_read_is_told() -> None:
    found = of("receiver 3 m3 11 bar", Here(), "format = \n[[")
    assert found.text is None
    assert found.mistakes


def test_every_word_of_the_table_names_what_the_file_has() -> None:
    table = read_toml(TABLE)
    for row in table["kind"]:
        for key, word in row.get("set", {}).items():
            assert word in spec(row["of"], key).choices
    keys = {one.key for _kind, one in all_fields()}
    assert set(table["field"]) <= keys
    for key, words in table["value"].items():
        allowed = {
            word
            for _kind, one in all_fields()
            if one.key == key
            for word in words_for(one, None, "")
        }
        assert set(words.values()) <= allowed


def test_no_word_means_two_kinds_of_parts_or_two_fields_of_one_kind() -> None:
    rows = read_toml(TABLE)["kind"]
    words = [word for row in rows for word in row["words"]]
    assert len(words) == len(set(words))
    assert all(word == folded(word) for word in words)
    fields = read_toml(TABLE)["field"]
    for kind in FIELDS:
        here = [word for key, some in fields.items() if key in keys_of(kind) for word in some]
        assert len(here) == len(set(here)), kind


@pytest.mark.parametrize(
    ("line", "taken"),
    [
        ("receiver R1 3 m3 11 bar", "R1: vessel R1 has this id already"),
        ("receiver r1 3 m3", "R1: vessel R1 has this id already"),
        ("receiver L1 3 m3", "L1: line L1 has this id already"),
        ("plug FP1 on R1 tin 10 mm", "FP1: plug FP1 has this id already"),
        ("plug R2 named FP1", "FP1: plug FP1 has this id already"),
        ("plug R2 named L1", "L1: line L1 has this id already"),
        ("relief valve FP1 on R1", "FP1: plug FP1 has this id already"),
        ("valve V1 on L1", "V1: valve V1 has this id already"),
        ("fire F1 hydrocarbon", "F1: fire F1 has this id already"),
    ],
)
def test_an_id_that_is_taken_is_told_with_what_has_it(line: str, taken: str) -> None:
    found = of(line)
    assert found.text is None
    assert any(str(one).startswith(taken) for one in found.mistakes), found.mistakes


def test_a_word_that_may_be_meant_as_a_name_is_told_how_to_be_one() -> None:
    assert of("receiver X 3 m3 11 bar").mistakes == [
        "X: not understood for the kind vessel; if it is to be the name, type: named X"
    ]
    vessel = made("receiver named X 3 m3 11 bar")
    assert isinstance(vessel, Vessel)
    assert vessel.id == "X"
    for line in ("receiver named Y X 3 m3", "receiver 3", "receiver 3 kg"):
        assert of(line).mistakes
        assert "named" not in str(of(line).mistakes)


@pytest.mark.parametrize("line", ["isolating valve on L1", "shut-off valve on L1", "Kugelhahn L1"])
def test_the_kind_of_a_valve_that_is_typed_is_not_filled_in(line: str) -> None:
    found = of(line)
    assert found.fields["kind"] == "isolating"
    assert found.offered == {"state": "open"}
    assert of("valve on L1").offered == {"kind": "isolating", "state": "open"}


def test_a_reading_needs_what_was_read() -> None:
    found = of("reading on R1")
    assert found.text is None
    assert "Thickness" in str(found.mistakes)
    assert of("reading on R1 5 mm").text is not None


@pytest.mark.parametrize("line", ["valve on L1", "fire", "room", "people", "receiver", "plug R1"])
def test_only_what_the_file_holds_as_offered_is_called_so(line: str) -> None:
    found = of(line)
    assert found.offered
    assert found.text is not None
    held = found.text.block(found.name).get("offered", [])
    assert found.is_offered is (held == list(found.offered))
    assert found.is_offered is bool(held)


@pytest.mark.parametrize("line", ["aftercooler A1 60 L 11 bar", "receiver R9 3 m3 11 bar"])
def test_an_id_that_nothing_has_names_a_part_that_stands_alone(line: str) -> None:
    vessel = made(line)
    assert isinstance(vessel, Vessel)
    assert vessel.id == line.split()[1]


def test_an_id_that_nothing_has_names_no_device_that_must_stand_on_a_part() -> None:
    assert of("plug R9 tin 12 mm").mistakes != []
