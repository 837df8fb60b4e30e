"""Upkeep register, walk sheet and exports."""

from __future__ import annotations

import csv
import datetime as dt
import io

import icalendar
import pytest

from airrisk.installation.model import Choices, Inspection, Installation, Junction, Valve
from airrisk.installation.plug_state import add_months, plug_state
from airrisk.study.upkeep import (
    register_calendar,
    register_csv,
    safe_cell,
    step_after,
    upkeep_rows,
    walk_csv,
    walk_stops,
)
from airrisk.wording.walk import question
from tests.study.networks import compressor, line, plug, relief, vessel

DAY = dt.date
STAMP = dt.datetime(2026, 11, 1, 8, 30, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("start", "months", "expected"),
    [
        (DAY(2026, 1, 31), 1, DAY(2026, 2, 28)),
        (DAY(2028, 1, 31), 1, DAY(2028, 2, 29)),
        (DAY(2026, 1, 31), 3, DAY(2026, 4, 30)),
        (DAY(2026, 8, 31), 6, DAY(2027, 2, 28)),
        (DAY(2024, 2, 29), 12, DAY(2025, 2, 28)),
        (DAY(2026, 12, 15), 1, DAY(2027, 1, 15)),
        (DAY(2026, 3, 2), 12, DAY(2027, 3, 2)),
    ],
)
def test_months_are_calendar_months(start: dt.date, months: int, expected: dt.date) -> None:
    assert add_months(start, months) == expected  # analytic


def test_steps_of_days_weeks_months_and_years() -> None:
    start = DAY(2026, 1, 31)
    assert step_after(start, "30 days") == DAY(2026, 3, 2)
    assert step_after(start, "6 weeks") == DAY(2026, 3, 14)
    assert step_after(start, "1 month") == DAY(2026, 2, 28)
    assert step_after(start, "1 year") == DAY(2027, 1, 31)


def plant(*inspections: Inspection, **fields: object) -> Installation:
    values = {"fitted": DAY(2026, 3, 2), "condition": "clean"} | fields
    return Installation(
        vessels=(vessel("R1"),), plugs=(plug("P1", "R1", **values),), inspections=inspections
    )


@pytest.mark.parametrize(
    ("on", "status", "left"),
    [
        (DAY(2027, 1, 1), "in date", 60),
        (DAY(2027, 1, 2), "due soon", 59),
        (DAY(2027, 3, 2), "due soon", 0),
        (DAY(2027, 3, 3), "overdue", -1),
    ],
)
def test_status_changes_on_the_due_dates(on: dt.date, status: str, left: int) -> None:
    (row,) = upkeep_rows(plant(), on)
    assert (row.status, row.days_left, row.due) == (status, left, DAY(2027, 3, 2))


def test_due_soon_span_is_a_choice() -> None:
    wide = Installation(
        vessels=(vessel("R1"),),
        plugs=(plug("P1", "R1", fitted=DAY(2026, 3, 2), condition="clean"),),
        choices=Choices(due_soon="6 months"),
    )
    assert upkeep_rows(wide, DAY(2026, 10, 1))[0].status == "due soon"


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"condition": "painted over"}, "painted over"),
        ({"condition": "unknown"}, "unknown"),
        ({"alloy": None}, "alloy"),
        ({"offered": ("bore",)}, "offered"),
    ],
)
def test_a_plug_that_nobody_may_count_on_is_not_called_in_date(fields, why) -> None:
    system = plant(**fields)
    (row,) = upkeep_rows(system, DAY(2026, 11, 1))
    assert (row.status, row.uncredited, row.days_left) == ("no credit", why, 121)
    (late,) = upkeep_rows(system, DAY(2027, 3, 3))
    assert late.status == "overdue"  # that comes first
    assert upkeep_rows(plant(), DAY(2026, 11, 1))[0].uncredited == ""


def test_plug_without_a_date_counts_as_overdue() -> None:
    undated = plant(fitted=None)
    (row,) = upkeep_rows(undated, DAY(2026, 11, 1))
    assert (row.status, row.due, row.days_left) == ("no date", None, None)
    state = plug_state(undated, undated.plugs[0], DAY(2026, 11, 1))
    assert state.overdue
    assert state.uncredited == "no date"


def test_renewal_moves_the_due_date_and_makes_the_plug_clean() -> None:
    renewed = plant(Inspection(on="p1", date=DAY(2026, 9, 1), renewed=True), condition="corroded")
    (row,) = upkeep_rows(renewed, DAY(2026, 11, 1))
    assert row.due == DAY(2027, 9, 1)
    assert (row.condition, row.last_inspection) == ("clean", DAY(2026, 9, 1))
    before = plug_state(renewed, renewed.plugs[0], DAY(2026, 8, 31))
    assert before.condition == "corroded"  # the entry is not known yet
    assert not before.credited


