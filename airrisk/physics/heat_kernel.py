"""Fire curves and heat transfer as scalar functions that can be compiled.

Plain Python without decorators, restricted to what numba compiles in nopython mode.
"""

from __future__ import annotations

import math

STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4
CURVE_CODES = {"standard": 0, "external": 1, "hydrocarbon": 2, "slow": 3, "temperature": 4}


def flame_temperature(curve, time, value):
    """Gas temperature of a nominal fire.

    Parameters
    ----------
    curve : int
        0 standard, 1 external, 2 hydrocarbon, 3 slow, else constant.
    time : float
        Time from the start [s]; before it the start value holds.
    value : float
        The constant temperature [K].

    Returns
    -------
    float
        Temperature [K].

    Source
    ------
    EN 1991-1-2:2002 3.2.1 to 3.2.3; slow curve EN 1363-2:1999.
    """
    t = max(time, 0.0) / 60.0
    if curve == 0:
        return 293.15 + 345.0 * math.log10(8.0 * t + 1.0)
    if curve == 1:
        return 293.15 + 660.0 * (1.0 - 0.687 * math.exp(-0.32 * t) - 0.313 * math.exp(-3.8 * t))
    if curve == 2:
        return 293.15 + 1080.0 * (1.0 - 0.325 * math.exp(-0.167 * t) - 0.675 * math.exp(-2.5 * t))
    if curve == 3:
        if t <= 21.0:
            return 293.15 + 154.0 * t**0.25
        return 293.15 + 345.0 * math.log10(8.0 * (t - 20.0) + 1.0)
    return value


def net_flux(flame, wall, emissivity, convection):
    """Heat flux from flames into a wall.

    Parameters
    ----------
    flame, wall : float
        Temperatures [K].
    emissivity : float
        Product of the emissivities of flame and wall.
    convection : float
        Heat transfer coefficient [W/m2/K].

    Returns
    -------
    float
        Flux [W/m2].

    Source
    ------
    EN 1991-1-2:2002 3.1, configuration factor 1.
    """
    f2 = flame * flame
    w2 = wall * wall
    return emissivity * STEFAN_BOLTZMANN * (f2 * f2 - w2 * w2) + convection * (flame - wall)


def absorbed_flux(incident, wall, ambient, emissivity, convection):
    """Heat flux into a wall under an incident radiant flux.

    Parameters
    ----------
    incident : float
        Radiant flux that falls on the wall [W/m2].
    wall, ambient : float
        Temperatures [K]; the wall radiates and convects to the ambient.
    emissivity : float
        Absorptivity and emissivity of the wall.
    convection : float
        Heat transfer coefficient [W/m2/K].

    Returns
    -------
    float
        Flux [W/m2].
    """
    a2 = ambient * ambient
    w2 = wall * wall
    return emissivity * (incident - STEFAN_BOLTZMANN * (w2 * w2 - a2 * a2)) - convection * (
        wall - ambient
    )


def layer_flux(taken, wall, emissivity, convection, resistance):
    """Heat flux into a wall under a layer of insulation that stores no heat.

    Its outer face takes a temperature To at which it hands on what it takes up:
    taken - emissivity sigma To^4 - convection To = (To - wall) / resistance. Newton's way comes
    down to To from above, so that the flux is never less than the true one.

    Parameters
    ----------
    taken : float
        Flux into a face of 0 K there [W/m2]: all that the surroundings give.
    wall : float
        Temperature of the metal [K].
    emissivity, convection : float
        Of the outer face; convection in W/m2/K.
    resistance : float
        Of the layer [m2 K/W], more than 0.

    Returns
    -------
    float
        Flux [W/m2].

    Source
    ------
    Resistances in series, handbook form (ISO 12241, from memory).
    """
    radiating = emissivity * STEFAN_BOLTZMANN
    falling = convection + 1.0 / resistance
    given = taken + wall / resistance
    # hotter than the face can get: without radiation, and without convection and layer
    face = max(given, 0.0) / falling
    if radiating > 0.0:
        face = min(face, math.sqrt(math.sqrt(max(given, 0.0) / radiating)))
    for _ in range(40):
        cubed = radiating * face * face * face
        change = (face * (cubed + falling) - given) / (4.0 * cubed + falling)
        face -= change
        if change <= 1e-12 * face:
            break
    return (face - wall) / resistance


def film_exponent(film):
    """Logarithm of ``film_factor``.

    Parameters
    ----------
    film : float
        Film temperature [K]; held at 80 and 1600.

    Returns
    -------
    float
        ln f, f in W/m2/K per (kg2/m6 K)^(1/3).

    Source
    ------
    See ``film_factor``.
    """
    x = math.log(min(max(film, 80.0), 1600.0) / 350.0)
    # paired terms: short dependency chains
    y = x * x
    z = y * y
    return (
        (0.3278552742 - 0.02582981132 * x)
        + y * (0.0008498004652 + 0.02701078366 * x)
        + z * (
            (0.002920669503 - 0.01354828646 * x)
            + y * (-0.008666198019 + 0.00478229869 * x)
            + z * (
                (0.005244926345 - 0.0008974538706 * x)
                + y * (-0.001518005896 + 6.909183907e-05 * x)
                + z * 0.000177794818
            )
        )
    )  # fmt: skip


def film_factor(film):
    """Fluid part of natural convection in dilute air, 0.13 k (g Pr / (T mu^2))^(1/3).

    Parameters
    ----------
    film : float
        Film temperature [K]; held at 80 and 1600.

    Returns
    -------
    float
        Factor f [W/m2/K per (kg2/m6 K)^(1/3)]: coefficient h = f (rho^2 dT)^(1/3).

    Source
    ------
    Nu = 0.13 Ra^(1/3), handbook form; dilute-gas viscosity and conductivity of Lemmon and
    Jacobsen (2004), fitted within 1e-5.
    """
    return math.exp(film_exponent(film))


def convection_coefficient(rho, wall, gas):
    """Natural convection between a wall and the air inside.

    Parameters
    ----------
    rho : float
        Density of the air, mass over volume [kg/m3].
    wall, gas : float
        Temperatures [K].

    Returns
    -------
    float
        Heat transfer coefficient [W/m2/K]; independent of the size.

    Source
    ------
    Nu = 0.13 Ra^(1/3), handbook form above Ra 1e9; uncertainty about 40 %.
    """
    drive = rho * rho * abs(wall - gas)
    if not drive > 0.0:
        return 0.0
    # the cube root goes with the exponential
    return math.exp(film_exponent(0.5 * (wall + gas)) + math.log(drive) / 3.0)


def inner_radiation(hot, cold, hot_area, cold_area, emissivity):
    """Radiant heat from the hot to the cold wall zone of one vessel.

    Parameters
    ----------
    hot, cold : float
        Temperatures [K].
    hot_area, cold_area : float
        Areas [m2]; 0 for none.
    emissivity : float
        Of both surfaces.

    Returns
    -------
    float
        Heat [W], negative when the "cold" zone is the hotter.

    Source
    ------
    Two grey surfaces of an enclosure, view factor Fhc = Ac/(Ah + Ac).
    """
    if hot_area <= 0.0 or cold_area <= 0.0:
        return 0.0
    h2 = hot * hot
    c2 = cold * cold
    surface = (1.0 - emissivity) / emissivity
    resistance = (
        surface / hot_area + (hot_area + cold_area) / (hot_area * cold_area) + surface / cold_area
    )
    return STEFAN_BOLTZMANN * (h2 * h2 - c2 * c2) / resistance
