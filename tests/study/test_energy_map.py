"""The student's sweeps against closed forms, and what must hold along them."""

import dataclasses
import math

import numpy as np
import pytest

from airrisk.study.energy_map import MEASURES, energy_map
from airrisk.wording.energy_map_charts import energy_chart, energy_map_texts, rupture_chart
from airrisk.wording.units import Units
from tests.report import hand_made


@pytest.fixture(scope="module")
def found():
    installation = hand_made.installation()
    return energy_map(installation, installation.vessels[0])


def sweep(found, variable):
    return next(s for s in found.sweeps if s.variable == variable)


def test_isentropic_energy_is_the_closed_form(found):
    """Analytic: p V / (k - 1) (1 - (p0/p)^((k-1)/k)), k = 1.4."""
    line = sweep(found, "pressure")
    wanted = line.x * 2.0 / 0.4 * (1 - (hand_made.AMBIENT / line.x) ** (0.4 / 1.4))
    assert line.energies_j["isentropic"] == pytest.approx(wanted, rel=1e-9)
    wanted = line.x * 2.0 * np.log(line.x / hand_made.AMBIENT)
    assert line.energies_j["isothermal"] == pytest.approx(wanted, rel=1e-9)


def test_energy_is_proportional_to_volume(found):
    line = sweep(found, "volume")
    for key in MEASURES:
        assert line.energies_j[key] / line.x == pytest.approx(
            line.energies_j[key][0] / line.x[0], rel=1e-9
        )


def test_rupture_temperature_does_not_depend_on_volume_and_falls_with_pressure(found):
    flat = sweep(found, "volume").rupture_real_k
    assert np.ptp(flat) < 1e-3
    falling = sweep(found, "pressure").rupture_real_k
    assert (np.diff(falling[np.isfinite(falling)]) < 1e-3).all()


def test_rupture_here_is_that_of_the_screening(found):
    """Regression between two ways of finding the same crossing."""
    from airrisk.study.screening import screen

    installation = hand_made.installation()
    record = screen(installation, installation.vessels[0])
    line = sweep(found, "volume")
    assert np.interp(2.0, line.x, line.rupture_real_k) == pytest.approx(
        record.rupture_temperature_k, abs=0.05
    )


def test_hotter_start_means_less_air_and_a_later_rupture(found):
    rising = sweep(found, "temperature").rupture_real_k
    assert (np.diff(rising[np.isfinite(rising)]) > 0).all()


def test_real_air_is_near_ideal_at_low_pressure(found):
    """Published: Z of air at 300 K and 10 bar is 0.9974 (handbook)."""
    line = sweep(found, "pressure")
    assert line.compressibility[0] == pytest.approx(1.0, abs=0.002)
    real, ideal = line.energies_j["isentropic_real"], line.energies_j["isentropic"]
    assert real[1] == pytest.approx(ideal[1], rel=0.02)
    z = np.interp(1.0e6, line.x, line.compressibility)
    assert z == pytest.approx(0.9974, abs=0.002)


def test_charts_and_texts_hold_the_numbers_of_the_vessel(found):
    assert len(found.sweeps) == 3
    for sweep in found.sweeps:
        assert len(energy_chart(found, sweep).series) == 6
        assert len(rupture_chart(found, sweep).series) == 2
    texts = energy_map_texts(found, Units("metric", hand_made.AMBIENT))
    p, volume, p0 = 1.1013e6, 2.0, hand_made.AMBIENT
    isothermal = p * volume * math.log(p / p0)
    assert f"{isothermal / 1e6:.2f}" in texts[2]


def test_material_that_outlasts_its_range_has_no_rupture_temperature():
    installation = hand_made.installation()
    thick = dataclasses.replace(
        installation.vessels[0], wall_thickness=0.12, pressure=2.0e5, design_pressure=3.0e5
    )
    line = sweep(energy_map(installation, thick), "volume")
    assert np.isnan(line.rupture_real_k).all() or (line.rupture_real_k > 900).all()


def test_the_chapter_for_students_can_be_drawn(found):
    from airrisk.report.blocks import Drawn
    from airrisk.report.energy_map_section import energy_map_section
    from airrisk.report.plotting import draw

    units = Units("metric", hand_made.AMBIENT)
    section = energy_map_section(found, units)
    pictures = [block.picture for block in section.blocks if isinstance(block, Drawn)]
    assert [draw(p, units, 480.0).title for p in pictures] == [p.title for p in pictures]
    assert len(pictures) == 6