def test_last_entry_rules_and_the_later_one_of_a_day() -> None:
    entries = (
        Inspection(on="P1", date=DAY(2026, 8, 1), condition="scaled"),
        Inspection(on="P1", date=DAY(2026, 6, 1), condition="clean"),
        Inspection(on="P1", date=DAY(2026, 8, 1), condition="oil film"),
    )
    state = plug_state(plant(*entries), plant().plugs[0], DAY(2026, 11, 1))
    assert state.condition == "oil film"
    assert state.credited


def test_entries_before_fitting_tell_of_the_plug_before() -> None:
    old = plant(Inspection(on="P1", date=DAY(2026, 1, 1), condition="corroded"))
    assert plug_state(old, old.plugs[0], DAY(2026, 11, 1)).condition == "clean"


@pytest.mark.parametrize(
    ("condition", "credited"),
    [
        ("clean", True),
        ("oil film", True),
        ("corroded", False),
        ("scaled", False),
        ("painted over", False),
        ("unknown", False),
    ],
)
def test_only_sound_plugs_are_credited(condition: str, credited: bool) -> None:
    system = plant(condition=condition)
    state = plug_state(system, system.plugs[0], DAY(2026, 11, 1))
    assert state.credited is credited
    assert state.uncredited == ("" if credited else condition)


def test_plug_of_unknown_alloy_is_not_credited() -> None:
    system = plant(alloy=None)
    assert plug_state(system, system.plugs[0], DAY(2026, 11, 1)).uncredited == "alloy"


def test_register_lists_the_most_urgent_first() -> None:
    system = Installation(
        vessels=(vessel("R1"),),
        plugs=(
            plug("P1", "R1", fitted=DAY(2026, 5, 1)),
            plug("P2", "R1", fitted=DAY(2025, 5, 1)),
            plug("P3", "R1"),
        ),
    )
    rows = upkeep_rows(system, DAY(2026, 11, 1))
    assert [row.device for row in rows] == ["P3", "P2", "P1"]


def station() -> Installation:
    """Two compressors, a receiver, a line drawn against the flow, a ring and a lone vessel."""
    return Installation(
        compressors=(compressor("C1"), compressor("C2")),
        vessels=(vessel("R9"), vessel("R1"), vessel("R2")),
        junctions=(Junction(id="J1"), Junction(id="J2")),
        lines=(
            line("L3", "R2", "R1"),  # drawn against the flow
            line("L1", "C1", "R1"),
            line("L2", "C2", "R1"),
            line("L4", "R2", "J1"),
            line("L5", "J1", "J2"),
            line("L6", "J2", "J1"),
        ),
        valves=(
            Valve(id="V1", on="L1", end="to", order=0),
            Valve(id="N1", on="L1", end="to", kind="non-return", order=1),
            Valve(id="V3", on="L3", end="to"),
            Valve(id="V5", on="L5", end="from", state="locked open"),
            Valve(id="V7", on="P1"),
        ),
        plugs=(plug("P1", "R1"), plug("P2", "L1")),
        relief_valves=(relief("S1", "R1"),),
    )


def test_walk_follows_the_air_from_the_compressors() -> None:
    stops = walk_stops(station())
    places = [stop.place for stop in stops]
    assert places == [
        "C1", "P2", "N1", "V1", "C2", "R1", "V7", "P1", "S1", "V3", "R2", "V5", "R9"
    ]  # fmt: skip
    assert [stop.number for stop in stops] == list(range(1, len(stops) + 1))
    by_place = {stop.place: stop for stop in stops}
    assert by_place["V5"].question_key == "locked-open"
    assert by_place["N1"].question_key == "non-return"
    assert by_place["V7"].on == "P1"
    assert by_place["R2"].question_key == "part-without-plug"
    assert by_place["P2"].section == "C1+L1"


def test_every_valve_and_device_has_one_row() -> None:
    system = station()
    places = [stop.place for stop in walk_stops(system)]
    wanted = {v.id for v in system.valves} | {d.id for d in system.devices()}
    assert wanted <= set(places)
    assert len(places) == len(set(places))


def test_register_as_csv_reads_back() -> None:
    text = register_csv(upkeep_rows(plant(), DAY(2027, 3, 5)))
    (row,) = csv.DictReader(io.StringIO(text))
    assert row["due"] == "2027-03-02"
    assert row["days left"] == "-3"  # a number of ours stays a number
    assert row["status"] == "overdue"


