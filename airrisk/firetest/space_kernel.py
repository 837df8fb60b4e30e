"""Variants of one gas space without neighbours, in explicit steps.

The same rates as ``rhs.rates``, carried with the temperature of the air in place of its energy,
so that one look-up in the air table serves a whole evaluation. Nothing is stored and no balance
is kept. A relief valve's lift, that settles within 0.05 s, stands where it would settle to. What
these steps do not get through in ``MOST_STEPS`` is left to the implicit steps of ``stepper``.

Source: Dormand and Prince (1980), J. Comp. Appl. Math. 6, 19-26 (orders 5 and 4); dense output
of order 4: Hairer, Norsett and Wanner, Solving Ordinary Differential Equations I, II.6.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.firetest.batch_kernel import (
    B_COLUMNS,
    B_EMPTY,
    B_EVALUATIONS,
    B_FIRST_VENT,
    B_LIMIT,
    B_NOT_EMPTIED,
    B_PEAK_PRESSURE,
    B_PEAK_USE,
    B_RUPTURE,
    B_STATUS,
    density_of,
)
from airrisk.firetest.kernel_events import (
    EMPTY_PRESSURE,
    event_count,
    event_value,
    hottest_wall,
    strength_use,
)
from airrisk.firetest.layout import *
from airrisk.firetest.rhs import (
    LIFT_BAND,
    MELTING,
    MOLTEN,
    SOLID,
    flame_at,
    melting_enthalpy,
    opening_enthalpy,
    vent_flow,
    wall_rates,
)
from airrisk.firetest.stepper import (
    PEAK_FROM,
    PEAK_TO,
    WATCHED,
    all_emptied,
    ends_by_itself,
    next_stop,
)
from airrisk.physics.air_kernel import evaluate
from airrisk.physics.flow_kernel import throat_mass_flux

MOST_STEPS = 600  # a run takes some 30
STEP_AT_START = 2.0  # s
SHORTEST_STEP = 1e-7  # s
EASY_USE = 0.7  # of the worst so far
EASE = 20.0
OUTFLOW_STEP = 0.8  # of the time to the end at the present fall of the pressure
PHASE_SLACK = 1e-6  # of the opening enthalpy; a phase just entered is not left at once
OPENING_SHARE = 0.1  # of the air let out in the first step after an opening
CORNER_NEAR = 0.03  # share of a step
PEAK_AT = 1008.15  # K
PEAK_SPAN = 4.0  # K a step while a steel wall passes its narrow peak of heat capacity
# a relief valve: keeps its lift, or moves along the line of opening or of closing
RESTING = 0
OPENING = 1
CLOSING = 2
# 1/s; at a valve far too large for its vessel the pressure hangs on the last thousandth of lift
FASTEST_VALVE = 3.0
WITHIN_STEP = 1.0  # settling of the pressure at a moving valve, over a step
SMALLEST_REST = 0.01  # of the full lift
MOVING_STEP = 5.0  # s
TURN_STEP = 1.0  # s, longest in which a valve comes to rest
LIFT_CHANGE = 0.01  # of the full lift, in a step; and a tenth of the present lift
LIFT_SLACK = 2e-4  # of the full lift
MOMENT = 1e-3  # of a step, over which the pressure is seen to rise or fall
INSPECTED = 8  # places in a step at which the strength use is looked at
# rows of the scratch array
SLOPES = 1  # 1 to 7
DENSE = 8  # 8 to 12
BETWEEN = 13
SCRATCH_ROWS = 14


def lift_place(r, p, F, I):
    """Gauge pressure between set (0) and full lift (1) of a relief valve."""
    set_gauge = F[I[I_F_RELIEF] + r * R_SIZE + R_SET]
    return (p - F[F_AMBIENT_P] - set_gauge) / (LIFT_BAND * set_gauge)


def lift_passed(r, p, rise, lift, F, I, mode):
    """How far a relief valve is past the end of its present motion or rest.

    ``rise`` is what the pressure gained in the last moment, Pa.
    """
    if I[I[I_I_RELIEF] + r * RI_SIZE + RI_ENABLED] == 0:
        return -1.0
    if mode[1 + I[I_PLUGS] + I[I_RELIEFS] + r] == 1:
        return -1.0
    place = lift_place(r, p, F, I)
    state = mode[1 + I[I_PLUGS] + r]
    if state == OPENING:
        return max(place - 1.0, -rise / F[F_AMBIENT_P])
    if state == CLOSING:
        return max(-1.0 - place, rise / F[F_AMBIENT_P])
    upward = place - lift if lift < 1.0 else -1.0
    downward = lift - 1.0 - place if lift > 0.0 else -1.0
    return max(upward, downward) - LIFT_SLACK


def move_valve(r, p, y, F, I, mode):
    """Next motion of a relief valve whose present one is over; its lift stands in ``y``."""
    at = 1 + I[I_PLUGS] + r
    row = 4 + I[I_PLUGS] + r
    place = lift_place(r, p, F, I)
    if mode[at] == RESTING:
        mode[at] = OPENING if place > y[row] - 0.5 else CLOSING
        return
    if mode[at] == OPENING and place > 1.0 - LIFT_SLACK:
        y[row] = 1.0
    if mode[at] == CLOSING and place < -1.0 + LIFT_SLACK:
        y[row] = 0.0
    mode[at] = RESTING


def lift_speed(r, p, y, F, I, FC, FX, FR):
    """About how fast the pressure settles where a moving relief valve holds it, 1/s."""
    at = I[I_F_RELIEF] + r * R_SIZE
    rho = y[0] / F[I[I_F_SPACE] + S_VOLUME]
    flux = throat_mass_flux(FC, FX, FR, p, rho, y[1], F[F_AMBIENT_P])
    full = flux * F[at + R_AREA] * F[at + R_COEFFICIENT]
    return 1.4 * p / y[0] * full / (LIFT_BAND * F[at + R_SET])


def space_rates(t, y, start, fastest, dy, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR):
    """Rates of mass, temperature of the air, walls and plug bodies; returns the pressure, Pa.

    ``start`` holds the lifts of the relief valves that rest. On the line of a moving valve the
    pressure tends to that at which its flow balances the heat, dp/dt = k (p0 - p); where k is
    above ``fastest`` [1/s], it is held there: p0 moves slowly and p stays at it all the same.
    """
    burning = mode[0] == 1
    flame = F[F_AMBIENT_T]
    if burning and I[I_CURVE] != CURVE_FLUX:
        flame = flame_at(t, F, I)
    volume = F[I[I_F_SPACE] + S_VOLUME]
    mass = y[0]
    gas = y[1]
    rho = mass / volume
    p, u, cv, dp_dt, h = evaluate(TC, TX, TR, gas_constant, rho, gas)
    q = wall_rates(0, gas, rho, flame, burning, y, dy, F, I, mode)
    moving = -1
    line = 0.0
    for r in range(I[I_RELIEFS]):
        row = 4 + I[I_PLUGS] + r
        y[row] = start[row]
        state = mode[1 + I[I_PLUGS] + r]
        if state != RESTING:
            moving = r
            line = lift_place(r, p, F, I)
            if state == CLOSING:
                line += 1.0
            y[row] = min(max(line, 0.0), 1.0)
    flow = vent_flow(0, p, rho, gas, y, F, I, mode, FC, FX, FR)
    if moving >= 0:
        row = 4 + I[I_PLUGS] + moving
        at = I[I_F_RELIEF] + moving * R_SIZE
        flux = throat_mass_flux(FC, FX, FR, p, rho, gas, F[F_AMBIENT_P])
        full = flux * F[at + R_AREA] * F[at + R_COEFFICIENT]
        denser, _u, _cv, _dp, _h = evaluate(TC, TX, TR, gas_constant, rho * 1.00001, gas)
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


def explicit_step(t, h, y, W, n, rtol, ease, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR):
    """Try one step from ``y`` into ``W[0]``; returns the pressure at its end and the error.

    ``ease`` is what the air may be off more than the metal.
    ``W[1]`` holds the rates at the start, ``W[7]`` gets those at the end. The error is relative
    to what is allowed; not a number when the air left its table.
    """
    fastest = WITHIN_STEP / h
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
    space_rates(t + 0.2 * h, new, y, fastest, b, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR)
    for k in range(n):
        new[k] = y[k] + h * (3.0 / 40.0 * a[k] + 9.0 / 40.0 * b[k])
    space_rates(t + 0.3 * h, new, y, fastest, c, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR)
    for k in range(n):
        new[k] = y[k] + h * (44.0 / 45.0 * a[k] - 56.0 / 15.0 * b[k] + 32.0 / 9.0 * c[k])
    space_rates(t + 0.8 * h, new, y, fastest, d, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR)
    for k in range(n):
        new[k] = y[k] + h * (
            19372.0 / 6561.0 * a[k] - 25360.0 / 2187.0 * b[k] + 64448.0 / 6561.0 * c[k]
            - 212.0 / 729.0 * d[k]
        )  # fmt: skip
    space_rates(
        t + 8.0 / 9.0 * h, new, y, fastest, e, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR
    )
    for k in range(n):
        new[k] = y[k] + h * (
            9017.0 / 3168.0 * a[k] - 355.0 / 33.0 * b[k] + 46732.0 / 5247.0 * c[k]
            + 49.0 / 176.0 * d[k] - 5103.0 / 18656.0 * e[k]
        )  # fmt: skip
    space_rates(t + h, new, y, fastest, f, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR)
    for k in range(n):
        new[k] = y[k] + h * (
            35.0 / 384.0 * a[k] + 500.0 / 1113.0 * c[k] + 125.0 / 192.0 * d[k]
            - 2187.0 / 6784.0 * e[k] + 11.0 / 84.0 * f[k]
        )  # fmt: skip
    p = space_rates(t + h, new, y, fastest, g, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR)
    total = 0.0
    for k in range(n):
        size = abs(new[k])
        if k == 0:
            size = max(size, 0.2 * F[I[I_F_SPACE] + S_VOLUME])
        if k < 2:
            size *= ease
        elif k >= 4:
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


def state_inside(share, W, n, F, I, TC, TX, TR, gas_constant):
    """State at a share of the last step into ``W[BETWEEN]``; returns its pressure, Pa."""
    between_ends(share, W, n)
    p, u, cv, dp_dt, h = evaluate(
        TC, TX, TR, gas_constant, W[BETWEEN, 0] / F[I[I_F_SPACE] + S_VOLUME], W[BETWEEN, 1]
    )
    return p


def passed_inside(e, share, lifts, W, n, F, I, mode, TC, TX, TR, gas_constant):
    """How far an event is past its point inside the last step.

    The events of ``kernel_events``; for a relief valve, in the place of its lifting, the end of
    its present motion; behind the last the limit of the strength use, then the ends of
    the phases of the plugs.
    """
    plugs = I[I_PLUGS]
    if e < plugs:
        between_ends(share, W, n)
        return event_value(e, 0.0, W[BETWEEN], F, I, mode)
    if e > event_count(I):
        between_ends(share, W, n)
        plug = e - event_count(I) - 1
        return phase_passed(plug, W[BETWEEN, 4 + plug], F, I, mode)
    before = 0.0
    if plugs <= e < plugs + I[I_RELIEFS] and mode[1 + e] != RESTING:
        before = state_inside(share - MOMENT, W, n, F, I, TC, TX, TR, gas_constant)
    p = state_inside(share, W, n, F, I, TC, TX, TR, gas_constant)
    if plugs <= e < plugs + I[I_RELIEFS]:
        return lift_passed(e - plugs, p, p - before, lifts[4 + e], F, I, mode)
    if e == event_count(I):
        return strength_use(0, p, W[BETWEEN], F, I) / F[F_LIMIT_USE] - 1.0
    return event_value(e, p, W[BETWEEN], F, I, mode)


def share_at(e, end, lifts, W, n, F, I, mode, TC, TX, TR, gas_constant):
    """Share of the last step at which an event value passes zero; it is positive at ``end``."""
    low = 0.0
    high = end
    g_low = passed_inside(e, low, lifts, W, n, F, I, mode, TC, TX, TR, gas_constant)
    g_high = passed_inside(e, high, lifts, W, n, F, I, mode, TC, TX, TR, gas_constant)
    if g_low >= 0.0:
        return 0.0
    side = 0
    for _ in range(60):
        share = (low * g_high - high * g_low) / (g_high - g_low)
        g = passed_inside(e, share, lifts, W, n, F, I, mode, TC, TX, TR, gas_constant)
        if abs(g) < 1e-9 or high - low < 1e-9:
            return share
        if g > 0.0:
            high = share
            g_high = g
            if side == 1:
                g_low *= 0.5
            side = 1
        else:
            low = share
            g_low = g
            if side == -1:
                g_high *= 0.5
            side = -1
    return high


def use_inside(share, W, n, F, I, TC, TX, TR, gas_constant):
    """Strength use at a share of the last step."""
    p = state_inside(share, W, n, F, I, TC, TX, TR, gas_constant)
    return strength_use(0, p, W[BETWEEN], F, I)


def peak_inside(end, worst, W, n, F, I, TC, TX, TR, gas_constant):
    """Worst strength use below 1 inside the last step up to ``end``, and where (-1: at an end).

    At the corners of the strength, and at the top of a parabola through each highest of
    ``INSPECTED`` places.
    """
    place = -1.0
    between_ends(end, W, n)
    hotter = hottest_wall(0, W[BETWEEN], F, I)
    cooler = hottest_wall(0, W[DENSE], F, I)
    nodes = I[I_F_STRENGTH] + I[I[I_I_SPACE] + SI_STRENGTH]
    left = 0.0
    middle = 0.0
    for k in range(-I[I[I_I_SPACE] + SI_STRENGTH_POINTS], INSPECTED + 1):
        share = end * k / INSPECTED
        if k < 0:
            node = F[nodes - 2 * (k + 1)]
            if not cooler < node < hotter:
                continue
            share = 0.0
            metal = cooler
            for _ in range(4):
                share += end * (node - metal) / (hotter - cooler)
                share = min(max(share, 0.0), end)
                between_ends(share, W, n)
                metal = hottest_wall(0, W[BETWEEN], F, I)
        right = use_inside(share, W, n, F, I, TC, TX, TR, gas_constant)
        if worst < right < 1.0:
            worst = right
            place = share
        if k > 1 and middle > left and middle >= right and middle > 0.99 * worst:
            step = end / INSPECTED
            share -= step
            low = left
            top = middle
            high = right
            for _ in range(2):
                move = 0.5 * (low - high) / min(low - 2.0 * top + high, -1e-15)
                share += step * min(max(move, -0.8), 0.8)
                top = use_inside(share, W, n, F, I, TC, TX, TR, gas_constant)
                if worst < top < 1.0:
                    worst = top
                    place = share
                step *= 0.2
                low = use_inside(share - step, W, n, F, I, TC, TX, TR, gas_constant)
                high = use_inside(share + step, W, n, F, I, TC, TX, TR, gas_constant)
                if not (top > low and top > high):
                    break
        left = middle
        middle = right
    return worst, place


def longest_step(y, dy, F, I):
    """Longest step at which a steel wall meets its narrow peak of heat capacity at 735 C, s."""
    longest = F[F_LARGEST_STEP]
    if I[I[I_I_SPACE] + SI_METAL] == 0:
        for zone in range(2):
            rate = abs(dy[2 + zone])
            if rate > 0.0 and PEAK_FROM < y[2 + zone] < PEAK_TO:
                longest = min(longest, PEAK_SPAN / rate)
            elif dy[2 + zone] > 0.0 and y[2 + zone] <= PEAK_FROM:
                longest = min(longest, (PEAK_FROM - y[2 + zone] + PEAK_SPAN) / rate)
            elif dy[2 + zone] < 0.0 and y[2 + zone] >= PEAK_TO:
                longest = min(longest, (y[2 + zone] - PEAK_TO + PEAK_SPAN) / rate)
    return longest


def share_to(value, start, slope, end):
    """Share of a step at which a number of the state passes a value; 1 when near its ends.

    ``slope`` is its rate at the start times the step.
    """
    if (value - start) * (value - end) >= 0.0:
        return 1.0
    # the parabola with the start, its slope and the end
    bend = end - start - slope
    root = math.sqrt(max(slope * slope + 4.0 * bend * (value - start), 0.0))
    share = 2.0 * (value - start) / (slope + root if end > start else slope - root)
    return share if CORNER_NEAR < share < 1.0 - CORNER_NEAR else 1.0


def share_to_peak(h, y, W, I):
    """Share of a tried step at which steel first passes the peak of its heat capacity; 1: none."""
    share = 1.0
    if I[I[I_I_SPACE] + SI_METAL] == 0:
        for zone in range(2, 4):
            share = min(share, share_to(PEAK_AT, y[zone], h * W[1, zone], W[0, zone]))
    return share


def phase_passed(k, enthalpy, F, I, mode):
    """How far a plug body is past an end of the phase it is in, over its opening enthalpy."""
    plug = I[I_F_PLUG] + k * P_SIZE
    melting = melting_enthalpy(F, plug)
    molten = opening_enthalpy(F, plug)
    past = -1.0
    if mode[1 + k] == SOLID:
        past = enthalpy - melting
    elif mode[1 + k] == MOLTEN:
        past = molten - enthalpy
    elif mode[1 + k] == MELTING:
        past = melting - enthalpy
        # at the other end a working plug opens
        if I[I[I_I_PLUG] + k * PI_SIZE + PI_ENABLED] == 0:
            past = max(past, enthalpy - molten)
    return past / molten - PHASE_SLACK


def change_phase(k, enthalpy, F, I, mode):
    """The next phase of a plug body at the end of its present one."""
    plug = I[I_F_PLUG] + k * P_SIZE
    if mode[1 + k] != MELTING:
        mode[1 + k] = MELTING
    elif 2.0 * enthalpy > melting_enthalpy(F, plug) + opening_enthalpy(F, plug):
        mode[1 + k] = MOLTEN
    else:
        mode[1 + k] = SOLID


def run_space(F, I, mode, y, W, TC, TX, TR, gas_constant, FC, FX, FR, result):
    """Run a case of one gas space from its start; its end in one row.

    The status is ``RUNNING`` when these steps did not bring it to its end.
    """
    space = I[I_F_SPACE]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    n = 4 + plugs
    count = event_count(I)
    rupture = count - 2
    limit = F[F_LIMIT_USE]
    rtol = F[F_RTOL]
    for k in range(mode.shape[0]):
        mode[k] = 0
    mode[0] = 1
    for k in range(plugs):
        if I[I[I_I_PLUG] + k * PI_SIZE + PI_FOLLOWS_WALL] == 0:
            mode[1 + k] = SOLID
    for k in range(y.shape[0]):
        y[k] = 0.0
    for k in range(B_COLUMNS):
        result[k] = math.nan
    result[B_STATUS] = OUT_OF_RANGE
    result[B_PEAK_USE] = 0.0
    result[B_PEAK_PRESSURE] = 0.0
    result[B_NOT_EMPTIED] = 0.0
    density, energy = density_of(
        TC, TX, TR, gas_constant, F[space + S_PRESSURE], F[space + S_TEMPERATURE]
    )
    if not density > 0.0:
        return
    y[0] = density * F[space + S_VOLUME]
    y[1] = F[space + S_TEMPERATURE]
    y[2] = F[space + S_WALL_TEMPERATURE]
    y[3] = F[space + S_WALL_TEMPERATURE]
    t = 0.0
    h = STEP_AT_START
    p = F[space + S_PRESSURE]
    peak = 0.0
    peak_pressure = 0.0
    use_before = 0.0
    use_after = 0.0
    status = RUNNING
    evaluations = 0
    forced = -1
    fresh = True
    steps = 0
    error_before = 1.0
    length_before = 1.0
    ease = 1.0
    speed = 1.0
    while status == RUNNING and steps < MOST_STEPS:
        steps += 1
        if fresh:
            fresh = False
            error_before = 1.0
            fastest = WITHIN_STEP / h
            for e in range(count):
                if plugs <= e < plugs + reliefs:
                    if e == forced:
                        move_valve(e - plugs, p, y, F, I, mode)
                        speed = lift_speed(e - plugs, p, y, F, I, FC, FX, FR)
                        h = min(h, 0.5 / speed)
                        fastest = WITHIN_STEP / h
                        if 0.0 < y[4 + e] < SMALLEST_REST or speed > FASTEST_VALVE:
                            steps = MOST_STEPS
                    continue
                if e == forced or event_value(e, p, y, F, I, mode) > 0.0:
                    mode[1 + e] = 1
                    if plugs + reliefs <= e < plugs + 2 * reliefs:
                        mode[1 + e - reliefs] = RESTING
                        y[4 + e - reliefs] = 0.0
                    if e < plugs or plugs + 2 * reliefs <= e < rupture:
                        if not result[B_FIRST_VENT] >= 0.0:
                            result[B_FIRST_VENT] = t
                    elif e == rupture:
                        result[B_RUPTURE] = t
                        peak = max(peak, 1.0)
                        status = RUPTURED
                    elif e > rupture:
                        result[B_EMPTY] = t
            for k in range(plugs):
                if forced == count + 1 + k or (t == 0.0 and phase_passed(k, 0.0, F, I, mode) > 0.0):
                    change_phase(k, y[4 + k], F, I, mode)
            forced = -1
            p = space_rates(
                t, y, y, fastest, W[1], F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR
            )
            evaluations += 1
            use_before = strength_use(0, p, y, F, I)
            peak = max(peak, use_before)
            peak_pressure = max(peak_pressure, p)
            if use_before >= limit and not result[B_LIMIT] >= 0.0:
                result[B_LIMIT] = t
            if result[B_FIRST_VENT] >= 0.0 and all_emptied(I, mode):
                status = ENDED
            if status != RUNNING or steps >= MOST_STEPS:
                break
            if W[1, 0] < 0.0:
                h = min(h, OPENING_SHARE * y[0] / -W[1, 0])
        stop = next_stop(t, F, I, mode)
        h = min(h, longest_step(y, W[1], F, I))
        # the air of a vessel that empties far below its worst need not be followed so closely
        ease_before = ease
        ease = 1.0
        if result[B_FIRST_VENT] >= 0.0 and use_before < EASY_USE * peak:
            ease = EASE
        if ease > ease_before:
            h *= EASE**0.2
        # nor do steps get through that come near the end of the outflow
        fall = -p * (W[1, 0] / y[0] + W[1, 1] / y[1])
        gauge = p - F[F_AMBIENT_P]
        if fall > 0.0 and gauge > EMPTY_PRESSURE:
            h = min(h, OUTFLOW_STEP * gauge / fall)
        p_end = p
        error = 2.0
        aligned = False
        while not error <= 1.0:
            length = h
            hits_stop = t + 1.0001 * h >= stop
            if hits_stop:
                length = stop - t
            p_end, error = explicit_step(
                t, length, y, W, n, rtol, ease, F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR
            )
            evaluations += 6
            steps += 1
            if not aligned:
                share = share_to_peak(length, y, W, I)
                if share < 1.0:
                    aligned = True
                    h = share * length
                    error = 2.0
                    continue
            factor = 0.2
            if error < 1e12:
                factor = min(5.0, max(0.2, 0.9 * max(error, 1e-9) ** -0.2))
                if error <= 1.0:
                    # and as the errors of the last two steps compare
                    if error > error_before:
                        trend = length / length_before * (error_before / error) ** 0.2
                        factor = min(factor, max(factor * trend, 0.5))
                    error_before = max(error, 1e-4)
                    length_before = length
            # a step cut short by a stop says nothing against a longer one
            h = max(h, factor * length) if hits_stop and error <= 1.0 else factor * length
            if steps > MOST_STEPS or h < SHORTEST_STEP:
                break
        if not error <= 1.0:
            break
        # the first event inside the step ends it there
        dense = False
        end = 1.0
        use = strength_use(0, p_end, W[0], F, I)
        for e in range(count):
            if plugs <= e < plugs + reliefs:
                rise = 0.0
                if mode[1 + e] != RESTING:
                    if not dense:
                        prepare_dense(length, y, W, n)
                        dense = True
                    rise = p_end - state_inside(1.0 - MOMENT, W, n, F, I, TC, TX, TR, gas_constant)
                passed = lift_passed(e - plugs, p_end, rise, y[4 + e], F, I, mode)
            else:
                passed = event_value(e, p_end, W[0], F, I, mode)
            if passed > 0.0:
                if not dense:
                    prepare_dense(length, y, W, n)
                    dense = True
                share = share_at(e, 1.0, y, W, n, F, I, mode, TC, TX, TR, gas_constant)
                if share < end or forced < 0:
                    end = share
                    forced = e
        for k in range(plugs):
            if phase_passed(k, W[0, 4 + k], F, I, mode) > 0.0:
                if not dense:
                    prepare_dense(length, y, W, n)
                    dense = True
                e = count + 1 + k
                share = share_at(e, 1.0, y, W, n, F, I, mode, TC, TX, TR, gas_constant)
                if share < end or forced < 0:
                    end = share
                    forced = e
        turns = plugs <= forced < plugs + reliefs and mode[1 + forced] != RESTING
        if turns and end > 0.0 and length > max(TURN_STEP, WITHIN_STEP / speed):
            # the pressure must be close to that of balance where a valve comes to rest
            h = max(0.25 * length, TURN_STEP)
            forced = -1
            continue
        if forced >= 0:
            p_end = state_inside(end, W, n, F, I, TC, TX, TR, gas_constant)
            use = strength_use(0, p_end, W[BETWEEN], F, I)
        # worst strength use inside the step: looked at closely unless all rises
        if max(use, use_before) > 0.9 * peak and not (
            W[1, 0] == 0.0
            and W[7, 0] == 0.0
            and W[1, 1] > 0.0
            and W[7, 1] > 0.0
            and W[1, 2] >= 0.0
            and W[7, 2] >= 0.0
            and W[1, 3] >= 0.0
            and W[7, 3] >= 0.0
        ):
            if not dense:
                prepare_dense(length, y, W, n)
                dense = True
            inside, share = peak_inside(
                end, max(peak, use_before, use), W, n, F, I, TC, TX, TR, gas_constant
            )
            if share >= 0.0:
                peak = inside
                if inside >= limit and not result[B_LIMIT] >= 0.0:
                    result[B_LIMIT] = t + share * length
        if use >= limit and not result[B_LIMIT] >= 0.0:
            if not dense:
                prepare_dense(length, y, W, n)
            result[B_LIMIT] = t + length * share_at(
                count, end, y, W, n, F, I, mode, TC, TX, TR, gas_constant
            )
        falling = use <= use_before + 1e-12 and W[0, 1] <= y[1] + 1e-9
        peak = max(peak, use) if use < 1.0 else peak
        peak_pressure = max(peak_pressure, p_end)
        use_before = use
        p = p_end
        if forced >= 0:
            t += end * length
            between_ends(end, W, n)
            for k in range(n):
                y[k] = W[BETWEEN, k]
            if reliefs > 0:
                # the lifts at the event
                fastest = WITHIN_STEP / length
                space_rates(
                    t, y, y, fastest, W[1], F, I, mode, TC, TX, TR, gas_constant, FC, FX, FR
                )
            fresh = True
            continue
        t = stop if hits_stop else t + length
        # the pressure stays near that of balance where its settling is held back
        moving = 0
        for r in range(reliefs):
            if mode[1 + plugs + r] != RESTING:
                moving += 1
                h = min(h, MOVING_STEP)
                change = abs(W[0, n + r] - y[n + r])
                most = min(LIFT_CHANGE, 0.1 * y[n + r] + LIFT_SLACK)
                if change * h > most * length:
                    h = max(most * length / change, min(h, WITHIN_STEP / speed))
        if moving > 1:
            break
        for k in range(n + reliefs):
            y[k] = W[0, k]
            W[1, k] = W[7, k]
        if hits_stop and mode[0] == 1:
            fresh = True
            if t >= F[F_FIRE_END]:
                mode[0] = 0
        elif mode[0] == 0:
            if t >= F[F_FIRE_END] + WATCHED:
                use_after = max(use_after, use)
            if ends_by_itself(t, falling, F):
                status = ENDED
    result[B_STATUS] = status
    result[B_PEAK_USE] = peak
    result[B_PEAK_PRESSURE] = peak_pressure
    result[B_EVALUATIONS] = evaluations
    if not result[B_EMPTY] >= 0.0:
        result[B_NOT_EMPTIED] = use_after if use_after > 0.0 else use_before


def space_variants(
    base, F, I, places, values, first, last, mode, y, W, TC, TX, TR, gas_constant,
    FC, FX, FR, results,
):  # fmt: skip
    """Run variants ``first`` to ``last`` of ``base``, a case of one gas space.

    Each has the numbers at ``places`` replaced by its row of ``values``.
    """
    for variant in range(first, last):
        for k in range(base.shape[0]):
            F[k] = base[k]
        for k in range(places.shape[0]):
            F[places[k]] = values[variant, k]
        run_space(F, I, mode, y, W, TC, TX, TR, gas_constant, FC, FX, FR, results[variant])
    return last
