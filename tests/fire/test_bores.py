"""The smallest adequate bore: it passes, a little less does not, and what stands beside it."""

from __future__ import annotations

import math

import pytest

from airrisk.fire import bores
from airrisk.fire.bores import bore_floats, smallest_bore, usual_bores
from airrisk.fire.outcome import classify
from airrisk.fire.run import run
from airrisk.fire.stopping import Cancelled
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, line, plug, relief, vessel


def outcome_with(case, bore):
    return classify(run(case.changed(bore_floats(case, "FP1", bore)))).outcome


CASES = {
    "engulfed": lambda: case_of(vessel(), plug(), fire()),
    "with a relief valve": lambda: case_of(vessel(), plug(), relief(), fire()),
    "half in the fire": lambda: case_of(
        vessel(), plug(alloy="Bi58Sn42"), fire(share=0.5, plugs_in_fire=("FP1",))
    ),
    "two vessels on one plug": lambda: case_of(
        vessel(), vessel("R2"), line("L1", "R1", "R2"), plug(alloy="Bi58Sn42"), fire(("R1",))
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_the_smallest_bore_passes_and_a_little_less_does_not(name):
    # property of the root: 1 % more passes, 5 % less does not
    case = CASES[name]()
    found = smallest_bore(case, "FP1", extras=False)
    assert found.exact_m is not None
    assert outcome_with(case, 1.01 * found.exact_m) == "vents in time"
    assert outcome_with(case, 0.95 * found.exact_m) != "vents in time"
    assert found.usual_m is not None
    assert found.usual_m >= found.exact_m
    assert found.usual_m in usual_bores()
    assert outcome_with(case, found.usual_m) == "vents in time"


def test_the_smallest_bore_does_not_depend_on_the_fitted_one():
    # property
    found = [
        smallest_bore(case_of(vessel(), plug(bore=bore), fire()), "FP1", extras=False).exact_m
        for bore in (0.004, 0.012, 0.05)
    ]
    assert found[1] == pytest.approx(found[0], rel=5e-3)
    assert found[2] == pytest.approx(found[0], rel=5e-3)


def test_no_bore_helps_a_plug_that_opens_too_late_and_the_search_says_by_how_much():
    # property: lead melts at 327 degC; far from the flames it lags the wall by minutes
    case = case_of(vessel(), plug(alloy="lead", bore=0.02), fire(share=0.25, plugs_in_fire=()))
    found = smallest_bore(case, "FP1", extras=False)
    assert found.exact_m is None
    assert found.usual_m is None
    assert found.late_by_s is None or found.late_by_s > 0.0
    assert outcome_with(case, 0.1) != "vents in time"


def test_the_lag_is_the_time_between_the_limit_and_the_opening():
    # property: against the two runs it is made of
    case = case_of(vessel(), plug(alloy="Bi58Sn42", bore=0.02), fire(share=0.1, plugs_in_fire=()))
    found = smallest_bore(case, "FP1", extras=False)
    assert found.exact_m is None
    assert found.late_by_s is not None
    limit = run(case.without_plugs()).limit_time[0]
    held = run(case.changed({case.space_at("R1", at.S_BURST_FACTOR): 1e9})).first_vent
    assert held is not None
    assert found.late_by_s == pytest.approx(held - limit, abs=0.5)


def test_latest_melting_and_thinnest_wall_are_limits_too():
    # property: on either side of what was found the run passes and fails
    case = case_of(vessel(), plug(bore=0.025), fire())
    found = smallest_bore(case, "FP1")
    assert found.latest_melting_k is not None
    solidus, liquidus = (case.plug_at("FP1", key) for key in (at.P_SOLIDUS, at.P_LIQUIDUS))

    def melting_at(kelvin: float) -> str:
        return classify(run(case.changed({solidus: kelvin, liquidus: kelvin}))).outcome

    assert melting_at(found.latest_melting_k - 2.0) == "vents in time"
    assert melting_at(found.latest_melting_k + 2.0) != "vents in time"
    assert found.thinnest_wall_m is not None

    def wall_of(metres: float) -> str:
        return classify(
            run(case_of(vessel(wall_thickness=metres), plug(bore=0.025), fire()))
        ).outcome

    assert wall_of(1.01 * found.thinnest_wall_m) == "vents in time"
    assert wall_of(0.97 * found.thinnest_wall_m) != "vents in time"


def opening(case, share: float) -> str:
    place = case.plug_at("FP1", at.P_AREA)
    return classify(run(case.changed({place: share * float(case.floats[place])}))).outcome


def test_the_least_opening_share_passes_and_a_little_less_does_not():
    # property of the root; a smaller bore has a smaller body and opens sooner, so that of the
    # fitted plug a larger share must open than the square of the bores
    case = case_of(vessel(), plug(bore=0.025), fire())
    found = smallest_bore(case, "FP1")
    share = found.least_opening_share
    assert opening(case, share) == "vents in time"
    assert opening(case, 0.97 * share) != "vents in time"
    assert 1.0 > share > (found.exact_m / 0.025) ** 2


def test_with_a_body_that_the_file_fixes_the_least_share_is_the_square_of_the_bores():
    """Analytic: then another bore changes the area and the surface to the air alone."""
    body = {
        "body_mass": 0.4, "core_length": 0.04, "contact_conductance": 10.0, "exposed_area": 0.006,
        "boss_mass": 0.0,
    }  # fmt: skip
    case = case_of(vessel(), plug(bore=0.02, **body), fire())
    found = smallest_bore(case, "FP1")
    assert found.least_opening_share == pytest.approx((found.exact_m / 0.02) ** 2, rel=0.05)


@pytest.mark.parametrize(("bore", "expected"), [(0.006, None), (0.12, 0.01)])
def test_the_ends_of_the_search_for_the_opening_share(bore, expected):
    # property: all of too small a bore is not enough; the search ends at a hundredth
    case = case_of(vessel(), plug(bore=bore, body_mass=0.05, core_length=0.02), fire())
    found = smallest_bore(case, "FP1")
    assert found.exact_m is not None
    if expected is None:
        assert found.least_opening_share is None
        assert opening(case, 1.0) != "vents in time"
    else:
        assert found.least_opening_share == pytest.approx(expected)
        assert opening(case, 0.01) == "vents in time"


def test_the_area_of_the_rule_for_gas_filled_vessels_stands_beside_it():
    """Arithmetic: API 521, A = F' A' / sqrt(P1) with its inputs, SI constants (kPa, mm2, K).

    F' = 0.2772/(C Kd) (Tw - T1)^1.25/T1^0.6506 with C = 0.0395 sqrt(k (2/(k+1))^((k+1)/(k-1))),
    at least 182; the constants are recalled and were checked against the US form.
    """
    case = case_of(vessel(), plug(), fire())
    found = smallest_bore(case, "FP1", extras=False)
    given = found.api521_inputs
    assert given["relieving_pressure"] == pytest.approx(101325 + 1.21 * (12e5 - 101325))
    assert given["wall_temperature"] == pytest.approx(593 + 273.15, abs=1.0)
    k = 1.4
    constant = 0.0395 * math.sqrt(k * (2 / (k + 1)) ** ((k + 1) / (k - 1)))
    p1 = given["relieving_pressure"]
    t1 = given["normal_temperature"] * p1 / given["normal_pressure"]
    factor = (
        0.2772 / (constant * given["discharge_coefficient"])
        * (given["wall_temperature"] - t1) ** 1.25 / t1**0.6506
    )  # fmt: skip
    area = max(factor, 182.0) * given["exposed_area"] / math.sqrt(p1 / 1e3) * 1e-6
    assert found.api521_area_m2 == pytest.approx(area, rel=0.02)


def test_a_vessel_out_of_the_fire_has_no_area_by_that_rule():
    case = case_of(vessel(), plug(), fire(share=0.0))
    assert smallest_bore(case, "FP1", extras=False).api521_area_m2 is None


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(lambda: case_of(vessel(), plug(), fire()), id="a bore is enough"),
        pytest.param(
            lambda: case_of(
                vessel(), plug(alloy="lead", bore=0.02), fire(share=0.25, plugs_in_fire=())
            ),
            id="no bore is enough",
        ),
    ],
)
def test_a_wish_to_stop_ends_the_search_in_the_run_in_which_it_comes(case, monkeypatch):
    # property: whichever run it is, none follows it
    begun: list[int] = []
    last = math.inf

    def counted(*words, **settings):
        begun.append(1)
        return run(*words, **settings)

    monkeypatch.setattr(bores, "run", counted)

    def search():
        begun.clear()
        smallest_bore(case(), "FP1", extras=False, should_stop=lambda: len(begun) >= last)

    search()
    for last in range(1, len(begun) + 1):
        with pytest.raises(Cancelled):
            search()
        assert len(begun) == last
