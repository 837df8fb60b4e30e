"""Start of a run, and many variants of one case in a row."""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

import math

from airrisk.kernel.flames import turn_sources
from airrisk.kernel.layout import *
from airrisk.kernel.moments import (
    C_EVALUATIONS,
    C_FIRST_VENT,
    C_HEAD,
    C_STEP,
    K_COLUMNS,
    K_DAMAGE,
    K_EMPTY_TIME,
    K_LIMIT_TIME,
    K_PEAK_PRESSURE,
    K_PEAK_USE,
    K_RUPTURE_TIME,
)
from airrisk.kernel.places import first_patch, first_pool
from airrisk.kernel.pools import STEAM_AS_AIR
from airrisk.kernel.records import Case, Output, State, Tables, Work
from airrisk.kernel.rhs import G_CV, G_NEAR_LINK, G_NEAR_OUTLET, G_T
from airrisk.kernel.stepper import advance
from airrisk.physics.air_kernel import AirArrays, evaluate
from airrisk.physics.flow_kernel import FlowArrays
from airrisk.physics.water_kernel import WATER_GAS_CONSTANT, saturation_pressure

# result columns
B_STATUS = 0
B_PEAK_USE = 1  # of the worst vessel
B_PEAK_PRESSURE = 2  # Pa, over all spaces
B_FIRST_VENT = 3  # s, NaN: no plug or disc opened
B_RUPTURE = 4  # s, first vessel; NaN: none
B_EMPTY = 5  # s, last vessel emptied; NaN: not all
B_LIMIT = 6  # s, a vessel first at the limit; NaN: never
B_EVALUATIONS = 7
B_LINE = 8  # s, a line beside the vessels first ruptured; NaN: none
B_DAMAGE = 9  # creep, of the worst vessel
# behind them 1 for each plug, then each disc, that is open at the end, else 0; then, as many
# again, when it opened, s; NaN: it did not
B_COLUMNS = 10


def density_of(air_table, pressure, temperature):
    """Density [kg/m3] and internal energy [J/kg] of air at a pressure; NaN outside the table."""
    density = pressure / (air_table.gas_constant * temperature)
    for _ in range(50):
        p, u, cv, dp_dt, h = evaluate(air_table, density, temperature)
        step = 1e-4 * density
        more, _u, _cv, _dp, _h = evaluate(air_table, density + step, temperature)
        change = (pressure - p) * step / (more - p)
        density += change
        if not density > 0.0:
            break
        if abs(change) < 1e-13 * density:
            return density, u
    return math.nan, math.nan


def begin(case, state, G, air_table):
    """Put a case at its start; returns 0 when its air is outside the table."""
    F, I = case
    mode, y, C, PK = state
    spaces = I[I_SPACES]
    plugs = I[I_PLUGS]
    reliefs = I[I_RELIEFS]
    for k in range(mode.shape[0]):
        mode[k] = 0
    for k in range(y.shape[0]):
        y[k] = 0.0
    for k in range(C.shape[0]):
        C[k] = 0.0
    mode[0] = 1
    turn_sources(0.0, case, mode)
    for k in range(I[I_LINKS]):
        G[G_NEAR_LINK, k] = 0.0
    for k in range(plugs):
        G[G_NEAR_OUTLET, k] = 0.0
    for i in range(spaces):
        at = I[I_F_SPACE] + i * S_SIZE
        density, energy = density_of(air_table, F[at + S_PRESSURE], F[at + S_TEMPERATURE])
        if not density > 0.0:
            return 0
        y[i] = density * F[at + S_VOLUME]
        y[spaces + i] = y[i] * energy
        y[2 * spaces + i] = F[at + S_WALL_TEMPERATURE]
        y[3 * spaces + i] = F[at + S_WALL_TEMPERATURE]
        G[G_T, i] = F[at + S_TEMPERATURE]
        G[G_CV, i] = 0.0  # nothing more is known of the air
        for k in range(K_COLUMNS):
            PK[i, k] = 0.0
        PK[i, K_EMPTY_TIME] = math.nan
        PK[i, K_RUPTURE_TIME] = math.nan
        PK[i, K_LIMIT_TIME] = math.nan
        first = first_patch(I) + I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCH]
        for k in range(first, first + I[I[I_I_SPACE] + i * SI_SIZE + SI_PATCHES]):
            y[k] = F[at + S_WALL_TEMPERATURE]
    for k in range(plugs):
        home = I[I[I_I_PLUG] + k * PI_SIZE + PI_SPACE]
        y[4 * spaces + plugs + k] = F[I[I_F_SPACE] + home * S_SIZE + S_WALL_TEMPERATURE]
    for w in range(I[I_POOLS]):
        pool = I[I_F_POOL] + w * W_SIZE
        i = I[I[I_I_POOL] + w * WI_SIZE + WI_SPACE]
        at = I[I_F_SPACE] + i * S_SIZE
        warm = F[pool + W_TEMPERATURE]
        vapour = saturation_pressure(warm) * F[at + S_VOLUME] / (WATER_GAS_CONSTANT * warm)
        row = first_pool(I) + POOL_STATES * w
        vapour = min(vapour, F[pool + W_MASS])
        y[row] = F[pool + W_MASS] - vapour
        y[row + 2] = min(STEAM_AS_AIR * vapour / y[i], 1.0)
        y[row + 1] = warm
    first_feed = 1 + plugs + 2 * reliefs + I[I_DISCS] + 2 * spaces
    for c in range(I[I_FEEDS]):
        home = I[I[I_I_FEED] + c * CI_SIZE + CI_SPACE]
        pressure = F[I[I_F_SPACE] + home * S_SIZE + S_PRESSURE]
        if pressure < F[I[I_F_FEED] + c * C_SIZE + C_CUT_OUT]:
            mode[first_feed + c] = 1
    C[C_STEP] = F[F_FIRST_STEP]
    C[C_FIRST_VENT] = math.nan
    return 1


