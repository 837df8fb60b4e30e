"""What happens inside an explicit step of one gas space: events, the worst strength use, corners.

A relief valve rests, or moves along its line of opening or closing; the core of a plug is solid,
melting or molten. These states are followed, so that the rates have no corner inside a step.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.kernel.events import event_count, event_value, hottest_wall, strength_use
from airrisk.kernel.implicit_steps import PEAK_FROM, PEAK_TO
from airrisk.kernel.layout import *
from airrisk.kernel.places import first_lift, first_patch
from airrisk.kernel.rhs import (
    LIFT_BAND,
    MELTING,
    MOLTEN,
    SOLID,
    creep_rate,
    melting_enthalpy,
    opening_enthalpy,
)
from airrisk.kernel.searches import crossing, narrowed
from airrisk.kernel.space_steps import (
    BETWEEN,
    CLOSING,
    DENSE,
    OPENING,
    RESTING,
    between_ends,
    lift_place,
    prepare_dense,
    state_inside,
)
from airrisk.physics.flow_kernel import throat_mass_flux

PHASE_SLACK = 1e-6  # of the opening enthalpy; a phase just entered is not left at once
LIFT_SLACK = 2e-4  # of the full lift
MOMENT = 1e-3  # of a step, over which the pressure is seen to rise or fall
INSPECTED = 5  # places in a step at which the strength use is looked at
CORNER_NEAR = 0.03  # share of a step
PEAK_AT = 1008.15  # K
PEAK_SPAN = 4.0  # K a step while a steel wall passes its narrow peak of heat capacity


def lift_passed(r, p, rise, lift, case, mode):
    """How far a relief valve is past the end of its present motion or rest.

    ``rise`` is what the pressure gained in the last moment, Pa.
    """
    F, I = case
    if I[I[I_I_RELIEF] + r * RI_SIZE + RI_ENABLED] == 0:
        return -1.0
    if mode[1 + I[I_PLUGS] + I[I_RELIEFS] + r] == 1:
        return -1.0
    place = lift_place(r, p, case)
    state = mode[1 + I[I_PLUGS] + r]
    if state == OPENING:
        return max(place - 1.0, -rise / F[F_AMBIENT_P])
    if state == CLOSING:
        return max(-1.0 - place, rise / F[F_AMBIENT_P])
    upward = place - lift if lift < 1.0 else -1.0
    downward = lift - 1.0 - place if lift > 0.0 else -1.0
    return max(upward, downward) - LIFT_SLACK


def move_valve(r, p, y, case, mode):
    """Next motion of a relief valve whose present one is over; its lift stands in ``y``."""
    I = case.integers
    at = 1 + I[I_PLUGS] + r
    row = first_lift(I) + r
    place = lift_place(r, p, case)
    if mode[at] == RESTING:
        mode[at] = OPENING if place > y[row] - 0.5 else CLOSING
        return
    if mode[at] == OPENING and place > 1.0 - LIFT_SLACK:
        y[row] = 1.0
    if mode[at] == CLOSING and place < -1.0 + LIFT_SLACK:
        y[row] = 0.0
    mode[at] = RESTING


def lift_speed(r, p, y, case, flow_table):
    """About how fast the pressure settles where a moving relief valve holds it, 1/s."""
    F, I = case
    at = I[I_F_RELIEF] + r * R_SIZE
    rho = y[0] / F[I[I_F_SPACE] + S_VOLUME]
    flux = throat_mass_flux(flow_table, p, rho, y[1], F[F_AMBIENT_P])
    full = flux * F[at + R_AREA] * F[at + R_COEFFICIENT]
    return 1.4 * p / y[0] * full / (LIFT_BAND * F[at + R_SET])


def phase_passed(k, enthalpy, case, mode):
    """How far a plug body is past an end of the phase it is in, over its opening enthalpy."""
    F, I = case
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


def change_phase(k, enthalpy, case, mode):
    """The next phase of a plug body at the end of its present one."""
    F, I = case
    plug = I[I_F_PLUG] + k * P_SIZE
    if mode[1 + k] != MELTING:
        mode[1 + k] = MELTING
    elif 2.0 * enthalpy > melting_enthalpy(F, plug) + opening_enthalpy(F, plug):
        mode[1 + k] = MOLTEN
    else:
        mode[1 + k] = SOLID


def passed_inside(e, share, lifts, W, n, case, mode, air_table):
    """How far an event is past its point inside the last step.

    The events of ``events``; for a relief valve, in the place of its lifting, the end of
    its present motion; behind the last the limit of the strength use, then the ends of
    the phases of the plugs.
    """
    F, I = case
    plugs = I[I_PLUGS]
    if e < plugs:
        between_ends(share, W, n)
        return event_value(e, 0.0, W[BETWEEN], case, mode)
    if e > event_count(I):
        between_ends(share, W, n)
        plug = e - event_count(I) - 1
        return phase_passed(plug, W[BETWEEN, 4 + plug], case, mode)
    before = 0.0
    if plugs <= e < plugs + I[I_RELIEFS] and mode[1 + e] != RESTING:
        before = state_inside(share - MOMENT, W, n, case, air_table)
    p = state_inside(share, W, n, case, air_table)
    if plugs <= e < plugs + I[I_RELIEFS]:
        return lift_passed(e - plugs, p, p - before, lifts[n + e - plugs], case, mode)
    if e == event_count(I):
        return strength_use(0, p, W[BETWEEN], case) / F[F_LIMIT_USE] - 1.0
    return event_value(e, p, W[BETWEEN], case, mode)


def share_at(e, end, lifts, W, n, case, mode, air_table):
    """Share of the last step at which an event value passes zero; it is positive at ``end``."""
    low = 0.0
    high = end
    g_low = passed_inside(e, low, lifts, W, n, case, mode, air_table)
    g_high = passed_inside(e, high, lifts, W, n, case, mode, air_table)
    if g_low >= 0.0:
        return 0.0
    side = 0
    for _ in range(60):
        share = crossing(low, g_low, high, g_high)
        g = passed_inside(e, share, lifts, W, n, case, mode, air_table)
        if abs(g) < 1e-9 or high - low < 1e-9:
            return share
        low, g_low, high, g_high, side = narrowed(low, g_low, high, g_high, side, share, g)
    return high


def moves(I, mode):
    """Whether a relief valve is on its line of opening or closing."""
    moving = 0
    for r in range(I[I_RELIEFS]):
        if mode[1 + I[I_PLUGS] + r] != RESTING:
            moving += 1
    return moving > 0


def first_event(h, p_end, y, W, n, case, mode, air_table):
    """The first event inside the last step and its share of it; -1 and 1: none.

    Numbered as in ``passed_inside``. Prepares the dense output where there is one, or where a
    relief valve moves.
    """
    I = case.integers
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    count = event_count(I)
    found = -1
    end = 1.0
    dense = moves(I, mode)
    if dense:
        prepare_dense(h, y, W, n)
    for e in range(count + 1 + plugs):
        if e == count:
            continue
        if e > count:
            passed = phase_passed(e - count - 1, W[0, 4 + e - count - 1], case, mode)
        elif plugs <= e < plugs + reliefs:
            rise = 0.0
            if mode[1 + e] != RESTING:
                rise = p_end - state_inside(1.0 - MOMENT, W, n, case, air_table)
            passed = lift_passed(e - plugs, p_end, rise, y[n + e - plugs], case, mode)
        else:
            passed = event_value(e, p_end, W[0], case, mode)
        if passed > 0.0:
            if not dense:
                prepare_dense(h, y, W, n)
                dense = True
            share = share_at(e, 1.0, y, W, n, case, mode, air_table)
            if share < end or found < 0:
                end = share
                found = e
    return found, end


def all_rises(W, I):
    """Whether shut-in air and all of the wall get warmer at both ends of the last step."""
    kept = W[1, 0] == 0.0 and W[7, 0] == 0.0
    warmer = W[1, 1] > 0.0 and W[7, 1] > 0.0
    hot = W[1, 2] >= 0.0 and W[7, 2] >= 0.0
    if not (kept and warmer and hot and W[1, 3] >= 0.0 and W[7, 3] >= 0.0):
        return False
    warming = True
    for k in range(first_patch(I), first_lift(I)):
        warming = warming and W[1, k] >= 0.0 and W[7, k] >= 0.0
    return warming


def use_inside(share, W, n, case, air_table):
    """Strength use at a share of the last step."""
    p = state_inside(share, W, n, case, air_table)
    return strength_use(0, p, W[BETWEEN], case)


def peak_inside(end, worst, W, n, case, air_table):
    """Worst strength use below 1 inside the last step up to ``end``, and where (-1: at an end).

    At the corners of the strength, and at the top of a parabola through each highest of
    ``INSPECTED`` places.
    """
    F, I = case
    place = -1.0
    between_ends(end, W, n)
    hotter = hottest_wall(0, W[BETWEEN], case)
    cooler = hottest_wall(0, W[DENSE], case)
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
                metal = hottest_wall(0, W[BETWEEN], case)
        right = use_inside(share, W, n, case, air_table)
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
                top = use_inside(share, W, n, case, air_table)
                if worst < top < 1.0:
                    worst = top
                    place = share
                step *= 0.2
                low = use_inside(share - step, W, n, case, air_table)
                high = use_inside(share + step, W, n, case, air_table)
                if not (top > low and top > high):
                    break
        left = middle
        middle = right
    return worst, place


def mean_creep(end, first, W, n, case, air_table):
    """Mean rate of the creep damage over the last step up to ``end``, ``first`` at its start, 1/s.

    Boole's rule over both halves: the rate grows many times over with the warming of a step.
    """
    total = 7.0 * first
    for k in range(1, 9):
        p = state_inside(end * k / 8.0, W, n, case, air_table)
        weight = 32.0
        if k == 8:
            weight = 7.0
        elif k == 4:
            weight = 14.0
        elif k % 2 == 0:
            weight = 12.0
        total += weight * creep_rate(0, p, W[BETWEEN], case)
    return total / 180.0


def end_of_life(left, end, length, first, W, n, case, air_table):
    """Share of the last step at which the creep damage ``left`` is used up; at ``end`` it is."""
    low = 0.0
    for _ in range(40):
        middle = 0.5 * (low + end)
        used = middle * length * mean_creep(middle, first, W, n, case, air_table)
        if used >= left:
            end = middle
        else:
            low = middle
        if end - low < 1e-6:
            break
    return end


def longest_step(y, dy, case):
    """Longest step at which a steel wall meets its narrow peak of heat capacity at 735 C, s."""
    F, I = case
    longest = F[F_LARGEST_STEP]
    if I[I[I_I_SPACE] + SI_METAL] == 0:
        for zone in range(2 + I[I_PATCHES]):
            k = 2 + zone if zone < 2 else first_patch(I) + zone - 2
            rate = abs(dy[k])
            if rate > 0.0 and PEAK_FROM < y[k] < PEAK_TO:
                longest = min(longest, PEAK_SPAN / rate)
            elif dy[k] > 0.0 and y[k] <= PEAK_FROM:
                longest = min(longest, (PEAK_FROM - y[k] + PEAK_SPAN) / rate)
            elif dy[k] < 0.0 and y[k] >= PEAK_TO:
                longest = min(longest, (y[k] - PEAK_TO + PEAK_SPAN) / rate)
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
        for zone in range(2 + I[I_PATCHES]):
            k = 2 + zone if zone < 2 else first_patch(I) + zone - 2
            share = min(share, share_to(PEAK_AT, y[k], h * W[1, k], W[0, k]))
    return share
