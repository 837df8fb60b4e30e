"""The Euler solver against exact solutions, and its convergence and conservation."""

import numpy as np
import pytest

from airrisk.physics.burst_wave import burst_wave, gauge_radii, vessel_radius
from airrisk.physics.euler_sphere import EulerFailure, flow_of
from airrisk.physics.shock_tube import starting_overpressure
from tests.physics.riemann import exact_shock_tube, pressure_ratio_for_shock

SEDOV_ALPHA = 0.8510719  # spherical blast, k = 1.4, from memory (similarity solution)


def _tube(cells, left, right, time):
    x = (np.arange(cells) + 0.5) / cells
    rho = np.where(x < 0.5, left[0], right[0])
    p = np.where(x < 0.5, left[1], right[1])
    flow = flow_of(rho, np.zeros(cells), p, 1 / cells, spherical=False)
    flow.advance(time)
    return flow, exact_shock_tube((x - 0.5) / time, left, right)


def test_sod_shock_tube_converges_to_the_exact_solution():
    # analytic
    errors = []
    for cells in (100, 200, 400):
        flow, exact = _tube(cells, (1.0, 1.0), (0.125, 0.1), 0.2)
        errors.append(np.abs(flow.density - exact.density).mean())
    assert errors[0] < 0.006
    # first order at best across a shock
    assert errors[1] < 0.6 * errors[0]
    assert errors[2] < 0.6 * errors[1]


def test_exact_shock_tube_gives_the_printed_state_of_sod():
    # published, from memory (text books): p* 0.30313, u* 0.92745, densities 0.42632 and 0.26557
    state = exact_shock_tube([0.5, 1.2], (1.0, 1.0), (0.125, 0.1))
    np.testing.assert_allclose(state.pressure, 0.30313, rtol=1e-4)
    np.testing.assert_allclose(state.velocity, 0.92745, rtol=1e-4)
    np.testing.assert_allclose(state.density, [0.42632, 0.26557], rtol=1e-4)


def test_hot_strong_tube_starts_with_the_shock_tube_overpressure():
    # analytic: p1/p0 50, T1/T0 2
    flow, exact = _tube(400, (25.0, 50.0), (1.0, 1.0), 0.06)
    plateau = exact.pressure[(exact.density < 20) & (exact.velocity > 0)]
    assert plateau[-1] - 1 == pytest.approx(6.0086, rel=1e-4)
    middle = np.argmin(np.abs(exact.velocity * 0.06 + 0.5 - flow.centres))
    assert flow.pressure[middle] == pytest.approx(7.0086, rel=0.01)


def test_strong_blast_follows_the_similarity_solution():
    # analytic: R = (E / (alpha rho))^(1/5) t^(2/5)
    cells, reach = 400, 1.2
    dx = reach / cells
    pressure = np.full(cells, 1e-6)
    pressure[:4] = 0.4 / (4 / 3 * np.pi * (4 * dx) ** 3)
    flow = flow_of(np.ones(cells), np.zeros(cells), pressure, dx)
    for time in (0.5, 1.0):
        flow.advance(time)
        outside = np.flatnonzero(flow.density > 2.5)[-1]
        exact = (1 / SEDOV_ALPHA) ** 0.2 * time**0.4
        assert flow.centres[outside] == pytest.approx(exact, rel=0.005)
    # a strong shock compresses six times; the peak is a few cells wide
    assert 4.5 < flow.density.max() < 6.0
    shock_pressure = 2 / 2.4 * (0.4 * exact) ** 2
    assert flow.pressure.max() == pytest.approx(shock_pressure, rel=0.12)
    # the pressure at the centre is 0.366 of that behind the shock (from memory)
    assert flow.pressure[20] / shock_pressure == pytest.approx(0.366, rel=0.03)


