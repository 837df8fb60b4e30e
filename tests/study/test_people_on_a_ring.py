"""People told by a distance from a vessel: the direction is not known, the nearest counts."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from airrisk.installation.model import Installation, People, Wall
from airrisk.installation.people_places import away, nearest_on_ring, ring_of, unknown_from
from airrisk.installation.reading import read
from airrisk.report.html import render_html
from airrisk.report.short_report import build_whole_report
from airrisk.study.assessment import assess
from airrisk.study.audibility import heard_records
from airrisk.study.consequences import people_reach, vessel_consequences
from airrisk.study.discharges import discharges
from airrisk.study.heat_on_people import at_person, heat_at
from airrisk.study.overview import people_reached
from airrisk.study.screening import screen
from airrisk.study.source_flames import NO_WALLS, flame_of
from airrisk.study.standing_fires import source_record
from airrisk.wording.units import Units
from tests.study.cure_plants import HEAD, plug, vessel

RING = '\n[[people]]\nid = "P1"\ndistance = "25 m"\nfrom = "R1"\nbackground_level = 50\n'
POOL = """
[[fire_source]]
id = "Pool1"
kind = "pool"
fuel = "diesel"
diameter = "2 m"
at = [{east}, 0.0]
"""
JET = """
[[fire_source]]
id = "Jet1"
kind = "jet"
length = "10 m"
direction = "{degrees} deg"
at = [20.0, 0.0]
"""


def plant(*more: str, r1: str = "at = [0.0, 0.0]", r2: str = "at = [40.0, 0.0]") -> Installation:
    text = HEAD.format(choices="") + vessel("R1", more=r1) + vessel("R2", more=r2)
    return read(text + RING + "".join(more))


def person(installation: Installation) -> People:
    return installation.people[0]


def spots(installation: Installation) -> list[tuple[float, float]]:
    """Many places where the people may be."""
    ring = ring_of(installation, person(installation))
    assert ring is not None
    assert ring.middle is not None
    return [
        (ring.middle[0] + r * math.cos(t / 360 * math.tau),
         ring.middle[1] + r * math.sin(t / 360 * math.tau))
        for r in (ring.inner, ring.outer)
        for t in range(360)
    ]  # fmt: skip


@pytest.mark.parametrize("east", [5.0, 24.9, 25.1, 40.0, 200.0])
def test_no_place_on_the_ring_is_nearer_or_farther_than_told(east: float) -> None:
    """Analytic: the straight line through both middles holds the nearest and the farthest."""
    installation = plant(r2=f"at = [{east}, 0.0]")
    far = away(installation, person(installation), installation.vessels[1])
    assert far is not None
    gaps = [math.dist(one, (east, 0.0)) for one in spots(installation)]
    assert far.nearest <= min(gaps) + 1e-9
    assert far.nearest == pytest.approx(max(25.0 - east, east - 25.3, 0.0))
    assert far.farthest == pytest.approx(max(gaps))
    ring = ring_of(installation, person(installation))
    assert ring is not None
    nearest = nearest_on_ring(ring, (east, 0.0))
    assert math.dist(nearest, (east, 0.0)) == pytest.approx(far.nearest, abs=1e-9)


def test_a_lying_vessel_may_have_been_measured_from_its_end() -> None:
    installation = plant(r1='orientation = "horizontal"')
    ring = ring_of(installation, person(installation))
    assert ring is not None
    body = installation.vessels[0]
    half = 0.5 * (body.cylinder_length + body.inside_diameter)
    assert (ring.inner, ring.outer) == (25.0, pytest.approx(25.0 + half))


def test_without_a_plan_position_only_the_own_vessel_is_known() -> None:
    installation = plant(r1="")
    first, second = installation.vessels
    assert away(installation, person(installation), first) is not None
    assert unknown_from(installation, first) == ()
    assert unknown_from(installation, second) == ("P1",)
    lost = plant(r2="")
    assert unknown_from(lost, lost.vessels[1]) == ("P1",)
    pool = read_pool(plant(POOL.format(east=50), r1=""))
    assert pool.people == {}
    assert pool.people_unknown == ("P1",)


def read_pool(installation: Installation) -> Any:
    return source_record(installation, installation.fire_sources[0])


def test_harm_reaches_the_people_as_near_as_they_may_be() -> None:
    """Property: a place told by a distance fares no better than any place that it allows."""
    installation = plant(r2="at = [30.0, 0.0]")
    parts = {one.id: screen(installation, one) for one in installation.vessels}
    known = {
        one.id: vessel_consequences(installation, one, parts[one.id], ())
        for one in installation.vessels
    }
    found = {(one.vessel, one.case): one for one in people_reach(installation, known)}
    assert {name for name, _ in found} == {"R1", "R2"}
    for spot in spots(installation)[::30]:
        placed = replace(
            installation, people=(replace(person(installation), at=spot, distance=None, from_=""),)
        )
        for one in people_reach(placed, known):
            ring = found[one.vessel, one.case]
            assert ring.distance_m <= one.distance_m + 1e-9
            assert ring.methods["burst"].incident_pa >= one.methods["burst"].incident_pa * 0.999999
            assert ring.reached_by_people_harm >= one.reached_by_people_harm
    assert found["R1", "cold_working"].distance_m == 25.0
    assert found["R2", "cold_working"].distance_m == pytest.approx(4.7)


@pytest.mark.parametrize("source", [
    POOL.format(east=10), POOL.format(east=25.1), POOL.format(east=60),
    JET.format(degrees=0), JET.format(degrees=90), JET.format(degrees=200),
])  # fmt: skip
def test_no_place_on_the_ring_gets_more_heat_than_told(source: str) -> None:
    """Property: sources beside the ring, on it and across it."""
    installation = plant(source)
    flame = flame_of(installation, installation.fire_sources[0])
    told = heat_at(installation, person(installation), flame, NO_WALLS)
    assert told is not None
    most = max(at_person(spot, flame, NO_WALLS) for spot in spots(installation)[::4])
    assert told >= most * (1.0 - 1e-3)


def test_no_wall_hides_people_of_whom_nobody_knows_the_side() -> None:
    installation = plant(POOL.format(east=60))
    wall = Wall(id="W1", points=((50.0, -30.0), (50.0, 30.0)), height=20.0, resists=1e6)
    behind = replace(installation, walls=(wall,))
    assert read_pool(behind).people == read_pool(installation).people
    placed = replace(behind, people=(People(id="P1", at=(25.0, 0.0)),))
    assert read_pool(placed).people["P1"] < 0.1 * read_pool(behind).people["P1"]


def test_a_plug_is_heard_only_if_the_farthest_place_hears_it() -> None:
    installation = plant(plug("FP2", "R2"))
    parts = {one.id: screen(installation, one) for one in installation.vessels}
    on = installation.choices.audit_date
    assert on is not None
    found = heard_records(installation, discharges(installation, parts, lambda *_: None), (), on)
    (one,) = found
    assert one.distance_m == pytest.approx(40.0 + 25.3)
    placed = replace(installation, people=(People(id="P1", at=(-25.3, 0.0), background_level=50),))
    (far,) = heard_records(placed, discharges(placed, parts, lambda *_: None), (), on)
    assert one.level_db == pytest.approx(far.level_db)
    assert one.lowest_db == pytest.approx(far.lowest_db)
    assert one.highest_db > far.highest_db


def findings(installation: Installation, rule: str) -> list[Any]:
    on = installation.choices.audit_date
    assert on is not None
    answer = assess(installation, on, bores=False)
    return [one for one in answer.findings if one.rule == rule]


def test_a_finding_a_card_and_a_table_name_people_on_a_ring() -> None:
    """One vessel that ruptures in flames, without a place on the plan: its ring is known."""
    near = HEAD.format(choices="") + vessel("R1") + RING.replace("25 m", "3 m")
    installation = read(near)
    on = installation.choices.audit_date
    assert on is not None
    answer = assess(installation, on, bores=False)
    (found,) = [one for one in answer.findings if one.rule == "people-within-reach"]
    assert found.values["place"] == "P1"
    assert found.values["distance_m"] == 3.0
    assert people_reached(answer, ("R1",)) == ("P1",)
    page = render_html(build_whole_report(answer, installation, "metric"), Units())
    assert "People to lead away: P1 (3\N{NO-BREAK SPACE}m from vessel R1)." in page
    assert "On which side these people are is not known" in page


def test_a_vessel_whose_distance_to_them_is_not_known_is_a_finding() -> None:
    installation = plant(POOL.format(east=90), r1="")
    found = {one.part: one for one in findings(installation, "people-within-reach")}
    assert "R1" not in found  # 25 m: out of reach
    assert found["R2"].values["variant"] == "unknown"
    assert found["R2"].values["places"] == ("P1",)
    assert found["R2"].values["parts"] == ("R1",)
    (heat,) = findings(installation, "heat-reaches-people")
    assert (heat.part, heat.values["variant"]) == ("Pool1", "unknown")


def test_people_who_are_known_to_be_near_do_not_hide_those_of_whom_it_is_not_known() -> None:
    lost = plant(POOL.format(east=90), r1="")
    near = (People(id="P2", at=(42.0, 0.0)), People(id="P3", at=(88.0, 0.0)))
    both = replace(lost, people=(*lost.people, *near))
    blast = [one for one in findings(both, "people-within-reach") if one.part == "R2"]
    assert {one.values.get("variant", "") for one in blast} >= {"unknown"}
    assert any(one.values.get("place") == "P2" for one in blast)
    heat = findings(both, "heat-reaches-people")
    assert {one.values["variant"] for one in heat} >= {"unknown", "soon"}
