"""Copies of parts: with what stands on them, and without what was seen on the first only."""

from __future__ import annotations

import datetime as dt

from airrisk.editing import copies
from airrisk.installation.model import Vessel
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from tests.editing.systems import SMALL


def test_a_copied_vessel_brings_its_devices_and_their_valves_along() -> None:
    text = SystemText(SMALL).add("valve", {"id": "V2", "on": "RV1"})
    after, new = copies.duplicated(text, ["R1"])
    installation, problems = check(after.text)
    assert problems == []
    assert installation is not None
    assert set(new) == {"R1", "FP1", "RV1", "V2"}
    assert installation.find(new["FP1"]).on == new["R1"]  # type: ignore[attr-defined]
    assert installation.find(new["V2"]).on == new["RV1"]  # type: ignore[attr-defined]


def test_a_line_between_two_copied_vessels_joins_the_copies() -> None:
    after, new = copies.duplicated(SystemText(SMALL), ["R1", "R2", "L1"])
    line = after.block(new["L1"])
    assert (line["from"], line["to"]) == (new["R1"], new["R2"])
    assert after.block(new["V1"])["on"] == new["L1"]
    assert len(new) == 6


def test_nobody_has_said_of_a_copied_plug_that_it_is_clean_and_in_date() -> None:
    """A plug that the program has copied would else count in a fire."""
    after, new = copies.duplicated(SystemText(SMALL), ["R1"])
    assert set(after.block(new["FP1"])["offered"]) == {"condition", "fitted"}
    pasted = copies.pasted(SystemText(SMALL), copies.copied(SystemText(SMALL), ["R1", "FP1"]))
    assert pasted is not None
    assert set(pasted[0].block(pasted[1][1])["offered"]) == {"condition", "fitted"}


def test_the_thickness_measured_on_one_vessel_is_not_measured_on_its_copy() -> None:
    text = SystemText(SMALL).set("R1", "measured", True).set("R1", "year_made", 1998)
    after, new = copies.duplicated(text, ["R1"])
    installation, problems = check(after.text)
    assert problems == []
    assert installation is not None
    copy = installation.find(new["R1"])
    assert isinstance(copy, Vessel)
    assert (copy.measured, copy.year_made) == (False, None)
    assert copy.offered == ("wall_thickness",)


def test_parts_that_are_cut_and_pasted_are_the_same_pieces() -> None:
    text = SystemText(SMALL).set("R1", "measured", True)
    clipboard = copies.copied(text, ["R1"])
    empty = SystemText("format = 2\n")
    pasted = copies.pasted(empty, clipboard, moved=True)
    assert pasted is not None
    assert pasted[0].block("R1")["measured"] is True


def test_what_is_pasted_into_another_file_was_never_seen_there() -> None:
    """Its plug gets no credit until somebody says of it what was seen on the first."""
    text = SystemText(SMALL).set("R1", "measured", True)
    text = text.set("FP1", "condition", "clean").set("FP1", "fitted", dt.date(2026, 1, 1))
    other = SystemText("format = 2\n")
    pasted = copies.pasted(other, copies.copied(text, ["R1", "FP1"]))
    assert pasted is not None
    assert "measured" not in pasted[0].block("R1")
    assert {"condition", "fitted"} <= set(pasted[0].block("FP1")["offered"])


def test_a_long_id_stays_within_its_limit() -> None:
    name = "R" + 39 * "9"
    text = SystemText(SMALL).rename("R2", name)
    after, _new = copies.duplicated(text, [name])
    assert check(after.text)[1] == []


def test_a_copy_of_a_part_has_no_place_until_somebody_says_it() -> None:
    """Distances to people and fires are worked out from it."""
    text = SystemText(SMALL).set("R1", "drawn", [4, 2])
    after, new = copies.duplicated(text, ["R1"])
    assert {"at", "drawn"}.isdisjoint(after.block(new["R1"]))
    assert after.block("R1")["drawn"] == [4, 2]
    pasted = copies.pasted(text, copies.copied(text, ["R1"]))
    assert pasted is not None
    assert {"at", "drawn"}.isdisjoint(pasted[0].block(pasted[1][0]))
    people = SystemText(SMALL).add("people", {"id": "Bench", "at": [6.0, 0.0]})
    after, new = copies.duplicated(people, ["Bench"])
    assert after.block(new["Bench"])["at"] == [7.5, -1.5]  # it must have one
