"""Does the window ever keep an answer that a change has made wrong?

Random changes of one file go through a document and the memory that the window keeps between its
questions, some questions stopped halfway; each answer must be bit for bit that of a fresh start.

python -m tests.window.stale_answers --count 1000
"""

from __future__ import annotations

import argparse
import random
import struct
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache, partial
from types import ModuleType
from typing import Any
from weakref import WeakKeyDictionary

from airrisk.editing.document import Document
from airrisk.fire import batch, case
from airrisk.fire.stopping import Cancelled
from airrisk.study import assessment, envelope
from airrisk.study.cache import StepCache
from airrisk.window.calculations import Assess, Memory
from tests.editing.random_edits import EVERY_KIND, Field, RandomEdits, changed_fields

REMEMBERS = ("airrisk.installation", "airrisk.study", "airrisk.editing", "airrisk.quantities")
STOPPED = 0.2  # share of the changes after which a question is asked that a newer one stops
ASKED = 0.3  # share of the changes after which one is asked and answered, not compared


class Asked:
    """What a job of the worker may ask and tell; ``calls``: after how many it must stop."""

    def __init__(self, calls: int | None = None) -> None:
        self._left = calls

    def should_stop(self) -> bool:
        """Whether the job must end now."""
        if self._left is None:
            return False
        self._left -= 1
        return self._left < 0

    def progress(self, share: float, text: str = "") -> None:
        """Nobody looks."""

    def partial(self, part: str, value: Any) -> None:
        """Nobody looks."""


@dataclass
class Sequence:
    """What happened in one sequence of changes."""

    steps: list[str] = field(default_factory=list)
    answers: int = 0
    stopped: int = 0
    difference: str = ""  # empty: every answer was that of a fresh start


def answer(document: Document, memory: Memory, calls: int | None = None) -> Any:
    """The answer to the present text as the window gets it; None when it was stopped."""
    assert document.installation is not None
    work = Assess(document.installation, document.text.encode("utf-8"), memory)
    try:
        return work(Asked(calls))  # type: ignore[arg-type]
    except Cancelled:
        return None


def fresh_answer(document: Document) -> Any:
    """The answer of a program that has just been started with this text."""
    forget_everything()
    return answer(Document(document.text), Memory())


def forget_everything() -> None:
    """Empty what modules remember of earlier questions."""
    for name, module in list(sys.modules.items()):
        if name.startswith(REMEMBERS):
            _forget(module)


def _forget(module: ModuleType) -> None:
    for thing in list(vars(module).values()):
        if isinstance(thing, WeakKeyDictionary):
            thing.clear()
        elif callable(getattr(thing, "cache_clear", None)):
            thing.cache_clear()


def difference(one: Any, other: Any, path: str = "") -> str:
    """Where two answers differ first, down to the bits of each number; empty: nowhere."""
    if one is other:
        return ""
    if type(one) is not type(other):
        return f"{path}: {one!r} is not {other!r}"
    if isinstance(one, float):
        same = struct.pack("d", one) == struct.pack("d", other)
        return "" if same else f"{path}: {one!r} is not {other!r}"
    if is_dataclass(one) and not isinstance(one, type):
        found = (
            difference(getattr(one, f.name), getattr(other, f.name), f"{path}.{f.name}")
            for f in fields(one)
        )
        return next((text for text in found if text), "")
    if isinstance(one, Mapping):
        if list(one) != list(other):
            return f"{path}: keys {list(one)} are not {list(other)}"
        found = (difference(one[key], other[key], f"{path}[{key!r}]") for key in one)
        return next((text for text in found if text), "")
    if isinstance(one, (tuple, list)):
        if len(one) != len(other):
            return f"{path}: {len(one)} are not {len(other)}"
        if {*map(type, one), *map(type, other)} == {float}:
            row = f"{len(one)}d"
            if struct.pack(row, *one) == struct.pack(row, *other):
                return ""
        found = (
            difference(a, b, f"{path}[{n}]")
            for n, (a, b) in enumerate(zip(one, other, strict=True))
        )
        return next((text for text in found if text), "")
    return "" if one == other else f"{path}: {one!r} is not {other!r}"


