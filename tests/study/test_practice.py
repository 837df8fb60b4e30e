"""What practitioners check besides: relief capacity, examinations, wear, rooms, clean air."""

from __future__ import annotations

import datetime as dt
import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from airrisk.installation.model import (
    Choices,
    Compressor,
    Inspection,
    Installation,
    Reading,
    Room,
)
from airrisk.physics.confined import closed_room_pressure
from airrisk.study.assessment import assess
from airrisk.study.carried import carried_pressure
from airrisk.study.examinations import examination_rows
from airrisk.study.wear import needed_wall, wear_of
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.fire.systems import installation, line, plug, relief, vessel

DAY = dt.date(2026, 11, 1)
MINUTE = 60.0


def machine(**changes: object) -> Compressor:
    values: dict[str, object] = {
        "id": "C1", "delivery": 1.0 / MINUTE, "discharge_pressure": 11.0e5,
        "lubrication": "oil-free",
    }  # fmt: skip
    return Compressor(**{**values, **changes})  # type: ignore[arg-type]


def fed(*more: object, machines: tuple[Compressor, ...] = (machine(),), **changes: object):
    tank = vessel(design_pressure=12.01325e5, **changes)
    lines = [line(f"L{n}", one.id, "R1") for n, one in enumerate(machines)]
    return replace(installation(tank, *lines, *more), compressors=machines)


def found(whole: Installation, rule: str):
    return [one for one in assess(whole, DAY, bores=False).findings if one.rule == rule]


@pytest.mark.parametrize(
    ("set_gauge", "area"),
    # computed outside the program for 1 m3/min at Kd 0.7, 10 % over the set pressure and 20 degC
    [(11.0e5, 9.26e-6), (8.0e5, 12.377e-6)],
)
def test_a_relief_valve_of_the_needed_area_passes_what_the_machine_delivers(set_gauge, area):
    def whole(share: float) -> Installation:
        valve = relief(
            set_pressure=set_gauge + 101325.0, area=share * area, discharge_coefficient=0.7
        )
        plant = fed(valve, temperature=293.15)
        tank = replace(plant.vessels[0], design_pressure=set_gauge + 101325.0, pressure=5e5)
        site = replace(plant.site, ambient_temperature=293.15)
        return replace(plant, vessels=(tank,), site=site)

    assert found(whole(1.03), "relief-capacity-too-small") == []
    (told,) = found(whole(0.97), "relief-capacity-too-small")
    assert told.part == "R1"
    assert "Compressor C1 can deliver" in finding_text(told, Units())


def test_all_machines_that_feed_a_section_count_together():
    two = (machine(), machine(id="C2"))
    valve = relief(set_pressure=12.01325e5, area=14e-6, discharge_coefficient=0.7)
    assert found(fed(valve), "relief-capacity-too-small") == []
    assert len(found(fed(valve, machines=two), "relief-capacity-too-small")) == 1
    (none,) = found(fed(), "relief-capacity-too-small")
    assert finding_text(none, Units()).startswith("No relief valve or disc lets air out")


# examinations


def rows(rules: str, **changes: object):
    choices = Choices(examination_rules=rules)  # type: ignore[arg-type]
    whole = replace(installation(vessel(design_pressure=11.01325e5, **changes)), choices=choices)
    return examination_rows(whole, DAY)[0]


@pytest.mark.parametrize(
    ("rules", "volume", "asked", "months"),
    # BetrSichV annex 2 part 4 (read): 50 to 1000 bar L a qualified person, above an approved body;
    # PSSR: a written scheme from 250 bar L (read, second hand). At 10 bar.
    [
        ("BetrSichV", 0.0049, "", None), ("BetrSichV", 0.0051, "qualified person", 120),
        ("BetrSichV", 0.0999, "qualified person", 120), ("BetrSichV", 0.101, "approved body", 60),
        ("PSSR", 0.024, "", None), ("PSSR", 0.026, "written scheme", None),
        ("none, local law", 2.0, "", None),
    ],
)  # fmt: skip
def test_rules_ask_by_pressure_times_volume(rules, volume, asked, months):
    row = rows(rules, volume=volume)
    assert (row.asked_by, row.longest_months) == (asked, months)
    assert row.status == ("no date" if asked else None)


