"""Mistakes about sources of fire, walls and rooms: part, field, value and what is valid."""

from __future__ import annotations

import pytest

from airrisk.installation.problems import SystemFileErrors
from airrisk.installation.reading import read

TANK = """\
format = 2
[[vessel]]
id = "R1"
inside_diameter = "1 m"
volume = "1 m3"
wall_thickness = "8 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"
at = [0.0, 0.0]
"""


def told(more: str) -> str:
    with pytest.raises(SystemFileErrors) as found:
        read(TANK + more)
    return str(found.value)


def source(fields: str) -> str:
    return f'[[fire_source]]\nid = "S1"\nat = [5.0, 0.0]\n{fields}\n'


@pytest.mark.parametrize(
    ("fields", "key", "message"),
    [
        ('diameter = "1 m"', "fuel", 'missing; kind = "pool" needs it'),
        ('fuel = "diesel"', "diameter", 'missing; kind = "pool" needs it'),
        ('fuel = "diesel"\ndiameter = "1 m"\nsurface = "1 m2"', "surface", "is given as well"),
        ('fuel = "rocket"\ndiameter = "1 m"', "fuel", "petrol"),
        ('fuel = "hydrogen"\ndiameter = "1 m"', "fuel", "makes no pool"),
        ('kind = "jet"', "mass_flow", 'missing; kind = "jet" needs it'),
        ('kind = "jet"\nmass_flow = "1 kg/s"', "fuel", "the mass flow needs it"),
        ('kind = "jet"\nlength = "2 m"\ndiameter = "1 m"', "diameter", "not used by"),
        ('kind = "jet"\nlength = "2 m"\ndirection = "90"', "direction", "no unit"),
        ('kind = "goods"\ndiameter = "1 m"', "heat_release", "needs it"),
        ('kind = "goods"\nheat_release = "1 MW"', "diameter", "needs it"),
        ('kind = "goods"\nheat_release = "1 MW"\ndiameter = "1 m"\nvolume = "1 L"', "volume",
         "not used by"),
    ],
)  # fmt: skip
def test_a_source_tells_what_it_lacks_or_does_not_use(fields, key, message):
    text = told(source(fields))
    assert "source of fire S1" in text
    assert key in text
    assert message in text


def test_a_source_inside_a_vessel_or_in_the_place_of_another_is_a_mistake():
    inside = 'fuel = "diesel"\ndiameter = "1 m"\nelevation = "0.5 m"'
    assert "inside vessel R1" in told(source(inside).replace("[5.0, 0.0]", "[0.1, 0.0]"))
    one = source('fuel = "diesel"\ndiameter = "1 m"')
    assert "already the place of source of fire S1" in told(one + one.replace("S1", "S2"))
    below = source('fuel = "diesel"\ndiameter = "1 m"').replace("[5.0, 0.0]", "[0.1, 0.0]")
    assert read(TANK + below).fire_sources[0].at == (0.1, 0.0)


def test_an_upright_vessel_has_no_direction():
    assert "the vessel stands upright" in told('direction = "30 deg"\n')


@pytest.mark.parametrize(
    ("points", "message"),
    [
        ("[[0.0, 0.0]]", "not a list of 2 to 200 places"),
        ("[[0.0, 0.0], [0.0, 0.0]]", "the same place twice"),
        ('[[0.0, 0.0], ["a", 1.0]]', "not a place"),
        ("[[0.0, 0.0], [1e9, 0.0]]", "out of range"),
        ("5", "not a list"),
    ],
)
def test_a_wall_has_places_apart(points, message):
    assert message in told(f'[[wall]]\nid = "W1"\npoints = {points}\nheight = "2 m"\n')


def test_what_decides_the_gas_of_a_room_is_given_whole_or_not_at_all():
    room = '[[room]]\nid = "Hall"\nvolume = "100 m3"\n'
    text = told(room + 'height = "3 m"\n')
    for key in ("vent_area", "vent_height", "lining"):
        assert f"Hall, {key}: missing; height is given" in text
    whole = 'height = "3 m"\nvent_area = "1 m2"\nvent_height = "4 m"\nlining = "brick"\n'
    assert "higher than the room" in told(room + whole)
