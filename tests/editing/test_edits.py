"""Connect, duplicate, delete, copy and paste on the text."""

from __future__ import annotations

import datetime as dt

from airrisk.editing import copies, edits
from airrisk.installation.offered import offered_fields
from airrisk.installation.reading import check
from airrisk.installation.splice import SystemText
from tests.editing.systems import SMALL


def test_deleting_a_vessel_takes_what_hangs_on_it_and_leaves_a_valid_file() -> None:
    text = SystemText(SMALL)
    assert set(edits.dependents(text, ["R1"])) == {"L1", "V1", "FP1", "RV1"}
    after = edits.removed(text, ["R1"])
    installation, problems = check(after.text)
    assert problems == []
    assert installation is not None
    assert [v.id for v in installation.vessels] == ["R2"]
    assert installation.fires[0].reaches == ("R2",)
    assert after.text.startswith("# a first vessel")


def test_a_duplicate_has_a_new_name_and_no_place_yet() -> None:
    text, new = copies.duplicated(SystemText(SMALL), ["R1"])
    name = new["R1"]
    installation, problems = check(text.text)
    assert problems == []
    assert installation is not None
    copy = installation.find(name)
    assert copy.volume == 0.5  # type: ignore[attr-defined]
    assert copy.at is None  # type: ignore[attr-defined]


def test_copied_parts_can_be_pasted_with_their_references_kept_together() -> None:
    text = SystemText(SMALL)
    clipboard = copies.copied(text, ["R1", "FP1"])
    pasted = copies.pasted(text, clipboard)
    assert pasted is not None
    after, names = pasted
    installation, problems = check(after.text)
    assert problems == []
    assert installation is not None
    vessel, plug = names
    assert installation.find(plug).on == vessel  # type: ignore[attr-defined]
    kept = SMALL.replace("format = 1", "format = 2")  # which knows offered fields
    assert after.text.startswith(kept[:200])


def test_the_outlet_of_a_pasted_plug_is_in_the_pasted_room() -> None:
    text = SystemText(SMALL).add("room", {"id": "Hall", "volume": "60 m3"})
    text = text.set("FP1", "outlet_place", "Hall")
    pasted = copies.pasted(text, copies.copied(text, ["FP1", "Hall"]))
    assert pasted is not None
    installation, problems = check(pasted[0].text)
    assert problems == []
    assert installation is not None
    assert [plug.outlet_place for plug in installation.plugs] == ["Hall", installation.rooms[1].id]


def test_a_clipboard_of_something_else_is_not_pasted() -> None:
    assert copies.pasted(SystemText(SMALL), "just words") is None
    assert copies.pasted(SystemText(SMALL), "a = 1") is None


def test_what_adding_fills_in_is_offered_and_what_a_person_gives_is_not() -> None:
    text = edits.added(SystemText(SMALL), "plug", "FP9", {"on": "R1", "bore": "9 mm"})
    text = edits.added(text, "line", "L9", {"from": "R1", "to": "closed"})
    text = edits.added(text, "relief_valve", "RV9", {"on": "R2"})
    text = edits.added(text, "valve", "V9", {"on": "L9", "end": "to"})
    installation, problems = check(text.text)
    assert problems == []
    assert installation is not None
    assert offered_fields(installation) == {
        "FP9": ("alloy", "condition"), "RV9": ("set_pressure", "area"),
        "L9": ("length", "inside_diameter", "wall_thickness"),
    }  # fmt: skip
    copy, new = copies.duplicated(text, ["FP9"])
    assert copy.block(new["FP9"])["offered"] == ["alloy", "condition"]  # no confirmation


def test_every_kind_can_be_added_to_an_empty_file_in_order() -> None:
    text = SystemText("format = 1\n")
    more = {
        "line": {"from": "C1", "to": "R1"}, "valve": {"on": "L1", "end": "from"},
        "plug": {"on": "R1"}, "relief_valve": {"on": "R1"}, "bursting_disc": {"on": "R1"},
        "fire": {"reaches": ["R1"]}, "people": {"at": [10.0, 0.0]},
        "fire_source": {"at": [10.0, 0.0]}, "wall": {"points": [[8.0, -2.0], [8.0, 2.0]]},
        "reading": {"on": "R1", "date": dt.date(2026, 11, 1)},
    }  # fmt: skip
    for kind in edits.STARTS:
        name = edits.free_id(text, kind)
        text = edits.added(text, kind, name, more.get(kind, {}))
    installation, problems = check(text.text)
    assert problems == []
    assert installation is not None
    assert len(list(installation.parts())) == 5
