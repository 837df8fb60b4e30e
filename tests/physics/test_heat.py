"""Heat transfer: the compiled scalars and closed forms agree."""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.physics import air, fires, heat_kernel
from airrisk.physics.transport_kernel import dilute_viscosity


@pytest.mark.parametrize("length", [0.3, 2.0])
def test_convection_is_the_handbook_form_of_the_transport_properties(length: float):
    """Property: Nu = 0.13 Ra^(1/3), fitted within 2e-5 over the whole range; free of the length."""
    rho = 5.0
    for film in np.geomspace(82.0, 1590.0, 60):
        wall, gas = film + 1.0, film - 1.0
        mu, prandtl = float(air.viscosity(film)), float(air.prandtl(film))
        rayleigh = 9.80665 * (wall - gas) * length**3 * rho**2 * prandtl / (film * mu**2)
        direct = 0.13 * rayleigh ** (1 / 3) * float(air.conductivity(film)) / length
        found = heat_kernel.convection_coefficient(rho, wall, gas)
        assert found == pytest.approx(direct, rel=2e-5)


def test_net_flux_vanishes_at_flame_temperature():
    """Analytic."""
    assert float(heat_kernel.net_flux(900.0, 900.0, 0.8, 50.0)) == 0.0
    q = float(heat_kernel.net_flux(1000.0, 300.0, 1.0, 0.0))
    assert q == pytest.approx(5.670374419e-8 * (1e12 - 8.1e9))


def test_an_incident_flux_is_balanced_by_the_hot_wall():
    """Analytic: a wall without convection settles where it radiates what it absorbs."""
    settled = (100e3 / 5.670374419e-8 + 288.15**4) ** 0.25
    assert float(heat_kernel.absorbed_flux(100e3, settled, 288.15, 0.8, 0.0)) == pytest.approx(
        0.0, abs=1e-6
    )
    assert float(heat_kernel.absorbed_flux(100e3, 288.15, 288.15, 0.8, 9.0)) == pytest.approx(80e3)


def test_inner_radiation_limits():
    """Analytic: black surfaces give sigma A F dT^4; equal temperatures and no area give none."""
    black = heat_kernel.inner_radiation(800.0, 400.0, 1.0, 3.0, 1.0)
    assert black == pytest.approx(5.670374419e-8 * 0.75 * (800.0**4 - 400.0**4))
    assert heat_kernel.inner_radiation(500.0, 500.0, 1.0, 1.0, 0.8) == 0.0
    assert heat_kernel.inner_radiation(800.0, 400.0, 1.0, 0.0, 0.8) == 0.0
    assert heat_kernel.inner_radiation(400.0, 800.0, 1.0, 3.0, 1.0) < 0.0


def test_inner_radiation_of_grey_surfaces():
    """Arithmetic: two surface resistances and that of the space between, F = Ac/(Ah + Ac)."""
    e, hot, cold = 0.8, 2.0, 6.0
    resistance = (1 - e) / (e * hot) + (hot + cold) / (hot * cold) + (1 - e) / (e * cold)
    expected = 5.670374419e-8 * (800.0**4 - 400.0**4) / resistance
    found = heat_kernel.inner_radiation(800.0, 400.0, hot, cold, e)
    assert found == pytest.approx(expected)


def test_fire_tables_are_joined_by_lines_and_held():
    """Arithmetic."""
    points = ((0.0, 293.15), (600.0, 893.15))
    found = fires.fire_temperature("table", [-5.0, 300.0, 900.0], points=points)
    np.testing.assert_allclose(found, [293.15, 593.15, 893.15])
    assert float(fires.fire_temperature("temperature", 10.0, temperature=1273.15)) == 1273.15


@pytest.mark.parametrize("curve", fires.NOMINAL_CURVES)
def test_nominal_fires_start_at_20_c_and_rise(curve: str):
    """Property."""
    values = fires.fire_temperature(curve, 7200.0 * np.linspace(0.0, 1.0, 200) ** 3)
    assert values[0] == pytest.approx(293.15, abs=1e-9)
    assert np.all(np.diff(values) >= -0.3)  # the slow curve joins its parts within 0.3 K


def test_fires_without_a_temperature_are_refused():
    """Property."""
    for curve, extra in (("flux", {}), ("temperature", {}), ("table", {})):
        with pytest.raises(fires.FireCurveError):
            fires.fire_temperature(curve, 0.0, **extra)
    with pytest.raises(fires.FireCurveError, match="rise"):
        fires.fire_temperature("table", 0.0, points=((5.0, 300.0), (5.0, 400.0)))


def test_the_compiled_viscosity_is_that_of_the_arrays():
    """Property: one equation in two places."""
    for t in (90.0, 300.0, 1500.0):
        assert dilute_viscosity(t) == pytest.approx(float(air.viscosity(t)), rel=1e-13)
