"""Advance a fire case in time: a linearly implicit method with dense output and events.

The method is ROS34PW2: four stages, third order with an embedded second order result,
L-stable and stiffly accurate. It keeps its order for any matrix in place of the Jacobian, so
the matrix needs only the stiff terms: flow between spaces, heat through walls, relief lift.

Source: Rang and Angermann (2005), BIT 45, 761-787, "New Rosenbrock W-methods of order 3".
"""

from __future__ import annotations

import math

from airrisk.firetest.kernel_events import (
    apply_event,
    event_count,
    event_space,
    event_value,
    hermite,
    locate_event,
    pressure_of,
    strength_use,
)
from airrisk.firetest.layout import *  # noqa: F403
from airrisk.firetest.rhs import (
    G_CV,
    G_DM,
    G_DPT,
    G_E,
    G_GAINED,
    G_GAINED_H,
    G_H,
    G_HEAT_COLD,
    G_HEAT_HOT,
    G_LOST,
    G_OUT,
    G_P,
    G_Q,
    G_RHO,
    LIFT_BAND,
    LIFT_TIME,
    lift_target,
    link_flow,
    plug_temperature,
    rates,
    vent_flow,
)
from airrisk.physics.flow_kernel import nozzle_mass_flux
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN
from airrisk.physics.metal_kernel import heat_capacity

GAMMA = 4.3586652150845900e-01
A21 = 2.0
A31 = 1.4192173174557652
A32 = -2.5923221167296978e-01
A41 = 4.1847604823191613
A42 = -2.8519201735549599e-01
A43 = 2.2942803602790423
C21 = -4.5885607205580836
C31 = -4.1847604823191613
C32 = 2.8519201735549599e-01
C41 = -6.3681792001283597
C42 = -6.7956209444668367
C43 = 2.8700986043310555
E1 = 2.777499476479681e-01
E2 = -1.4032398951759995
E3 = 1.772630127667551
E4 = 0.5
T2 = 8.7173304301691801e-01
T3 = 7.3157995778885e-01
T4 = 1.0

# resumable state of a run, C[...]
C_TIME = 0
C_STEP = 1
C_EVALUATIONS = 2
C_STEPS = 3
C_ROWS = 4
C_EVENTS = 5
C_REJECTED = 6
C_FIRST_VENT = 7  # s, first plug or disc; NaN before
C_STATUS = 8
C_FACTORED = 9
C_HEAD = 16

# per space, PK[space, ...]
K_PEAK_USE = 0
K_PEAK_USE_TIME = 1
K_PEAK_PRESSURE = 2
K_END_USE = 3
K_LAST_GAS = 4
K_EMPTY_TIME = 5
K_RUPTURE_TIME = 6
K_LIMIT_TIME = 7  # s, strength use first at the limit
K_COLUMNS = 8

SMALLEST_STEP = 1e-10  # s


def factorize(A, n, pivot):
    """LU factors with row exchanges, in place; 0 when singular."""
    for k in range(n):
        best = k
        largest = abs(A[k, k])
        for r in range(k + 1, n):
            if abs(A[r, k]) > largest:
                largest = abs(A[r, k])
                best = r
        if not largest > 0.0:
            return 0
        pivot[k] = best
        if best != k:
            for c in range(n):
                A[k, c], A[best, c] = A[best, c], A[k, c]
        inverse = 1.0 / A[k, k]
        for r in range(k + 1, n):
            factor = A[r, k]
            if factor != 0.0:
                factor *= inverse
                A[r, k] = factor
                for c in range(k + 1, n):
                    A[r, c] -= factor * A[k, c]
    return 1


def back_substitute(A, n, pivot, b):
    """Solve with the factors, in place."""
    for k in range(n):
        other = pivot[k]
        if other != k:
            b[k], b[other] = b[other], b[k]
    for r in range(1, n):
        total = b[r]
        for c in range(r):
            total -= A[r, c] * b[c]
        b[r] = total
    for r in range(n - 1, -1, -1):
        total = b[r]
        for c in range(r + 1, n):
            total -= A[r, c] * b[c]
        b[r] = total / A[r, r]


