"""Flow: table, nozzle and pipe against closed forms, the reference equation and each other."""

from __future__ import annotations

import math

import CoolProp.CoolProp as CP
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.physics import air, air_kernel, flow, flow_kernel
from airrisk.physics.air_kernel import evaluate
from airrisk.physics.build_flow_table import build
from airrisk.tables import load_arrays


def _exact_flux(p0: float, t0: float, p_back: float) -> float:
    """Largest isentropic mass flux on the way to a pressure, by the reference equation."""
    state = CP.AbstractState("HEOS", "Air")
    state.update(CP.PT_INPUTS, p0, t0)
    s, h = state.smass(), state.hmass()

    def flux(p: float) -> float:
        state.update(CP.PSmass_INPUTS, p, s)
        return state.rhomass() * math.sqrt(max(2.0 * (h - state.hmass()), 0.0))

    low, high = 0.3 * p0, p0
    for _ in range(100):  # golden section
        a, b = high - 0.618034 * (high - low), low + 0.618034 * (high - low)
        low, high = (low, b) if flux(a) > flux(b) else (a, high)
    return flux(max(p_back, 0.5 * (low + high)))


def test_flow_table_is_rebuilt():
    """Regression: the whole table again, to 1e-7."""
    stored, again = load_arrays("flow_table.npz"), build()
    for name in ("x_axis", "rho_axis", "critical_flux", "exponent"):
        np.testing.assert_allclose(stored[name], again[name], rtol=1e-7)


@pytest.mark.parametrize(
    ("p0", "t0", "tolerance"),
    [
        (1.2e5, 300.0, 2e-5),
        (11e5, 300.0, 1e-4),
        (11e5, 600.0, 1e-4),
        (40e5, 250.0, 3e-4),
        (200e5, 300.0, 2e-3),
        (300e5, 500.0, 2e-3),
    ],
)
def test_flux_equals_the_reference_equation(p0: float, t0: float, tolerance: float):
    """Regression: choked to 1e-5, below choking to the stated tolerance."""
    assert float(flow.mass_flux(p0, t0, 0.0)) == pytest.approx(_exact_flux(p0, t0, 0.0), rel=1e-5)
    for ratio in (0.6, 0.75, 0.9, 0.98):
        exact = _exact_flux(p0, t0, ratio * p0)
        assert float(flow.mass_flux(p0, t0, ratio * p0)) == pytest.approx(exact, rel=tolerance)


def test_thin_air_chokes_like_an_ideal_gas():
    """Analytic: as p -> 0 the closed form with the k of the temperature."""
    for t0 in (250.0, 400.0, 900.0):
        # effective k between stagnation and throat: the closed form is stationary in k
        k = float(air.cp(1e-6, 0.92 * t0) / air.cv(1e-6, 0.92 * t0))
        real = float(flow.mass_flux(1e3, t0, 0.0))
        assert real == pytest.approx(float(flow.ideal_mass_flux(1e3, t0, 0.0, k)), rel=5e-4)


@settings(max_examples=60, deadline=None)
@given(st.floats(1.1e5, 40e5), st.floats(220.0, 1300.0), st.floats(0.02, 0.9999))
def test_flux_falls_with_back_pressure_and_never_jumps(p0: float, t0: float, ratio: float):
    """Property: monotone and continuous, linear near no difference."""
    table = flow.flow_table().arrays()
    rho0 = float(air.density(p0, t0))

    def flux(back: float) -> float:
        return flow_kernel.nozzle_mass_flux(table, p0, rho0, t0, back)[0]

    here = flux(ratio * p0)
    assert flux(ratio * p0 * 1.001) <= here * (1.0 + 1e-12)
    assert flux(ratio * p0 + 1.0) == pytest.approx(here, abs=2e-3 * flux(0.0))
    assert flux(p0) == 0.0
    assert flux(p0 * 1.1) == 0.0
    assert flux(p0 - 25.0) == pytest.approx(0.5 * flux(p0 - 50.0), rel=1e-9)


