"""The chain of steps: what is kept, what is redone, what a failure and a stop do."""

from __future__ import annotations

import threading
from functools import cache
from typing import Any

import numpy as np
import pytest

from airrisk import tables
from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study import assessment, fire_outcomes
from airrisk.study.assessment import Watcher, assess
from airrisk.study.cache import StepCache, weight_of
from airrisk.study.slices import FireSlice
from tests.report import hand_made


@cache
def school() -> SystemText:
    return SystemText(tables.sample_path("school-laboratory").read_bytes())


def answer(text: SystemText, cache: StepCache | None = None, **other: Any):
    whole = read(text.text)
    day = whole.choices.audit_date
    assert day is not None
    return assess(whole, day, source=text.data, bores=False, watcher=Watcher(**other), cache=cache)


@pytest.fixture
def counted(monkeypatch):
    """How often fires and screenings are really run."""
    calls: dict[str, list[str]] = {"fire": [], "screen": []}
    fire, screen = fire_outcomes.record_of, assessment.screen

    def counting_fire(cut: FireSlice, **other: Any):
        calls["fire"].append(f"{cut.fire.id} on {cut.section.id}")
        return fire(cut, **other)

    def counting_screen(installation: Installation, part: Any, *rest: Any):
        calls["screen"].append(part.id)
        return screen(installation, part, *rest)

    monkeypatch.setattr(fire_outcomes, "record_of", counting_fire)
    monkeypatch.setattr(assessment, "screen", counting_screen)
    return calls


def filled() -> tuple[StepCache, Any]:
    """A cache with the answers about the school in it."""
    kept = StepCache()
    kept.answer("something else", lambda: None)
    return kept, answer(school(), kept)


def test_an_empty_cache_that_is_handed_in_is_filled():
    kept = StepCache()
    answer(school(), kept)
    assert len(kept) > 0


def test_the_same_question_again_runs_nothing_and_answers_the_same(counted):
    kept, first = filled()
    assert counted["fire"]
    assert counted["screen"]
    counted["fire"].clear()
    counted["screen"].clear()
    again = answer(school(), kept)
    assert counted == {"fire": [], "screen": []}
    assert again.fires == first.fires
    assert again.parts == first.parts
    assert again.findings == first.findings


@pytest.mark.parametrize(
    ("part", "field", "value"),
    [
        ("R1", "at", [3.0, 2.0]),
        ("L1", "at", [7.0, 1.5]),
        ("Classroom", "at", [50.0, 2.0]),
        ("R1", "notes", {"wall_thickness": "read again"}),
    ],
)
def test_moving_a_part_or_editing_a_remark_runs_nothing(counted, part, field, value):
    kept, first = filled()
    counted["fire"].clear()
    counted["screen"].clear()
    moved = answer(school().set(part, field, value), kept)
    assert counted == {"fire": [], "screen": []}
    assert moved.fires == first.fires


def test_changing_one_number_reruns_what_depends_on_it_only(counted):
    kept, first = filled()
    counted["fire"].clear()
    counted["screen"].clear()
    changed = answer(school().set("L1", "wall_thickness", "3.2 mm"), kept)
    assert "R1" not in counted["screen"]
    assert "L1" in counted["screen"]
    # the valve between is shut in every fire, so the vessel's own fires stay
    assert all(name.endswith(" on Bench+L1") for name in counted["fire"])
    assert len(counted["fire"]) == 4  # stated, whole, beside and spot
    assert len(changed.fires) == len(first.fires)


def test_what_was_kept_equals_what_is_computed_anew():
    # property: the cache never changes an answer
    kept, _ = filled()
    changed = school().set("FP1", "bore", "6 mm")
    assert answer(changed, kept) == answer(changed)


def test_a_failed_fire_becomes_a_failure_and_is_never_safe(monkeypatch):
    def broken(*_: Any, **__: Any):
        raise ArithmeticError("the air left its table")

    monkeypatch.setattr(fire_outcomes, "record_of", broken)
    found = answer(school())
    # the one that the file states, on both sections, and the assumed ones of each
    assert len(found.fires) == 2 + 2 * 3
    assert all((f.outcome, f.safe) == ("not converged", False) for f in found.fires)
    told = [(f.step, f.message) for f in found.failures]
    assert told == [("fire", "the air left its table")] * len(found.fires)
    assert all(one.safe is False for one in found.verdicts)
    # the other answers are there, and the findings say that something failed
    assert set(found.parts) == {"R1", "L1"}
    assert any(finding.severity == "danger" for finding in found.findings)


def test_fires_keep_their_order_whichever_is_done_first(monkeypatch):
    # property
    in_order = answer(school())
    run, later = fire_outcomes.record_of, threading.Event()

    def last_first(cut: FireSlice, **other: Any):
        first = in_order.fires[0]
        if (cut.fire.id, cut.section.id) == (first.id, first.section):
            assert later.wait(20)
        try:
            return run(cut, **other)
        finally:
            later.set()

    shares: list[float] = []
    monkeypatch.setattr(fire_outcomes, "record_of", last_first)
    assert answer(school(), progress=lambda share, _: shares.append(share)) == in_order
    assert shares == sorted(shares)

    def broken(cut: FireSlice, **_: Any):
        raise ArithmeticError(cut.section.id)

    monkeypatch.setattr(fire_outcomes, "record_of", broken)
    assert [f.message for f in answer(school()).failures] == [f.section for f in in_order.fires]


