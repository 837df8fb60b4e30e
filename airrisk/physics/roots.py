"""The root of a function of one variable between two bounds.

scipy has several, but its import takes longer than a whole assessment may.
"""

from __future__ import annotations

import math
from collections.abc import Callable


def bracketed_root(
    function: Callable[[float], float],
    low: float,
    high: float,
    *,
    tolerance: float,
    relative: float = 1e-15,
) -> float:
    """Where a function is zero between two bounds at which its signs differ.

    Parameters
    ----------
    function
        Continuous.
    low, high
        The bounds, in the unit of the variable.
    tolerance
        Largest error of the answer, in the unit of the variable.
    relative
        Error allowed beside it as a share of the answer.

    Returns
    -------
    float
        The root.

    Raises
    ------
    ValueError
        The signs at the bounds are the same, or a value is not a number.

    Source: Chandrupatla 1997, Advances in Engineering Software 28, 145-149 (method as given in
    textbooks of numerical analysis; the article itself from memory).
    """
    b, a = float(low), float(high)
    fb, fa = function(b), function(a)
    if not fa * fb <= 0.0:
        raise ValueError(f"no change of sign between {low:g} and {high:g}: {fb:g} and {fa:g}")
    c, fc = a, fa
    share = 0.5
    while True:
        x, fx = (a, fa) if abs(fa) < abs(fb) else (b, fb)
        allowed = tolerance + relative * abs(x)
        if fx == 0.0 or abs(b - a) <= allowed:
            return x
        # keep away from the ends, so that the bracket closes from both sides
        margin = 0.5 * allowed / abs(b - a)
        t = a + min(1.0 - margin, max(margin, share)) * (b - a)
        ft = function(t)
        if math.isnan(ft):
            raise ValueError(f"the function is not a number at {t:g}")
        if (ft > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, b, fc, fb = b, a, fb, fa
        a, fa = t, ft
        share = 0.5
        if fa not in (fb, fc) and fb != fc:
            width = (a - b) / (c - b)
            rise = (fa - fb) / (fc - fb)
            # the parabola through three points is only trusted where it rises all the way
            if rise * rise < width and (1.0 - rise) ** 2 < 1.0 - width:
                share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (
                    fc - fa
                ) * fb / (fc - fb)
