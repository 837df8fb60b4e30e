"""What a system file says comes out as SI records, whatever the order and the spelling."""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
import random
import time
import tomllib
from pathlib import Path

import pytest

from airrisk import quantities
from airrisk.installation import fields, reading
from airrisk.installation.fields import FIELDS, REPEATED, all_fields, spec
from airrisk.installation.literals import literal
from airrisk.installation.model import RECORDS, Spread
from airrisk.installation.reading import read

EVERY_FIELD = Path(__file__).parent / "every_field.toml"


@pytest.fixture(scope="module")
def text() -> str:
    return EVERY_FIELD.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def installation(text):
    return read(text)


def test_the_file_of_every_field_holds_every_field_of_the_format(text):
    raw = tomllib.loads(text)
    for kind, one in all_fields():
        tables = [raw] if not kind else raw[kind] if kind in REPEATED else [raw[kind]]
        assert any(one.key in table for table in tables), (kind, one.key)


def test_quantities_are_si_and_pressures_absolute(installation):
    # arithmetic: ambient is 1013 mbar
    vessel = installation.vessels[0]
    assert vessel.inside_diameter == pytest.approx(1.1)
    assert vessel.design_pressure == pytest.approx(1_201_300.0)
    assert vessel.pressure == pytest.approx(101_300.0 + 145 * 6894.757293168)
    assert vessel.temperature == pytest.approx(308.15)
    assert vessel.condensate == pytest.approx(0.003)
    assert vessel.at == (5.0, 2.5)
    assert installation.site.ambient_temperature == pytest.approx(288.15)
    assert installation.compressors[0].delivery == pytest.approx(0.1)
    assert installation.compressors[0].cut_in_pressure == pytest.approx(951_300.0)
    assert installation.vessels[1].design_pressure == pytest.approx(1.1e6)
    assert installation.lines[1].inside_diameter == pytest.approx(0.0508)
    assert installation.relief_valves[0].area == pytest.approx(78.5e-6)
    assert installation.plugs[0].body_mass == pytest.approx(0.12)
    assert installation.choices.small_section == pytest.approx(4000.0)
    assert installation.choices.running_margin == pytest.approx(25.0)
    assert [x for point in installation.fires[3].points for x in point] == pytest.approx(
        [0.0, 293.15, 300.0, 873.15, 1800.0, 1173.15]
    )


def test_dates_months_and_words(installation):
    assert installation.plugs[0].fitted == dt.date(2026, 2, 10)
    assert installation.plugs[0].renew_every == 12
    assert installation.choices.due_soon == "6 weeks"
    assert installation.about.date == dt.date(2026, 10, 20)
    assert installation.plugs[1].alloy is None
    assert installation.compressors[0].in_fire == "stops"


def test_references_take_the_spelling_of_the_id(installation):
    assert installation.lines[1].from_ == "R1"
    assert installation.lines[3].to == "closed"
    assert installation.lines[4].to == "atmosphere"


def test_valves_at_one_end_count_outward_in_the_order_of_the_file(installation):
    assert [(v.id, v.order) for v in installation.valves] == [("V1", 0), ("V2", 1), ("V3", 0)]


def test_what_was_typed_is_known(installation):
    assert installation.vessels[1].given == {
        "id", "inside_diameter", "cylinder_length", "wall_thickness", "material",
        "design_pressure", "pressure", "offered", "insulation_resistance",
    }  # fmt: skip
    assert "weld_factor" in installation.vessels[0].given
    assert "strength_basis" in installation.choices.given


def test_left_out_fields_take_what_others_decide(installation):
    # a vessel without temperature stands at that of the site; a share left out is the whole part
    assert installation.vessels[1].temperature == installation.site.ambient_temperature
    assert installation.fires[0].share("L1") == 1.0
    assert installation.fires[0].share("R1") == 0.25
    assert installation.fires[1].exposed_share == (("R2", 0.5),)
    assert read(_with_fire('curve = "hydrocarbon"')).fires[0].convection == 50.0
    assert read(_with_fire('curve = "standard"')).fires[0].convection == 25.0
    # published (read): EN 1991-1-2 3.1(5), an unexposed face without its radiation; under a heat
    # flux there are no hot gases, and 25 W/m2/K would cool the wall
    flux = 'curve = "flux"\nflux = "50 kW/m2"'
    assert read(_with_fire(flux)).fires[0].convection == 4.0


def test_volume_and_cylinder_length_are_both_filled(text):
    # analytic: hemispherical heads make a sphere with the cylinder between
    def vessel(**change: str):
        lines = {"heads": '"hemispherical"', "inside_diameter": '"1 m"', **change}
        return read(_with_vessel(lines)).vessels[0]

    sphere = math.pi / 6
    long = vessel(cylinder_length='"2 m"')
    assert long.volume == pytest.approx(sphere + math.pi / 2)
    again = vessel(volume=f'"{long.volume!r} m3"')
    assert again.cylinder_length == pytest.approx(2.0)
    assert vessel(cylinder_length='"0 m"').volume == pytest.approx(sphere)
    flat = vessel(heads='"flat"', head_thickness='"30 mm"', cylinder_length='"2 m"')
    assert flat.volume == pytest.approx(math.pi / 2)
    both = vessel(cylinder_length='"2 m"', volume=f'"{long.volume * 1.009!r} m3"')
    assert (both.volume, both.cylinder_length) == (pytest.approx(long.volume * 1.009), 2.0)


