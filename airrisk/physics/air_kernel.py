"""Air from one interpolated potential: scalar functions that can be compiled.

Plain Python without decorators, restricted to what numba compiles in nopython mode.

The table holds a reduced Helmholtz energy on density rho and x = ln T,

    a(rho, T) = R T [ln rho + F(rho, x)],

as a biquintic Hermite surface (F twice continuously differentiable). Everything else is an
exact derivative of it, so cv = du/dT and the balances close to rounding:

    p = rho R T (1 + rho F_rho)              u = -R T F_x
    cv = -R (F_x + F_xx)                     dp/dT = rho R (1 + rho F_rho + rho F_rho_x)
    h = u + p / rho                          s = -R (F_x + F + ln rho)
    dp/drho = R T (1 + 2 rho F_rho + rho^2 F_rho_rho)

(entropy and dp/drho only in ``air``, which gives the same for arrays).

Layout: ``coefficients[i, j, 6 a + b]`` multiplies ``X**a * Y**b``, where i counts intervals
of ``x_axis`` (uniform), j those of ``rho_axis`` (quadratic in the index), and X, Y in [0, 1]
are the position in the cell. A cell that touches the two-phase region holds NaN, so its
results are NaN; so are results outside the axes.
"""

from __future__ import annotations

import math
from collections import namedtuple

# rho_axis = LARGEST_DENSITY * (STRETCH s + (1 - STRETCH) s^2), s uniform in [0, 1]: fine
# steps where the gas is thin and its two-phase boundary near.
STRETCH = 0.2

# the cells, their axes, and R [J/kg/K]
AirArrays = namedtuple("AirArrays", ("coefficients", "x_axis", "rho_axis", "gas_constant"))


def along_density(c, k, y):
    """Polynomial in the place Y along the density axis, coefficients from ``c[k]``; its slope."""
    # paired terms: short dependency chains
    y2 = y * y
    value = (c[k] + c[k + 1] * y) + y2 * (
        (c[k + 2] + c[k + 3] * y) + y2 * (c[k + 4] + c[k + 5] * y)
    )
    slope = (c[k + 1] + 2.0 * c[k + 2] * y) + y2 * (
        (3.0 * c[k + 3] + 4.0 * c[k + 4] * y) + y2 * (5.0 * c[k + 5])
    )
    return value, slope


def evaluate(table, rho, temperature):
    """Pressure, internal energy, cv, dp/dT and enthalpy from one look-up.

    Parameters
    ----------
    table : AirArrays
        The table, see the module.
    rho : float
        Density [kg/m3].
    temperature : float
        Temperature [K].

    Returns
    -------
    tuple
        p [Pa], u [J/kg], cv [J/kg/K], dp/dT at constant density [Pa/K], h [J/kg]; all NaN
        outside the single-phase table.
    """
    coefficients, x_axis, rho_axis, gas_constant = table
    n_x = x_axis.shape[0] - 1
    n_rho = rho_axis.shape[0] - 1
    largest = rho_axis[n_rho]
    if not (temperature > 0.0 and 0.0 <= rho <= largest):
        return math.nan, math.nan, math.nan, math.nan, math.nan
    per_x = n_x / (x_axis[n_x] - x_axis[0])
    position = (math.log(temperature) - x_axis[0]) * per_x
    if not -1e-9 <= position <= n_x + 1e-9:
        return math.nan, math.nan, math.nan, math.nan, math.nan
    i = min(max(int(position), 0), n_x - 1)
    share = rho / largest
    s = 2.0 * share / (STRETCH + math.sqrt(STRETCH * STRETCH + 4.0 * (1.0 - STRETCH) * share))
    j = min(int(s * n_rho), n_rho - 1)
    per_rho = 1.0 / (rho_axis[j + 1] - rho_axis[j])
    x = position - i
    y = (rho - rho_axis[j]) * per_rho
    c = coefficients[i, j]
    # for each power of X the polynomial in Y and its slope
    _g0, d0 = along_density(c, 0, y)
    g1, d1 = along_density(c, 6, y)
    g2, d2 = along_density(c, 12, y)
    g3, d3 = along_density(c, 18, y)
    g4, d4 = along_density(c, 24, y)
    g5, d5 = along_density(c, 30, y)
    x2 = x * x
    f_x = (g1 + 2.0 * g2 * x) + x2 * ((3.0 * g3 + 4.0 * g4 * x) + 5.0 * g5 * x2)
    f_xx = (2.0 * g2 + 6.0 * g3 * x) + x2 * (12.0 * g4 + 20.0 * g5 * x)
    f_y = (d0 + d1 * x) + x2 * ((d2 + d3 * x) + x2 * (d4 + d5 * x))
    f_xy = (d1 + 2.0 * d2 * x) + x2 * ((3.0 * d3 + 4.0 * d4 * x) + 5.0 * d5 * x2)
    f_x *= per_x
    f_xx *= per_x * per_x
    f_rho = f_y * per_rho
    f_rho_x = f_xy * (per_rho * per_x)
    r_t = gas_constant * temperature
    z = 1.0 + rho * f_rho
    u = -r_t * f_x
    return (
        rho * r_t * z,
        u,
        -gas_constant * (f_x + f_xx),
        rho * gas_constant * (z + rho * f_rho_x),
        u + r_t * z,
    )
