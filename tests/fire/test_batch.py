"""Many variants at once give what the runs one by one give."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from airrisk.fire.batch import MOST_EVALUATIONS, WORTH_A_TRY, Stepping, row_length, run_batch
from airrisk.fire.outcome import classify
from airrisk.fire.run import new_state, run
from airrisk.fire.variants import columns, variable_inputs
from airrisk.installation.reading import read
from airrisk.kernel import batch_entries, moments
from airrisk.kernel import layout as at
from airrisk.kernel.records import Case
from airrisk.study.what_if import choose
from airrisk.tables import sample_path
from airrisk.verdict.rule import OUTCOMES
from tests.fire.systems import case_of, fire, line, plug, relief, run_brief, vessel


def single():
    return case_of(vessel(), plug(), relief(), fire(share=0.5, plugs_in_fire=("FP1",)))


def variants(count: int, seed: int = 1) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(seed)
    return {
        "R1.wall_thickness": rng.uniform(0.006, 0.012, count),
        "R1.pressure": rng.uniform(4e5, 12e5, count),
        "R1.strength_factor": rng.uniform(0.8, 1.2, count),
        "FP1.bore": rng.uniform(0.004, 0.03, count),
        "FP1.melting": 505.078 + rng.uniform(-60.0, 30.0, count),
        "F1.emissivity": rng.uniform(0.5, 0.9, count),
        "F1.convection": rng.uniform(30.0, 70.0, count),
    }


def same(one: float, other: float) -> bool:
    return (np.isnan(one) and np.isnan(other)) or one == pytest.approx(other, rel=1e-12)


def test_a_batch_gives_the_numbers_of_single_runs():
    # property: the same kernel, tolerance and inputs
    case, given = single().with_tolerance(1e-6), variants(60)
    found = run_batch(case, given, stepping=Stepping(tolerance=1e-6, steps="implicit"))
    places = columns(case, given)
    for k in range(60):
        one = run(
            case.changed({place: float(np.asarray(v)[k]) for place, v in places.items()}),
            store=False,
        )
        verdict = classify(one)
        assert OUTCOMES[found.outcome[k]] == verdict.outcome
        assert found.safe[k] == verdict.safe
        assert found.peak_use[k] == pytest.approx(verdict.peak_use, rel=1e-12)
        assert found.peak_pressure[k] == pytest.approx(verdict.peak_pressure, rel=1e-12)
        assert same(found.first_vent[k], np.nan if one.first_vent is None else one.first_vent)
        assert same(found.rupture_time[k], one.rupture_time[0])
        assert same(found.limit_time[k], one.limit_time[0])
    # the variants reach good and bad ends, so that the agreement says something
    assert np.unique(found.outcome).size >= 2


def test_a_batch_over_a_network_gives_the_numbers_of_single_runs():
    # property
    case = case_of(
        vessel(), vessel("R2"), line("L1", "R1", "R2"), plug(bore=0.02), fire(("R1", "R2"))
    ).with_tolerance(1e-6)
    bores = np.array([0.01, 0.02, 0.04])
    found = run_batch(case, {"FP1.bore": bores}, stepping=Stepping(tolerance=1e-6))
    places = columns(case, {"FP1.bore": bores})
    for k in range(3):
        one = run(case.changed({p: float(v[k]) for p, v in places.items()}), store=False)
        assert OUTCOMES[found.outcome[k]] == classify(one).outcome
        assert found.peak_use[k] == pytest.approx(classify(one).peak_use, rel=1e-12)


@pytest.mark.parametrize("steps", ["explicit", "implicit"])
def test_the_order_and_number_of_variants_change_nothing(steps):
    # property: a variant does not feel its neighbours
    case, given = single(), variants(200)
    whole = run_batch(case, given, stepping=Stepping(steps=steps))
    turned = {name: v[::-1] for name, v in given.items()}
    backwards = run_batch(case, turned, threads=1, stepping=Stepping(steps=steps))
    assert backwards.peak_use[::-1].tolist() == whole.peak_use.tolist()
    assert backwards.outcome[::-1].tolist() == whole.outcome.tolist()


def test_a_varied_share_in_the_fire_is_that_of_a_case_built_with_it():
    # property
    shares, walls = np.array([0.1, 0.3, 0.6]), np.array([0.007, 0.008, 0.009])
    case = case_of(vessel(), plug(), fire(share=0.5, plugs_in_fire=("FP1",)))
    found = columns(case, {"F1.exposed_share.R1": shares, "R1.wall_thickness": walls})
    for k in range(3):
        built = case_of(
            vessel(wall_thickness=walls[k]), plug(), fire(share=shares[k], plugs_in_fire=("FP1",))
        )
        for place, values in found.items():
            assert values[k] == pytest.approx(built.floats[place], rel=1e-12)
    assert "F1.exposed_share.R1" not in variable_inputs(case_of(vessel(), plug(), fire()))
    edge = columns(case, {"F1.exposed_share.R1": np.array([0.0, 1.0])})
    area = edge[case.space_at("R1", at.S_HOT_AREA)] + edge[case.space_at("R1", at.S_COLD_AREA)]
    assert np.all(edge[case.space_at("R1", at.S_COLD_AREA)] > 0.0)
    assert area[0] == pytest.approx(area[1])


def test_a_varied_volume_is_that_of_a_case_with_a_longer_cylinder():
    # property
    bore = 0.25 * np.pi * 1.1**2
    volumes, walls = np.array([1.2, 2.0, 3.5]), np.array([0.007, 0.008, 0.009])
    shares = np.array([0.2, 0.5, 0.7])
    case = case_of(vessel(), plug(), fire(share=0.5, plugs_in_fire=("FP1",)))
    found = columns(
        case, {"F1.exposed_share.R1": shares, "R1.volume": volumes, "R1.wall_thickness": walls}
    )
    for k in range(3):
        longer = vessel(
            volume=volumes[k],
            cylinder_length=1.8 + (volumes[k] - 2.0) / bore,
            wall_thickness=walls[k],
        )
        built = case_of(longer, plug(), fire(share=shares[k], plugs_in_fire=("FP1",)))
        for place, values in found.items():
            assert values[k] == pytest.approx(built.floats[place], rel=1e-12)
    with pytest.raises(ValueError, match=r"R1: volume 0.1 m3; valid: above the 0.2894 m3"):
        columns(case, {"R1.volume": np.array([0.1])})


def test_flames_hotter_than_the_curve_are_a_hotter_constant_fire():
    # property
    hot = fire(curve="temperature", temperature=1200.0)
    case = case_of(vessel(), plug(), hot)
    shifted = run_batch(case, {"F1.temperature_shift": np.array([-100.0, 0.0, 100.0])})
    stated = run_batch(case, {"F1.temperature": np.array([1100.0, 1200.0, 1300.0])})
    assert shifted.peak_use.tolist() == stated.peak_use.tolist()
    assert shifted.first_vent.tolist() == stated.first_vent.tolist()
    assert shifted.first_vent[0] > shifted.first_vent[2]


def test_of_several_ruptures_the_earliest_counts():
    # arithmetic
    case = case_of(vessel(), vessel("R2"), line("L1", "R1", "R2"), fire(("R1", "R2")))
    state = new_state(case)
    state.worst[:, moments.K_RUPTURE_TIME] = [200.0, 300.0, *[np.nan] * (len(case.spaces) - 2)]
    state.worst[:, moments.K_EMPTY_TIME] = np.nan
    state.clock[:] = np.nan
    row = np.empty(row_length(case))
    batch_entries.summarize(2, Case(case.floats, case.integers), state, row)
    assert row[batch_entries.B_RUPTURE] == 200.0


@pytest.mark.parametrize(("steps", "close"), [("explicit", 1e-3), ("implicit", 1e-9)])
def test_each_device_tells_when_it_opened(steps, close):
    # property: as the events of the single run say
    plugs = plug(), plug("FP2", alloy="Bi58Sn42"), plug("FP3", alloy="zinc")
    case = case_of(vessel(), *plugs, fire(duration=150.0))
    stepping = Stepping(steps=steps, tolerance=1e-6)
    found = run_batch(case, {"R1.pressure": np.array([8e5, 9e5])}, stepping=stepping)
    opened = dict(zip(case.plugs, found.opened.T, strict=True))
    for k, pressure in enumerate((8e5, 9e5)):
        changed = {case.space_at("R1", at.S_PRESSURE): pressure}
        events = run(case.with_tolerance(1e-6).changed(changed), store=False).events
        for name, times in opened.items():
            (told,) = [e.time for e in events if e.part == name] or [np.nan]
            assert times[k] == pytest.approx(told, rel=close, nan_ok=True), name
    assert opened["FP2"][0] < opened["FP1"][0]
    assert np.isnan(opened["FP3"][0])


def test_arrays_of_two_lengths_are_refused():
    with pytest.raises(ValueError, match="one length"):
        run_batch(single(), {"R1.pressure": np.full(3, 9e5), "FP1.bore": np.full(4, 0.01)})


def test_what_comes_after_a_fire_does_not_hang_on_the_steps():
    # property: of bores on either side of the limit, some of which decide after the fire
    case = case_of(vessel(), plug(alloy="Bi58Sn42"), fire(curve="hydrocarbon", duration=130.0))
    given = {"FP1.bore": np.linspace(0.0008, 0.003, 45), "R1.wall_thickness": np.full(45, 0.005)}
    fine = run_batch(case, given, stepping=Stepping(steps="implicit", tolerance=1e-8))
    for steps in ("explicit", "implicit"):
        found = run_batch(case, given, stepping=Stepping(steps=steps))
        assert found.outcome.tolist() == fine.outcome.tolist(), steps
        assert found.peak_use == pytest.approx(fine.peak_use, rel=2e-3)


def test_explicit_steps_follow_a_plug_that_melts_and_does_not_open():
    # property
    case = case_of(vessel(), plug(), fire()).without_plugs()
    found = run_brief(case, steps="explicit")
    assert OUTCOMES[found.outcome[0]] != "not converged"
    assert found.evaluations[0] < 300
    fine = run_brief(case, steps="implicit", tolerance=1e-8)
    assert found.rupture_time[0] == pytest.approx(fine.rupture_time[0], rel=1e-3)


def test_a_shorter_fire_is_not_worse():
    # property: the plug still blows when the fire ends
    plain = vessel(), plug(alloy="Bi58Sn42", bore=0.012)
    for duration in (120.0, 240.0, 480.0, 960.0):
        case = case_of(*plain, fire(curve="hydrocarbon", duration=duration))
        verdict = classify(run(case))
        assert verdict.outcome == "vents in time", duration
        assert run_brief(case).safe[0]


def test_a_variant_whose_line_breaks_is_not_safe():
    # property: as for single runs, air that a broken line lets out was not let out by a device
    leg = line("L1", "R1", "closed", length=5.0, inside_diameter=0.15, wall_thickness=0.0015)
    case = case_of(vessel(wall_thickness=0.02), leg, fire(("R1", "L1")))
    found = run_batch(case, {"L1.wall_thickness": np.array([0.0015, 0.012])})
    assert found.line_rupture_time[0] < 600.0
    assert np.isnan(found.line_rupture_time[1])
    assert not found.safe[0]
    assert found.peak_use[0] < case.limit


def test_many_variants_of_a_line_that_stays_shut_take_longer_steps():
    """Some 1,400 evaluations each in explicit steps; the answers are the same."""
    plant = read(sample_path("school-laboratory").read_bytes())
    case = choose(plant, dt.date(2026, 12, 1)).case
    given = {"F1.emissivity": np.linspace(0.6, 0.9, WORTH_A_TRY)}
    assert "F1.emissivity" in variable_inputs(case)
    found = run_batch(case, given)
    explicit = run_batch(case, given, stepping=Stepping(steps="explicit"))
    assert np.median(explicit.evaluations) > MOST_EVALUATIONS
    assert np.median(found.evaluations) < 0.6 * np.median(explicit.evaluations)
    assert found.outcome.tolist() == explicit.outcome.tolist()
    assert found.peak_use == pytest.approx(explicit.peak_use, rel=1e-4)


def test_a_vessel_whose_plug_opens_keeps_the_explicit_steps():
    case = case_of(vessel(), plug(alloy="Bi58Sn42", bore=0.02), fire())
    given = {"F1.emissivity": np.linspace(0.6, 0.9, WORTH_A_TRY)}
    explicit = run_batch(case, given, stepping=Stepping(steps="explicit"))
    assert run_batch(case, given).peak_use.tolist() == explicit.peak_use.tolist()
