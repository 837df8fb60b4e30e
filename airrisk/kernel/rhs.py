"""Rates of change of a fire case: heat, flow and the balances of each gas space.

The air of a space is carried as mass and internal energy, so that the flows between spaces
cancel exactly; its temperature follows from the table. Scalar functions in the subset that
numba compiles; the same text runs interpreted. ``F`` and ``I`` hold the case (see ``layout``),
``mode`` the discrete states, ``G`` scratch by gas space, ``AIR_`` the air
table, ``FLOW_`` that of critical flow.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.kernel.flames import (
    COOLING_CONVECTION,
    covered_flux,
    flame_at,
    patch_flux,
    wall_flux,
    zone_flux,
    zone_loss,
)
from airrisk.kernel.layout import *
from airrisk.kernel.places import first_lift, first_link, first_patch, first_pool, patch_row
from airrisk.kernel.pools import STEAM_AS_AIR, STEAM_HEAT, pool_rates
from airrisk.physics.air_kernel import evaluate
from airrisk.physics.creep_kernel import damage_rate
from airrisk.physics.flow_kernel import (
    LINEAR_BELOW,
    OUTLET_ROWS,
    pipe_mass_flow,
    piped_outlet_flow,
    throat_mass_flux,
)
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN, convection_coefficient, inner_radiation
from airrisk.physics.metal_kernel import heat_capacity
from airrisk.physics.transport_kernel import dilute_viscosity

# scratch by gas space, G[row, space]
G_RHO = 0
G_P = 1
G_CV = 2
G_DPT = 3
G_H = 4
G_Q = 5  # W into the air
G_DM = 6  # kg/s
G_E = 7  # W, sum of m_in (h_in - h)
G_KEPT = 9  # Pa, at the last accepted point
G_HELD = 10  # whether the start of an iteration was adjusted
G_LEAVES = 8  # kg/s, all that flows out of the space, into other spaces too
G_OUT = 11  # kg/s through devices and openings to the atmosphere
G_LOST = 12  # W, enthalpy flow out of the section
G_GAINED = 13  # kg/s from compressors
G_GAINED_H = 14  # W from compressors
G_T = 15  # K, temperature of the air; the next search starts from it
# change of temperature, pressure and enthalpy with the mass and with the energy of a space
G_T_M = 16
G_T_U = 17
G_P_M = 18
G_P_U = 19
G_H_M = 20
G_H_U = 21
G_ENTERS = 22  # kg/s, all that flows in from other spaces and compressors
G_BEGINS = 23  # Pa, at the start of an iteration
G_EASE = 24  # what the air may be off, over what is usual
# by link, then by plug: from what the next search of a flow begins; 0: from nothing
G_NEAR_LINK = 25
G_NEAR_OUTLET = 26
G_ROWS = G_NEAR_OUTLET + OUTLET_ROWS

# a plug whose core's phase is followed; its mode is else 0 closed, 1 open
SOLID = 2
MELTING = 3
MOLTEN = 4
LIFT_BAND = 0.1  # of the set gauge pressure
LIFT_TIME = 0.05  # s
REVERSAL = 20.0  # Pa, below it a link keeps its direction for the length of a step
CYCLES = 20  # changes of a compressor, then it is taken to hold its pressure
HOLDING_SHARE = 0.1  # of the span from cut-in to cut-out, above cut-out


def plug_temperature(F, at, enthalpy, phase):
    """Temperature of a plug body from its enthalpy above the start, K.

    ``phase`` SOLID, MELTING or MOLTEN: by the line of this phase, beyond its ends as well, which
    a step can follow without a corner; else by the phase that belongs to the enthalpy.
    """
    capacity = F[at + P_HEAT_CAPACITY]
    temperature = F[at + P_START] + enthalpy / capacity
    solidus = F[at + P_SOLIDUS]
    if phase == SOLID or (phase < SOLID and temperature <= solidus):
        return temperature
    span = F[at + P_LIQUIDUS] - solidus
    excess = enthalpy - capacity * (solidus - F[at + P_START])
    whole = F[at + P_LATENT] + capacity * span
    if phase == MELTING or (phase < SOLID and excess < whole):
        return solidus + span * excess / max(whole, 1e-9)
    return solidus + span + (excess - whole) / capacity


def melting_enthalpy(F, at):
    """Enthalpy above the start at which the core begins to melt, J."""
    return F[at + P_HEAT_CAPACITY] * (F[at + P_SOLIDUS] - F[at + P_START])


def opening_enthalpy(F, at):
    """Enthalpy above the start at which all of the core is molten, J."""
    return F[at + P_HEAT_CAPACITY] * (F[at + P_LIQUIDUS] - F[at + P_START]) + F[at + P_LATENT]


def lift_target(share, gauge, set_gauge):
    """Lift a relief valve moves to: between its opening and its closing line."""
    band = LIFT_BAND * set_gauge
    opening = min(max((gauge - set_gauge) / band, 0.0), 1.0)
    closing = min(max((gauge - set_gauge) / band + 1.0, 0.0), 1.0)
    return min(max(share, opening), closing)


def plug_flow(F, at, p, rho, temperature, flow_table, near, k):
    """Flow through an open plug, kg/s; ``near`` holds in column ``k`` what its pipe did last."""
    throat = F[at + P_AREA] * F[at + P_COEFFICIENT]
    back = F[F_AMBIENT_P]
    if F[at + P_PIPE_DIAMETER] > 0.0:
        return piped_outlet_flow(
            flow_table, p, rho, temperature, dilute_viscosity(temperature), back, throat,
            F[at + P_PIPE_LENGTH], F[at + P_PIPE_DIAMETER], near, k,
        )  # fmt: skip
    flux = throat_mass_flux(flow_table, p, rho, temperature, back)
    return throat * flux


def vent_flow(space, p, rho, temperature, y, case, mode, flow_table, near):
    """Flow out of a space to the atmosphere through its devices and a full-bore break, kg/s.

    ``near`` has a column for each plug: from what the search of the flow of its pipe begins.
    The last 100 Pa go to zero without a corner, so that a space that only breathes through a
    wide opening stands at the atmosphere.
    """
    F, I = case
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    first = 2 * plugs + I[I_PATCHES]
    back = F[F_AMBIENT_P]
    if p <= back:
        return 0.0
    ending = 1.0
    if p - back < LINEAR_BELOW:
        share = (p - back) / LINEAR_BELOW
        ending = share * share * (2.0 - share)
        p = back + LINEAR_BELOW
    flow = 0.0
    area = 0.0
    own = I[I_I_OWN] + spaces + 1
    for place in range(I[I[I_I_OWN] + space], I[I[I_I_OWN] + space + 1]):
        k = I[own + place]
        if k < plugs:
            if mode[1 + k] != 1:
                continue
            at = I[I_F_PLUG] + k * P_SIZE
            if F[at + P_PIPE_DIAMETER] > 0.0:
                flow += plug_flow(F, at, p, rho, temperature, flow_table, near, k)
            else:
                area += F[at + P_AREA] * F[at + P_COEFFICIENT]
        elif first <= k < first + reliefs:
            at = I[I_F_RELIEF] + (k - first) * R_SIZE
            lift = y[4 * spaces + k]
            if lift > 0.0:
                area += min(lift, 1.0) * F[at + R_AREA] * F[at + R_COEFFICIENT]
    for d in range(I[I_DISCS]):
        if (
            mode[1 + plugs + 2 * reliefs + d] == 1
            and I[I[I_I_DISC] + d * DI_SIZE + DI_SPACE] == space
        ):
            at = I[I_F_DISC] + d * D_SIZE
            area += F[at + D_AREA] * F[at + D_COEFFICIENT]
    if mode[1 + plugs + 2 * reliefs + I[I_DISCS] + space] == 1:
        area += F[I[I_F_SPACE] + space * S_SIZE + S_BORE_AREA]
    if area > 0.0:
        flux = throat_mass_flux(flow_table, p, rho, temperature, back)
        flow += area * flux
    return ending * flow


def takes_first(k, difference, I, mode):
    """Whether the air that passes a link is that of its first end.

    Near equal pressures the direction of the last step holds, so that the equations have no
    corner inside a step.
    """
    if abs(difference) < REVERSAL:
        return mode[first_link(I) + k] == 0
    return difference > 0.0


def turn_links(case, mode, G):
    """Set the kept direction of every link to that of its pressure difference."""
    F, I = case
    for k in range(I[I_LINKS]):
        ends = I[I_I_LINK] + k * LI_SIZE
        p_b = F[F_AMBIENT_P]
        if I[ends + LI_TO] >= 0:
            p_b = G[G_P, I[ends + LI_TO]]
        backward = G[G_P, I[ends + LI_FROM]] < p_b and I[ends + LI_BACKWARD] == 1
        mode[first_link(I) + k] = 1 if backward or I[ends + LI_FORWARD] == 0 else 0


def link_flow(k, from_first, p_a, rho_a, t_a, p_b, rho_b, t_b, case, flow_table, near):
    """Flow of a link from its first to its second end, kg/s.

    ``near`` has a column for each link: from what the search of its flow begins.
    A non-return valve lifts off its seat with the first 100 Pa: its flow begins without a
    corner and it passes nothing backwards.
    """
    F, I = case
    at = I[I_F_LINK] + k * L_SIZE
    ends = I[I_I_LINK] + k * LI_SIZE
    if I[ends + (LI_FORWARD if p_a >= p_b else LI_BACKWARD)] == 0:
        return 0.0
    temperature = t_a if from_first else t_b
    flow, end, near[k] = pipe_mass_flow(
        flow_table, max(p_a, p_b), rho_a if from_first else rho_b, temperature,
        dilute_viscosity(temperature), min(p_a, p_b), F[at + L_LENGTH], F[at + L_DIAMETER],
        F[at + L_LOSS], near[k],
    )  # fmt: skip
    lifted = abs(p_a - p_b) / LINEAR_BELOW
    if lifted < 1.0 and I[ends + LI_TO] >= 0 and I[ends + LI_FORWARD] + I[ends + LI_BACKWARD] == 1:
        flow *= lifted * (2.0 - lifted)
    return flow if p_a >= p_b else -flow


def feed_flow(c, state, p, case):
    """Flow of a compressor, kg/s; ``state`` counts its starts and stops.

    One that has started and stopped many times would go on doing so; it is taken to hold the
    pressure at its cut-out or just above, which is never less than cycling gives.
    """
    F, I = case
    at = I[I_F_FEED] + c * C_SIZE
    if state < CYCLES:
        return F[at + C_FLOW] * (state % 2)
    span = HOLDING_SHARE * (F[at + C_CUT_OUT] - F[at + C_CUT_IN])
    return F[at + C_FLOW] * min(max(1.0 - (p - F[at + C_CUT_OUT]) / span, 0.0), 1.0)


def near_temperature(i, rho, energy, G):
    """Temperature of the air of a space near its last known state, K, to first order.

    ``rho`` [kg/m3] and ``energy`` [J/kg] are those wanted; with the last rates, ``G`` holds where
    they were found.
    """
    last = G[G_T, i]
    cv = G[G_CV, i]
    if not cv > 0.0:
        return last
    known, p = G[G_RHO, i], G[G_P, i]
    by_density = (p - last * G[G_DPT, i]) / (known * known)
    more = energy - (G[G_H, i] - p / known) - by_density * (rho - known)
    return min(max(last + more / cv, 0.5 * last), 2.0 * last)


def gas_state(air_table, rho, energy, guess):
    """Temperature of the air from density and internal energy, with what goes with it.

    Returns T [K], p [Pa], cv [J/kg/K], dp/dT [Pa/K] and h [J/kg]; NaN outside the table.
    """
    temperature = guess
    again = True
    for _ in range(30):
        p, u, cv, dp_dt, h = evaluate(air_table, rho, temperature)
        change = (energy - u) / cv
        if abs(change) <= 3e-5 * temperature:
            # within 1e-10 of the exact value
            return (
                temperature + change,
                p + dp_dt * change,
                cv,
                dp_dt,
                h + (cv + dp_dt / rho) * change,
            )
        if not abs(change) < 1e300:
            if not again:
                break
            # a guess left behind by a rejected step; the search comes down safely from here
            again = False
            temperature = 1000.0
            continue
        temperature = min(max(temperature + change, 0.5 * temperature), 2.0 * temperature)
    return math.nan, math.nan, math.nan, math.nan, math.nan


def hottest_row(i, y, case):
    """Place in the state of the temperature of the hottest patch of a space."""
    F, I = case
    spaces = I[I_SPACES]
    at = I[I_F_SPACE] + i * S_SIZE
    row = 2 * spaces + i
    if F[at + S_HOT_AREA] <= 0.0 or (F[at + S_COLD_AREA] > 0.0 and y[row + spaces] > y[row]):
        row += spaces
    ints = I[I_I_SPACE] + i * SI_SIZE
    if I[ints + SI_PATCHES] > 0:
        first = first_patch(I) + I[ints + SI_PATCH]
        if F[at + S_HOT_AREA] + F[at + S_COLD_AREA] <= 0.0:
            row = first
        for k in range(first, first + I[ints + SI_PATCHES]):
            if y[k] > y[row]:
                row = k
    return row


def hottest_wall(i, y, case):
    """Temperature of the hottest patch of the wall of a space, K."""
    return y[hottest_row(i, y, case)]


def creep_rate(i, p, y, case):
    """Creep damage of the hottest metal of a space, 1/s.

    The stress is that which the burst pressure counts with: shape, seams and heads as there.
    """
    F, I = case
    at = I[I_F_SPACE] + i * S_SIZE
    if I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS] == 0:
        return 0.0
    return damage_rate(
        (p - F[F_AMBIENT_P]) / F[at + S_BURST_FACTOR], hottest_wall(i, y, case), F[at + S_CREEP],
        F[at + S_CREEP + 1], F[at + S_CREEP + 2], F[at + S_CREEP + 3], F[at + S_CREEP + 4],
    )  # fmt: skip


def add_steam(y, dy, flame, burning, case, mode, G):
    """Rates of the pools, and what their steam adds to the balance of its space."""
    I = case.integers
    for w in range(I[I_POOLS]):
        i = I[I[I_I_POOL] + w * WI_SIZE + WI_SPACE]
        row = first_pool(I) + POOL_STATES * w
        steam, dy[row + 1], dy[row + 2] = pool_rates(
            w, y[row], y[row + 1], y[row + 2], y[i], G[G_P, i], G[G_T, i],
            hottest_wall(i, y, case), G[G_ENTERS, i], flame, burning, case, mode,
        )  # fmt: skip
        dy[row] = -steam
        joining = STEAM_AS_AIR * steam
        warmed = STEAM_HEAT * (y[row + 1] - G[G_T, i])
        G[G_DM, i] += joining
        G[G_E, i] += joining * warmed
        G[G_GAINED, i] += joining
        G[G_GAINED_H, i] += joining * (G[G_H, i] + warmed)


def outside_convection(i, burning, case):
    """Heat transfer from the flames to a wall, W/m2/K; the hot gases are gone after the fire."""
    F, I = case
    outside = F[I[I_F_SPACE] + i * S_SIZE + S_CONVECTION]
    return outside if burning else min(outside, COOLING_CONVECTION)


def patch_convection(q, burning, case):
    """Heat transfer outside a further patch, W/m2/K; hot gases are gone after the fire."""
    F, I = case
    outside = F[I[I_F_PATCH] + q * Q_SIZE + Q_CONVECTION]
    return outside if burning else min(outside, COOLING_CONVECTION)


def boss_flux(i, k, temperature, flame, burning, case, mode):
    """Heat into the outer surface of the boss of a plug, W/m2: as into the wall around it.

    Under insulation as well, even where the head stands free of it: it warms the later.
    """
    F, I = case
    patch = I[I[I_I_PLUG] + k * PI_SIZE + PI_PATCH]
    if patch == AMBIENT_PATCH:
        return zone_loss(i, case) * (F[F_AMBIENT_T] - temperature)
    if patch >= FIRST_PATCH:
        q = patch - FIRST_PATCH
        outside = patch_convection(q, burning, case)
        return covered_flux(q, temperature, outside, flame, burning, case, mode)
    return zone_flux(i, flame, temperature, outside_convection(i, burning, case), burning, case)


def head_flux(i, k, temperature, flame, burning, case, mode):
    """Heat into the head of a plug that is struck by what strikes its patch, W/m2.

    It keeps the convection of the flames after the fire: it cools sooner then and opens later.
    """
    F, I = case
    emissivity = F[I[I_F_PLUG] + k * P_SIZE + P_EMISSIVITY]
    patch = I[I[I_I_PLUG] + k * PI_SIZE + PI_PATCH]
    if patch < FIRST_PATCH:
        outside = F[I[I_F_SPACE] + i * S_SIZE + S_CONVECTION]
        return wall_flux(flame, temperature, emissivity, outside, burning, case)
    q = patch - FIRST_PATCH
    outside = F[I[I_F_PATCH] + q * Q_SIZE + Q_CONVECTION]
    return patch_flux(q, temperature, emissivity, outside, flame, burning, case, mode)


def further_patches(i, gas, rho, flame, burning, y, dy, case, mode):
    """Rates of the patches of a wall with further ones; what plugs take of them stands in ``dy``.

    Inside, all radiate into one node of mean radiosity: the resistance of a patch to it is
    (1-e)/(e A) + 1/A = 1/(e A). Returns the heat into the air, W.
    """
    F, I = case
    spaces = I[I_SPACES]
    hot = 2 * spaces + i
    at = I[I_F_SPACE] + i * S_SIZE
    factor = F[F_CONVECTION_FACTOR]
    metal = I[I[I_I_SPACE] + i * SI_SIZE + SI_METAL]
    first = I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCH]
    last = first + I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCHES]
    # mean fourth power of the temperatures
    mean = 0.0
    conductance = 0.0
    if I[I_INNER_RADIATION] == 1:
        conductance = F[F_INNER_EMISSIVITY] * STEFAN_BOLTZMANN
        area = F[at + S_HOT_AREA] + F[at + S_COLD_AREA]
        mean = F[at + S_HOT_AREA] * y[hot] ** 4 + F[at + S_COLD_AREA] * y[hot + spaces] ** 4
        for q in range(first, last):
            patch = F[I[I_F_PATCH] + q * Q_SIZE + Q_AREA]
            area += patch
            mean += patch * y[first_patch(I) + q] ** 4
        mean /= area
    air = 0.0
    for place in range(first - 2, last):
        row = hot
        area = F[at + S_HOT_AREA]
        mass = F[at + S_HOT_MASS]
        if place == first - 1:
            row = hot + spaces
            area = F[at + S_COLD_AREA]
            mass = F[at + S_COLD_MASS]
        elif place >= first:
            row = first_patch(I) + place
            area = F[I[I_F_PATCH] + place * Q_SIZE + Q_AREA]
            mass = F[I[I_F_PATCH] + place * Q_SIZE + Q_MASS]
        if area <= 0.0:
            dy[row] = 0.0
            continue
        wall = y[row]
        heat = area * factor * convection_coefficient(rho, wall, gas) * (wall - gas)
        air += heat
        if place == first - 2:
            outside = outside_convection(i, burning, case)
            flux = zone_flux(i, flame, wall, outside, burning, case)
        elif place == first - 1:
            flux = zone_loss(i, case) * (F[F_AMBIENT_T] - wall)
        else:
            outside = patch_convection(place, burning, case)
            flux = covered_flux(place, wall, outside, flame, burning, case, mode)
        inside = conductance * area * (wall**4 - mean)
        dy[row] = (dy[row] + area * flux - heat - inside) / (mass * heat_capacity(metal, wall))
    return air


def wall_rates(i, gas, rho, flame, burning, y, dy, case, mode):
    """Rates of the wall, the plug bodies and their bosses of a space, put into ``dy``.

    Returns the heat into the air, W.
    """
    F, I = case
    spaces = I[I_SPACES]
    hot = 2 * spaces + i
    cold = 3 * spaces + i
    at = I[I_F_SPACE] + i * S_SIZE
    factor = F[F_CONVECTION_FACTOR]
    hot_area = F[at + S_HOT_AREA]
    cold_area = F[at + S_COLD_AREA]
    metal = I[I[I_I_SPACE] + i * SI_SIZE + SI_METAL]
    air = 0.0
    # W into the metal of each zone
    hot_heat = 0.0
    cold_heat = 0.0
    patches = I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCHES]
    if patches > 0:
        first = first_patch(I) + I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCH]
        for row in range(first, first + patches):
            dy[row] = 0.0
    own = I[I_I_OWN] + spaces + 1
    for place in range(I[I[I_I_OWN] + i], I[I[I_I_OWN] + i + 1]):
        k = I[own + place]
        if k >= I[I_PLUGS]:
            break
        ints = I[I_I_PLUG] + k * PI_SIZE
        dy[4 * spaces + k] = 0.0
        dy[4 * spaces + I[I_PLUGS] + k] = 0.0
        if mode[1 + k] == 1 or I[ints + PI_FOLLOWS_WALL] == 1:
            continue
        plug = I[I_F_PLUG] + k * P_SIZE
        temperature = plug_temperature(F, plug, y[4 * spaces + k], mode[1 + k])
        patch = I[ints + PI_PATCH]
        under = y[patch_row(i, patch, I)]
        boss = 4 * spaces + I[I_PLUGS] + k
        if F[plug + P_BOSS_CAPACITY] > 0.0:
            contact = F[plug + P_CONTACT] * (y[boss] - temperature)
            taken = F[plug + P_BOSS_CONTACT] * (under - y[boss])
            outside = F[plug + P_BOSS_AREA] * boss_flux(i, k, y[boss], flame, burning, case, mode)
            dy[boss] = (taken + outside - contact) / F[plug + P_BOSS_CAPACITY]
        else:
            contact = F[plug + P_CONTACT] * (under - temperature)
            taken = contact
        # what boss and body take leaves the wall they stand on
        if patch == FLAMES_PATCH:
            hot_heat -= taken
        elif patch == AMBIENT_PATCH:
            cold_heat -= taken
        else:
            dy[patch_row(i, patch, I)] -= taken
        inner = factor * convection_coefficient(rho, temperature, gas)
        cooling = F[plug + P_AIR_AREA] * inner / (1.0 + inner * F[plug + P_FOULING])
        cooling *= gas - temperature
        air -= cooling
        heat = contact + cooling
        if I[ints + PI_IN_FLAMES] == 1:
            heat += F[plug + P_FLAME_AREA] * head_flux(
                i, k, temperature, flame, burning, case, mode
            )
        dy[4 * spaces + k] = heat
    if patches > 0:
        dy[hot] = hot_heat
        dy[cold] = cold_heat
        return air + further_patches(i, gas, rho, flame, burning, y, dy, case, mode)
    radiation = 0.0
    if hot_area > 0.0 and cold_area > 0.0 and I[I_INNER_RADIATION] == 1:
        radiation = inner_radiation(y[hot], y[cold], hot_area, cold_area, F[F_INNER_EMISSIVITY])
    dy[hot] = 0.0
    dy[cold] = 0.0
    if hot_area > 0.0:
        wall = y[hot]
        heat = hot_area * factor * convection_coefficient(rho, wall, gas) * (wall - gas)
        air += heat
        outside = outside_convection(i, burning, case)
        hot_heat += hot_area * zone_flux(i, flame, wall, outside, burning, case)
        hot_heat -= heat + radiation
        dy[hot] = hot_heat / (F[at + S_HOT_MASS] * heat_capacity(metal, wall))
    if cold_area > 0.0:
        wall = y[cold]
        heat = cold_area * factor * convection_coefficient(rho, wall, gas) * (wall - gas)
        air += heat
        cold_heat += radiation - heat - cold_area * zone_loss(i, case) * (wall - F[F_AMBIENT_T])
        dy[cold] = cold_heat / (F[at + S_COLD_MASS] * heat_capacity(metal, wall))
    return air


def rates(t, y, dy, case, mode, G, tables):
    """Rates of change of the whole state, and what passes the walls and openings in ``G``.

    The balance of each space: dU/dt = Q + sum m_in h_in - sum m_out h, which is
    m cv dT/dt = Q + sum m_in (h_in - h) + (sum m_in - sum m_out) T (dp/dT) / rho.
    """
    F, I = case
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    burning = mode[0] == 1
    flame = F[F_AMBIENT_T]
    if burning and I[I_CURVE] != CURVE_FLUX:
        flame = flame_at(t, case)

    for i in range(spaces):
        at = I[I_F_SPACE] + i * S_SIZE
        mass = y[i]
        rho = mass / F[at + S_VOLUME]
        energy = y[spaces + i] / mass
        gas, p, cv, dp_dt, h = gas_state(
            tables.air, rho, energy, near_temperature(i, rho, energy, G)
        )
        if gas > 0.0:
            G[G_T, i] = gas
        G[G_RHO, i] = rho
        G[G_P, i] = p
        G[G_CV, i] = cv
        G[G_DPT, i] = dp_dt
        G[G_H, i] = h
        G[G_DM, i] = 0.0
        G[G_E, i] = 0.0
        G[G_LOST, i] = 0.0
        G[G_GAINED, i] = 0.0
        G[G_GAINED_H, i] = 0.0
        G[G_Q, i] = wall_rates(i, gas, rho, flame, burning, y, dy, case, mode)

    for i in range(spaces):
        out = vent_flow(
            i, G[G_P, i], G[G_RHO, i], G[G_T, i], y, case, mode, tables.flow, G[G_NEAR_OUTLET:]
        )
        G[G_OUT, i] = out
        G[G_LEAVES, i] = out
        G[G_ENTERS, i] = 0.0
        G[G_DM, i] -= out
        G[G_LOST, i] += out * G[G_H, i]

    for k in range(I[I_LINKS]):
        ends = I[I_I_LINK] + k * LI_SIZE
        a = I[ends + LI_FROM]
        b = I[ends + LI_TO]
        p_b = F[F_AMBIENT_P]
        rho_b = 0.0
        t_b = 0.0
        if b >= 0:
            p_b = G[G_P, b]
            rho_b = G[G_RHO, b]
            t_b = G[G_T, b]
        from_first = takes_first(k, G[G_P, a] - p_b, I, mode)
        flow = link_flow(
            k, from_first, G[G_P, a], G[G_RHO, a], G[G_T, a], p_b, rho_b, t_b, case, tables.flow,
            G[G_NEAR_LINK],
        )  # fmt: skip
        G[G_DM, a] -= flow
        if from_first:
            G[G_LEAVES, a] += flow
            if b >= 0:
                G[G_ENTERS, b] += flow
        elif b >= 0:
            G[G_LEAVES, b] -= flow
            G[G_ENTERS, a] -= flow
        if b < 0:
            G[G_OUT, a] += flow
            G[G_LOST, a] += flow * G[G_H, a]
        else:
            G[G_DM, b] += flow
            if from_first:
                G[G_E, b] += flow * (G[G_H, a] - G[G_H, b])
            else:
                G[G_E, a] -= flow * (G[G_H, b] - G[G_H, a])

    feed_mode = 1 + plugs + 2 * reliefs + I[I_DISCS] + 2 * spaces
    for c in range(I[I_FEEDS]):
        if mode[feed_mode + c] > 0:
            i = I[I[I_I_FEED] + c * CI_SIZE + CI_SPACE]
            flow = feed_flow(c, mode[feed_mode + c], G[G_P, i], case)
            h = F[I[I_F_FEED] + c * C_SIZE + C_ENTHALPY]
            G[G_DM, i] += flow
            G[G_E, i] += flow * (h - G[G_H, i])
            G[G_GAINED, i] += flow
            G[G_GAINED_H, i] += flow * h
            G[G_ENTERS, i] += flow

    add_steam(y, dy, flame, burning, case, mode, G)

    for i in range(spaces):
        dy[i] = G[G_DM, i]
        dy[spaces + i] = G[G_Q, i] + G[G_E, i] + G[G_DM, i] * G[G_H, i]

    for r in range(reliefs):
        row = first_lift(I) + r
        dy[row] = 0.0
        if mode[1 + plugs + r] == 1:
            i = I[I[I_I_RELIEF] + r * RI_SIZE + RI_SPACE]
            at = I[I_F_RELIEF] + r * R_SIZE
            target = lift_target(y[row], G[G_P, i] - F[F_AMBIENT_P], F[at + R_SET])
            dy[row] = (target - y[row]) / LIFT_TIME
