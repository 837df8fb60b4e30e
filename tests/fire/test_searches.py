"""Smallest bores, batches, compiled against plain code."""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.fire.batch import Stepping, run_batch
from airrisk.fire.bores import bore_floats, smallest_bore
from airrisk.fire.outcome import classify
from airrisk.fire.run import run
from airrisk.fire.stopping import Cancelled
from airrisk.fire.variants import UnknownInput
from airrisk.kernel import compiled
from airrisk.physics import air
from airrisk.physics.transport_kernel import dilute_viscosity
from airrisk.verdict.rule import OUTCOMES
from tests.fire.systems import case_of, fire, plug, relief, vessel


def test_the_smallest_bore_passes_and_nine_tenths_of_it_does_not():
    case = case_of(vessel(), plug(), relief(), fire())
    found = smallest_bore(case, "FP1", extras=False)
    assert found.exact_m is not None
    assert found.usual_m >= found.exact_m
    for share, outcome in ((1.0, "vents in time"), (0.9, "passes the limit")):
        changed = case.changed(bore_floats(case, "FP1", share * found.exact_m))
        assert classify(run(changed)).outcome == outcome
    assert found.api521_area_m2 > 0.0


def test_no_bore_is_enough_for_a_plug_that_the_fire_does_not_reach():
    case = case_of(vessel(), plug(), fire(share=0.25, plugs_in_fire=()))
    found = smallest_bore(case, "FP1")
    assert found.exact_m is None
    assert found.late_by_s is None or found.late_by_s > 0.0
    near = smallest_bore(case_of(vessel(), plug(bore=0.014), fire()), "FP1")
    assert near.latest_melting_k > 505.078
    assert near.thinnest_wall_m < 0.008


def test_a_batch_gives_the_numbers_of_single_runs():
    case = case_of(vessel(), plug(), fire()).with_tolerance(1e-6)
    walls = np.linspace(0.006, 0.012, 5)
    bores = np.linspace(0.008, 0.014, 5)
    found = run_batch(
        case, {"R1.wall_thickness": walls, "FP1.bore": bores}, threads=2,
        stepping=Stepping(tolerance=1e-6, steps="implicit"),
    )  # fmt: skip
    for k in range(5):
        varied = case_of(vessel(wall_thickness=walls[k]), plug(bore=bores[k]), fire())
        single = run(varied.with_tolerance(1e-6), store=False)
        assert found.peak_use[k] == pytest.approx(single.peak_use[0], rel=1e-6)
        assert OUTCOMES[found.outcome[k]] == classify(single).outcome
    assert len(found) == 5


def test_a_batch_reports_progress_stops_when_asked_and_names_what_it_does_not_know():
    case = case_of(vessel(), plug(), fire())
    values = {"F1.emissivity": np.linspace(0.5, 0.9, 200)}
    seen: list[int] = []
    run_batch(case, values, progress=lambda done, _: seen.append(done))
    assert seen[-1] == 200
    with pytest.raises(Cancelled):
        run_batch(case, values, should_stop=lambda: True)
    with pytest.raises(UnknownInput, match=r"R9\.pressure"):
        run_batch(case, {"R9.pressure": np.ones(3)})


def test_loose_steps_of_a_batch_keep_the_peak_within_a_thousandth():
    # convergence
    case = case_of(vessel(), plug(), fire())
    rng = np.random.default_rng(5)
    values = {
        "R1.wall_thickness": rng.uniform(0.006, 0.012, 100),
        "FP1.bore": rng.uniform(0.006, 0.02, 100),
        "F1.emissivity": rng.uniform(0.5, 0.9, 100),
    }
    loose = run_batch(case, values)
    tight = run_batch(case, values, stepping=Stepping(tolerance=1e-8))
    assert np.max(np.abs(loose.peak_use / tight.peak_use - 1.0)) < 1e-3
    assert np.array_equal(loose.outcome, tight.outcome)


def test_plain_and_compiled_code_give_the_same_numbers():
    # property: same text, so equal to rounding; steps are chosen alike until then
    assert compiled.compile_now(), compiled.failure()
    case = case_of(vessel(), plug(), relief(), fire(share=0.25))
    fast = run(case)
    slow = run(case, interpreted=True)
    assert [e.event for e in fast.events] == [e.event for e in slow.events]
    for one, two in zip(fast.events, slow.events, strict=True):
        assert one.time == pytest.approx(two.time, rel=1e-6)
    assert fast.peak_use[0] == pytest.approx(slow.peak_use[0], rel=1e-6)
    early = fast.time[:40]
    assert np.allclose(early, slow.time[:40], rtol=1e-9)
    assert np.allclose(fast.states[:40, :4], slow.states[:40, :4], rtol=1e-9)


def test_scalar_viscosity_is_that_of_the_air_room():
    for temperature in (90.0, 300.0, 1500.0):
        assert dilute_viscosity(temperature) == pytest.approx(
            float(air.viscosity(temperature)), rel=1e-14
        )


def test_kernel_functions_have_one_name_each():
    assert "def drive(" in compiled.gathered_source()
