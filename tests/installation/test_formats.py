"""Files of older formats: read as they stand, raised by the first edit that needs it."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.installation import migration
from airrisk.installation.fields import KINDS_SINCE, REPEATED, SINGLE, all_fields
from airrisk.installation.migration import FORMAT, migrate
from airrisk.installation.reading import check, read
from airrisk.installation.splice import SystemText
from tests.installation.plain_records import plain_records

FROZEN = Path(__file__).parent / "frozen_format_1"
FILES = sorted(FROZEN.glob("*.toml"))
# values that files left out and that were wrong on the unsafe side: what they count as now
CORRECTED = {
    # a heat flux without convection stated: 25 W/m2/K cooled the wall as no air around it does
    ("every-field", "file.fires[1].convection"): (25.0, 4.0),
}
NEW = [(kind, one) for kind, one in all_fields() if max(one.since, KINDS_SINCE.get(kind, 1)) > 1]

ENDS = {
    "plain": lambda text: text,
    "crlf": lambda text: text.replace("\n", "\r\n"),
    "mark": lambda text: "\ufeff" + text,
    "both": lambda text: "\ufeff" + text.replace("\n", "\r\n"),
}


def old_text(name: str, ends: str = "plain") -> str:
    """A frozen file of format 1 with other line ends and a remark behind its format."""
    text = (FROZEN / f"{name}.toml").read_text(encoding="utf-8")
    assert text.count("format = 1\n") == 1
    return str(ENDS[ends](text.replace("format = 1\n", "format  =  1   # as it was\n")))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_of_format_1_says_what_it_always_said(path):
    """Regression: beside each file stand its records as the program of format 1 read them."""

    def holds(now: object, then: object, place: str) -> None:
        if isinstance(then, dict):
            assert isinstance(now, dict)
            for key, value in then.items():
                holds(now[key], value, f"{place}.{key}")
            for key in set(now) - set(then):  # what came later: nothing that anybody has typed
                untouched = now[key] in (None, [], "") or now[key] is False
                assert untouched or place.endswith(".choices"), (place, key)
        elif isinstance(then, list):
            assert isinstance(now, list)
            assert len(now) == len(then), place
            for index, (one, other) in enumerate(zip(now, then, strict=True)):
                holds(one, other, f"{place}[{index}]")
        elif (path.stem, place) in CORRECTED:
            assert (then, now) == CORRECTED[path.stem, place]
        else:
            assert now == then, place

    text = path.read_text(encoding="utf-8")
    assert tomllib.loads(text)["format"] == 1
    now = plain_records(read(text))
    holds(now, json.loads(path.with_suffix(".json").read_text(encoding="utf-8")), "file")
    raised = SystemText(text).up_to_date()
    assert raised.raw["format"] == FORMAT
    assert plain_records(read(raised.text)) == now


def test_the_frozen_file_of_every_field_holds_every_field_of_format_1():
    raw = tomllib.loads((FROZEN / "every-field.toml").read_text(encoding="utf-8"))
    for kind, one in all_fields():
        if max(one.since, KINDS_SINCE.get(kind, 1)) == 1:
            tables = [raw] if not kind else raw[kind] if kind in REPEATED else [raw[kind]]
            assert any(one.key in table for table in tables), (kind, one.key)


@settings(max_examples=60, deadline=None)
@given(
    name=st.sampled_from([path.stem for path in FILES]),
    ends=st.sampled_from(list(ENDS)),
    new=st.sampled_from(NEW),
)
def test_the_first_edit_that_needs_it_raises_the_format_and_keeps_the_rest(name, ends, new):
    # property
    kind, one = new
    text = SystemText(old_text(name, ends))
    if kind in SINGLE:
        after = text.set(kind, one.key, "x")
    elif text.raw.get(kind):
        after = text.set((kind, 0), one.key, "x")
    else:
        after = text.add(kind, {one.key: "x"})
    assert after.raw["format"] == max(one.since, KINDS_SINCE.get(kind, 1))
    end = "\r\n" if ends in {"crlf", "both"} else "\n"
    assert after.text.count("\n") == after.text.count(end)
    assert after.text.startswith("\ufeff") == text.text.startswith("\ufeff")
    assert f"format  =  {FORMAT}   # as it was{end}" in after.text
    # Every other line is there as it was, in its order.
    before = [line for line in text.text.split(end) if not line.startswith("format ")]
    lines = iter(after.text.split(end))
    assert all(line in lines for line in before)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_an_edit_of_an_old_field_leaves_the_format(path):
    text = SystemText(path.read_text(encoding="utf-8"))
    vessel = text.raw["vessel"][0]["id"]
    for after in (
        text.set("", "title", "x"),
        text.set("site", "ambient_temperature", "20 degC"),
        text.add("junction", {"id": "New"}),
        text.add("plug", {"id": "New", "on": vessel, "alloy": "tin", "bore": "9 mm"}),
        text.remove(vessel, with_dependents=True),
        text.rename(vessel, "New"),
    ):
        assert after.raw["format"] == 1


@pytest.mark.parametrize(("kind", "one"), NEW, ids=lambda x: getattr(x, "key", x))
def test_a_new_field_in_an_old_file_is_a_mistake_that_says_how_to_go_on(kind, one):
    text = (Path(__file__).parent / "every_field.toml").read_text(encoding="utf-8")
    problems = check(text.replace(f"format = {FORMAT}\n", "format = 1\n"))[1]
    field = kind if KINDS_SINCE.get(kind, 1) > 1 else one.key
    told = [found for found in problems if found.field == field]
    assert told
    for found in told:
        assert found.message == "not in format 1 of the file yet"
        assert found.valid.startswith(f"format = {FORMAT} at the top")
        assert found.line is not None
    assert len({found.field for found in problems}) == len(
        {kind if KINDS_SINCE.get(kind, 1) > 1 else one.key for kind, one in NEW}
    )


def test_migration_goes_step_by_step(monkeypatch):
    steps = {1: lambda text: text + "2", 2: lambda text: text + "3"}
    monkeypatch.setattr(migration, "STEPS", steps)
    assert migrate("1", 1, to=3) == "123"
    assert migrate("12", 2, to=3) == "123"
    assert migrate("x", FORMAT) == "x"
    with pytest.raises(ValueError, match="no way from format 3 to format 4"):
        migrate("1", 1, to=4)


def test_a_file_whose_words_have_changed_is_read_through_its_migration(monkeypatch):
    def step(older: str) -> str:
        return older.replace("format = 0", "format = 1").replace("[[tank]]", "[[vessel]]")

    monkeypatch.setattr(migration, "STEPS", {0: step, **migration.STEPS})
    text = (FROZEN / "dairy-hall.toml").read_text(encoding="utf-8")
    older = text.replace("format = 1", "format = 0").replace("[[vessel]]", "[[tank]]")
    assert read(older) == read(text)
    present = text.replace("format = 1", f"format = {FORMAT}")
    assert SystemText(older).up_to_date().text == present
    assert SystemText(present).up_to_date().text == present


@pytest.mark.parametrize("written", ["0x1", "+1", "0b1", "0o1"])
def test_a_format_may_be_written_in_any_way_of_toml(written):
    text = SystemText(f'"format" = {written} # old\ntitle = "x"\n')
    assert text.up_to_date().text == f'"format" = {FORMAT} # old\ntitle = "x"\n'
