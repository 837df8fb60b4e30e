"""Which fires are run: those that the file states, and always those that are assumed."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from airrisk.installation.model import (
    AssumedFire,
    Choices,
    Fire,
    Installation,
    Junction,
    Valve,
)
from airrisk.kernel import layout as at
from airrisk.study.exposures import exposures, flame_away, jet_spot
from airrisk.study.fire_runs import Corner, FireStudy
from airrisk.study.slices import fire_slice
from tests.study.networks import line, plug, relief, vessel
from tests.study.one_fire import of_class, stated


def pair(*fires: Fire, **other: object) -> Installation:
    """Two receivers with a line that a valve can shut."""
    return Installation(
        vessels=(vessel("R1"), vessel("R2")),
        lines=(line("L1", "R1", "R2"),),
        valves=(Valve(id="V1", on="L1", end="to"),),
        plugs=(plug("FP1", "R1"),),
        relief_valves=(relief("RV1", "R2"),),
        fires=fires,
        **other,  # type: ignore[arg-type]
    )


def own(name: str = "F1", **other: object) -> Fire:
    values: dict[str, object] = {
        "id": name, "curve": "standard", "reaches": ("R1",), "exposed_share": (("R1", 1.0),),
        "convection": 25.0,
    }  # fmt: skip
    return Fire(**{**values, **other})  # type: ignore[arg-type]


def classes(plant: Installation) -> list[tuple[tuple[str, ...], str]]:
    return [(e.section.vessels, e.fire_class) for e in exposures(plant)]


ASSUMED = [
    (("R1",), "whole"), (("R1",), "beside"), (("R1",), "spot"),
    (("R2",), "whole"), (("R2",), "beside"), (("R2",), "spot"),
]  # fmt: skip


def test_every_shut_in_section_gets_its_assumed_fires():
    assert classes(pair()) == ASSUMED


def test_a_fire_of_the_file_stands_beside_the_assumed_ones_and_never_in_their_place():
    assert classes(pair(own())) == [(("R1",), "stated"), *ASSUMED]
    joined = own(closed=())
    assert classes(pair(joined)) == [(("R1", "R2"), "stated"), *ASSUMED]


def test_assumed_fires_have_their_shares_and_leave_the_plug_out_when_local():
    by_class = {e.fire_class: e for e in exposures(pair()) if e.section.vessels == ("R1",)}
    whole, quarter, spot = (by_class[key].fire for key in ("whole", "beside", "spot"))
    assert set(whole.reaches) == {"R1", "L1"}
    assert dict(whole.exposed_share) == {"R1": 1.0, "L1": 1.0}
    assert whole.plugs_in_fire is None  # so those on parts wholly in the fire
    assert dict(quarter.exposed_share) == {"R1": 0.25}
    assert dict(spot.exposed_share) == {"R1": 0.05}
    assert quarter.plugs_in_fire == spot.plugs_in_fire == ()


def test_the_assumed_fires_are_a_flame_all_around_and_radiation_from_beside():
    for exposure in exposures(pair()):
        fire = exposure.fire
        assert fire.duration == 3600.0
        if exposure.fire_class == "whole":
            assert (fire.curve, fire.convection) == ("hydrocarbon", 50.0)
        else:
            assert (fire.curve, fire.flux, fire.absorbed) == ("flux", 50e3, False)


def test_the_assumed_fires_are_choices_of_the_file():
    chosen = Choices(assumed_fire=AssumedFire(curve="standard", duration=1800.0), beside_flux=3e4)
    for exposure in exposures(replace(pair(), choices=chosen)):
        whole = exposure.fire_class == "whole"
        assert exposure.fire.duration == 1800.0
        assert (exposure.fire.curve, exposure.fire.flux) == (
            ("standard", None) if whole else ("flux", 3e4)
        )


def test_assumed_fires_have_ids_of_their_own():
    names = [(e.fire.id, e.section.id) for e in exposures(pair())]
    assert len(names) == len(set(names))
    assert {name for name, _ in names} >= {"Beside R1", "Spot on R2"}


def test_a_section_of_two_vessels_gets_local_fires_on_each_in_turn():
    open_ = replace(pair(), valves=(Valve(id="V1", on="L1", end="to", state="locked open"),))
    found = exposures(open_)
    assert {e.section.vessels for e in found} == {("R1", "R2")}
    assert [(e.fire_class, e.fire.reaches) for e in found[1:]] == [
        ("beside", ("R1",)), ("spot", ("R1",)), ("beside", ("R2",)), ("spot", ("R2",)),
    ]  # fmt: skip


def test_where_no_vessel_stands_the_line_that_bursts_first_is_heated_from_beside():
    # arithmetic: thin-walled pipes of one steel burst in the order of wall over diameter
    lines = (
        line("L1", "J1", "closed"),
        line("L2", "J1", "closed", inside_diameter=0.1, wall_thickness=0.003),
        line("L3", "J1", "closed", inside_diameter=0.1, wall_thickness=0.005),
    )
    plant = Installation(lines=lines, junctions=(Junction(id="J1"),))
    local = [e.fire.reaches for e in exposures(plant) if e.fire_class != "whole"]
    assert local == [("L2",), ("L2",)]


def test_the_flame_away_from_the_plugs_is_asked_of_every_vessel():
    found = flame_away(pair(own()))
    assert [(e.fire.curve, dict(e.fire.exposed_share), e.fire.plugs_in_fire) for e in found] == [
        ("hydrocarbon", {"R1": 0.25}, ()), ("hydrocarbon", {"R2": 0.25}, ()),
    ]  # fmt: skip


def test_the_jet_on_a_spot_is_asked_of_every_vessel_whatever_flux_is_chosen():
    plant = pair(own())
    weaker = replace(plant, choices=replace(plant.choices, beside_flux=20e3))
    jets = [one.fire for one in jet_spot(weaker)]
    found = [(jet.flux, dict(jet.exposed_share), jet.plugs_in_fire) for jet in jets]
    assert found == [(300e3, {"R1": 0.05}, ()), (300e3, {"R2": 0.05}, ())]


def test_a_fire_that_leaves_closed_out_shuts_every_valve_that_may_be_closed():
    assert stated(pair(own())).section.closed_valves == ("V1",)
    assert stated(pair(own(closed=()))).section.vessels == ("R1", "R2")


def test_a_fire_on_two_sections_is_run_on_each():
    burning = own(reaches=("R1", "R2"), exposed_share=(("R1", 1.0), ("R2", 1.0)))
    found = of_class(pair(burning), "stated")
    assert [e.section.vessels for e in found] == [("R1",), ("R2",)]


def test_ids_are_compared_without_case():
    burning = own(reaches=("r1",), exposed_share=(("r1", 1.0),))
    assert len(of_class(pair(burning), "stated")) == 1


@pytest.mark.parametrize("closed", [None, ()])
def test_a_section_without_a_part_in_the_fire_is_left_out_of_it(closed):
    parts = pair(own(closed=closed))
    more = replace(parts, vessels=(*parts.vessels, vessel("R3")), junctions=(Junction(id="J1"),))
    assert all("R3" not in e.section.vessels for e in of_class(more, "stated"))


def highest_starts(plant: Installation) -> dict[str, float]:
    """The highest pressure that each vessel and line of the first section starts from, Pa."""
    study = FireStudy(fire_slice(plant, exposures(plant)[0], dt.date(2026, 11, 1)))
    corner = Corner(start=1.0)
    case = study.case(corner)
    names = study.exposure.section.holders
    return {name: float(case.floats[case.space_at(name, at.S_PRESSURE)]) for name in names}


@pytest.mark.parametrize("state", ["open", "closed"])
def test_a_relief_valve_that_can_be_shut_off_does_not_bound_the_start_pressure(state):
    """Property: shut in, RV1 set below the design pressure is out of reach and keeps nothing."""
    valve = Valve(id="V1", on="RV1", state=state)
    low = relief("RV1", "R1", set_pressure=8e5)
    tank = vessel("R1", pressure=7e5)
    free = Installation(vessels=(tank,), relief_valves=(low,))
    shut = replace(free, valves=(valve,))
    for plant, highest in ((free, 8e5), (shut, tank.design_pressure)):
        assert highest_starts(plant) == {"R1": highest}


@pytest.mark.parametrize("kind", ["isolating", "non-return"])
def test_a_vessel_is_raised_to_the_pressure_of_those_only_whose_air_can_reach_it(kind):
    """Property: R2 stands above R1, and between them a valve that lets air pass to R2 alone."""
    state = "locked open" if kind == "isolating" else "open"
    plant = Installation(
        vessels=(vessel("R1", pressure=11e5), vessel("R2", pressure=36e5, design_pressure=41e5)),
        lines=(line("L1", "R1", "R2"),),
        valves=(Valve(id="N1", on="L1", end="to", kind=kind, state=state),),
    )
    design = plant.vessels[0].design_pressure
    found = highest_starts(plant)
    alone = 36e5 if kind == "isolating" else max(design, 11e5)
    assert (found["R1"], found["R2"]) == (alone, 36e5)
