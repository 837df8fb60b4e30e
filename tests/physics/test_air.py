"""Air: the table repeats the reference equation, its properties agree with each other."""

from __future__ import annotations

import math
import pickle
import subprocess
import sys

import CoolProp.CoolProp as CP
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.physics import air
from airrisk.physics.air_kernel import evaluate
from airrisk.physics.build_air_table import cells_inside, node_axes, potential_at
from airrisk.tables import load_arrays

densities = st.floats(0.01, 550.0)
temperatures = st.floats(200.0, 1550.0)


def test_table_nodes_are_those_of_the_reference_equation():
    """Regression: a rebuilt tenth of the nodes equals the file to 1e-7."""
    stored = load_arrays("air_table.npz")
    x, rho = node_axes()
    np.testing.assert_allclose(stored["x_axis"], x, rtol=1e-14)
    np.testing.assert_allclose(stored["rho_axis"], rho, rtol=1e-14)
    scale = np.abs(stored["nodes"]).max(axis=(0, 1))
    picks = np.random.default_rng(7)
    for i in range(0, x.size, 3):
        for j in picks.integers(0, rho.size, 24):
            found = potential_at(float(rho[j]), float(np.exp(x[i])))
            assert np.all(np.abs(found - stored["nodes"][i, j]) <= 1e-7 * scale)
    np.testing.assert_array_equal(stored["inside"], cells_inside(x, rho))


def test_properties_equal_the_reference_equation():
    """Regression: 1500 random states within 2e-8, cv (a second derivative) within 1e-6."""
    state = CP.AbstractState("HEOS", "Air")
    picks = np.random.default_rng(11)
    t = np.exp(picks.uniform(np.log(140.0), np.log(1600.0), 1500))
    rho = picks.uniform(0.0, 1.0, 1500) ** 2 * 600.0
    found = air.air_state(rho, t)
    r = air.GAS_CONSTANT
    for n in range(t.size):
        state.update(CP.DmassT_INPUTS, rho[n], t[n])
        assert found.pressure[n] == pytest.approx(state.p(), rel=2e-8)
        for name, exact, size in (
            ("internal_energy", state.umass(), r * t[n]),
            ("enthalpy", state.hmass(), r * t[n]),
            ("entropy", state.smass(), r),
        ):
            assert getattr(found, name)[n] == pytest.approx(exact, abs=2e-8 * size)
        slope = state.first_partial_deriv(CP.iP, CP.iT, CP.iDmass)
        assert found.dp_dt[n] == pytest.approx(slope, rel=2e-8)
        assert found.cv[n] == pytest.approx(state.cvmass(), rel=1e-6)
        assert found.cp[n] == pytest.approx(state.cpmass(), rel=1e-6)
        assert found.speed_of_sound[n] == pytest.approx(state.speed_sound(), rel=1e-6)


def test_one_scalar_look_up_equals_the_array_functions():
    """Property: the kernel and the arrays are one table."""
    arguments = air.air_table().arrays()
    for rho, t in ((0.0, 300.0), (11.7, 300.0), (250.0, 150.0), (599.0, 1599.0), (3.0, 95.0)):
        p, u, cv, dpdt, h = evaluate(arguments, rho, t)
        state = air.air_state(rho, t)
        values = (state.pressure, state.internal_energy, state.cv, state.dp_dt, state.enthalpy)
        np.testing.assert_allclose((p, u, cv, dpdt, h), [float(v) for v in values], rtol=1e-12)


@pytest.mark.parametrize(
    ("rho", "t"), [(-1.0, 300.0), (601.0, 300.0), (5.0, 79.0), (5.0, 1601.0), (300.0, 100.0)]
)
def test_outside_the_table_there_is_no_value(rho: float, t: float):
    """Property: an error, or NaN in the kernel, never an extrapolation."""
    with pytest.raises(air.AirRangeError) as caught:
        air.pressure(rho, t)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)
    assert all(np.isnan(evaluate(air.air_table().arrays(), rho, t)))


@settings(max_examples=40, deadline=None)
@given(densities, temperatures)
def test_cv_is_the_slope_of_energy_and_pressure_follows_maxwell(rho: float, t: float):
    """Analytic: cv = du/dT and T dp/dT - p = -rho^2 du/drho, by differences."""
    dt, dr = 1e-3 * t, 1e-3 * rho
    state = air.air_state(rho, t)
    warm, cold = air.internal_energy(rho, t + dt), air.internal_energy(rho, t - dt)
    assert float(warm - cold) / (2 * dt) == pytest.approx(float(state.cv), rel=2e-5)
    dense, thin = air.internal_energy(rho + dr, t), air.internal_energy(rho - dr, t)
    left = float(t * state.dp_dt - state.pressure)
    right = -(rho**2) * float(dense - thin) / (2 * dr)
    assert left == pytest.approx(right, abs=2e-4 * float(state.pressure))


