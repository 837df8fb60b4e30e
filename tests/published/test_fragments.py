"""Fragment speeds and ranges against printed vectors and the vacuum solution."""

import numpy as np
import pytest

from airrisk.physics.flight import fly, landing, longest_range
from airrisk.physics.fragments import moore_speed
from airrisk.quantities import GRAVITY

# arithmetic: u*, R*, best elevation in degrees (drag without lift)
RANGES = [
    (0.1, 0.0963, 45),
    (1, 0.734, 43),
    (3, 1.513, 40),
    (10, 2.654, 35),
    (30, 3.797, 31),
    (100, 5.069, 27),
]


@pytest.mark.parametrize(("energy", "speed"), [("brode", 310.7), ("isentropic", 285.1)])
def test_moore_speed_of_a_nitrogen_bottle(energy, speed):
    # arithmetic on Moore 1967: 0.2 m x 2 m, casing 100 kg, nitrogen 631 bar, 300 K, ideal
    volume = np.pi / 4 * 0.2**2 * 2.0
    p, p0 = 631e5, 101325.0
    gas = p * volume / (8.314462618 / 0.0280134 * 300.0)
    assert gas == pytest.approx(44.51, rel=2e-3)
    energies = {
        "brode": (p - p0) * volume / 0.4,
        "isentropic": p * volume / 0.4 * (1 - (p0 / p) ** (0.4 / 1.4)),
    }
    assert moore_speed(energies[energy], 100.0, gas) == pytest.approx(speed, rel=2e-3)


def test_moore_sphere_is_slower_with_much_gas():
    assert moore_speed(1e6, 10.0, 10.0, "sphere") < moore_speed(1e6, 10.0, 10.0)


@pytest.mark.parametrize(("u", "r", "degrees"), RANGES)
def test_longest_range_with_drag(u, r, degrees):
    elevation = np.radians(np.linspace(15, 50, 351))
    flight = fly(u, elevation)
    best = np.argmax(flight.range_star)
    assert flight.range_star[best] == pytest.approx(r, rel=7e-4)
    assert np.degrees(elevation[best]) == pytest.approx(degrees, abs=0.6)
    from_table, at = longest_range(u)
    assert from_table[0] == pytest.approx(r, rel=5e-3)
    assert np.degrees(at[0]) == pytest.approx(degrees, abs=1.0)


def test_range_without_drag_is_speed_squared_over_g():
    # analytic: R = v^2 sin(2 theta) / g
    v, drag_length = 30.0, 1e7
    u = v**2 / (GRAVITY * drag_length)
    theta = np.radians([15.0, 45.0, 70.0])
    exact = v**2 * np.sin(2 * theta) / GRAVITY
    np.testing.assert_allclose(fly(u, theta).range_star * drag_length, exact, rtol=2e-5)
    np.testing.assert_allclose(
        landing(u, np.radians(45.0)).range_star * drag_length, v**2 / GRAVITY, rtol=5e-3
    )
    np.testing.assert_allclose(fly(u, theta).speed_ratio, 1.0, rtol=1e-4)


def test_flight_converges_with_the_step():
    rng = np.random.default_rng(4)
    u, theta = 10 ** rng.uniform(-1, 3, 60), rng.uniform(0.1, 1.4, 60)
    coarse, fine, finest = (fly(u, theta, 0.1, step).range_star for step in (0.16, 0.04, 0.01))
    first, second = np.abs(coarse - finest).max(), np.abs(fine - finest).max()
    assert second < 0.35 * first
    assert second < 5e-4


def test_table_follows_the_integration():
    rng = np.random.default_rng(1)
    u, theta = 10 ** rng.uniform(-2, 4, 800), rng.uniform(0.05, 1.5, 800)
    lift = rng.uniform(0.0, 0.3, 800)
    exact, table = fly(u, theta, lift), landing(u, theta, lift)
    error = np.abs(table.range_star - np.abs(exact.range_star))
    assert np.all(error < 0.03 * np.abs(exact.range_star) + 0.06)
    speed = np.abs(table.speed_ratio / exact.speed_ratio - 1)
    assert speed.max() < 0.25
    assert np.quantile(speed, 0.98) < 0.02
