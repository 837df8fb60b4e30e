"""Undo and redo against a plain list of texts (property)."""

from __future__ import annotations

import hypothesis.strategies as st
from hypothesis import HealthCheck, given, settings
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from airrisk.editing.history import History
from airrisk.editing.splices import splice_between

texts = st.text(alphabet="ab\n", max_size=12)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(texts, texts)
def test_a_splice_leads_from_one_text_to_the_other_and_back(before: str, after: str) -> None:
    splice = splice_between(before, after)
    assert splice.apply(before) == after
    assert splice.reversed().apply(after) == before


class UndoMachine(RuleBasedStateMachine):
    """The history must behave like a list of all texts with a cursor."""

    def __init__(self) -> None:
        super().__init__()
        self.history = History()
        self.text = ""
        self.past = [""]
        self.cursor = 0
        self.saved: int | None = 0

    @rule(new=texts)
    def edit(self, new: str) -> None:
        if new == self.text:
            return
        self.history.push("edit", self.text, new)
        if self.saved is not None and self.saved > self.cursor:
            self.saved = None
        self.past = [*self.past[: self.cursor + 1], new]
        self.cursor += 1
        self.text = new

    @rule()
    def undo(self) -> None:
        if self.cursor:
            self.cursor -= 1
            self.text = self.history.undo(self.text)
        else:
            assert self.history.undo_label is None

    @rule()
    def redo(self) -> None:
        if self.cursor < len(self.past) - 1:
            self.cursor += 1
            self.text = self.history.redo(self.text)
        else:
            assert self.history.redo_label is None

    @rule()
    def save(self) -> None:
        self.history.mark_clean()
        self.saved = self.cursor

    @invariant()
    def same_text(self) -> None:
        assert self.text == self.past[self.cursor]

    @invariant()
    def clean_means_saved(self) -> None:
        assert self.history.is_clean == (self.saved == self.cursor)


TestUndoMachine = UndoMachine.TestCase
TestUndoMachine.settings = settings(
    max_examples=60, stateful_step_count=25, deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip


def test_a_dragged_knob_is_one_step() -> None:
    history, text = History(), "p = 1"
    for value in range(2, 30):
        new = f"p = {value}"
        history.push("turn p", text, new, merge_key="p")
        text = new
    assert history.undo(text) == "p = 1"
    assert history.undo_label is None


def test_a_sealed_drag_does_not_take_in_the_next_one() -> None:
    history = History()
    history.push("turn", "1", "2", merge_key="p")
    history.seal()
    history.push("turn", "2", "3", merge_key="p")
    assert history.undo("3") == "2"


def test_a_drag_back_to_the_start_leaves_no_step() -> None:
    history = History()
    history.push("turn", "1", "2", merge_key="p")
    history.push("turn", "2", "1", merge_key="p")
    assert history.undo_label is None
    assert history.is_clean


def test_a_drag_does_not_swallow_the_saved_text() -> None:
    history = History()
    history.push("turn", "1", "2", merge_key="p")
    history.mark_clean()
    history.push("turn", "2", "3", merge_key="p")
    assert history.undo("3") == "2"
    assert history.is_clean
