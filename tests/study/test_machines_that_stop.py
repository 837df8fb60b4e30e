"""A verdict on a fire does not lean on a compressor that goes on blowing air through it."""

from __future__ import annotations

import pytest

from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.envelope import corners
from airrisk.study.exposures import exposures
from airrisk.study.fire_runs import FireStudy
from airrisk.study.slices import Slicer
from airrisk.wording.margins import corner_text
from airrisk.wording.units import Units
from tests.study.cure_plants import ON
from tests.study.test_section_cures import STATION

RUNNING = STATION.format(choices="")
STOPPED = RUNNING.replace('"10 bar(g)"', '"10 bar(g)"\nin_fire = "stops"')
WALLS = ("3 mm", "4 mm", "6 mm")


def answered(text: str, wall: str):
    """By the name of the fire: safe or not, and the record."""
    answer = assess(read(text.replace('"3 mm"', f'"{wall}"')), ON, bores=False)
    return {one.id: one for one in answer.fires}


def test_a_spot_that_only_the_blown_air_keeps_cool_is_not_safe():
    fire = answered(RUNNING, "3 mm")["Spot on R2"]
    assert fire.safe is False
    assert fire.envelope.corner.machines == "stopped"
    assert "with the compressors stopped by the fire" in corner_text(fire, Units())


@pytest.mark.parametrize("wall", WALLS)
def test_what_is_safe_with_a_running_machine_is_safe_with_a_stopped_one(wall):
    running, stopped = answered(RUNNING, wall), answered(STOPPED, wall)
    assert running.keys() == stopped.keys()
    for name, fire in running.items():
        assert stopped[name].safe or not fire.safe


def test_nothing_is_run_twice_where_no_machine_goes_on():
    for text, asked in ((RUNNING, {"as stated", "stopped"}), (STOPPED, {"as stated"})):
        plant = read(text)
        slicer = Slicer(plant, ON)
        found = [corners(FireStudy(slicer.fire(one))) for one in exposures(plant)]
        assert {corner.machines for some in found for corner in some} == asked