def add_flow(J, spaces, a, b, flow, g_pa, g_pb, y, G):
    """Add the terms of a flow from space ``a`` to ``b`` (-1: atmosphere) to the matrix.

    ``g_pa`` and ``g_pb`` are the slopes of the flow with the pressures at its two ends.
    """
    gas_a = spaces + a
    slope_m = g_pa * G[G_P, a] / y[a] + 0.5 * flow / y[a]  # dp/dm ~ p/m at constant T
    slope_t = g_pa * G[G_DPT, a]
    out_t = y[gas_a] * G[G_DPT, a] / (G[G_RHO, a] * y[a] * G[G_CV, a])
    J[a, a] -= slope_m
    J[a, gas_a] -= slope_t
    J[gas_a, a] -= slope_m * out_t - flow * out_t / y[a]
    J[gas_a, gas_a] -= slope_t * out_t + flow * out_t / y[gas_a]
    if b < 0:
        return
    gas_b = spaces + b
    heat_b = y[b] * G[G_CV, b]
    in_t = (G[G_H, a] - G[G_H, b]) / heat_b + y[gas_b] * G[G_DPT, b] / (G[G_RHO, b] * heat_b)
    slope_mb = g_pb * G[G_P, b] / y[b]
    slope_tb = g_pb * G[G_DPT, b]
    J[a, b] -= slope_mb
    J[a, gas_b] -= slope_tb
    J[gas_a, b] -= slope_mb * out_t
    J[gas_a, gas_b] -= slope_tb * out_t
    J[b, a] += slope_m
    J[b, gas_a] += slope_t
    J[b, b] += slope_mb
    J[b, gas_b] += slope_tb
    cp_a = G[G_CV, a] + y[gas_a] * G[G_DPT, a] / (G[G_RHO, a] * y[gas_a])
    cp_b = G[G_CV, b] + y[gas_b] * G[G_DPT, b] / (G[G_RHO, b] * y[gas_b])
    J[gas_b, a] += slope_m * in_t
    J[gas_b, gas_a] += slope_t * in_t + flow * cp_a / heat_b
    J[gas_b, b] += slope_mb * in_t - flow * in_t / y[b]
    J[gas_b, gas_b] += slope_tb * in_t - flow * cp_b / heat_b


