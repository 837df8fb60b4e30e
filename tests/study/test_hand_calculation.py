"""The steps of the hand calculation against the numbers of the program."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from airrisk.installation.geometry import burst_factor, shell_grade
from airrisk.physics import metal
from airrisk.physics.creep import rupture_life
from airrisk.physics.shells import BURST_FORMULAS
from airrisk.study.creep_hand_calculation import creep_sum, fastest_creep
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.hand_calculation import burst_traces, strong_burst_traces
from tests.calculator import recompute
from tests.fire.systems import fire, installation, relief, vessel
from tests.study.one_fire import stated

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


@pytest.mark.parametrize(
    ("curve", "seconds"), [("external", 3600.0), ("standard", 3600.0), ("hydrocarbon", 1200.0)]
)
def test_the_creep_damage_by_hand_is_that_of_the_run(curve: str, seconds: float):
    """Property: each formula gives its number again; a few steps add up to the run within 5 %."""
    tank = vessel(wall_thickness=0.02, pressure=3e5)
    plant = installation(tank, relief(set_pressure=1.6e6), fire(curve=curve, duration=seconds))
    record = fire_record(plant, stated(plant), dt.date(2026, 11, 1), bores=False)
    fastest, added = fastest_creep(plant, record, tank), creep_sum(plant, record, tank)
    assert fastest is not None
    assert added is not None
    for trace in fastest.traces:
        assert recompute(trace) == pytest.approx(trace.result, rel=1e-9), trace.key
    stress = next(one.result for one in fastest.traces if one.key == "creep_stress")
    assert fastest.traces[-1].result == pytest.approx(
        rupture_life("P265GH", stress, fastest.wall_temperature_k)
    )
    assert added.of_run == record.creep_damage
    assert added.total == pytest.approx(added.of_run, rel=0.05)


def test_cold_metal_and_metal_without_data_have_no_creep_to_work_out():
    for tank in (vessel(), vessel(material="5083", wall_thickness=0.03)):
        plant = installation(tank, fire(curve="flux", flux=5e3, duration=600.0))
        record = fire_record(plant, stated(plant), dt.date(2026, 11, 1), bores=False)
        assert fastest_creep(plant, record, tank) is None
        assert creep_sum(plant, record, tank) is None
