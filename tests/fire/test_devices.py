"""What each device does in a run: when it opens, how it closes, what it lets out."""

from __future__ import annotations

import numpy as np
import pytest

from airrisk.fire.case import FireCaseError
from airrisk.fire.curves import curves
from airrisk.fire.outcome import classify
from airrisk.fire.plug_body import fouling_resistance
from airrisk.fire.run import FireRun, run
from airrisk.installation.model import BurstingDisc, Site
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, plug, relief, vessel

AMBIENT = 101325.0
MILD = Site(ambient_temperature=293.15, ambient_pressure=AMBIENT)
OVEN = {"curve": "temperature", "temperature": 573.15}
THICK = {"wall_thickness": 0.020}


def times_of(result: FireRun, event: str, part: str | None = None) -> list[float]:
    return [e.time for e in result.events if e.event == event and part in (None, e.part)]


def pressure_at(result: FireRun, time: float, part: str = "R1") -> float:
    drawn = curves(result)
    return float(np.interp(time, drawn.time_s, drawn.parts[part].pressure_pa))


# relief valve


def test_a_relief_valve_large_enough_holds_the_pressure_within_ten_percent_over():
    # property: full lift at 10 % over set (gauge), so a valve with room to spare stays below
    result = run(case_of(vessel(), relief(area=400e-6), fire(**OVEN), site=MILD))
    top = AMBIENT + 1.1 * (12.0e5 - AMBIENT)
    assert 12.0e5 < result.peak_pressure[0] < top
    verdict = classify(result)
    assert (verdict.outcome, verdict.kept_by) == ("outlasts the fire", "pressure")


def test_a_relief_valve_too_small_does_not_hold_the_pressure():
    # property: the same oven, a hundredth of the area
    result = run(case_of(vessel(), relief(area=0.5e-6), fire(**OVEN), site=MILD))
    assert result.peak_pressure[0] > AMBIENT + 1.1 * (12.0e5 - AMBIENT)


def test_a_relief_valve_reseats_ten_percent_under_its_set_pressure_and_may_lift_again():
    # property: a plug lets the pressure fall; the valve closes at 0.9 of set, not at set
    body = plug(bore=0.004, alloy="Bi58Sn42")
    result = run(case_of(vessel(**THICK), body, relief(), fire(share=0.5), site=MILD, credit="all"))
    lifts, reseats = (times_of(result, f"relief valve {do}") for do in ("lifts", "reseats"))
    assert reseats
    for time in reseats:
        gauge = pressure_at(result, time) - AMBIENT
        assert gauge == pytest.approx(0.9 * (12.0e5 - AMBIENT), rel=1e-3)
    # it lifts and reseats in turn
    marks = sorted([(t, 1) for t in lifts] + [(t, 0) for t in reseats])
    assert [kind for _, kind in marks] == [(n + 1) % 2 for n in range(len(marks))]


def test_a_lifted_valve_stays_full_open_until_the_pressure_has_fallen():
    # analytic: lift follows the opening line going up and the closing line going down
    from airrisk.kernel.rhs import lift_target

    set_gauge = 10e5
    assert lift_target(0.0, 9.9e5, set_gauge) == 0.0
    assert lift_target(0.0, 10.5e5, set_gauge) == pytest.approx(0.5)
    assert lift_target(0.0, 12.0e5, set_gauge) == 1.0
    assert lift_target(1.0, 10.0e5, set_gauge) == 1.0
    assert lift_target(1.0, 9.5e5, set_gauge) == pytest.approx(0.5)
    assert lift_target(0.3, 10.2e5, set_gauge) == pytest.approx(0.3)
    assert lift_target(1.0, 9.0e5, set_gauge) == 0.0


def test_a_relief_valve_in_the_fire_is_lost_at_four_hundred_degrees():
    # property: with its body in the flames nothing is let out any more and the vessel ruptures
    inside = run(case_of(vessel(**THICK), relief(area=400e-6), fire(), site=MILD))
    (lost,) = times_of(inside, "relief valve lost to heat")
    row = int(np.searchsorted(inside.time, lost))
    assert inside.hot_wall[row, 0] == pytest.approx(673.15, abs=0.5)
    after = inside.time >= lost
    assert np.ptp(inside.mass[after, 0]) == 0.0
    outside = run(case_of(vessel(**THICK), relief(area=400e-6), fire(share=0.9), site=MILD))
    assert not times_of(outside, "relief valve lost to heat")


# bursting disc


def test_a_bursting_disc_opens_at_its_pressure_and_stays_open():
    # property
    disc = BurstingDisc(
        id="BD1", on="R1", burst_pressure=13e5, area=300e-6, discharge_coefficient=0.62
    )
    result = run(case_of(vessel(**THICK), disc, fire(), site=MILD))
    (burst,) = times_of(result, "disc bursts", "BD1")
    assert pressure_at(result, burst) == pytest.approx(13e5, rel=1e-5)
    after = result.time >= burst
    assert np.all(np.diff(result.mass[after, 0]) <= 0.0)
    assert times_of(result, "empty", "R1")
    verdict = classify(result)
    assert (verdict.outcome, verdict.kept_by) == ("vents in time", "pressure")


# plug


def opening(**changes: object) -> float:
    first = run(case_of(vessel(**THICK), plug(**changes), fire(), site=MILD)).first_vent
    assert first is not None
    return first


