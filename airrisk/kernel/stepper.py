"""Advance a fire case in time: variable-order implicit steps with dense output and events.

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

from airrisk.kernel.difference_formulas import (
    error_constant,
    harmonic,
    interpolate,
    interpolate_few,
    kappa_of,
    rescale,
)
from airrisk.kernel.events import (
    apply_event,
    empty_below,
    event_count,
    event_space,
    event_value,
    hottest_wall,
    near_pressure,
    pressure_of,
    strength_use,
)
from airrisk.kernel.flames import turn_sources
from airrisk.kernel.jacobian import allowance, hold_differences, jacobian
from airrisk.kernel.layout import *
from airrisk.kernel.linear_algebra import newton_factors, newton_solve, scaled_norm
from airrisk.kernel.places import damage_place, first_patch, first_pool, state_count
from airrisk.kernel.pools import LAST_SHARE, STEAM_AS_AIR
from airrisk.kernel.rhs import (
    G_GAINED,
    G_GAINED_H,
    G_KEPT,
    G_LEAVES,
    G_LOST,
    G_OUT,
    G_P,
    G_Q,
    G_RHO,
    G_T,
    creep_rate,
    rates,
    turn_links,
)
from airrisk.physics.air_kernel import evaluate

HIGHEST_ORDER = 5
NEWTON_MOST = 6
MOST_AHEAD = 7
OPEN_TOTALS = 3e-10  # of the mass of a section in one step; a hundred times that of the energy
SMALLEST_STEP = 1e-10  # s
PEAK_FROM = 990.0  # K
PEAK_TO = 1025.0
PEAK_STEP = 3.0  # K a step
COOL_METAL = 573.15  # K, below it steel has its full strength (EN 1993-1-2, annex A)
HOTTEST_AIR = 1590.0  # K, of the air table; beyond it pressure goes as temperature
NO_MORE_DAMAGE = 1e-3  # what is left of the creep damage after a fire
INSIDE = 16  # places in a step at which the strength use is looked at

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
C_ORDER = 9
C_EQUAL = 10  # steps since the last change of step or order
C_FACTORED = 11  # step over leading coefficient for which the factors hold; 0: none
C_RATE = 12  # convergence rate of the last Newton iteration
C_EAGER = 13  # how many steps get a new Jacobian once an old one has failed
C_AHEAD = 14  # how many of them are still to come
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
K_DAMAGE = 8  # creep
K_COLUMNS = 9


def space_between(D, order, h, back, i, between, I):
    """Air and walls of one space, ``back`` seconds before the end of the last step."""
    interpolate_few(D, order, h, back, i, I[I_SPACES], 4, between)
    ints = I[I_I_SPACE] + i * SI_SIZE
    if I[ints + SI_PATCHES] > 0:
        first = first_patch(I) + I[ints + SI_PATCH]
        interpolate_few(D, order, h, back, first, 1, I[ints + SI_PATCHES], between)


def event_between(e, back, h, order, D, between, case, mode, G, air_table):
    """Value of an event ``back`` seconds before the end of the last step."""
    I = case.integers
    i = event_space(e, I)
    space_between(D, order, h, back, i, between, I)
    if e < I[I_PLUGS]:
        interpolate_few(D, order, h, back, 4 * I[I_SPACES] + e, 1, 1, between)
    interpolate_few(D, order, h, back, damage_place(I) + i, 1, 1, between)
    p = pressure_of(i, between, case, G, air_table)
    return event_value(e, p, between, case, mode)


def locate_event(e, h, order, D, between, case, mode, G, air_table):
    """Seconds before the end of the last step at which an event value passes zero."""
    low = h
    high = 0.0
    g_low = event_between(
        e, low, h, order, D, between, case, mode, G, air_table
    )  # fmt: skip
    g_high = event_between(
        e, high, h, order, D, between, case, mode, G, air_table
    )  # fmt: skip
    if g_low >= 0.0:
        return h
    side = 0
    for _ in range(60):
        back = (low * g_high - high * g_low) / (g_high - g_low)
        g = event_between(
            e, back, h, order, D, between, case, mode, G, air_table
        )  # fmt: skip
        if abs(g) < 1e-12 or low - high < 1e-10 * h:
            return back
        if g > 0.0:
            high = back
            g_high = g
            if side == 1:
                g_low *= 0.5
            side = 1
        else:
            low = back
            g_low = g
            if side == -1:
                g_high *= 0.5
            side = -1
    return high


def section_flows(f, y, n, spaces, case, G):
    """Put the rates of the cumulated flows and of the creep damage behind the state's own."""
    I = case.integers
    for k in range(n, n + SECTION_FLOWS):
        f[k] = 0.0
    for i in range(spaces):
        f[n + SECTION_FLOWS + i] = creep_rate(i, G[G_P, i], y, case)
        f[n] += G[G_OUT, i]
        f[n + 1] += G[G_LOST, i]
        f[n + 2] += G[G_GAINED, i]
        f[n + 3] += G[G_GAINED_H, i]
        f[n + 4] += G[G_Q, i]
    for w in range(I[I_POOLS]):
        i = I[I[I_I_POOL] + w * WI_SIZE + WI_SPACE]
        f[n + 5] += G[G_LEAVES, i] * y[first_pool(I) + POOL_STATES * w + 2] / STEAM_AS_AIR


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


