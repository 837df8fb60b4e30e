"""Condensate in a fire run: a pool that the fire heats, and the vapour above it.

A pool has three numbers of the state: liquid [kg], its temperature [K], and the share of vapour
among the moles of the gas in its space. The wetted metal hands on the whole heat that the fire
gives to cold metal; the gas and the hottest dry metal above warm the surface too and lose nothing
by it. The vapour follows the saturation pressure of the liquid as long as liquid lasts. It joins
the gas of its space as so many moles of air, at the temperature of the liquid, and leaves with it
through every opening in its share; of what flows on into other spaces none comes back as vapour.
Steam is lighter than air and would leave a quarter faster.
"""

# the layout is a list of names for places, wanted whole
# ruff: noqa: F403, F405
from __future__ import annotations

from airrisk.kernel.flames import covered_flux, zone_flux
from airrisk.kernel.layout import *
from airrisk.physics.heat_kernel import STEFAN_BOLTZMANN
from airrisk.physics.water_kernel import (
    WATER_GAS_CONSTANT,
    WATER_SPECIFIC_HEAT,
    heat_of_evaporation,
    saturation_pressure,
)

STEAM_AS_AIR = 28.96546 / 18.01527  # kg of air with as many moles as a kg of steam
STEAM_HEAT = 1005.0  # J/kg/K, of the gas it joins
EVAPORATING = 1.0  # s, in which the vapour follows the liquid; judgement, steps of a run are longer
# water hotter than it boils at the pressure above it: a hot flame keeps it hotter by about this
# share of the pressure; judgement, so that small spaces are filled as fast as the heat boils it
SUPERHEAT = 0.05
FASTEST_BOILING = 0.1  # kg/m2/s: 200 kW/m2
SHORTEST_LAG = 0.01  # s
LAST_SHARE = 0.003  # of the liquid: the last of it boils ever slower
SURFACE_EMISSIVITY = 0.95  # of water; handbooks, from memory
SURFACE_CONVECTION = 10.0  # W/m2/K, gas to a horizontal surface, judgement


def pool_rates(
    w, liquid, temperature, share, mass, pressure, gas, hottest, entering, flame, burning, case,
    mode,
):  # fmt: skip
    """Steam [kg/s], warming of the liquid [K/s] and change of the share of vapour [1/s] of a pool.

    ``mass``, ``pressure`` and ``gas`` are the gas of its space [kg as air], its pressure [Pa] and
    temperature [K], ``hottest`` the hottest metal there [K], ``entering`` the air that flows into
    the space [kg/s]. What flows out has the share of what stays.
    """
    F, I = case
    at = I[I_F_POOL] + w * W_SIZE
    i = I[I[I_I_POOL] + w * WI_SIZE + WI_SPACE]
    space = I[I_F_SPACE] + i * S_SIZE
    last = LAST_SHARE * F[at + W_MASS]
    kept = abs(liquid) + last
    there = liquid / kept
    per_pascal = F[space + S_VOLUME] / (WATER_GAS_CONSTANT * gas)
    saturated = saturation_pressure(temperature)
    lag = SUPERHEAT * pressure * per_pascal / (F[at + W_SURFACE] * FASTEST_BOILING)
    lag = min(max(lag, SHORTEST_LAG), EVAPORATING)
    # through air the vapour spreads, without air the water boils
    steam = max(saturated - share * pressure, 0.0) * max((1.0 - share) / lag, 1.0 / EVAPORATING)
    steam += max(saturated - pressure, 0.0) / lag
    steam *= there * per_pascal
    # after the fire the wetted metal keeps its heat
    flux = max(zone_flux(i, flame, temperature, F[space + S_CONVECTION], burning, case), 0.0)
    above = SURFACE_EMISSIVITY * STEFAN_BOLTZMANN * (hottest**4 - temperature**4)
    above += SURFACE_CONVECTION * (gas - temperature)
    heat = there * (F[at + W_WETTED] * flux + F[at + W_SURFACE] * above)
    ints = I[I_I_SPACE] + i * SI_SIZE
    for q in range(I[ints + SI_PATCH], I[ints + SI_PATCH] + I[ints + SI_PATCHES]):
        patch = I[I_F_PATCH] + q * Q_SIZE
        if F[patch + Q_WETTED] > 0.0:
            flux = covered_flux(q, temperature, F[patch + Q_CONVECTION], flame, burning, case, mode)
            heat += there * F[patch + Q_WETTED] * max(flux, 0.0)
    warming = (heat - steam * heat_of_evaporation(temperature)) / (kept * WATER_SPECIFIC_HEAT)
    joining = STEAM_AS_AIR * steam
    return steam, warming, (joining * (1.0 - share) - entering * share) / mass
