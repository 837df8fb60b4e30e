"""Advance a fire case in time: steps, the events that end them, and new beginnings.

A step is taken by ``implicit_steps``. The first event inside it that changes the rates ends it
there; the next one begins anew with order 1. All state lives in arrays, so that a run can be
continued.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.difference_formulas import interpolate
from airrisk.kernel.events import (
    apply_event,
    event_count,
    event_space,
    event_value,
    strength_use,
)
from airrisk.kernel.events_inside import (
    first_event_inside,
    look_inside,
    quiet_events_inside,
)
from airrisk.kernel.flames import turn_sources
from airrisk.kernel.implicit_steps import HIGHEST_ORDER, SMALLEST_STEP, choose_next, finite, step
from airrisk.kernel.jacobian import allowance, jacobian
from airrisk.kernel.layout import *
from airrisk.kernel.linear_algebra import scaled_norm
from airrisk.kernel.moments import (
    C_AT_STOP,
    C_BEFORE,
    C_EQUAL,
    C_EVALUATIONS,
    C_EVENTS,
    C_FACTORED,
    C_FIRST_VENT,
    C_HEAD,
    C_ORDER,
    C_RATE,
    C_ROWS,
    C_STATUS,
    C_STEP,
    C_STEPS,
    C_TIME,
    K_EMPTY_TIME,
    K_PEAK_USE,
    K_RUPTURE_TIME,
    V_BETWEEN,
    V_NEW,
    V_RATES,
    V_REST,
    V_SCALE,
)
from airrisk.kernel.places import damage_place, state_count
from airrisk.kernel.rhs import G_P, G_RHO, G_T, rates, turn_links
from airrisk.kernel.run_ends import (
    all_emptied,
    eases,
    ends_by_itself,
    hottest_vessel,
    is_settled,
    is_spent,
)
from airrisk.kernel.run_notes import is_stored, note_point, note_row, note_use, section_flows
from airrisk.kernel.spent_spaces import ease_spent, size_of_errors


def pending_event(y, case, mode, G):
    """First event whose value is positive, or -1."""
    for e in range(event_count(case.integers)):
        if event_value(e, G[G_P, event_space(e, case.integers)], y, case, mode) > 0.0:
            return e
    return -1


def note_event(e, case, state, work):
    """Keep what an event says of a space and of the run; returns the status."""
    I = case.integers
    C, PK = state.clock, state.worst
    t, y, G = C[C_TIME], state.numbers, work.air
    spaces = I[I_SPACES]
    first_disc = I[I_PLUGS] + 2 * I[I_RELIEFS]
    first_space = first_disc + I[I_DISCS]
    if e < I[I_PLUGS] or first_disc <= e < first_space:
        C[C_HEAD + (e if e < I[I_PLUGS] else e - 2 * I[I_RELIEFS])] = t
        if not C[C_FIRST_VENT] >= 0.0:
            C[C_FIRST_VENT] = t
    if first_space <= e < first_space + spaces:
        i = e - first_space
        PK[i, K_RUPTURE_TIME] = t
        # of a rupture by creep the use is what it is
        if strength_use(i, G[G_P, i], y, case) > 1.0 - 1e-6:
            worst = max(1.0, PK[i, K_PEAK_USE])
            note_use(i, t, worst, G[G_P, i], case.floats[F_LIMIT_USE], PK)
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL:
            return RUPTURED
    if first_space + spaces <= e < first_space + 2 * spaces:
        PK[e - first_space - spaces, K_EMPTY_TIME] = t
    return RUNNING


def settle_events(forced, case, state, work, output):
    """Let happen what is due: first ``forced`` (-1: none), then all whose value is positive.

    Returns the status, and whether anything happened.
    """
    mode, y, C, _worst = state
    changed = False
    status = RUNNING
    for _ in range(4 * event_count(case.integers) + 4):
        e = forced if forced >= 0 else pending_event(y, case, mode, work.air)
        forced = -1
        if e < 0:
            break
        noted = int(C[C_EVENTS])
        C[C_EVENTS] = apply_event(e, y, case, mode, output.events, noted, C[C_TIME])
        changed = True
        if note_event(e, case, state, work) == RUPTURED:
            status = RUPTURED
    return status, changed


def first_differences(case, state, work):
    """Length of a first step by how fast the state moves, and differences of order 1 for it."""
    F, I = case
    y, C = state.numbers, state.clock
    f, scale, D = work.vectors[V_RATES], work.vectors[V_SCALE], work.differences
    n = state_count(I)
    ease_spent(case, state, work.air)
    for k in range(n):
        size = allowance(k, y[k], y, case, work.air)
        scale[k] = F[F_RTOL] * size_of_errors(k, size, case, work.air)
    speed = scaled_norm(f, 1.0, scale, n)
    h = min(C[C_STEP], F[F_LARGEST_STEP], F[F_FIRST_STEP])
    if speed > 0.0:
        h = min(h, 30.0 / speed)
    h = max(h, 10.0 * SMALLEST_STEP)
    for k in range(damage_place(I) + I[I_SPACES]):
        D[0, k] = y[k]
        D[1, k] = h * f[k]
        for j in range(2, HIGHEST_ORDER + 3):
            D[j, k] = 0.0
    C[C_STEP] = h
    C[C_ORDER] = 1.0
    C[C_EQUAL] = 0.0
    C[C_RATE] = 0.5
    C[C_FACTORED] = 0.0


def begin_anew(forced, case, state, work, tables, output):
    """Where something changed: let events happen, store the point, begin with order 1.

    ``forced`` is the event that ended the last step, or -1. Returns the status.
    """
    I = case.integers
    mode, y, C, PK = state
    G, f = work.air, work.vectors[V_RATES]
    t = C[C_TIME]
    rates(t, y, f, case, mode, G, tables)
    C[C_EVALUATIONS] += 1.0
    status, changed = settle_events(forced, case, state, work, output)
    if changed or I[I_LINKS] > 0:
        turn_links(case, mode, G)
        rates(t, y, f, case, mode, G, tables)
        C[C_EVALUATIONS] += 1.0
    note_point(C[C_BEFORE], t, y, case, G, PK)
    note_row(t, y, case, state, G, output)
    section_flows(f, y, case, G)
    if not finite(f, damage_place(I) + I[I_SPACES]):
        status = OUT_OF_RANGE
    first_differences(case, state, work)
    between, rest = work.vectors[V_BETWEEN], work.vectors[V_REST]
    C[C_EVALUATIONS] += jacobian(
        t, y, f, work.jacobian, state_count(I), between, rest, case, mode, G, tables
    )
    if changed and status == RUNNING and C[C_FIRST_VENT] >= 0.0 and all_emptied(I, mode):
        status = ENDED
    return status


def before_step(case, state, output):
    """Whether there is room and leave for one more step: the status that says so, or why not."""
    I = case.integers
    C = state.clock
    if is_stored(output):
        rows = int(C[C_ROWS]) + 3 + 2 * I[I_SPACES] + I[I_RELIEFS]
        if rows > output.times.shape[0]:
            return BUFFER_FULL
    if C[C_EVALUATIONS] > I[I_BUDGET]:
        return BUDGET_SPENT
    return RUNNING


def end_at_event(cut, case, state, work, tables, output):
    """Go back to the event that ends the last step, ``cut`` seconds before its end."""
    mode, y, C, _worst = state
    columns = damage_place(case.integers) + case.integers[I_SPACES]
    before, h = C[C_BEFORE], C[C_STEP]
    interpolate(work.differences, int(C[C_ORDER]), h, cut, columns, y)
    C[C_TIME] = max(before + h - cut, before)
    rates(C[C_TIME], y, work.vectors[V_RATES], case, mode, work.air, tables)
    note_row(C[C_TIME], y, case, state, work.air, output)


def go_on(case, state, work, tables, output):
    """After a whole step: note it, and look whether the fire, a source or the run ends.

    Returns the status, and whether the next step begins anew.
    """
    F, I = case
    mode, y, C, PK = state
    G = work.air
    t = C[C_TIME]
    falling = eases(y, case, G, PK)
    note_point(C[C_BEFORE], t, y, case, G, PK)
    note_row(t, y, case, state, G, output)
    if C[C_AT_STOP] == 1.0 and mode[0] == 1:
        if t >= F[F_FIRE_END]:
            mode[0] = 0
            noted = int(C[C_EVENTS])
            if noted < output.events.shape[0]:
                output.events[noted, 0] = t
                output.events[noted, 1] = E_FIRE_END
                output.events[noted, 2] = -1
                C[C_EVENTS] = noted + 1
        turn_sources(t, case, mode)
        return RUNNING, True
    if I[I_POOLS] > 0 and C[C_FIRST_VENT] >= 0.0 and is_spent(y, case, G):
        return ENDED, False
    if mode[0] == 1:
        return RUNNING, False
    ends = ends_by_itself(t, falling, hottest_vessel(y, case), F) or is_settled(
        y, G[G_P, 0], G[G_T, 0], falling, G[G_RHO, 0], PK[0, K_PEAK_USE], case, mode, tables.air
    )
    return ENDED if ends else RUNNING, False


def after_step(case, state, work, tables, output):
    """Look for events inside the last step; carry the state to its end, or to the first of them.

    Returns the status, whether the next step begins anew, and the event that it begins with
    (-1: none).
    """
    I = case.integers
    mode, y, C, PK = state
    forced, cut = first_event_inside(case, state, work, tables)
    cut, status = quiet_events_inside(cut, case, state, work, tables, output)
    for i in range(I[I_SPACES]):
        look_inside(i, max(cut, 0.0), case, state, work, tables)
    if cut >= 0.0:
        end_at_event(cut, case, state, work, tables, output)
    else:
        for k in range(damage_place(I) + I[I_SPACES]):
            y[k] = work.vectors[V_NEW, k]
        turn_links(case, mode, work.air)
    if status != RUNNING:
        note_point(C[C_BEFORE], C[C_TIME], y, case, work.air, PK)
        return status, False, forced
    if cut >= 0.0:
        return status, True, forced
    status, fresh = go_on(case, state, work, tables, output)
    return status, fresh, -1


def advance(case, state, work, tables, output, max_steps):
    """Take up to ``max_steps`` accepted steps; returns the status.

    With one row of ``output`` nothing is stored.
    """
    C = state.clock
    status = RUNNING
    taken = 0
    forced = -1
    fresh = C[C_STEPS] == 0.0
    while status == RUNNING and (fresh or taken < max_steps):
        if fresh:
            status = begin_anew(forced, case, state, work, tables, output)
            fresh = False
            if status != RUNNING:
                break
        status = before_step(case, state, output)
        if status == RUNNING:
            status = step(case, state, work, tables, is_stored(output))
        if status != RUNNING:
            break
        taken += 1
        status, fresh, forced = after_step(case, state, work, tables, output)
        if status == RUNNING and not fresh:
            choose_next(case, state, work)
    C[C_STATUS] = status
    return status