def test_spreads_are_si_with_the_present_value_as_middle(installation):
    found = {(one.part, one.field): dict(one.parameters) for one in installation.spreads}
    assert found["R1", "wall_thickness"] == pytest.approx(
        {"mean": 0.008, "deviation": 0.0004, "low": 0.007, "high": 0.009}
    )
    assert found["R1", "temperature"] == pytest.approx({"mean": 308.15, "deviation": 5.0})
    assert found["R1", "pressure"]["deviation"] == pytest.approx(20_000.0)
    assert found["R1", "pressure"]["mean"] == installation.vessels[0].pressure
    assert found["R1", "strength_factor"] == {"low": 0.95, "mode": 1.0, "high": 1.3}
    assert found["FP1", "works"] == {"probability": 0.9}
    assert all(isinstance(one, Spread) for one in installation.spreads)


def _with_vessel(change: dict[str, str]) -> str:
    lines = {
        "id": '"R1"', "inside_diameter": '"500 mm"', "wall_thickness": '"6 mm"',
        "material": '"P265GH"', "design_pressure": '"11 bar(g)"', "pressure": '"10 bar(g)"',
        **change,
    }  # fmt: skip
    return "format = 1\n[[vessel]]\n" + "".join(f"{k} = {v}\n" for k, v in lines.items())


def _with_fire(lines: str) -> str:
    vessel = _with_vessel({"volume": '"0.2 m3"'})
    return f'{vessel}[[fire]]\nid = "F1"\nreaches = ["R1"]\n{lines}\n'


@pytest.mark.parametrize("seed", range(5))
def test_the_order_of_keys_and_kinds_changes_nothing(text, seed):
    # property: shuffle the keys in every table and the tables of different kinds
    raw = tomllib.loads(text)
    shuffled = random.Random(seed)
    kinds = [kind for kind in raw if kind in REPEATED]
    singles = [kind for kind in raw if isinstance(raw[kind], dict)]
    shuffled.shuffle(kinds)
    shuffled.shuffle(singles)
    lines = ['title = "Pump hall of a salt works"', "format = 2"]
    order = kinds + singles
    shuffled.shuffle(order)
    for kind in order:
        tables = raw[kind] if kind in kinds else [raw[kind]]
        for table in tables:
            lines.append(f"[[{kind}]]" if kind in kinds else f"[{kind}]")
            keys = list(table)
            shuffled.shuffle(keys)
            lines += [f"{key} = {literal(table[key])}" for key in keys]
    assert read("\n".join(lines)) == read(text)


def test_the_order_of_parts_of_a_kind_changes_no_record(text):
    # property; valves at one end are the exception that the format states
    raw = tomllib.loads(text)
    lines = ["format = 2"]
    for kind in ("about", "choices", "site", "spread"):
        lines += [f"[{kind}]", *(f"{key} = {literal(value)}" for key, value in raw[kind].items())]
    for kind in REPEATED:
        for table in raw[kind] if kind == "valve" else reversed(raw[kind]):
            lines += [f"[[{kind}]]", *(f"{key} = {literal(value)}" for key, value in table.items())]
    turned, straight = read("\n".join(lines)), read(text)
    for group in reading.GROUPS.values():
        assert set(getattr(turned, group)) == set(getattr(straight, group))
    assert turned.spreads == straight.spreads


def test_inline_and_dotted_tables_say_the_same():
    plain = read(_with_fire('curve = "standard"\nexposed_share = { R1 = 0.5 }'))
    headed = read(_with_fire('curve = "standard"\n[fire.exposed_share]\nR1 = 0.5'))
    dotted = read(_with_fire('curve = "standard"\nexposed_share.R1 = 0.5'))
    assert plain == headed == dotted
    site = 'site = { ambient_temperature = "20 degC" }\n'
    one = read(site + _with_vessel({"volume": '"0.2 m3"'}))
    two = read('site.ambient_temperature = "20 degC"\n' + _with_vessel({"volume": '"0.2 m3"'}))
    assert one == two
    assert one.site.ambient_temperature == pytest.approx(293.15)
    inline = 'format = 1\nroom = [{ id = "Hall", volume = "9 m3" }]\n'
    assert read(inline).rooms[0].volume == 9.0


@pytest.mark.parametrize("change", ["crlf", "mark", "both", "no end"])
def test_line_ends_and_byte_order_mark_change_nothing(text, change):
    data = text
    if change in {"crlf", "both"}:
        data = data.replace("\n", "\r\n")
    if change in {"mark", "both"}:
        data = "\ufeff" + data
    if change == "no end":
        data = data.rstrip("\n")
    assert read(data.encode()) == read(text)


