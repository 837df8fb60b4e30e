"""Questions on threads: order, failures, and the plain path."""

from __future__ import annotations

import sys
import threading

import pytest

from airrisk.kernel import compiled
from airrisk.study.side_by_side import TURN, side_by_side


def test_answers_keep_the_order_of_the_items() -> None:
    assert compiled.compile_now()
    second_done = threading.Event()

    def ask(item: int) -> tuple[int, str]:
        if item == 0:
            assert second_done.wait(20)  # the first is answered last
        if item == 1:
            second_done.set()
        return item * item, threading.current_thread().name

    answers = side_by_side(ask, range(5))
    assert [square for square, _ in answers] == [0, 1, 4, 9, 16]
    assert all(name.startswith("study") for _, name in answers)
    assert not [t for t in threading.enumerate() if t.name.startswith("study")]


def test_the_first_failure_in_order_is_raised() -> None:
    def ask(item: int) -> int:
        if item in (2, 3):
            raise ValueError(f"item {item}")
        return item

    with pytest.raises(ValueError, match="item 2"):
        side_by_side(ask, range(5))


def test_without_compiled_code_everything_stays_in_this_thread(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(compiled, "is_ready", lambda: False)
    here = threading.current_thread().name
    assert side_by_side(lambda item: threading.current_thread().name, [1, 2]) == [here, here]


def test_the_longest_is_asked_first_and_answers_keep_their_order() -> None:
    assert compiled.compile_now()
    asked: list[int] = []
    both = threading.Barrier(2)  # else one thread may do all while the other is still coming

    def ask(item: int) -> int:
        asked.append(item)
        if item in (9, 3):
            both.wait(timeout=30.0)
        return item

    assert side_by_side(ask, [1, 3, 2, 9], float) == [1, 3, 2, 9]
    assert set(asked[:2]) == {9, 3}


def test_the_interpreter_takes_its_usual_turns_afterwards() -> None:
    assert compiled.compile_now()
    usual = sys.getswitchinterval()

    def ask(item: int) -> float:
        side_by_side(lambda one: one, [1, 2])
        return sys.getswitchinterval()

    assert side_by_side(ask, [1, 2]) == [pytest.approx(TURN)] * 2
    with pytest.raises(ZeroDivisionError):
        side_by_side(lambda item: 1 // item, [0, 1])
    assert sys.getswitchinterval() == usual
