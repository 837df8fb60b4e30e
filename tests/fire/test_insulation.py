"""Insulated parts in a fire: when a layer counts, and what it does to a run."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from airrisk.fire.balance import closure
from airrisk.fire.batch import run_batch
from airrisk.fire.patches import Exposure, Patch
from airrisk.fire.run import run
from airrisk.installation.insulation import MARGIN
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, plug, relief, run_brief, vessel

KELVIN = 273.15
LAYER = {
    "insulation_resistance": 0.05,
    "insulation_known_at": 850.0 + KELVIN,
    "insulation_holds_to": 1150.0 + KELVIN,
}


def covered(**changes):
    return vessel(**(LAYER | changes))


def test_a_layer_resists_what_is_stated_at_its_mean_temperature_and_less_when_hotter():
    # 1100 degC outside, 500 degC inside: 800 degC in the middle
    known = case_of(covered(insulation_known_at=800.0 + KELVIN), fire()).covers["R1"]
    assert known.struck == pytest.approx(0.05, rel=1e-4)
    cold = case_of(covered(insulation_known_at=None), fire()).covers["R1"]
    assert cold.struck == pytest.approx(0.05 * (283.15 / (800.0 + KELVIN)) ** 3, rel=1e-3)
    assert case_of(covered(), fire()).covers["R1"].struck <= 0.05


def test_thickness_over_conductivity_is_a_resistance():
    by_two = covered(
        insulation_resistance=None, insulation_thickness=0.01, insulation_conductivity=0.2
    )
    one, other = case_of(by_two, fire()), case_of(covered(), fire())
    # analytic: round a sphere of 558 mm s r / (r + s) / k, less than round a cylinder
    found, flat = one.covers["R1"].struck, other.covers["R1"].struck
    assert found == pytest.approx(flat * 0.558 / 0.568, rel=1e-12)
    assert found < flat * 0.558 / 0.01 * np.log(0.568 / 0.558) < flat
    assert one.covers["R1"].unstruck == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("burning", "hottest"),
    [
        (fire(), 1100.0),
        (fire(curve="temperature", temperature=900.0 + KELVIN), 900.0),
        # (q/sigma + Ta^4)^(1/4) for 50 kW/m2, 288.15 K by hand: 971.2 K
        (fire(curve="flux", flux=50e3), 698.0),
    ],
)
def test_a_layer_counts_only_below_what_it_holds_to(burning, hottest):
    for limit, counts in ((hottest + MARGIN + 2.0, True), (hottest + MARGIN - 2.0, False)):
        case = case_of(covered(insulation_holds_to=limit + KELVIN), burning)
        assert case.covers["R1"].counted is counts
        assert bool(case.floats[case.space_at("R1", at.S_HOT_RESISTANCE)] > 0.0) is counts


def test_a_layer_without_limit_or_without_confirmation_counts_for_nothing():
    for case in (
        case_of(covered(insulation_holds_to=None), fire()),
        case_of(covered(), fire(), unconfirmed_layers=("R1",)),
    ):
        bare = case_of(vessel(), fire())
        assert np.array_equal(case.floats, bare.floats)
    kept = case_of(covered(), fire(share=0.25), unconfirmed_layers=("R1",), layers="unstruck")
    assert kept.floats[kept.space_at("R1", at.S_HOT_RESISTANCE)] == 0.0
    assert kept.floats[kept.space_at("R1", at.S_COLD_RESISTANCE)] == 0.05


def test_a_stated_absorbed_flux_gets_through_any_layer():
    # analytic
    burn = fire(curve="flux", flux=20e3, absorbed=True, duration=600.0)
    bare = run(case_of(vessel(), burn))
    case = case_of(covered(), burn, layers="all")
    place = case.space_at("R1", at.S_HOT_RESISTANCE)
    assert case.floats[place] == 0.0  # its face gets as hot as need be
    case = case.changed({place: 0.05})
    hot = run(case).states[:, 2]
    burning = bare.time <= 590.0
    known = np.interp(bare.time[burning], run(case).time, hot)
    assert np.allclose(known, bare.states[burning, 2], atol=0.5)


def test_more_resistance_never_ruptures_a_vessel_sooner():
    # property, over shares of the shell and a fire that ends while the metal is hot
    for share in (1.0, 0.25):
        burn = fire(share=share, duration=2400.0)
        found = []
        for resistance in (0.0, 0.001, 0.003, 0.01, 0.03, 0.1, 0.3):
            tank = covered(insulation_resistance=resistance) if resistance else vessel()
            ended = run_brief(case_of(tank, burn))
            found.append(float(np.nan_to_num(ended.rupture_time[0], nan=np.inf, posinf=np.inf)))
        assert found == sorted(found)
        assert found[0] < 600.0
        assert found[-1] == np.inf


def test_a_layer_of_hardly_any_resistance_is_a_bare_wall():
    thin = run_brief(case_of(covered(insulation_resistance=1e-9), fire()))
    bare = run_brief(case_of(vessel(), fire()))
    assert thin.rupture_time[0] == pytest.approx(bare.rupture_time[0], rel=1e-4)


def test_mass_and_energy_of_an_insulated_vessel_are_all_found_again():
    side = {
        "R1": (
            Patch("side", 0.4, Exposure("radiation", flux=70e3)),
            Patch("back", 0.6, Exposure("ambient")),
        )
    }
    for case in (
        case_of(covered(), plug(stands_free=True), relief(), fire()),
        case_of(covered(condensate=0.01), relief(), fire(share=0.3), exposures=side),
    ):
        left = closure(run(case))
        assert left.mass_rel < 1e-6
        assert left.energy_rel < 1e-5


def test_a_plug_under_insulation_is_heated_by_its_wall_alone():
    hidden = run(case_of(covered(), plug(), fire()))
    free = run(case_of(covered(), plug(stands_free=True), fire()))
    bare = run(case_of(vessel(), plug(), fire()))
    assert bare.first_vent < free.first_vent
    assert hidden.first_vent is None or hidden.first_vent > 1.5 * free.first_vent


def test_variants_in_a_hotter_fire_than_it_holds_to_lose_their_layer():
    case = case_of(
        covered(insulation_holds_to=950.0 + MARGIN + KELVIN),
        fire(curve="temperature", temperature=900.0 + KELVIN, duration=500.0),
    )
    hotter = run_batch(case, {"F1.temperature": np.array([1170.0, 1220.0, 1230.0, 1300.0])})
    bare = run_batch(
        case_of(vessel(), fire(curve="temperature", temperature=1173.15, duration=500.0)),
        {"F1.temperature": np.array([1170.0, 1220.0, 1230.0, 1300.0])},
    )
    assert (hotter.peak_use[:2] < 0.9 * bare.peak_use[:2]).all()
    assert np.array_equal(hotter.peak_use[2:], bare.peak_use[2:])


def test_insulation_out_of_the_fire_keeps_heat_in():
    # property: with the same heat where it is struck, the other wall gets no colder
    warm = run(case_of(covered(), fire(share=0.25), unconfirmed_layers=("R1",), layers="unstruck"))
    bare = run(case_of(vessel(), fire(share=0.25)))
    end = min(warm.time[-1], bare.time[-1])
    last = [float(np.interp(end, one.time, one.states[:, 3])) for one in (warm, bare)]
    assert last[0] > last[1]


def test_an_insulated_case_is_the_same_interpreted_and_in_a_batch():
    case = case_of(covered(), plug(stands_free=True), replace(fire(), duration=900.0))
    alone = run(case)
    batch = run_brief(case)
    assert batch.peak_use[0] == pytest.approx(alone.peak_use.max(), rel=2e-3)
