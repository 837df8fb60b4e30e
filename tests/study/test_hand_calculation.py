"""The steps of the hand calculation against the numbers of the program."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.installation.geometry import burst_factor, shell_grade
from airrisk.physics import metal
from airrisk.physics.shells import BURST_FORMULAS
from airrisk.study.hand_calculation import burst_traces, strong_burst_traces
from tests.fire.systems import installation, vessel

HOT = 500.0  # K


@pytest.mark.parametrize("heads", ["torispherical", "ellipsoidal", "hemispherical", "flat"])
@pytest.mark.parametrize("formula", BURST_FORMULAS)
@pytest.mark.parametrize("material", ["P265GH", "6061-T6", "304L"])
def test_the_hand_calculation_gives_the_same_burst_pressure(
    heads: str, formula: str, material: str
):
    """Property: on every basis, with heads of another thickness than the shell."""
    part = vessel(heads=heads, head_thickness=0.05, wall_thickness=0.02, material=material)
    plant = installation(part)
    plant = replace(plant, choices=replace(plant.choices, burst_formula=formula))
    for basis in metal.material(material).bases:
        steps = list(burst_traces(plant, part, basis, HOT))
        least = min(step.result for step in steps if step.key.startswith("burst_"))
        factor = burst_factor(part, formula, basis)
        assert least == pytest.approx(factor * float(metal.strength(shell_grade(part), basis, HOT)))
    steps = list(strong_burst_traces(plant, part, HOT))
    least = min(step.result for step in steps if step.key.startswith("burst_"))
    own = metal.resolve_basis(material, "tensile")
    one = shell_grade(part)
    hot, cold = (float(metal.strength(one, own, t)) for t in (HOT, 293.15))
    factor = burst_factor(part, formula, "tensile", full_wall=True)
    assert least == pytest.approx(factor * one.high_strength * hot / cold)
