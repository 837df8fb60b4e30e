"""Burst factors of parts: which metal, which weld, which thickness."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.geometry import burst_factor, head_grade, shell_grade, weld_share
from airrisk.installation.model import Vessel
from airrisk.physics import metal
from airrisk.physics.shells import BURST_FORMULAS
from tests.fire.systems import line, vessel

ALL_BASES = ("tensile", "yield")


def burst(part: Vessel, basis: str, **options: Any) -> float:
    """Gauge burst pressure when cold, mean diameter, Pa."""
    factor = burst_factor(part, "mean diameter", basis, **options)
    return factor * float(metal.strength(shell_grade(part), basis, 293.15))


def test_a_welded_vessel_bursts_beside_its_welds():
    """Arithmetic: 6061-T6 by EN 1999-1-1 beside the weld, 140 and 92 MPa, weld factor once."""
    shape = 2 * 0.008 / 1.108
    part = vessel(heads="hemispherical", material="6061-T6")
    assert burst(part, "tensile") == pytest.approx(140e6 * 0.85 * shape)
    assert burst(part, "yield") == pytest.approx(92e6 * 0.85 * shape)
    sound = replace(part, weld_factor=1.0)
    assert burst(sound, "tensile") == pytest.approx(140e6 * shape)
    seamless = replace(sound, material="6061-T6-seamless")
    assert burst(seamless, "tensile") == pytest.approx(260e6 * shape)
    assert burst(seamless, "yield") == pytest.approx(240e6 * shape)


def test_what_welding_does_not_soften_keeps_the_weld_factor_alone():
    """Arithmetic: 5083-O, 270 and 110 MPa in the metal and beside its welds."""
    shape = 2 * 0.008 / 1.108
    part = vessel(heads="hemispherical", material="5083")
    assert burst(part, "tensile") == pytest.approx(270e6 * 0.85 * shape)
    assert burst(part, "yield") == pytest.approx(110e6 * 0.85 * shape)


def test_a_line_of_aluminium_counts_as_welded():
    """Property: a girth weld softens a ring of pipe too wide for its neighbours to hold."""
    pipe = line("L1", "R1", "closed", material="6061-T6")
    assert weld_share(pipe, "tensile") == pytest.approx(140 / 260)
    assert weld_share(replace(pipe, material="6061-T6-seamless"), "tensile") == 1.0
    assert weld_share(replace(pipe, material="P235TR1"), "tensile") == 1.0


@pytest.mark.parametrize("material", ["P265GH", "304L", "6061-T6", "6061-T6-seamless", "5083"])
@pytest.mark.parametrize("formula", BURST_FORMULAS)
@pytest.mark.parametrize("basis", ALL_BASES)
def test_poorer_welds_never_help(material: str, formula: str, basis: str):
    """Property: the burst factor falls with the weld factor, and never exceeds the seamless one."""
    part = vessel(material=material)
    rising = [
        burst_factor(replace(part, weld_factor=z), formula, basis) for z in (0.4, 0.6, 0.85, 1.0)
    ]
    assert rising == sorted(rising)
    assert rising[-1] <= burst_factor(part, formula, basis, full_wall=True)


def test_heads_have_the_strength_of_their_own_thickness():
    """Arithmetic: P265GH, shell 16 mm with 265 MPa, flat heads 45 mm with 245 MPa."""
    part = vessel(heads="flat", wall_thickness=0.016, head_thickness=0.045)
    assert shell_grade(part).yield_min == 265e6
    assert head_grade(part).yield_min == 245e6
    plate = 245e6 * 6 * (0.045 / 1.1) ** 2 * 0.85
    assert burst(part, "yield") == pytest.approx(plate)
    stout = replace(part, head_thickness=0.25)
    assert burst(stout, "yield") == pytest.approx(265e6 * 2 * 0.016 / 1.116 * 0.85)


def test_a_thicker_plate_may_promise_less_than_a_thinner_one():
    """Arithmetic: P265GH over 16 mm has 255 MPa, so that 16.1 mm bear less than 16 mm."""
    thin, thick = (vessel(heads="hemispherical", wall_thickness=w) for w in (0.016, 0.0161))
    assert burst(thick, "yield") == pytest.approx(255e6 * 2 * 0.0161 / 1.1161 * 0.85)
    assert burst(thick, "yield") < burst(thin, "yield")
    assert burst(thick, "tensile") > burst(thin, "tensile")