def note_row(rows, t, y, mode, columns, spaces, G, out_t, out_y, out_mode):
    """Store one point of the output when there is room; temperature in place of energy."""
    if rows < out_t.shape[0]:
        out_t[rows] = t
        for k in range(columns):
            out_y[rows, k] = y[k]
        for i in range(spaces):
            out_y[rows, spaces + i] = G[G_T, i]
        for k in range(out_mode.shape[1]):
            out_mode[rows, k] = mode[k]
        return rows + 1
    return rows


def note_use(i, t, use, p, limit, PK):
    """Keep the worst strength use and pressure of a space; a rupture is a use of 1."""
    use = min(use, 1.0)
    if use > PK[i, K_PEAK_USE]:
        PK[i, K_PEAK_USE] = use
        PK[i, K_PEAK_USE_TIME] = t
    PK[i, K_PEAK_PRESSURE] = max(PK[i, K_PEAK_PRESSURE], p)
    if use >= limit and not PK[i, K_LIMIT_TIME] >= 0.0:
        PK[i, K_LIMIT_TIME] = t


def note_point(t_before, t, y, case, G, PK):
    """Keep what the accepted point at ``t`` says of every space."""
    F, I = case
    limit = F[F_LIMIT_USE]
    for i in range(I[I_SPACES]):
        use = strength_use(i, G[G_P, i], y, case)
        if use >= limit and not PK[i, K_LIMIT_TIME] >= 0.0 and use > PK[i, K_END_USE]:
            share = (limit - PK[i, K_END_USE]) / (use - PK[i, K_END_USE])
            PK[i, K_LIMIT_TIME] = t_before + max(share, 0.0) * (t - t_before)
        note_use(i, t, use, G[G_P, i], limit, PK)
        PK[i, K_END_USE] = use
        PK[i, K_LAST_GAS] = G[G_T, i]
        PK[i, K_DAMAGE] = y[damage_place(I) + i]
        G[G_KEPT, i] = G[G_P, i]


def eases(y, case, G, PK):
    """Whether use and air of every vessel fall since the last point."""
    I = case.integers
    for i in range(I[I_SPACES]):
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] != VESSEL:
            continue
        use = strength_use(i, G[G_P, i], y, case)
        if use > PK[i, K_END_USE] + 1e-12 or G[G_T, i] > PK[i, K_LAST_GAS] + 1e-9:
            return False
    return True


def hottest_vessel(y, case):
    """Temperature of the hottest metal of the vessels, K."""
    I = case.integers
    hottest = 0.0
    for i in range(I[I_SPACES]):
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL:
            hottest = max(hottest, hottest_wall(i, y, case))
    return hottest


def use_between(i, y, case, G, air_table):
    """Strength use of a space from the state alone."""
    I = case.integers
    if I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS] == 0:
        return 0.0
    return strength_use(i, pressure_of(i, y, case, G, air_table), y, case)