def test_an_examination_is_overdue_the_day_after():
    def status(day: dt.date):
        return rows("none, local law", examined=day, examine_every=24).status

    assert status(dt.date(2024, 11, 1)) == "due soon"
    assert status(dt.date(2024, 10, 31)) == "overdue"
    assert status(dt.date(2026, 1, 1)) == "in date"


def test_examinations_are_found():
    old = fed(relief(area=1e-3), examined=dt.date(2020, 1, 1), examine_every=24)
    (told,) = found(old, "examination-due")
    assert told.severity == "warning"
    assert "was due on" in finding_text(told, Units())
    rare = replace(
        fed(relief(area=1e-3), examined=dt.date(2025, 1, 1), examine_every=120),
        choices=Choices(examination_rules="BetrSichV"),
    )
    (told,) = found(rare, "examined-too-rarely")
    assert "at most 60 months" in finding_text(told, Units())
    valve = relief(area=1e-3, examined=dt.date(2020, 1, 1), examine_every=12)
    assert [one.part for one in found(fed(valve), "examination-due")] == ["RV1"]


# wear


def readings(*pairs: tuple[int, float], spot: str = "") -> tuple[Reading, ...]:
    return tuple(
        Reading(id=f"M{year}{spot}", on="R1", date=dt.date(year, 1, 1), thickness=wall, spot=spot)
        for year, wall in pairs
    )


def test_wear_by_hand():
    """8 mm in 2016, 7 mm in 2021, 5.8 mm in 2026: 0.2 mm a year, of late 0.24."""
    whole = replace(
        installation(vessel(wall_thickness=0.0058)),
        readings=readings((2016, 0.008), (2021, 0.007), (2026, 0.0058)),
    )
    (one,) = wear_of(whole)
    assert one.rate_m_per_year == pytest.approx(0.24e-3, rel=0.002)
    assert one.needed_m is not None
    assert one.left_years == pytest.approx((0.0058 - one.needed_m) / 0.24e-3, rel=0.002)


def test_the_needed_wall_carries_the_design_pressure_and_a_thinner_one_does_not():
    tank = vessel()
    needed = needed_wall(tank, 101325.0)
    assert needed is not None
    wanted = tank.design_pressure - 101325.0
    carried = carried_pressure(replace(tank, wall_thickness=needed, measured=True))
    assert carried == pytest.approx(wanted, rel=1e-6)


def test_spots_are_not_compared_with_each_other():
    whole = replace(
        installation(vessel()),
        readings=(*readings((2016, 0.008), spot="top"), *readings((2026, 0.007), spot="low")),
    )
    assert wear_of(whole) == ()


def test_wear_and_thin_readings_are_found():
    worn = replace(fed(relief(area=1e-3)), readings=readings((2016, 0.008), (2026, 0.0069)))
    (told,) = found(worn, "wall-wears-away")
    assert "loses 0.11 mm a year" in finding_text(told, Units()).replace("\u00a0", " ")
    (thin,) = found(worn, "reading-thinner-than-file")
    assert thin.severity == "warning"  # the runs reckon with it
    gone = replace(worn, readings=readings((2016, 0.008), (2026, 0.002)))
    (told,) = found(gone, "wall-wears-away")
    assert told.severity == "danger"
    assert finding_cure(told, Units()).startswith("Take vessel R1 out of use")


# rooms


@pytest.mark.parametrize(
    ("gauge", "volume", "room", "rise"),
    # computed outside the program from the balance: 11 bar(g), 1 m3 into 100 m3; 8 bar(a), 270 L
    # into 30 m3; 40 bar(g), 1 m3 into 200 m3
    [(11e5, 1.0, 100.0, 10.89e3), (8e5, 0.27, 30.0, 7.14e3), (40e5, 1.0, 200.0, 19.90e3)],
)
def test_the_air_of_a_vessel_raises_the_pressure_of_a_closed_room(gauge, volume, room, rise):
    found_ = closed_room_pressure(gauge + 101325.0, volume, 101325.0, room) - 101325.0
    assert found_ == pytest.approx(rise, rel=2e-3)


