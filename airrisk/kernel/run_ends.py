"""When a run must stop and look about, when nothing more can change, and when it is over."""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.events import empty_below, hottest_wall, strength_use
from airrisk.kernel.layout import *
from airrisk.kernel.moments import K_END_USE, K_LAST_GAS
from airrisk.kernel.places import first_pool
from airrisk.kernel.pools import LAST_SHARE
from airrisk.kernel.rhs import G_P, G_T, creep_rate
from airrisk.physics.air_kernel import evaluate

COOL_METAL = 573.15  # K, below it steel has its full strength (EN 1993-1-2, annex A)
HOTTEST_AIR = 1590.0  # K, of the air table; beyond it pressure goes as temperature
NO_MORE_DAMAGE = 1e-3  # what is left of the creep damage after a fire


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
