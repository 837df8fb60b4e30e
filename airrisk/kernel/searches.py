"""The search for the place at which a number passes zero, shared by all steps.

Regula falsi with the weight of an end that stays halved (the Illinois algorithm).

Source: Dowell and Jarratt (1971), BIT 11, 168-174.
"""

from __future__ import annotations


def crossing(low, g_low, high, g_high):
    """Where the straight line between two places passes zero."""
    return (low * g_high - high * g_low) / (g_high - g_low)


def narrowed(low, g_low, high, g_high, side, at, g):
    """The bracket of a search, narrowed by one more place.

    ``g_low`` is below and ``g_high`` above zero; ``side`` is 1 where the last place took the
    place of ``high`` and -1 where it took that of ``low``.
    """
    if g > 0.0:
        return low, 0.5 * g_low if side == 1 else g_low, at, g, 1
    return at, g, high, 0.5 * g_high if side == -1 else g_high, -1