def test_critical_ratio_of_air_is_near_the_ideal_one():
    """Analytic: 0.5283 for k = 1.4 as p -> 0."""
    assert flow.critical_pressure_ratio(1e3, 300.0) == pytest.approx(0.5283, abs=3e-4)
    assert flow_kernel.critical_ratio(1.4) == pytest.approx(0.528282, abs=1e-6)


def test_small_differences_follow_the_incompressible_law():
    """Analytic: dp = K rho v^2/2 with K = f L/D + loss + 1.5."""
    p0, t0, length, d, loss = 8e5, 300.0, 20.0, 0.08, 3.0
    for dp in (400.0, 40.0):
        found = flow.pipe_mass_flow(p0, t0, p0 - dp, length=length, diameter=d, loss=loss)
        rho = float(air.density(p0, t0))
        area = math.pi / 4 * d**2
        head = max(dp, 100.0)
        w = 1.0
        for _ in range(50):
            re = w * d / (area * float(air.viscosity(t0)))
            k = flow_kernel.darcy_friction(re, 0.05e-3 / d) * length / d + loss + 1.5
            w = area * math.sqrt(2.0 * rho * head / k)
        assert found.mass_flow == pytest.approx(w * dp / head, rel=2e-3)
        assert not found.choked


@pytest.mark.parametrize(
    ("p0", "t0", "p_back", "length", "d"),
    [
        (11e5, 300.0, 1e5, 12.0, 0.0545),
        (11e5, 500.0, 6e5, 12.0, 0.0545),
        (8e5, 300.0, 7e5, 60.0, 0.1),
        (3e5, 400.0, 1e5, 1.0, 0.02),
        (40e5, 300.0, 1e5, 5.0, 0.02),
        (40e5, 300.0, 30e5, 5.0, 0.02),
    ],
)
def test_pipe_flow_satisfies_the_real_gas_momentum_equation(
    p0: float, t0: float, p_back: float, length: float, d: float
):
    """Analytic: momentum and energy integrated with the reference equation at the found flow.

    The friction that the flow needs from entry to end, integral of -2 (dp + G^2 dv)/(G^2 v),
    must be f L/D + 0.5; an error in it is twice that of the flow.
    """
    found = flow.pipe_mass_flow(p0, t0, p_back, length=length, diameter=d)
    g = found.mass_flow / (math.pi / 4 * d**2)
    state = CP.AbstractState("HEOS", "Air")
    state.update(CP.PT_INPUTS, p0, t0)
    h0, s0 = state.hmass(), state.smass()
    low, high = 0.6 * p0, p0
    for _ in range(60):  # static pressure after the isentropic entry
        p1 = 0.5 * (low + high)
        state.update(CP.PSmass_INPUTS, p1, s0)
        flux = state.rhomass() * math.sqrt(max(2 * (h0 - state.hmass()), 0.0))
        low, high = (low, p1) if flux < g else (p1, high)
    pressures = p1 + (found.end_pressure - p1) * np.linspace(0.0, 1.0, 200)
    v = np.empty_like(pressures)
    t = t0
    for n, p in enumerate(pressures):
        for _ in range(30):
            state.update(CP.PT_INPUTS, p, t)
            volume = 1.0 / state.rhomass()
            rest = state.hmass() + 0.5 * (g * volume) ** 2 - h0
            slope = state.cpmass() + g * g * volume * volume / t
            t -= rest / slope
            if abs(rest) < 1e-7:
                break
        v[n] = volume
    inverse = 0.5 * (1.0 / v[1:] + 1.0 / v[:-1])
    friction = float(-2.0 / g**2 * np.sum(np.diff(pressures) * inverse)) - 2.0 * math.log(
        v[-1] / v[0]
    )
    factor = flow_kernel.darcy_friction(g * d / float(air.viscosity(t0)), 0.05e-3 / d)
    assert friction == pytest.approx(factor * length / d + 0.5, rel=0.01)


