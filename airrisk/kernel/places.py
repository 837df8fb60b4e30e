"""Where the blocks of the state and of the discrete states begin.

Scalar functions in the subset that numba compiles; ``I`` holds the case (see ``layout``).
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.layout import *


def first_patch(I):
    """Place in the state of the first further patch of a wall."""
    return 4 * I[I_SPACES] + 2 * I[I_PLUGS]


def first_lift(I):
    """Place in the state of the lift of the first relief valve."""
    return first_patch(I) + I[I_PATCHES]


def first_pool(I):
    """Place in the state of the first number of the first pool."""
    return first_lift(I) + I[I_RELIEFS]


def state_count(I):
    """Length of the state."""
    return first_pool(I) + POOL_STATES * I[I_POOLS]


def damage_place(I):
    """Place behind the state of the creep damage of the first space."""
    return state_count(I) + SECTION_FLOWS


def patch_row(i, patch, I):
    """Place in the state of the temperature of a patch of a space, named as a plug names it."""
    if patch == FLAMES_PATCH:
        return 2 * I[I_SPACES] + i
    if patch == AMBIENT_PATCH:
        return 3 * I[I_SPACES] + i
    return first_patch(I) + patch - FIRST_PATCH


def first_link(I):
    """Place in ``mode`` of the direction of the first link."""
    return 1 + I[I_PLUGS] + 2 * I[I_RELIEFS] + I[I_DISCS] + 2 * I[I_SPACES] + I[I_FEEDS]


def first_source(I):
    """Place in ``mode`` of whether the source of the first further patch burns."""
    return first_link(I) + I[I_LINKS]


def column_of(row, i, I):
    """Column of the matrices for a number of a space that stands at ``row`` of the state."""
    spaces = I[I_SPACES]
    if row < 4 * spaces:
        return row // spaces
    own = I[I_I_OWN] + spaces + 1
    for place in range(I[I[I_I_OWN] + i], I[I[I_I_OWN] + i + 1]):
        if 4 * spaces + I[own + place] == row:
            return 4 + place - I[I[I_I_OWN] + i]
    return -1
