"""Walk sheets that were filled in: read back, held against the file, taken over whole or not."""

from __future__ import annotations

import csv
import datetime as dt
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from airrisk.editing.filled_sheet import FilledRow, deeds, new_rows, read_filled, taken_over
from airrisk.installation.fields import spec
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.upkeep import walk_csv, walk_stops
from airrisk.wording.units import Units
from airrisk.wording.walk import file_says, found_words

TEXT = """\
format = 2
[[vessel]]
id = "R1"
inside_diameter = "1 m"
volume = "1 m3"
wall_thickness = "8 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"
[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "10 mm"
fitted = 2026-01-10
[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "78.5 mm2"
"""
PLANT = read(TEXT)


def sheet(*cells: dict[str, str], mark: str = ",") -> bytes:
    """A sheet of the program with cells written in, by place."""
    rows = list(csv.DictReader(io.StringIO(walk_csv(walk_stops(PLANT)), newline="")))
    for row in rows:
        for one in cells:
            if one["place"] == row["place"]:
                row.update(one)
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]), delimiter=mark)
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode("utf-8-sig")


def seen(place: str, **changes: str) -> dict[str, str]:
    return {
        "place": place, "found": "in order", "date": "2026-11-30", "by": "A. Weaver", **changes,
    }  # fmt: skip


@pytest.mark.parametrize("mark", [",", ";"])
def test_what_was_written_becomes_inspections_and_actions(mark):
    data = sheet(
        seen("FP1"), seen("RV1", found="leaking", remark="hisses", photo="IMG_3.jpg"),
        seen("R1", found="", remark="dent near the manway", date="30.11.2026"), mark=mark,
    )  # fmt: skip
    found = read_filled(data, PLANT)
    assert found.problems == ()
    day = dt.date(2026, 11, 30)
    assert {(row.on, row.condition, row.date, row.note) for row in found.rows} == {
        ("FP1", "clean", day, ""), ("RV1", "leaking", day, "hisses; IMG_3.jpg"),
        ("R1", "", day, "dent near the manway"),
    }  # fmt: skip
    after = read(taken_over(SystemText(TEXT), found.rows, deeds(found.rows)).text)
    assert {(one.on, one.condition) for one in after.inspections} == {
        ("FP1", "clean"), ("RV1", "leaking"), ("R1", None),
    }  # fmt: skip
    (action,) = after.actions
    assert (action.rule, action.part, action.decision) == ("inspection-found-fault", "RV1", "do")
    assert "leaking" in action.text
    assert "hisses" in action.text
    # the same sheet once more says nothing new
    assert new_rows(found.rows, after) == ()


def test_a_sheet_on_which_nothing_is_written_says_so():
    assert read_filled(sheet(), PLANT).problems == ("nothing is written on the sheet",)


@pytest.mark.parametrize(
    ("cell", "message"),
    [
        (
            seen("RV1", found="a bit rusty"),
            "a bit rusty: not known; valid: in order, clean",
        ),
        (seen("FP1", found="seized"), "FP1 is a fusible plug"),
        (seen("RV1", date="11/30/2026"), "date = 11/30/2026: not a day"),
        (seen("RV1", date=""), "date = –: not a day"),
        (seen("RV1", by=""), "nobody has written a name for RV1"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(cell, message):
    found = read_filled(sheet(cell), PLANT)
    (problem,) = found.problems
    assert message in problem
    assert problem.startswith("line ")


def test_a_sheet_of_another_file_or_no_sheet_at_all_is_refused():
    other = sheet(seen("RV1")).replace(b"RV1", b"RV9")
    assert "place = RV9: not in this file" in read_filled(other, PLANT).problems[0]
    assert "no column place, found, date, by" in read_filled(b"a,b\n1,2\n", PLANT).problems[0]
    assert "larger than" in read_filled(b"x" * 3_000_000, PLANT).problems[0]


@given(st.binary(max_size=400))
def test_no_data_at_all_make_it_fail(data):
    """Property: whatever is chosen as a sheet is read or told."""
    found = read_filled(data, PLANT)
    assert found.rows or found.problems


def test_words_of_another_language_are_known():
    words = {"in ordnung": "clean", "undicht": "leaking"}
    data = sheet(seen("RV1", found="Undicht"), seen("R1", found="in Ordnung"))
    found = read_filled(data, PLANT, words)
    assert {row.condition for row in found.rows} == {"leaking", "clean"}
    known = set(found_words().values())
    assert known == set(spec("inspection", "condition").choices)


def test_every_condition_of_the_file_may_be_written_down():
    for word in spec("inspection", "condition").choices:
        row = read_filled(sheet(seen("RV1", found=word.upper())), PLANT).rows[0]
        assert row.condition == word
        text = taken_over(SystemText(TEXT), (row,))
        assert read(text.text).inspections[0].condition == word


def test_the_sheet_prints_what_is_to_be_compared():
    says = {stop.place: file_says(PLANT, stop, Units()) for stop in walk_stops(PLANT)}
    assert set(says) == {"R1", "FP1", "RV1"}
    assert "set pressure: 11" in says["RV1"]
    assert "alloy: tin" in says["FP1"]
    assert "design pressure: 11" in says["R1"]


def test_a_formula_in_a_cell_stays_a_text():
    data = sheet(seen("RV1", remark="'=1+1", by="'-Weaver"))
    (row,) = read_filled(data, PLANT).rows
    assert isinstance(row, FilledRow)
    assert (row.note, row.by) == ("=1+1", "-Weaver")