@given(p=st.floats(1.1e5, 5e6), v=st.floats(1e-3, 10.0), room=st.floats(1.0, 1e5))
def test_the_mixed_air_holds_what_both_held(p, v, room):
    """Analytic: the sum of pressure times volume stays."""
    mixed = closed_room_pressure(p, v, 1e5, room)
    assert mixed * (v + room) == pytest.approx(p * v + 1e5 * room, rel=1e-12)
    assert 1e5 <= mixed <= p


def test_a_vessel_in_a_small_room_says_so():
    room = Room(id="Hall", volume=150.0)
    small = replace(fed(relief(area=1e-3), area="hall"), rooms=(room,))
    (told,) = found(small, "room-bursts-with-vessel")
    assert "in room Hall with its doors shut" in finding_text(told, Units())
    large = replace(small, rooms=(replace(room, volume=1e5),))
    assert found(large, "room-bursts-with-vessel") == []


# clean air


def test_plugs_behind_oil_or_water_are_told_and_a_filter_and_a_dryer_help():
    def told(lubrication: str, roles: tuple[str, ...], **changes: object):
        tanks = [vessel(f"F{n}", role=role) for n, role in enumerate(roles)]
        names = ["C1", *(tank.id for tank in tanks), "R1"]
        lines = [line(f"L{a}", a, b) for a, b in itertools.pairwise(names)]
        whole = replace(
            installation(vessel(), *tanks, *lines, plug(**changes), relief(area=1e-3)),
            compressors=(machine(lubrication=lubrication),),
        )
        return [one.values["variant"] for one in found(whole, "plug-can-foul")]

    assert told("oil-lubricated", ()) == [""]
    assert told("oil-lubricated", ("dryer",)) == ["oil"]
    assert told("oil-lubricated", ("filter",)) == ["water"]
    assert told("oil-free", ()) == ["water"]
    assert told("oil-flooded", ("filter", "dryer")) == []
    assert told("oil-lubricated", (), renew_every=6) == []


# name plates


def plate(**changes: object):
    values: dict[str, object] = {
        "maker": "Invented works", "year_made": 2004, "test_pressure": 17.51325e5,
        "pressure": 9.01325e5,
    }  # fmt: skip
    return fed(
        relief(area=1e-3, maker="Invented works", year_made=2004), **{**values, **changes}
    )  # fmt: skip


PLATE_RULES = ("name-plate-not-in-file", "test-pressure-too-low", "year-made-impossible")


def plates(whole: Installation):
    answer = assess(whole, DAY, bores=False)
    return [
        (one.rule, one.severity, one.part) for one in answer.findings if one.rule in PLATE_RULES
    ]


def test_a_plate_that_goes_with_the_file_is_not_told():
    assert plates(plate()) == []


def test_all_missing_plates_are_one_note():
    (note,) = found(fed(relief(area=1e-3)), "name-plate-not-in-file")
    assert (note.severity, note.part, note.values["parts"]) == ("note", "", ("R1", "RV1"))
    for lacking in ({"maker": " "}, {"year_made": None}, {"test_pressure": None}):
        assert plates(plate(**lacking)) == [("name-plate-not-in-file", "note", "")]


@pytest.mark.parametrize(
    ("gauge_bar", "severity"),
    # design 11 bar(g): 1.1 times is 12.1 (ASME VIII UG-100, from memory); 12.05 is that as a
    # plate prints it; the relief valve opens at 10.99
    [(12.1, None), (12.05, None), (11.9, "warning"), (11.1, "warning"), (10.9, "danger"),
     (7.9, "danger")],
)  # fmt: skip
def test_a_test_pressure_that_cannot_go_with_the_file_is_told(gauge_bar, severity):
    told = plates(plate(test_pressure=gauge_bar * 1e5 + 101325.0))
    assert told == ([] if severity is None else [("test-pressure-too-low", severity, "R1")])


def test_a_year_to_come_or_after_an_examination_is_told():
    impossible = [("year-made-impossible", "warning", "R1")]
    assert plates(plate(year_made=DAY.year)) == []
    assert plates(plate(year_made=DAY.year + 1)) == impossible
    examined = {"examined": dt.date(2020, 5, 1), "examine_every": 120}
    assert plates(plate(year_made=2020, **examined)) == []
    assert plates(plate(year_made=2021, **examined)) == impossible
    seen = Inspection(on="R1", date=dt.date(2003, 12, 31), by="Invented", condition="clean")
    assert plates(replace(plate(), inspections=(seen,))) == impossible
