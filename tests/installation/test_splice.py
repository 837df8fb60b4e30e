"""An edit changes its own place in the text and nothing else."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.fields import FIELDS, REPEATED, SINGLE, all_fields
from airrisk.installation.layout import Layout
from airrisk.installation.literals import literal
from airrisk.installation.reading import read
from airrisk.installation.splice import DependentsError, EditError, SystemText

EVERY_FIELD = (Path(__file__).parent / "every_field.toml").read_text(encoding="utf-8")

# Everything a person may write that a tidy writer would not.
ODD = """\
# first line, a remark on the file

format = 2   # the format
title = 'Foundry "west"'
site.ambient_pressure = "1013 mbar(a)" # dotted

# the big one
# needs paint
[[vessel]]  # remark on the header
  id = "R1"   # remark on the id
  inside_diameter = '1100 mm'
volume="2 m3"
# between
heads   =   "torispherical"
wall_thickness = "8 mm"
"material" = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"
# end of R1

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "10 mm"
discharges_to = \"\"\"
roof
# no access
[[vessel]]
\"\"\"
[[line]]
id = "L1"
from = "closed"
to = "r1"
length = "12 m"
inside_diameter = "54.5 mm"
wall_thickness = "2.9 mm"

[[vessel]]
id = "R 2"
inside_diameter = "500 mm"
volume = "0.2 m3"
wall_thickness = "6 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"

[[plug]]
id = "FP2"
on = "R 2"
alloy = "tin"
bore = "8 mm"

[vessel.notes]
wall_thickness = "survey" # kept apart from its vessel
volume = "plate"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = [
    # the yard
    "R1", # big
    "R 2",
    "L1" ]
[fire.exposed_share]
R1 = 0.5
"R 2" = 0.25
[spread."R 2"]
wall_thickness = { distribution = "normal", deviation = "0.2 mm" }
[spread]
R1.wall_thickness = { distribution = "normal", deviation = "0.2 mm" }
R1.volume.distribution = "uniform"
R1.volume.low = "1.9 m3"
R1.volume.high = "2.1 m3"
# last line"""

ENDS = {"plain": lambda t: t, "crlf": lambda t: t.replace("\n", "\r\n"),
        "mark": lambda t: "\ufeff" + t, "both": lambda t: "\ufeff" + t.replace("\n", "\r\n"),
        "end": lambda t: t + "\n"}  # fmt: skip
TEXTS = {
    f"{name} {end}": change(text)
    for name, text in (("every field", EVERY_FIELD), ("odd", ODD))
    for end, change in ENDS.items()
}


