"""One implicit step of a fire case, with its error held by its length.

Backward differences of order 1 to 5 in quasi-constant steps, with the modified coefficients
that lower the error, Newton iteration on a Jacobian kept as long as it serves.
Small spaces joined to large ones make the equations stiff; the implicit steps pass over what
has settled. Cumulated flows are carried beside the state, so that the balances can be closed
against the stored densities and temperatures.

Source: Shampine and Reichelt (1997), SIAM J. Sci. Comput. 18, 1-22 (NDF formulas).
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.difference_formulas import error_constant, harmonic, kappa_of, rescale
from airrisk.kernel.jacobian import allowance, hold_differences, jacobian
from airrisk.kernel.layout import *
from airrisk.kernel.linear_algebra import newton_factors, newton_solve, scaled_norm
from airrisk.kernel.moments import (
    C_AHEAD,
    C_AT_STOP,
    C_BEFORE,
    C_EAGER,
    C_EQUAL,
    C_ERROR,
    C_EVALUATIONS,
    C_FACTORED,
    C_ITERATIONS,
    C_ORDER,
    C_RATE,
    C_REJECTED,
    C_STEP,
    C_STEPS,
    C_TIME,
    V_BETWEEN,
    V_CHANGE,
    V_GONE,
    V_NEW,
    V_RATES,
    V_RESCALING,
    V_REST,
    V_ROWS,
    V_SCALE,
)
from airrisk.kernel.places import damage_place, first_patch, state_count
from airrisk.kernel.rhs import rates
from airrisk.kernel.run_ends import next_stop
from airrisk.kernel.run_notes import section_flows
from airrisk.kernel.spent_spaces import ease_spent, size_of_errors

HIGHEST_ORDER = 5
NEWTON_MOST = 6
MOST_AHEAD = 7
OPEN_TOTALS = 3e-10  # of the mass of a section in one step; a hundred times that of the energy
SMALLEST_STEP = 1e-10  # s
PEAK_FROM = 990.0  # K
PEAK_TO = 1025.0
PEAK_STEP = 3.0  # K a step
# which state a new Jacobian is of
KEEP = 0
WHERE_IT_BEGINS = 1  # the iteration
LAST_POINT = 2  # accepted; where all is sound


def narrow(wall, rate, h):
    """Longest step of a steel wall that warms or cools at a rate [K/s], s."""
    if PEAK_FROM - rate * h < wall < PEAK_TO and rate > 0.0:
        return PEAK_STEP / rate
    return 1e9


def narrow_step(y, D, h, case):
    """Longest step while a steel wall passes its narrow peak of heat capacity at 735 C, s."""
    F, I = case
    spaces = I[I_SPACES]
    longest = 1e9
    for i in range(spaces):
        at = I[I_F_SPACE] + i * S_SIZE
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_METAL] != 0:
            continue
        for zone in range(2):
            k = (2 + zone) * spaces + i
            if F[at + S_HOT_AREA + zone] <= 0.0:
                continue
            longest = min(longest, narrow(y[k], abs(D[1, k]) / h, h))
        first = first_patch(I) + I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCH]
        for k in range(first, first + I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCHES]):
            longest = min(longest, narrow(y[k], abs(D[1, k]) / h, h))
    return longest


def finite(values, n):
    """Whether all are numbers."""
    total = 0.0
    for k in range(n):
        total += abs(values[k])
    return total < 1e300


def open_totals(c, f, psi, change, new, case, G):
    """What the iteration left open of the section's mass and energy, over what may be left."""
    I = case.integers
    spaces = I[I_SPACES]
    mass = 0.0
    energy = 0.0
    whole_mass = 0.0
    whole_energy = 0.0
    for i in range(spaces):
        k = spaces + i
        mass += c * f[i] - psi[i] - change[i]
        energy += c * f[k] - psi[k] - change[k]
        whole_mass += allowance(i, new[i], new, case, G)
        whole_energy += allowance(k, new[k], new, case, G)
    return max(abs(mass) / whole_mass, 0.01 * abs(energy) / whole_energy) / OPEN_TOTALS