def note_open(I, mode, result):
    """Put behind the result columns which plugs and discs are open."""
    plugs = I[I_PLUGS]
    discs = 1 + plugs + 2 * I[I_RELIEFS]
    for k in range(plugs):
        result[B_COLUMNS + k] = 1.0 if mode[1 + k] == 1 else 0.0
    for k in range(I[I_DISCS]):
        result[B_COLUMNS + plugs + k] = 1.0 if mode[discs + k] == 1 else 0.0


def summarize(status, case, state, result):
    """What a variant came to, in one row."""
    I = case.integers
    mode, _y, C, PK = state
    result[B_STATUS] = status
    result[B_PEAK_USE] = 0.0
    result[B_PEAK_PRESSURE] = 0.0
    result[B_FIRST_VENT] = C[C_FIRST_VENT]
    result[B_RUPTURE] = math.nan
    result[B_EMPTY] = 0.0
    result[B_LIMIT] = math.nan
    result[B_EVALUATIONS] = C[C_EVALUATIONS]
    result[B_LINE] = math.nan
    result[B_DAMAGE] = 0.0
    for i in range(I[I_SPACES]):
        result[B_PEAK_PRESSURE] = max(result[B_PEAK_PRESSURE], PK[i, K_PEAK_PRESSURE])
        if I[I[I_I_SPACE] + i * SI_SIZE + SI_KIND] != VESSEL:
            if PK[i, K_RUPTURE_TIME] >= 0.0 and not PK[i, K_RUPTURE_TIME] >= result[B_LINE]:
                result[B_LINE] = PK[i, K_RUPTURE_TIME]
            continue
        result[B_PEAK_USE] = max(result[B_PEAK_USE], PK[i, K_PEAK_USE])
        result[B_DAMAGE] = max(result[B_DAMAGE], PK[i, K_DAMAGE])
        if PK[i, K_RUPTURE_TIME] >= 0.0 and not PK[i, K_RUPTURE_TIME] >= result[B_RUPTURE]:
            result[B_RUPTURE] = PK[i, K_RUPTURE_TIME]
        if PK[i, K_LIMIT_TIME] >= 0.0 and not PK[i, K_LIMIT_TIME] >= result[B_LIMIT]:
            result[B_LIMIT] = PK[i, K_LIMIT_TIME]
        if not PK[i, K_EMPTY_TIME] >= 0.0:
            result[B_EMPTY] = math.nan
        elif result[B_EMPTY] >= 0.0:
            result[B_EMPTY] = max(result[B_EMPTY], PK[i, K_EMPTY_TIME])
    note_open(I, mode, result)
    devices = I[I_PLUGS] + I[I_DISCS]
    for k in range(devices):
        if result[B_COLUMNS + k] > 0.0:
            result[B_COLUMNS + devices + k] = C[C_HEAD + k]
        else:
            result[B_COLUMNS + devices + k] = math.nan


# what ``drive`` is to do
TASK_BEGIN = 0
TASK_ADVANCE = 1
TASK_VARIANTS = 2


def drive(
    task, base, F, I, places, values, first, last, mode, y, C, PK, G, W, J, LU, pivot, D,
    TC, TX, TR, gas_constant, FC, FX, FR, out_t, out_y, out_mode, events, results, max_steps,
):  # fmt: skip
    """The one way into the kernel.

    Begin a run (returns 0 when its air is outside the table), advance it by up to
    ``max_steps`` (returns the status), or run variants ``first`` to ``last`` of ``base``, each
    with the numbers at ``places`` replaced by its row of ``values``.
    """
    case = Case(F, I)
    tables = Tables(AirArrays(TC, TX, TR, gas_constant), FlowArrays(FC, FX, FR))
    state = State(mode, y, C, PK)
    work = Work(G, W, J, LU, pivot, D)
    output = Output(out_t, out_y, out_mode, events)
    if task == TASK_BEGIN:
        return begin(case, state, G, tables.air)
    variant = first
    status = RUNNING
    while True:
        steps = max_steps
        if task == TASK_VARIANTS:
            if variant >= last:
                return last
            for k in range(base.shape[0]):
                F[k] = base[k]
            for k in range(places.shape[0]):
                F[places[k]] = values[variant, k]
            steps = 1 << 40
            status = OUT_OF_RANGE
            if begin(case, state, G, tables.air) == 0:
                summarize(status, case, state, results[variant])
                variant += 1
                continue
        status = advance(case, state, work, tables, output, steps)
        if task == TASK_ADVANCE:
            return status
        summarize(status, case, state, results[variant])
        variant += 1