def test_a_choked_pipe_ignores_the_outer_pressure():
    """Property: same flow to 1 and to 2 bar, its end above both; less in a longer pipe."""
    one = flow.pipe_mass_flow(11e5, 300.0, 1e5, length=12.0, diameter=0.0545)
    two = flow.pipe_mass_flow(11e5, 300.0, 2e5, length=12.0, diameter=0.0545)
    assert one.choked
    assert two.choked
    assert one.mass_flow == pytest.approx(two.mass_flow, rel=1e-9)
    assert one.end_pressure > 2e5
    longer = flow.pipe_mass_flow(11e5, 300.0, 1e5, length=50.0, diameter=0.0545)
    assert longer.mass_flow < one.mass_flow
    nozzle = math.pi / 4 * 0.0545**2 * float(flow.mass_flux(11e5, 300.0, 1e5))
    assert one.mass_flow < nozzle


@settings(max_examples=80, deadline=None)
@given(
    st.floats(1.02e5, 200e5),
    st.floats(230.0, 1400.0),
    st.floats(0.001, 0.99999),
    st.floats(0.01, 500.0),
    st.floats(0.004, 0.5),
    st.floats(0.0, 200.0),
)
def test_pipe_flow_always_converges(p0, t0, ratio, length, d, loss):
    """Property: a positive flow, less than the nozzle's, for any pipe."""
    found = flow.pipe_mass_flow(p0, t0, ratio * p0, length=length, diameter=d, loss=loss)
    free = math.pi / 4 * d**2 * float(flow.mass_flux(p0, t0, ratio * p0))
    assert 0.0 < found.mass_flow < free
    assert ratio * p0 * (1 - 1e-12) <= found.end_pressure < p0


def test_friction_factor_is_continuous():
    """Property: no jump from laminar to turbulent."""
    for re in (2000.0, 4000.0):
        below = flow_kernel.darcy_friction(re * (1 - 1e-9), 1e-3)
        assert flow_kernel.darcy_friction(re * (1 + 1e-9), 1e-3) == pytest.approx(below, rel=1e-6)
    assert flow_kernel.darcy_friction(1000.0, 1e-3) == 0.064


def test_a_wide_outlet_pipe_changes_nothing_and_a_narrow_one_rules():
    """Analytic limits of a throat with a pipe behind it."""
    table = flow.flow_table().arrays()
    p0, t0 = 11e5, 300.0
    rho0, mu = float(air.density(p0, t0)), float(air.viscosity(t0))
    throat = 0.6 * math.pi / 4 * 0.01**2
    free = throat * float(flow.mass_flux(p0, t0, 101325.0))
    wide, between, end = flow_kernel.piped_outlet_mass_flow(
        table, p0, rho0, t0, mu, 101325.0, throat, 0.5, 0.1
    )
    assert wide == pytest.approx(free, rel=1e-6)
    assert between < 1.02e5
    assert end == pytest.approx(101325.0)
    narrow, between, end = flow_kernel.piped_outlet_mass_flow(
        table, p0, rho0, t0, mu, 101325.0, throat, 2.0, 0.006
    )
    pipe = flow.pipe_mass_flow(p0, t0, 101325.0, length=2.0, diameter=0.006)
    assert narrow < pipe.mass_flow < free
    assert 0.8 * p0 < between < p0
    assert end > 101325.0
    # both elements pass the same flow at the pressure between
    through = throat * float(flow.mass_flux(p0, t0, between))
    assert through == pytest.approx(narrow, rel=1e-6)


