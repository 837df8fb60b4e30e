"""Every fire of many random systems run to its end, and what must never happen counted.

``python -m tests.independent.random_systems --count 10000`` runs by hand what the tests run with
three hundred; ``--against-plain 200`` compares as many single vessels with the plain solver.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from airrisk.fire.outcome import classify
from airrisk.fire.run import FireRun, run
from airrisk.verdict.rule import Verdict
from tests.independent import plain_fire
from tests.independent.random_systems import random_system
from tests.independent.same_case import cases_of, installation_of, plain_case

SHARE_NOT_CONVERGED = 0.001
NEAR = 0.01  # of a limit, within which two solvers may judge differently


@dataclass
class Tally:
    """What came out of many runs; the lists name system, fire and reason."""

    runs: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    not_converged: list[str] = field(default_factory=list)
    not_a_number: list[str] = field(default_factory=list)
    safe_without_answer: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")
    most_evaluations: tuple[int, str] = (0, "")
    seconds: float = 0.0

    def faults(self) -> list[str]:
        """In words, what must not be."""
        found = [f"not a number: {one}" for one in self.not_a_number]
        found += [f"safe without an answer: {one}" for one in self.safe_without_answer]
        if len(self.not_converged) > SHARE_NOT_CONVERGED * self.runs:
            found += [f"not converged: {one}" for one in self.not_converged]
        return found


def _is_finite(result: FireRun) -> bool:
    arrays = (result.time, result.states, result.peak_use, result.peak_pressure, result.end_use)
    return all(bool(np.isfinite(array).all()) for array in arrays)


def _answered(verdict: Verdict) -> bool:
    return (
        verdict.outcome != "not converged"
        and np.isfinite([verdict.peak_use, verdict.peak_pressure]).all()
    )


def run_random_systems(count: int, first: int = 0) -> Tally:
    """Run every fire against every section it reaches, for ``count`` seeds from ``first``."""
    tally = Tally()
    start = time.perf_counter()
    for seed in range(first, first + count):
        installation = installation_of(random_system(seed))
        for fire in installation.fires:
            for case in cases_of(installation, fire):
                name = f"system {seed}, {fire.id}, {case.section}"
                began = time.perf_counter()
                result = run(case)
                verdict = classify(result)
                took = time.perf_counter() - began
                tally.runs += 1
                tally.outcomes[verdict.outcome] += 1
                tally.slowest = max(tally.slowest, (took, name))
                tally.most_evaluations = max(tally.most_evaluations, (result.evaluations, name))
                if verdict.outcome == "not converged":
                    tally.not_converged.append(f"{name}: {verdict.reason}")
                elif not _is_finite(result):
                    tally.not_a_number.append(name)
                if verdict.safe and not _answered(verdict):
                    tally.safe_without_answer.append(name)
    tally.seconds = time.perf_counter() - start
    return tally


@dataclass
class Comparison:
    """Single vessels judged by both solvers."""

    compared: int = 0
    near_a_limit: list[str] = field(default_factory=list)
    mismatches: list[str] = field(default_factory=list)
    largest_difference: float = 0.0  # of peak strength use, relative, where both agree
    further_than_allowed: int = 0  # by more than 0.3 %


def _run_plain(case: dict[str, Any]) -> plain_fire.PlainRun:
    try:
        return plain_fire.run(case, rtol=1e-7)
    except ValueError:
        # a trial step outside the equation of state; smaller steps do not go there
        return plain_fire.run(case, rtol=1e-8)


def compare_with_plain(count: int, first: int = 0) -> Comparison:
    """Judge ``count`` random single vessels by both solvers."""
    result = Comparison()
    for seed in range(first, first + count):
        installation = installation_of(random_system(seed, plain=True))
        fire = installation.fires[0]
        (case,) = cases_of(installation, fire)
        ours = run(case)
        verdict = classify(ours)
        plain = _run_plain(plain_case(installation, fire, case, case.basis, True))
        (use,) = plain.peak_use.values()
        result.compared += 1
        plain_safe = plain.outcome == "vents in time" or (
            plain.outcome == "outlasts the fire" and use <= case.limit
        )
        same = verdict.outcome == plain.outcome and verdict.safe == plain_safe
        apart = abs(verdict.peak_use - use) / max(use, 1e-9)
        note = (
            f"vessel {seed}: {verdict.outcome}, use {verdict.peak_use:.4f}; "
            f"plain {plain.outcome}, use {use:.4f}"
        )
        if same:
            result.largest_difference = max(result.largest_difference, apart)
            result.further_than_allowed += apart > 0.003
            continue
        left = [v["use"] for v in plain.final.values()]
        near = min(abs(use - case.limit) / case.limit, abs(use - 1.0), abs(left[0] - 0.2) / 0.2)
        if near <= NEAR and (plain_safe or not verdict.safe):
            result.near_a_limit.append(note)
        else:
            result.mismatches.append(note)
    return result


def main(arguments: list[str] | None = None) -> int:
    """Run by hand and print the figures; 1 when something must not be."""
    parser = argparse.ArgumentParser(prog="random systems", description=__doc__)
    parser.add_argument("--count", type=int, default=300, help="how many systems")
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--against-plain", type=int, default=0, help="how many single vessels")
    chosen = parser.parse_args(arguments)
    tally = run_random_systems(chosen.count, chosen.first)
    print(f"{chosen.count} systems, {tally.runs} fires against sections in {tally.seconds:.0f} s")
    print(", ".join(f"{name}: {number}" for name, number in tally.outcomes.most_common()))
    print(f"slowest {tally.slowest[0]:.2f} s ({tally.slowest[1]})")
    print(f"most evaluations {tally.most_evaluations[0]} ({tally.most_evaluations[1]})")
    for one in tally.not_converged:
        print("not converged:", one)
    faults = tally.faults()
    if chosen.against_plain:
        both = compare_with_plain(chosen.against_plain, chosen.first)
        print(
            f"{both.compared} single vessels against the plain solver: "
            f"{len(both.mismatches)} mismatches, {len(both.near_a_limit)} within 1 % of a limit, "
            f"strength use apart by at most {both.largest_difference:.1e}, "
            f"by more than 0.3 % in {both.further_than_allowed}"
        )
        for one in both.near_a_limit:
            print("near a limit:", one)
        faults += both.mismatches
    for fault in faults:
        print("FAULT", fault)
    return 1 if faults else 0