def stiff_matrix(y, J, n, F, I, mode, G, FC, FX, FR):
    """Approximate Jacobian of ``rates``; ``G`` holds its by-products at ``y``."""
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    hot = 2 * spaces
    cold = 3 * spaces
    body = 4 * spaces
    back = F[F_AMBIENT_P]
    for r in range(n):
        for c in range(n):
            J[r, c] = 0.0
    for i in range(spaces):
        at = I[I_F_SPACE] + i * S_SIZE
        gas = spaces + i
        metal = I[I[I_I_SPACE] + i * SI_SIZE + SI_METAL]
        heat = y[i] * G[G_CV, i]
        hot_area = F[at + S_HOT_AREA]
        cold_area = F[at + S_COLD_AREA]
        shared = 0.0
        if hot_area > 0.0 and cold_area > 0.0 and I[I_INNER_RADIATION] == 1:
            e = F[F_INNER_EMISSIVITY]
            view = cold_area / (hot_area + cold_area)
            shared = STEFAN_BOLTZMANN / (
                (1.0 - e) / (e * hot_area) + 1.0 / (hot_area * view) + (1.0 - e) / (e * cold_area)
            )
        if hot_area > 0.0:
            wall = y[hot + i]
            capacity = F[at + S_HOT_MASS] * heat_capacity(metal, wall)
            inner = 4.0 / 3.0 * G[G_HEAT_HOT, i]
            cube = 4.0 * wall**3
            outer = hot_area * (
                F[at + S_EMISSIVITY] * STEFAN_BOLTZMANN * cube + F[at + S_CONVECTION]
            )
            J[hot + i, hot + i] -= (outer + inner + shared * cube) / capacity
            J[hot + i, gas] += inner / capacity
            J[hot + i, cold + i] += shared * 4.0 * y[cold + i] ** 3 / capacity
            J[gas, hot + i] += inner / heat
            J[gas, gas] -= inner / heat
        if cold_area > 0.0:
            wall = y[cold + i]
            capacity = F[at + S_COLD_MASS] * heat_capacity(metal, wall)
            inner = 4.0 / 3.0 * G[G_HEAT_COLD, i]
            cube = 4.0 * wall**3
            outer = cold_area * F[F_LOSS]
            J[cold + i, cold + i] -= (outer + inner + shared * cube) / capacity
            J[cold + i, gas] += inner / capacity
            J[cold + i, hot + i] += shared * 4.0 * y[hot + i] ** 3 / capacity
            J[gas, cold + i] += inner / heat
            J[gas, gas] -= inner / heat
        J[gas, i] -= (G[G_Q, i] / heat) / (3.0 * y[i])
        p = G[G_P, i]
        rho = G[G_RHO, i]
        flow = vent_flow(i, p, rho, y[gas], y, F, I, mode, FC, FX, FR)
        if flow > 0.0:
            step = max(1e-6 * p, 1e-3 * (p - back))
            more = vent_flow(i, p + step, rho, y[gas], y, F, I, mode, FC, FX, FR)
            slope = (more - flow) / step
            add_flow(J, spaces, i, -1, flow, slope, 0.0, y, G)
    for k in range(plugs):
        ints = I[I_I_PLUG] + k * PI_SIZE
        if mode[1 + k] == 1 or I[ints + PI_FOLLOWS_WALL] == 1:
            continue
        at = I[I_F_PLUG] + k * P_SIZE
        i = I[ints + PI_SPACE]
        temperature = plug_temperature(F, at, y[body + k])
        slope = (
            plug_temperature(F, at, y[body + k] + 1e-3 * F[at + P_HEAT_CAPACITY]) - temperature
        ) / (1e-3 * F[at + P_HEAT_CAPACITY])
        inner = F[at + P_AIR_AREA] * 10.0 / (1.0 + 10.0 * F[at + P_FOULING])
        lost = F[at + P_CONTACT] + inner
        if I[ints + PI_IN_FLAMES] == 1:
            lost += F[at + P_FLAME_AREA] * (
                4.0 * F[at + P_EMISSIVITY] * STEFAN_BOLTZMANN * temperature**3
                + F[I[I_F_SPACE] + i * S_SIZE + S_CONVECTION]
            )
        wall = hot + i if I[ints + PI_HOT_ZONE] == 1 else cold + i
        J[body + k, body + k] -= lost * slope
        J[body + k, wall] += F[at + P_CONTACT]
        J[body + k, spaces + i] += inner
    for k in range(I[I_LINKS]):
        ends = I[I_I_LINK] + k * LI_SIZE
        a = I[ends + LI_FROM]
        b = I[ends + LI_TO]
        p_a = G[G_P, a]
        rho_a = G[G_RHO, a]
        t_a = y[spaces + a]
        p_b = back
        rho_b = rho_a
        t_b = t_a
        if b >= 0:
            p_b = G[G_P, b]
            rho_b = G[G_RHO, b]
            t_b = y[spaces + b]
        step = max(1e-7 * p_a, 1e-3 * abs(p_a - p_b))
        up = step if p_a >= p_b else -step
        flow = link_flow(k, p_a, rho_a, t_a, p_b, rho_b, t_b, F, I, FC, FX, FR)
        if flow == 0.0 and p_a != p_b:
            continue
        more = link_flow(k, p_a + up, rho_a, t_a, p_b, rho_b, t_b, F, I, FC, FX, FR)
        g_a = (more - flow) / up
        more = link_flow(k, p_a, rho_a, t_a, p_b - up, rho_b, t_b, F, I, FC, FX, FR)
        g_b = (flow - more) / up
        if p_a >= p_b:
            add_flow(J, spaces, a, b, flow, g_a, g_b, y, G)
        else:
            add_flow(J, spaces, b, a, -flow, -g_b, -g_a, y, G)
    for r in range(reliefs):
        row = body + plugs + r
        J[row, row] -= 1.0 / LIFT_TIME
        if mode[1 + plugs + r] == 1:
            i = I[I[I_I_RELIEF] + r * RI_SIZE + RI_SPACE]
            at = I[I_F_RELIEF] + r * R_SIZE
            gauge = G[G_P, i] - back
            band = LIFT_BAND * F[at + R_SET]
            if lift_target(y[row], gauge, F[at + R_SET]) != y[row]:
                share = (gauge - F[at + R_SET]) / band
                if y[row] > share:
                    share += 1.0
                if 0.0 < share < 1.0:
                    gain = 1.0 / (LIFT_TIME * band)
                    J[row, i] += gain * G[G_P, i] / y[i]
                    J[row, spaces + i] += gain * G[G_DPT, i]
            else:
                J[row, row] += 1.0 / LIFT_TIME
            flux, between = nozzle_mass_flux(
                FC, FX, FR, G[G_P, i], G[G_RHO, i], y[spaces + i], back
            )
            full = F[at + R_AREA] * F[at + R_COEFFICIENT] * flux
            J[i, row] -= full
            J[spaces + i, row] -= (
                full * y[spaces + i] * G[G_DPT, i] / (G[G_RHO, i] * y[i] * G[G_CV, i])
            )