def next_stop(t, case, mode):
    """Time that a step must not pass.

    End of the fire, begin and end of a source of radiation, a node of the fire table, the end.
    """
    F, I = case
    if mode[0] == 0:
        return F[F_FIRE_END] + F[F_COOL_DOWN]
    stop = F[F_FIRE_END]
    for q in range(I[I_PATCHES]):
        at = I[I_F_PATCH] + q * Q_SIZE
        if t < F[at + Q_BEGINS] < stop:
            stop = F[at + Q_BEGINS]
        if t < F[at + Q_ENDS] < stop:
            stop = F[at + Q_ENDS]
    if I[I_CURVE] == CURVE_TABLE:
        for k in range(I[I_CURVE_POINTS]):
            node = F[I[I_F_CURVE] + 2 * k]
            if t < node < stop:
                return node
    if I[I_CURVE] == CURVE_SLOW and t < 1260.0 < stop:
        return 1260.0
    return stop


def ends_by_itself(t, falling, hottest, F):
    """Whether a run is over after the fire: use and air fall in every vessel, its metal is cool.

    ``hottest`` is the temperature of the hottest metal of the vessels, K. Whether a device has
    opened plays no part, so that a worse device can never look better by ending a run sooner.
    """
    if t >= F[F_FIRE_END] + F[F_COOL_DOWN]:
        return True
    return falling and hottest < COOL_METAL and t > F[F_FIRE_END] + 1.0


def is_settled(y, p, gas, falling, rho, peak, case, mode, air_table):
    """Whether nothing after the fire can change how a case of one space without feed ends.

    Its use and its air fall (``falling``); its strength use cannot pass the peak so far, were all
    its air as hot as its hottest metal, nor is any metal or plug hot enough to open a plug that is
    still shut.
    """
    F, I = case
    if not falling or I[I_SPACES] > 1 or I[I_FEEDS] > 0 or I[I_POOLS] > 0 or mode[0] == 1:
        return False
    hottest = max(hottest_wall(0, y, case), gas)
    for k in range(I[I_PLUGS]):
        hottest = max(hottest, y[4 + I[I_PLUGS] + k])
    if creep_rate(0, p, y, case) * F[F_COOL_DOWN] > NO_MORE_DAMAGE:
        return False
    plugs = I[I_PLUGS]
    for k in range(plugs):
        at = I[I_F_PLUG] + k * P_SIZE
        if mode[1 + k] == 1 or I[I[I_I_PLUG] + k * PI_SIZE + PI_ENABLED] == 0:
            continue
        if hottest > F[at + P_SOLIDUS] or y[4 + k] > F[at + P_HEAT_CAPACITY] * (
            F[at + P_SOLIDUS] - F[at + P_START]
        ):
            return False
    table_end = min(hottest, HOTTEST_AIR)
    most, _u, _cv, _dp, _h = evaluate(air_table, rho, table_end)
    return strength_use(0, max(most * hottest / table_end, p), y, case) <= peak


def pending_event(y, case, mode, G):
    """First event whose value is positive, or -1."""
    I = case.integers
    for e in range(event_count(I)):
        if event_value(e, G[G_P, event_space(e, I)], y, case, mode) > 0.0:
            return e
    return -1


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


def is_quiet(e, I, mode):
    """Whether an event changes nothing in the rates: emptied, or a closed valve lost to heat."""
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    first_space = plugs + 2 * reliefs + I[I_DISCS]
    if plugs + reliefs <= e < plugs + 2 * reliefs:
        return mode[1 + e - reliefs] == 0
    return first_space + I[I_SPACES] <= e < first_space + 2 * I[I_SPACES]


def all_emptied(I, mode):
    """Whether a run may stop because every vessel was emptied and nothing fills it again."""
    if I[I_STOP_WHEN_EMPTY] == 0 or I[I_FEEDS] > 0 or I[I_POOLS] > 0:
        return False
    first = 1 + I[I_PLUGS] + 2 * I[I_RELIEFS] + I[I_DISCS] + I[I_SPACES]
    for i in range(I[I_SPACES]):
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL and mode[first + i] == 0:
            return False
    return True


def is_spent(y, case, G):
    """Whether all water has boiled away and every vessel is empty, with nothing that feeds it."""
    F, I = case
    if I[I_STOP_WHEN_EMPTY] == 0 or I[I_FEEDS] > 0:
        return False
    for w in range(I[I_POOLS]):
        if y[first_pool(I) + POOL_STATES * w] > LAST_SHARE * F[I[I_F_POOL] + w * W_SIZE + W_MASS]:
            return False
    for i in range(I[I_SPACES]):
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL:
            start = F[I[I_F_SPACE] + i * S_SIZE + S_PRESSURE]
            if G[G_P, i] - F[F_AMBIENT_P] > empty_below(start, F):
                return False
    return True


