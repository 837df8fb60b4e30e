"""Stored energy beside things that people know."""

from __future__ import annotations

import math

import pytest

from airrisk.installation.migration import FORMAT
from airrisk.installation.reading import check
from airrisk.study.energy_compared import stored_energy
from airrisk.study.records import CAR_MASS, FALL
from airrisk.wording.energy_charts import energy_sentence, stored_energy_chart
from airrisk.wording.units import Units

FILE = """
format = {format}
title = "One vessel"
[site]
ambient_pressure = "100 kPa(a)"
[[vessel]]
id = "R1"
volume = "1000 L"
pressure = "{pressure}"
design_pressure = "11 bar(g)"
inside_diameter = "800 mm"
wall_thickness = "8 mm"
material = "P265GH"
"""


def stored(pressure: str):
    installation, problems = check(FILE.format(format=FORMAT, pressure=pressure))
    assert installation is not None, problems
    return stored_energy(installation, installation.vessels[0])


def test_isentropic_energy_as_a_falling_mass_and_a_car():
    # the volume is that of the shape, which meets the stated one to five digits
    # arithmetic: p V/(k-1) (1 - (p0/p)^((k-1)/k)) of a perfect gas, m g h, m v^2/2
    found = stored("9 bar(g)")
    energy = 10e5 * 1.0 / 0.4 * (1.0 - (1.0 / 10.0) ** (0.4 / 1.4))
    assert found.energies.isentropic == pytest.approx(energy, rel=2e-5)
    assert found.pressure_times_volume_j == pytest.approx(9e5, rel=2e-5)
    assert found.falling_mass_kg == pytest.approx(energy / (9.80665 * FALL), rel=2e-5)
    assert found.car_speed_m_s == pytest.approx(math.sqrt(2.0 * energy / CAR_MASS), rel=2e-5)
    metric = energy_sentence(found, Units("metric", 1e5)).replace("\u00a0", " ")
    # 12 289 kg and 40.1 m/s by hand, to two digits
    assert "12000 kg falling 10 m" in metric
    assert "at 140 km/h" in metric
    us = energy_sentence(found, Units("US customary", 1e5)).replace("\u00a0", " ")
    assert "33 ft" in us
    assert "mph" in us


def test_bars_stand_beside_what_the_file_has():
    now, before = stored("9 bar(g)"), stored("7 bar(g)")
    chart = stored_energy_chart("R1", now, Units("metric", 1e5), before)
    assert len(chart.bars) == 6
    for bar in chart.bars:
        assert bar.mark is not None
        assert bar.mark < bar.value
    alone = stored_energy_chart("R1", now, Units("metric", 1e5))
    assert all(bar.mark is None for bar in alone.bars)