def run_sequence(rng: random.Random, turns: list[Field | None], compared: int) -> Sequence:
    """Make changes one after the other and compare some of the answers.

    Parameters
    ----------
    rng
        Where the chance comes from.
    turns
        The field to change, or None for any change at all.
    compared
        After how many changes an answer is compared; the last one always is.
    """
    edits, document = RandomEdits(rng), Document(EVERY_KIND)
    done, memory = Sequence(), begun(EVERY_KIND)
    for number, turn in enumerate(turns, start=1):
        said = edits.change(document) if turn is None else edits.change_field(document, *turn)
        if not said:
            if turn is not None:
                done.difference = f"{turn}: no other value leaves a file that can be read"
                return done
            continue
        done.steps.append(said)
        if rng.random() < STOPPED:
            done.stopped += answer(document, memory, rng.randint(0, 400)) is None
        is_compared = number % compared == 0 or number == len(turns)
        if not is_compared and rng.random() > ASKED:
            continue  # the memory meets several changes at once
        kept = answer(document, memory)
        if not is_compared:
            continue
        done.answers += 1
        done.difference = difference(kept, fresh_answer(document))
        if done.difference:
            return done
    return done


@cache
def _first(text: str) -> StepCache:
    memory = Memory()
    answer(Document(text), memory)
    return memory.steps()


def begun(text: str) -> Memory:
    """The memory of a window in which a first text has been answered."""
    steps = StepCache()
    steps._answers.update(_first(text)._answers)
    return Memory(steps)


def sequences(count: int, seed: int, changes: int = 6) -> Iterator[Sequence]:
    """Sequences of any changes; the same seed gives the same ones."""
    for number in range(count):
        rng = random.Random(f"stale {seed} {number}")
        yield run_sequence(rng, [None] * changes, compared=3)


def sequence_over_fields(number: int, count: int, seed: int) -> Sequence:
    """One of so many sequences in which together every field of every kind is changed once."""
    waiting = changed_fields()
    random.Random(f"stale {seed}").shuffle(waiting)
    turns: list[Field | None] = list(waiting[number::count])
    rng = random.Random(f"stale {seed} {number}")
    return run_sequence(rng, turns, compared=len(turns))


def main(words: list[str] | None = None) -> int:
    """Run the long study; exit code 1 when an answer was stale."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--changes", type=int, default=6, help="of each sequence")
    parser.add_argument("--whole", action="store_true", help="all runs, bores and cures")
    asked = parser.parse_args(words)
    if not asked.whole:
        run_less(setattr)
    begin, answers, stopped, changes, stale = time.monotonic(), 0, 0, 0, 0
    for number, done in enumerate(sequences(asked.count, asked.seed, asked.changes)):
        answers += done.answers
        stopped += done.stopped
        changes += len(done.steps)
        if done.difference:
            stale += 1
            print(f"sequence {number}: {' | '.join(done.steps)}\n  {done.difference}", flush=True)
        if (number + 1) % 20 == 0:
            minutes = (time.monotonic() - begin) / 60
            print(f"{number + 1} sequences, {stale} stale, {minutes:.0f} min", flush=True)
    print(
        f"{asked.count} sequences with {changes} changes, {stopped} questions stopped, "
        f"{answers} answers compared: {stale} stale"
    )
    return 1 if stale else 0


def run_less(patch: Callable[[Any, str, Any], Any]) -> None:
    """Fewer corners of each envelope, coarser steps, no bores and cures: they read the same.

    Parameters
    ----------
    patch
        ``setattr`` or that of a monkeypatch.
    """
    patch(case, "TOLERANCE", 1e-3)
    patch(case, "NETWORK_TOLERANCE", 1e-3)
    patch(batch, "BATCH_TOLERANCE", 1e-3)
    patch(envelope, "HEATS", (1.0,))
    patch(envelope, "SHARES", (0.05,))
    patch(envelope, "THINNER", (1.0,))
    patch(assessment, "assess", partial(assessment.assess, bores=False))


if __name__ == "__main__":
    sys.exit(main())
