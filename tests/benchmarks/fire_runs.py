"""Times of fire runs: single, network, thousands of variants, the search for a bore."""

from __future__ import annotations

import resource
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from airrisk import tables
from airrisk.fire.batch import Stepping, run_batch
from airrisk.fire.bores import smallest_bore
from airrisk.fire.case import FireCase
from airrisk.fire.run import Workspace, run
from airrisk.installation.model import Installation
from airrisk.installation.reading import read
from airrisk.kernel import compiled
from airrisk.kernel import layout as at
from airrisk.study.what_if import choose
from tests.benchmarks.speed import Speed, best_of
from tests.fire.systems import case_of, fire, line, plug, relief, vessel
from tests.independent import plain_fire
from tests.independent.same_case import cases_of, installation_of, plain_case
from tests.independent.test_agreement import CASES, HEAD

MANY = 10_000
PLAIN_RUNS = 5  # of the plain solver; its time varies by 20 % from variant to variant
PLAIN_TOLERANCE = 1e-6
IN_FLAMES = "local fire, plug in the flames"
OUT_OF_FLAMES = "local fire, plug out of it, radiation inside"  # and a relief valve
NETWORK_VARIANTS = 200


@cache
def one_vessel(name: str = IN_FLAMES) -> tuple[Installation, FireCase]:
    """One vessel with two wall zones and a plug with a body of its own."""
    text, basis, radiation = CASES[name]
    whole = installation_of(HEAD.format(basis=basis) + text)
    (case,) = cases_of(whole, whole.fires[0], basis=basis, inner_radiation=radiation)
    return whole, case


@cache
def quarry() -> FireCase:
    """The run of the slate quarry that a what-if study varies: two vessels, piped outlets."""
    whole = read(tables.sample_path("slate-quarry").read_bytes())
    day = whole.choices.audit_date
    if day is None:
        raise RuntimeError("the sample has no audit date")
    return choose(whole, day).case


@cache
def ten_parts() -> FireCase:
    """Five vessels and five lines with air spaces of their own in a ring, all in the fire."""
    vessels = [vessel(f"R{k}", pressure=11e5) for k in range(5)]
    lines = [
        line(f"L{k}", f"R{k}", f"R{(k + 1) % 5}", inside_diameter=0.1053, length=15.0)
        for k in range(5)
    ]
    names = [part.id for part in (*vessels, *lines)]
    case = case_of(*vessels, *lines, plug("FP1", "R0", bore=0.03), relief(on="R2"), fire(names))
    if len(case.spaces) != 10:
        raise RuntimeError(f"{len(case.spaces)} gas spaces")
    return case


def without_boss_and_creep(case: FireCase) -> FireCase:
    """The same case as it was before metal crept and plugs stood on bosses."""
    return case.changed(
        {
            **{case.plug_at(plug, at.P_BOSS_CAPACITY): 0.0 for plug in case.plugs},
            **{case.space_at(part, at.S_CREEP): 0.0 for part in case.parts},
        }
    )


def _times_without(work: Callable[[FireCase], object], rounds: int) -> float:
    """Time of some work over that on the case without boss and creep, in turn; the median."""
    case = one_vessel()[1]
    plain = without_boss_and_creep(case)
    ratios = []
    for _ in range(rounds):
        taken = []
        for one in (case, plain):
            started = time.perf_counter()
            work(one)
            taken.append(time.perf_counter() - started)
        ratios.append(taken[0] / taken[1])
    return float(np.median(ratios))


def _single_over_plain() -> float:
    use = Workspace()
    return _times_without(lambda case: [run(case, workspace=use) for _ in range(20)], 15)


def _batch_over_plain() -> float:
    given = variants(2000)
    return _times_without(lambda case: run_batch(case, given), 15)


def variants(count: int) -> dict[str, np.ndarray]:
    """Inputs that an engineer would doubt, drawn with a fixed seed."""
    rng = np.random.default_rng(20261101)
    return {
        "R1.wall_thickness": rng.uniform(0.005, 0.008, count),
        "R1.pressure": rng.uniform(8e5, 12e5, count),
        "FP1.bore": rng.uniform(0.008, 0.024, count),
        "F1.emissivity": rng.uniform(0.6, 0.9, count),
    }


def time_of_single(case: FireCase, times: int) -> float:
    """Seconds of one run whose states are not kept."""
    space = Workspace()
    return best_of(lambda: run(case, workspace=space, store=False), times, warm=2)


@cache
def time_of_batch(count: int, name: str = IN_FLAMES) -> float:
    """Seconds of a batch, best of three."""
    case, given = one_vessel(name)[1], variants(count)
    return best_of(lambda: run_batch(case, given), 3 if count <= MANY else 1)


