"""Samples, shares and Sobol indices."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from airrisk.installation.inputs import input_of
from airrisk.study.index_runs import index_samples
from airrisk.study.sampling import draw, share, sobol, unit_samples
from airrisk.study.spreads import Distribution, SpreadInput, default_distribution

ISHIGAMI_FIRST = (0.3139, 0.4424, 0.0)
ISHIGAMI_TOTAL = (0.5576, 0.4424, 0.2437)


def uniform(key: str, low: float, high: float) -> SpreadInput:
    return SpreadInput(
        key, (low + high) / 2, "ratio", Distribution("uniform", {"low": low, "high": high})
    )


def test_sobol_indices_of_the_ishigami_function_are_the_published_ones():
    """Published: Ishigami and Homma 1990; a = 7, b = 0.1 (values as in Saltelli et al. 2008)."""
    inputs = [uniform(f"X{n}.x", -math.pi, math.pi) for n in (1, 2, 3)]

    def ishigami(values):
        x1, x2, x3 = (values[f"X{n}.x"] for n in (1, 2, 3))
        return np.sin(x1) + 7 * np.sin(x2) ** 2 + 0.1 * x3**4 * np.sin(x1)

    answer = sobol(inputs, ishigami, 8192, seed=3)
    assert answer.first_order == pytest.approx(ISHIGAMI_FIRST, abs=0.01)
    assert answer.total == pytest.approx(ISHIGAMI_TOTAL, abs=0.01)
    for n in range(3):
        assert answer.total_low[n] <= answer.total[n] <= answer.total_high[n]


def test_sobol_answer_is_reproducible_by_seed():
    inputs = [uniform("A.x", 0, 1), uniform("B.x", 0, 1)]

    def product(values):
        return values["A.x"] * (1 + values["B.x"])

    first = sobol(inputs, product, 256, seed=11)
    assert sobol(inputs, product, 256, seed=11) == first
    assert sobol(inputs, product, 256, seed=12) != first


def weighted(values, weights):
    return sum(weight * values[key] for key, weight in weights.items())


WEIGHTS = {"A.x": 1.0, "B.x": 0.5, "C.x": 0.02, "D.x": 0.01, "E.x": 0.0}


def test_inputs_that_hardly_matter_are_varied_together():
    # arithmetic: the variance of a sum of independent inputs is shared out by squared weights
    inputs = [uniform(key, 0, 1) for key in WEIGHTS]
    whole = sum(weight**2 for weight in WEIGHTS.values())
    runs = []

    def outputs(values):
        runs.append(len(values["A.x"]))
        return weighted(values, WEIGHTS)

    answer = sobol(inputs, outputs, 1024, seed=5, slight=("C.x", "D.x", "E.x"))
    assert answer.keys == ("A.x", "B.x")
    assert answer.together is not None
    assert answer.together.keys == ("C.x", "D.x", "E.x")
    assert answer.together.total == pytest.approx((0.02**2 + 0.01**2) / whole, rel=0.1)
    assert sum(runs) == 1024 * (2 + 2 + 1)
    alone = sobol(inputs, outputs, 1024, seed=5)
    assert answer.total == alone.total[:2]
    assert answer.first_order == alone.first_order[:2]
    assert max(alone.total[2:]) <= answer.together.total_high


def test_an_input_that_was_wrongly_taken_for_slight_is_told_alone():
    inputs = [uniform(key, 0, 1) for key in WEIGHTS]
    wrong = sobol(inputs, lambda v: weighted(v, WEIGHTS), 256, seed=5, slight=("B.x", "E.x"))
    assert wrong == sobol(inputs, lambda v: weighted(v, WEIGHTS), 256, seed=5)


def test_what_is_held_has_one_value_in_all_runs_and_leaves_the_points_of_the_others():
    inputs = [uniform(key, 0, 1) for key in WEIGHTS]
    seen = []

    def outputs(values):
        seen.append(values)
        return weighted(values, WEIGHTS)

    free = sobol(inputs, outputs, 64, seed=5)
    points = seen[0]["B.x"].tolist()
    seen.clear()
    answer = sobol(inputs, outputs, 64, seed=5, held={"A.x": 0.25})
    assert seen[0]["B.x"].tolist() == points
    assert all(np.all(values["A.x"] == 0.25) for values in seen)
    assert answer.keys == free.keys[1:]
    assert answer.total[0] > free.total[1]


@pytest.mark.parametrize("method", ["latin hypercube", "sobol"])
def test_sampled_share_meets_the_exact_probability(method):
    """Analytic: P(X + Y < 0.5) = 1/8 for two uniform numbers."""
    inputs = [uniform("A.x", 0, 1), uniform("B.x", 0, 1)]
    values = draw(inputs, 20000, method, seed=5)
    below = share(int(np.sum(values["A.x"] + values["B.x"] < 0.5)), 20000)
    assert below.value == pytest.approx(0.125, abs=0.004)
    assert below.low < 0.125 < below.high


@pytest.mark.parametrize(("count", "total"), [(0, 10), (3, 10), (10, 10), (950, 1000)])
def test_interval_is_wilsons(count, total):
    """Against scipy's binomial test."""
    ours = share(count, total)
    theirs = stats.binomtest(count, total).proportion_ci(0.95, "wilson")
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@pytest.mark.parametrize("method", ["latin hypercube", "sobol"])
def test_unit_samples_fill_each_margin_evenly(method):
    points = unit_samples(3, 1024, method, seed=1)
    assert points.shape == (1024, 3)
    for column in points.T:
        assert np.histogram(column, bins=16, range=(0, 1))[0] == pytest.approx([64] * 16, abs=1)


