"""All offered values of a file as rows, and confirming some of them."""

from __future__ import annotations

import random

import pytest

from airrisk.editing import edits
from airrisk.editing.offered_list import confirmed, offered_list
from airrisk.editing.usual_sizes import usual_sizes, with_size
from airrisk.installation.offered import offered_fields
from airrisk.installation.reading import read
from airrisk.installation.splice import EditError, SystemText
from tests.editing.systems import SMALL


@pytest.fixture
def several() -> SystemText:
    """A file with offered values of five kinds of parts."""
    text = edits.added(SystemText(SMALL), "vessel", "R9", {"volume": "2000 L"})
    text = edits.added(text, "compressor", "C1", {})
    text = edits.added(text, "plug", "FP9", {"on": "R9"})
    text = edits.added(text, "relief_valve", "RV9", {"on": "R9"})
    return with_size(text, "L1", usual_sizes("line")[4])


def test_every_offered_value_is_listed_once_and_nothing_else(several: SystemText) -> None:
    held = {
        (part, key) for part, keys in offered_fields(read(several.text)).items() for key in keys
    }
    listed = [(one.part, one.spec.key) for one in offered_list(several)]
    assert len(listed) == len(set(listed))
    assert set(listed) == held
    assert {part for part, _key in listed} == {"R9", "C1", "FP9", "RV9", "L1"}
    assert offered_list(SystemText(SMALL)) == ()


def test_a_row_tells_the_value_and_what_it_is_the_same_as(several: SystemText) -> None:
    rows = {(one.part, one.spec.key): one for one in offered_list(several)}
    bore = rows["FP9", "bore"]
    assert (bore.text, bore.origin) == ("10 mm", "start")
    line = rows["L1", "inside_diameter"]
    assert line.origin == "size"
    assert line.size == usual_sizes("line")[4]
    other = several.set("R9", "volume", "3000 L").set("R9", "inside_diameter", "911 mm")
    changed = other.set("R9", "offered", ["inside_diameter"])
    assert [one.origin for one in offered_list(changed) if one.part == "R9"] == ["program"]


def test_a_value_that_goes_with_what_was_said_is_told_so() -> None:
    text = edits.added(SystemText(SMALL), "relief_valve", "RV9", {"on": "R2"})
    text = text.set("R2", "design_pressure", "16 bar(g)")
    text = text.set("RV9", "set_pressure", "16 bar(g)").set("RV9", "offered", ["set_pressure"])
    (row,) = offered_list(text)
    assert row.origin == "beside"


def test_only_the_chosen_values_are_confirmed_whatever_they_are(several: SystemText) -> None:
    rng = random.Random(3)
    rows = offered_list(several)
    for _time in range(12):
        chosen = [one for one in rows if rng.random() < 0.6]
        after = confirmed(several, chosen)
        one_by_one = several
        for row in chosen:
            one_by_one = one_by_one.confirm(row.part, row.spec.key)
        assert after.text == one_by_one.text
        assert set(offered_list(after)) == set(rows) - set(chosen)
    assert confirmed(several, ()).text == several.text
    assert offered_list(confirmed(several, rows)) == ()


def test_lists_that_stand_otherwise_are_confirmed_too() -> None:
    for written in (
        'offered = [\n  "wall_thickness",  # as drawn\n  "material",\n]\n',
        'offered = ["wall_thickness", "material"]  # later\n',
    ):
        text = SystemText(SMALL.replace("format = 1", "format = 2").replace(
            "at = [0.0, 0.0]\n", f"at = [0.0, 0.0]\n{written}"
        ))  # fmt: skip
        rows = offered_list(text)
        assert [one.spec.key for one in rows] == ["wall_thickness", "material"]
        assert confirmed(text, rows).text == text.confirm("R1").text
        assert read(confirmed(text, rows).text).vessels[0].offered == ()
        first = confirmed(text, rows[:1])
        assert first.text == text.confirm("R1", "wall_thickness").text
        assert read(first.text).vessels[0].offered == ("material",)


def test_a_file_with_mistakes_lists_what_can_be_read() -> None:
    assert offered_list(SystemText("format = \n[[")) == ()
    odd = SystemText(
        'format = 2\n[[vessel]]\noffered = ["volume"]\n[[vessel]]\nid = "R1"\noffered = "all"\n'
        '[[vessel]]\nid = "R2"\nvolume = 3\noffered = ["volume", "shape", 4, "material"]\n'
    )
    assert [(one.part, one.text) for one in offered_list(odd)] == [("R2", "3")]
    gone = offered_list(odd)
    with pytest.raises(EditError):
        confirmed(SystemText(SMALL.replace('"R2"', '"Q2"')), gone)
