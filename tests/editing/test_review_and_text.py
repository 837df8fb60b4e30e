"""Reviewing, inspections and plain text: property checks on texts."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from airrisk.editing import Document
from airrisk.editing.inspections import entries_about, with_entry, without_entry
from airrisk.editing.plain_text import edited, plain
from airrisk.editing.review import is_review
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.tables import sample_path

FERRY = sample_path("river-ferry.toml").read_text(encoding="utf-8")
FOUND = {
    "on": "FP2", "date": "2026-10-20", "by": "N. Ito", "condition": "scaled", "renewed": False,
    "note": "white crust",
}  # fmt: skip


def test_an_inspection_is_added_changed_and_removed_without_touching_the_rest() -> None:
    text, mistakes = with_entry(SystemText(FERRY), FOUND, None)
    assert not mistakes
    newest = entries_about(text, "fp2")[0]
    assert (newest.date, newest.condition, newest.by) == ("2026-10-20", "scaled", "N. Ito")
    assert len(read(text.text).inspections) == len(read(FERRY).inspections) + 1
    changed, mistakes = with_entry(text, {**FOUND, "by": "", "note": "dust"}, newest.place)
    assert not mistakes
    entry = entries_about(changed, "FP2")[0]
    assert (entry.by, entry.note) == ("", "dust")
    assert without_entry(changed, newest.place).text == FERRY


@pytest.mark.parametrize(
    ("field", "value"), [("date", "20.10.2026"), ("date", ""), ("on", "FP9"), ("condition", "odd")]
)
def test_a_wrong_inspection_names_its_field(field: str, value: str) -> None:
    _text, mistakes = with_entry(SystemText(FERRY), {**FOUND, field: value}, None)
    assert list(mistakes) == [field]
    assert "valid" in mistakes[field]


def test_a_relief_valve_that_is_no_device_cannot_be_renewed() -> None:
    _text, mistakes = with_entry(SystemText(FERRY), {**FOUND, "on": "V1", "renewed": True}, None)
    assert "renewed" in mistakes


def test_open_for_review_takes_remarks_and_inspections_only() -> None:
    document = Document(FERRY)
    document.review_only = True
    assert not document.replace("value", FERRY.replace("30 bar(g)", "31 bar(g)"))
    assert not document.replace("broken", FERRY + "\n[")
    assert document.text == FERRY
    remark = document.system_text.set("FP1", "notes.bore", "as stamped").text
    assert document.replace("remark", remark)
    text, _mistakes = with_entry(document.system_text, FOUND, None)
    assert document.replace("inspection", text.text)
    assert document.undo()
    assert document.text == remark
    assert is_review(FERRY, remark + "# a comment\n")


DEED = """
[[action]]
id = "A1"
rule = "plug-condition"
part = "FP1"
decision = "do"
text = "clean it"
"""
ACCEPTED = """
[[action]]
id = "A2"
rule = "plug-condition"
part = "FP1"
decision = "accept"
reason = "seen"
by = "Safety"
until = 2027-01-01
"""


def test_a_reviewer_may_ask_for_something_and_note_it_done_but_accept_nothing() -> None:
    asked, done = FERRY + DEED, FERRY + DEED + "done = 2026-11-01\n"
    assert is_review(FERRY, asked)
    assert is_review(asked, done)
    assert not is_review(asked, FERRY)  # what somebody asked for does not go
    assert not is_review(FERRY, FERRY + ACCEPTED)
    assert not is_review(FERRY + ACCEPTED, FERRY)
    assert not is_review(FERRY + ACCEPTED, FERRY + ACCEPTED.replace("2027", "2029"))
    assert not is_review(FERRY + ACCEPTED, FERRY + DEED.replace("A1", "A2"))  # taken back
    older = FERRY.replace("format = 2", "format = 1", 1)
    assert not is_review(FERRY, older)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_typing_changes_only_the_lines_that_were_typed(end: str) -> None:
    before = "\ufeff" + FERRY.replace("\n", end) + "# last\r\n# without end"
    typed = plain(before).replace('title = "', 'title = "New\n', 1)
    after = edited(before, typed)
    assert plain(after) == typed
    assert after.startswith("\ufeff")
    assert after.endswith("# last\r\n# without end")
    assert edited(before, plain(before)) == before


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(
    st.lists(st.tuples(st.text("ab ", max_size=3), st.sampled_from(["\n", "\r\n"])), max_size=6),
    st.text("ab\n", max_size=12),
)
def test_the_plain_form_of_an_edit_is_what_was_typed(
    lines: list[tuple[str, str]], typed: str
) -> None:
    before = "".join(text + end for text, end in lines)
    assert plain(edited(before, typed)) == typed
    assert edited(before, plain(before)) == before