def predict(order, leading, case, work):
    """State at the end of a step as the differences go on, and what the iteration compares with."""
    D, W = work.differences, work.vectors
    new = W[V_NEW]
    I = case.integers
    n = state_count(I)
    for k in range(damage_place(I) + I[I_SPACES]):
        total = 0.0
        guess = D[0, k]
        share = 0.0
        for j in range(1, order + 1):
            share += 1.0 / j
            total += share * D[j, k]
            guess += D[j, k]
        W[V_GONE, k] = total / leading
        new[k] = guess
        if k < n:
            size = allowance(k, guess, new, case, work.air)
            W[V_SCALE, k] = case.floats[F_RTOL] * size_of_errors(k, size, case, work.air)


def take_differences(order, D, change, columns):
    """Backward differences at the end of an accepted step."""
    for k in range(columns):
        D[order + 2, k] = change[k] - D[order + 1, k]
        D[order + 1, k] = change[k]
    for j in range(order, -1, -1):
        for k in range(columns):
            D[j, k] += D[j + 1, k]


def best_order(order, error, D, scale, n):
    """Order for the next steps, and the factor by which they may be longer."""
    best = error ** (-1.0 / (order + 1.0)) if error > 0.0 else 10.0
    chosen = order
    if order > 1:
        lower = scaled_norm(D[order], error_constant(order - 1), scale, n)
        factor = lower ** (-1.0 / order) if lower > 0.0 else 10.0
        if factor > best:
            best = factor
            chosen = order - 1
    if order < HIGHEST_ORDER:
        higher = scaled_norm(D[order + 2], error_constant(order + 1), scale, n)
        factor = higher ** (-1.0 / (order + 2.0)) if higher > 0.0 else 10.0
        if factor > best:
            best = factor
            chosen = order + 1
    return chosen, best


def stretch(factor, case, state, work):
    """Change the length of the next step by a factor; the differences follow."""
    C, W = state.clock, work.vectors
    half = (V_ROWS - V_RESCALING) // 2
    R = W[V_RESCALING : V_RESCALING + half]
    E = W[V_RESCALING + half : V_ROWS]
    columns = damage_place(case.integers) + case.integers[I_SPACES]
    rescale(work.differences, int(C[C_ORDER]), factor, columns, R, E)
    C[C_EQUAL] = 0.0


def fit_length(stop, case, state, work):
    """Shorten the next step to what may be; ``stop`` is the time that it must not pass, s."""
    F = case.floats
    C = state.clock
    t, h = C[C_TIME], C[C_STEP]
    largest = min(F[F_LARGEST_STEP], narrow_step(state.numbers, work.differences, h, case))
    if t + h > stop - 1e-9 * stop or h > largest:
        goal = min(stop - t, largest)
        if goal < stop - t and goal > (stop - t) * (1.0 - 1e-9):
            goal = stop - t
        if h != goal:
            stretch(goal / h, case, state, work)
            C[C_STEP] = goal
    C[C_AT_STOP] = 1.0 if t + C[C_STEP] >= stop - 1e-9 * stop else 0.0


def renew_jacobian(of, case, state, work, tables):
    """A new Jacobian: of the state from which the iteration begins, or of the last point."""
    C, G, W = state.clock, work.air, work.vectors
    f, between, rest = W[V_RATES], W[V_BETWEEN], W[V_REST]
    n = state_count(case.integers)
    t, y = C[C_TIME], state.numbers
    if of == WHERE_IT_BEGINS:
        t, y = t + C[C_STEP], W[V_NEW]
    rates(t, y, f, case, state.modes, G, tables)
    C[C_EVALUATIONS] += 1 + jacobian(
        t, y, f, work.jacobian, n, between, rest, case, state.modes, G, tables
    )
    C[C_FACTORED] = 0.0


