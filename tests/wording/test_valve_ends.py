"""A valve at the end of a line is told by the neighbour there, not by a word of the file."""

from __future__ import annotations

from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.wording.origin import input_tables
from airrisk.wording.units import Units
from airrisk.wording.valve_ends import end_names
from tests.editing.systems import SMALL


def with_line(begin: str, end: str) -> Installation:
    return read(
        (
            SMALL + '\n[[line]]\nid = "L9"\nlength = "3 m"\ninside_diameter = "40 mm"\n'
            f'wall_thickness = "3 mm"\nfrom = "{begin}"\nto = "{end}"\npressure = "7 bar(g)"\n'
            '\n[[valve]]\nid = "V9"\non = "L9"\nend = "to"\n'
        ).encode()
    )


def test_the_neighbours_name_tells_the_end() -> None:
    whole = with_line("R1", "closed")
    assert end_names(whole, "l9") == {"from": "near R1", "to": "at the closed end"}
    assert end_names(with_line("R1", "atmosphere"), "L9")["to"] == "at the open end"


def test_two_neighbours_that_are_called_alike_are_told_apart() -> None:
    assert end_names(with_line("closed", "closed"), "L9") == {
        "from": "where L9 begins", "to": "where L9 ends",
    }  # fmt: skip


def test_a_device_has_no_ends() -> None:
    assert end_names(with_line("R1", "closed"), "FP1") == {}


def test_the_list_of_inputs_says_where_a_valve_stands() -> None:
    tables = input_tables(with_line("R1", "R2"), Units())
    (valve,) = [one for one in tables if one.id == "V9"]
    assert [row.value for row in valve.rows if row.field == "end"] == ["near R2"]
