"""Whatever stands in a system file, the reader answers; it never fails."""

from __future__ import annotations

import random
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation.fields import FIELDS, REPEATED, all_fields
from airrisk.installation.literals import key_text, literal
from airrisk.installation.reading import examine
from airrisk.installation.splice import EditError, SystemText

EVERY_FIELD = (Path(__file__).parent / "every_field.toml").read_text(encoding="utf-8")
RAW = tomllib.loads(EVERY_FIELD)
PLACES = [(kind, one.key) for kind, one in all_fields() if kind]

scalars = (
    st.booleans() | st.integers() | st.floats() | st.dates() | st.datetimes() | st.times()
    | st.text(max_size=50)
    | st.sampled_from(["R1", "V1", "closed", "10 bar(g)", "1 m", "5 %", "-1 K", "nan m", "9e99 L"])
)  # fmt: skip
values = st.recursive(
    scalars,
    lambda one: (
        st.lists(one, max_size=3)
        | st.dictionaries(st.sampled_from(["R1", "volume", "x"]), one, max_size=3)
    ),
    max_leaves=5,
)


def written(raw) -> str:
    lines = [
        f"{key} = {literal(value)}" for key, value in raw.items() if key in ("format", "title")
    ]
    for kind, tables in raw.items():
        for table in tables if isinstance(tables, list) else [tables]:
            if isinstance(table, dict):
                lines.append(f"[[{kind}]]" if kind in REPEATED else f"[{kind}]")
                lines += [f"{key_text(key)} = {literal(value)}" for key, value in table.items()]
    return "\n".join(lines)


@settings(max_examples=250, deadline=None)
@given(st.sampled_from(PLACES), values)
def test_any_value_in_any_field_is_read_or_reported(place, value):
    # property
    kind, key = place
    tables = RAW[kind]
    if isinstance(tables, list):
        changed = {**RAW, kind: [{**tables[0], key: value}, *tables[1:]]}
    else:
        changed = {**RAW, kind: {**tables, key: value}}
    found = examine(written(changed))
    assert (found.installation is None) == bool(found.problems)
    for problem in found.problems:
        assert problem.message
        assert problem.valid
        assert problem.line
        assert len(str(problem)) < 3000


@settings(max_examples=80, deadline=None)
@given(st.dictionaries(st.sampled_from([*FIELDS, "format", "title", "vessels"]), values))
def test_any_value_for_any_table_is_read_or_reported(raw):
    # property
    text = "\n".join(f"{key_text(key)} = {literal(value)}" for key, value in raw.items())
    found = examine(text)
    assert (found.installation is None) == bool(found.problems)


@pytest.mark.parametrize("seed", range(40))
def test_a_garbled_file_is_read_or_reported_and_edits_never_break_it(seed):
    # property: lines lost, doubled, swapped and cut
    chance = random.Random(seed)
    lines = EVERY_FIELD.splitlines(True)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(lines))
        what = chance.randrange(4)
        if what == 0:
            del lines[at]
        elif what == 1:
            lines.insert(chance.randrange(len(lines)), lines[at])
        elif what == 2:
            lines[at] = lines[at][: chance.randint(0, len(lines[at]))] + "\n"
        else:
            other = chance.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
    text = "".join(lines)
    found = examine(text.encode())
    assert (found.installation is None) == bool(found.problems)
    try:
        after = SystemText(text).set("", "title", "x").add("junction", {"id": "New one"})
    except EditError:
        assert found.problems
        return
    assert tomllib.loads(after.text)["title"] == "x"
    assert tomllib.loads(after.text)["junction"][-1] == {"id": "New one"}


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=60))
def test_any_bytes_are_answered(data):
    # property
    found = examine(b"format = 1\n" + data)
    assert (found.installation is None) == bool(found.problems)
