"""Creep of hot steel against lives worked out elsewhere from the printed formulas.

Standing of all values: computed apart from this program from the formulas of API 579-1 and
WRC 541, their coefficients read in one public transcription of the print. They check arithmetic
and the turning of units, not that a vessel lives so long.
"""

from __future__ import annotations

import itertools

import pytest

from airrisk.physics.creep import rupture_life
from airrisk.physics.creep_omega import omega_damage_rate, omega_law_of, omega_laws, omega_life
from airrisk.physics.metal import (
    STRENGTH_USE_LIMITS,
    grade,
    materials,
    resolve_basis,
    strength,
)

HOUR, MINUTE = 3600.0, 60.0


def kelvin(celsius: float) -> float:
    return celsius + 273.15


@pytest.mark.parametrize(
    ("stress", "celsius", "shape", "hours"),
    [
        (92, 650, "bar", 0.75462), (92, 650, "cylinder", 0.92331), (92, 650, "sphere", 0.30999),
        (80, 600, "bar", 15.124), (80, 600, "cylinder", 19.070), (80, 600, "sphere", 6.1721),
    ],
)  # fmt: skip
def test_lives_by_the_omega_rate(stress, celsius, shape, hours):
    """MPC Omega, carbon steel, no allowance for scatter; hoop stress of cylinder and sphere."""
    found = omega_life("P265GH", stress * 1e6, kelvin(celsius), shape)
    assert found == pytest.approx(hours * HOUR, rel=1e-3)


# degC, stress in MPa at strength use 0.64 of 410 MPa times the yield factors of EN 1993-1-2,
# minutes: least and mean of the medium-carbon curve, Omega rate of a cylinder
MODERATE = [
    (600, 123.3, 84, 238, 102), (640, 98.1, 56, 159, 61), (650, 91.8, 53, 149, 56),
    (680, 72.9, 49, 138, 52), (700, 60.4, 52, 148, 58),
]  # fmt: skip


@pytest.mark.parametrize(("celsius", "stress", "least", "mean", "omega"), MODERATE)
def test_a_long_moderate_fire_outlives_a_vessel_on_both_ways(celsius, stress, least, mean, omega):
    """Printed to whole minutes, the stress to 0.1 MPa."""
    hot, pull = kelvin(celsius), stress * 1e6
    assert rupture_life("P265GH", pull, hot) / MINUTE == pytest.approx(least, abs=1.0)
    assert rupture_life("P265GH", pull, hot, mean=True) / MINUTE == pytest.approx(mean, abs=2.0)
    assert omega_life("P265GH", pull, hot) / MINUTE == pytest.approx(omega, abs=1.0)


# MPa; degC of rupture by the least and the mean curve after 10, 30, 60 and 120 minutes
HOLDS = {
    60: ((748, 780), (716, 746), (697, 726), (679, 706)),
    80: ((713, 744), (682, 711), (664, 692), (646, 673)),
    100: ((684, 714), (654, 682), (636, 663), (619, 645)),
    123: ((655, 684), (626, 653), (609, 635), (592, 617)),
    150: ((626, 654), (598, 624), (581, 606), (565, 589)),
}


@pytest.mark.parametrize("stress", sorted(HOLDS))
def test_hold_temperatures_of_medium_carbon_steel(stress):
    """Printed to whole degrees."""
    for minutes, both in zip((10, 30, 60, 120), HOLDS[stress], strict=True):
        for celsius, mean in zip(both, (False, True), strict=True):
            colder, hotter = (
                rupture_life("P265GH", stress * 1e6, kelvin(celsius + step), mean=mean) / MINUTE
                for step in (-1.0, 1.0)
            )
            assert hotter < minutes < colder


def test_damage_of_a_slow_ramp():
    """Medium carbon, 85 MPa, 600 to 680 degC in 60 min: 0.758967 by the least curve."""
    steps = 4000
    total = sum(
        HOUR / steps / rupture_life("P265GH", 85e6, kelvin(600.0 + 80.0 * (k + 0.5) / steps))
        for k in range(steps)
    )
    assert total == pytest.approx(0.758967, rel=0.01)


@pytest.mark.parametrize("law", sorted(omega_laws()))
def test_hotter_or_more_stressed_metal_never_creeps_more_slowly(law):
    """Property, from 2 MPa on; below that the polynomial of 316H turns by 3 %."""
    found = omega_laws()[law]
    stresses = [10 ** (0.05 * k) * 1e6 for k in range(6, 52)]
    heats = [[kelvin(410.0 + 10.0 * k)] for k in range(60)]
    table = omega_damage_rate(found, stresses, heats)
    assert all((a <= b * (1 + 1e-12)).all() for a, b in itertools.pairwise(table))
    assert all((a <= b * (1 + 1e-12)).all() for a, b in itertools.pairwise(table.T))


def test_what_is_not_counted_and_who_has_no_data():
    law = omega_laws()["carbon"]
    counted = omega_damage_rate(law, [100e6, 0.9e6, -5e6, 100e6], [kelvin(400), 900, 900, 900])
    assert [rate > 0.0 for rate in counted] == [False, False, False, True]
    assert omega_life("copper", 50e6, 900.0) == float("inf")
    for metal in materials():
        assert (omega_law_of(metal.key) is not None) == (metal.creep is not None)


@pytest.mark.parametrize("metal", ["P265GH", "P355GH", "P235GH", "16Mo3", "304L", "316L"])
def test_the_omega_rate_counts_no_more_at_the_usual_limit(metal):
    """Regression: both ways with this program's strengths, as told on the page of the method."""
    steel = grade(metal, 0.01)
    basis = resolve_basis(metal, "tensile")
    for celsius in range(600, 901, 50):
        hot = kelvin(celsius)
        stress = STRENGTH_USE_LIMITS["tensile"] * float(strength(steel, basis, hot))
        assert rupture_life(metal, stress, hot) < omega_life(metal, stress, hot)
