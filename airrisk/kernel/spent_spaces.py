"""Spaces that have blown down, whose air need not be followed so closely any more.

What their air may be off cannot reach another space, nor bring back what their metal has borne.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.layout import *
from airrisk.kernel.linear_algebra import pool_in
from airrisk.kernel.moments import K_END_USE, K_PEAK_USE
from airrisk.kernel.rhs import G_EASE, G_P

SPENT_USE = 0.7  # of the worst so far
SPENT_EASE = 30.0  # judgement; at the last of its outflow a step still follows the pressure to 1e-4
APART = 0.1  # of the higher pressure, by which a shut link holds off the lower one


def is_open(i, case, mode):
    """Whether an open plug, a burst disc or a break of its own lets out the air of a space."""
    I = case.integers
    plugs = I[I_PLUGS]
    own = I[I_I_OWN] + I[I_SPACES] + 1
    for place in range(I[I[I_I_OWN] + i], I[I[I_I_OWN] + i + 1]):
        k = I[own + place]
        if k < plugs and mode[1 + k] == 1:
            return True
    first = 1 + plugs + 2 * I[I_RELIEFS]
    for d in range(I[I_DISCS]):
        if mode[first + d] == 1 and I[I[I_I_DISC] + d * DI_SIZE + DI_SPACE] == i:
            return True
    return mode[first + I[I_DISCS] + i] == 1


def is_moved(i, case, mode):
    """Whether a lifted relief valve, a compressor or condensate works on the air of a space."""
    I = case.integers
    plugs = I[I_PLUGS]
    for r in range(I[I_RELIEFS]):
        if mode[1 + plugs + r] == 1 and I[I[I_I_RELIEF] + r * RI_SIZE + RI_SPACE] == i:
            return True
    first = 1 + plugs + 2 * I[I_RELIEFS] + I[I_DISCS] + 2 * I[I_SPACES]
    for c in range(I[I_FEEDS]):
        if mode[first + c] > 0 and I[I[I_I_FEED] + c * CI_SIZE + CI_SPACE] == i:
            return True
    return pool_in(i, I) >= 0


def is_shut(k, case, G):
    """Whether a link between two spaces is shut, by a pressure far from turning."""
    I = case.integers
    ends = I[I_I_LINK] + k * LI_SIZE
    p_a, p_b = G[G_P, I[ends + LI_FROM]], G[G_P, I[ends + LI_TO]]
    passes = I[ends + (LI_FORWARD if p_a >= p_b else LI_BACKWARD)]
    return passes == 0 and abs(p_a - p_b) > APART * max(p_a, p_b)


def ease_spent(case, state, G):
    """Put into ``G`` how much more than usual the air of each space may be off.

    A space is spent when it stands open itself and its strength use is far below its worst, and
    when all that its air can reach, or be reached by, is spent too.
    """
    I = case.integers
    spaces = I[I_SPACES]
    PK = state.worst
    for i in range(spaces):
        G[G_EASE, i] = 1.0
        borne = I[I[I_I_SPACE] + i * SI_SIZE + SI_STRENGTH_POINTS]
        if borne > 0 and not PK[i, K_END_USE] < SPENT_USE * PK[i, K_PEAK_USE]:
            continue
        if spaces > 1 and is_open(i, case, state.modes) and not is_moved(i, case, state.modes):
            G[G_EASE, i] = SPENT_EASE
    for _ in range(spaces):
        held = False
        for k in range(I[I_LINKS]):
            a = I[I[I_I_LINK] + k * LI_SIZE + LI_FROM]
            b = I[I[I_I_LINK] + k * LI_SIZE + LI_TO]
            if b >= 0 and G[G_EASE, a] != G[G_EASE, b] and not is_shut(k, case, G):
                G[G_EASE, a] = 1.0
                G[G_EASE, b] = 1.0
                held = True
        if not held:
            break


def size_of_errors(k, size, case, G):
    """Allowed size of the error of one number of the state, from that of ``allowance``."""
    spaces = case.integers[I_SPACES]
    if k < spaces:
        return size * G[G_EASE, k]
    if k < 2 * spaces:
        return size * G[G_EASE, k - spaces]
    return size