def error_norm(n, spaces, plugs, u, y, y1, F, I):
    """Largest error over its allowance; NaN when a number is lost."""
    rtol = F[F_RTOL]
    worst = 0.0
    for k in range(n):
        error = abs(E1 * u[0, k] + E2 * u[1, k] + E3 * u[2, k] + E4 * u[3, k])
        size = max(abs(y[k]), abs(y1[k]))
        if k < spaces:
            at = I[I_F_SPACE] + k * S_SIZE
            size = max(size, 0.02 * F[at + S_VOLUME] * 12.0)
        elif k >= 4 * spaces:
            j = k - 4 * spaces
            if j < plugs:
                size += 300.0 * F[I[I_F_PLUG] + j * P_SIZE + P_HEAT_CAPACITY]
            else:
                size = 1.0
        ratio = error / (rtol * size)
        if not ratio <= worst:
            worst = ratio
            if not worst < 1e300:
                return math.nan
    return worst


def note_row(rows, t, y, f, mode, n, out_t, out_y, out_f, out_mode):
    """Store one point of the output when there is room."""
    if rows < out_t.shape[0]:
        out_t[rows] = t
        for k in range(n):
            out_y[rows, k] = y[k]
            out_f[rows, k] = f[k]
        for k in range(out_mode.shape[1]):
            out_mode[rows, k] = mode[k]
        return rows + 1
    return rows


def note_use(i, t, use, p, limit, PK):
    """Keep the worst strength use and pressure of a space."""
    if use > PK[i, K_PEAK_USE]:
        PK[i, K_PEAK_USE] = use
        PK[i, K_PEAK_USE_TIME] = t
    if p > PK[i, K_PEAK_PRESSURE]:
        PK[i, K_PEAK_PRESSURE] = p
    if use >= limit and not PK[i, K_LIMIT_TIME] >= 0.0:
        PK[i, K_LIMIT_TIME] = t


def next_stop(t, F, I, mode):
    """Time that a step must not pass: end of the fire, a node of the fire table, the end."""
    if mode[0] == 0:
        return F[F_FIRE_END] + F[F_COOL_DOWN]
    stop = F[F_FIRE_END]
    if I[I_CURVE] == CURVE_TABLE:
        for k in range(I[I_CURVE_POINTS]):
            node = F[I[I_F_CURVE] + 2 * k]
            if t < node < stop:
                return node
    if I[I_CURVE] == CURVE_SLOW and t < 1260.0 < stop:
        return 1260.0
    return stop


def pending_event(y, F, I, mode, G):
    """First event whose value is positive, or -1."""
    for e in range(event_count(I)):
        if event_value(e, G[G_P, event_space(e, I)], y, F, I, mode) > 0.0:
            return e
    return -1