def test_mass_and_energy_are_conserved():
    # property
    cells = 300
    inside = np.arange(cells) < 60
    flow = flow_of(np.where(inside, 10.0, 1.0), np.zeros(cells), np.where(inside, 20.0, 1.0), 0.01)
    mass, energy = flow.totals()
    flow.advance(0.6)
    after = flow.totals()
    assert after[0] == pytest.approx(mass, rel=1e-12)
    assert after[1] == pytest.approx(energy, rel=1e-12)
    flow.coarsen()
    assert flow.totals() == pytest.approx(after, rel=1e-13)


def test_smooth_spherical_flow_converges_with_second_order():
    # convergence: a smooth pressure pulse against a fine grid
    def run(cells):
        dx = 2.0 / cells
        r = (np.arange(cells) + 0.5) * dx
        p = 1 + 0.05 * np.exp(-(((r - 1.0) / 0.15) ** 2))
        flow = flow_of(np.ones(cells), np.zeros(cells), p, dx)
        flow.advance(0.25)
        return flow

    finest = run(1600)
    errors = []
    for cells in (100, 200, 400):
        step = 1600 // cells
        exact = finest.pressure.reshape(-1, step).mean(axis=1)
        errors.append(np.abs(run(cells).pressure - exact).mean())
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert np.all(orders > 1.7), (errors, orders)


def test_gas_at_rest_stays_at_rest():
    # property: the geometry makes no wind
    flow = flow_of(np.ones(80), np.zeros(80), np.ones(80), 0.1)
    flow.advance(3.0)
    assert np.abs(flow.velocity).max() < 1e-12


def test_broken_flow_is_reported():
    flow = flow_of(np.ones(20), np.zeros(20), np.full(20, np.nan), 0.1)
    with pytest.raises(EulerFailure, match="broke down"):
        flow.advance(1.0)


@pytest.mark.parametrize(
    ("ratio", "row"),
    [
        # arithmetic of the shock-tube relation, p1/p0 = 2, 5, 10, 20, 50, 100, 200, 500
        (1, [0.4018, 1.1279, 1.8482, 2.7287, 4.1426, 5.3922, 6.7802, 8.7909]),
        (2, [0.4878, 1.4410, 2.4565, 3.7706, 6.0086, 8.0879, 10.485, 14.087]),
        (3, [0.5388, 1.6399, 2.8629, 4.5002, 7.3906, 10.160, 13.427, 18.451]),
    ],
)
def test_starting_overpressure_vectors(ratio, row):
    got = [starting_overpressure(p, ratio) for p in (2, 5, 10, 20, 50, 100, 200, 500)]
    np.testing.assert_allclose(got, row, rtol=1e-4)
    back = pressure_ratio_for_shock(got, ratio)
    np.testing.assert_allclose(back, [2, 5, 10, 20, 50, 100, 200, 500], rtol=1e-6)


def test_starting_overpressure_limits():
    assert starting_overpressure(1.0) == 0.0
    # analytic: a weak burst splits its overpressure in two
    assert starting_overpressure(1.0002) == pytest.approx(1e-4, rel=1e-3)
    with pytest.raises(ValueError, match="pressure ratio"):
        starting_overpressure(0.5)


def test_burst_wave_starts_at_the_vessel_and_conserves_energy():
    wave = burst_wave(10.0, 1.0, cell=0.02, farthest=1.5, gauges=12)
    np.testing.assert_allclose(wave.radius, gauge_radii(10.0, 1.5, 12))
    assert wave.radius[0] == pytest.approx(vessel_radius(10.0))
    assert wave.energy_error < 1e-6
    assert np.all(np.diff(wave.overpressure[1:]) < 0)
    assert np.all(np.diff(wave.arrival) > 0)
    # close outside the vessel the wave is that of the shock tube
    near = burst_wave(10.0, 1.0, cell=0.02, radii=np.array([1.03 * vessel_radius(10.0)]))
    ratio = near.overpressure[0] / starting_overpressure(10.0)
    assert 0.93 < ratio < 1.05
    with pytest.raises(ValueError, match="above 1"):
        burst_wave(0.9)