def iterate(c, case, state, work, tables):
    """Newton's iteration for the end of a step; returns how many it took, 0: no end of it.

    ``c`` is the step over the leading coefficient, s.
    """
    C, W = state.clock, work.vectors
    n = state_count(case.integers)
    f, new, change, rest, scale, gone = (
        W[V_RATES], W[V_NEW], W[V_CHANGE], W[V_REST], W[V_SCALE], W[V_GONE]
    )  # fmt: skip
    limit = max(1e-14 / case.floats[F_RTOL], 0.03)
    t = C[C_TIME] + C[C_STEP]
    size_before = 0.0
    for m in range(NEWTON_MOST):
        rates(t, new, f, case, state.modes, work.air, tables)
        C[C_EVALUATIONS] += 1
        for k in range(n):
            rest[k] = c * f[k] - gone[k] - change[k]
        newton_solve(work.factors, n, work.pivot, rest, case.integers)
        size = scaled_norm(rest, 1.0, scale, n)
        if not size < 1e300:
            return 0
        if m > 0:
            rate = size / size_before
            # the first rate may be that of a passing mode
            if rate >= 1.0 or (m > 1 and rate ** (NEWTON_MOST - m) / (1.0 - rate) * size > limit):
                return 0
            C[C_RATE] = max(0.3 * C[C_RATE], rate, 0.03)
        for k in range(n):
            new[k] += rest[k]
            change[k] += rest[k]
        if size == 0.0 or C[C_RATE] / (1.0 - min(C[C_RATE], 0.9)) * size < limit:
            return m + 1
        size_before = size
    return 0


def close_totals(c, case, state, work, tables):
    """Iterate on until the balance of the section closes, for the cumulated flows.

    The flows between spaces are large against those of the section.
    """
    C, G, W = state.clock, work.air, work.vectors
    n = state_count(case.integers)
    f, new, change, rest, gone = W[V_RATES], W[V_NEW], W[V_CHANGE], W[V_REST], W[V_GONE]
    t = C[C_TIME] + C[C_STEP]
    rates(t, new, f, case, state.modes, G, tables)
    C[C_EVALUATIONS] += 1
    for again in range(3):
        if not open_totals(c, f, gone, change, new, case, G) > 1.0:
            break
        if again == 1:
            C[C_EVALUATIONS] += jacobian(
                t, new, f, work.jacobian, n, W[V_BETWEEN], rest, case, state.modes, G, tables
            )
            whole = newton_factors(work.factors, work.jacobian, c, n, work.pivot, case.integers)
            C[C_FACTORED] = c if whole == 1 else 0.0
        if C[C_FACTORED] == 0.0:
            break
        for k in range(n):
            rest[k] = c * f[k] - gone[k] - change[k]
        newton_solve(work.factors, n, work.pivot, rest, case.integers)
        for k in range(n):
            new[k] += rest[k]
            change[k] += rest[k]
        rates(t, new, f, case, state.modes, G, tables)
        C[C_EVALUATIONS] += 1


def solve(leading, of, case, state, work, tables):
    """Predict the end of a step and iterate on it, with a new Jacobian ``of`` a state or the kept.

    Returns how many iterations it took; 0: no end of them, -1: the equations have no answer.
    """
    C, W = state.clock, work.vectors
    I = case.integers
    n = state_count(I)
    order = int(C[C_ORDER])
    c = C[C_STEP] / leading
    predict(order, leading, case, work)
    for k in range(n):
        W[V_CHANGE, k] = 0.0
    if I[I_SPACES] > 1:
        hold_differences(W[V_NEW], W[V_CHANGE], case, work.air, tables.air)
    if of != KEEP:
        renew_jacobian(of, case, state, work, tables)
    if C[C_FACTORED] != c:
        if newton_factors(work.factors, work.jacobian, c, n, work.pivot, I) == 0:
            return -1
        C[C_FACTORED] = c
    return iterate(c, case, state, work, tables)


def error_of_step(case, state, work):
    """Error of the step that was iterated, over what is allowed."""
    F, I = case
    C, W = state.clock, work.vectors
    new, scale = W[V_NEW], W[V_SCALE]
    n = state_count(I)
    section_flows(W[V_RATES], new, case, work.air)
    for k in range(n):
        size = allowance(k, new[k], new, case, work.air)
        scale[k] = F[F_RTOL] * size_of_errors(k, size, case, work.air)
    return scaled_norm(W[V_CHANGE], error_constant(int(C[C_ORDER])), scale, n)