def advance(
    F, I, mode, y, C, PK, G, W, J, LU, pivot, TC, TX, TR, gas_constant, FC, FX, FR,
    out_t, out_y, out_f, out_mode, events, max_steps,
):  # fmt: skip
    """Take up to ``max_steps`` accepted steps; returns the status.

    All state lives in the arrays, so that a run can be continued. With one row of ``out_t``
    nothing is stored.
    """
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    n = 4 * spaces + plugs + reliefs
    store = out_t.shape[0] > 1
    f0 = W[0]
    f1 = W[1]
    y1 = W[2]
    between = W[3]
    stage = W[4]
    u = W[5:9]
    limit = F[F_LIMIT_USE]
    t = C[C_TIME]
    h = C[C_STEP]
    rows = int(C[C_ROWS])
    noted = int(C[C_EVENTS])
    evaluations = int(C[C_EVALUATIONS])
    steps = int(C[C_STEPS])
    rejected = int(C[C_REJECTED])
    status = RUNNING
    taken = 0
    rates(t, y, f0, F, I, mode, G, TC, TX, TR, gas_constant, FC, FX, FR)
    evaluations += 1
    fresh = steps == 0  # something changed: look for events, store the point
    forced = -1
    while status == RUNNING and (fresh or taken < max_steps):
        if fresh:
            changed = False
            for _ in range(4 * event_count(I) + 4):
                e = forced if forced >= 0 else pending_event(y, F, I, mode, G)
                forced = -1
                if e < 0:
                    break
                noted = apply_event(e, y, F, I, mode, events, noted, t)
                changed = True
                first_space = plugs + 2 * reliefs + I[I_DISCS]
                if (e < plugs or plugs + 2 * reliefs <= e < first_space) and not (
                    C[C_FIRST_VENT] >= 0.0
                ):
                    C[C_FIRST_VENT] = t
                if first_space <= e < first_space + spaces:
                    i = e - first_space
                    PK[i, K_RUPTURE_TIME] = t
                    note_use(i, t, max(1.0, PK[i, K_PEAK_USE]), G[G_P, i], limit, PK)
                    if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL:
                        status = RUPTURED
                if first_space + spaces <= e < first_space + 2 * spaces:
                    PK[e - first_space - spaces, K_EMPTY_TIME] = t
            if changed:
                rates(t, y, f0, F, I, mode, G, TC, TX, TR, gas_constant, FC, FX, FR)
                evaluations += 1
            for i in range(spaces):
                use = strength_use(i, G[G_P, i], y, F, I)
                note_use(i, t, use, G[G_P, i], limit, PK)
                PK[i, K_END_USE] = use
                PK[i, K_LAST_GAS] = y[spaces + i]
            if store:
                rows = note_row(rows, t, y, f0, mode, n, out_t, out_y, out_f, out_mode)
            fresh = False
            if changed and I[I_STOP_WHEN_EMPTY] == 1 and C[C_FIRST_VENT] >= 0.0:
                done = True
                first_space = 1 + plugs + 2 * reliefs + I[I_DISCS]
                for i in range(spaces):
                    if (
                        I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL
                        and mode[first_space + spaces + i] == 0
                    ):
                        done = False
                if done:
                    status = ENDED
            if status != RUNNING:
                break
        if store and rows + 3 > out_t.shape[0]:
            status = BUFFER_FULL
            break
        if evaluations > I[I_BUDGET]:
            status = BUDGET_SPENT
            break
        stop = next_stop(t, F, I, mode)
        stiff_matrix(y, J, n, F, I, mode, G, FC, FX, FR)
        forced = -1
        hits_stop = False
        while True:
            h = min(h, F[F_LARGEST_STEP])
            hits_stop = False
            if forced < 0 and t + h >= stop - 1e-9 * max(stop, 1.0):
                h = stop - t
                hits_stop = True
            diagonal = 1.0 / (h * GAMMA)
            for r in range(n):
                for c in range(n):
                    LU[r, c] = -J[r, c]
                LU[r, r] += diagonal
            if factorize(LU, n, pivot) == 0:
                status = STEP_TOO_SMALL
                break
            for s in range(4):
                if s == 0:
                    for k in range(n):
                        u[0, k] = f0[k]
                else:
                    for k in range(n):
                        if s == 1:
                            stage[k] = y[k] + A21 * u[0, k]
                        elif s == 2:
                            stage[k] = y[k] + A31 * u[0, k] + A32 * u[1, k]
                        else:
                            stage[k] = y[k] + A41 * u[0, k] + A42 * u[1, k] + A43 * u[2, k]
                    at = T2 if s == 1 else (T3 if s == 2 else T4)
                    rates(t + at * h, stage, u[s], F, I, mode, G, TC, TX, TR, gas_constant, FC, FX, FR)
                    for k in range(n):
                        if s == 1:
                            u[1, k] += C21 / h * u[0, k]
                        elif s == 2:
                            u[2, k] += (C31 * u[0, k] + C32 * u[1, k]) / h
                        else:
                            u[3, k] += (C41 * u[0, k] + C42 * u[1, k] + C43 * u[2, k]) / h
                back_substitute(LU, n, pivot, u[s])
            for k in range(n):
                y1[k] = stage[k] + u[3, k]
            evaluations += 4
            error = error_norm(n, spaces, plugs, u, y, y1, F, I)
            if error <= 1.0:
                rates(t + h, y1, f1, F, I, mode, G, TC, TX, TR, gas_constant, FC, FX, FR)
                for k in range(n):
                    if not abs(f1[k]) < 1e300:
                        error = math.nan
            if not error <= 1.0:
                rejected += 1
                forced = -1
                h *= max(0.2, 0.9 * error ** (-1.0 / 3.0)) if error > 1.0 else 0.2
                if h < SMALLEST_STEP:
                    status = OUT_OF_RANGE if error != error else STEP_TOO_SMALL
                    break
                continue
            if forced < 0:
                first = 2.0
                for e in range(event_count(I)):
                    if event_value(e, G[G_P, event_space(e, I)], y1, F, I, mode) > 0.0:
                        theta = locate_event(
                            e, h, y, f0, y1, f1, between, F, I, mode, TC, TX, TR, gas_constant, n
                        )
                        if theta < first:
                            first = theta
                            forced = e
                if forced >= 0 and first < 1.0 - 1e-6:
                    h = max(first * h, 2.0 * SMALLEST_STEP)
                    continue
            break
        if status != RUNNING:
            break
        # worst strength use inside the step
        hermite(0.5, h, y, f0, y1, f1, between, n)
        for i in range(spaces):
            if I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS] == 0:
                continue
            p = pressure_of(i, between, F, I, TC, TX, TR, gas_constant)
            middle = strength_use(i, p, between, F, I)
            end = strength_use(i, G[G_P, i], y1, F, I)
            start = PK[i, K_END_USE]
            peak = middle
            if middle > start and middle > end:
                bend = start - 2.0 * middle + end
                peak = middle - (end - start) ** 2 / (8.0 * bend)
            if peak < 1.0 or middle >= 1.0:
                note_use(i, t + 0.5 * h, peak, p, limit, PK)
        falling = True
        for i in range(spaces):
            use = strength_use(i, G[G_P, i], y1, F, I)
            if use > PK[i, K_END_USE] + 1e-12 or y1[spaces + i] > PK[i, K_LAST_GAS] + 1e-9:
                falling = False
            note_use(i, t + h, use, G[G_P, i], limit, PK)
            PK[i, K_END_USE] = use
            PK[i, K_LAST_GAS] = y1[spaces + i]
        t = stop if hits_stop else t + h
        for k in range(n):
            y[k] = y1[k]
            f0[k] = f1[k]
        steps += 1
        taken += 1
        if store:
            rows = note_row(rows, t, y, f0, mode, n, out_t, out_y, out_f, out_mode)
        growth = 5.0 if error < 1e-4 else min(5.0, 0.9 * error ** (-1.0 / 3.0))
        if hits_stop or forced >= 0:
            # the step was cut short: begin anew with care
            h = max(1e-3, 0.2 * h)
        else:
            h *= max(0.3, growth)
        if hits_stop and mode[0] == 1 and t >= F[F_FIRE_END]:
            mode[0] = 0
            if noted < events.shape[0]:
                events[noted, 0] = t
                events[noted, 1] = E_FIRE_END
                events[noted, 2] = -1
                noted += 1
            rates(t, y, f0, F, I, mode, G, TC, TX, TR, gas_constant, FC, FX, FR)
            evaluations += 1
            fresh = True
        elif mode[0] == 0 and forced < 0 and (hits_stop or (falling and t > F[F_FIRE_END] + 1.0)):
            status = ENDED
        if forced >= 0:
            fresh = True
    C[C_TIME] = t
    C[C_STEP] = h
    C[C_ROWS] = rows
    C[C_EVENTS] = noted
    C[C_EVALUATIONS] = evaluations
    C[C_STEPS] = steps
    C[C_REJECTED] = rejected
    C[C_STATUS] = status
    return status
