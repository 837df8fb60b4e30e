"""The places found in a text are those of the values that the grammar means."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.layout import Layout, LayoutError
from airrisk.installation.literals import key_text, literal

VALUES = [
    '""', '"a # b"', '"\\" \\\\ \\u00e9"', "''", "'C:\\path # no'", '"""a\nb # c\n[[x]]\n"""',
    '"""\\\n   folded"""', '""""quoted""""', "'''it's\n# here\n'''", "''''a'''", "1_000", "0x1F",
    "0o17", "0b11", "+1", "-0.5", "1e5", "1.5E-3", "inf", "-inf", "true", "2026-11-01",
    "2026-11-01T10:00:00Z", "2026-11-01 10:00:00.5", "10:00:00", "[]", "[1, 2]", "[ 1,\n 2, # x\n]",
    '[["0 min", "20 degC"],\n  ["5 min", "ü"]]', "{}", "{ a = 1 }",
    "{a.b = 1, 'c d' = [1, {x = 2}]}",
    '[ { a = "}" }, { b = "]" } ]', '"ünï"', "[\n# only a remark\n]",
]  # fmt: skip
KEYS = ["a", "b-c", "_1", '"q q"', "'l.l'", "x.y", 'p."q r".s', "1", "ü1", '""']
REMARKS = ["", " # remark", "\t# a = 'b' [x]", "   "]
BETWEEN = ["", "\n", "# [[table]]\n", "   # indented\n", "\n\n"]


@st.composite
def documents(draw) -> str:
    """Texts of random keys, values, tables, remarks and spacing."""
    end = draw(st.sampled_from(["\n", "\r\n"]))
    out = []
    for number in range(draw(st.integers(1, 8))):
        header = draw(st.sampled_from(["", f"[t{number}]", "[[r]]", f'[[ "s s" . u{number} ]]']))
        if header:
            out.append(header + draw(st.sampled_from(REMARKS)) + "\n")
        for place in range(draw(st.integers(0, 4))):
            key = draw(st.sampled_from(KEYS))
            if key.isascii():
                key = f"k{number}{place}.{key}" if draw(st.booleans()) else f"k{number}_{place}"
            else:
                key = f'"{key}{number}{place}"'
            space = draw(st.sampled_from(["", " ", "  ", "\t"]))
            out.append(
                draw(st.sampled_from(["", "  ", "\t"])) + key + space + "=" + space
                + draw(st.sampled_from(VALUES)) + draw(st.sampled_from(REMARKS)) + "\n"
            )  # fmt: skip
            out.append(draw(st.sampled_from(BETWEEN)))
    text = "".join(out).replace("\n", end)
    return text.rstrip("\r\n") if draw(st.booleans()) else text


def leaves(value, path=()):
    yield path, value
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from leaves(item, (*path, index))


@settings(max_examples=120, deadline=None)
@given(documents(), st.booleans())
def test_places_and_meaning_agree_for_any_text(text, mark):
    # property, against tomllib of the Python library
    meaning = tomllib.loads(text)
    data = (("\ufeff" if mark else "") + text).encode()
    layout = Layout(data)
    for path, entry in layout.entries.items():
        value = meaning
        for key in path:
            value = value[key]
        cut = data[entry.value_start : entry.value_end].decode()
        assert tomllib.loads(f"x = {cut}")["x"] == value
        assert entry.line == data[: entry.start].count(b"\n") + 1
    headers = {table.path for table in layout.tables}
    for path, value in leaves(meaning):
        known = path in layout.entries or path in headers
        made_of_others = isinstance(value, (dict, list))
        assert known or made_of_others
    for row in layout.comment_lines:
        assert data.split(b"\n")[row].removeprefix(b"\xef\xbb\xbf").strip().startswith(b"#")


@pytest.mark.parametrize("value", VALUES)
@pytest.mark.parametrize("end", ["\n", "\r\n", ""])
def test_every_way_to_write_a_value_has_its_place(value, end):
    data = f"k = {value}{end}".encode()
    entry = Layout(data).entries["k",]
    assert data[entry.value_start : entry.value_end].decode() == value


@pytest.mark.parametrize("text", ["x = ", "[[a", 'x = "', "x = 1 2", "= 1"])
def test_what_is_no_toml_has_no_layout(text):
    with pytest.raises(LayoutError):
        Layout(text.encode())


def test_a_left_out_field_has_the_line_of_its_table():
    layout = Layout(b'format = 1\n\n[[vessel]]\nid = "R1"\n[vessel.notes]\nid = "x"\n')
    assert layout.line(("vessel", 0, "volume")) == 3
    assert layout.line(("vessel", 0, "notes")) == 5
    assert layout.line(("vessel",)) == 3
    assert layout.line(("nothing",)) is None


scalars = (
    st.booleans() | st.integers(-(2**63), 2**63) | st.floats(allow_nan=False) | st.dates()
    | st.text()
)  # fmt: skip


@settings(max_examples=120, deadline=None)
@given(
    st.recursive(
        scalars,
        lambda one: st.lists(one, max_size=3) | st.dictionaries(st.text(), one, max_size=3),
        max_leaves=6,
    )
)  # fmt: skip
def test_a_written_value_reads_back_and_stays_on_one_line(value):
    # property
    written = literal(value)
    assert len(written.splitlines()) <= 1
    assert tomllib.loads(f"x = {written}")["x"] == value


@given(st.text())
def test_a_written_key_reads_back(name):
    # property
    assert tomllib.loads(f"{key_text(name)} = 1") == {name: 1}


def test_what_toml_cannot_say_is_refused():
    with pytest.raises(TypeError, match="cannot be written"):
        literal(object())
