"""Sources of fire by their place: vessels as they lie, plugs as they face, walls, jets, goods."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.model import FireSource, Installation, People, Room, Wall
from airrisk.physics import jet_fires
from airrisk.study.assessment import assess
from airrisk.study.exposures import exposures
from airrisk.study.fire_outcomes import record_of
from airrisk.study.outlines import outline, part_panels, touching
from airrisk.study.slices import Slicer
from airrisk.study.source_flames import UprightFlame, Walls, flame_of
from airrisk.study.standing_fires import source_fire, source_record
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.margins import surety_text
from airrisk.wording.units import Units
from tests.fire.systems import installation, line, plug, vessel

DAY = dt.date(2026, 11, 1)


def pool(**changes: object) -> FireSource:
    values: dict[str, object] = {
        "id": "Tank", "fuel": "diesel", "diameter": 2.0, "volume": 0.2, "at": (8.0, 0.0),
    }  # fmt: skip
    return FireSource(**{**values, **changes})  # type: ignore[arg-type]


def jet(**changes: object) -> FireSource:
    values: dict[str, object] = {
        "id": "Leak", "kind": "jet", "fuel": "natural gas", "mass_flow": 0.1, "at": (6.0, 0.0),
        "duration": 1200.0,
    }  # fmt: skip
    return FireSource(**{**values, **changes})  # type: ignore[arg-type]


def plant(source: FireSource, *more: object, walls: tuple[Wall, ...] = (), **changes: object):
    tank = vessel(at=(3.0, 0.0), **{"orientation": "vertical", **changes})
    return replace(installation(tank, *more), fire_sources=(source,), walls=walls)


def seen(whole: Installation):
    return source_record(whole, whole.fire_sources[0]).exposures["R1"]


def heated(whole: Installation, name: str = "FP1"):
    return source_record(whole, whole.fire_sources[0]).plugs[name]


# vessels as they lie


@settings(max_examples=60, deadline=None)
@given(
    x=st.floats(-300.0, 300.0), y=st.floats(-300.0, 300.0), turn=st.floats(-3.0, 3.0),
    away=st.floats(1.0, 20.0).map(lambda one: one + 0.0371),
    lies=st.floats(-3.0, 3.0), faces=st.floats(-3.0, 3.0),
    kind=st.sampled_from(["pool", "jet", "goods"]),
)  # fmt: skip
def test_moving_or_turning_the_whole_plan_changes_nothing(x, y, turn, away, lies, faces, kind):
    """Property: with directions, sides, walls and jets."""

    def place(a: float, b: float, moved: bool) -> tuple[float, float]:
        if not moved:
            return a, b
        c, s = math.cos(turn), math.sin(turn)
        return x + c * a - s * b, y + s * a + c * b

    def answer(moved: bool):
        angle = turn if moved else 0.0
        at = place(away, 0.0, moved)
        source = {
            "pool": pool(at=at),
            "jet": jet(at=at, direction=math.pi + angle),
            "goods": FireSource(id="G", kind="goods", heat_release=1e6, diameter=1.0, at=at),
        }[kind]
        tank = vessel(at=place(0.0, 0.0, moved), orientation="horizontal", direction=lies + angle)
        side = plug(place="side", faces=faces + angle)
        wall = Wall(
            id="W",
            points=(place(3.0, -0.5, moved), place(3.0, 9.0, moved)),
            height=1.5,
            resists=1e5,
        )
        whole = replace(installation(tank, side), fire_sources=(source,), walls=(wall,))
        return source_record(whole, source)

    first, other = answer(False), answer(True)
    one, two = first.exposures["R1"], other.exposures["R1"]
    assert two.incident_w_m2 == pytest.approx(one.incident_w_m2, rel=1e-6, abs=1e-3)
    assert two.flames_share == pytest.approx(one.flames_share, abs=1e-6)
    assert two.mean_w_m2 == pytest.approx(one.mean_w_m2, rel=1e-5, abs=1e-3)
    assert other.plugs["FP1"].incident_w_m2 == pytest.approx(
        first.plugs["FP1"].incident_w_m2, rel=1e-6, abs=1e-3
    )


@settings(max_examples=40, deadline=None)
@given(away=st.floats(2.5, 15.0), lies=st.floats(0.0, 3.14))
def test_a_vessel_whose_direction_is_not_stated_gets_no_less_than_any_stated_one(away, lies):
    """Property."""

    def answer(direction: float | None):
        return seen(
            plant(pool(at=(3.0 + away, 0.0)), orientation="horizontal", direction=direction)
        )

    unknown, known = answer(None), answer(lies)
    assert unknown.flames_share >= known.flames_share - 0.06
    if known.flames_share == 0.0:  # else the panels that see most are in the flames
        assert unknown.incident_w_m2 >= 0.99 * known.incident_w_m2


def test_a_lying_vessel_that_points_at_a_flame_shows_it_its_end():
    across = seen(plant(pool(), orientation="horizontal", direction=math.pi / 2))
    along = seen(plant(pool(), orientation="horizontal", direction=0.0))
    radius, length = outline(vessel(orientation="horizontal"))
    end = math.pi * radius**2 / (2 * math.pi * radius * length + 2 * math.pi * radius**2)
    # the end gets the facing flux, the shell almost nothing of it
    assert along.mean_w_m2 * along.facing_share < 0.8 * across.mean_w_m2 * across.facing_share
    assert along.facing_share > end
    assert along.incident_w_m2 > across.incident_w_m2  # and it is nearer


@settings(max_examples=60, deadline=None)
@given(lies=st.floats(0.0, 3.14), toward=st.floats(0.0, 6.28), radius=st.floats(0.1, 5.0))
def test_a_circle_touches_a_lying_vessel_where_it_meets_its_outline(lies, toward, radius):
    """Against many points of the outline."""
    tank = vessel(at=(1.0, -2.0), orientation="horizontal", direction=lies)
    far = (1.0 + 50.0 * math.cos(toward), -2.0 + 50.0 * math.sin(toward))
    distance = touching(tank, far, radius)
    half, length = outline(tank)
    axis = np.array([math.cos(lies), math.sin(lies)])
    side = np.array([-axis[1], axis[0]])
    grid = np.linspace(-1.0, 1.0, 401)
    edge = np.concatenate([
        0.5 * length * grid[:, None] * axis + half * side,
        0.5 * length * grid[:, None] * axis - half * side,
        0.5 * length * axis + half * grid[:, None] * side,
        -0.5 * length * axis + half * grid[:, None] * side,
    ])  # fmt: skip
    middle = distance * np.array([math.cos(toward), math.sin(toward)])
    assert np.linalg.norm(edge - middle, axis=1).min() == pytest.approx(radius, abs=0.01)


@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
def test_the_panels_of_a_vessel_are_its_whole_surface(orientation):
    whole = plant(pool(), orientation=orientation, direction=0.3)
    panels = part_panels(whole, whole.vessels[0], flame_of(whole, pool()).layout())
    assert panels is not None
    assert math.fsum(panels.share) == pytest.approx(1.0)
    assert np.linalg.norm(panels.normal, axis=1) == pytest.approx(np.ones(len(panels)))
    # normals of a closed surface cancel
    assert (panels.share[:, None] * panels.normal).sum(axis=0) == pytest.approx([0, 0, 0], abs=1e-9)


def test_a_small_pool_under_a_wide_vessel_heats_it():
    """Its flame meets the bottom and runs along it, though it is nowhere near the shell."""
    wide = plant(pool(at=(3.0, 0.0), diameter=0.5), inside_diameter=1.6, elevation=0.5)
    found = seen(wide)
    assert found.flames_share > 0.2
    assert source_fire(wide, wide.fire_sources[0]).struck["R1"][0].exposure.kind == "flames"


def test_higher_above_the_pool_less_of_a_vessel_is_in_the_flames():
    shares = [
        seen(plant(pool(at=(3.0, 0.0), diameter=0.5), elevation=z)).flames_share
        for z in (0.3, 0.8, 1.3, 2.5)
    ]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > shares[-1]


def test_a_route_and_a_height_place_a_line():
    source = pool(at=(8.0, 6.0))
    straight = replace(
        installation(vessel(at=(0.0, 0.0)), vessel("R2", at=(16.0, 0.0)), line("L1", "R1", "R2")),
        fire_sources=(source,),
    )

    def at(**changes: object):
        moved = replace(straight, lines=(replace(straight.lines[0], **changes),))
        return source_record(moved, source).exposures["L1"]

    assert at(route=((0.0, 6.0), (16.0, 6.0))).flames_share > 0.05
    assert at().flames_share == 0.0
    assert at(elevation=9.0).incident_w_m2 < at(elevation=2.0).incident_w_m2
    # a line with an unplaced end is placed by its route
    lone = replace(straight.lines[0], to="closed", route=((3.0, 3.0), (8.0, 3.0)))
    whole = replace(straight, lines=(lone,))
    assert "L1" not in source_record(whole, source).not_placed


# plugs as they face


def test_a_plug_feels_the_fire_that_it_faces():
    for faces, reached in ((0.0, "radiation"), (math.pi, "nothing"), (None, "nothing")):
        side = plug(place="side", faces=faces)
        assert heated(plant(pool(at=(6.0, 0.0)), side)).reached_by == reached, faces


def test_a_plug_never_stands_on_a_patch_that_is_hotter_than_it_is():
    """Property, by turning it round the vessel."""
    for degrees in range(0, 181, 15):
        side = plug(place="side", faces=math.radians(degrees))
        whole = plant(pool(at=(6.0, 0.0)), side)
        fire = source_fire(whole, whole.fire_sources[0])
        felt = heated(whole)
        flux = {patch.name: patch.exposure for patch in fire.struck["R1"]}
        home = fire.plug_patches.get("FP1")
        if home is None:
            continue
        assert flux[home].kind == "radiation"
        assert flux[home].flux <= felt.incident_w_m2 * (1.0 + 1e-6)


def test_a_plug_on_top_is_in_the_flames_only_where_they_close_round_the_vessel():
    top = plug(place="top")
    assert heated(plant(pool(at=(3.0, 0.0), diameter=4.0), top)).reached_by == "flames"
    for source in (pool(at=(3.0, 0.0), diameter=0.8), pool(at=(3.6, 0.0), diameter=1.4)):
        assert heated(plant(source, top)).reached_by != "flames"


def test_a_plug_on_top_of_a_tall_vessel_is_no_hotter_than_the_plume_there():
    """The wall below is at its hottest when the top stands in the cooler gas above the flame."""
    tall = plant(pool(at=(3.0, 0.0), diameter=2.0), plug(place="top"),
                 inside_diameter=0.6, volume=2.2)  # fmt: skip
    fire = source_fire(tall, tall.fire_sources[0])
    assert fire.fire.plugs_in_fire == ()
    patches = {patch.name: patch.exposure for patch in fire.struck["R1"]}
    assert fire.plug_patches["FP1"] == "above"
    assert patches["above"].flux < 0.8 * 5.67e-8 * (fire.fire.temperature or 0.0) ** 4


def near_plug(**changes: object):
    """A good vessel whose plug faces a pool beside it."""
    facing = plug(place="side", faces=0.0, bore=0.03, alloy="Bi58Sn42", fitted=DAY, **changes)
    return plant(pool(at=(5.6, 0.0), volume=1.0), facing, wall_thickness=0.012)


def test_a_verdict_that_needs_the_plug_to_be_reached_is_not_sure():
    whole = near_plug()
    stated = next(one for one in exposures(whole) if one.source_kind == "pool")
    assert dict(stated.plug_patches) == {"FP1": "far"}
    # as if no wind could lean it: only the plug matters
    still = replace(stated, leaned_on=())
    answer = record_of(Slicer(whole, DAY).fire(still))
    away = replace(whole, plugs=(replace(whole.plugs[0], faces=math.pi),))
    turned = next(one for one in exposures(away) if one.source_kind == "pool")
    other = record_of(Slicer(away, DAY).fire(replace(turned, leaned_on=())))
    assert answer.safe
    assert not other.safe
    assert answer.reached_plugs == ("FP1",)
    assert not answer.sure
    assert "plug FP1 must be reached by its heat" in surety_text(answer)


# walls


STANDS = Wall(id="W1", points=((6.0, -9.0), (6.0, 9.0)), height=9.0, resists=86400.0)


def behind(wall: Wall | None, **changes: object):
    return plant(pool(at=(9.0, 0.0), **changes), walls=() if wall is None else (wall,))


def test_a_wall_hides_what_is_wholly_behind_it():
    wide = STANDS
    assert seen(behind(wide)).incident_w_m2 == 0.0
    free = seen(behind(None)).incident_w_m2
    low = replace(wide, height=0.5)
    short = replace(wide, points=((6.0, 0.3), (6.0, 9.0)))
    beyond = replace(wide, points=((12.0, -9.0), (12.0, 9.0)))
    through = replace(wide, points=((8.8, -9.0), (8.8, 9.0)))
    for wall in (low, short, beyond, through):
        assert seen(behind(wall)).incident_w_m2 == pytest.approx(free)


def test_a_corner_of_one_wall_hides_as_a_straight_one_does():
    corner = Wall(id="W1", points=((7.5, -9.0), (5.8, 0.0), (7.5, 9.0)), height=9.0, resists=1e5)
    assert seen(behind(corner)).incident_w_m2 == 0.0


def test_a_place_in_the_middle_of_a_flame_sees_it_over_any_wall():
    # no ray is drawn from it; warnings of numpy are errors here
    flame = UprightFlame((0.0, 0.0), 0.0, 1.0, 3.0, 1e6, 5e4, 600.0)
    places = np.array([[0.0, 0.0, 1.0], [8.0, 0.0, 1.0]])
    assert Walls((STANDS,)).hide(places, flame).tolist() == [False, True]


def test_a_wall_that_falls_before_the_fire_ends_hides_nothing():
    wall = Wall(id="W1", points=((6.0, -9.0), (6.0, 9.0)), height=9.0, resists=60.0)
    free = seen(behind(None)).incident_w_m2
    assert seen(behind(wall)).incident_w_m2 == pytest.approx(free)
    assert seen(behind(replace(wall, resists=7200.0))).incident_w_m2 == 0.0


def test_a_wall_of_which_nobody_states_how_long_it_stands_hides_nothing_and_is_told():
    unknown = Wall(id="W1", points=((6.0, -9.0), (6.0, 9.0)), height=9.0)
    assert seen(behind(unknown)).incident_w_m2 == seen(behind(None)).incident_w_m2 > 0.0
    (found,) = findings(behind(unknown), "wall-resistance-not-stated")
    assert (found.severity, found.part) == ("note", "W1")
    assert findings(behind(STANDS), "wall-resistance-not-stated") == []


def test_a_plug_that_part_of_a_wall_hides_is_not_counted_on():
    side = plug(place="side", faces=0.0)
    half = Wall(id="W1", points=((4.5, -9.0), (4.5, 0.0)), height=9.0, resists=1e5)
    whole = plant(pool(at=(6.5, 0.0)), side)
    assert heated(whole).reached_by == "radiation"
    assert heated(replace(whole, walls=(half,))).reached_by == "nothing"


# jets and goods


def test_a_jet_strikes_what_it_points_at():
    assert seen(plant(jet(direction=math.pi))).flames_share > 0.0
    assert seen(plant(jet(direction=0.0))).flames_share == 0.0
    short = jet(mass_flow=None, fuel=None, length=1.0, direction=math.pi)
    assert seen(plant(short)).flames_share == 0.0


@settings(max_examples=40, deadline=None)
@given(way=st.floats(0.0, 6.28), rate=st.floats(1e-3, 1.0))
def test_a_jet_of_any_direction_strikes_no_less_than_one_of_a_stated_one(way, rate):
    """Property."""
    any_, one = (seen(plant(jet(mass_flow=rate, direction=where))) for where in (None, way))
    assert any_.flames_share >= one.flames_share - 0.08
    if any_.flames_share == 0.0:
        assert any_.incident_w_m2 >= 0.9 * one.incident_w_m2


@settings(max_examples=60, deadline=None)
@given(height=st.floats(0.35, 2.2), offset=st.floats(-0.5, 0.5))
def test_no_jet_falls_between_the_panels(height, offset):
    """Property: a thin jet onto any place of a shell."""
    thin = jet(mass_flow=None, fuel=None, length=3.5, at=(6.0, offset), elevation=height,
               direction=math.pi)  # fmt: skip
    assert seen(plant(thin)).flames_share > 0.0


def test_a_jet_burns_the_vessel_as_a_stated_fire_with_its_own_flame():
    whole = plant(jet(direction=math.pi), plug(place="top"))
    fire = source_fire(whole, whole.fire_sources[0]).fire
    assert fire.temperature == pytest.approx(jet_fires.flame_temperature_of(250e3))
    assert (fire.convection, fire.duration) == (jet_fires.CONVECTION, 1200.0)
    large = plant(jet(direction=math.pi, mass_flow=3.0))
    hotter = source_fire(large, large.fire_sources[0]).fire
    assert hotter.temperature == pytest.approx(jet_fires.flame_temperature_of(350e3))


def test_goods_burn_as_an_upright_flame_of_their_heat():
    goods = FireSource(id="Pallets", kind="goods", heat_release=2e6, diameter=1.5, at=(6.0, 0.0),
                       duration=900.0)  # fmt: skip
    whole = replace(plant(pool()), fire_sources=(goods,), people=(People(id="P", at=(9.0, 0.0)),))
    record = source_record(whole, goods)
    # Heskestad by hand
    assert record.flame_height_m == pytest.approx(0.235 * 2000**0.4 - 1.02 * 1.5)
    assert record.burning_time_s == 900.0
    assert record.people["P"] > 1e3
    raised = replace(goods, elevation=5.0)
    assert (
        source_record(replace(whole, fire_sources=(raised,)), raised).exposures["R1"].incident_w_m2
        < record.exposures["R1"].incident_w_m2
    )


# rooms


def hall(**changes: object) -> Room:
    values: dict[str, object] = {
        "id": "Hall", "volume": 150.0, "area": "hall", "height": 3.0, "vent_area": 2.0,
        "vent_height": 2.0, "lining": "brick",
    }  # fmt: skip
    return Room(**{**values, **changes})  # type: ignore[arg-type]


def in_hall(room: Room, source: FireSource):
    return replace(plant(replace(source, area="hall"), area="Hall"), rooms=(room,))


def test_a_large_fire_makes_all_of_a_small_room_burn():
    large = pool(at=(9.0, 0.0))
    whole = in_hall(hall(), large)
    found = [one for one in exposures(whole) if one.source_kind == "room"]
    assert [one.fire.curve for one in found] == ["standard"]
    assert found[0].fire.reaches == ("R1",)
    layer = source_record(whole, whole.fire_sources[0]).layer
    assert layer is not None
    assert 0.0 < (layer.burns_whole_after_s or 0.0) < 200.0
    none = in_hall(hall(volume=1e5, height=10.0, vent_area=80.0), large)
    assert [one for one in exposures(none) if one.source_kind == "room"] == []


def test_a_part_in_hot_gas_that_no_flame_strikes_is_run_all_the_same():
    """The gas under the ceiling of a room that does not burn whole, by its own temperature."""
    far = in_hall(hall(), pool(at=(60.0, 0.0), diameter=0.7))
    layer = source_record(far, far.fire_sources[0]).layer
    assert layer is not None
    assert layer.rise_k is not None
    assert 100.0 < layer.rise_k < 500.0
    (one,) = [one for one in exposures(far) if one.source_kind is not None]
    assert (one.source_kind, one.fire.curve, one.fire.reaches) == ("room", "temperature", ("R1",))
    assert one.fire.temperature == pytest.approx(far.site.ambient_temperature + layer.rise_k)
    assert one.fire.duration == flame_of(far, far.fire_sources[0]).lasts


def test_hot_or_unknown_gas_around_a_part_leaves_its_verdict_unsure():
    brief = pool(at=(30.0, 0.0), diameter=0.4, fuel="ethanol")
    cool = in_hall(hall(volume=1e5, height=10.0), brief)
    hot = in_hall(hall(volume=60.0), replace(brief, diameter=0.8))
    unknown = in_hall(hall(height=None, vent_area=None, vent_height=None, lining=None), brief)
    for whole, room in ((cool, ""), (hot, "Hall"), (unknown, "Hall")):
        near = replace(whole, fire_sources=(replace(whole.fire_sources[0], at=(4.3, 0.0)),))
        stated = next(one for one in exposures(near) if one.source_kind == "pool")
        assert stated.hot_room == room
    (found,) = findings(unknown, "room-burns-whole")
    assert (found.severity, found.part) == ("note", "Hall")


# findings


def findings(whole: Installation, rule: str):
    return [one for one in assess(whole, DAY).findings if one.rule == rule]


def test_a_flame_that_can_lean_onto_a_vessel_away_from_its_plugs_is_a_danger():
    whole = plant(pool(at=(6.0, 0.0)), plug(place="side", faces=math.pi))
    (found,) = findings(whole, "flame-can-touch-vessel")
    assert (found.severity, found.part) == ("danger", "R1")
    told = finding_text(found, Units())
    assert "leans over, it touches vessel R1" in told
    brief = replace(pool(at=(6.0, 0.0)), volume=0.004)
    (short,) = findings(replace(whole, fire_sources=(brief,)), "flame-can-touch-vessel")
    assert short.severity == "note"
    assert findings(plant(pool(at=(20.0, 0.0))), "flame-can-touch-vessel") == []


def test_a_plug_that_looks_away_from_every_source_is_told():
    whole = plant(pool(at=(6.0, 0.0)), plug(place="side", faces=math.pi))
    (found,) = findings(whole, "plug-away-from-sources")
    assert found.part == "FP1"
    assert "feels nothing of pool Tank" in finding_text(found, Units())
    unknown = plant(pool(at=(6.0, 0.0)), plug(place="side"))
    (found,) = findings(unknown, "plug-away-from-sources")
    assert "not stated" in finding_text(found, Units())
    assert finding_cure(found, Units())
    facing = plant(pool(at=(6.0, 0.0)), plug(place="side", faces=0.0))
    assert findings(facing, "plug-away-from-sources") == []


def test_a_fire_below_a_plug_on_top_and_a_pool_below_a_drain_plug_are_told():
    below = pool(at=(3.0, 0.0), diameter=0.6)
    (found,) = findings(plant(below, plug(place="top")), "fire-below-top-plug")
    assert found.part == "R1"
    engulfing = pool(at=(3.0, 0.0), diameter=4.0)
    assert findings(plant(engulfing, plug(place="top")), "fire-below-top-plug") == []
    (found,) = findings(plant(below, plug(place="drain")), "drain-plug-over-pool")
    assert found.values["plugs"] == ("FP1",)


# plugs that something hides


def test_a_plug_behind_the_vessel_that_a_jet_strikes_is_not_counted_on():
    """The jet goes on behind the vessel in the forms, and not in the world."""
    wide = jet(direction=math.pi, mass_flow=2.0, at=(9.0, 0.0))
    for faces in (math.pi, math.pi / 2):
        whole = plant(wide, plug(place="side", faces=faces))
        assert seen(whole).flames_share > 0.0
        assert heated(whole).reached_by == "nothing"
        assert source_fire(whole, wide).plug_patches == {}


def test_any_wall_before_a_plug_leaves_it_uncounted_whatever_is_known_of_the_wall():
    side = plug(place="side", faces=0.0)
    for points in (((4.5, -9.0), (4.5, 0.0)), ((5.6, -9.0), (5.6, 9.0))):  # beside, and in the fire
        for resists in (None, 60.0, 1e5):
            wall = Wall(id="W1", points=points, height=9.0, resists=resists)
            whole = plant(pool(at=(6.5, 0.0)), side, walls=(wall,))
            assert heated(whole).reached_by == "nothing", (points, resists)


def test_in_hot_gas_under_a_ceiling_only_a_plug_on_top_is_in_it():
    """The floor stays cool while the gas under the ceiling weakens the upper wall."""
    far = in_hall(hall(), pool(at=(60.0, 0.0), diameter=0.7))
    for place, inside in (("top", ("FP1",)), ("side", ()), ("drain", ())):
        whole = replace(far, plugs=(plug(place=place),))
        (one,) = [one for one in exposures(whole) if one.source_kind == "room"]
        assert one.fire.plugs_in_fire == inside
        assert one.fire.share("R1") < 1.0  # so that the others stand on cool metal
