"""Which metal the walls of a case are made of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.fire.bores import smallest_bore
from airrisk.fire.case import wall_of
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, line, plug, vessel


def test_a_wall_that_scatters_keeps_the_metal_that_was_ordered():
    """Property: walls about 16 mm of one plate give a smooth burst factor on Faupel's formula."""
    plate = vessel(wall_thickness=0.016)
    factors = [
        wall_of(replace(plate, wall_thickness=w), "Faupel", "tensile", plate)[1]
        for w in (0.0158, 0.016, 0.0162)
    ]
    assert factors[2] - factors[1] == pytest.approx(factors[1] - factors[0], rel=0.03)
    other = wall_of(replace(plate, wall_thickness=0.0162), "Faupel", "tensile")[1]
    assert other < factors[1]


def test_two_vessels_of_one_metal_keep_their_own_strength_in_a_fire():
    """Property: the strength curves of a case follow the thickness of each part."""
    first, second = vessel("R1"), vessel("R2", wall_thickness=0.03)
    case = case_of(first, second, line("L1", "R1", "R2"), fire(("R1", "R2")), basis="yield")
    block = int(case.integers[at.I_F_STRENGTH])
    kinds = int(case.integers[at.I_I_SPACE])
    cold = {}
    for i, name in enumerate(case.names):
        row = block + int(case.integers[kinds + i * at.SI_SIZE + at.SI_STRENGTH])
        cold[name] = case.floats[row + 1]
    assert (cold["R1"], cold["R2"]) == (265e6, 255e6)


def test_the_thinnest_wall_stays_within_what_is_known_of_its_metal():
    """Property: P275SL is known to 60 mm, so that no thicker wall is proposed or tried."""
    stout = vessel(wall_thickness=0.05, material="P275SL")
    hopeless = case_of(stout, plug(bore=0.001), fire(duration=6 * 3600.0))
    found = smallest_bore(hopeless, "FP1")
    assert found.thinnest_wall_m is None or found.thinnest_wall_m <= 0.06
