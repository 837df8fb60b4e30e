"""Variants of one gas space without neighbours, in explicit steps.

Nothing is stored and no balance is kept. What these steps do not get through in ``MOST_STEPS``
is left to ``implicit_steps``.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.kernel.batch_entries import (
    B_COLUMNS,
    B_DAMAGE,
    B_EMPTY,
    B_EVALUATIONS,
    B_FIRST_VENT,
    B_LIMIT,
    B_PEAK_PRESSURE,
    B_PEAK_USE,
    B_RUPTURE,
    B_STATUS,
    density_of,
    note_open,
)
from airrisk.kernel.events import (
    EMPTY_PRESSURE,
    event_count,
    event_value,
    hottest_wall,
    strength_use,
)
from airrisk.kernel.flames import turn_sources
from airrisk.kernel.layout import *
from airrisk.kernel.places import first_lift
from airrisk.kernel.records import Case, Tables
from airrisk.kernel.rhs import SOLID, creep_rate
from airrisk.kernel.run_ends import all_emptied, ends_by_itself, is_settled, next_stop
from airrisk.kernel.space_events import (
    LIFT_SLACK,
    all_rises,
    change_phase,
    end_of_life,
    first_event,
    lift_speed,
    longest_step,
    mean_creep,
    move_valve,
    moves,
    peak_inside,
    phase_passed,
    share_at,
    share_to_peak,
)
from airrisk.kernel.space_steps import (
    BETWEEN,
    NEAR_OUTLET,
    RESTING,
    WITHIN_STEP,
    between_ends,
    explicit_step,
    prepare_dense,
    space_rates,
    state_inside,
)
from airrisk.physics.air_kernel import AirArrays
from airrisk.physics.flow_kernel import FlowArrays

LEAST_DAMAGE = 1e-5  # of a step, less is left out
MOST_STEPS = 600  # a run takes some 20
STEP_AT_START = 2.0  # s
SHORTEST_STEP = 1e-7  # s
EASY_USE = 0.7  # of the worst so far
EASE = 20.0
OUTFLOW_STEP = 0.8  # of the time to the end at the present fall of the pressure
OPENING_SHARE = 0.1  # of the air let out in the first step after an opening
# 1/s; at a valve far too large for its vessel the pressure hangs on the last thousandth of lift
FASTEST_VALVE = 3.0
SMALLEST_REST = 0.01  # of the full lift
MOVING_STEP = 5.0  # s
TURN_STEP = 1.0  # s, longest in which a valve comes to rest
LIFT_CHANGE = 0.01  # of the full lift, in a step; and a tenth of the present lift


def run_space(case, mode, y, W, tables, result):
    """Run a case of one gas space from its start; its end in one row.

    The status is ``RUNNING`` when these steps did not bring it to its end.
    """
    F, I = case
    space = I[I_F_SPACE]
    near = W[NEAR_OUTLET:]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    n = first_lift(I)
    count = event_count(I)
    rupture = count - 2
    limit = F[F_LIMIT_USE]
    rtol = F[F_RTOL]
    for k in range(mode.shape[0]):
        mode[k] = 0
    mode[0] = 1
    turn_sources(0.0, case, mode)
    for k in range(plugs):
        if I[I[I_I_PLUG] + k * PI_SIZE + PI_FOLLOWS_WALL] == 0:
            mode[1 + k] = SOLID
    for k in range(y.shape[0]):
        y[k] = 0.0
    for k in range(plugs):
        near[0, k] = 0.0
    for k in range(result.shape[0]):
        result[k] = math.nan
    result[B_STATUS] = OUT_OF_RANGE
    result[B_PEAK_USE] = 0.0
    result[B_PEAK_PRESSURE] = 0.0
    density, energy = density_of(tables.air, F[space + S_PRESSURE], F[space + S_TEMPERATURE])
    if not density > 0.0:
        return
    y[0] = density * F[space + S_VOLUME]
    y[1] = F[space + S_TEMPERATURE]
    y[2] = F[space + S_WALL_TEMPERATURE]
    y[3] = F[space + S_WALL_TEMPERATURE]
    for k in range(4 + plugs, n):
        y[k] = F[space + S_WALL_TEMPERATURE]
    t = 0.0
    h = STEP_AT_START
    p = F[space + S_PRESSURE]
    peak = 0.0
    peak_pressure = 0.0
    use_before = 0.0
    damage = 0.0
    creeping = 0.0  # its rate, 1/s
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
                        move_valve(e - plugs, p, y, case, mode)
                        speed = lift_speed(e - plugs, p, y, case, tables.flow)
                        h = min(h, 0.5 / speed)
                        fastest = WITHIN_STEP / h
                        if 0.0 < y[n + e - plugs] < SMALLEST_REST or speed > FASTEST_VALVE:
                            steps = MOST_STEPS
                    continue
                if e == forced or event_value(e, p, y, case, mode) > 0.0:
                    mode[1 + e] = 1
                    if plugs + reliefs <= e < plugs + 2 * reliefs:
                        mode[1 + e - reliefs] = RESTING
                        y[n + e - plugs - reliefs] = 0.0
                    if e < plugs or plugs + 2 * reliefs <= e < rupture:
                        device = e if e < plugs else e - 2 * reliefs
                        result[B_COLUMNS + plugs + I[I_DISCS] + device] = t
                        if not result[B_FIRST_VENT] >= 0.0:
                            result[B_FIRST_VENT] = t
                    elif e == rupture:
                        result[B_RUPTURE] = t
                        if damage < 1.0 - 1e-9:  # of a rupture by creep the use is what it is
                            peak = max(peak, 1.0)
                        status = RUPTURED
                    elif e > rupture:
                        result[B_EMPTY] = t
            for k in range(plugs):
                if forced == count + 1 + k or (t == 0.0 and phase_passed(k, 0.0, case, mode) > 0.0):
                    change_phase(k, y[4 + k], case, mode)
            forced = -1
            p = space_rates(t, y, y, fastest, W[1], near, case, mode, tables)
            evaluations += 1
            use_before = strength_use(0, p, y, case)
            creeping = creep_rate(0, p, y, case)
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
        stop = next_stop(t, case, mode)
        h = min(h, longest_step(y, W[1], case))
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
            p_end, error = explicit_step(t, length, y, W, n, rtol, ease, case, mode, tables)
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
        forced, end = first_event(length, p_end, y, W, n, case, mode, tables.air)
        dense = forced >= 0 or moves(I, mode)
        # the creep damage is added up behind the steps
        creeps = creep_rate(0, p_end, W[0], case)
        added = 0.0
        if max(creeping, creeps) * length > LEAST_DAMAGE:
            if not dense:
                prepare_dense(length, y, W, n)
                dense = True
            added = end * length * mean_creep(
                end, creeping, W, n, case, tables.air
            )  # fmt: skip
            if damage + added >= 1.0:
                forced = rupture
                added = 1.0 - damage
                end = end_of_life(added, end, length, creeping, W, n, case, tables.air)
        use = strength_use(0, p_end, W[0], case)
        turns = plugs <= forced < plugs + reliefs and mode[1 + forced] != RESTING
        if turns and end > 0.0 and length > max(TURN_STEP, WITHIN_STEP / speed):
            # the pressure must be close to that of balance where a valve comes to rest
            h = max(0.25 * length, TURN_STEP)
            forced = -1
            continue
        damage += added
        creeping = creeps
        if forced >= 0:
            p_end = state_inside(end, W, n, case, tables.air)
            use = strength_use(0, p_end, W[BETWEEN], case)
        # worst strength use inside the step: looked at closely unless all rises
        if max(use, use_before) > 0.9 * peak and not all_rises(W, I):
            if not dense:
                prepare_dense(length, y, W, n)
                dense = True
            inside, share = peak_inside(end, max(peak, use_before, use), W, n, case, tables.air)
            if share >= 0.0:
                peak = inside
                if inside >= limit and not result[B_LIMIT] >= 0.0:
                    result[B_LIMIT] = t + share * length
        if use >= limit and not result[B_LIMIT] >= 0.0:
            if not dense:
                prepare_dense(length, y, W, n)
            result[B_LIMIT] = t + length * share_at(count, end, y, W, n, case, mode, tables.air)
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
                space_rates(t, y, y, fastest, W[1], near, case, mode, tables)
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
            turn_sources(t, case, mode)
        elif mode[0] == 0:
            rho = y[0] / F[space + S_VOLUME]
            if ends_by_itself(t, falling, hottest_wall(0, y, case), F) or is_settled(
                y, p, y[1], falling, rho, peak, case, mode, tables.air
            ):
                status = ENDED
    result[B_STATUS] = status
    result[B_PEAK_USE] = min(peak, 1.0)  # a rupture is a use of 1
    result[B_PEAK_PRESSURE] = peak_pressure
    result[B_EVALUATIONS] = evaluations
    result[B_DAMAGE] = damage
    note_open(I, mode, result)


def space_variants(
    base, F, I, places, values, first, last, mode, y, W, TC, TX, TR, gas_constant,
    FC, FX, FR, results,
):  # fmt: skip
    """Run variants ``first`` to ``last`` of ``base``, a case of one gas space.

    Each has the numbers at ``places`` replaced by its row of ``values``.
    """
    case = Case(F, I)
    tables = Tables(AirArrays(TC, TX, TR, gas_constant), FlowArrays(FC, FX, FR))
    for variant in range(first, last):
        for k in range(base.shape[0]):
            F[k] = base[k]
        for k in range(places.shape[0]):
            F[places[k]] = values[variant, k]
        run_space(case, mode, y, W, tables, results[variant])
    return last
