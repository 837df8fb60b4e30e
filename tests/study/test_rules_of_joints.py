"""Joints that let go in a fire: told with their time, and never counted."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, get_args

import pytest

from airrisk.installation.model import Joints
from airrisk.physics.joints import lets_go
from airrisk.study.assessment import assess
from airrisk.study.records import FireCurves, FireRecord, PartCurves
from airrisk.study.rules.joints import first_above
from airrisk.tables import read_toml
from airrisk.wording.findings import finding_text
from airrisk.wording.units import Units
from tests.fire.systems import fire, installation, line, plug, vessel
from tests.study.networks import line as pipe
from tests.study.rule_plants import ON, TYPED, fire_record, found, sound

KELVIN = 273.15


def heated(rise: float = 1.0, **other: Any) -> FireRecord:
    """A fire in which the wall of L1 warms by so many kelvin a second, from 20 degC."""
    times = tuple(float(t) for t in range(0, 601, 10))
    wall = tuple(293.15 + rise * t for t in times)
    flat = (0.0,) * len(times)
    curves = PartCurves(flat, flat, wall, flat, flat, flat)
    values = {"exposed": ("R1", "L1"), "curves": FireCurves(times, {"L1": curves}, {})}
    return fire_record(**(values | other))


def joined(joints: str | None) -> Any:
    return sound(lines=(pipe("L1", "C1", "R1", measured=True, given=TYPED, joints=joints),))


def test_every_kind_has_its_row_and_no_other_is_there() -> None:
    assert set(read_toml("joints.toml")) == set(get_args(Joints))
    for row in read_toml("joints.toml").values():
        assert row["source"]
        assert row["standing"] in {"definition", "judgement", "from memory", "published"}
    assert lets_go("welded") is None


@pytest.mark.parametrize(
    ("joints", "celsius"),
    [
        # published: tin-lead solder begins to melt at 183 degC; the others are judgement and
        # stand here as they were chosen
        ("soft-soldered", 183.0),
        ("hose", 150.0),
        ("flanged, fibre gasket", 250.0),
        ("threaded", 260.0),
        ("flanged, graphite", 450.0),
    ],
)
def test_the_time_is_that_at_which_the_wall_is_as_hot_as_the_joints_bear(joints, celsius) -> None:
    """Analytic: one kelvin a second from 20 degC."""
    (one,) = found("joint-lets-go", joined(joints), [heated()])
    assert (one.severity, one.part, one.fire_class) == ("note", "L1", "stated")
    assert one.values["lets_go_k"] == pytest.approx(celsius + KELVIN)
    assert one.values["time_s"] == pytest.approx(celsius - 20.0)
    said = finding_text(one, Units()).replace("\u00a0", " ")
    assert f"at about {celsius:g} °C. In fire F1, as stated" in said
    assert "not counted" in said


def test_joints_that_hold_that_are_not_stated_or_not_in_the_fire_are_not_told() -> None:
    for joints in ("welded", None):
        assert found("joint-lets-go", joined(joints), [heated()]) == []
    threaded = joined("threaded")
    assert found("joint-lets-go", threaded, [heated(rise=0.39)]) == []  # 254 degC at the end
    assert found("joint-lets-go", threaded, [heated(exposed=("R1",))]) == []
    assert found("joint-lets-go", threaded, [heated(curves=None)]) == []
    assert found("joint-lets-go", threaded, [heated(fire_class="spot")]) == []


def test_of_each_class_the_fire_in_which_it_happens_first_is_told() -> None:
    fires = [
        heated(1.0, id="F1"),
        heated(2.0, id="F2"),
        heated(4.0, id="W", fire_class="whole"),
    ]
    rows = found("joint-lets-go", joined("threaded"), fires)
    assert [(one.fire_class, one.values["fire"]) for one in rows] == [
        ("stated", "F2"), ("whole", "W"),
    ]  # fmt: skip
    assert [one.values["time_s"] for one in rows] == pytest.approx([120.0, 60.0])
    # the fire around the section says nothing new where a stated one is as quick
    rows = found(
        "joint-lets-go", joined("threaded"), [fires[1], replace(fires[1], fire_class="whole")]
    )
    assert [one.fire_class for one in rows] == ["stated"]


@pytest.mark.parametrize(
    ("limit", "expected"), [(5.0, 0.0), (10.0, 0.0), (15.0, 5.0), (30.0, 20.0), (30.1, None)]
)
def test_first_above(limit, expected) -> None:
    assert first_above((0.0, 10.0, 20.0), (10.0, 20.0, 30.0), limit) == expected


def test_joints_change_no_number_of_a_fire_and_their_time_is_that_of_its_curve() -> None:
    """Property: the same verdicts with and without; the wall of the run is at the limit then."""
    plant = installation(
        vessel(), line("L1", "R1", "closed"), plug(alloy="Bi58Sn42"), fire(("R1", "L1"))
    )
    soldered = replace(plant, lines=tuple(replace(x, joints="soft-soldered") for x in plant.lines))
    bare, told = (assess(one, ON, bores=False) for one in (plant, soldered))
    assert bare.verdicts == told.verdicts
    rows = [one for one in told.findings if one.rule == "joint-lets-go"]
    assert {one.fire_class for one in rows} == {"stated"}
    assert not any(one.rule == "joint-lets-go" for one in bare.findings)
    run = next(one for one in told.fires if one.fire_class == "stated")
    time = next(one.values["time_s"] for one in rows if one.fire_class == "stated")
    wall = run.curves.parts["L1"].hot_wall_temperature_k
    before = max(k for k, t in enumerate(run.curves.time_s) if t <= time)
    assert wall[before] <= 183.0 + KELVIN <= wall[before + 1]