@pytest.mark.parametrize("mark", ["=1+1", "+1", "-1", "@sum", "\tx", "\rx", "\n=1"])
def test_no_cell_can_be_taken_for_a_formula(mark: str) -> None:
    text = walk_csv(walk_stops(station()), lambda _: mark)
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert {row["question"] for row in rows} == {f"'{mark}"}
    assert safe_cell("clean") == "clean"


def test_walk_sheet_as_csv_has_blanks_to_fill_in() -> None:
    rows = list(csv.DictReader(io.StringIO(walk_csv(walk_stops(station()), lambda key: f"{key}?"))))
    assert rows[0]["question"] == "compressor?"
    assert {row["found"] for row in rows} == {""}


def test_calendar_has_one_event_for_each_dated_plug() -> None:
    system = Installation(
        vessels=(vessel("R1"),),
        plugs=(plug("P1", "R1", fitted=DAY(2026, 1, 31), renew_every=1), plug("P2", "R1")),
    )
    rows = upkeep_rows(system, DAY(2026, 2, 1))
    text = register_calendar(rows, "Slate works; hall, north", STAMP)
    assert text == register_calendar(rows, "Slate works; hall, north", STAMP)
    book = icalendar.Calendar.from_ical(text)
    (event,) = book.walk("VEVENT")
    assert event.decoded("dtstart") == DAY(2026, 2, 28)
    assert event.decoded("dtend") == DAY(2026, 3, 1)
    assert event.decoded("dtstamp") == STAMP
    assert str(event["summary"]) == "Renew fusible plug P1 on R1"
    assert str(event["location"]) == "Slate works; hall, north"


def test_later_export_replaces_the_earlier_event() -> None:
    def uid(fitted: dt.date) -> str:
        rows = upkeep_rows(plant(fitted=fitted), DAY(2026, 11, 1))
        book = icalendar.Calendar.from_ical(register_calendar(rows, "Works", STAMP))
        return str(book.walk("VEVENT")[0]["uid"])

    assert uid(DAY(2026, 3, 2)) == uid(DAY(2026, 9, 2))


def test_calendar_refuses_a_time_without_zone() -> None:
    with pytest.raises(ValueError, match="time zone"):
        register_calendar((), "Works", dt.datetime(2026, 11, 1))


def test_a_plug_that_is_not_fitted_yet_is_not_counted_on() -> None:
    # property: on a day before the fitting date nothing stands there that a verdict may count on
    state = plug_state(plant(), plant().plugs[0], DAY(2026, 3, 1))
    assert not state.credited
    assert state.uncredited == "no date"
    assert plug_state(plant(), plant().plugs[0], DAY(2026, 3, 2)).credited


def test_before_the_fitting_date_the_predecessor_rules() -> None:
    whole = plant(
        Inspection(on="P1", date=DAY(2025, 9, 1), renewed=True),
        Inspection(on="P1", date=DAY(2025, 12, 1), condition="corroded"),
    )
    assert plug_state(whole, whole.plugs[0], DAY(2025, 10, 1)).credited
    assert plug_state(whole, whole.plugs[0], DAY(2026, 1, 1)).uncredited == "corroded"
    assert plug_state(whole, whole.plugs[0], DAY(2026, 3, 2)).credited


def test_the_walk_asks_about_insulation_and_about_plugs_under_it() -> None:
    layer = {"insulation_resistance": 0.4}
    system = Installation(
        vessels=(vessel("R1", **layer), vessel("R2", **layer), vessel("R3")),
        lines=(line("L1", "R1", "R2", **layer), line("L2", "R2", "R3")),
        plugs=(plug("P1", "R1"), plug("P2", "r1", stands_free=True), plug("P3", "R3"),
               plug("P4", "L1")),
    )  # fmt: skip
    stops = walk_stops(system)
    assert len({stop.place for stop in stops}) == len(stops)
    asked = {stop.place: question(stop.question_key) for stop in stops}
    whole = "Insulation whole, dry and fixed everywhere?"
    free = "Does its head stand free of the insulation?"
    assert {name for name, text in asked.items() if whole in text} == {"R1", "R2", "L1"}
    assert {name for name, text in asked.items() if free in text} == {"P1", "P2", "P4"}
    assert asked["L1"] == whole
    assert asked["R1"] == f"{asked['R1'].removesuffix(whole)}{whole}"
    assert asked["P1"] == f"{asked['P3']} {free}"
    assert "really none" in asked["R2"]
