"""Times of single steps of the study."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from airrisk import tables
from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.cache import StepCache
from airrisk.study.consequences import vessel_consequences
from airrisk.study.cures import with_cures
from airrisk.study.fire_map import MapWatcher, fire_map
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.fire_map_records import FireMap
from airrisk.study.protection import protection
from airrisk.study.screening import screen
from tests.benchmarks.speed import Speed, best_of
from tests.benchmarks.whole_processes import largest_sample
from tests.study.test_protection import ladder


def _slowest_screening() -> float:
    whole = read(largest_sample().read_bytes())
    return max(best_of(lambda part=part: screen(whole, part), 3) for part in whole.holders())  # type: ignore[misc]


def _ring() -> float:
    plant = ladder()
    return best_of(lambda: protection(plant), 3, warm=0)


def _consequences() -> float:
    whole = read(tables.sample_path("river-ferry").read_bytes())
    day = whole.choices.audit_date
    if day is None:
        raise RuntimeError("the sample has no audit date")
    answer = assess(whole, day, bores=False)
    bottle = whole.vessels[0]
    return best_of(
        lambda: vessel_consequences(whole, bottle, answer.parts[bottle.id], answer.fires)
    )


def _map(stage: str) -> float:
    """Of a pool of diesel of 2 m at some 2,000 positions of the dairy hall, up to a stage."""
    whole = read(tables.sample_path("dairy-hall").read_bytes())
    day = whole.choices.audit_date
    if day is None:
        raise RuntimeError("the sample has no audit date")
    pool = pool_to_move("diesel", 2.0)
    reached: list[float] = []
    begun = time.perf_counter()

    def partial(seen: FireMap) -> None:
        if seen.stage == stage and not reached:
            reached.append(time.perf_counter() - begun)

    fire_map(whole, pool, day, borders=False, watcher=MapWatcher(partial=partial))
    return reached[0] if reached else time.perf_counter() - begun


@dataclass(frozen=True)
class _Planned:
    """What a sample takes from its file to its plans, s."""

    wall: float
    processor: float  # of all threads
    assessment: float  # the part of the processor time before the first change is tried


@cache
def _planned(sample: str) -> _Planned:
    """Assessment, causes and plans of a sample; once, for all lines about it."""
    source = tables.sample_path(sample).read_bytes()
    whole, known = read(source), StepCache()
    day = whole.choices.audit_date
    if day is None:
        raise RuntimeError("the sample has no audit date")
    begun, spent = time.perf_counter(), time.process_time()
    answer = assess(whole, day, source=source, cache=known)
    assessed = time.process_time()
    with_cures(answer, whole, source, cache=known)
    return _Planned(time.perf_counter() - begun, time.process_time() - spent, assessed - spent)


def _plan_speeds(sample: str, what: str, limit: float) -> Iterator[Speed]:
    """Of one sample; the last two lines hold on a busy machine too."""
    yield Speed(f"assessment and plans of {what}", lambda: _planned(sample).wall, limit, "s")
    yield Speed(f"plans of {what}, processor", lambda: _planned(sample).processor, None, "s")
    yield Speed(
        f"plans of {what}, in assessments",
        lambda: _planned(sample).processor / _planned(sample).assessment,
        None,
        "times",
    )


def speeds() -> Iterator[Speed]:
    """Steps in this process."""
    yield Speed("screening of the slowest part", _slowest_screening, 20e-3, "ms")
    yield Speed("protection in a ring of 40 valves", _ring, 1.0, "s")
    yield Speed("map of the dairy hall, coarse", lambda: _map("coarse"), 1.0, "s")
    yield Speed("map of the dairy hall, 2,000 positions", lambda: _map("borders"), 8.0, "s")
    yield from _plan_speeds("dairy-hall", "the dairy hall", 10.0)
    yield from _plan_speeds("tile-works", "eight vessels", 60.0)
    yield Speed("consequences of one vessel", _consequences, 30e-3, "ms")