def test_a_choked_throat_passes_what_the_whole_solution_gives():
    """Property: the short way to the flow through throat and pipe, over drops and bores."""
    table = flow.flow_table().arrays()
    t0, back = 500.0, 1e5
    mu = float(air.viscosity(t0))
    ways = set()
    for drop in (100.0, 150.0, 1e3, 2e4, 9e4, 3e5, 1e6, 5e6):
        rho0 = float(air.density(back + drop, t0))
        for throat in (1e-6, 5e-5, 3e-4, 2e-3):
            for length, diameter in ((0.0, 0.03), (2.0, 0.0273), (8.0, 0.0825), (60.0, 0.0125)):
                state = (back + drop, rho0, t0, mu, back, throat, length, diameter)
                whole, between, end = flow_kernel.piped_outlet_mass_flow(table, *state)
                near = np.zeros((flow_kernel.OUTLET_ROWS, 1))
                assert flow_kernel.piped_outlet_flow(table, *state, near, 0) == pytest.approx(
                    whole, rel=1e-9
                )
                assert back <= end <= between <= back + drop
                free = throat * flow_kernel.nozzle_mass_flux(table, *state[:3], back)[0]
                ways.add(bool(whole > free * (1.0 - 1e-12)))
    assert ways == {True, False}


@given(
    drop=st.floats(120.0, 3e6),
    change=st.floats(0.3, 3.0),
    throat=st.floats(1e-6, 2e-3),
    length=st.floats(0.0, 60.0),
    diameter=st.floats(0.006, 0.1),
)
@settings(max_examples=300, deadline=None)
def test_what_is_kept_of_a_flow_serves_the_next_one_only_as_a_start(
    drop, change, throat, length, diameter
):
    """Property: throat and pipe pass the same after any other state as from nothing."""
    table = flow.flow_table().arrays()
    t0, back = 500.0, 1e5
    mu = float(air.viscosity(t0))
    near = np.zeros((flow_kernel.OUTLET_ROWS, 1))
    for over in (drop, change * drop, 1.001 * change * drop, 1.0010001 * change * drop):
        state = (back + over, float(air.density(back + over, t0)), t0, mu, back)
        pipe = (throat, length, diameter)
        whole, _, _ = flow_kernel.piped_outlet_mass_flow(table, *state, *pipe)
        found = flow_kernel.piped_outlet_flow(table, *state, *pipe, near, 0)
        assert found == pytest.approx(whole, rel=3e-7)


def test_jet_force_of_a_choked_opening():
    """Analytic: for k = 1.4 the thrust is p0 A (1.2679 - p_a/p0)."""
    force = flow.open_outlet_force(5e5, 300.0, 1e5, 1e-4)
    assert force == pytest.approx(5e5 * 1e-4 * (1.2679 - 0.2), rel=5e-3)
    assert flow.open_outlet_force(1e5, 300.0, 1e5, 1e-4) == 0.0


def test_cold_thin_air_flows_as_a_perfect_gas():
    """Analytic: critical flow of the ideal gas with k = 1.4, down to where air turns liquid."""
    for t0 in (85.0, 95.0, 105.0, 115.0):
        found = float(flow.mass_flux(1.2e5, t0, 2e4))
        assert found == pytest.approx(float(flow.ideal_mass_flux(1.2e5, t0, 2e4)), rel=0.03)


def test_no_flow_is_made_up_where_air_condenses():
    """Property: an error outside the table."""
    with pytest.raises(air.AirRangeError):
        flow.mass_flux(150e5, 140.0, 1e5)
    with pytest.raises(air.AirRangeError):
        flow.pipe_mass_flow(150e5, 140.0, 1e5, length=1.0, diameter=0.01)


def test_kernels_compile_and_give_the_same_numbers(monkeypatch):
    """Property: compiled and interpreted functions agree."""
    numba = pytest.importorskip("numba")
    # a compiled function calls only compiled ones
    monkeypatch.setattr(air_kernel, "along_density", numba.njit(air_kernel.along_density))
    compiled = numba.njit(evaluate)
    arguments = (air.air_table().arrays(), 13.0, 350.0)
    np.testing.assert_allclose(compiled(*arguments), evaluate(*arguments), rtol=1e-13)
    constants = numba.njit(flow_kernel.flow_constants)
    arguments = (flow.flow_table().arrays(), 13.0, 350.0)
    np.testing.assert_allclose(
        constants(*arguments), flow_kernel.flow_constants(*arguments), rtol=1e-13
    )
