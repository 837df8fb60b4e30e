"""Where the air comes out: outdoors where nobody passes, or a finding."""

from __future__ import annotations

from typing import Any

import pytest

from airrisk.installation.fields import OUTDOORS, PEOPLE_PASS
from airrisk.installation.model import Installation, People, Room
from airrisk.study.discharges import room_entered
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.networks import disc, line, relief, vessel
from tests.study.rule_plants import found, severities, sound, sound_plug

RULE = "outlet-into-occupied-place"
PIPED = {"outlet": "piped", "outlet_length": 1.0, "outlet_diameter": 0.05}


def hall(extinguishing: str = "none", volume: float = 30.0, **other: Any) -> Installation:
    """Receiver and line stand in a hall that is a room of the file; an office is near."""
    values: dict[str, Any] = {
        "vessels": (vessel("R1", area="packing hall"),),
        "lines": (line("L1", "C1", "R1", area="packing hall"),),
        "rooms": (Room(id="Hall", volume=volume, area="packing hall",
                       extinguishing=extinguishing),),
        "people": (People(id="Office-2", at=(0.0, 0.0), kind="building"),),
    }  # fmt: skip
    return sound(**(values | other))


@pytest.mark.parametrize(
    ("place", "extinguishing", "outlet", "expected", "variant"),
    [
        (OUTDOORS, "none", PIPED, [], ""),
        (OUTDOORS, "gas", PIPED, [], ""),
        # no pipe leads it out of the hall in which it stands, whatever is stated
        (OUTDOORS, "none", {}, ["warning"], "inside"),
        (OUTDOORS, "gas", {}, ["danger"], "gas"),
        ("Hall", "none", PIPED, ["warning"], "occupied"),
        ("Hall", "gas", PIPED, ["danger"], "gas"),
        (PEOPLE_PASS, "none", PIPED, ["warning"], "people"),
        (PEOPLE_PASS, "gas", {}, ["danger"], "gas"),
        (None, "none", PIPED, ["note"], "unstated"),
        (None, "none", {}, ["note"], "unstated"),
        (None, "gas", PIPED, ["note"], "unstated"),
        (None, "gas", {}, ["danger"], "gas"),
    ],
)
def test_outlet_of_a_plug_by_its_place(
    place: str | None, extinguishing: str, outlet: dict[str, Any], expected: list[str], variant: str
) -> None:
    plug = sound_plug(outlet_place=place, **outlet)
    findings = found(RULE, hall(extinguishing, plugs=(plug,)))
    assert [one.severity for one in findings if one.part == "P1"] == expected
    for one in findings:
        assert one.values["variant"] == variant
        said = finding_text(one, Units()) + finding_cure(one, Units())
        assert "{" not in said


@pytest.mark.parametrize(
    ("text", "extinguishing", "expected"),
    [
        ("packing hall", "none", ["warning"]),
        ("near Office-2 window", "none", ["warning"]),
        ("Office 2", "none", ["warning"]),
        # words alone never make an outlet a stated one
        ("packing hallway roof", "none", ["note"]),
        ("packing hall, no access", "none", ["note"]),
        ("outdoors above the roof, no access", "none", ["note"]),
        ("walkway", "none", ["note"]),
        ("", "none", ["note"]),
        ("packing hall", "gas", ["danger"]),
    ],
)
def test_words_beside_an_outlet_can_only_make_it_worse(
    text: str, extinguishing: str, expected: list[str]
) -> None:
    loose = sound_plug(discharges_to=text, outlet_place=None, **PIPED)
    assert severities(RULE, hall(extinguishing, plugs=(loose,))) == expected
    stated = sound_plug(discharges_to=text, outlet_place=OUTDOORS, **PIPED)
    assert severities(RULE, hall(extinguishing, plugs=(stated,))) == []


def test_relief_valves_and_discs_are_asked_too() -> None:
    valve, plate = relief("S1", "R1"), disc("D1", "R1")
    plant = sound(relief_valves=(valve,), bursting_discs=(plate,))
    findings = found(RULE, plant)
    assert {(one.part, one.severity) for one in findings} == {("S1", "note"), ("D1", "note")}
    people = relief("S1", "R1", outlet_place=PEOPLE_PASS)
    (one,) = found(RULE, sound(relief_valves=(people,)))
    assert finding_text(one, Units()) == "Relief valve S1 blows where people pass."
    gas = relief("S1", "R1", outlet_place="Hall")
    (one,) = found(RULE, hall("gas", relief_valves=(gas,), plugs=(sound_plug(**PIPED),)))
    assert one.severity == "danger"
    assert "At most" in finding_text(one, Units())  # it shuts again
    # a relief valve may be piped: outdoors is believed
    out = relief("S1", "R1", outlet_place=OUTDOORS)
    assert found(RULE, hall("gas", relief_valves=(out,), plugs=(sound_plug(**PIPED),))) == []


def test_a_room_that_is_withheld_for_a_mistake_is_still_no_place_outdoors() -> None:
    plant = sound(plugs=(sound_plug(outlet_place="Hall"),))
    assert room_entered(plant, plant.plugs[0]) is None
    (one,) = found(RULE, plant)
    assert (one.severity, one.values["place"]) == ("warning", "Hall")


def test_large_room_with_gas_is_a_warning() -> None:
    plant = sound(
        plugs=(sound_plug(outlet_place="Hall"),),
        rooms=(Room(id="Hall", volume=3000.0, extinguishing="gas"),),
    )
    (one,) = found(RULE, plant)
    assert one.severity == "warning"
    # arithmetic: 1 m3 and the line at 10 bar(g), 35 degC, brought to 15 degC and 1 atm
    free = (1.101325e6 / 308.15 - 101325 / 288.15) * 288.15 / 101325
    assert one.values["free_air_m3"] == pytest.approx(free, rel=0.03)


def test_the_room_that_the_air_enters() -> None:
    plant = hall(rooms=(Room(id="Hall", volume=30.0, area="packing hall"),
                        Room(id="Shed", volume=9.0)))  # fmt: skip

    def room(**values: Any) -> str | None:
        one = room_entered(plant, sound_plug(**({"outlet_place": None} | values)))
        return None if one is None else one.id

    assert room() == "Hall"  # an open plug, where it stands
    assert room(discharges_to="above the roof") == "Hall"
    assert room(discharges_to="shed") == "Shed"
    assert room(outlet_place="Shed", discharges_to="hall") == "Shed"
    assert room(outlet_place=OUTDOORS, discharges_to="shed") == "Hall"
    assert room(outlet_place=OUTDOORS, **PIPED) is None
    assert room(outlet_place=PEOPLE_PASS, **PIPED) is None
    assert room(**PIPED) is None
    assert room(discharges_to="shed", **PIPED) == "Shed"
