"""What the fire of a case gives to a surface.

Scalar functions in the subset that numba compiles; ``F`` and ``I`` hold the case (see ``layout``).
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.layout import *
from airrisk.kernel.places import first_source
from airrisk.physics.heat_kernel import absorbed_flux, flame_temperature, layer_flux, net_flux

COOLING_CONVECTION = 4.0  # W/m2/K, of a face that is not in a fire, radiation apart: EN 1991-1-2
HOTTEST_METAL = 1550.0  # K, above 1200 C steel counts as without strength


def wall_flux(flame, wall, emissivity, convection, burning, case):
    """Net heat flux into a wall in the fire, W/m2."""
    F, I = case
    ambient = F[F_AMBIENT_T]
    if not burning:
        return net_flux(ambient, wall, emissivity, convection)
    if I[I_CURVE] == CURVE_FLUX:
        if I[I_ABSORBED] == 1:
            # metal that has no strength left is not followed to where it melts
            return F[F_FIRE_VALUE] * min(max((HOTTEST_METAL - wall) / 50.0, 0.0), 1.0)
        return absorbed_flux(F[F_FIRE_VALUE], wall, ambient, emissivity, convection)
    return net_flux(flame, wall, emissivity, convection)


def curve_at(t, case):
    """Temperature of the fire curve, K."""
    F, I = case
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


def flame_at(t, case):
    """Flame temperature, K: a weaker fire is never colder than the air around it."""
    F = case.floats
    curve = curve_at(t, case)
    return max(F[F_FLAME_SHIFT] + F[F_FLAME_FACTOR] * curve, min(curve, F[F_AMBIENT_T]))


def patch_flux(q, temperature, emissivity, convection, flame, burning, case, mode):
    """Net heat flux into a surface that is exposed as a further patch is, W/m2."""
    F, I = case
    exposure = I[I[I_I_PATCH] + q * QI_SIZE + QI_EXPOSURE]
    if exposure == IN_AMBIENT:
        return F[F_LOSS] * (F[F_AMBIENT_T] - temperature)
    if exposure == IN_FLAMES:
        return wall_flux(flame, temperature, emissivity, convection, burning, case)
    incident = 0.0
    if mode[first_source(I) + q] == 1:
        incident = F[I[I_F_PATCH] + q * Q_SIZE + Q_FLUX]
    return absorbed_flux(incident, temperature, F[F_AMBIENT_T], emissivity, convection)


def zone_flux(i, flame, wall, convection, burning, case):
    """Net heat flux into the hot wall of a space, through its insulation, W/m2.

    A flux that is absorbed whatever the wall's temperature is gets through any layer.
    """
    F, I = case
    at = I[I_F_SPACE] + i * S_SIZE
    emissivity = F[at + S_EMISSIVITY]
    resistance = F[at + S_HOT_RESISTANCE]
    if resistance <= 0.0 or (burning and I[I_CURVE] == CURVE_FLUX and I[I_ABSORBED] == 1):
        return wall_flux(flame, wall, emissivity, convection, burning, case)
    taken = wall_flux(flame, 0.0, emissivity, convection, burning, case)
    return layer_flux(taken, wall, emissivity, convection, resistance)


def zone_loss(i, case):
    """Loss of the cold wall of a space to ambient through its insulation, W/m2/K."""
    F, I = case
    resistance = F[I[I_F_SPACE] + i * S_SIZE + S_COLD_RESISTANCE]
    if resistance <= 0.0:
        return F[F_LOSS]
    return F[F_LOSS] / (1.0 + F[F_LOSS] * resistance)


def covered_flux(q, temperature, convection, flame, burning, case, mode):
    """Net heat flux into a further patch of a wall, through its insulation, W/m2."""
    F, I = case
    at = I[I_F_PATCH] + q * Q_SIZE
    emissivity = F[at + Q_EMISSIVITY]
    resistance = F[at + Q_RESISTANCE]
    exposure = I[I[I_I_PATCH] + q * QI_SIZE + QI_EXPOSURE]
    if resistance > 0.0 and exposure == IN_AMBIENT:
        loss = F[F_LOSS] / (1.0 + F[F_LOSS] * resistance)
        return loss * (F[F_AMBIENT_T] - temperature)
    absorbed = exposure == IN_FLAMES and I[I_CURVE] == CURVE_FLUX and I[I_ABSORBED] == 1
    if resistance <= 0.0 or (burning and absorbed):
        return patch_flux(q, temperature, emissivity, convection, flame, burning, case, mode)
    taken = patch_flux(q, 0.0, emissivity, convection, flame, burning, case, mode)
    return layer_flux(taken, temperature, emissivity, convection, resistance)


def turn_sources(t, case, mode):
    """Note which sources of radiation burn at ``t``; none does after the fire."""
    F, I = case
    first = first_source(I)
    for q in range(I[I_PATCHES]):
        at = I[I_F_PATCH] + q * Q_SIZE
        mode[first + q] = 1 if F[at + Q_BEGINS] <= t < F[at + Q_ENDS] and mode[0] == 1 else 0