@pytest.mark.parametrize(
    ("distribution", "reference"),
    [
        (Distribution("uniform", {"low": 2, "high": 5}), stats.uniform(2, 3)),
        (Distribution("normal", {"mean": 2, "deviation": 0.5}), stats.norm(2, 0.5)),
        (
            Distribution("normal", {"mean": 1, "deviation": 1, "low": 0, "high": 3}),
            stats.truncnorm(-1, 2, loc=1, scale=1),
        ),
        (Distribution("triangular", {"low": 1, "mode": 2, "high": 5}), stats.triang(0.25, 1, 4)),
        (
            Distribution("lognormal", {"median": 3, "spread_factor": 1.5}),
            stats.lognorm(math.log(1.5), scale=3),
        ),
    ],
)
def test_quantiles_agree_with_scipy(distribution, reference):
    shares = np.array([0.001, 0.05, 0.3, 0.5, 0.9, 0.999])
    assert distribution.quantile(shares) == pytest.approx(reference.ppf(shares), rel=1e-9)


@pytest.mark.parametrize(
    ("kind", "parameters", "says"),
    [
        ("gauss", {}, "unknown"),
        ("uniform", {"low": 1}, "needs low, high|needs high"),
        ("uniform", {"low": 2, "high": 1}, "low below high"),
        ("triangular", {"low": 0, "mode": 3, "high": 2}, "low <= mode"),
        ("normal", {"mean": 0, "deviation": 0}, "deviation above 0"),
        ("lognormal", {"median": -1, "spread_factor": 2}, "median > 0"),
        ("chance", {"probability": 1.2}, "from 0 to 1"),
    ],
)
def test_a_wrong_distribution_is_refused_with_the_reason(kind, parameters, says):
    with pytest.raises(ValueError, match=says):
        Distribution(kind, parameters)


def test_default_spreads_are_about_the_present_value():
    wall = default_distribution(input_of("vessel", "wall_thickness"), 0.008)
    assert wall is not None
    low, high = wall.ends()
    assert low < 0.008 < high
    melting = default_distribution(input_of("plug", "melting"), 505.0)
    assert melting is not None
    assert melting.ends()[0] < 505.0 < melting.ends()[1]
    assert default_distribution(input_of("plug", "bore"), 0.01) is None


def test_more_samples_sharpen_the_indices_up_to_a_limit():
    # arithmetic
    assert [index_samples(n) for n in (1, 300, 1000, 2000, 100_000)] == [
        128, 128, 256, 512, 512,
    ]  # fmt: skip
