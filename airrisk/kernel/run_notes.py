"""What is kept of a run: the worst of each space, the points of its curves, its flows."""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.events import strength_use
from airrisk.kernel.layout import *
from airrisk.kernel.moments import (
    C_ROWS,
    K_DAMAGE,
    K_END_USE,
    K_LAST_GAS,
    K_LIMIT_TIME,
    K_PEAK_PRESSURE,
    K_PEAK_USE,
    K_PEAK_USE_TIME,
)
from airrisk.kernel.places import damage_place, first_pool, state_count
from airrisk.kernel.pools import STEAM_AS_AIR
from airrisk.kernel.rhs import (
    G_GAINED,
    G_GAINED_H,
    G_KEPT,
    G_LEAVES,
    G_LOST,
    G_OUT,
    G_P,
    G_Q,
    G_T,
    creep_rate,
)


def is_stored(output):
    """Whether the points of a run are kept."""
    return output.times.shape[0] > 1


def note_row(t, y, case, state, G, output):
    """Store one point of the curves when there is room; temperature in place of energy."""
    row = int(state.clock[C_ROWS])
    if not is_stored(output) or row >= output.times.shape[0]:
        return
    spaces = case.integers[I_SPACES]
    output.times[row] = t
    for k in range(damage_place(case.integers) + spaces):
        output.numbers[row, k] = y[k]
    for i in range(spaces):
        output.numbers[row, spaces + i] = G[G_T, i]
    for k in range(output.modes.shape[1]):
        output.modes[row, k] = state.modes[k]
    state.clock[C_ROWS] = row + 1


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


def section_flows(f, y, case, G):
    """Put the rates of the cumulated flows and of the creep damage behind the state's own."""
    I = case.integers
    n = state_count(I)
    spaces = I[I_SPACES]
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
