"""The usual relief formula of gas-filled vessels: limits and refusals."""

from __future__ import annotations

import pytest

from airrisk.physics.api521 import LEAST_FACTOR, gas_filled_relief

USUAL = {
    "normal_pressure": 11e5,
    "normal_temperature": 300.0,
    "relieving_pressure": 14e5,
    "exposed_area": 5.0,
    "discharge_coefficient": 0.8,
}


def test_gas_as_hot_as_the_wall_cannot_be_relieved():
    """Property: no area and a reason when T1 reaches the wall limit."""
    found = gas_filled_relief(**{**USUAL, "relieving_pressure": 40e5})
    assert found.area is None
    assert found.mass_flow is None
    assert found.gas_temperature == pytest.approx(300.0 * 40 / 11)
    assert found.reason


def test_factor_has_its_least_value():
    """Arithmetic: close to the wall limit F' is 182."""
    found = gas_filled_relief(**{**USUAL, "wall_temperature": 300.0 * 14 / 11 + 30.0})
    assert found.factor == LEAST_FACTOR
    assert found.area == pytest.approx(182 * 5.0 / (14e5 / 1e3) ** 0.5 * 1e-6)


def test_area_grows_with_the_surface():
    """Property: proportional to the surface in the fire."""
    one, two = gas_filled_relief(**USUAL), gas_filled_relief(**{**USUAL, "exposed_area": 10.0})
    assert two.area == pytest.approx(2 * one.area)
    assert two.mass_flow == pytest.approx(2 * one.mass_flow)


@pytest.mark.parametrize("name", USUAL)
def test_numbers_that_cannot_be_are_named(name: str):
    """Property: the error names the input."""
    with pytest.raises(ValueError, match=name):
        gas_filled_relief(**{**USUAL, name: 0.0})
