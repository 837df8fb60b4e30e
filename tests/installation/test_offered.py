"""Values that the program filled in stay offered until a person confirms or replaces them."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.fields import FIELDS, OFFERING
from airrisk.installation.model import Fire, Junction
from airrisk.installation.offered import offered_fields
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText

TEXT = (Path(__file__).parent / "every_field.toml").read_text(encoding="utf-8")
ENDS = {"plain": TEXT, "both": "\ufeff" + TEXT.replace("\n", "\r\n")}


def test_parts_and_devices_say_what_is_only_offered():
    installation = read(TEXT)
    assert offered_fields(installation) == {
        "C1": ("stages",), "R2": ("wall_thickness", "material"),
        "L5": ("length", "inside_diameter", "wall_thickness"), "FP2": ("bore",),
        "RV1": ("set_pressure",), "BD1": ("area",),
    }  # fmt: skip
    assert offered_fields(installation, ["fp2", "R1"]) == {"FP2": ("bore",)}


def test_only_parts_that_hold_or_make_air_and_devices_hold_offers():
    assert OFFERING == (
        "compressor", "vessel", "line", "plug", "relief_valve", "bursting_disc",
    )  # fmt: skip
    assert not hasattr(Junction(id="J"), "offered")
    assert not hasattr(Fire(id="F", curve="slow", reaches=(), convection=25.0), "offered")


PLACES = [
    (kind, index, key)
    for kind in OFFERING
    for index, table in enumerate(SystemText(TEXT).raw[kind])
    for key in table.get("offered", ())
]


@settings(max_examples=60, deadline=None)
@given(
    ends=st.sampled_from(list(ENDS)), place=st.sampled_from(PLACES),
    how=st.sampled_from(["set", "unset", "confirm", "same"]),
)  # fmt: skip
def test_editing_or_confirming_a_field_takes_its_name_off_and_no_other(ends, place, how):
    # property
    kind, index, key = place
    text = SystemText(ENDS[ends])
    before = list(text.raw[kind][index]["offered"])
    value = text.value((kind, index), key)
    after = {
        "set": lambda: text.set((kind, index), key, "9 mm"),
        "same": lambda: text.set((kind, index), key, value),
        "unset": lambda: text.unset((kind, index), key),
        "confirm": lambda: text.confirm((kind, index), key),
    }[how]()
    left = [one for one in before if one != key]
    assert after.value((kind, index), "offered") == (left or None)
    expected = {**text.raw[kind][index]}
    expected.pop("offered")
    found = {**after.raw[kind][index]}
    found.pop("offered", None)
    if how in {"confirm", "same"}:
        assert found == expected
    assert {one for one in found if one != key} == {one for one in expected if one != key}
    raw, now = dict(text.raw), dict(after.raw)
    raw[kind], now[kind] = list(raw[kind]), list(now[kind])
    del raw[kind][index], now[kind][index]
    assert now == raw
    end = "\n" if ends == "plain" else "\r\n"
    assert after.text.count("\n") == after.text.count(end)
    # no line but those of the list, of the field, and nothing moved
    lines = iter(text.text.split(end))
    kept = [line for line in after.text.split(end) if "offered" not in line and key not in line]
    assert all(line in lines for line in kept)


def test_all_offers_of_a_part_are_confirmed_at_once():
    text = SystemText(TEXT)
    after = text.confirm("R2")
    assert read(after.text).vessels[1].offered == ()
    assert "offered = [\n" not in after.text
    assert text.confirm("R1") == text
    assert text.confirm("F1") == text  # a fire offers nothing
    assert text.confirm("R2", "pressure") == text


def test_a_remark_or_a_new_id_confirms_nothing():
    text = SystemText(TEXT).set("R2", "notes.wall_thickness", "looks thin").rename("R2", "R9")
    assert read(text.text).vessels[1].offered == ("wall_thickness", "material")


def test_a_room_that_goes_takes_its_outlets_and_their_offers_with_it():
    text = SystemText(TEXT).set("RV1", "offered", ["outlet_place", "area"])
    after = text.remove("Hall", with_dependents=True)
    assert "outlet_place" not in after.block("RV1")
    assert read(after.text).relief_valves[0].offered == ("area",)
    assert read(text.rename("Hall", "Shed").text).relief_valves[0].outlet_place == "Shed"


@pytest.mark.parametrize("kind", OFFERING)
def test_any_field_but_the_id_may_be_offered(kind):
    table = SystemText(TEXT).raw[kind][0]
    keys = [key for key in table if key not in {"id", "notes", "offered"}]
    text = SystemText(TEXT).set((kind, 0), "offered", keys)
    assert set(offered_fields(read(text.text))[table["id"]]) == set(keys)
    assert set(keys) <= {one.key for one in FIELDS[kind]}
