"""Shear of the core of a plug under pressure."""

from __future__ import annotations

import math

import pytest

from airrisk.physics.alloys import alloy
from airrisk.physics.core_shear import core_limit, core_shear, pressure_on_usual_core
from tests.calculator import recomputed


@pytest.mark.parametrize(("gauge", "bore", "length"), [(11e5, 0.01, 0.02), (2e7, 0.0064, 0.012)])
def test_the_wall_of_the_bore_carries_the_push_on_the_core(gauge, bore, length):
    """Arithmetic: force on the face over the surface of the wall."""
    face, wall = math.pi * bore**2 / 4.0, math.pi * bore * length
    assert core_shear(gauge, bore, length) == pytest.approx(gauge * face / wall)
    assert recomputed("core_shear", p_g=gauge, d=bore, L_c=length) == pytest.approx(
        core_shear(gauge, bore, length)
    )


def test_a_core_under_its_like_pressure_is_sheared_alike():
    """Property: at the pressure of comparison a core of two bores has the same shear."""
    gauge, bore, length = 30e5, 0.02, 0.012
    like = pressure_on_usual_core(gauge, bore, length)
    assert like > gauge
    assert core_shear(like, bore, 2.0 * bore) == pytest.approx(core_shear(gauge, bore, length))
    assert pressure_on_usual_core(gauge, bore, 5.0 * bore) == gauge


@pytest.mark.parametrize(
    ("key", "bar"),
    [
        # published: plugs of 74 and 100 degC to 34.5 bar (500 psi); others: judgement
        ("Bi42.5Pb37.7Sn11.3Cd8.5", 34.5),
        ("Bi50Pb28Sn22", 34.5),
        ("In52Sn48", 100.0),
        ("tin", 100.0),
    ],
)
def test_limits_of_pressure(key, bar):
    assert core_limit(alloy(key)).gauge_pressure == pytest.approx(bar * 1e5, rel=1e-9)
