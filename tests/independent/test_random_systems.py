"""Random valid systems: every run ends with an answer, single vessels as the plain solver says."""

import pytest

from airrisk.fire.run import run
from airrisk.installation.reading import check
from tests.independent.random_runs import compare_with_plain, run_random_systems
from tests.independent.random_systems import random_system
from tests.independent.same_case import cases_of, installation_of


def test_random_systems_are_valid_and_repeatable():
    for seed in range(100):
        text = random_system(seed)
        installation, problems = check(text)
        assert installation is not None, problems
        assert random_system(seed) == text


def test_three_hundred_random_systems_end_with_an_answer():
    """Property: no NaN, none safe without an answer, at most 0.1 % not converged."""
    tally = run_random_systems(300)
    assert tally.runs >= 300
    assert tally.faults() == []
    # the sample holds good and bad ends, so that the property says something
    assert {"vents in time", "ruptures", "outlasts the fire"} <= set(tally.outcomes)


@pytest.mark.parametrize("seed", [954, 1191, 1966, 3160, 8427])
def test_odd_systems_end_with_an_answer(seed):
    """Regression: cold blow-down, metal heated without end, valves turned against each other."""
    assert run_random_systems(1, seed).not_converged == []


def test_random_vessels_end_as_in_the_plain_solver():
    """Convergence between independent solvers: mismatches only near a limit, never to safe."""
    result = compare_with_plain(15)
    assert result.mismatches == []


@pytest.mark.long
def test_ten_thousand_random_systems_end_with_an_answer():
    """Property, by hand: ``pytest -m long``."""
    assert run_random_systems(10_000).faults() == []


@pytest.mark.long
def test_two_hundred_random_vessels_end_as_in_the_plain_solver():
    """Convergence between independent solvers, by hand."""
    result = compare_with_plain(200)
    assert result.mismatches == []
    assert len(result.near_a_limit) <= 4


@pytest.mark.parametrize("seed", [1, 201, 343, 431])
def test_shorter_steps_change_no_strength_use_of_a_network(seed):
    """Property: relief valves that lift again and again leave the peak within three thousandths."""
    installation = installation_of(random_system(seed))
    for fire in installation.fires:
        for case in cases_of(installation, fire):
            usual, finer = run(case, store=False), run(case.with_tolerance(1e-8), store=False)
            assert usual.peak_use.max() == pytest.approx(finer.peak_use.max(), rel=3e-3)
