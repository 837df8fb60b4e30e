"""Boiling water against IAPWS-95 as programmed in CoolProp."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from airrisk.physics import air
from airrisk.physics.water_kernel import (
    HOTTEST_LIQUID,
    WATER_SPECIFIC_HEAT,
    heat_of_evaporation,
    saturation_pressure,
)

LIQUID = np.linspace(275.0, 635.0, 25)


@pytest.mark.parametrize("temperature", LIQUID)
def test_saturation_pressure(temperature):
    """Published: IAPWS-95 (CoolProp), within 0.1 %."""
    known = PropsSI("P", "T", temperature, "Q", 0, "Water")
    assert saturation_pressure(temperature) == pytest.approx(known, rel=1e-3)
    assert saturation_pressure(temperature) == pytest.approx(
        float(air.saturation_pressure_water(temperature)), rel=1e-12
    )


@pytest.mark.parametrize("temperature", np.linspace(280.0, 590.0, 20))
def test_heat_of_evaporation(temperature):
    """Published: IAPWS-95 (CoolProp), within 3 %."""
    steam, liquid = (PropsSI("H", "T", temperature, "Q", q, "Water") for q in (1, 0))
    assert heat_of_evaporation(temperature) == pytest.approx(steam - liquid, rel=0.03)


@pytest.mark.parametrize("temperature", [290.0, 330.0, 373.0, 430.0, 470.0])
def test_the_liquid_warms_no_slower_than_real_water(temperature):
    """Published: IAPWS-95 (CoolProp); less heat than real is the cautious side."""
    known = PropsSI("C", "T", temperature, "Q", 0, "Water")
    assert 0.92 * known < WATER_SPECIFIC_HEAT < 1.004 * known


def test_near_the_critical_point_nothing_breaks_off():
    assert saturation_pressure(700.0) == saturation_pressure(HOTTEST_LIQUID)
    assert heat_of_evaporation(700.0) == heat_of_evaporation(HOTTEST_LIQUID) > 0.0
    assert saturation_pressure(200.0) == saturation_pressure(273.16)
