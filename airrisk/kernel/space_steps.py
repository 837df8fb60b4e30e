"""One explicit step of a gas space without neighbours, and the state inside it.

The same rates as ``rhs.rates``, carried with the temperature of the air in place of its energy,
so that one look-up in the air table serves a whole evaluation. A relief valve's lift, that
settles within 0.05 s, stands where it would settle to. Scratch ``W``: see the rows below.

Source: Dormand and Prince (1980), J. Comp. Appl. Math. 6, 19-26 (orders 5 and 4); dense output
of order 4: Hairer, Norsett and Wanner, Solving Ordinary Differential Equations I, II.6.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.kernel.layout import *
from airrisk.kernel.places import first_lift
from airrisk.kernel.rhs import LIFT_BAND, flame_at, vent_flow, wall_rates
from airrisk.physics.air_kernel import evaluate
from airrisk.physics.flow_kernel import OUTLET_ROWS, throat_mass_flux

# a relief valve: keeps its lift, or moves along the line of opening or of closing
RESTING = 0
OPENING = 1
CLOSING = 2
WITHIN_STEP = 1.0  # settling of the pressure at a moving valve, over a step
# rows of the scratch array
SLOPES = 1  # 1 to 7
DENSE = 8  # 8 to 12
BETWEEN = 13
NEAR_OUTLET = 14  # by plug, see ``rhs.vent_flow``
SCRATCH_ROWS = NEAR_OUTLET + OUTLET_ROWS


def lift_place(r, p, case):
    """Gauge pressure between set (0) and full lift (1) of a relief valve."""
    F, I = case
    set_gauge = F[I[I_F_RELIEF] + r * R_SIZE + R_SET]
    return (p - F[F_AMBIENT_P] - set_gauge) / (LIFT_BAND * set_gauge)


def space_rates(t, y, start, fastest, dy, near, case, mode, tables):
    """Rates of mass, temperature of the air, walls and plug bodies; returns the pressure, Pa.

    ``start`` holds the lifts of the relief valves that rest. On the line of a moving valve the
    pressure tends to that at which its flow balances the heat, dp/dt = k (p0 - p); where k is
    above ``fastest`` [1/s], it is held there: p0 moves slowly and p stays at it all the same.
    ``near`` is as for ``rhs.vent_flow``.
    """
    F, I = case
    burning = mode[0] == 1
    flame = F[F_AMBIENT_T]
    if burning and I[I_CURVE] != CURVE_FLUX:
        flame = flame_at(t, case)
    volume = F[I[I_F_SPACE] + S_VOLUME]
    mass = y[0]
    gas = y[1]
    rho = mass / volume
    p, u, cv, dp_dt, h = evaluate(tables.air, rho, gas)
    q = wall_rates(0, gas, rho, flame, burning, y, dy, case, mode)
    moving = -1
    line = 0.0
    for r in range(I[I_RELIEFS]):
        row = first_lift(I) + r
        y[row] = start[row]
        state = mode[1 + I[I_PLUGS] + r]
        if state != RESTING:
            moving = r
            line = lift_place(r, p, case)
            if state == CLOSING:
                line += 1.0
            y[row] = min(max(line, 0.0), 1.0)
    flow = vent_flow(0, p, rho, gas, y, case, mode, tables.flow, near)
    if moving >= 0:
        row = first_lift(I) + moving
        at = I[I_F_RELIEF] + moving * R_SIZE
        flux = throat_mass_flux(tables.flow, p, rho, gas, F[F_AMBIENT_P])
        full = flux * F[at + R_AREA] * F[at + R_COEFFICIENT]
        denser, _u, _cv, _dp, _h = evaluate(tables.air, rho * 1.00001, gas)
        # pressure lost by each kg that leaves, and gained from the heat
        loss = dp_dt * dp_dt * gas / (rho * mass * cv) + (denser - p) / (0.00001 * mass)
        speed = loss * full / (LIFT_BAND * F[at + R_SET])
        if speed > fastest:
            others = flow - y[row] * full
            balanced = (dp_dt * q / (mass * cv) / loss - others) / full
            lift = balanced + fastest / speed * (line - balanced)
            y[row] = min(max(lift, 0.0), 1.0)
            flow = others + y[row] * full
    dy[0] = -flow
    dy[1] = (q - flow * gas * dp_dt / rho) / (mass * cv)
    return p


def explicit_step(t, h, y, W, n, rtol, ease, case, mode, tables):
    """Try one step from ``y`` into ``W[0]``; returns the pressure at its end and the error.

    ``ease`` is what the air may be off more than the metal.
    ``W[1]`` holds the rates at the start, ``W[7]`` gets those at the end. The error is relative
    to what is allowed; not a number when the air left its table.
    """
    F, I = case
    fastest = WITHIN_STEP / h
    near = W[NEAR_OUTLET:]
    new = W[0]
    a = W[1]
    b = W[2]
    c = W[3]
    d = W[4]
    e = W[5]
    f = W[6]
    g = W[7]
    for k in range(n):
        new[k] = y[k] + h * 0.2 * a[k]
    space_rates(t + 0.2 * h, new, y, fastest, b, near, case, mode, tables)
    for k in range(n):
        new[k] = y[k] + h * (3.0 / 40.0 * a[k] + 9.0 / 40.0 * b[k])
    space_rates(t + 0.3 * h, new, y, fastest, c, near, case, mode, tables)
    for k in range(n):
        new[k] = y[k] + h * (44.0 / 45.0 * a[k] - 56.0 / 15.0 * b[k] + 32.0 / 9.0 * c[k])
    space_rates(t + 0.8 * h, new, y, fastest, d, near, case, mode, tables)
    for k in range(n):
        new[k] = y[k] + h * (
            19372.0 / 6561.0 * a[k] - 25360.0 / 2187.0 * b[k] + 64448.0 / 6561.0 * c[k]
            - 212.0 / 729.0 * d[k]
        )  # fmt: skip
    space_rates(t + 8.0 / 9.0 * h, new, y, fastest, e, near, case, mode, tables)
    for k in range(n):
        new[k] = y[k] + h * (
            9017.0 / 3168.0 * a[k] - 355.0 / 33.0 * b[k] + 46732.0 / 5247.0 * c[k]
            + 49.0 / 176.0 * d[k] - 5103.0 / 18656.0 * e[k]
        )  # fmt: skip
    space_rates(t + h, new, y, fastest, f, near, case, mode, tables)
    for k in range(n):
        new[k] = y[k] + h * (
            35.0 / 384.0 * a[k] + 500.0 / 1113.0 * c[k] + 125.0 / 192.0 * d[k]
            - 2187.0 / 6784.0 * e[k] + 11.0 / 84.0 * f[k]
        )  # fmt: skip
    p = space_rates(t + h, new, y, fastest, g, near, case, mode, tables)
    total = 0.0
    for k in range(n):
        size = abs(new[k])
        if k == 0:
            size = max(size, 0.2 * F[I[I_F_SPACE] + S_VOLUME])
        if k < 2:
            size *= ease
        elif 4 <= k < 4 + I[I_PLUGS]:
            size += 300.0 * F[I[I_F_PLUG] + (k - 4) * P_SIZE + P_HEAT_CAPACITY]
        part = h * (
            71.0 / 57600.0 * a[k] - 71.0 / 16695.0 * c[k] + 71.0 / 1920.0 * d[k]
            - 17253.0 / 339200.0 * e[k] + 22.0 / 525.0 * f[k] - 1.0 / 40.0 * g[k]
        ) / (rtol * size)  # fmt: skip
        total += part * part
    return p, math.sqrt(total / n)


def prepare_dense(h, y, W, n):
    """Coefficients of the state inside the last step."""
    for k in range(n):
        difference = W[0, k] - y[k]
        bend = h * W[1, k] - difference
        W[DENSE, k] = y[k]
        W[DENSE + 1, k] = difference
        W[DENSE + 2, k] = bend
        W[DENSE + 3, k] = difference - h * W[7, k] - bend
        W[DENSE + 4, k] = h * (
            -12715105075.0 / 11282082432.0 * W[1, k] + 87487479700.0 / 32700410799.0 * W[3, k]
            - 10690763975.0 / 1880347072.0 * W[4, k] + 701980252875.0 / 199316789632.0 * W[5, k]
            - 1453857185.0 / 822651844.0 * W[6, k] + 69997945.0 / 29380423.0 * W[7, k]
        )  # fmt: skip


def between_ends(share, W, n):
    """State at a share of the last step into ``W[BETWEEN]``."""
    rest = 1.0 - share
    for k in range(n):
        W[BETWEEN, k] = W[DENSE, k] + share * (
            W[DENSE + 1, k]
            + rest * (W[DENSE + 2, k] + share * (W[DENSE + 3, k] + rest * W[DENSE + 4, k]))
        )


def state_inside(share, W, n, case, air_table):
    """State at a share of the last step into ``W[BETWEEN]``; returns its pressure, Pa."""
    F, I = case
    between_ends(share, W, n)
    p, u, cv, dp_dt, h = evaluate(
        air_table, W[BETWEEN, 0] / F[I[I_F_SPACE] + S_VOLUME], W[BETWEEN, 1]
    )
    return p
