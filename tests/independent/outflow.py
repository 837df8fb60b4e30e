"""Mass flow of real air out of a vessel: through a hole, and along a pipe with friction.

Both are solved from the conservation laws with states from the reference equation; no closed
forms of the ideal gas.
"""

from __future__ import annotations

import math

from scipy.optimize import brentq

from .air_state import Properties, on_isentrope, properties


def _sonic_throat(inside: Properties) -> tuple[float, float]:
    """Pressure and mass flux of the throat where the speed equals that of sound."""
    guess = [inside.T]

    def excess(rho: float) -> float:
        state = on_isentrope(rho, inside.s, guess[0])
        guess[0] = state.T
        return 2.0 * (inside.h - state.h) - state.sound**2

    rho = brentq(excess, 0.5 * inside.rho, 0.75 * inside.rho, xtol=1e-12, rtol=1e-12)
    throat = on_isentrope(rho, inside.s, guess[0])
    return throat.p, rho * throat.sound


def hole_mass_flux(rho: float, T: float, back: float) -> float:
    """Isentropic mass flux (kg/s/m2) from rest at (rho, T) to the pressure ``back`` (Pa)."""
    inside = properties(rho, T)
    if back >= inside.p:
        return 0.0
    # sonic below 0.45 and never above 0.60 for air: the throat need not be sought there
    if back < 0.60 * inside.p:
        throat_pressure, flux = _sonic_throat(inside)
        if back <= throat_pressure:
            return flux
    low = high = inside
    rho_e = inside.rho * (back / inside.p) ** (1.0 / 1.4)
    for _ in range(50):
        state = on_isentrope(rho_e, inside.s, inside.T * (rho_e / inside.rho) ** 0.4)
        # along an isentrope dp = a^2 drho
        step = (back - state.p) / state.sound**2
        rho_e += step
        if abs(step) < 1e-13 * rho_e:
            break
    high = on_isentrope(rho_e, inside.s, low.T * (rho_e / inside.rho) ** 0.4)
    return rho_e * math.sqrt(max(2.0 * (inside.h - high.h), 0.0))


# Gauss-Legendre points on (0, 1)
_NODES = (0.04691007703067, 0.23076534494716, 0.5, 0.76923465505284, 0.95308992296933)
_WEIGHTS = (
    0.11846344252810,
    0.23931433524968,
    0.28444444444444,
    0.23931433524968,
    0.11846344252810,
)


def _static_state(h0: float, flux: float, rho: float, guess: float) -> Properties:
    """State in the pipe at ``rho`` with stagnation enthalpy ``h0`` and mass flux ``flux``."""
    wanted = h0 - 0.5 * (flux / rho) ** 2
    state = properties(rho, guess)
    for _ in range(50):
        # (dh/dT)_rho = cv + (dp/dT)_rho / rho
        step = (wanted - state.h) / (state.cv + state.dp_dT / rho)
        state = properties(rho, state.T + step)
        if abs(step) < 1e-11 * state.T:
            return state
    raise ArithmeticError("no state in the pipe")


def _resistance(inside: Properties, flux: float, back: float) -> tuple[float, bool]:
    """Friction number that brings the flow from rest to ``back``, or to sonic speed before it.

    From dp + G^2 dv + (G^2 v / 2) dK = 0:  dK = -2 rho dp / G^2 + 2 drho / rho.
    The second value says whether the pipe end is sonic.
    """
    # inlet: isentropic from rest to the speed G / rho
    rho1 = inside.rho
    for _ in range(60):
        state = on_isentrope(rho1, inside.s, inside.T * (rho1 / inside.rho) ** 0.4)
        g = inside.h - state.h - 0.5 * (flux / rho1) ** 2
        slope = -(state.sound**2) / rho1 + flux**2 / rho1**3
        step = -g / slope
        rho1 += step
        if abs(step) < 1e-12 * rho1:
            break
    inlet = on_isentrope(rho1, inside.s, inside.T)

    def end_excess(rho: float) -> float:
        return _static_state(inside.h, flux, rho, inside.T).p - back

    def sonic_excess(rho: float) -> float:
        state = _static_state(inside.h, flux, rho, inside.T)
        return (flux / rho) ** 2 - state.sound**2

    # far below sonic speed the end state stands close to the isothermal estimate
    estimate = inside.rho * back / inside.p
    if flux / estimate < 0.7 * inside.sound:
        choked = False
        rho2 = brentq(end_excess, 0.8 * estimate, min(1.25 * estimate, rho1), rtol=1e-12)
    else:
        low = 0.5 * max(0.999 * flux / inlet.sound, 1e-6)
        rho_sonic = brentq(sonic_excess, low, rho1, rtol=1e-12) if sonic_excess(rho1) < 0 else rho1
        choked = end_excess(rho_sonic) >= 0.0
        rho2 = rho_sonic if choked else brentq(end_excess, rho_sonic, rho1, rtol=1e-12)

    # integral of rho dp over ln rho, dp from finite steps along the path
    total = 0.0
    span = math.log(rho2 / rho1)
    for node, weight in zip(_NODES, _WEIGHTS, strict=True):
        rho = rho1 * math.exp(span * node)
        d = 1e-5
        p_hi = _static_state(inside.h, flux, rho * (1 + d), inside.T).p
        p_lo = _static_state(inside.h, flux, rho * (1 - d), inside.T).p
        total += weight * rho * (p_hi - p_lo) / (2 * d)
    return -2.0 * total * span / flux**2 + 2.0 * span, choked


def pipe_mass_flow(
    upstream: tuple[float, float],
    back: float,
    diameter: float,
    length: float,
    loss: float,
    roughness: float = 5e-5,
    viscosity: float = 1.85e-5,
) -> float:
    """Adiabatic mass flow (kg/s) along a pipe from rest at ``upstream`` = (rho, T) to ``back``.

    ``loss`` is the sum of K of the fittings; 0.5 is added for the entrance, the velocity head
    that is lost at the exit is contained in the acceleration from rest. Friction by Haaland.
    Below 100 Pa the flow is linear in the pressure difference.
    """
    inside = properties(*upstream)
    difference = inside.p - back
    if difference <= 0.0:
        return 0.0
    if difference < 100.0:
        full = pipe_mass_flow(
            upstream, inside.p - 100.0, diameter, length, loss, roughness, viscosity
        )
        return full * difference / 100.0
    area = 0.25 * math.pi * diameter**2

    def friction(flux: float) -> float:
        reynolds = max(flux * diameter / viscosity, 100.0)
        darcy = (-1.8 * math.log10(6.9 / reynolds + (roughness / diameter / 3.7) ** 1.11)) ** -2
        return darcy * length / diameter + loss + 0.5

    # more flux uses up the pressure with less friction: the balance falls with the flux
    upper = hole_mass_flux(inside.rho, inside.T, back) * (1 - 1e-9)

    def balance(log_flux: float) -> float:
        flux = math.exp(log_flux)
        available, _ = _resistance(inside, flux, back)
        return math.log(max(available, 1e-9) / friction(flux))

    mean = 0.5 * inside.rho * (1.0 + back / inside.p)
    estimate = math.sqrt(2.0 * mean * difference / (1.0 + friction(1e3)))
    low, high = math.log(0.2 * min(estimate, upper)), math.log(upper)
    near = math.log(min(0.9 * estimate, 0.9 * upper)), math.log(min(1.1 * estimate, upper))
    if balance(near[0]) > 0.0 > balance(near[1]):
        low, high = near
    flux = math.exp(brentq(balance, low, high, xtol=1e-9, rtol=1e-12))
    return flux * area
