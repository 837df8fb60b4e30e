"""A reading that is thinner than the wall of the file rules in every calculation."""

import datetime as dt
from dataclasses import replace

import pytest

from airrisk.installation.geometry import reckoned_head_wall, reckoned_wall
from airrisk.installation.reading import read
from airrisk.study.assessment import assess

DAY = dt.date(2026, 11, 30)

PLANT = """
format = 2
title = "One receiver"

[[vessel]]
id = "R1"
inside_diameter = "1 m"
volume = "2 m3"
wall_thickness = "8 mm"
head_thickness = "10 mm"
measured = {measured}
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"

[[line]]
id = "L1"
from = "R1"
to = "closed"
length = "30 m"
inside_diameter = "50 mm"
wall_thickness = "3 mm"
{readings}
"""
READING = """
[[reading]]
id = "{id}"
on = "{on}"
date = {year}-05-02
thickness = "{thickness}"
"""


def plant(*readings: tuple[str, int, str], measured: bool = False):
    told = "".join(
        READING.format(id=f"M{n}", on=on, year=year, thickness=thickness)
        for n, (on, year, thickness) in enumerate(readings)
    )
    return read(PLANT.format(measured=str(measured).lower(), readings=told))


def test_the_thinnest_reading_is_the_wall_to_reckon_with():
    worn = plant(("r1", 2026, "6.1 mm"), ("R1", 2022, "5.9 mm"), ("L1", 2026, "2 mm"))
    assert reckoned_wall(worn.vessels[0]) == pytest.approx(5.9e-3)
    assert reckoned_head_wall(worn.vessels[0]) == pytest.approx(5.9e-3)
    assert reckoned_wall(worn.lines[0]) == pytest.approx(2e-3)


@pytest.mark.parametrize("measured", [True, False])
def test_a_reading_that_is_not_thinner_changes_nothing(measured):
    thick = plant(("R1", 2026, "10.1 mm"), ("L1", 2026, "3.1 mm"), measured=measured)
    plain = plant(measured=measured)
    assert (thick.vessels, thick.lines) == (plain.vessels, plain.lines)


def test_a_reading_between_shell_and_head_thins_the_head_alone():
    tank = plant(("R1", 2026, "8.5 mm"), measured=True).vessels[0]
    assert reckoned_wall(tank) == pytest.approx(8e-3)
    assert reckoned_head_wall(tank) == pytest.approx(8.5e-3)


def test_a_fire_answers_for_the_thin_wall():
    """The same rupture, to the last digit, as of a file whose measured wall is the reading."""
    worn = plant(("R1", 2026, "5.9 mm"))
    thin = plant(measured=True)
    tank = replace(thin.vessels[0], wall_thickness=5.9e-3, head_thickness=5.9e-3)
    fires = [
        {one.id: one.events for one in assess(whole, DAY, bores=False).fires}
        for whole in (worn, replace(thin, vessels=(tank,)))
    ]
    ruptures = [
        [e.time_s for events in fire.values() for e in events if e.event == "rupture"]
        for fire in fires
    ]
    assert ruptures[0]
    assert ruptures[0] == pytest.approx(ruptures[1], rel=1e-9)


def test_a_thinner_reading_never_brings_the_rupture_later():
    def first(thickness: str) -> float:
        answer = assess(plant(("R1", 2026, thickness)), DAY, bores=False)
        return min(e.time_s for one in answer.fires for e in one.events if e.event == "rupture")

    times = [first(f"{wall} mm") for wall in (7.5, 6.0, 4.5, 3.0)]
    assert times == sorted(times, reverse=True)
    assert times[-1] < times[0]