def safety(iterations):
    """What is taken of the step that the error would allow: less where the iteration was long."""
    return 0.9 * (2 * NEWTON_MOST + 1) / (2 * NEWTON_MOST + iterations)


def step(case, state, work, tables, close):
    """Take one step, as long as its error and the stops allow; returns the status.

    ``close``: the balance of the section is to close. The state at the end stands in
    ``Work.vectors``, its time in the clock.
    """
    C, W = state.clock, work.vectors
    n = state_count(case.integers)
    columns = damage_place(case.integers) + case.integers[I_SPACES]
    stop = next_stop(C[C_TIME], case, state.modes)
    ease_spent(case, state, work.air)
    of = KEEP
    renewed = False
    if C[C_AHEAD] > 0.0:
        of = WHERE_IT_BEGINS
        C[C_AHEAD] -= 1.0
    c = 0.0
    while True:
        fit_length(stop, case, state, work)
        order = int(C[C_ORDER])
        leading = (1.0 - kappa_of(order)) * harmonic(order)
        c = C[C_STEP] / leading
        iterations = solve(leading, of, case, state, work, tables)
        renewed = renewed or of != KEEP
        of = KEEP
        if iterations < 0:
            return STEP_TOO_SMALL
        factor = 0.3
        if iterations == 0:
            C[C_RATE] = 0.5
            of = LAST_POINT
            if not renewed:
                # where an old Jacobian failed the next steps have a new one from the start
                of = WHERE_IT_BEGINS
                C[C_EAGER] = min(2.0 * C[C_EAGER] + 1.0, MOST_AHEAD)
                C[C_AHEAD] = C[C_EAGER]
                C[C_REJECTED] += 1.0
                continue
        else:
            if close:
                close_totals(c, case, state, work, tables)
            error = error_of_step(case, state, work)
            if error <= 1.0 and finite(W[V_RATES], columns):
                C[C_ERROR] = error
                C[C_ITERATIONS] = iterations
                break
            if error > 1.0:
                factor = max(0.2, safety(iterations) * error ** (-1.0 / (order + 1.0)))
        C[C_REJECTED] += 1.0
        C[C_STEP] *= factor
        if C[C_STEP] < SMALLEST_STEP:
            return STEP_TOO_SMALL if finite(W[V_RATES], n) else OUT_OF_RANGE
        stretch(factor, case, state, work)
    accept(c, stop, renewed, case, state, work)
    return RUNNING


def accept(c, stop, renewed, case, state, work):
    """Make the step that was tried the last one."""
    C, W = state.clock, work.vectors
    n = state_count(case.integers)
    columns = damage_place(case.integers) + case.integers[I_SPACES]
    for k in range(n, columns):
        W[V_CHANGE, k] = c * W[V_RATES, k] - W[V_GONE, k]
        W[V_NEW, k] += W[V_CHANGE, k]
    C[C_BEFORE] = C[C_TIME]
    C[C_TIME] = stop if C[C_AT_STOP] == 1.0 else C[C_TIME] + C[C_STEP]
    C[C_STEPS] += 1.0
    C[C_EQUAL] += 1.0
    if not renewed:
        C[C_EAGER] = 0.0
    take_differences(int(C[C_ORDER]), work.differences, W[V_CHANGE], columns)


def choose_next(case, state, work):
    """Order and length of the next step, by the errors that other orders would have made."""
    C = state.clock
    order = int(C[C_ORDER])
    if C[C_EQUAL] < order + 1:
        return
    n = state_count(case.integers)
    scale = work.vectors[V_SCALE]
    order, best = best_order(order, C[C_ERROR], work.differences, scale, n)
    C[C_ORDER] = order
    factor = min(10.0, safety(C[C_ITERATIONS]) * best)
    if factor > 1.1 or factor < 0.95:
        C[C_STEP] *= factor
        stretch(factor, case, state, work)