def lines_changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines gone and lines come between what both texts share at begin and end."""
    old, new = before.splitlines(True), after.splitlines(True)
    while old and new and old[0] == new[0]:
        del old[0], new[0]
    while old and new and old[-1] == new[-1]:
        del old[-1], new[-1]
    return old, new


def leaves(value, path=()):
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, (*path, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for index, item in enumerate(value):
            yield from leaves(item, (*path, index))
    else:
        yield path, value


def plain(text: str):
    return tomllib.loads(text.removeprefix("\ufeff"))


def fields_of(text: str):
    """Every (part, field) of a text that ``set`` can name."""
    for path, _ in leaves(plain(text)):
        kind = path[0] if path[0] in FIELDS else ""
        if kind in REPEATED:
            yield (kind, path[1]), path[2:]
        elif kind in SINGLE and kind:
            yield kind, path[1:]
        else:
            yield "", path


PLACES = [(name, part, field) for name in TEXTS for part, field in fields_of(TEXTS[name])]


def test_the_odd_text_is_a_sound_file():
    installation = read(ODD)
    assert installation.vessels[1].notes == (("volume", "plate"), ("wall_thickness", "survey"))
    assert installation.fires[0].exposed_share == (("R1", 0.5), ("R 2", 0.25), ("L1", 1.0))


@pytest.mark.parametrize("name", TEXTS)
def test_open_and_save_is_the_same_bytes(name):
    data = TEXTS[name].encode()
    assert SystemText(data).data == data
    assert SystemText(data).text.encode() == data


@pytest.mark.parametrize("name", TEXTS)
def test_every_place_of_the_text_is_known(name):
    # property: what the layout cuts out of the text is what tomllib reads there
    text = TEXTS[name]
    layout = Layout(text.encode())
    for path, value in leaves(plain(text)):
        entry = layout.entries[path]
        cut = text.encode()[entry.value_start : entry.value_end].decode()
        assert tomllib.loads(f"x = {cut}")["x"] == value
        assert layout.line(path) == text.encode()[: entry.start].count(b"\n") + 1


@settings(max_examples=100, deadline=None)
@given(place=st.sampled_from(PLACES), value=st.text(max_size=12) | st.floats(allow_nan=False))
def test_a_change_of_one_field_changes_its_line_only(place, value):
    # property
    name, part, field = place
    text = SystemText(TEXTS[name])
    before = text.value(part, field)
    after = text.set(part, field, value if not isinstance(value, str) else f"x{value}")
    gone, come = lines_changed(text.text, after.text)
    spread_out = isinstance(before, list) or "\n" in str(before)
    if not spread_out and field[0] not in (text.value(part, "offered") or ()):
        assert len(gone) == len(come) <= 1
    expected = dict(leaves(plain(text.text)))
    found = dict(leaves(plain(after.text)))
    changed = {path for path in expected | found if expected.get(path) != found.get(path)}
    kind, index = text.address(part)
    base = (kind, index) if index is not None else (kind,) if kind else ()
    was_offered = field[0] in (text.value(part, "offered") or ()) if base else False
    if was_offered:
        changed.discard((*base, "offered"))
        assert field[0] not in (after.value(part, "offered") or ())
    assert all(path[: len(base) + len(field)] == (*base, *field) for path in changed)
    assert after.set(part, field, before).value(part, field) == before
    if text.source(part, field) == literal(before) and not was_offered:
        assert after.set(part, field, before) == text  # edit and undo, byte for byte


@settings(max_examples=150, deadline=None)
@given(name=st.sampled_from(list(TEXTS)), data=st.data())
def test_a_new_field_is_one_new_line_and_taking_it_out_is_the_old_text(name, data):
    # property
    text = SystemText(TEXTS[name])
    kinds = {kind for kind in REPEATED if text.raw.get(kind)}
    kind = data.draw(st.sampled_from(sorted(kinds)))
    index = data.draw(st.integers(0, len(text.raw[kind]) - 1))
    free = [one.key for one in FIELDS[kind] if one.key not in text.raw[kind][index]]
    if not free:
        return
    key = data.draw(st.sampled_from(free))
    after = text.set((kind, index), key, "new")
    gone, come = lines_changed(text.text, after.text)
    assert len([line for line in come if line.strip()]) - len(gone) == 1
    expected = dict(leaves(plain(text.text)))
    found = dict(leaves(plain(after.text)))
    assert set(found) - set(expected) == {(kind, index, key)}
    assert after.unset((kind, index), key) == text


@settings(max_examples=100, deadline=None)
@given(place=st.sampled_from(PLACES))
def test_leaving_a_field_out_takes_only_it_away(place):
    # property
    name, part, field = place
    text = SystemText(TEXTS[name])
    kind, index = text.address(part)
    base = (kind, index) if index is not None else (kind,) if kind else ()
    after = text.unset(part, field)
    expected = dict(leaves(plain(text.text)))
    found = dict(leaves(plain(after.text)))
    offered = (*base, "offered")
    if field[0] in expected.get(offered, ()):
        left = [one for one in expected.pop(offered) if one != field[0]]
        assert found.pop(offered, []) == left
    assert set(expected) - set(found) == {(*base, *field)}
    assert all(expected[path] == value for path, value in found.items())
    comments = [line for line in text.text.splitlines() if line.strip().startswith("#")]
    kept = [line for line in after.text.splitlines() if line.strip().startswith("#")]
    if field not in {("discharges_to",), ("reaches",)}:
        assert kept == comments


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(list(TEXTS)), kind=st.sampled_from(REPEATED), twice=st.booleans())
def test_adding_changes_no_line_that_was_there(name, kind, twice):
    # property
    text = SystemText(TEXTS[name])
    fields = {} if kind == "inspection" else {"id": "New"}
    after = text.add(kind, fields)
    gone, come = lines_changed(text.text, after.text)
    # at most the last line of the file, which gets the line end that it lacked
    assert gone in ([], [text.text.splitlines()[-1]])
    assert [line + come[0][len(line) :] for line in gone] == come[: len(gone)]
    count = len(text.raw.get(kind, []))
    expected = {**plain(text.text), kind: [*plain(text.text).get(kind, []), fields]}
    assert plain(after.text) == expected
    ends = "\r\n" if "\r\n" in text.text else "\n"
    assert after.text.count("\n") == after.text.count(ends)
    if twice:
        assert len(after.add(kind, {}).raw[kind]) == count + 2
    if kind != "inspection":
        undone = after.remove("New")
        full = [line for line in text.text.splitlines() if line]
        assert [line for line in undone.text.splitlines() if line] == full


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(list(TEXTS)), data=st.data())
def test_removing_takes_the_table_and_leaves_the_others(name, data):
    # property
    text = SystemText(TEXTS[name])
    part = data.draw(st.sampled_from(sorted(text.ids())))
    kind, index = text.address(part)
    named = text.naming(part)
    if named:
        with pytest.raises(DependentsError) as caught:
            text.remove(part)
        assert caught.value.dependents == named
        assert all(str(one) in str(caught.value) for one in named)
    after = text.remove(part, with_dependents=True)
    gone = {part.casefold()} | {
        one.id.casefold() for one in text.dependents(part) if one.needed and one.id
    }
    assert {one.casefold() for one in text.ids()} - gone == {o.casefold() for o in after.ids()}
    assert after.naming(part) == ()
    if not named:
        expected = plain(text.text)
        del expected[kind][index]
        assert {k: v for k, v in plain(after.text).items() if v} == {
            k: v for k, v in expected.items() if v
        }
    assert "\n\n\n\n" not in after.text.replace("\r", "")


@settings(max_examples=60, deadline=None)
@given(
    name=st.sampled_from(list(TEXTS)), data=st.data(),
    new=st.sampled_from(["Z9", "tank one", "a.b", 'q"uote', "Öl"]),
)  # fmt: skip
def test_renaming_and_renaming_back_is_the_old_meaning(name, data, new):
    # property
    text = SystemText(TEXTS[name])
    part = data.draw(st.sampled_from(sorted(text.ids())))
    after = text.rename(part, new)
    assert len(after.naming(new)) == len(text.naming(part))
    assert after.naming(part) == ()
    assert after.text.count("\n") == text.text.count("\n")
    back = after.rename(new, part)
    assert read(back.text) == read(text.text)


# By example


def test_a_value_keeps_the_remark_behind_it():
    after = SystemText(ODD).set("R1", "id", "R9")
    assert lines_changed(ODD, after.text) == (
        ['  id = "R1"   # remark on the id\n'], ['  id = "R9"   # remark on the id\n']
    )  # fmt: skip


def test_a_new_field_stands_in_the_usual_order_and_indent():
    after = SystemText(ODD).set("R1", "head_thickness", "9 mm").text
    assert 'heads   =   "torispherical"\nhead_thickness = "9 mm"\nwall_thickness' in after
    after = SystemText(ODD).set("R1", "role", "header").text
    assert '# remark on the id\n  role = "header"\n  inside_diameter' in after


def test_a_removed_part_takes_its_remarks_along():
    after = SystemText(ODD).remove("R1", with_dependents=True).text
    for gone in ("the big one", "needs paint", "between", "end of R1", "FP1", "L1"):
        assert gone not in after
    for kept in ("first line", "the yard", "last line", "[vessel.notes]"):
        assert kept in after
    assert [vessel.id for vessel in read(after).vessels] == ["R 2"]


def test_a_part_with_a_table_elsewhere_is_removed_whole():
    after = SystemText(ODD).remove("R 2", with_dependents=True)
    assert "[vessel.notes]" not in after.text
    assert 'spread."R 2"' not in after.text
    assert read(after.text).vessels[0].notes == ()


def test_a_new_vessel_does_not_take_the_notes_of_the_last_one():
    after = SystemText(ODD).add("vessel", {"id": "R3"})
    assert after.raw["vessel"][1]["notes"] == {"wall_thickness": "survey", "volume": "plate"}
    assert after.raw["vessel"][2] == {"id": "R3"}


def test_a_new_part_stands_behind_the_last_of_its_kind():
    after = SystemText(EVERY_FIELD).add("valve", {"id": "V9", "on": "L2", "end": "to"}).text
    assert (
        'on = "RV1"\nstate = "closed"\n\n[[valve]]\nid = "V9"\non = "L2"\nend = "to"\n\n[[plug]]\n'
    ) in after


def test_the_list_of_what_depends_tells_what_would_go():
    told = SystemText(EVERY_FIELD).dependents("L1")
    assert [str(one) for one in told if one.needed] == ["valve V1, on", "valve V2, on"]
    assert [str(one) for one in told if not one.needed] == ["fire F1, reaches"]
    told = SystemText(EVERY_FIELD).dependents("R2")
    assert [str(one) for one in told if one.needed] == [
        "bursting disc BD1, on", "fire F2, reaches", "fire F3, reaches", "fire F4, reaches",
        "action A2, part",
    ]  # fmt: skip


def test_remarks_go_into_the_table_that_is_there():
    text = SystemText(EVERY_FIELD)
    after = text.set("R1", "notes.volume", "plate")
    assert 'low point", volume = "plate" }' in after.text
    assert after.unset("R1", "notes.volume") == text
    alone = text.set("R2", "notes.volume", "plate")
    assert 'notes = { volume = "plate" }\n' in alone.text
    assert alone.unset("R2", "notes.volume") == text
    assert 'volume = "new"\n' in SystemText(ODD).set("R 2", "notes.volume", "new").text


def test_a_table_value_may_replace_one_written_with_a_header():
    after = SystemText(ODD).set("F1", "exposed_share", 1)
    assert after.raw["fire"][0]["exposed_share"] == 1
    assert "[fire.exposed_share]" not in after.text


def test_tables_that_stand_once_are_made_when_needed():
    text = SystemText('format = 1\n\n[[junction]]\nid = "J1"\n')
    after = text.set("choices", "strength_basis", "yield")
    assert after.text == (
        'format = 1\n\n[choices]\nstrength_basis = "yield"\n\n[[junction]]\nid = "J1"\n'
    )
    after = SystemText("format = 1").set("site", "ambient_temperature", "20 degC")
    assert after.text == 'format = 1\n\n[site]\nambient_temperature = "20 degC"'
    assert SystemText(ODD).set("site", "ambient_temperature", "20 degC").text.count("site.") == 2
    after = SystemText("format = 1\n").set("spread", "R1.volume", {"distribution": "uniform"})
    assert after.text == 'format = 1\n\n[spread.R1]\nvolume = { distribution = "uniform" }\n'


@pytest.mark.parametrize(
    ("text", "part", "field", "line"),
    [
        ('spread.R1.volume.low = "1 m3"\n', "spread", "R1.bore", "spread.R1.bore = 1"),
        ('[spread]\nR1.volume.low = "1 m3"\n', "spread", "R1.bore", "R1.bore = 1"),
        ('[spread.R1]\nvolume.low = "1 m3"\n', "spread", "R1.bore", "bore = 1"),
        ('[spread.R1.volume]\nlow = "1 m3"\n', "spread", "R1.bore", "[spread.R1]\nbore = 1"),
        ("about.site = 'x'\n", "about", "revision", "about.revision = 1"),
        ("about = { site = 'x' }\n", "about", "revision", "about = { site = 'x', revision = 1 }"),
        ("about = {}\n", "about", "revision", "about = { revision = 1 }"),
        ('[[vessel]]\nnotes.id = "x"\n', ("vessel", 0), "notes.role", "notes.role = 1"),
        ('[[vessel]]\n[vessel.notes]\nid = "x"', ("vessel", 0), "notes.role", "role = 1"),
        ("room = [{ notes.id = 'x' }]\n", ("room", 0), ("notes", "id2"), "notes.id2 = 1"),
        ("title.x = 1", "", "format", "format = 1"),
    ],
)
def test_a_new_field_follows_the_way_its_table_is_written(text, part, field, line):
    after = SystemText(text).set(part, field, 1)
    assert line in after.text
    assert after.value(part, field) == 1
    assert len(dict(leaves(after.raw))) == len(dict(leaves(SystemText(text).raw))) + 1


def test_an_empty_text_can_be_begun():
    text = SystemText("").set("", "format", 1).set("", "title", "New").add("vessel", {"id": "R1"})
    assert text.text == 'format = 1\ntitle = "New"\n\n[[vessel]]\nid = "R1"\n'


def test_lists_of_tables_in_one_line_can_be_edited():
    text = SystemText('format = 1\nroom = [{ id = "A", volume = "9 m3" }, { id = "B" }]\n')
    after = text.add("room", {"id": "C"}).set("B", "volume", "8 m3").remove("A")
    assert after.text == ('format = 1\nroom = [{ id = "B", volume = "8 m3" }, { id = "C" }]\n')
    assert SystemText("format = 1\nroom = []\n").add("room", {"id": "A"}).raw["room"] == [
        {"id": "A"}
    ]


def test_an_item_of_a_list_goes_with_its_line():
    after = SystemText(ODD).remove("R1", with_dependents=True).text
    assert 'reaches = [\n    # the yard\n    "R 2" ]\n' in after


@pytest.mark.parametrize(
    ("part", "field", "typed", "written"),
    [
        ("R2", "volume", "2,5 m3", '"2,5 m3"'),
        ("R2", "volume", " 2 m3 ", '"2 m3"'),
        ("R2", "weld_factor", "0,85", "0.85"),
        ("R2", "weld_factor", "1", "1"),
        ("R2", "weld_factor", "about one", '"about one"'),
        ("R2", "measured", "true", "true"),
        ("R2", "measured", False, "false"),
        ("R2", "measured", "perhaps", '"perhaps"'),
        ("FP2", "fitted", "2026-03-01", "2026-03-01"),
        ("FP2", "fitted", "spring", '"spring"'),
        ("F2", "reaches", "R1, R2", '["R1", "R2"]'),
        ("F2", "reaches", ["R1"], '["R1"]'),
        ("F2", "exposed_share", "0.5", "0.5"),
        ("F2", "exposed_share", {"R 2": 0.5}, '{ "R 2" = 0.5 }'),
        ("R2", "at", "12.5; 3", "[12.5, 3.0]"),
        ("R2", "at", (1.0, 2.0), "[1.0, 2.0]"),
        ("", "title", 'A "b" \\ c\n\t\x07', '"A \\"b\\" \\\\ c\\n\\t\\u0007"'),
        ("", "title", "Ünïcode ☂", '"Ünïcode ☂"'),
    ],
)
def test_a_typed_text_is_written_as_its_field_wants(part, field, typed, written):
    after = SystemText(EVERY_FIELD).set(part, field, typed)
    assert after.source(part, field) == written
    assert after.raw


def test_parts_and_their_places_are_listed():
    text = SystemText(EVERY_FIELD)
    assert list(text.ids())[:3] == ["C1", "R1", "R2"]
    place = EVERY_FIELD.index('material = "P265GH"')
    assert text.line("R1", "material") == EVERY_FIELD[:place].count("\n") + 1
    assert text.line("FP2") == EVERY_FIELD[: EVERY_FIELD.index('id = "FP2"')].count("\n")
    assert text.value("R1", "stamp") is None
    assert text.block("FP2") == {
        "id": "FP2", "on": "L2", "alloy": "unknown", "bore": "0.375 in",
        "outlet_place": "people pass", "offered": ["bore"],
    }  # fmt: skip


def test_a_copy_gets_an_id_that_is_free():
    text = SystemText(EVERY_FIELD)
    assert text.free_id("R1") == "R3"
    assert text.free_id("Canteen") == "Canteen1"
    copy = text.add("plug", {**text.block("FP1"), "id": text.free_id("FP1")})
    assert read(copy.text).plugs[2].id == "FP3"
    assert read(copy.text).plugs[2].notes == (("bore", "gauge rod"),)


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        (lambda t: t.set("R77", "volume", "1 m3"), "there is no part 'R77'"),
        (lambda t: t.set(("vessel", 9), "volume", "1 m3"), "no vessel number 10"),
        (lambda t: t.add("vesel", {}), "no kind of part"),
        (lambda t: t.add("vessel", {"id": "r1"}), "already the id of vessel R1"),
        (lambda t: t.add("vessel", {"id": "x" * 41}), "41 characters"),
        (lambda t: t.rename("R1", "r2"), "already the id of vessel R2"),
        (lambda t: t.rename("R1", ""), "cannot be an id"),
        (lambda t: t.remove("site"), "only a table that may stand several times"),
        (lambda t: SystemText(t.text + "\n[[").set("R1", "id", "x"), "has to be mended first"),
    ],
)
def test_an_edit_that_cannot_be_made_says_why(edit, message):
    with pytest.raises(EditError, match=message.replace("(", "\\(").replace("[", "\\[")):
        edit(SystemText(EVERY_FIELD))


def test_case_of_an_id_may_change():
    assert 'id = "r1"' in SystemText(EVERY_FIELD).rename("R1", "r1").text


def test_edits_of_every_field_keep_the_file_readable():
    text = SystemText(EVERY_FIELD)
    for kind, one in all_fields():
        part = kind if kind in SINGLE else (kind, 0)
        assert SystemText(text.set(part, one.key, "x").text).raw
        assert SystemText(text.unset(part, one.key).text).raw


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(list(TEXTS)), data=st.data())
def test_several_edits_give_the_text_of_one_after_the_other(name, data):
    # property: fields that are there, new ones, offered ones, and the same one twice
    text = SystemText(TEXTS[name])
    kinds = {kind for kind in REPEATED if text.raw.get(kind)}
    new = [
        ((kind, index), (one.key,))
        for kind in sorted(kinds)
        for index in range(len(text.raw[kind]))
        for one in FIELDS[kind]
    ]
    odd = [(part, field) for part, field in new if field[0] in ("id", "offered", "notes")]
    more = [("choices", ("beside_flux",)), ("", ("title",)), ("", ("format",)), *odd]
    places = [*new, *fields_of(text.text), *more]
    picked = data.draw(st.lists(st.sampled_from(places), min_size=1, max_size=4))
    part, _ = data.draw(st.sampled_from(picked))
    # and others of the same table, some of them twice
    beside = [one for one in places if one[0] == part]
    picked += data.draw(st.lists(st.sampled_from(beside), max_size=4))
    edits = [(part, field, f"new {number}") for number, (part, field) in enumerate(picked)]

    def told(change):
        try:
            return change().text
        except EditError as error:
            return repr(error)

    def one_after_the_other():
        found = text
        for edit in edits:
            found = found.set(*edit)
        return found

    assert told(lambda: text.set_all(edits)) == told(one_after_the_other)


def test_edits_of_several_tables_are_read_once(monkeypatch):
    text = SystemText(EVERY_FIELD)
    text.raw, text.layout  # noqa: B018
    made = []
    monkeypatch.setattr(SystemText, "_with", lambda self, changes: made.append(changes) or self)
    text.set_all(
        [
            ("R1", "pressure", "9 bar(g)"),
            ("C1", "cut_in_pressure", "7 bar(g)"),
            ("R1", "temperature", "30 degC"),
        ]
    )
    assert [len(changes) for changes in made] == [3]


ITSELF = """\
[[line]]
id = "L1"
from = "L1"
to = "closed"

[[plug]]
id = "FP1"
on = "L1"
"""
EACH_OTHER = """\
[[line]]
id = "L1"
from = "L2"
to = "closed"

[[line]]
id = "L2"
from = "l1"
to = "closed"

[[line]]
id = "L3"
from = "R1"
to = "R1"
"""


@pytest.mark.parametrize(("text", "left"), [(ITSELF, 0), (EACH_OTHER, 1)])
def test_parts_that_name_themselves_or_each_other_go_together(text, left):
    """What a person has typed may go round in circles; the removal ends all the same."""
    whole = SystemText(text)
    with pytest.raises(DependentsError):
        whole.remove("L1")
    after = whole.remove("L1", with_dependents=True)
    assert len(after.raw.get("line", [])) == left
    assert "plug" not in after.raw
