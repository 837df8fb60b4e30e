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

# rho_axis = LARGEST_DENSITY * (STRETCH s + (1 - STRETCH) s^2), s uniform in [0, 1]: fine
# steps where the gas is thin and its two-phase boundary near.
STRETCH = 0.2


def evaluate(coefficients, x_axis, rho_axis, gas_constant, rho, temperature):
    """Pressure, internal energy, cv, dp/dT and enthalpy from one look-up.

    Parameters
    ----------
    coefficients, x_axis, rho_axis : array
        The table, see the module.
    gas_constant : float
        R [J/kg/K].
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
    n_x = x_axis.shape[0] - 1
    n_rho = rho_axis.shape[0] - 1
    largest = rho_axis[n_rho]
    if not (temperature > 0.0 and 0.0 <= rho <= largest):
        return math.nan, math.nan, math.nan, math.nan, math.nan
    step_x = (x_axis[n_x] - x_axis[0]) / n_x
    position = (math.log(temperature) - x_axis[0]) / step_x
    if not -1e-9 <= position <= n_x + 1e-9:
        return math.nan, math.nan, math.nan, math.nan, math.nan
    i = min(max(int(position), 0), n_x - 1)
    share = rho / largest
    s = 2.0 * share / (STRETCH + math.sqrt(STRETCH * STRETCH + 4.0 * (1.0 - STRETCH) * share))
    j = min(int(s * n_rho), n_rho - 1)
    step_rho = rho_axis[j + 1] - rho_axis[j]
    x = position - i
    y = (rho - rho_axis[j]) / step_rho
    y2 = y * y
    c = coefficients[i, j]
    f = 0.0
    f_x = 0.0
    f_xx = 0.0
    f_y = 0.0
    f_xy = 0.0
    # Horner in X from the highest power; g and its slope in Y for each power
    for a in range(5, -1, -1):
        k = 6 * a
        # paired terms: short dependency chains
        g = (c[k] + c[k + 1] * y) + y2 * (
            (c[k + 2] + c[k + 3] * y) + y2 * (c[k + 4] + c[k + 5] * y)
        )
        g_y = (c[k + 1] + 2.0 * c[k + 2] * y) + y2 * (
            (3.0 * c[k + 3] + 4.0 * c[k + 4] * y) + y2 * (5.0 * c[k + 5])
        )
        f_xx = f_xx * x + 2.0 * f_x
        f_x = f_x * x + f
        f = f * x + g
        f_xy = f_xy * x + f_y
        f_y = f_y * x + g_y
    f_x /= step_x
    f_xx /= step_x * step_x
    f_rho = f_y / step_rho
    f_rho_x = f_xy / (step_rho * step_x)
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
