"""A run whose every number is known is not made again, and no other run takes its answer."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from airrisk.fire import known_runs
from airrisk.fire.batch import BatchResult, _Runner, run_changes, run_table
from airrisk.fire.changes import heat
from airrisk.fire.known_runs import KnownRuns, keys_of
from airrisk.fire.run import run
from airrisk.kernel import layout as at
from tests.fire.systems import case_of, fire, line, plug, vessel

FIRE = fire(duration=900.0)
CASES = {
    "one vessel": case_of(vessel(), plug(), FIRE),
    "a network": case_of(vessel(), vessel("R2", volume=0.5), line("L1", "R1", "R2"), plug(), FIRE),
}


def _same(one: BatchResult, other: BatchResult) -> bool:
    names = [item.name for item in dataclasses.fields(one)]
    return all(
        np.array_equal(getattr(one, name), getattr(other, name), equal_nan=True)
        if getattr(one, name).dtype.kind == "f"
        else np.array_equal(getattr(one, name), getattr(other, name))
        for name in names
    )


def _count(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    made: list[int] = []
    run_rows = _Runner.run

    def counted(self, places, table, first, last, rows):
        made.append(last - first)
        run_rows(self, places, table, first, last, rows)

    monkeypatch.setattr(_Runner, "run", counted)
    return made


@pytest.mark.parametrize("name", CASES)
def test_known_runs_are_the_same_to_the_last_bit_and_are_not_made_again(name, monkeypatch):
    """Property: whatever was run before them, in whatever order."""
    case = CASES[name]
    shares = (1.0, 0.5, 1.0, 0.7)
    alone = [run_changes(case, [heat(case, share)]) for share in shares]
    made = _count(monkeypatch)
    known = KnownRuns()
    first = run_changes(case, [heat(case, share) for share in shares], known=known)
    assert sum(made) == 3  # the same heat twice is one run
    again = run_changes(case, [heat(case, share) for share in shares[::-1]], known=known)
    assert sum(made) == 3
    for place, one in enumerate(alone):
        assert _same(one, _row(first, place))
        assert _same(one, _row(again, len(shares) - 1 - place))


def _row(found: BatchResult, place: int) -> BatchResult:
    names = [item.name for item in dataclasses.fields(found)]
    return BatchResult(**{name: getattr(found, name)[place : place + 1] for name in names})


@pytest.mark.parametrize("name", CASES)
def test_a_run_of_any_other_number_is_made(name):
    """Attack: the least change of any one number of a case, a float or an integer."""
    case = CASES[name]
    nothing = np.zeros(0, dtype=np.int64), np.zeros((1, 0))
    mine = keys_of(case.floats, case.integers, *nothing, "compiled")
    others = []
    for place in range(case.floats.size):
        floats = case.floats.copy()
        floats[place] = np.nextafter(floats[place], np.inf)
        others += keys_of(floats, case.integers, *nothing, "compiled")
        varied = np.array([place]), floats[place : place + 1].reshape(1, 1)
        assert keys_of(case.floats, case.integers, *varied, "compiled") == others[-1:]
    for place in range(case.integers.size):
        integers = case.integers.copy()
        integers[place] += 1
        others += keys_of(case.floats, integers, *nothing, "compiled")
    others += keys_of(case.floats, case.integers, *nothing, "plain")
    assert len({*mine, *others}) == 1 + len(others)


def test_a_run_that_did_not_come_to_its_end_is_asked_again(monkeypatch):
    case = CASES["one vessel"]
    hopeless = case.changed({case.space_at("R1", at.S_TEMPERATURE): 20.0})  # outside of the table
    made = _count(monkeypatch)
    known = KnownRuns()
    for _ in range(2):
        found = run_changes(hopeless, [{}], known=known)
        assert not found.safe[0]
    assert (sum(made), len(known)) == (2, 0)


def test_the_memory_is_bounded(monkeypatch):
    monkeypatch.setattr(known_runs, "MOST_RUNS", 2)
    case = CASES["one vessel"]
    known = KnownRuns()
    run_changes(case, [heat(case, share) for share in (1.0, 0.9, 0.8)], known=known)
    made = _count(monkeypatch)
    run_changes(case, [heat(case, share) for share in (0.9, 0.8)], known=known)
    assert (len(known), sum(made)) == (2, 0)
    run_changes(case, [heat(case, 1.0)], known=known)
    assert sum(made) == 1


def test_known_runs_count_for_the_progress_as_those_that_are_made():
    case = CASES["one vessel"]
    known = KnownRuns()
    changes = [heat(case, share) for share in (1.0, 0.9)]
    told: list[tuple[int, int]] = []
    run_changes(case, changes, known=known)
    run_changes(case, changes, known=known, progress=lambda *done: told.append(done))
    assert told == [(2, 2)]


def test_whether_air_gets_out_is_asked_of_the_case_and_not_of_the_memory():
    """Attack: another case of the same numbers, in which the open plug is out of reach."""
    case = case_of(vessel(pressure=6.0e5), plug(bore=0.03), FIRE)
    known = KnownRuns()
    nothing = np.zeros(0, dtype=np.int64), np.zeros((1, 0))
    vents = run_table(case, *nothing, known=known)
    cut_off = dataclasses.replace(case, reach={"R1": frozenset()})
    assert vents.safe[0]
    assert run_table(cut_off, *nothing, known=known).outcome[0] != vents.outcome[0]


@pytest.mark.parametrize("name", CASES)
def test_a_known_run_has_the_histories_and_events_of_the_run(name):
    case = CASES[name]
    made, known = run(case), KnownRuns()
    assert known.whole(case) is None
    known.keep_whole(made)
    again = known.whole(case)
    assert again is not None
    assert np.array_equal(again.states, run(case).states)
    assert again.events == made.events
    assert again.creep_damage.tolist() == made.creep_damage.tolist()


def test_a_run_of_another_name_or_number_is_not_that_run(monkeypatch):
    """Attack: a plug of another name, which the events of the run name; and one number moved."""
    case = CASES["one vessel"]
    known = KnownRuns()
    known.keep_whole(run(case))
    assert known.whole(dataclasses.replace(case, plugs=("FP9",))) is None
    assert known.whole(case.changed({0: float(np.nextafter(case.floats[0], 1e9))})) is None
    known.keep_whole(dataclasses.replace(run(CASES["a network"]), converged=False))
    assert known.whole(CASES["a network"]) is None
    monkeypatch.setattr(known_runs, "MOST_BYTES", 1)
    known.keep_whole(run(CASES["a network"]))
    assert known.whole(CASES["a network"]) is None
    assert known.whole(case) is None
