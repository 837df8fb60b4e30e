"""What happens inside the last implicit step: events, and the worst strength use."""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.difference_formulas import interpolate, interpolate_few
from airrisk.kernel.events import (
    apply_event,
    event_count,
    event_space,
    event_value,
    hottest_wall,
    near_pressure,
    pressure_of,
    strength_use,
)
from airrisk.kernel.layout import *
from airrisk.kernel.moments import (
    C_BEFORE,
    C_EVALUATIONS,
    C_EVENTS,
    C_FIRST_VENT,
    C_ORDER,
    C_STEP,
    C_TIME,
    K_EMPTY_TIME,
    K_END_USE,
    K_PEAK_USE,
    V_BETWEEN,
    V_NEW,
    V_RATES,
    V_REST,
)
from airrisk.kernel.places import damage_place, first_patch
from airrisk.kernel.rhs import G_KEPT, G_P, rates
from airrisk.kernel.run_ends import all_emptied
from airrisk.kernel.run_notes import is_stored, note_row, note_use
from airrisk.kernel.searches import crossing, narrowed

INSIDE = 16  # places in a step at which the strength use is looked at


def space_between(back, i, between, case, state, work):
    """Air and walls of one space, ``back`` seconds before the end of the last step."""
    I = case.integers
    D, order, h = work.differences, int(state.clock[C_ORDER]), state.clock[C_STEP]
    interpolate_few(D, order, h, back, i, I[I_SPACES], 4, between)
    ints = I[I_I_SPACE] + i * SI_SIZE
    if I[ints + SI_PATCHES] > 0:
        first = first_patch(I) + I[ints + SI_PATCH]
        interpolate_few(D, order, h, back, first, 1, I[ints + SI_PATCHES], between)


def event_between(e, back, case, state, work, tables):
    """Value of an event ``back`` seconds before the end of the last step."""
    I = case.integers
    D, order, h = work.differences, int(state.clock[C_ORDER]), state.clock[C_STEP]
    between = work.vectors[V_BETWEEN]
    i = event_space(e, I)
    space_between(back, i, between, case, state, work)
    if e < I[I_PLUGS]:
        interpolate_few(D, order, h, back, 4 * I[I_SPACES] + e, 1, 1, between)
    interpolate_few(D, order, h, back, damage_place(I) + i, 1, 1, between)
    p = pressure_of(i, between, case, work.air, tables.air)
    return event_value(e, p, between, case, state.modes)


def locate_event(e, case, state, work, tables):
    """Seconds before the end of the last step at which an event value passes zero."""
    h = state.clock[C_STEP]
    low = h
    high = 0.0
    g_low = event_between(e, low, case, state, work, tables)
    g_high = event_between(e, high, case, state, work, tables)
    if g_low >= 0.0:
        return h
    side = 0
    for _ in range(60):
        back = crossing(low, g_low, high, g_high)
        g = event_between(e, back, case, state, work, tables)
        if abs(g) < 1e-12 or low - high < 1e-10 * h:
            return back
        low, g_low, high, g_high, side = narrowed(low, g_low, high, g_high, side, back, g)
    return high


def has_passed(e, case, state, work):
    """Whether an event has happened by the end of the last step."""
    p = work.air[G_P, event_space(e, case.integers)]
    return event_value(e, p, work.vectors[V_NEW], case, state.modes) > 0.0


def is_quiet(e, I, mode):
    """Whether an event changes nothing in the rates: emptied, or a closed valve lost to heat."""
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    first_space = plugs + 2 * reliefs + I[I_DISCS]
    if plugs + reliefs <= e < plugs + 2 * reliefs:
        return mode[1 + e - reliefs] == 0
    return first_space + I[I_SPACES] <= e < first_space + 2 * I[I_SPACES]


def first_event_inside(case, state, work, tables):
    """The first event inside the last step that changes the rates, and where; -1 and -1: none.

    Where: seconds before the end of the step.
    """
    found = -1
    cut = -1.0
    for e in range(event_count(case.integers)):
        if is_quiet(e, case.integers, state.modes) or not has_passed(e, case, state, work):
            continue
        back = locate_event(e, case, state, work, tables)
        if back > cut:
            cut = back
            found = e
    return found, cut