def test_the_emptiest_file_is_an_installation():
    assert read("format = 1").holders() == ()


def test_a_file_is_loaded_with_its_bytes():
    installation, data = reading.load_bytes(EVERY_FIELD)
    assert installation == read(data)
    assert data == EVERY_FIELD.read_bytes()


def test_a_large_file_reads_fast():
    # ten times as many parts as a packing hall has
    blocks = [EVERY_FIELD.read_text(encoding="utf-8")]
    for n in range(100):
        extra = _with_vessel({"id": f'"X{n}"', "volume": '"0.5 m3"'}).removeprefix("format = 1\n")
        blocks.append(f'{extra}[[plug]]\nid = "P{n}"\non = "X{n}"\nalloy = "tin"\nbore = "9 mm"\n')
    text = "\n".join(blocks)
    times = []
    for _ in range(3):
        start = time.process_time()
        assert len(read(text).vessels) == 102
        times.append(time.process_time() - start)
    assert min(times) < 0.25


# The declarations


@pytest.mark.parametrize(("kind", "one"), list(all_fields()), ids=lambda x: getattr(x, "key", x))
def test_every_field_is_explained(kind, one):
    assert one.label
    assert one.help.endswith(".")
    if one.default is not None:
        assert one.source, "a default says where it comes from"
    elif not one.required:
        assert one.left_out or one.key == "condensate" or (kind, one.key) == ("vessel", "volume")
    if one.is_numeric:
        assert one.low is not None
        assert one.high is not None
        assert one.range_text("US customary")
    for unit_set, unit in (("metric", one.unit), ("US customary", one.us_unit)):
        if one.is_quantity:
            assert one.unit_in(unit_set) in quantities.units_of(one.kind)
            assert unit or one.kind in quantities.UNIT_SETS[unit_set]
    assert one.valid_text()


# what the reader finds from the rest of the file
READ_OFF = {"valve": {"order"}, "vessel": {"worn_to", "head_worn_to"}, "line": {"worn_to"}}


@pytest.mark.parametrize("kind", [kind for kind in FIELDS if kind not in {"", "spread"}])
def test_fields_and_records_agree(kind):
    record = RECORDS[kind]
    attributes = {one.name: one for one in dataclasses.fields(record)}
    ours = {one.attr: one for one in FIELDS[kind]}
    assert set(attributes) - set(ours) == {"given"} | READ_OFF.get(kind, set())
    missing = dataclasses.MISSING
    for name, one in ours.items():
        default = attributes[name].default
        decided_elsewhere = (kind, one.key) in {
            ("vessel", "volume"), ("vessel", "cylinder_length"), ("fire", "exposed_share"),
            ("fire", "convection"),
        }  # fmt: skip
        if not decided_elsewhere:
            assert one.required == (default is missing), name
        if one.default is not None and default is not missing and not decided_elsewhere:
            around = reading.Surroundings(materials=("P235TR1",))
            typed = tomllib.loads(f"x = {_as_typed(one)}")["x"]
            found = reading.read_value(one, typed, around, lambda *a, **k: pytest.fail(str(a)))
            assert found == (pytest.approx(default) if isinstance(default, float) else default)


def _as_typed(one: fields.FieldSpec) -> str:
    if one.kind in {"number", "share", "integer", "flag", "fire"}:
        return str(one.default)
    return f'"{one.default}"'


def test_bounds_are_told_in_both_unit_sets():
    wall = spec("vessel", "wall_thickness")
    assert wall.range_text() == "0.2 mm to 500 mm"
    assert wall.range_text("US customary") == "0.007874 in to 19.69 in"
    assert spec("vessel", "pressure").range_text() == "0.01 bar(g) to 1000 bar(g)"


def test_unknown_fields_have_no_declaration():
    with pytest.raises(KeyError):
        spec("vessel", "colour")


def test_oil_that_cools_a_compressor_lubricates_it_too_unless_said_otherwise():
    """Property: its discharge limit is then that of an oil-flooded machine."""
    head = (
        'format = 1\n[[compressor]]\nid = "C1"\ndelivery = "1 m3/min"\n'
        'discharge_pressure = "8 bar(g)"\n'
    )
    tail = '[[vessel]]\nid = "R1"\nvolume = "1 m3"\ninside_diameter = "0.8 m"\n' + (
        'wall_thickness = "6 mm"\nmaterial = "P265GH"\ndesign_pressure = "11 bar(g)"\n'
        'pressure = "8 bar(g)"\n'
    )
    flooded, said = 'cooling = "oil-flooded"\n', 'lubrication = "oil-free"\n'
    for lines, expected in (
        ("", "oil-lubricated"), (flooded, "oil-flooded"), (flooded + said, "oil-free"),
    ):  # fmt: skip
        (machine,) = read(head + lines + tail).compressors
        assert machine.lubrication == expected
        assert ("lubrication" in machine.given) == (said in lines)


def test_a_line_without_a_pressure_says_all_places_that_it_may_come_from():
    told = fields.spec("line", "pressure").left_out
    assert "vessels" in told
    assert "compressor" in told
