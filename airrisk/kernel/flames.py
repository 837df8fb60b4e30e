"""What the fire of a case gives to a surface.

Scalar functions in the subset that numba compiles; ``F`` and ``I`` hold the case (see ``layout``).
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.layout import *
from airrisk.physics.heat_kernel import absorbed_flux, flame_temperature, net_flux

HOTTEST_METAL = 1550.0  # K, above 1200 C steel counts as without strength


def wall_flux(flame, wall, emissivity, convection, burning, F, I):
    """Net heat flux into a wall in the fire, W/m2."""
    ambient = F[F_AMBIENT_T]
    if not burning:
        return net_flux(ambient, wall, emissivity, convection)
    if I[I_CURVE] == CURVE_FLUX:
        if I[I_ABSORBED] == 1:
            # metal that has no strength left is not followed to where it melts
            return F[F_FIRE_VALUE] * min(max((HOTTEST_METAL - wall) / 50.0, 0.0), 1.0)
        return absorbed_flux(F[F_FIRE_VALUE], wall, ambient, emissivity, convection)
    return net_flux(flame, wall, emissivity, convection)


def curve_at(t, F, I):
    """Temperature of the fire curve, K."""
    if I[I_CURVE] != CURVE_TABLE:
        return flame_temperature(I[I_CURVE], t, F[F_FIRE_VALUE])
    count = I[I_CURVE_POINTS]
    start = I[I_F_CURVE]
    if t <= F[start]:
        return F[start + 1]
    for k in range(1, count):
        if t < F[start + 2 * k]:
            t0 = F[start + 2 * k - 2]
            share = (t - t0) / (F[start + 2 * k] - t0)
            gain = F[start + 2 * k + 1] - F[start + 2 * k - 1]
            return F[start + 2 * k - 1] + share * gain
    return F[start + 2 * count - 1]


def flame_at(t, F, I):
    """Flame temperature, K: a weaker fire is never colder than the air around it."""
    curve = curve_at(t, F, I)
    return max(F[F_FLAME_SHIFT] + F[F_FLAME_FACTOR] * curve, min(curve, F[F_AMBIENT_T]))
