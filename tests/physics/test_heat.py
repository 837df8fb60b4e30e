"""Heat transfer: the compiled scalars, the arrays and closed forms agree."""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.physics import air, fires, heat, heat_kernel
from airrisk.physics.transport_kernel import dilute_viscosity


def test_film_factor_repeats_the_transport_properties():
    """Property: the fitted factor equals the formula within 2e-5 over the whole range."""
    for film in np.geomspace(82.0, 1590.0, 60):
        wall, gas = film + 1.0, film - 1.0
        direct = float(heat.natural_convection(5.0, wall, gas))
        assert heat_kernel.convection_coefficient(5.0, wall, gas) == pytest.approx(direct, rel=2e-5)


def test_convection_does_not_depend_on_the_length():
    """Analytic: Ra^(1/3)/L is free of L."""
    one, two = (float(heat.natural_convection(12.0, 600.0, 300.0, length)) for length in (0.3, 2.0))
    assert one == pytest.approx(two, rel=1e-12)
    ra = float(heat.rayleigh_number(12.0, 600.0, 300.0, 1.0))
    assert one == pytest.approx(0.13 * ra ** (1 / 3) * float(air.conductivity(450.0)))


def test_net_flux_vanishes_at_flame_temperature():
    """Analytic."""
    assert float(heat.net_flux(900.0, 900.0, 0.8, 50.0)) == 0.0
    q = float(heat.net_flux(1000.0, 300.0, 1.0, 0.0))
    assert q == pytest.approx(5.670374419e-8 * (1e12 - 8.1e9))


def test_an_incident_flux_is_balanced_by_the_hot_wall():
    """Analytic: a wall without convection settles where it radiates what it absorbs."""
    settled = (100e3 / 5.670374419e-8 + 288.15**4) ** 0.25
    assert float(heat.absorbed_flux(100e3, settled, 288.15, 0.8, 0.0)) == pytest.approx(
        0.0, abs=1e-6
    )
    assert float(heat.absorbed_flux(100e3, 288.15, 288.15, 0.8, 9.0)) == pytest.approx(80e3)


def test_inner_radiation_limits():
    """Analytic: black surfaces give sigma A F dT^4; equal temperatures and no area give none."""
    black = heat.inner_radiation(800.0, 400.0, 1.0, 3.0, 1.0)
    assert black == pytest.approx(5.670374419e-8 * 0.75 * (800.0**4 - 400.0**4))
    assert heat.inner_radiation(500.0, 500.0, 1.0, 1.0) == 0.0
    assert heat.inner_radiation(800.0, 400.0, 1.0, 0.0) == 0.0
    assert heat.inner_radiation(400.0, 800.0, 1.0, 3.0, 1.0) < 0.0


def test_fire_tables_are_joined_by_lines_and_held():
    """Arithmetic."""
    points = ((0.0, 293.15), (600.0, 893.15))
    found = fires.fire_temperature("table", [-5.0, 300.0, 900.0], points=points)
    np.testing.assert_allclose(found, [293.15, 593.15, 893.15])
    assert float(fires.fire_temperature("temperature", 10.0, temperature=1273.15)) == 1273.15


@pytest.mark.parametrize("curve", ["standard", "external", "hydrocarbon", "slow"])
def test_nominal_fires_start_at_20_c_and_rise(curve: str):
    """Property."""
    times, values = fires.curve_nodes(curve, 7200.0)
    assert values[0] == pytest.approx(293.15, abs=1e-9)
    assert np.all(np.diff(values) >= -0.3)  # the slow curve joins its parts within 0.3 K
    assert times[-1] == 7200.0


def test_fires_without_a_temperature_are_refused():
    """Property."""
    for curve, extra in (("flux", {}), ("temperature", {}), ("table", {})):
        with pytest.raises(fires.FireCurveError):
            fires.fire_temperature(curve, 0.0, **extra)
    with pytest.raises(fires.FireCurveError, match="rise"):
        fires.fire_temperature("table", 0.0, points=((5.0, 300.0), (5.0, 400.0)))
    assert fires.default_convection("hydrocarbon") == 50.0
    assert fires.default_convection("slow") == 25.0


def test_biot_number_of_a_thin_wall_is_small():
    """Arithmetic: 150 W/m2/K on 8 mm of steel."""
    assert heat.biot_number(150.0, 0.008, 45.0) == pytest.approx(0.02667, rel=1e-3)


def test_the_compiled_viscosity_is_that_of_the_arrays():
    """Property: one equation in two places."""
    for t in (90.0, 300.0, 1500.0):
        assert dilute_viscosity(t) == pytest.approx(float(air.viscosity(t)), rel=1e-13)
