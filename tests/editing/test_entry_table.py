"""Many parts entered as a table: all rows or none, and every mistake beside its cell."""

from __future__ import annotations

import pytest

from airrisk.editing import entry_table
from airrisk.editing.entry_table import cells_of, entered, heads_in
from airrisk.installation.model import Plug, Vessel
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from airrisk.quantities import STANDARD_ATMOSPHERE
from tests.editing.systems import SMALL

GOOD = {
    "inside_diameter": "1200", "wall_thickness": "8,5", "material": "P265GH", "volume": "3 m3",
    "design_pressure": "11", "pressure": "10 bar",
}  # fmt: skip


def test_all_rows_become_parts_in_one_text() -> None:
    found = entered(SystemText(SMALL), "vessel", [{"id": "R7", **GOOD}, {}, {**GOOD}], "metric")
    assert found.mistakes == ()
    assert found.text is not None
    installation, problems = check(found.text.text)
    assert problems == []
    assert installation is not None
    assert found.names == ("R7", "R3")
    vessel = installation.find("R7")
    assert isinstance(vessel, Vessel)
    assert vessel.wall_thickness == pytest.approx(0.0085)  # in the unit of the column
    assert vessel.design_pressure == pytest.approx(11e5 + STANDARD_ATMOSPHERE)
    assert vessel.pressure == pytest.approx(10e5 + STANDARD_ATMOSPHERE)
    assert vessel.offered == ()


def test_a_mistake_names_row_and_cell_and_keeps_every_row_out() -> None:
    rows = [GOOD, {**GOOD, "material": "butter"}, {**GOOD, "wall_thickness": ""}]
    found = entered(SystemText(SMALL), "vessel", rows, "metric")
    assert found.text is None
    assert {(one.row, one.key) for one in found.mistakes} == {
        (1, "material"),
        (2, "wall_thickness"),
    }
    assert (
        "butter" in entry_table.told_cell("vessel", found.mistakes[0]) or found.mistakes[0].message
    )


def test_an_id_that_is_taken_or_given_twice_is_told_at_its_row() -> None:
    rows = [{"id": "r1", **GOOD}, {"id": "R8", **GOOD}, {"id": "R8", **GOOD}]
    found = entered(SystemText(SMALL), "vessel", rows, "metric")
    assert [(one.row, one.key) for one in found.mistakes] == [(0, "id"), (2, "id")]


def test_an_id_that_no_part_can_have_is_told_at_its_row() -> None:
    found = entered(SystemText(SMALL), "vessel", [{"id": 50 * "R", **GOOD}], "metric")
    assert [(one.row, one.key) for one in found.mistakes] == [(0, "id")]


def test_rows_go_into_a_file_whose_parts_stand_in_one_list() -> None:
    """A file may write its parts as an inline array."""
    text = SystemText('format = 2\nroom = [{ id = "Hall", volume = "60 m3" }]\n')
    rows = [{"id": "A1", "volume": "100"}, {"id": "A2", "volume": "5300 ft3"}]
    found = entered(text, "room", rows, "metric")
    assert found.text is not None
    assert list(found.text.ids()) == ["Hall", "A1", "A2"]


def test_rows_without_an_id_get_one_that_no_row_has() -> None:
    rows = [{**GOOD}, {"id": "R3", **GOOD}]
    found = entered(SystemText(SMALL), "vessel", rows, "metric")
    assert found.names == ("R4", "R3")


def test_words_of_a_choice_and_days_are_read_as_people_write_them() -> None:
    row = {"on": "R2", "alloy": "Tin", "bore": "12", "condition": "CLEAN", "fitted": "1.10.2026"}
    found = entered(SystemText(SMALL), "plug", [row], "metric")
    assert found.text is not None
    installation, _problems = check(found.text.text)
    assert installation is not None
    plug = installation.find(found.names[0])
    assert isinstance(plug, Plug)
    assert (plug.alloy, plug.condition, str(plug.fitted)) == ("tin", "clean", "2026-10-01")


def test_a_row_that_makes_another_part_wrong_is_told_too() -> None:
    found = entered(
        SystemText(SMALL), "plug", [{"on": "R9", "alloy": "tin", "bore": "12"}], "metric"
    )
    assert [(one.row, one.key) for one in found.mistakes] == [(0, "on")]


def test_nothing_typed_adds_nothing() -> None:
    found = entered(SystemText(SMALL), "vessel", [{}, {"id": "  "}], "metric")
    assert (found.text, found.mistakes) == (None, ())


def test_the_clipboard_of_a_spreadsheet_is_cut_into_cells() -> None:
    clipboard = 'Id\tBore [mm]\tRemark\r\nFP7\t12,5\t"two\tcells"\r\n\r\n'
    assert cells_of(clipboard) == [["Id", "Bore [mm]", "Remark"], ["FP7", "12,5", "two\tcells"]]
    assert heads_in("plug", ["Id", "Bore [mm]", "Fitted on", "Colour"]) == ["id", "bore", "on", ""]
    assert heads_in("plug", ["FP7", "R1", "tin", "12"]) is None


def test_a_unit_in_a_pasted_head_goes_with_its_numbers() -> None:
    """Inches under a head that says so must not be taken as millimetres."""
    units = entry_table.units_of_heads("plug", ["Id", "Bore (in)", "Fitted on"])
    assert units == {"bore": "in"}
    assert entry_table.with_unit("0,5", units["bore"]) == "0,5 in"
    assert entry_table.with_unit("12 mm", units["bore"]) == "12 mm"