@settings(max_examples=40, deadline=None)
@given(densities, temperatures)
def test_pressure_rises_with_temperature_and_density_inverts(rho: float, t: float):
    """Property: monotone isochores; density and temperature undo pressure."""
    state = air.air_state(rho, t)
    assert float(state.dp_dt) > 0.0
    assert float(air.pressure(rho, t * 1.01)) > float(state.pressure)
    p = float(state.pressure)
    assert float(air.density(p, t)) == pytest.approx(rho, rel=1e-9)
    assert float(air.temperature(rho, p)) == pytest.approx(t, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(densities, st.lists(temperatures, min_size=1, max_size=5))
def test_one_density_worked_out_once_gives_the_same_pressures(rho: float, at: list[float]):
    """Property: an isochore is the table at one density."""
    found = air.Isochore(rho).pressure(at)
    np.testing.assert_allclose(found, air.pressure(rho, at), rtol=1e-13)


def test_an_isochore_refuses_what_the_table_refuses():
    """Property: outside the range of temperature and density, and where air condenses."""
    for rho, t in ((12.0, 79.0), (12.0, 1601.0), (12.0, -5.0), (12.0, math.nan), (100.0, 100.0)):
        with pytest.raises(air.AirRangeError):
            air.pressure(rho, t)
        with pytest.raises(air.AirRangeError):
            air.Isochore(rho).pressure([300.0, t])
    for rho in (-1.0, 601.0, math.nan):
        with pytest.raises(air.AirRangeError):
            air.Isochore(rho)


def test_the_density_of_one_state_is_that_of_many():
    """Property: the short way for a single state ends where the long way ends."""
    for p, t in ((1e5, 85.0), (11e5, 300.0), (4e7, 300.0), (5e6, 140.0), (10.0, 1500.0)):
        many = air.density([p, p], t)
        assert float(air.density(p, t)) == pytest.approx(float(many[0]), rel=1e-12)


def test_thin_air_is_an_ideal_gas():
    """Analytic: Z goes to 1, cp - cv to R, and isochores to p/T constant."""
    state = air.air_state(1e-4, [200.0, 300.0, 1000.0])
    np.testing.assert_allclose(
        state.pressure / (1e-4 * 287.0491267875601 * state.temperature), 1.0, rtol=1e-6
    )
    np.testing.assert_allclose(state.cp - state.cv, air.GAS_CONSTANT, rtol=1e-5)
    assert air.air_table().gas_constant == air.GAS_CONSTANT


def test_gas_density_is_found_beside_the_dome_and_refused_in_it():
    """Property: 20 bar at 100 K would be liquid, 85 K at 1 bar is still gas."""
    assert 4.0 < float(air.density(1e5, 85.0)) < 4.5
    with pytest.raises(air.AirRangeError):
        air.density(2e6, 100.0)
    with pytest.raises(air.AirRangeError):
        air.density(1e9, 300.0)
    with pytest.raises(air.AirRangeError):
        air.density(-1.0, 300.0)


def test_isentropic_expansion_keeps_entropy():
    """Analytic: the end state has the entropy of the start."""
    rho = float(air.density(11e5, 300.0))
    end = air.isentropic_state(rho, 300.0, 101325.0)
    assert end.note == ""
    start, final = air.air_state(rho, 300.0), air.air_state(end.density, end.temperature)
    assert float(final.entropy) == pytest.approx(float(start.entropy), abs=1e-7)
    assert float(final.pressure) == pytest.approx(101325.0, rel=1e-9)


def test_an_expansion_into_the_dome_gives_the_equilibrium_value_with_a_note():
    """Property: 200 bar air at 250 K expanded to 1 bar is partly liquid, no failure."""
    rho = float(air.density(20e6, 250.0))
    end = air.isentropic_state(rho, 250.0, 1e5)
    assert "liquid" in end.note
    state = CP.AbstractState("HEOS", "Air")
    state.update(CP.DmassT_INPUTS, rho, 250.0)
    u1, s1 = state.umass(), state.smass()
    state.update(CP.PSmass_INPUTS, 1e5, s1)
    drop = float(air.internal_energy(rho, 250.0)) - end.internal_energy
    assert drop == pytest.approx(u1 - state.umass(), rel=1e-6)


def test_transport_equals_the_reference_at_low_density():
    """Regression: dilute viscosity and conductivity against CoolProp's dilute limit."""
    for t in (150.0, 300.0, 700.0, 1400.0):
        mu = CP.PropsSI("V", "T", t, "Dmass", 1e-6, "Air")
        k = CP.PropsSI("L", "T", t, "Dmass", 1e-6, "Air")
        assert float(air.viscosity(t)) == pytest.approx(mu, rel=1e-5)
        assert float(air.conductivity(t)) == pytest.approx(k, rel=1e-4)
        assert 0.65 < float(air.prandtl(t)) < 0.80


def test_water_vapour_pressure():
    """Published: IAPWS-95 saturation, 100 C 101.42 kPa, 200 C 1554.9 kPa (steam tables)."""
    np.testing.assert_allclose(
        air.saturation_pressure_water([373.15, 473.15]), [101.42e3, 1554.9e3], rtol=1e-4
    )
    assert np.isinf(air.saturation_pressure_water(700.0))
    with pytest.raises(air.AirRangeError):
        air.saturation_pressure_water(260.0)


def test_the_reference_library_is_not_loaded_for_the_table():
    """Property: importing physics and using the table loads no CoolProp, scipy or numba."""
    program = (
        "import sys\n"
        "from airrisk.physics import air, alloys, api521, energy\n"
        "from airrisk.physics import fires, flow, metal, shells\n"
        "air.density(11e5, 300.0); flow.mass_flux(11e5, 300.0, 1e5)\n"
        "energy.stored_energies(11e5, 300.0, 1.0, 1e5, 300.0)\n"
        "bad = {'CoolProp', 'scipy', 'numba', 'pint'} & set(sys.modules)\n"
        "sys.exit(' '.join(bad) or 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], check=False, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


@settings(max_examples=40, deadline=None)
@given(densities, st.floats(81.0, 1599.0))
def test_single_states_and_arrays_agree(rho: float, t: float):
    """Property: the short way for one state gives the numbers of the array, or NaN alike."""
    one = air._evaluate(np.array(rho), np.array(t))
    many = air._evaluate(np.array([rho, 1.0]), np.array([t, 300.0]))
    for a, b in zip(one, many, strict=True):
        np.testing.assert_allclose(a, b[0], rtol=1e-12)
