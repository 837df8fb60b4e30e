"""TNT curves against printed points.

Standing: the point table is arithmetic of the published polynomials (two coefficient sets);
the distance factors of DoD 6055.09 are published values recalled from memory.
"""

import numpy as np
import pytest

from airrisk.physics.blast import (
    distance_for_overpressure,
    reflected_from_incident,
    scaled_curve,
    scaled_incident_overpressure,
    tnt_blast,
)

# arithmetic: Z, Ps kPa, Pr kPa, is, ir kPa ms/kg^(1/3), arrival, duration ms/kg^(1/3)
POINTS = [
    (0.5, 4874.6, 39493, 166.11, 2370.8, 0.1433, 0.2813),
    (1, 1356.7, 8144.9, 236.43, 884.8, 0.4675, 1.737),
    (2, 283.76, 1056.4, 134.45, 363.8, 1.696, 2.050),
    (3, 115.67, 330.71, 92.75, 224.3, 3.544, 2.831),
    (5, 43.18, 100.68, 59.26, 125.6, 8.245, 3.786),
    (10, 14.807, 31.54, 31.01, 59.33, 21.64, 4.788),
    (20, 6.069, 12.41, 15.87, 28.67, 49.88, 5.935),
    (40, 2.363, 4.769, 7.919, 13.86, 107.6, 7.147),
]
# published, from memory: K ft/lb^(1/3) -> psi
K_FACTORS = [(9, 12), (11, 8), (18, 3.5), (24, 2.3), (30, 1.7), (40, 1.2), (50, 0.9), (328, 0.066)]
FOOT_PER_ROOT_POUND = 0.3048 / 0.45359237 ** (1 / 3)
PSI = 6894.757


@pytest.mark.parametrize("row", POINTS)
def test_kingery_bulmash_points_for_one_kilogram(row):
    z, ps, pr, i_s, i_r, ta, td = row
    blast = tnt_blast(z, 1.0)
    got = [
        blast.incident_overpressure / 1e3,
        blast.reflected_overpressure / 1e3,
        blast.incident_impulse,
        blast.reflected_impulse,
        blast.arrival_time * 1e3,
        blast.positive_duration * 1e3,
    ]
    np.testing.assert_allclose(np.ravel(got), [ps, pr, i_s, i_r, ta, td], rtol=6e-4)


def test_distance_grows_with_the_cube_root_of_mass():
    small, large = tnt_blast(10.0, 1.0), tnt_blast(30.0, 27.0)
    np.testing.assert_allclose(large.incident_overpressure, small.incident_overpressure)
    np.testing.assert_allclose(large.incident_impulse, 3 * small.incident_impulse)


@pytest.mark.parametrize(("k", "psi"), K_FACTORS)
def test_incident_pressure_at_the_distance_factors_of_explosives_safety(k, psi):
    # published (DoD 6055.09, from memory, rounded to one or two figures)
    got = scaled_incident_overpressure(k * FOOT_PER_ROOT_POUND) / PSI
    assert got == pytest.approx(psi, rel=0.06)


@pytest.mark.parametrize(
    ("quantity", "low", "high", "tolerance"),
    [
        ("incident_overpressure", 0.2, 40, 0.014),
        ("reflected_overpressure", 0.06, 40, 0.011),
        ("incident_impulse", 0.2, 33, 0.022),
        ("reflected_impulse", 0.06, 40, 0.001),
        ("arrival_time", 0.06, 40, 0.01),
        ("positive_duration", 0.2, 40, 0.02),
    ],
)
def test_full_and_simplified_curves_agree(quantity, low, high, tolerance):
    # two printed fits of the same tests
    z = np.geomspace(low, high, 300)
    ratio = scaled_curve(quantity, z, "swisdak") / scaled_curve(quantity, z)
    assert np.nanmax(np.abs(ratio - 1)) < tolerance


def test_far_field_joins_without_step_and_reflection_doubles():
    blast = tnt_blast(np.array([39.999, 40.001]), 1.0)
    for name in ("incident_overpressure", "reflected_overpressure", "incident_impulse",
                 "reflected_impulse", "arrival_time"):  # fmt: skip
        before, after = getattr(blast, name)
        assert after == pytest.approx(before, rel=2e-3), name
    assert reflected_from_incident(1.0) == pytest.approx(2.0, rel=1e-4)


def test_threshold_distance_is_the_inverse_of_the_curve():
    p = np.geomspace(150.0, 3e7, 200)
    r = distance_for_overpressure(p, 3.7)
    np.testing.assert_allclose(tnt_blast(r, 3.7).incident_overpressure, p, rtol=1e-8)
    assert distance_for_overpressure(1e12, 3.7) == 0.0


def test_incident_pressure_falls_strictly_with_distance():
    p = scaled_incident_overpressure(np.geomspace(0.0501, 500, 5000))
    assert np.all(np.diff(p) < 0)


def test_outside_the_curves_is_marked():
    blast = tnt_blast(np.array([0.01, 1.0, 250.0]), 1.0)
    assert blast.in_range.tolist() == [False, True, False]
    assert np.all(np.isfinite(blast.incident_overpressure))
    with pytest.raises(ValueError, match="positive"):
        tnt_blast(0.0, 1.0)
