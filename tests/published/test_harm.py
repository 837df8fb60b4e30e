"""Harm thresholds, probits and stand-off distances against printed values."""

import numpy as np
import pytest

from airrisk.physics.harm import (
    hazardous_fragment_energy,
    probits,
    share_affected,
    stand_off,
    thresholds,
)


def _threshold(words):
    return next(row for row in thresholds() if row.harm == words)


@pytest.mark.parametrize(
    ("harm", "kpa"),
    [
        # published: Clancey 1972
        ("glass may break, loud report", 0.28),
        ("typical glass breakage", 1.03),
        ("about one pane in ten breaks", 2.07),
        ("walls and roofs collapse in part", 13.8),
        ("half of brickwork destroyed", 17.2),
        ("buildings probably destroyed", 68.9),
        # published: thresholds for people
        ("eardrum rupture begins", 20.0),
        ("eardrum rupture, older threshold", 35.0),
        ("lung injury begins", 103.0),
    ],
)
def test_thresholds_are_the_printed_ones(harm, kpa):
    assert _threshold(harm).incident_pa == pytest.approx(kpa * 1e3)
    assert _threshold(harm).standing == "published"


@pytest.mark.parametrize(
    ("harm", "kpa"),
    [
        ("death by lung haemorrhage", 144.5),
        ("eardrum rupture", 43.2),
        ("structural damage", 19.2),
        ("glass breakage", 3.94),
    ],
)
def test_half_is_affected_where_the_probit_is_five(harm, kpa):
    # arithmetic on recalled coefficients
    probit = next(row for row in probits() if row.harm == harm)
    below, above = share_affected(probit, np.array([0.994, 1.006]) * kpa * 1e3)
    assert below < 0.5 < above
    shares = share_affected(probit, np.geomspace(10, 1e7, 50))
    assert np.all(np.diff(shares) >= 0)
    assert shares[0] < 1e-6
    assert shares[-1] > 0.9999


@pytest.mark.parametrize(
    ("energy", "tnt", "edition", "metres"),
    [
        # arithmetic: 1.1 MPa gauge, 1 and 10 m3, distance for glass
        (1_523_495, 0.35705, "later", 17.876),
        (15_234_950, 3.57048, "2005/2008", 30.568),
        (15_234_950, 3.57048, "later", 38.514),
    ],
)
def test_pcc2_distance_for_glass(energy, tnt, edition, metres):
    found = stand_off(energy, tnt, edition)
    assert found.scaled_m["glass windows"] == pytest.approx(metres, abs=6e-4)


def test_pcc2_minimum_distances_by_energy():
    # published: 30 m to 135.5 MJ, 60 m to 271 MJ
    assert stand_off(1e6, 0.2).distance_m == 30.0
    assert stand_off(135.5e6, 31.8).minimum_m == 30.0
    assert stand_off(136e6, 31.9).minimum_m == 60.0
    assert stand_off(272e6, 63.7).minimum_m is None


def test_unknown_edition_is_refused():
    with pytest.raises(ValueError, match="valid are"):
        stand_off(1e6, 0.2, "1999")  # type: ignore[arg-type]


def test_hazardous_fragment_criterion():
    # published: 58 ft lbf
    assert hazardous_fragment_energy() == pytest.approx(58 * 1.3558, rel=6e-3)
