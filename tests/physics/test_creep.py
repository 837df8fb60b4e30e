"""Rupture life of hot metal against computed values of the printed curves."""

from __future__ import annotations

import itertools
import math

import pytest

from airrisk.physics.creep import creep_numbers, curve_of, curves, rupture_life
from airrisk.physics.creep_kernel import CREEP_DATA_TO, CREEPS_FROM, damage_rate
from airrisk.physics.metal import materials

HOUR = 3600.0


def kelvin(celsius: float) -> float:
    return celsius + 273.15


# h, least and mean, from WRC 541 in its own units (ksi, degrees Rankine), worked out apart from
# this program; the coefficients in one public transcription
LIVES = [
    ("P265GH", 80, 600, 13.7502, 38.7532),
    ("P265GH", 92, 650, 0.874055, 2.46342),
    ("P265GH", 60, 700, 0.894090, 2.51989),
    ("P265GH", 150, 550, 3.86895, 10.9042),
    ("P235GH", 80, 600, 1.46479, 4.12834),
    ("P235GH", 92, 650, 0.0718095, 0.202387),
    ("P235GH", 60, 700, 0.0737995, 0.207995),
    ("P235GH", 150, 550, 0.369077, 1.04020),
    ("16Mo3", 80, 600, 209.555, 401.499),
    ("16Mo3", 92, 650, 9.66592, 18.5195),
    ("16Mo3", 60, 700, 3.03824, 5.82113),
    ("304L", 80, 600, 92242.9, 388049),
    ("304L", 92, 650, 2924.39, 12302.3),
]  # fmt: skip


@pytest.mark.parametrize(("metal", "stress", "celsius", "least", "mean"), LIVES)
def test_lives_of_the_printed_curves(metal, stress, celsius, least, mean):
    """Published curves, values computed from them elsewhere; the units turned: within 1 %."""
    for hours, middle in ((least, False), (mean, True)):
        life = rupture_life(metal, stress * 1e6, kelvin(celsius), mean=middle)
        assert life == pytest.approx(hours * HOUR, rel=0.01)


def test_damage_of_a_ramp():
    """Computed from the curve elsewhere: 20 to 650 degC at 10 K/min and 92 MPa, 0.046648."""
    numbers = creep_numbers("P265GH")
    steps = 20000
    seconds = 630.0 * 6.0
    total = sum(
        damage_rate(92e6, kelvin(20.0 + 630.0 * (k + 0.5) / steps), *numbers) for k in range(steps)
    )
    assert total * seconds / steps == pytest.approx(0.046648, rel=0.01)


def test_damage_of_two_holds_adds_up():
    """Computed elsewhere: 92 MPa 650 degC 30 min, then 60 MPa 700 degC 20 min, 0.944865."""
    found = 30 / 60 * HOUR / rupture_life("P265GH", 92e6, kelvin(650))
    found += 20 / 60 * HOUR / rupture_life("P265GH", 60e6, kelvin(700))
    assert found == pytest.approx(0.944865, rel=0.01)


@pytest.mark.parametrize("metal", ["P235GH", "P265GH", "16Mo3", "304L", "316L"])
def test_hotter_or_more_stressed_metal_never_lives_longer(metal):
    """Property, over all that a fire reaches."""
    stresses = [10 ** (0.05 * k) * 1e6 for k in range(1, 55)]
    heats = [CREEPS_FROM + 10.0 * k for k in range(1, 70)]
    for heat in heats:
        lives = [rupture_life(metal, stress, heat) for stress in stresses]
        assert all(a >= b for a, b in itertools.pairwise(lives))
    for stress in stresses:
        lives = [rupture_life(metal, stress, heat) for heat in heats]
        assert all(a >= b for a, b in itertools.pairwise(lives))


def test_what_is_not_counted():
    numbers = creep_numbers("P265GH")
    assert damage_rate(100e6, CREEPS_FROM, *numbers) == 0.0
    assert damage_rate(0.9e6, 900.0, *numbers) == 0.0
    assert damage_rate(-5e6, 900.0, *numbers) == 0.0
    assert damage_rate(20e6, 1100.0, *numbers) > 10.0 * damage_rate(20e6, CREEP_DATA_TO, *numbers)
    assert math.isinf(rupture_life("copper", 50e6, 900.0))


def test_every_steel_has_a_curve_and_no_other_metal():
    for metal in materials():
        steel = metal.family in ("carbon", "stainless")
        assert (curve_of(metal.key) is not None) == steel, metal.key
    assert {metal.creep for metal in materials() if metal.creep} == set(curves())
