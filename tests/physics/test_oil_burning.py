"""Oil that burns in shut-in air."""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.physics import air
from airrisk.physics.metal_kernel import FAMILY_CODES
from airrisk.physics.oil_burning import HeatedAir, metal_heat, oil
from tests.calculator import recomputed


def test_the_oxygen_demand_is_that_of_the_reaction():
    """Arithmetic: CnH2n + 1.5 n O2; with handbook weights 12.011, 1.008, 15.999. Mineral oils take
    3.3 to 3.4 (from memory)."""
    whole = 1.5 * 2 * 15.999 / (12.011 + 2 * 1.008)
    assert oil().oxygen_demand == pytest.approx(whole, rel=0.02)
    # dry air, 20.95 % oxygen of 28.96 g/mol
    assert oil().oxygen_in_air == pytest.approx(0.2095 * 31.998 / 28.96, rel=5e-3)
    assert oil().burnt_by_air == pytest.approx(0.068, abs=0.001)


def test_the_heat_of_combustion_agrees_with_the_oxygen_it_takes():
    """Published: 13.1 MJ for each kilogramme of oxygen, within 5 % for organic liquids (Thornton;
    Huggett 1980, from memory)."""
    assert oil().heat_of_combustion / oil().oxygen_demand == pytest.approx(13.1e6, rel=0.05)


@pytest.mark.parametrize(("density", "end"), [(13.0, 700.0), (48.0, 1500.0)])
def test_heat_at_constant_volume_is_the_integral_of_the_heat_capacity(density, end):
    """Analytic: du = cv dT along one density."""
    hot = HeatedAir(density, 300.0)
    kelvin = np.linspace(300.0, end, 4001)
    whole = float(np.trapezoid(air.cv(np.full_like(kelvin, density), kelvin), kelvin))
    assert hot.heat(end) == pytest.approx(whole, rel=1e-6)
    assert hot.temperature_of_heat(hot.heat(end)) == pytest.approx(end, rel=1e-9)
    assert hot.temperature_of_pressure(hot.pressure(end)) == pytest.approx(end, rel=1e-9)


def test_beyond_the_table_nothing_jumps_and_less_heat_is_taken_than_real_air_takes():
    """Property, and published: cv of air of ideal-gas tables at 2000 K is 0.964 kJ/kg/K, at
    1600 K 0.930 (from memory), so that a straight line from 1600 K lies below."""
    hot = HeatedAir(13.0, 300.0)
    below, above = (hot.heat(1600.0 + step) for step in (-1e-3, 1e-3))
    assert above - below == pytest.approx(2e-3 * 930.0, rel=0.01)
    assert hot.pressure(1600.001) == pytest.approx(hot.pressure(1599.999), rel=1e-5)
    assert (hot.heat(2000.0) - hot.heat(1600.0)) / 400.0 < 0.964e3
    assert hot.temperature_of_heat(hot.heat(2600.0)) == pytest.approx(2600.0)


def test_all_the_oxygen_gives_the_pressure_of_a_closed_vessel_explosion_as_a_bound():
    """Published: oil mist and hydrocarbons in closed vessels from 1 bar reach 8 to 9 times the
    starting pressure (handbooks on explosions, from memory). A bound lies above, and not far."""
    hot = HeatedAir(float(air.density(101325.0, 293.15)), 293.15)
    end = hot.temperature_of_heat(oil().heat_of_combustion * oil().burnt_by_air)
    assert 9.0 < hot.pressure(end) / 101325.0 < 13.0


def test_a_pressure_that_stands_already_has_no_temperature():
    hot = HeatedAir(13.0, 300.0)
    assert hot.temperature_of_pressure(hot.pressure(300.0)) is None


def test_heat_of_metal():
    """Published: EN 1993-1-2 heat capacity of carbon steel, 440 J/kg/K at 20 degC and 565 at 300;
    its mean over that range is between 490 and 510 (arithmetic of the polynomial: 502)."""
    heat = metal_heat(FAMILY_CODES["carbon"], 2.0, 293.15, 573.15)
    c = np.polynomial.Polynomial([425.0, 0.773, -1.69e-3, 2.22e-6]).integ()
    assert heat == pytest.approx(2.0 * (c(300.0) - c(20.0)), rel=1e-6)


def test_the_printed_formulas():
    """Arithmetic."""
    assert recomputed("oil_for_oxygen", m=25.0, w_o=0.231, s_o=3.4) == pytest.approx(
        25 * 0.231 / 3.4
    )
    assert recomputed("oil_for_heat", m=25.0, q_h=8.5e5, H=42.5e6) == pytest.approx(0.5)
    assert recomputed("oil_film", m_o=0.5, rho_o=870.0, A_i=10.0) == pytest.approx(
        5.747e-5, rel=1e-3
    )
