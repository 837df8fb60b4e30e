"""Times of single steps of the study."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk import tables
from airrisk.installation.reading import read
from airrisk.study.assessment import assess
from airrisk.study.consequences import vessel_consequences
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


def speeds() -> Iterator[Speed]:
    """Steps in this process."""
    yield Speed("screening of the slowest part", _slowest_screening, 20e-3, "ms")
    yield Speed("protection in a ring of 40 valves", _ring, 1.0, "s")
    yield Speed("consequences of one vessel", _consequences, 30e-3, "ms")