def finite(values, n):
    """Whether all are numbers."""
    total = 0.0
    for k in range(n):
        total += abs(values[k])
    return total < 1e300


def look_inside(
    i, t_before, h, back_end, order, D, new, between, probe, case, G, PK, air_table
):  # fmt: skip
    """Note the worst strength use of a space inside the last step, up to ``back_end`` of its end.

    ``new`` is the state at the end of the step, ``between`` and ``probe`` are scratch. It is
    looked at closely where it may be the worst so far.
    """
    F, I = case
    limit = F[F_LIMIT_USE]
    length = h - back_end
    start = PK[i, K_END_USE]
    end = strength_use(i, G[G_P, i], new, case)
    if max(start, end) < 0.9 * PK[i, K_PEAK_USE] or PK[i, K_PEAK_USE] <= 0.0:
        return
    # the strength has corners at its nodes
    space_between(D, order, h, back_end + length, i, between, I)
    cooler = hottest_wall(i, between, case)
    hotter = hottest_wall(i, new, case)
    nodes = I[I_F_STRENGTH] + I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH]
    for k in range(I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS]):
        if cooler < F[nodes + 2 * k] < hotter:
            share = (hotter - F[nodes + 2 * k]) / (hotter - cooler)
            back = back_end + length * share
            space_between(D, order, h, back, i, between, I)
            use = use_between(i, between, case, G, air_table)
            if use < 1.0:
                note_use(i, t_before + h - back, use, 0.0, limit, PK)
    # whether it only rises or falls shows without the table: right at both ends, and near enough
    # between them
    space_between(D, order, h, back_end + length, i, between, I)
    off = G[G_KEPT, i] / near_pressure(i, between, case, G) - 1.0
    rising = True
    falling = True
    before = end
    for k in range(1, 4):
        space_between(D, order, h, back_end + 0.25 * k * length, i, between, I)
        p = near_pressure(i, between, case, G) * (1.0 + 0.25 * k * off)
        quarter = strength_use(i, p, between, case)
        rising = rising and quarter <= before
        falling = falling and quarter >= before
        before = quarter
    if (rising and start <= before) or (falling and start >= before):
        return
    for k in range(1, INSIDE):
        back = back_end + length * (1.0 - k / INSIDE)
        space_between(D, order, h, back, i, probe, I)
        use = use_between(i, probe, case, G, air_table)
        if use < 1.0:
            note_use(i, t_before + h - back, use, 0.0, limit, PK)


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


def predict(order, leading, D, columns, n, rtol, psi, new, scale, case, G):
    """State at the end of a step as the differences go on, and what the iteration compares with."""
    for k in range(columns):
        total = 0.0
        guess = D[0, k]
        share = 0.0
        for j in range(1, order + 1):
            share += 1.0 / j
            total += share * D[j, k]
            guess += D[j, k]
        psi[k] = total / leading
        new[k] = guess
        if k < n:
            scale[k] = rtol * allowance(k, guess, new, case, G)


def take_differences(order, D, change, columns):
    """Backward differences at the end of an accepted step."""
    for k in range(columns):
        D[order + 2, k] = change[k] - D[order + 1, k]
        D[order + 1, k] = change[k]
    for j in range(order, -1, -1):
        for k in range(columns):
            D[j, k] += D[j + 1, k]


