"""Pools and the view of their flames: tables, exact cases, quadrature, order."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.physics import flame_view, pool_fires
from airrisk.quantities import ZERO_CELSIUS

# computed twice, by the forms and by quadrature, outside the program
FACTORS = [
    (1.5, 1.0, 0.312014, 0.170468),
    (1.5, 5.0, 0.333072, 0.228816),
    (2.0, 2.0, 0.236117, 0.126151),
    (5.0, 5.0, 0.086983, 0.037733),
    (10.0, 2.0, 0.013430, 0.001441),
]


@pytest.mark.parametrize(("s", "h", "upright", "level"), FACTORS)
def test_view_factors_from_the_foot_of_a_flame(s, h, upright, level):
    assert float(flame_view.upright_factor(s, h)) == pytest.approx(upright, abs=1e-6)
    assert float(flame_view.level_factor(s, h)) == pytest.approx(level, abs=1e-6)
    assert float(flame_view.upright_factor(s, -h)) == pytest.approx(-upright, abs=1e-6)


def test_an_endless_flame_is_seen_over_half_its_width():
    """Analytic: V goes to 1/(2S)."""
    assert float(flame_view.upright_factor(3.0, 1e5)) == pytest.approx(1.0 / 6.0, rel=1e-4)


@pytest.mark.parametrize(
    ("aside", "up", "expected"),
    [
        (0, 0, 0.2375157), (30, 0, 0.205695), (45, 0, 0.167949), (60, 0, 0.118758),
        (0, 20, 0.240973), (30, 20, 0.211070),
    ],
)  # fmt: skip
def test_a_panel_that_looks_elsewhere(aside, up, expected):
    """Quadrature outside the program: D 2 m, L 4 m, 3 m from the axis, 1 m high."""
    found = flame_view.panel_factor(
        3.0, 1.0, math.radians(aside), math.sin(math.radians(up)), 1.0, 4.0
    )
    assert float(found) == pytest.approx(expected, abs=1e-5)


def quadrature(x, z, aside, up, radius, height, n=200) -> float:
    """The same factor summed over the flame's side."""
    turn = (np.arange(n) + 0.5) / n * 2.0 * np.pi
    rise = (np.arange(n) + 0.5) / n * height
    turn, rise = np.meshgrid(turn, rise)
    outward = np.stack([np.cos(turn), np.sin(turn), 0.0 * turn])
    way = np.stack([radius * np.cos(turn) - x, radius * np.sin(turn), rise - z])
    square = (way**2).sum(axis=0)
    flat = math.sqrt(1.0 - up * up)
    normal = np.array([-flat * math.cos(aside), flat * math.sin(aside), up])
    here, there = np.tensordot(normal, way, 1), -(outward * way).sum(axis=0)
    seen = np.where((here > 0.0) & (there > 0.0), here * there / (np.pi * square**2), 0.0)
    return float(seen.sum()) * radius * (2.0 * np.pi / n) * (height / n)


@settings(max_examples=60, deadline=None)
@given(
    radius=st.floats(0.3, 3.0),
    height=st.floats(0.5, 8.0),
    away=st.floats(1.2, 6.0),
    z=st.floats(0.0, 10.0),
    aside=st.floats(0.0, math.pi),
    up=st.floats(-1.0, 1.0),
)
def test_no_panel_gets_less_than_the_sum_over_the_flame(radius, height, away, z, aside, up):
    """Property: exact where all of the flame is in view, and elsewhere never notably too little."""
    found = float(flame_view.panel_factor(away * radius, z, aside, up, radius, height))
    exact = quadrature(away * radius, z, aside, up, radius, height)
    assert found >= exact - 0.02 * exact - 1e-3
    assert 0.0 <= found <= 1.0


@settings(max_examples=60, deadline=None)
@given(away=st.floats(1.05, 20.0), further=st.floats(1.01, 3.0), z=st.floats(0.0, 6.0))
def test_the_flux_falls_with_the_distance(away, further, z):
    """Property, of panels that face the flame."""
    near = flame_view.panel_factor(away, z, 0.0, 0.0, 1.0, 4.0)
    far = flame_view.panel_factor(away * further, z, 0.0, 0.0, 1.0, 4.0)
    if z <= 4.0:
        assert float(far) < float(near)


def test_inside_the_flame_nothing_is_beside_it():
    assert float(flame_view.panel_factor(0.5, 1.0, 0.0, 0.0, 1.0, 4.0)) == 0.0


def test_axis_temperature_of_annex_c():
    """By hand from the printed form: 5 MW on 2 m; the lowest part as measured."""
    expected = {3: 900.0, 4: 788.18, 6: 383.80, 8: 237.56}
    for height, celsius in expected.items():
        found = pool_fires.flame_temperature_at(5e6, 2.0, float(height)) - ZERO_CELSIUS
        assert found == pytest.approx(celsius, abs=0.02)
    assert pool_fires.flame_temperature_at(5e6, 2.0, 1.0) == pool_fires.HOTTEST_LOW
    assert pool_fires.flame_temperature_at(1e6, 1.0, 0.5) == pool_fires.HOTTEST


@pytest.mark.parametrize(
    ("key", "megawatts", "metres", "seconds"),
    [("petrol", 4.0653, 4.997, 397.7), ("benzene", None, None, None)],
)
def test_a_pool_of_fifty_litres(key, megawatts, metres, seconds):
    """By hand from the printed forms: D 1.5 m; burning time by the same rate as the heat."""
    fuel = pool_fires.fuels()[key]
    heat = pool_fires.heat_release(fuel, 1.5)
    burns = pool_fires.burning_time(fuel, 1.5, 0.05)
    if megawatts is not None:
        assert heat == pytest.approx(1e6 * megawatts, rel=1e-4)
        assert pool_fires.flame_height(heat, 1.5) == pytest.approx(metres, abs=1e-3)
        assert burns == pytest.approx(seconds, rel=1e-3)
    # what burns in that time is what was there
    assert heat * burns == pytest.approx(0.05 * fuel.density * fuel.heat_of_combustion, rel=1e-12)


def test_every_fuel_has_a_whole_row_and_pools_that_burned_faster_count():
    for fuel in pool_fires.fuels().values():
        assert 0.001 < fuel.burning_rate < 0.15
        assert 1e7 < fuel.heat_of_combustion < 5e7
        assert 400.0 < fuel.density < 1100.0
        assert 0.1 < fuel.radiated < 0.5
    assert pool_fires.fuels()["ethanol"].burning_rate == 0.030
    assert pool_fires.fuels()["diesel"].burning_rate == 0.054
    assert pool_fires.fuels()["heptane"].burning_rate == 0.101


def test_a_flame_radiates_from_its_side_what_it_has_and_no_more():
    for key, fuel in pool_fires.fuels().items():
        for diameter in (0.3, 1.0, 3.0, 10.0):
            heat = pool_fires.heat_release(fuel, diameter)
            height = pool_fires.flame_height(heat, diameter)
            power = pool_fires.emissive_power(heat, diameter, height, fuel.radiated)
            side = math.pi * diameter * height
            assert power * side <= fuel.radiated * heat * (1.0 + 1e-12), key
    assert pool_fires.emissive_power(1e3, 5.0, 0.0, 0.35) == 0.0
