"""Stored energy: limits and relations between the measures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.physics import air, energy


@settings(max_examples=20, deadline=None)
@given(st.floats(1.2e5, 300e5), st.floats(0.01, 50.0))
def test_measures_are_ordered_and_proportional_to_volume(p: float, volume: float):
    """Property: availability lies below isothermal, isentropic below Brode, all positive."""
    found = energy.stored_energies(p, 300.0, volume, 101325.0, 288.15)
    assert tuple(found) == energy.ENERGY_MEASURES
    assert 0.0 < found["availability"] < found["isothermal"]
    assert 0.0 < found["isentropic"] < found["brode"]
    double = energy.stored_energies(p, 300.0, 2.0 * volume, 101325.0, 288.15)
    for name, value in found.items():
        assert double[name] == pytest.approx(2.0 * value, rel=1e-12)


def test_without_pressure_there_is_no_energy():
    """Analytic: nothing at or below the surroundings."""
    assert set(energy.stored_energies(101325.0, 300.0, 1.0, 101325.0, 288.15).values()) == {0.0}
    assert energy.pcc2_energy(100e3, 1.0) == 0.0


def test_real_isentropic_energy_meets_the_ideal_one_for_moderate_pressure():
    """Analytic: at 5 bar, 300 K real and ideal differ by less than 1 %."""
    found = energy.stored_energies(5e5, 300.0, 1.0, 101325.0, 300.0)
    assert found["isentropic_real"] == pytest.approx(found["isentropic"], rel=0.01)


def test_real_energy_is_the_integral_of_p_dv():
    """Analytic: work along the isentrope, integrated step by step."""
    p, t, p0 = 40e5, 320.0, 101325.0
    rho = float(air.density(p, t))
    works, last_v, last_p = 0.0, 1.0 / rho, p
    steps = 400
    for n in range(1, steps + 1):
        p_n = p * (p0 / p) ** (n / steps)
        v_n = 1.0 / air.isentropic_state(rho, t, p_n).density
        # p v^n = constant between two steps
        n_exp = -math.log(p_n / last_p) / math.log(v_n / last_v)
        works += (last_p * last_v - p_n * v_n) / (n_exp - 1.0)
        last_v, last_p = v_n, p_n
    real = energy.real_isentropic_expansion(p, t, 1.0, p0)
    assert real.mass == pytest.approx(rho)
    assert real.energy == pytest.approx(rho * works, rel=1e-6)
    assert real.note == ""


def test_an_expansion_that_condenses_is_noted():
    """Property: very dense cold air still has an energy, with a note."""
    real = energy.real_isentropic_expansion(200e5, 250.0, 1.0, 101325.0)
    assert "liquid" in real.note
    assert real.energy > 0.0


@pytest.mark.parametrize("celsius", [125.0, 150.0, 200.0, 250.0, 310.0, 345.0, 362.0, 372.0, 373.9])
def test_flashing_water_sets_free_no_less_than_the_equation_of_state_says(celsius):
    """Independent: IAPWS-95 as CoolProp has it, isentropic to 1 atm, liquid and steam mixed."""
    from CoolProp.CoolProp import PropsSI

    hot = celsius + 273.15
    entropy = PropsSI("S", "T", hot, "Q", 0, "Water")
    after = PropsSI("U", "P", 101325.0, "S", entropy, "Water")
    expected = PropsSI("U", "T", hot, "Q", 0, "Water") - after
    assert expected <= energy.flash_energy(hot) <= 1.04 * expected


def test_water_that_does_not_boil_sets_nothing_free():
    assert energy.flash_energy(373.0) == 0.0
    assert energy.flash_energy(374.0) > 0.0