def _time_of_quarry() -> float:
    """Seconds of each variant of a network."""
    given = {"F1.emissivity": np.linspace(0.7, 0.9, NETWORK_VARIANTS)}
    return best_of(lambda: run_batch(quarry(), given), 1) / NETWORK_VARIANTS


def _time_per_fire_ratio() -> float:
    return time_of_batch(20 * MANY) / (20 * time_of_batch(MANY))


def _memory_growth() -> float:
    """MB by which the largest memory of this process grows with ten times the variants."""
    case = one_vessel()[1]
    run_batch(case, variants(MANY))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    run_batch(case, variants(10 * MANY))
    return (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024.0


@cache
def plain_runs() -> tuple[float, tuple[float, ...]]:
    """Mean seconds of the plain solver for the first variants, and their peak strength use."""
    whole, _ = one_vessel()
    given = variants(MANY)
    seconds, peaks = [], []
    basis, radiation = CASES[IN_FLAMES][1:]
    for k in range(PLAIN_RUNS + 1):
        tank = replace(
            whole.vessels[0],
            wall_thickness=float(given["R1.wall_thickness"][k]),
            pressure=float(given["R1.pressure"][k]),
        )
        burning = replace(whole.fires[0], emissivity=float(given["F1.emissivity"][k]))
        one = replace(whole.plugs[0], bore=float(given["FP1.bore"][k]))
        changed = replace(whole, vessels=(tank,), plugs=(one,), fires=(burning,))
        (case,) = cases_of(changed, burning, basis=basis, inner_radiation=radiation)
        plain: dict[str, Any] = plain_case(changed, burning, case, basis, radiation)
        start = time.perf_counter()
        result = plain_fire.run(plain, rtol=PLAIN_TOLERANCE)
        seconds.append(time.perf_counter() - start)
        peaks.append(result.peak_use["R1"])
    return float(np.mean(seconds[1:])), tuple(peaks)


def _ratio_to_plain() -> float:
    return plain_runs()[0] / (time_of_batch(MANY) / MANY)


def _largest_difference(name: str) -> float:
    """Of the peak strength use to that of fine implicit steps, over some variants."""
    case, given = one_vessel(name)[1], variants(NETWORK_VARIANTS)
    fine = run_batch(case, given, stepping=Stepping(tolerance=1e-8, steps="implicit"))
    return float(np.max(np.abs(run_batch(case, given).peak_use / fine.peak_use - 1.0)))


def _difference_to_plain() -> float:
    peaks = np.array(plain_runs()[1])
    found = run_batch(one_vessel()[1], variants(MANY)).peak_use[: peaks.size]
    return float(np.max(np.abs(found / peaks - 1.0)))


def speeds() -> Iterator[Speed]:
    """Fire runs in this process, compiled code ready."""
    compiled.compile_now()
    case = one_vessel(OUT_OF_FLAMES)[1]
    yield Speed("one vessel in one fire, warm", lambda: time_of_single(case, 50), 5e-3, "ms")
    yield Speed("section of ten parts in one fire", lambda: time_of_single(ten_parts(), 5), 60e-3,
                "ms")  # fmt: skip
    compiled.compile_now("space_variants")
    yield Speed("10,000 variants of one vessel", lambda: time_of_batch(MANY), 0.5, "s")
    yield Speed("the same with a relief valve that lifts",
                lambda: time_of_batch(MANY, OUT_OF_FLAMES), None, "s")  # fmt: skip
    yield Speed("one fire with boss and creep over one without", _single_over_plain, 1.4, "times")
    yield Speed("variants with boss and creep over those without", _batch_over_plain, 1.4, "times")
    yield Speed("a variant of two vessels with piped outlets", _time_of_quarry, None, "ms")
    yield Speed("the same by the plain solver, each", lambda: plain_runs()[0], None, "s")
    yield Speed("10,000 variants against the plain solver", _ratio_to_plain, 500.0, "times", True)
    yield Speed("largest difference in peak strength use", _difference_to_plain, 1e-3, "%")
    yield Speed("its difference to fine steps", lambda: _largest_difference(IN_FLAMES), 1e-3, "%")
    yield Speed("the same with a relief valve that lifts",
                lambda: _largest_difference(OUT_OF_FLAMES), None, "%")  # fmt: skip
    yield Speed("time of a variant, 200,000 against 10,000", _time_per_fire_ratio, 1.25, "times")
    yield Speed("memory for 100,000 variants over 10,000", _memory_growth, 100.0, "MB")
    yield Speed(
        "smallest bore of one vessel",
        lambda: best_of(lambda: smallest_bore(engulfed(), "FP1", extras=False)), 30e-3, "ms",
    )  # fmt: skip


@cache
def engulfed() -> FireCase:
    """One vessel in the fire with its plug."""
    return case_of(vessel(), plug(), relief(), fire())