def advance(case, state, work, tables, output, max_steps):
    """Take up to ``max_steps`` accepted steps; returns the status.

    All state lives in the arrays, so that a run can be continued. With one row of ``out_t``
    nothing is stored.
    """
    F, I = case
    mode, y, C, PK = state
    G, W, J, LU, pivot, D = work
    out_t, out_y, out_mode, events = output
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    n = state_count(I)
    columns = damage_place(I) + spaces
    store = out_t.shape[0] > 1
    f = W[0]
    new = W[1]
    between = W[2]
    change = W[3]
    rest = W[4]
    scale = W[5]
    psi = W[6]
    R = W[7:14]
    E = W[14:21]
    limit = F[F_LIMIT_USE]
    rtol = F[F_RTOL]
    newton_limit = max(1e-14 / rtol, 0.03)
    t = C[C_TIME]
    h = C[C_STEP]
    rows = int(C[C_ROWS])
    noted = int(C[C_EVENTS])
    evaluations = int(C[C_EVALUATIONS])
    steps = int(C[C_STEPS])
    rejected = int(C[C_REJECTED])
    order = int(C[C_ORDER])
    equal = int(C[C_EQUAL])
    factored = C[C_FACTORED]
    rate_kept = C[C_RATE]
    first_disc = plugs + 2 * reliefs
    first_space = first_disc + I[I_DISCS]
    status = RUNNING
    taken = 0
    forced = -1  # event that ended the last step
    # where an old Jacobian failed the next steps have a new one from the start
    eager = int(C[C_EAGER])
    ahead = int(C[C_AHEAD])
    t_before = t
    fresh = steps == 0  # something changed: look for events, store the point, begin anew
    while status == RUNNING and (fresh or taken < max_steps):
        if fresh:
            rates(t, y, f, case, mode, G, tables)
            evaluations += 1
            changed = False
            for _ in range(4 * event_count(I) + 4):
                e = forced if forced >= 0 else pending_event(y, case, mode, G)
                forced = -1
                if e < 0:
                    break
                noted = apply_event(e, y, case, mode, events, noted, t)
                changed = True
                if (e < plugs or first_disc <= e < first_space) and not C[C_FIRST_VENT] >= 0.0:
                    C[C_FIRST_VENT] = t
                if first_space <= e < first_space + spaces:
                    i = e - first_space
                    PK[i, K_RUPTURE_TIME] = t
                    # of a rupture by creep the use is what it is
                    if strength_use(i, G[G_P, i], y, case) > 1.0 - 1e-6:
                        note_use(i, t, max(1.0, PK[i, K_PEAK_USE]), G[G_P, i], limit, PK)
                    if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] == VESSEL:
                        status = RUPTURED
                if first_space + spaces <= e < first_space + 2 * spaces:
                    PK[e - first_space - spaces, K_EMPTY_TIME] = t
            if changed or I[I_LINKS] > 0:
                turn_links(case, mode, G)
                rates(t, y, f, case, mode, G, tables)
                evaluations += 1
            note_point(t_before, t, y, case, G, PK)
            if store:
                rows = note_row(rows, t, y, mode, columns, spaces, G, out_t, out_y, out_mode)
            section_flows(f, y, n, spaces, case, G)
            if not finite(f, columns):
                status = OUT_OF_RANGE
            # size of the first step from how fast the state moves
            for k in range(n):
                scale[k] = rtol * allowance(k, y[k], y, case, G)
            speed = scaled_norm(f, 1.0, scale, n)
            h = min(h, F[F_LARGEST_STEP], F[F_FIRST_STEP])
            if speed > 0.0:
                h = min(h, 30.0 / speed)
            h = max(h, 10.0 * SMALLEST_STEP)
            for k in range(columns):
                D[0, k] = y[k]
                D[1, k] = h * f[k]
                for j in range(2, HIGHEST_ORDER + 3):
                    D[j, k] = 0.0
            order = 1
            equal = 0
            rate_kept = 0.5
            evaluations += jacobian(t, y, f, J, n, between, rest, case, mode, G, tables)
            factored = 0.0
            fresh = False
            if changed and status == RUNNING and C[C_FIRST_VENT] >= 0.0 and all_emptied(I, mode):
                status = ENDED
            if status != RUNNING:
                break
        if store and rows + 3 + 2 * spaces + reliefs > out_t.shape[0]:
            status = BUFFER_FULL
            break
        if evaluations > I[I_BUDGET]:
            status = BUDGET_SPENT
            break
        stop = next_stop(t, case, mode)
        # 1: a new Jacobian where the iteration begins, 2: one at the last accepted point
        renew = 0
        renewed = False
        if ahead > 0:
            renew = 1
            ahead -= 1
        hits_stop = False
        error = 0.0
        iterations = 0
        while True:
            largest = min(F[F_LARGEST_STEP], narrow_step(y, D, h, case))
            if t + h > stop - 1e-9 * stop or h > largest:
                goal = min(stop - t, largest)
                if goal < stop - t and goal > (stop - t) * (1.0 - 1e-9):
                    goal = stop - t
                if h != goal:
                    rescale(D, order, goal / h, columns, R, E)
                    h = goal
                    equal = 0
            hits_stop = t + h >= stop - 1e-9 * stop
            leading = (1.0 - kappa_of(order)) * harmonic(order)
            c = h / leading
            predict(order, leading, D, columns, n, rtol, psi, new, scale, case, G)
            for k in range(n):
                change[k] = 0.0
            if spaces > 1:
                hold_differences(new, change, case, G, tables.air)
            if renew > 0:
                # of the state from which the iteration begins; failing that, where all is sound
                at, point = (t + h, new) if renew == 1 else (t, y)
                rates(at, point, f, case, mode, G, tables)
                evaluations += 1 + jacobian(
                    at, point, f, J, n, between, rest, case, mode, G, tables
                )
                factored = 0.0
                renew = 0
                renewed = True
            if factored != c:
                if newton_factors(LU, J, c, n, pivot, I) == 0:
                    status = STEP_TOO_SMALL
                    break
                factored = c
            converged = False
            size_before = 0.0
            iterations = 0
            for m in range(NEWTON_MOST):
                iterations = m + 1
                rates(t + h, new, f, case, mode, G, tables)
                evaluations += 1
                for k in range(n):
                    rest[k] = c * f[k] - psi[k] - change[k]
                newton_solve(LU, n, pivot, rest, I)
                size = scaled_norm(rest, 1.0, scale, n)
                if not size < 1e300:
                    break
                if m > 0:
                    rate = size / size_before
                    # the first rate may be that of a passing mode
                    if rate >= 1.0 or (
                        m > 1 and rate ** (NEWTON_MOST - m) / (1.0 - rate) * size > newton_limit
                    ):
                        break
                    rate_kept = max(0.3 * rate_kept, rate, 0.03)
                for k in range(n):
                    new[k] += rest[k]
                    change[k] += rest[k]
                if size == 0.0 or rate_kept / (1.0 - min(rate_kept, 0.9)) * size < newton_limit:
                    converged = True
                    break
                size_before = size
            if not converged:
                rejected += 1
                rate_kept = 0.5
                renew = 2
                if not renewed:
                    renew = 1
                    eager = min(2 * eager + 1, MOST_AHEAD)
                    ahead = eager
                    continue
                factor = 0.3
            else:
                if store:
                    # for the cumulated flows; else the pressures of the last iteration serve
                    rates(t + h, new, f, case, mode, G, tables)
                    evaluations += 1
                    for again in range(3):
                        # the flows between spaces are large against those of the section,
                        # whose balance is to close
                        if not open_totals(c, f, psi, change, new, case, G) > 1.0:
                            break
                        if again == 1:
                            evaluations += jacobian(
                                t + h, new, f, J, n, between, rest, case, mode, G, tables
                            )
                            factored = c if newton_factors(LU, J, c, n, pivot, I) == 1 else 0.0
                        if factored == 0.0:
                            break
                        for k in range(n):
                            rest[k] = c * f[k] - psi[k] - change[k]
                        newton_solve(LU, n, pivot, rest, I)
                        for k in range(n):
                            new[k] += rest[k]
                            change[k] += rest[k]
                        rates(t + h, new, f, case, mode, G, tables)
                        evaluations += 1
                section_flows(f, new, n, spaces, case, G)
                for k in range(n):
                    scale[k] = rtol * allowance(k, new[k], new, case, G)
                error = scaled_norm(change, error_constant(order), scale, n)
                if error <= 1.0 and finite(f, columns):
                    break
                rejected += 1
                safety = 0.9 * (2 * NEWTON_MOST + 1) / (2 * NEWTON_MOST + iterations)
                factor = 0.3
                if error > 1.0:
                    factor = max(0.2, safety * error ** (-1.0 / (order + 1.0)))
            h *= factor
            if h < SMALLEST_STEP:
                status = STEP_TOO_SMALL if finite(f, n) else OUT_OF_RANGE
                break
            rescale(D, order, factor, columns, R, E)
            equal = 0
        if status != RUNNING:
            break
        for k in range(n, columns):
            change[k] = c * f[k] - psi[k]
            new[k] += change[k]
        t_before = t
        t = stop if hits_stop else t + h
        steps += 1
        taken += 1
        if not renewed:
            eager = 0
        equal += 1
        take_differences(order, D, change, columns)
        # the first event inside the step ends it there
        cut = -1.0
        for e in range(event_count(I)):
            if event_value(e, G[G_P, event_space(e, I)], new, case, mode) > 0.0:
                back = locate_event(e, h, order, D, between, case, mode, G, tables.air)
                if back > cut and not is_quiet(e, I, mode):
                    cut = back
                    forced = e
        for e in range(event_count(I)):
            if not is_quiet(e, I, mode):
                continue
            if event_value(e, G[G_P, event_space(e, I)], new, case, mode) > 0.0:
                back = locate_event(e, h, order, D, between, case, mode, G, tables.air)
                if back <= cut:
                    continue
                if store:
                    interpolate(D, order, h, back, columns, between)
                    rates(t_before + h - back, between, f, case, mode, G, tables)
                    rows = note_row(
                        rows,
                        t_before + h - back,
                        between,
                        mode,
                        columns,
                        spaces,
                        G,
                        out_t,
                        out_y,
                        out_mode,
                    )
                    rates(t, new, f, case, mode, G, tables)
                    evaluations += 2
                noted = apply_event(e, y, case, mode, events, noted, t_before + h - back)
                if e >= first_space:
                    PK[e - first_space - spaces, K_EMPTY_TIME] = t_before + h - back
                    if C[C_FIRST_VENT] >= 0.0 and all_emptied(I, mode):
                        # nothing behind it counts
                        status = ENDED
                        cut = back
        for i in range(spaces):
            look_inside(
                i, t_before, h, max(cut, 0.0), order, D, new, between, rest, case, G, PK, tables.air
            )
        if cut >= 0.0:
            interpolate(D, order, h, cut, columns, y)
            t = max(t_before + h - cut, t_before)
            rates(t, y, f, case, mode, G, tables)
            if store:
                rows = note_row(rows, t, y, mode, columns, spaces, G, out_t, out_y, out_mode)
            fresh = True
        else:
            for k in range(columns):
                y[k] = new[k]
            turn_links(case, mode, G)
        if status != RUNNING:
            note_point(t_before, t, y, case, G, PK)
        elif cut < 0.0:
            falling = eases(y, case, G, PK)
            note_point(t_before, t, y, case, G, PK)
            if store:
                rows = note_row(rows, t, y, mode, columns, spaces, G, out_t, out_y, out_mode)
            if hits_stop and mode[0] == 1:
                fresh = True
                if t >= F[F_FIRE_END]:
                    mode[0] = 0
                    if noted < events.shape[0]:
                        events[noted, 0] = t
                        events[noted, 1] = E_FIRE_END
                        events[noted, 2] = -1
                        noted += 1
                turn_sources(t, case, mode)
            elif I[I_POOLS] > 0 and C[C_FIRST_VENT] >= 0.0 and is_spent(y, case, G):
                status = ENDED
            elif status == RUNNING and mode[0] == 0:
                peak = PK[0, K_PEAK_USE]
                if ends_by_itself(t, falling, hottest_vessel(y, case), F) or is_settled(
                    y, G[G_P, 0], G[G_T, 0], falling, G[G_RHO, 0], peak, case, mode, tables.air
                ):
                    status = ENDED
        if fresh or status != RUNNING or equal < order + 1:
            continue
        # best order and step for what follows
        safety = 0.9 * (2 * NEWTON_MOST + 1) / (2 * NEWTON_MOST + iterations)
        order, best = best_order(order, error, D, scale, n)
        factor = min(10.0, safety * best)
        if factor > 1.1 or factor < 0.95:
            h *= factor
            rescale(D, order, factor, columns, R, E)
            equal = 0
    C[C_TIME] = t
    C[C_STEP] = h
    C[C_ROWS] = rows
    C[C_EVENTS] = noted
    C[C_EVALUATIONS] = evaluations
    C[C_STEPS] = steps
    C[C_REJECTED] = rejected
    C[C_STATUS] = status
    C[C_ORDER] = order
    C[C_EQUAL] = equal
    C[C_FACTORED] = factored
    C[C_RATE] = rate_kept
    C[C_EAGER] = eager
    C[C_AHEAD] = ahead
    return status
