"""Air from the reference equation, one low-level state, evaluated anew at every call.

Source: Lemmon, Jacobsen, Penoncello, Friend (2000) as programmed in CoolProp; transport
properties Lemmon and Jacobsen (2004), same place.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import CoolProp
from CoolProp import AbstractState

_STATE = AbstractState("HEOS", "Air")
_STATE.specify_phase(CoolProp.iphase_gas)
_DENSITY_TEMPERATURE = CoolProp.DmassT_INPUTS
_DILUTE = 1e-3  # kg/m3, thin enough for transport properties without density


class Properties(NamedTuple):
    """Air at one density and temperature, SI."""

    rho: float
    T: float
    p: float
    u: float
    h: float
    s: float
    cv: float
    cp: float
    sound: float
    dp_dT: float


def properties(rho: float, T: float) -> Properties:
    """All properties at density ``rho`` (kg/m3) and temperature ``T`` (K)."""
    _STATE.update(_DENSITY_TEMPERATURE, rho, T)
    return Properties(
        rho,
        T,
        _STATE.p(),
        _STATE.umass(),
        _STATE.hmass(),
        _STATE.smass(),
        _STATE.cvmass(),
        _STATE.cpmass(),
        _STATE.speed_sound(),
        _STATE.first_partial_deriv(CoolProp.iP, CoolProp.iT, CoolProp.iDmass),
    )


def pressure(rho: float, T: float) -> float:
    """Pressure (Pa) at density and temperature."""
    _STATE.update(_DENSITY_TEMPERATURE, rho, T)
    return _STATE.p()


def density(p: float, T: float) -> float:
    """Density (kg/m3) at pressure (Pa) and temperature (K), by Newton's method."""
    rho = p / (287.05 * T)
    for _ in range(50):
        _STATE.update(_DENSITY_TEMPERATURE, rho, T)
        step = (p - _STATE.p()) / _STATE.first_partial_deriv(
            CoolProp.iP, CoolProp.iDmass, CoolProp.iT
        )
        rho += step
        if abs(step) < 1e-13 * rho:
            return rho
    raise ArithmeticError(f"no density at {p} Pa, {T} K")


def temperature_of_energy(rho: float, u: float, guess: float) -> float:
    """Temperature (K) at density and internal energy (J/kg), by Newton's method."""
    T = guess
    for _ in range(50):
        _STATE.update(_DENSITY_TEMPERATURE, rho, T)
        step = (u - _STATE.umass()) / _STATE.cvmass()
        # the integrator's trial states may be far off; they are refused by their error later
        T = min(max(T + step, 0.7 * T, 60.0), 1.5 * T, 4000.0)
        if abs(step) < 1e-11 * T or T in (60.0, 4000.0):
            return T
    raise ArithmeticError(f"no temperature at {rho} kg/m3, {u} J/kg")


def on_isentrope(rho: float, s: float, guess: float) -> Properties:
    """State at density ``rho`` with entropy ``s`` (J/kg/K); (ds/dT)_rho = cv/T."""
    T = guess
    for _ in range(50):
        _STATE.update(_DENSITY_TEMPERATURE, rho, T)
        step = (s - _STATE.smass()) * T / _STATE.cvmass()
        T += step
        if abs(step) < 1e-12 * T:
            return properties(rho, T)
    raise ArithmeticError("isentrope not found")


def film_coefficient(rho: float, gas: float, wall: float) -> float:
    """Natural convection at an inner wall, W/m2/K: Nu = 0.13 Ra^(1/3).

    The length cancels. Transport properties of dilute air and the expansion coefficient are
    taken at the film temperature, the density is that of the gas in the vessel.
    """
    film = 0.5 * (gas + wall)
    _STATE.update(_DENSITY_TEMPERATURE, _DILUTE, film)
    mu, k, cp = _STATE.viscosity(), _STATE.conductivity(), _STATE.cpmass()
    prandtl = mu * cp / k
    rayleigh_per_cube = 9.80665 * abs(wall - gas) / film * rho * rho / (mu * mu) * prandtl
    return 0.13 * k * math.cbrt(rayleigh_per_cube)
