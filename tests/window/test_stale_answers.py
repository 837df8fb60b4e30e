"""No answer outlives the values that it was worked out from, whatever is changed."""

from __future__ import annotations

import random
from collections.abc import Callable, Hashable
from dataclasses import replace
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from airrisk.editing.document import Document
from airrisk.study.cache import StepCache
from airrisk.study.slices import FireSlice
from airrisk.window.calculations import Memory
from airrisk.window.frame import Frame
from tests.editing.random_edits import EVERY_KIND, RandomEdits, changed_fields, missing_kinds
from tests.window import stale_answers
from tests.window.stale_answers import answer, difference, fresh_answer

SEQUENCES = 20
FED = """\
format = 2
title = "A receiver that its compressor feeds"

[choices]
audit_date = 2026-11-01

[[compressor]]
id = "C1"
delivery = "0.5 m3/min"
discharge_pressure = "7 bar(g)"
discharge_temperature = "80 degC"

[[vessel]]
id = "R1"
inside_diameter = "600 mm"
volume = "500 L"
wall_thickness = "8 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "6 bar(g)"

[[line]]
id = "L1"
from = "C1"
to = "R1"
length = "5 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[plug]]
id = "FP1"
on = "R1"
alloy = "Bi58Sn42"
bore = "25 mm"
condition = "clean"
fitted = 2026-10-01
"""


@pytest.fixture
def few_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer runs of each fire; what they read is the same."""
    stale_answers.run_less(monkeypatch.setattr)


def test_the_file_that_is_changed_has_every_kind_of_table() -> None:
    assert list(missing_kinds(EVERY_KIND)) == []
    assert Document(EVERY_KIND).problems == ()


@pytest.mark.parametrize(("kind", "key"), changed_fields())
def test_every_field_can_be_given_another_value(kind: str, key: str) -> None:
    document = Document(EVERY_KIND)
    assert RandomEdits(random.Random(f"{kind} {key}")).change_field(document, kind, key)
    assert document.installation is not None


@pytest.mark.parametrize("number", range(SEQUENCES))
def test_an_answer_from_memory_is_that_of_a_fresh_start(few_runs: None, number: int) -> None:
    """Property, over every field of every kind of table, in random order, bit for bit."""
    done = stale_answers.sequence_over_fields(number, SEQUENCES, seed=1)
    assert done.answers
    assert not done.difference, " | ".join(done.steps)


def cut_out_raised(memory: Memory) -> tuple[Any, Any, Document]:
    """The answers before and after, and the document after."""
    document = Document(FED)
    before = answer(document, memory)
    text = document.system_text.set("C1", "discharge_pressure", "200 bar(g)")
    document.replace("cut-out", text.text)
    return before, answer(document, memory), document


def test_a_compressor_with_a_higher_cut_out_changes_the_verdict(few_runs: None) -> None:
    before, after, document = cut_out_raised(Memory())
    assert next(v for v in before.verdicts if v.fire_class == "whole").safe
    raised = next(v for v in after.verdicts if v.fire_class == "whole")
    assert (raised.safe, raised.outcome) == (False, "ruptures")
    assert not difference(after, fresh_answer(document))


def test_a_memory_that_forgets_what_a_fire_reads_is_found_out(few_runs: None) -> None:
    """The comparison sees the defect that it is there for."""

    class Forgetful(StepCache):
        def answer(self, key: Hashable, compute: Callable[[], Any]) -> Any:
            if isinstance(key, tuple):
                key = tuple(
                    replace(one, installation=replace(one.installation, compressors=()), highest=())
                    if isinstance(one, FireSlice)
                    else one
                    for one in key
                )
            return super().answer(key, compute)

    _, stale, document = cut_out_raised(Memory(Forgetful()))
    assert difference(stale, fresh_answer(document))


def test_the_window_shows_the_answer_of_a_fresh_start(
    few_runs: None, frame: Frame, answered: Callable[[Frame], None], qtbot: QtBot
) -> None:
    """Property: also where changes come while their forerunners are worked out."""
    edits = RandomEdits(random.Random(7))
    frame.files.start_with(EVERY_KIND)
    document = frame.session.document
    assert document is not None
    for changes in (1, 3, 2):
        for _ in range(changes):
            edits.change(document)
            qtbot.wait(1)  # the event loop takes the change up
        answered(frame)
        shown = frame.session.assessment
        assert not difference(shown, fresh_answer(document))
        assert frame.session.part_records == shown.parts
