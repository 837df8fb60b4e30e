"""The list of alloys shows where each melts, in the reader's units."""

from __future__ import annotations

from airrisk.window.facts.editors import ChoiceEditor
from airrisk.window.frame import Frame
from tests.editing.systems import SMALL


def test_each_alloy_stands_in_the_list_with_where_it_melts(quick: None, frame: Frame) -> None:
    frame.files.start_with(SMALL)
    frame.session.choose("R2")
    plug = frame.edits.add("plug")
    assert plug is not None
    editor = frame.work.facts.form.rows["plug", "alloy"].editor
    assert isinstance(editor, ChoiceEditor)

    def shown() -> str:
        return editor.itemText(editor.findData("tin")).replace("\u00a0", " ")

    assert shown() == "tin (232 °C)"
    frame.session.set_unit_set("US customary")
    assert shown() == "tin (450 °F)"  # arithmetic: 1.8 x 232 + 32 = 449.6