def quiet_events_inside(cut, case, state, work, tables, output):
    """Note what happens inside the last step without a change of the rates, before ``cut``.

    Returns ``cut``, or where all was emptied and nothing behind it counts, and the status.
    """
    I = case.integers
    mode, y, C, PK = state
    spaces = I[I_SPACES]
    first_space = I[I_PLUGS] + 2 * I[I_RELIEFS] + I[I_DISCS]
    status = RUNNING
    for e in range(event_count(I)):
        if not is_quiet(e, I, mode) or not has_passed(e, case, state, work):
            continue
        back = locate_event(e, case, state, work, tables)
        if back <= cut:
            continue
        at = C[C_BEFORE] + C[C_STEP] - back
        if is_stored(output):
            note_between(at, back, case, state, work, tables, output)
        C[C_EVENTS] = apply_event(e, y, case, mode, output.events, int(C[C_EVENTS]), at)
        if e >= first_space:
            PK[e - first_space - spaces, K_EMPTY_TIME] = at
            if C[C_FIRST_VENT] >= 0.0 and all_emptied(I, mode):
                # nothing behind it counts
                status = ENDED
                cut = back
    return cut, status


def note_between(at, back, case, state, work, tables, output):
    """Store the point ``back`` seconds before the end of the last step, at the time ``at``."""
    C, W = state.clock, work.vectors
    f, between = W[V_RATES], W[V_BETWEEN]
    columns = damage_place(case.integers) + case.integers[I_SPACES]
    interpolate(work.differences, int(C[C_ORDER]), C[C_STEP], back, columns, between)
    rates(at, between, f, case, state.modes, work.air, tables)
    note_row(at, between, case, state, work.air, output)
    rates(C[C_TIME], W[V_NEW], f, case, state.modes, work.air, tables)
    C[C_EVALUATIONS] += 2


def use_between(i, y, case, G, air_table):
    """Strength use of a space from the state alone."""
    I = case.integers
    if I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS] == 0:
        return 0.0
    return strength_use(i, pressure_of(i, y, case, G, air_table), y, case)


def look_inside(i, back_end, case, state, work, tables):
    """Note the worst strength use of a space inside the last step, up to ``back_end`` of its end.

    It is looked at closely where it may be the worst so far.
    """
    F, I = case
    C, PK = state.clock, state.worst
    G, W = work.air, work.vectors
    new, between, probe = W[V_NEW], W[V_BETWEEN], W[V_REST]
    t_before, h = C[C_BEFORE], C[C_STEP]
    limit = F[F_LIMIT_USE]
    length = h - back_end
    start = PK[i, K_END_USE]
    end = strength_use(i, G[G_P, i], new, case)
    if max(start, end) < 0.9 * PK[i, K_PEAK_USE] or PK[i, K_PEAK_USE] <= 0.0:
        return
    # the strength has corners at its nodes
    space_between(back_end + length, i, between, case, state, work)
    cooler = hottest_wall(i, between, case)
    hotter = hottest_wall(i, new, case)
    nodes = I[I_F_STRENGTH] + I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH]
    for k in range(I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS]):
        if cooler < F[nodes + 2 * k] < hotter:
            share = (hotter - F[nodes + 2 * k]) / (hotter - cooler)
            back = back_end + length * share
            space_between(back, i, between, case, state, work)
            use = use_between(i, between, case, G, tables.air)
            if use < 1.0:
                note_use(i, t_before + h - back, use, 0.0, limit, PK)
    # whether it only rises or falls shows without the table: right at both ends, and near enough
    # between them
    space_between(back_end + length, i, between, case, state, work)
    off = G[G_KEPT, i] / near_pressure(i, between, case, G) - 1.0
    rising = True
    falling = True
    before = end
    for k in range(1, 4):
        space_between(back_end + 0.25 * k * length, i, between, case, state, work)
        p = near_pressure(i, between, case, G) * (1.0 + 0.25 * k * off)
        quarter = strength_use(i, p, between, case)
        rising = rising and quarter <= before
        falling = falling and quarter >= before
        before = quarter
    if (rising and start <= before) or (falling and start >= before):
        return
    for k in range(1, INSIDE):
        back = back_end + length * (1.0 - k / INSIDE)
        space_between(back, i, probe, case, state, work)
        use = use_between(i, probe, case, G, tables.air)
        if use < 1.0:
            note_use(i, t_before + h - back, use, 0.0, limit, PK)
