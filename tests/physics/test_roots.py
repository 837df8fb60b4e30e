"""Root between two bounds, against scipy's and closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from airrisk.physics.roots import bracketed_root

CASES: list[tuple[Callable[[float], float], float, float, float]] = [
    (lambda x: x**3 - 2.0 * x - 5.0, 2.0, 3.0, 2.0945514815423265),  # Wallis 1685
    (lambda x: math.exp(x) - 1e3, 0.0, 100.0, math.log(1e3)),
    (lambda x: math.atan(x - 0.3), -50.0, 1e4, 0.3),
    (lambda x: x**19 - 1e-3, 0.0, 10.0, 1e-3 ** (1 / 19)),
    (lambda x: 1.0 if x > 0.377 else -1.0, 0.0, 1.0, 0.377),
    (lambda x: 1.0 / x - 4.0, 1e-6, 1e6, 0.25),
    (lambda x: x, 0.0, 1.0, 0.0),
    (lambda x: x - 1.0, 0.0, 1.0, 1.0),
]


@pytest.mark.parametrize(("function", "low", "high", "root"), CASES)
def test_known_roots(
    function: Callable[[float], float], low: float, high: float, root: float
) -> None:
    # analytic
    asked = []

    def counted(x: float) -> float:
        asked.append(x)
        return function(x)

    assert bracketed_root(counted, low, high, tolerance=1e-11) == pytest.approx(root, abs=1e-11)
    assert len(asked) < 60
    assert all(low <= x <= high for x in asked)


@given(st.floats(-5.0, 5.0), st.floats(0.1, 20.0), st.floats(0.01, 3.0))
def test_agrees_with_scipy(root: float, steepness: float, bend: float) -> None:
    # property, against scipy.optimize.brentq
    def function(x: float) -> float:
        return math.tanh(steepness * (x - root)) + bend * (x**3 - root**3)

    found = bracketed_root(function, -6.0, 7.0, tolerance=1e-10)
    assert found == pytest.approx(brentq(function, -6.0, 7.0, xtol=1e-12), abs=1e-9)


def test_a_coarse_tolerance_is_kept_and_saves_work() -> None:
    asked = []

    def function(x: float) -> float:
        asked.append(x)
        return x * x - 2.0

    assert bracketed_root(function, 0.0, 9.0, tolerance=0.01) == pytest.approx(2**0.5, abs=0.01)
    assert len(asked) < 15


def test_bounds_without_change_of_sign_are_refused() -> None:
    with pytest.raises(ValueError, match="no change of sign between 1 and 2"):
        bracketed_root(lambda x: x, 1.0, 2.0, tolerance=1e-9)
    with pytest.raises(ValueError, match="no change of sign"):
        bracketed_root(lambda x: math.nan, 1.0, 2.0, tolerance=1e-9)
    with pytest.raises(ValueError, match="not a number"):
        bracketed_root(lambda x: math.nan if 1.2 < x < 1.8 else x - 1.5, 1.0, 2.0, tolerance=1e-9)
