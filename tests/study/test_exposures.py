"""Which fires are run: the file's own, or those the study assumes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from airrisk.firetest import layout as at
from airrisk.firetest.case import build_case
from airrisk.installation.model import Fire, Installation, Junction, Valve
from airrisk.study.exposures import exposures
from tests.study.networks import line, plug, relief, vessel


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
    }  # fmt: skip
    return Fire(**{**values, **other})  # type: ignore[arg-type]


def test_without_a_fire_every_shut_in_section_gets_its_assumed_ones():
    found = exposures(pair())
    assert [(e.section.vessels, e.default_case) for e in found] == [
        (("R1",), "a"), (("R1",), "b"), (("R1",), "c"),
        (("R2",), "a"), (("R2",), "b"), (("R2",), "c"),
    ]  # fmt: skip


def test_assumed_fires_have_their_shares_and_leave_the_plug_out_when_local():
    by_case = {e.default_case: e for e in exposures(pair()) if e.section.vessels == ("R1",)}
    whole, quarter, spot = (by_case[key].fire for key in "abc")
    assert set(whole.reaches) == {"R1", "L1"}
    assert dict(whole.exposed_share) == {"R1": 1.0, "L1": 1.0}
    assert whole.plugs_in_fire is None  # so those on parts wholly in the fire
    assert dict(quarter.exposed_share) == {"R1": 0.25}
    assert dict(spot.exposed_share) == {"R1": 0.05}
    assert quarter.plugs_in_fire == spot.plugs_in_fire == ()


def test_assumed_fires_are_hydrocarbon_fires_of_an_hour_from_two_start_pressures():
    for exposure in exposures(pair()):
        fire = exposure.fire
        assert (fire.curve, fire.duration, fire.convection) == ("hydrocarbon", 3600.0, 50.0)
        assert exposure.starts == ("pressure", "highest")


def test_assumed_fires_have_ids_of_their_own():
    names = [(e.fire.id, e.section.id) for e in exposures(pair())]
    assert len(names) == len(set(names))
    assert {name for name, _ in names} >= {"Quarter of R1", "Twentieth of R2"}


def test_a_section_of_two_vessels_gets_local_fires_on_each_in_turn():
    open_ = replace(pair(), valves=(Valve(id="V1", on="L1", end="to", state="locked open"),))
    found = exposures(open_)
    assert {e.section.vessels for e in found} == {("R1", "R2")}
    assert [(e.default_case, e.fire.reaches) for e in found[1:]] == [
        ("b", ("R1",)), ("c", ("R1",)), ("b", ("R2",)), ("c", ("R2",)),
    ]  # fmt: skip


def test_a_fire_of_the_file_replaces_the_assumed_ones_and_starts_as_stated():
    (found,) = exposures(pair(own()))
    assert found.default_case is None
    assert found.starts == ("pressure",)
    assert found.section.vessels == ("R1",)


def test_a_fire_that_leaves_closed_out_shuts_every_valve_that_may_be_closed():
    (found,) = exposures(pair(own()))
    assert found.section.closed_valves == ("V1",)
    (joined,) = exposures(pair(own(closed=())))
    assert joined.section.vessels == ("R1", "R2")


def test_a_fire_on_two_sections_is_run_on_each():
    burning = own(reaches=("R1", "R2"), exposed_share=(("R1", 1.0), ("R2", 1.0)))
    assert [e.section.vessels for e in exposures(pair(burning))] == [("R1",), ("R2",)]


def test_ids_are_compared_without_case():
    burning = own(reaches=("r1",), exposed_share=(("r1", 1.0),))
    assert len(exposures(pair(burning))) == 1


@pytest.mark.parametrize("closed", [None, ()])
def test_a_section_without_a_part_in_the_fire_is_left_out(closed):
    parts = pair(own(closed=closed))
    more = replace(parts, vessels=(*parts.vessels, vessel("R3")), junctions=(Junction(id="J1"),))
    assert all("R3" not in e.section.vessels for e in exposures(more))


@pytest.mark.parametrize("state", ["open", "closed"])
def test_a_relief_valve_that_can_be_shut_off_does_not_bound_the_start_pressure(state):
    """Property: shut in, RV1 set below the design pressure is out of reach and keeps nothing."""
    valve = Valve(id="V1", on="RV1", state=state)
    low = relief("RV1", "R1", set_pressure=8e5)
    tank = vessel("R1", pressure=7e5)
    free = Installation(vessels=(tank,), relief_valves=(low,))
    shut = replace(free, valves=(valve,))
    for plant, highest in ((free, 8e5), (shut, tank.design_pressure)):
        exposure = exposures(plant)[0]
        case = build_case(plant, exposure.fire, exposure.section, start="highest")
        assert case.floats[case.space_at("R1", at.S_PRESSURE)] == highest


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
    exposure = exposures(plant)[0]
    case = build_case(plant, exposure.fire, exposure.section, start="highest")
    found = [case.floats[case.space_at(name, at.S_PRESSURE)] for name in ("R1", "R2")]
    assert found == ([36e5, 36e5] if kind == "isolating" else [max(design, 11e5), 36e5])
