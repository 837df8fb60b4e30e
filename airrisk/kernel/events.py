"""What can happen in a fire case and when: event values, their location, what they change.

``mode`` holds: [0] fire burning; then per plug open, per relief valve lifted, per relief valve
lost to heat, per disc burst, per space ruptured, per space emptied, per feed how
often it started or stopped, per link whether its air comes from the second end, per further patch
of a wall whether its source of radiation burns.
Events are numbered in the same order. An event value is positive once it has happened.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.layout import *
from airrisk.kernel.places import damage_place, first_lift, patch_row
from airrisk.kernel.rhs import (
    CYCLES,
    G_DPT,
    G_P,
    G_RHO,
    G_T,
    gas_state,
    hottest_wall,
    near_temperature,
    opening_enthalpy,
)

EMPTY_SHARE = 0.01  # of the gauge pressure at the start
EMPTY_PRESSURE = 5e3  # Pa gauge


def strength_at(F, at, points, temperature):
    """Strength from piecewise linear nodes (T, Pa) at ``at``; flat below, 0 above."""
    if temperature <= F[at]:
        return F[at + 1]
    for k in range(1, points):
        right = F[at + 2 * k]
        if temperature < right:
            left = F[at + 2 * k - 2]
            low = F[at + 2 * k - 1]
            return low + (temperature - left) / (right - left) * (F[at + 2 * k + 1] - low)
    return F[at + 2 * points - 1] if temperature == F[at + 2 * points - 2] else 0.0


def empty_below(start, F):
    """Gauge pressure below which a space that started at ``start`` is empty, Pa."""
    return max(EMPTY_SHARE * (start - F[F_AMBIENT_P]), EMPTY_PRESSURE)


def strength_use(i, p, y, case):
    """Gauge pressure over burst pressure at the present metal temperature."""
    F, I = case
    points = I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS]
    if points == 0:
        return 0.0
    nodes = I[I_F_STRENGTH] + I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH]
    strength = strength_at(F, nodes, points, hottest_wall(i, y, case))
    burst = F[I[I_F_SPACE] + i * S_SIZE + S_BURST_FACTOR] * max(strength, 1.0)
    return (p - F[F_AMBIENT_P]) / burst


def event_space(e, I):
    """Gas space whose pressure decides about an event."""
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    discs = I[I_DISCS]
    spaces = I[I_SPACES]
    if e < plugs:
        return I[I[I_I_PLUG] + e * PI_SIZE + PI_SPACE]
    e -= plugs
    if e < 2 * reliefs:
        return I[I[I_I_RELIEF] + (e % reliefs) * RI_SIZE + RI_SPACE]
    e -= 2 * reliefs
    if e < discs:
        return I[I[I_I_DISC] + e * DI_SIZE + DI_SPACE]
    e -= discs
    if e < 2 * spaces:
        return e % spaces
    e -= 2 * spaces
    return I[I[I_I_FEED] + e * CI_SIZE + CI_SPACE]


def event_count(I):
    """Number of events that are watched."""
    return I[I_PLUGS] + 2 * I[I_RELIEFS] + I[I_DISCS] + 2 * I[I_SPACES] + I[I_FEEDS]


def event_value(e, p, y, case, mode):
    """How far an event is past its point; not above 0 while it has not happened."""
    F, I = case
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    discs = I[I_DISCS]
    state = mode[1 + e]
    gauge = p - F[F_AMBIENT_P]
    if e < plugs:
        ints = I[I_I_PLUG] + e * PI_SIZE
        at = I[I_F_PLUG] + e * P_SIZE
        if state == 1 or I[ints + PI_ENABLED] == 0:
            return -1.0
        if I[ints + PI_FOLLOWS_WALL] == 1:
            row = patch_row(I[ints + PI_SPACE], I[ints + PI_PATCH], I)
            return y[row] / F[at + P_LIQUIDUS] - 1.0
        return y[4 * spaces + e] / opening_enthalpy(F, at) - 1.0
    e -= plugs
    if e < reliefs:
        set_gauge = F[I[I_F_RELIEF] + e * R_SIZE + R_SET]
        ints = I[I_I_RELIEF] + e * RI_SIZE
        if I[ints + RI_ENABLED] == 0 or mode[1 + plugs + reliefs + e] == 1:
            return -1.0
        if state == 1:
            return 0.9 - gauge / set_gauge
        return gauge / set_gauge - 1.0
    e -= reliefs
    if e < reliefs:
        ints = I[I_I_RELIEF] + e * RI_SIZE
        if state == 1 or I[ints + RI_ENABLED] == 0 or I[ints + RI_IN_FIRE] == 0:
            return -1.0
        return hottest_wall(I[ints + RI_SPACE], y, case) / F[F_DEAD_RELIEF] - 1.0
    e -= reliefs
    if e < discs:
        if state == 1 or I[I[I_I_DISC] + e * DI_SIZE + DI_ENABLED] == 0:
            return -1.0
        return gauge / F[I[I_F_DISC] + e * D_SIZE + D_BURST] - 1.0
    e -= discs
    if e < spaces:
        if state == 1:
            return -1.0
        return max(strength_use(e, p, y, case), y[damage_place(I) + e]) - 1.0
    e -= spaces
    if e < spaces:
        if state == 1 or I[I[I_I_SPACE] + e * SI_SIZE + SI_KIND] != VESSEL:
            return -1.0
        start = F[I[I_F_SPACE] + e * S_SIZE + S_PRESSURE]
        threshold = empty_below(start, F)
        if start - F[F_AMBIENT_P] <= threshold:
            return -1.0
        return 1.0 - gauge / threshold
    e -= spaces
    at = I[I_F_FEED] + e * C_SIZE
    if state >= CYCLES:
        return -1.0
    if state % 2 == 1:
        return p / F[at + C_CUT_OUT] - 1.0
    return 1.0 - p / F[at + C_CUT_IN]


def pressure_of(i, y, case, G, air_table):
    """Pressure of one space from the state, Pa."""
    F, I = case
    rho = y[i] / F[I[I_F_SPACE] + i * S_SIZE + S_VOLUME]
    energy = y[I[I_SPACES] + i] / y[i]
    temperature, p, cv, dp_dt, h = gas_state(
        air_table, rho, energy, near_temperature(i, rho, energy, G)
    )
    return p


def near_pressure(i, y, case, G):
    """Pressure of one space near its last known state, Pa, without a look into the table."""
    F, I = case
    rho = y[i] / F[I[I_F_SPACE] + i * S_SIZE + S_VOLUME]
    warmer = near_temperature(i, rho, y[I[I_SPACES] + i] / y[i], G) / G[G_T, i]
    p = G[G_P, i]
    # to first order in the temperature; the density as of a perfect gas
    bent = (G[G_T, i] * G[G_DPT, i] / p - 1.0) * (warmer - 1.0)
    return p * rho / G[G_RHO, i] * warmer * (1.0 + bent)


def apply_event(e, y, case, mode, events, count, t):
    """Change the discrete state and note the event; returns the number of events noted."""
    I = case.integers
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    discs = I[I_DISCS]
    index = e
    code = E_PLUG
    state = 1
    k = e
    if k >= plugs:
        k -= plugs
        if k < reliefs:
            index = k
            code = E_LIFT
            if mode[1 + e] == 1:
                code = E_RESEAT
                state = 0
                y[first_lift(I) + k] = 0.0
        elif k < 2 * reliefs:
            index = k - reliefs
            code = E_RELIEF_DEAD
            mode[1 + plugs + index] = 0
            y[first_lift(I) + index] = 0.0
        elif k < 2 * reliefs + discs:
            index = k - 2 * reliefs
            code = E_DISC
        elif k < 2 * reliefs + discs + spaces:
            index = k - 2 * reliefs - discs
            code = E_LINE_RUPTURE
            if I[I[I_I_SPACE] + index * SI_SIZE + SI_KIND] == VESSEL:
                code = E_RUPTURE
        elif k < 2 * reliefs + discs + 2 * spaces:
            index = k - 2 * reliefs - discs - spaces
            code = E_EMPTY
        else:
            index = k - 2 * reliefs - discs - 2 * spaces
            state = mode[1 + e] + 1
            code = E_FEED_ON if state % 2 == 1 else E_FEED_OFF
            if state == CYCLES:
                code = E_FEED_HOLDS
    mode[1 + e] = state
    if count < events.shape[0]:
        events[count, 0] = t
        events[count, 1] = code
        events[count, 2] = index
        count += 1
    return count
