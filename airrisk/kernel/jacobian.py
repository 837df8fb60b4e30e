"""Jacobian of the rates by parts, and the state from which an iteration begins.

Every space, link, wall, plug and valve adds its own differences, joined by the chain rule
through temperature, pressure and enthalpy of the air.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.events import pressure_of
from airrisk.kernel.flames import flame_at
from airrisk.kernel.layout import *
from airrisk.kernel.linear_algebra import neighbour_of, pool_in
from airrisk.kernel.places import column_of, first_lift, first_pool, state_count
from airrisk.kernel.pools import STEAM_AS_AIR, STEAM_HEAT, pool_rates
from airrisk.kernel.rhs import (
    G_BEGINS,
    G_CV,
    G_DPT,
    G_ENTERS,
    G_H,
    G_H_M,
    G_HELD,
    G_KEPT,
    G_NEAR_LINK,
    G_NEAR_OUTLET,
    G_P,
    G_P_M,
    G_P_U,
    G_Q,
    G_RHO,
    G_T,
    G_T_M,
    G_T_U,
    LIFT_TIME,
    feed_flow,
    hottest_row,
    hottest_wall,
    lift_target,
    link_flow,
    takes_first,
    vent_flow,
    wall_rates,
)
from airrisk.physics.air_kernel import evaluate
from airrisk.physics.flow_kernel import LINEAR_BELOW


def allowance(k, value, y, case, G):
    """Size of one number of the state that its error is measured against."""
    F, I = case
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    size = abs(value)
    if k < spaces:
        return max(size, 0.2 * F[I[I_F_SPACE] + k * S_SIZE + S_VOLUME])
    if k < 2 * spaces:
        # heat content, free of the zero of the energy scale
        i = k - spaces
        mass = max(y[i], 0.2 * F[I[I_F_SPACE] + i * S_SIZE + S_VOLUME])
        return mass * 720.0 * G[G_T, i]
    if k < 4 * spaces or 4 * spaces + plugs <= k < first_lift(I):
        return size
    if k < 4 * spaces + plugs:
        return size + 300.0 * F[I[I_F_PLUG] + (k - 4 * spaces) * P_SIZE + P_HEAT_CAPACITY]
    pool = k - first_pool(I)
    if pool < 0:
        # the air that a small lift lets out for a long time decides
        return max(size, 0.01)
    w = pool // POOL_STATES
    if pool % POOL_STATES == 0:
        return max(size, 0.05 * F[I[I_F_POOL] + w * W_SIZE + W_MASS])
    if pool % POOL_STATES == 1:
        return size
    return 1.0


def perturbed(c, y, f, probe, case, G):
    """Move one number of the state a little in the direction of change; returns the step."""
    step = 1e-7 * allowance(c, y[c], y, case, G)
    if f[c] < 0.0:
        step = -step
    probe[c] = y[c] + step
    return probe[c] - y[c]


def takes_heat(k, I, mode):
    """Whether body and boss of a plug are reckoned: it is shut and does not follow the wall."""
    return mode[1 + k] == 0 and I[I[I_I_PLUG] + k * PI_SIZE + PI_FOLLOWS_WALL] == 0


def air_follows(i, y, case, G, air_table):
    """Put into ``G`` how temperature, pressure and enthalpy follow mass and energy of a space."""
    rho, gas, p, cv = G[G_RHO, i], G[G_T, i], G[G_P, i], G[G_CV, i]
    mass = y[i]
    denser, _, _, _, _ = evaluate(air_table, 1.0001 * rho, gas)
    p_rho = (denser - p) / (1e-4 * rho)
    u = y[case.integers[I_SPACES] + i] / mass
    G[G_T_M, i] = -(u + (p - gas * G[G_DPT, i]) / rho) / (mass * cv)
    G[G_T_U, i] = 1.0 / (mass * cv)
    for block in range(2):
        thinner = 1.0 - block
        G[G_P_M + block, i] = p_rho * rho / mass * thinner + G[G_DPT, i] * G[G_T_M + block, i]
        G[G_H_M + block, i] = (
            block - thinner * (u + p / rho) + G[G_P_M + block, i] * mass / rho
        ) / mass


def place_of_column(place, i, y, f, probe, case, mode, G):
    """Where a number of a space stands in the state, and the step by which it was moved there.

    ``place`` counts the two walls, then, behind two that are of the air, plugs, bosses and
    patches. Row -1 where these end; step 0 where there is nothing to be found.
    """
    F, I = case
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    if place < 2:
        c = (2 + place) * spaces + i
        there = F[I[I_F_SPACE] + i * S_SIZE + S_HOT_AREA + place] > 0.0
        return c, perturbed(c, y, f, probe, case, G) if there else 0.0
    k = I[I[I_I_OWN] + spaces + 1 + I[I[I_I_OWN] + i] + place - 4]
    if k >= 2 * plugs + I[I_PATCHES]:
        return -1, 0.0
    c = 4 * spaces + k
    there = k >= 2 * plugs or (
        takes_heat(k % plugs, I, mode)
        and (k < plugs or F[I[I_F_PLUG] + (k - plugs) * P_SIZE + P_BOSS_CAPACITY] > 0.0)
    )
    return c, perturbed(c, y, f, probe, case, G) if there else 0.0


def wall_columns(i, y, f, J, probe, slope, flame, case, mode, G):
    """What walls, plugs, bosses and patches of a space add to the Jacobian.

    Own columns first, then the temperature and the density of the air.
    """
    I = case.integers
    spaces = I[I_SPACES]
    rho, gas = G[G_RHO, i], G[G_T, i]
    burning = mode[0] == 1
    first = I[I_I_OWN] + spaces + 1 + I[I[I_I_OWN] + i]
    count = I[I[I_I_OWN] + i + 1] - I[I[I_I_OWN] + i]
    lifts = 2 * I[I_PLUGS] + I[I_PATCHES]
    for place in range(4 + count):
        c = -1
        step = 1e-5 * (gas if place == 2 else rho)
        if place < 2 or place >= 4:
            c, step = place_of_column(place, i, y, f, probe, case, mode, G)
            if c < 0:
                break
        if step == 0.0:
            continue
        warmer = gas + step if place == 2 else gas
        thicker = rho + step if place == 3 else rho
        heat = wall_rates(i, warmer, thicker, flame, burning, probe, slope, case, mode)
        for target in range(-1, 2 + count):
            row = (2 + target) * spaces + i
            change = (heat - G[G_Q, i]) / step
            if target >= 2:
                if I[first + target - 2] >= lifts:
                    break
                row = 4 * spaces + I[first + target - 2]
            if target >= 0:
                change = (slope[row] - f[row]) / step
            if place == 2:
                J[row, 0] += change * G[G_T_M, i]
                J[row, 1] += change * G[G_T_U, i]
            elif place == 3:
                J[row, 0] += change * rho / y[i]
            else:
                J[row, 2 + place if place < 2 else place] = change
        if c >= 0:
            probe[c] = y[c]


def vent_columns(i, y, J, case, mode, G, flow_table):
    """What the flow to the atmosphere adds to the Jacobian; returns that flow, kg/s."""
    F, I = case
    spaces = I[I_SPACES]
    rho, gas, p, h = G[G_RHO, i], G[G_T, i], G[G_P, i], G[G_H, i]
    near = G[G_NEAR_OUTLET:]
    out = vent_flow(i, p, rho, gas, y, case, mode, flow_table, near)
    if not out > 0.0:
        return out
    # the last of a flow is bent
    step = min(1e-6 * p, 1e-4 + 1e-2 * (p - F[F_AMBIENT_P]))
    by_p = (vent_flow(i, p + step, rho, gas, y, case, mode, flow_table, near) - out) / step
    step = 1e-6
    by_rho = vent_flow(i, p, rho + step * rho, gas, y, case, mode, flow_table, near) - out
    by_t = vent_flow(i, p, rho, gas + step * gas, y, case, mode, flow_table, near) - out
    for block in range(2):
        change = (
            by_p * G[G_P_M + block, i]
            + by_rho / step * (1.0 - block) / y[i]
            + by_t / step * G[G_T_M + block, i] / gas
        )
        J[i, block] -= change
        J[spaces + i, block] -= change * h + out * G[G_H_M + block, i]
    return out


def lift_columns(i, out, y, J, probe, case, mode, G, flow_table):
    """What the lifts of relief valves add to the Jacobian; ``out`` leaves the space, kg/s."""
    F, I = case
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    rho, gas, p, h = G[G_RHO, i], G[G_T, i], G[G_P, i], G[G_H, i]
    first = I[I_I_OWN] + spaces + 1 + I[I[I_I_OWN] + i]
    for place in range(I[I[I_I_OWN] + i + 1] - I[I[I_I_OWN] + i]):
        valve = I[first + place] - 2 * plugs - I[I_PATCHES]
        if valve < 0 or valve >= I[I_RELIEFS] or mode[1 + plugs + valve] == 0:
            continue
        c = first_lift(I) + valve
        set_gauge = F[I[I_F_RELIEF] + valve * R_SIZE + R_SET]
        gauge = p - F[F_AMBIENT_P]
        target = lift_target(y[c], gauge, set_gauge)
        # finer than the lag behind the lines on which the lift moves
        step = 1e-10 * set_gauge
        by_p = (lift_target(y[c], gauge + step, set_gauge) - target) / (step * LIFT_TIME)
        J[c, 0] = by_p * G[G_P_M, i]
        J[c, 1] = by_p * G[G_P_U, i]
        step = 1e-10 if y[c] < 0.5 else -1e-10
        J[c, 4 + place] = (
            (lift_target(y[c] + step, gauge, set_gauge) - target) / step - 1.0
        ) / LIFT_TIME
        probe[c] = y[c] + step
        more = vent_flow(i, p, rho, gas, probe, case, mode, flow_table, G[G_NEAR_OUTLET:])
        change = (more - out) / step
        J[i, 4 + place] = -change
        J[spaces + i, 4 + place] = -change * h
        probe[c] = y[c]


def feed_columns(i, y, J, case, mode, G):
    """What the compressors of a space add to the Jacobian."""
    F, I = case
    spaces = I[I_SPACES]
    p = G[G_P, i]
    first = 1 + I[I_PLUGS] + 2 * I[I_RELIEFS] + I[I_DISCS] + 2 * spaces
    for feed in range(I[I_FEEDS]):
        state = mode[first + feed]
        if state > 0 and I[I[I_I_FEED] + feed * CI_SIZE + CI_SPACE] == i:
            more = feed_flow(feed, state, p + 1e-6 * p, case) - feed_flow(feed, state, p, case)
            for block in range(2):
                change = more * 1e6 / p * G[G_P_M + block, i]
                J[i, block] += change
                J[spaces + i, block] += change * F[I[I_F_FEED] + feed * C_SIZE + C_ENTHALPY]
                if I[I_POOLS] > 0:
                    thin_vapour(i, i, block, change, y, J, I)


def space_columns(i, t, y, f, J, probe, slope, case, mode, G, tables):
    """What walls, plugs, valves, water and feeds of one space add to the Jacobian.

    Leaves in ``G`` how temperature, pressure and enthalpy follow mass and energy.
    """
    F, I = case
    air_follows(i, y, case, G, tables.air)
    burning = mode[0] == 1
    flame = F[F_AMBIENT_T]
    if burning and I[I_CURVE] != CURVE_FLUX:
        flame = flame_at(t, case)
    wall_columns(i, y, f, J, probe, slope, flame, case, mode, G)
    out = vent_columns(i, y, J, case, mode, G, tables.flow)
    first = I[I_I_OWN] + I[I_SPACES] + 1 + I[I[I_I_OWN] + i]
    pools = 2 * I[I_PLUGS] + I[I_PATCHES] + I[I_RELIEFS]
    for place in range(I[I[I_I_OWN] + i + 1] - I[I[I_I_OWN] + i]):
        k = I[first + place] - pools
        if k >= 0 and k % POOL_STATES == 0:
            pool_columns(k // POOL_STATES, i, 4 + place, y, J, flame, burning, case, mode, G)
    lift_columns(i, out, y, J, probe, case, mode, G, tables.flow)
    feed_columns(i, y, J, case, mode, G)


def pool_columns(w, i, column, y, J, flame, burning, case, mode, G):
    """What the pool of a space adds to the Jacobian; its own numbers begin in ``column``."""
    F, I = case
    spaces = I[I_SPACES]
    row = first_pool(I) + POOL_STATES * w
    gas = G[G_T, i]
    hottest = hottest_wall(i, y, case)
    mass = y[i]
    p = G[G_P, i]
    entering = G[G_ENTERS, i]
    steam, warming, sharing = pool_rates(
        w, y[row], y[row + 1], y[row + 2], mass, p, gas, hottest, entering, flame, burning, case,
        mode,
    )  # fmt: skip
    warmed = STEAM_HEAT * (y[row + 1] - gas)
    # of a wall of one zone the other, which is not there, may be named: as good a Jacobian
    metal = 2 if y[2 * spaces + i] >= y[3 * spaces + i] else 3
    if I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCHES] > 0:
        metal = column_of(hottest_row(i, y, case), i, I)
    # liquid, its temperature, share, then mass, temperature, hottest metal, pressure of the space
    for number in range(7):
        size = F[I[I_F_POOL] + w * W_SIZE + W_MASS]
        if number in (1, 4, 5):
            size = gas
        elif number == 2:
            size = 1.0
        elif number == 3:
            size = mass
        elif number == 6:
            size = p
        step = 1e-6 * size
        more, hotter, thicker = pool_rates(
            w, y[row] + (step if number == 0 else 0.0),
            y[row + 1] + (step if number == 1 else 0.0),
            y[row + 2] + (step if number == 2 else 0.0), mass + (step if number == 3 else 0.0),
            p + (step if number == 6 else 0.0), gas + (step if number == 4 else 0.0),
            hottest + (step if number == 5 else 0.0), entering, flame, burning, case, mode,
        )  # fmt: skip
        by_steam = (more - steam) / step
        by_energy = STEAM_AS_AIR * (by_steam * (G[G_H, i] + warmed))
        if number == 1:
            by_energy += STEAM_AS_AIR * steam * STEAM_HEAT
        elif number == 4:
            by_energy -= STEAM_AS_AIR * steam * STEAM_HEAT
        for block in range(2):
            c = block
            factor = G[G_T_M + block, i]
            if number < 3:
                c = column + number
                factor = 1.0 - block
            elif number == 3:
                factor = 1.0 - block
            elif number == 5:
                c = metal
                factor = 1.0 - block
            elif number == 6:
                factor = G[G_P_M + block, i]
            J[row, c] -= factor * by_steam
            J[row + 1, c] += factor * (hotter - warming) / step
            J[row + 2, c] += factor * (thicker - sharing) / step
            J[i, c] += factor * STEAM_AS_AIR * by_steam
            J[spaces + i, c] += factor * by_energy
    for block in range(2):
        J[spaces + i, block] += STEAM_AS_AIR * steam * G[G_H_M + block, i]


def thin_vapour(receiver, i, block, more, y, J, I):
    """How the vapour over the pool of a space follows the air of a space, through what flows in.

    ``more`` is the change of the flow into ``receiver`` with the mass or energy of space ``i``.
    """
    w = pool_in(receiver, I)
    if w < 0:
        return
    row = first_pool(I) + POOL_STATES * w + 2
    column = block
    if i != receiver:
        ints = I[I_I_POOL] + w * WI_SIZE
        for number in range(I[ints + WI_COUNT]):
            if I[neighbour_of(w, number, I)] == i:
                column = I[ints + WI_COLUMN] + 2 * number + block
    J[row, column] -= more * y[row] / y[receiver]


def link_columns(k, y, J, case, mode, G, flow_table):
    """What one link adds to the Jacobian.

    The change with the difference of the pressures is one number for both ends, so that what
    moves both together moves no air.
    """
    F, I = case
    spaces = I[I_SPACES]
    a = I[I[I_I_LINK] + k * LI_SIZE + LI_FROM]
    b = I[I[I_I_LINK] + k * LI_SIZE + LI_TO]
    p_a, rho_a, t_a = G[G_P, a], G[G_RHO, a], G[G_T, a]
    p_b, rho_b, t_b = F[F_AMBIENT_P], 0.0, 0.0
    if b >= 0:
        p_b, rho_b, t_b = G[G_P, b], G[G_RHO, b], G[G_T, b]
    first = takes_first(k, p_a - p_b, I, mode)
    source = a if first else b
    near = G[G_NEAR_LINK]
    flow = link_flow(k, first, p_a, rho_a, t_a, p_b, rho_b, t_b, case, flow_table, near)
    step = 1e-4 + 1e-2 * abs(p_a - p_b)
    if p_a < p_b:
        step = -step
    more = link_flow(k, first, p_a + step, rho_a, t_a, p_b, rho_b, t_b, case, flow_table, near)
    if source < 0 or (flow == 0.0 and more == 0.0):
        return
    by_difference = (more - flow) / step
    step = 1e-5
    size = 1.0 + step
    both = step * G[G_P, source]
    by_p = link_flow(
        k, first, p_a + both, rho_a, t_a, p_b + both, rho_b, t_b, case, flow_table, near
    ) - flow  # fmt: skip
    by_rho = link_flow(
        k, first, p_a, rho_a * size, t_a, p_b, rho_b * size, t_b, case, flow_table, near
    ) - flow  # fmt: skip
    by_t = link_flow(
        k, first, p_a, rho_a, t_a * size, p_b, rho_b, t_b * size, case, flow_table, near
    ) - flow  # fmt: skip
    blocks = state_count(I)
    there = blocks + I[I[I_I_LINK] + k * LI_SIZE + LI_THERE]
    back = blocks + I[I[I_I_LINK] + k * LI_SIZE + LI_BACK]
    for end in range(1 if b < 0 else 2):
        i = a if end == 0 else b
        for block in range(2):
            change = by_difference * G[G_P_M + block, i]
            if end == 1:
                change = (by_p / both - by_difference) * G[G_P_M + block, i]
            carried = 0.0
            if i == source:
                change += by_t / (step * G[G_T, i]) * G[G_T_M + block, i]
                if block == 0:
                    change += by_rho / (
                        step * F[I[I_F_SPACE] + i * S_SIZE + S_VOLUME] * G[G_RHO, i]
                    )
                carried = flow * G[G_H_M + block, i]
            carried += change * G[G_H, source]
            if b >= 0 and I[I_POOLS] > 0:
                thin_vapour(b if first else a, i, block, change if first else -change, y, J, I)
            if end == 0:
                J[a, block] -= change
                J[spaces + a, block] -= carried
                if b >= 0:
                    J[back, block] += change
                    J[back, 2 + block] += carried
            else:
                J[there, block] -= change
                J[there, 2 + block] -= carried
                J[b, block] += change
                J[spaces + b, block] += carried


def jacobian(t, y, f, J, n, probe, slope, case, mode, G, tables):
    """Jacobian of ``rates``, laid out by spaces; ``G`` must hold what that found for ``y``.

    Differences of the parts, joined by the chain rule. Returns its work in uses of ``rates``.
    """
    I = case.integers
    for r in range(n):
        probe[r] = y[r]
    for r in range(J.shape[0]):
        for c in range(J.shape[1]):
            J[r, c] = 0.0
    for i in range(I[I_SPACES]):
        space_columns(i, t, y, f, J, probe, slope, case, mode, G, tables)
    for k in range(I[I_LINKS]):
        link_columns(k, y, J, case, mode, G, tables.flow)
    return 4


def hold_differences(new, change, case, G, air_table):
    """Begin the iteration with the small pressure differences of the last accepted point.

    Between spaces that stand close to each other or to the atmosphere the flow sets the
    difference, which is far smaller than the error that a step may have; the extrapolated state
    knows nothing of it, and the flows are bent there.
    """
    F, I = case
    spaces = I[I_SPACES]
    for i in range(spaces):
        G[G_BEGINS, i] = 0.0  # found where it is asked for
        G[G_HELD, i] = 0.0
    # the atmosphere holds its neighbours first
    for k in range(-spaces, I[I_LINKS]):
        moved = k + spaces
        other = -1
        if k >= 0:
            ends = I[I_I_LINK] + k * LI_SIZE
            moved = I[ends + LI_FROM]
            other = I[ends + LI_TO]
            if other < 0:
                continue
            falls = G[G_KEPT, moved] >= G[G_KEPT, other]
            if I[ends + (LI_FORWARD if falls else LI_BACKWARD)] == 0:
                continue
            free = I[I_F_SPACE] + S_VOLUME
            smaller = F[free + moved * S_SIZE] < F[free + other * S_SIZE]
            if G[G_HELD, moved] > 0.0 or (G[G_HELD, other] <= 0.0 and not smaller):
                moved, other = other, moved
        kept = F[F_AMBIENT_P] if other < 0 else G[G_KEPT, other]
        difference = G[G_KEPT, moved] - kept
        if G[G_HELD, moved] > 0.0 or not abs(difference) < LINEAR_BELOW:
            continue
        goal = F[F_AMBIENT_P] + difference
        if other >= 0:
            if G[G_BEGINS, other] == 0.0:
                G[G_BEGINS, other] = pressure_of(
                    other, new, case, G, air_table
                )  # fmt: skip
            goal = G[G_BEGINS, other] + difference
        share = goal / pressure_of(moved, new, case, G, air_table) - 1.0
        if abs(share) < 1e-3:
            for block in range(2):
                step = share * new[block * spaces + moved]
                new[block * spaces + moved] += step
                change[block * spaces + moved] += step
            G[G_BEGINS, moved] = goal
            G[G_HELD, moved] = 1.0
            if other >= 0:
                G[G_HELD, other] = 1.0
