"""A value typed in a unit of the other set is told in the chosen one, apart from other words."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from airrisk.quantities import kinds, units_of
from airrisk.window.facts.form import is_us_unit
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL
from tests.window.conftest import in_every_language
from tests.window.test_journeys import field, retype

US_BY_EYE = {
    "in", "inch", "inches", "ft", "foot", "feet", "in2", "sq in", "ft2", "sq ft", "ft3", "cu ft",
    "in3", "cu in", "gal(US)", "gal(UK)", "lb", "oz", "cfm", "ft3/min", "ft3/s", "ft3/h", "lb/s",
    "lb/min", "lb/h", "psi", "inHg", "degF", "degR", "lb/ft3", "ft/s", "mph", "lbf",
}  # fmt: skip
PLAIN_KINDS = (
    "temperature", "pressure_difference", "length", "area", "volume", "mass", "time", "flow",
    "mass_flow", "density", "speed", "force",
)  # fmt: skip


@pytest.mark.parametrize("kind", PLAIN_KINDS)
def test_units_of_the_us_set_are_told_from_the_others(kind: str) -> None:
    assert kind in kinds()
    for unit in units_of(kind):
        assert is_us_unit(f"5 {unit}") is (unit in US_BY_EYE), unit


@pytest.mark.parametrize(("typed", "us"), [("120 psi(g)", True), ("120 psig", True),
                                           ("8 bar(g)", False), ("0,26 in", True)])  # fmt: skip
def test_pressures_and_decimal_commas(typed: str, us: bool) -> None:
    assert is_us_unit(typed) is us


def test_a_flow_in_cubic_metres_a_minute_is_not_told_again(quick: None, frame: Frame) -> None:
    frame.files.start_with(SMALL)
    assert frame.edits.type_part("compressor 5 m3/min 10 bar(g)")
    row = frame.work.facts.form.rows["compressor", "delivery"]
    assert not row.other.isVisible()
    frame.session.set_unit_set("US customary")
    assert row.other.isVisible()


@in_every_language
def test_the_other_unit_and_the_origin_stand_apart(qtbot: QtBot, quick: None, frame: Frame) -> None:
    frame.files.start_with(SMALL)
    frame.session.choose("R1")
    retype(qtbot, field(frame, "wall_thickness"), "0.26 in")
    row = frame.work.facts.form.rows["vessel", "wall_thickness"]
    assert row.other.isVisible()
    row.layout().activate()
    assert row.origin.x() - (row.other.x() + row.other.width()) >= 6
    assert not row.label.geometry().intersects(row.other.geometry())
