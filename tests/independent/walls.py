"""Fire curves and steel, typed in from the standards they come from.

Sources: EN 1991-1-2 3.2 (fire curves, emission, convection), EN 1363-2 (slow fire), EN 1993-1-2
3.4.1.2 (specific heat of steel), table 3.1 and annex A (strength of steel).
"""

from __future__ import annotations

import bisect
import math

STEFAN_BOLTZMANN = 5.670374419e-8
ZERO_CELSIUS = 273.15


def fire_temperature(kind: str, t: float, constant: float | None = None) -> float:
    """Flame temperature (K) at the time ``t`` (s)."""
    minutes = max(t, 0.0) / 60.0
    if kind == "standard":
        celsius = 20.0 + 345.0 * math.log10(8.0 * minutes + 1.0)
    elif kind == "external":
        celsius = 20.0 + 660.0 * (
            1.0 - 0.687 * math.exp(-0.32 * minutes) - 0.313 * math.exp(-3.8 * minutes)
        )
    elif kind == "hydrocarbon":
        celsius = 20.0 + 1080.0 * (
            1.0 - 0.325 * math.exp(-0.167 * minutes) - 0.675 * math.exp(-2.5 * minutes)
        )
    elif kind == "slow":
        if minutes <= 21.0:
            celsius = 20.0 + 154.0 * minutes**0.25
        else:
            celsius = 20.0 + 345.0 * math.log10(8.0 * (minutes - 20.0) + 1.0)
    elif kind == "temperature":
        assert constant is not None
        return constant
    else:
        raise ValueError(kind)
    return celsius + ZERO_CELSIUS


def steel_specific_heat(T: float) -> float:
    """Specific heat of carbon steel, J/kg/K."""
    c = max(T - ZERO_CELSIUS, 20.0)
    if c < 600.0:
        return 425.0 + 0.773 * c - 1.69e-3 * c * c + 2.22e-6 * c**3
    if c < 735.0:
        return 666.0 + 13002.0 / (738.0 - c)
    if c < 900.0:
        return 545.0 + 17820.0 / (c - 731.0)
    return 650.0


_YIELD = {
    400: 1.0, 500: 0.78, 600: 0.47, 700: 0.23, 800: 0.11, 900: 0.06, 1000: 0.04, 1100: 0.02,
    1200: 0.0,
}  # fmt: skip


def _along(nodes: list[tuple[float, float]], x: float) -> float:
    if x <= nodes[0][0]:
        return nodes[0][1]
    if x >= nodes[-1][0]:
        return nodes[-1][1]
    i = bisect.bisect_right([a for a, _ in nodes], x)
    (x0, y0), (x1, y1) = nodes[i - 1], nodes[i]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def steel_strength(T: float, basis: str, tensile: float, yield_: float) -> float:
    """Strength of hot carbon steel, Pa, from its least tensile and yield strength when cold.

    ``tensile``: Rm x (1 to 300 degC, then straight to 0.8 at 400 degC, from there k_y / 1.25).
    ``yield``: Re x k_y. ``annex-a``: 1.25 Re to 300 degC, Re (2 - 0.0025 degC) to 400 degC, then
    Re x k_y, never above Rm.
    """
    c = T - ZERO_CELSIUS
    by_yield = _along([(float(a), b) for a, b in _YIELD.items()], c)
    if basis == "yield":
        return yield_ * by_yield
    if basis == "tensile":
        nodes = [(300.0, 1.0)] + [(float(a), b / 1.25) for a, b in _YIELD.items()]
        return tensile * _along(nodes, c)
    if basis == "annex-a":
        factor = 1.25 if c < 300.0 else 2.0 - 0.0025 * c if c < 400.0 else by_yield
        return min(yield_ * factor, tensile)
    raise ValueError(basis)