def test_a_failed_screening_withholds_that_part_only(monkeypatch):
    screen = assessment.screen

    def broken(installation: Installation, part: Any, *rest: Any):
        if part.id == "L1":
            raise ArithmeticError("no root")
        return screen(installation, part, *rest)

    monkeypatch.setattr(assessment, "screen", broken)
    found = answer(school())
    assert set(found.parts) == {"R1"}
    assert ("screening", "L1") in {(f.step, f.part) for f in found.failures}
    assert found.fires


def test_a_failure_is_not_kept(monkeypatch):
    kept = StepCache()
    kept.answer("something", lambda: 1)
    with monkeypatch.context() as patch:
        patch.setattr(
            fire_outcomes, "record_of", lambda *_, **__: (_ for _ in ()).throw(ValueError("x"))
        )
        assert answer(school(), kept).failures
    assert not answer(school(), kept).failures


@pytest.mark.parametrize("after", [0, 3, 8])
def test_a_caller_can_stop_it(after):
    asked = iter(range(10_000))
    with pytest.raises(Cancelled):
        answer(school(), should_stop=lambda: next(asked) >= after)


def test_a_stop_during_a_fire_goes_through_and_is_no_failure(monkeypatch):
    def stopped(*_: Any, **__: Any):
        raise Cancelled

    monkeypatch.setattr(fire_outcomes, "record_of", stopped)
    with pytest.raises(Cancelled):
        answer(school())


def test_progress_rises_to_one_and_names_what_is_done():
    told: list[tuple[float, str]] = []
    answer(school(), progress=lambda share, what: told.append((share, what)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert any("R1" in what for _, what in told)


def test_the_screening_is_handed_out_before_the_rest():
    early: dict[str, Any] = {}
    answer(school(), partial=early.__setitem__)
    assert set(early["screening"]) == {"R1", "L1"}


def test_the_record_says_for_which_file_and_day_it_is():
    import hashlib

    found = answer(school())
    assert found.inputs_sha256 == hashlib.sha256(school().data).hexdigest()
    assert str(found.on) == "2026-11-01"
    assert found.choices["strength_basis"] == ("tensile", "typed")
    assert found.failures == ()


# the memory itself


def test_a_cache_computes_once_and_forgets_the_least_used():
    kept = StepCache(capacity=2)
    calls: list[str] = []

    def of(key: str) -> str:
        return kept.answer(key, lambda: calls.append(key) or key)  # type: ignore[func-returns-value]

    of("a")
    of("b")
    of("a")
    of("c")  # b goes
    of("a")
    assert calls == ["a", "b", "c"]
    of("b")
    assert calls == ["a", "b", "c", "b"]
    assert len(kept) == 2


def test_a_cache_keeps_no_more_than_its_room_and_always_the_newest():
    """Property: what hours of work leave behind is bounded by memory, not by a count alone."""
    kept = StepCache(room=1_000_000)

    def hold(key: int, floats: int) -> None:
        kept.keep(key, (np.zeros(floats), {"of": key}))

    for number in range(50):
        hold(number, 25_000)  # 200 kB each
        assert len(kept) <= 4
    assert kept.known(49) is not None
    assert kept.known(45) is None
    for _again in range(20):
        hold(49, 25_000)  # counted once
    assert len(kept) == 4
    hold(50, 1_000_000)
    assert len(kept) == 1
    hold(51, 10)
    assert kept.known(51) is not None
    assert kept.known(50) is None


def test_a_cache_has_room_for_two_answers_to_a_large_installation():
    """With less of it the steps of one drove out each other, and each edit began from nothing."""
    kept = StepCache(room=1_000_000)
    pieces = [(np.zeros(25_000), {"of": number}) for number in range(20)]  # 200 kB each

    def ask(answer: str) -> int:
        for number, one in enumerate(pieces):
            kept.keep((answer, number), one)
        kept.fit(tuple(pieces))
        return sum(kept.known((answer, number)) is not None for number in range(20))

    assert ask("first") < 20
    for answer in ("first", "second"):
        assert ask(answer) == 20
    assert ask("first") == 20
    assert ask("third") == 20
    assert len(kept) <= 41
    kept.fit(pieces[0])
    kept.keep("small", 1)
    assert len(kept) <= 5
    unbounded = StepCache()
    unbounded.keep("one", pieces[0])
    unbounded.fit(pieces)
    assert len(unbounded) == 1


def test_the_weight_of_an_answer_counts_its_curves_once():
    record = hand_made.fire()
    points = len(record.curves.time_s) * (1 + 9 * len(record.curves.parts))
    alone = weight_of(record)
    assert alone > 24 * points
    assert weight_of((record, record)) - alone < 200
    whole = np.zeros(1000)
    assert weight_of(whole[:5]) >= whole.nbytes  # a part keeps the whole


def test_a_cache_keeps_no_error():
    kept = StepCache()
    with pytest.raises(ValueError, match="once"):
        kept.answer("a", lambda: (_ for _ in ()).throw(ValueError("once")))
    assert kept.answer("a", lambda: 2) == 2