def test_a_plug_that_follows_the_wall_opens_when_the_wall_reaches_the_liquidus():
    # published: tin melts at 231.928 degC (ITS-90)
    result = run(case_of(vessel(**THICK), plug(response="follows wall"), fire(), site=MILD))
    row = int(np.searchsorted(result.time, result.first_vent))
    assert result.hot_wall[row, 0] == pytest.approx(231.928 + 273.15, abs=0.01)


def test_a_body_of_its_own_opens_when_all_of_its_core_is_molten():
    # property: at the opening the melted share is 1 and the body stands at the melting point
    result = run(case_of(vessel(**THICK), plug(), fire(), site=MILD))
    history = curves(result).plugs["FP1"]
    row = int(np.searchsorted(curves(result).time_s, result.first_vent))
    assert not history.open[row - 1]
    assert history.open[row]
    assert 0.0 < history.melted_share[row - 1] <= 1.0
    assert history.temperature_k[row - 1] == pytest.approx(505.078, abs=0.01)


def test_latent_heat_delays_the_plug():
    # property: without it the plug opens earlier, by the heat of melting over the heat it takes up
    case = case_of(vessel(**THICK), plug(), fire(), site=MILD)
    latent = case.plug_at("FP1", at.P_LATENT)
    times = [
        run(case.changed({latent: factor * case.floats[latent]})).first_vent
        for factor in (0.0, 1.0, 3.0)
    ]
    assert times[0] < times[1] < times[2]


def test_fouling_delays_a_plug_that_only_the_air_can_reach():
    # property: out of the flames, hardly in contact; the more resistance the later
    case = case_of(
        vessel(**THICK),
        plug(alloy="Bi58Sn42", contact_conductance=0.01),
        fire(share=0.5, plugs_in_fire=(), duration=7200.0),
        site=MILD,
    )
    never_ruptures = {case.space_at("R1", at.S_BURST_FACTOR): 1e9}
    place = case.plug_at("FP1", at.P_FOULING)
    times = []
    for resistance in (0.0, 0.005, 0.02):
        first = run(case.changed({**never_ruptures, place: resistance})).first_vent
        assert first is not None
        times.append(first)
    assert times == sorted(times)
    assert times[2] > times[0] + 5.0


def test_dirtier_conditions_insulate_more():
    # property of the table of judgements
    layers = [fouling_resistance(name) for name in ("clean", "oil film", "scaled")]
    assert layers == sorted(layers)
    assert layers[0] == 0.0 < layers[1]


def test_a_plug_in_the_flames_opens_before_one_out_of_them():
    # property
    times = [
        run(case_of(vessel(**THICK), plug(), fire(share=0.5, plugs_in_fire=names), site=MILD))
        for names in (("FP1",), ())
    ]
    assert times[0].first_vent is not None
    assert times[1].first_vent is None or times[0].first_vent < times[1].first_vent


@pytest.mark.parametrize("condition", ["corroded", "scaled", "painted over", "unknown"])
def test_a_doubtful_plug_never_opens_unless_it_is_credited(condition):
    # property
    records = (vessel(), plug(condition=condition), fire())
    doubted = run(case_of(*records, site=MILD))
    assert doubted.case.uncredited == ("FP1",)
    assert doubted.first_vent is None
    assert not times_of(doubted, "plug opens")
    credited = run(case_of(*records, site=MILD, credit="all"))
    assert credited.first_vent is not None
    none = run(case_of(vessel(), plug(condition="clean"), fire(), site=MILD, credit="none"))
    assert none.first_vent is None
    assert none.peak_use == pytest.approx(doubted.peak_use, rel=1e-6)


def emptying(**changes: object) -> float:
    """Seconds from the opening of the plug to the empty vessel."""
    result = run(case_of(vessel(**THICK), plug(**changes), fire(), site=MILD))
    (empty,) = times_of(result, "empty", "R1")
    return empty - times_of(result, "plug opens")[0]


def test_an_outlet_pipe_slows_the_emptying_and_a_short_wide_one_does_not():
    # property, and the limit of no friction
    free = emptying(exposed_area=1e-9)  # a pipe hides the head from the flames
    times = [
        emptying(outlet="piped", outlet_length=length, outlet_diameter=0.0125)
        for length in (0.5, 5.0, 20.0)
    ]
    assert free < times[0] < times[1] < times[2]
    assert times[2] > 1.2 * free
    wide = emptying(outlet="piped", outlet_length=0.1, outlet_diameter=0.1)
    assert wide == pytest.approx(free, rel=1e-3)


def test_a_larger_bore_empties_in_inverse_proportion_to_its_area():
    # analytic: choked blow-down time is V / (A a); the walls heat the air, so 15 %
    ratio = emptying(bore=0.010, response="follows wall") / emptying(
        bore=0.020, response="follows wall"
    )
    assert ratio == pytest.approx(4.0, rel=0.15)


@pytest.mark.parametrize("lost", [None, float("nan"), float("inf")])
def test_a_device_without_an_opening_is_refused_and_does_not_run_shut(lost):
    """Property: a number that got lost on the way is an error and no quiet answer."""
    with pytest.raises(FireCaseError, match="missing or not finite"):
        case_of(vessel(), relief(area=lost), fire())
