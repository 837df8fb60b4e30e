"""Real air: pressure, energy, entropy and transport on (density, temperature), for arrays.

All from one tabulated Helmholtz potential (see ``air_kernel``), so that the properties agree
with each other exactly and with the reference equation to about 1e-9. Outside the table, or
where air would condense, ``AirRangeError`` is raised; nothing is extrapolated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.messages import said
from airrisk.physics.air_kernel import STRETCH
from airrisk.physics.air_surface import AirTable, air_table
from airrisk.physics.water_kernel import (
    WATER_CRITICAL_PRESSURE,
    WATER_CRITICAL_TEMPERATURE,
    WATER_GAS_CONSTANT,
)

__all__ = [
    "GAS_CONSTANT",
    "HIGHEST_TEMPERATURE",
    "LARGEST_DENSITY",
    "LOWEST_TEMPERATURE",
    "WATER_CRITICAL_PRESSURE",
    "WATER_CRITICAL_TEMPERATURE",
    "WATER_GAS_CONSTANT",
    "AirRangeError",
    "AirState",
    "AirTable",
    "IsentropicEnd",
    "air_state",
    "air_table",
    "compressibility",
    "conductivity",
    "cp",
    "cv",
    "density",
    "enthalpy",
    "internal_energy",
    "isentropic_state",
    "prandtl",
    "pressure",
    "saturation_pressure_water",
    "speed_of_sound",
    "temperature",
    "viscosity",
]

Array = NDArray[np.float64]

GAS_CONSTANT = 287.0491267875601  # J/kg/K, of the reference equation (stamped in the table)
LOWEST_TEMPERATURE = 80.0  # K
HIGHEST_TEMPERATURE = 1600.0  # K
LARGEST_DENSITY = 600.0  # kg/m3


class AirRangeError(ValueError):
    """Air was asked for outside the table or where it condenses.

    ``quantity`` is what was asked for, ``value`` the first offending (density or pressure,
    temperature) pair.
    """

    def __init__(self, quantity: str, first: float, second: float) -> None:
        self.quantity = quantity
        self.value = (first, second)
        super().__init__(
            f"{quantity} of air: no value at {first:.6g}, {second:.6g} "
            f"(single-phase air, 80 to 1600 K, up to 600 kg/m3)"
        )

    def __reduce__(self):
        return type(self), (self.quantity, *self.value)


@dataclass(frozen=True, eq=False)
class AirState:
    """All properties at given densities and temperatures, arrays of one shape."""

    density: Array  # kg/m3
    temperature: Array  # K
    pressure: Array  # Pa
    internal_energy: Array  # J/kg
    enthalpy: Array  # J/kg
    entropy: Array  # J/kg/K
    cv: Array  # J/kg/K
    cp: Array  # J/kg/K
    dp_dt: Array  # Pa/K at constant density
    dp_drho: Array  # Pa m3/kg at constant temperature
    speed_of_sound: Array  # m/s


def _properties(cell, x, y, step_x, step_rho, rho, temperature, log_rho):  # type: ignore[no-untyped-def]
    """p, u, cv, dp/dT, h, s, dp/drho from the 36 coefficients of a cell; arrays or floats."""
    f = f_x = f_xx = f_y = f_yy = f_xy = 0.0
    # Horner in both directions; a pass updates the slopes before the value
    for a in range(5, -1, -1):
        k = 6 * a
        g = cell[k + 5]
        g_y = g_yy = 0.0
        for b in range(4, -1, -1):
            g_yy = g_yy * y + 2.0 * g_y
            g_y = g_y * y + g
            g = g * y + cell[k + b]
        f_xx = f_xx * x + 2.0 * f_x
        f_x = f_x * x + f
        f = f * x + g
        f_xy = f_xy * x + f_y
        f_y = f_y * x + g_y
        f_yy = f_yy * x + g_yy
    f_x = f_x / step_x
    f_xx = f_xx / (step_x * step_x)
    f_rho = f_y / step_rho
    f_rho_x = f_xy / (step_rho * step_x)
    r = GAS_CONSTANT
    r_t = r * temperature
    z = 1.0 + rho * f_rho
    u = -r_t * f_x
    return (
        rho * r_t * z,
        u,
        -r * (f_x + f_xx),
        rho * r * (z + rho * f_rho_x),
        u + r_t * z,
        -r * (f_x + f + log_rho),
        r_t * (1.0 + 2.0 * rho * f_rho + rho * rho * f_yy / (step_rho * step_rho)),
    )


_NOWHERE = (math.nan,) * 7


def _evaluate_one(rho: float, temperature: float) -> tuple[float, ...]:
    """As ``_evaluate`` for one state, without the cost of arrays."""
    table = air_table()
    x_axis, rho_axis = table.x_axis, table.rho_axis
    n_x, n_rho = x_axis.size - 1, rho_axis.size - 1
    if not (temperature > 0.0 and 0.0 <= rho <= LARGEST_DENSITY):
        return _NOWHERE
    step_x = float(x_axis[-1] - x_axis[0]) / n_x
    position = (math.log(temperature) - float(x_axis[0])) / step_x
    if not -1e-9 <= position <= n_x + 1e-9:
        return _NOWHERE
    share = rho / LARGEST_DENSITY
    s = 2.0 * share / (STRETCH + math.sqrt(STRETCH * STRETCH + 4.0 * (1.0 - STRETCH) * share))
    i = min(max(int(position), 0), n_x - 1)
    j = min(int(s * n_rho), n_rho - 1)
    low = float(rho_axis[j])
    step_rho = float(rho_axis[j + 1]) - low
    cell = table.coefficients[i, j].tolist()
    log_rho = math.log(rho) if rho > 0.0 else -math.inf
    return _properties(  # type: ignore[no-any-return]
        cell, position - i, (rho - low) / step_rho, step_x, step_rho, rho, temperature, log_rho
    )


def _evaluate(
    rho: Array, temperature: Array, coefficients: Array | None = None
) -> tuple[Array, ...]:
    """p, u, cv, dp/dT, h, s, dp/drho, NaN outside; the equations of ``air_kernel``."""
    if coefficients is None and rho.size == 1:
        one = _evaluate_one(float(rho.ravel()[0]), float(temperature.ravel()[0]))
        return tuple(np.full(rho.shape, value) for value in one)
    table = air_table()
    if coefficients is None:
        coefficients = table.coefficients
    x_axis, rho_axis = table.x_axis, table.rho_axis
    n_x, n_rho = x_axis.size - 1, rho_axis.size - 1
    with np.errstate(invalid="ignore", divide="ignore"):
        position = (np.log(temperature) - x_axis[0]) / (x_axis[-1] - x_axis[0]) * n_x
        share = rho / rho_axis[-1]
        outside = ~(
            (position >= -1e-9) & (position <= n_x + 1e-9) & (share >= 0.0) & (share <= 1.0)
        )
        position = np.where(outside, 0.0, position)
        share = np.where(outside, 0.0, share)
        c = 1.0 - STRETCH
        s = 2.0 * share / (STRETCH + np.sqrt(STRETCH * STRETCH + 4.0 * c * share))
        i = np.clip(position.astype(np.intp), 0, n_x - 1)
        j = np.minimum((s * n_rho).astype(np.intp), n_rho - 1)
        step_rho = rho_axis[j + 1] - rho_axis[j]
        x = np.where(outside, np.nan, position - i)
        y = (rho - rho_axis[j]) / step_rho
        cell = np.moveaxis(coefficients[i, j], -1, 0)
        step_x = (x_axis[-1] - x_axis[0]) / n_x
        return _properties(  # type: ignore[no-any-return]
            cell, x, y, step_x, step_rho, rho, temperature, np.log(rho)
        )


class Isochore:
    """Air at one density: pressure against temperature with the table's column worked out once.

    Parameters
    ----------
    rho : float
        Density [kg/m3].

    Raises
    ------
    AirRangeError
        The density is outside the table.
    """

    def __init__(self, rho: float) -> None:
        table = air_table()
        if not 0.0 <= rho <= LARGEST_DENSITY:
            raise AirRangeError("state", rho, math.nan)
        rho_axis = table.rho_axis
        n_rho = rho_axis.size - 1
        share = rho / LARGEST_DENSITY
        s = 2.0 * share / (STRETCH + math.sqrt(STRETCH * STRETCH + 4.0 * (1.0 - STRETCH) * share))
        j = min(int(s * n_rho), n_rho - 1)
        step = float(rho_axis[j + 1] - rho_axis[j])
        y = (rho - float(rho_axis[j])) / step
        powers = np.arange(1, 6)
        slopes = powers * y ** (powers - 1) / step  # of y, y^2 ... against density
        column = table.coefficients[:, j].reshape(-1, 6, 6)
        self.density = rho
        self._slopes = column[:, :, 1:] @ slopes  # cell, power of x
        self._low = float(table.x_axis[0])
        self._scale = (table.x_axis.size - 1) / float(table.x_axis[-1] - table.x_axis[0])

    def pressure(self, temperature: ArrayLike) -> Array:
        """Pressure [Pa] at a temperature [K]; raises ``AirRangeError``."""
        t = np.asarray(temperature, float)
        n = self._slopes.shape[0]
        with np.errstate(invalid="ignore", divide="ignore"):
            position = (np.log(t) - self._low) * self._scale
            outside = ~((position >= -1e-9) & (position <= n + 1e-9))
            position = np.where(outside, 0.0, position)
        cell = np.clip(position.astype(np.intp), 0, n - 1)
        x = np.where(outside, np.nan, position - cell)
        rows = np.moveaxis(self._slopes[cell], -1, 0)
        slope = rows[5]
        for a in range(4, -1, -1):
            slope = slope * x + rows[a]
        found: Array = self.density * GAS_CONSTANT * t * (1.0 + self.density * slope)
        _require(found, "state", np.full_like(t, self.density), t)
        return found


def _pair(first: ArrayLike, second: ArrayLike) -> tuple[Array, Array]:
    a, b = np.broadcast_arrays(np.asarray(first, float), np.asarray(second, float))
    return a, b


def _require(values: Array, quantity: str, first: Array, second: Array) -> None:
    bad = np.isnan(values)
    if bad.any():
        at = int(np.flatnonzero(bad.ravel())[0])
        raise AirRangeError(quantity, float(first.ravel()[at]), float(second.ravel()[at]))


def air_state(rho: ArrayLike, temperature: ArrayLike) -> AirState:
    """All properties at density and temperature.

    Parameters
    ----------
    rho : array
        Density [kg/m3].
    temperature : array
        Temperature [K].

    Returns
    -------
    AirState
        Arrays of the common shape.

    Raises
    ------
    AirRangeError
        Outside 80-1600 K, 0-600 kg/m3, or where air condenses.
    """
    rho_, t = _pair(rho, temperature)
    p, u, cv_, dpdt, h, s, dpdrho = _evaluate(rho_, t)
    _require(p, "state", rho_, t)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(rho_ > 0.0, dpdt / rho_, air_table().gas_constant)
    cp_ = cv_ + t * share**2 / dpdrho
    sound = np.sqrt(dpdrho * cp_ / cv_)
    return AirState(rho_, t, p, u, h, s, cv_, cp_, dpdt, dpdrho, sound)


def pressure(rho: ArrayLike, temperature: ArrayLike) -> Array:
    """Pressure [Pa] at density [kg/m3] and temperature [K]; raises ``AirRangeError``."""
    rho_, t = _pair(rho, temperature)
    found = _evaluate(rho_, t)[0]
    _require(found, "state", rho_, t)
    return found


def internal_energy(rho: ArrayLike, temperature: ArrayLike) -> Array:
    """Internal energy [J/kg] at density [kg/m3] and temperature [K]."""
    return air_state(rho, temperature).internal_energy


def enthalpy(rho: ArrayLike, temperature: ArrayLike) -> Array:
    """Enthalpy [J/kg] at density [kg/m3] and temperature [K]."""
    return air_state(rho, temperature).enthalpy


def cv(rho: ArrayLike, temperature: ArrayLike) -> Array:
    """Heat capacity at constant volume [J/kg/K] at density [kg/m3] and temperature [K]."""
    return air_state(rho, temperature).cv


def cp(rho: ArrayLike, temperature: ArrayLike) -> Array:
    """Heat capacity at constant pressure [J/kg/K] at density [kg/m3] and temperature [K]."""
    return air_state(rho, temperature).cp


def speed_of_sound(rho: ArrayLike, temperature: ArrayLike) -> Array:
    """Speed of sound [m/s] at density [kg/m3] and temperature [K]."""
    return air_state(rho, temperature).speed_of_sound


def density(p: ArrayLike, temperature: ArrayLike) -> Array:
    """Density at pressure and temperature (the gas, where two densities are possible).

    Parameters
    ----------
    p : array
        Absolute pressure [Pa].
    temperature : array
        Temperature [K].

    Returns
    -------
    array
        Density [kg/m3].

    Raises
    ------
    AirRangeError
        No gas density within the table gives this pressure.
    """
    p_, t = _pair(p, temperature)
    if p_.size == 1:
        one = _density_of_one(float(p_.ravel()[0]), float(t.ravel()[0]))
        if one is not None:
            return np.full(p_.shape, one)
    r = air_table().gas_constant
    with np.errstate(invalid="ignore"):
        # p = rho R T / (1 - b rho) starts below the answer at high pressure, so it stays inside
        rho = p_ / (r * t) / (1.0 + 1.5e-3 * p_ / (r * t))
    low = np.zeros_like(rho)
    high = np.full_like(rho, LARGEST_DENSITY)
    for _ in range(60):
        found, *_rest, slope = _evaluate(rho, t)
        missing = np.isnan(found)  # beyond the gas or the table: come back
        with np.errstate(invalid="ignore", divide="ignore"):
            too_high = missing | (found > p_)
            high = np.where(too_high, np.minimum(high, rho), high)
            low = np.where(too_high, low, np.maximum(low, rho))
            new = rho - (found - p_) / slope
            halved = 0.5 * (low + high)
            # both ends stay in reach: a density at the very edge of the table is allowed
            new = np.where(missing | ~((new >= low) & (new <= high)), halved, new)
            done = np.abs(new - rho) <= 1e-13 * np.abs(rho)
        rho = np.where(p_ == 0.0, 0.0, new)
        if np.all(done | ~(p_ > 0.0)):
            break
    found = _evaluate(rho, t)[0]
    with np.errstate(invalid="ignore"):
        wrong = ~(np.abs(found - p_) <= 1e-9 * np.abs(p_))
    _require(np.where(wrong, np.nan, found), "density", p_, t)
    return rho


def _density_of_one(p: float, temperature: float) -> float | None:
    """Density of one state by Newton from below; None when it does not run straight there."""
    if not (p > 0.0 and temperature > 0.0):
        return None
    ideal = p / (GAS_CONSTANT * temperature)
    rho = ideal / (1.0 + 1.5e-3 * ideal)
    for _ in range(12):
        found, *_rest, slope = _evaluate_one(rho, temperature)
        if not (math.isfinite(found) and slope > 0.0):
            return None
        new = rho - (found - p) / slope
        if not 0.0 < new <= LARGEST_DENSITY:
            return None
        if abs(new - rho) <= 1e-13 * rho:
            return new if abs(_evaluate_one(new, temperature)[0] - p) <= 1e-9 * p else None
        rho = new
    return None


def temperature(rho: ArrayLike, p: ArrayLike) -> Array:
    """Temperature at density and pressure.

    Parameters
    ----------
    rho : array
        Density [kg/m3].
    p : array
        Absolute pressure [Pa].

    Returns
    -------
    array
        Temperature [K].

    Raises
    ------
    AirRangeError
        No temperature within the table gives this pressure.
    """
    rho_, p_ = _pair(rho, p)
    low = np.full(rho_.shape, LOWEST_TEMPERATURE)
    high = np.full(rho_.shape, HIGHEST_TEMPERATURE)
    with np.errstate(invalid="ignore", divide="ignore"):
        t = np.clip(p_ / (GAS_CONSTANT * rho_), 150.0, 1500.0)
    for _ in range(60):
        found, _u, _cv, slope, *_rest = _evaluate(rho_, t)
        missing = np.isnan(found)  # cold enough to condense: go up
        with np.errstate(invalid="ignore", divide="ignore"):
            too_low = missing | (found < p_)
            low = np.where(too_low, np.maximum(low, t), low)
            high = np.where(too_low, high, np.minimum(high, t))
            new = t - (found - p_) / slope
            new = np.where(missing | ~((new >= low) & (new <= high)), 0.5 * (low + high), new)
            done = np.abs(new - t) <= 1e-13 * t
        t = new
        if np.all(done):
            break
    found = _evaluate(rho_, t)[0]
    with np.errstate(invalid="ignore"):
        wrong = ~(np.abs(found - p_) <= 1e-9 * np.abs(p_))
    _require(np.where(wrong, np.nan, found), "temperature", rho_, p_)
    return t


def compressibility(p: ArrayLike, temperature: ArrayLike) -> Array:
    """Compressibility factor at pressure [Pa absolute] and temperature [K]."""
    p_, t = _pair(p, temperature)
    return p_ / (density(p_, t) * GAS_CONSTANT * t)


@dataclass(frozen=True)
class IsentropicEnd:
    """State after an isentropic expansion or compression."""

    density: float  # kg/m3
    temperature: float  # K
    internal_energy: float  # J/kg
    enthalpy: float  # J/kg
    note: str  # empty, or why the value is an equilibrium one with liquid


def isentropic_state(rho: float, temperature: float, p_end: float) -> IsentropicEnd:
    """State at another pressure and the same entropy.

    Parameters
    ----------
    rho : float
        Density at the start [kg/m3].
    temperature : float
        Temperature at the start [K].
    p_end : float
        Absolute pressure at the end [Pa].

    Returns
    -------
    IsentropicEnd
        From the table; where the end is cold or partly liquid, the equilibrium value of the
        reference equation with a note.

    Raises
    ------
    AirRangeError
        The start is outside the table, or no end state exists.
    """
    start = air_state(rho, temperature)
    if not p_end > 0.0:
        raise AirRangeError("isentropic end state", p_end, temperature)
    s0, p0 = float(start.entropy), float(start.pressure)
    k = float(start.cp / start.cv)
    t_guess = temperature * (p_end / p0) ** (0.2857 if k > 1.6 else (k - 1.0) / k)
    found = _at_entropy(p_end / (GAS_CONSTANT * t_guess), t_guess, p_end, s0)
    if found is None:  # the guess fell outside: go there in steps
        r, t = float(rho), float(temperature)
        steps = 1 + int(4.0 * abs(math.log(p_end / p0)))
        for n in range(1, steps + 1):
            found = _at_entropy(r, t, p0 * (p_end / p0) ** (n / steps), s0)
            if found is None:
                return _equilibrium_end(rho, temperature, p_end)
            r, t = found.density, found.temperature
    assert found is not None
    return found


def _at_entropy(rho: float, temperature: float, p_end: float, s0: float) -> IsentropicEnd | None:
    """State of given pressure and entropy by Newton in (ln rho, ln T).

    None if the way leaves the table.
    """
    r, t = rho, temperature
    for _ in range(40):
        p, u, c_v, dpdt, h, s, dpdrho = _evaluate_one(r, t)
        if not math.isfinite(p):
            return None
        d_p, d_s = p_end - p, s0 - s
        # ds = cv/T dT - dp/dT / rho^2 drho
        a, b = dpdrho * r, dpdt * t
        c, d = -dpdt / r, c_v
        det = a * d - b * c
        step_r = (d_p * d - b * d_s) / det
        step_t = (a * d_s - c * d_p) / det
        largest = max(abs(step_r), abs(step_t))
        if largest > 0.3:
            step_r, step_t = 0.3 * step_r / largest, 0.3 * step_t / largest
        if largest < 1e-12:
            return IsentropicEnd(r, t, u, h, "")
        r, t = r * math.exp(step_r), t * math.exp(step_t)
    return None


def _equilibrium_end(rho: float, temperature: float, p_end: float) -> IsentropicEnd:
    import CoolProp.CoolProp as CP

    try:
        state = CP.AbstractState("HEOS", "Air")
        state.update(CP.DmassT_INPUTS, rho, temperature)
        s0, u0, h0 = state.smass(), state.umass(), state.hmass()
        state.update(CP.PSmass_INPUTS, p_end, s0)
    except ValueError as error:
        raise AirRangeError("isentropic end state", rho, temperature) from error
    start = air_state(rho, temperature)
    two_phase = state.phase() == CP.iphase_twophase
    partly = said("ends-partly-liquid")
    note = partly if two_phase else said("ends-outside-table")
    # energies relative to the same zero as the table
    return IsentropicEnd(
        state.rhomass(),
        state.T(),
        state.umass() - u0 + float(start.internal_energy),
        state.hmass() - h0 + float(start.enthalpy),
        note,
    )


def viscosity(temperature: ArrayLike) -> Array:
    """Viscosity of dilute air.

    Parameters
    ----------
    temperature : array
        Temperature [K], 60 to 2000; not checked.

    Returns
    -------
    array
        Dynamic viscosity [Pa s].

    Source
    ------
    Lemmon and Jacobsen (2004), Int. J. Thermophys. 25, 21, dilute-gas part.
    """
    t = np.asarray(temperature, float)
    w = np.log(t / 103.3)
    omega = np.exp(0.431 + w * (-0.4623 + w * (0.08406 + w * (0.005341 - 0.00331 * w))))
    return 0.0266958e-6 * np.sqrt(28.9586 * t) / (0.36**2 * omega)


def conductivity(temperature: ArrayLike) -> Array:
    """Thermal conductivity of dilute air.

    Parameters
    ----------
    temperature : array
        Temperature [K], 60 to 2000; not checked.

    Returns
    -------
    array
        Conductivity [W/m/K].

    Source
    ------
    Lemmon and Jacobsen (2004), Int. J. Thermophys. 25, 21, dilute-gas part.
    """
    t = np.asarray(temperature, float)
    tau = 132.6312 / t
    return 1e-3 * (1.308 * viscosity(t) * 1e6 + 1.405 * tau**-1.1 - 1.036 * tau**-0.3)


def prandtl(temperature: ArrayLike) -> Array:
    """Prandtl number of dilute air at temperature [K]."""
    t = np.asarray(temperature, float)
    return viscosity(t) * cp(np.zeros_like(t), t) / conductivity(t)


def saturation_pressure_water(temperature: ArrayLike) -> Array:
    """Vapour pressure of water; none, that is infinite, above the critical point.

    Parameters
    ----------
    temperature : array
        Temperature [K], from 273.15.

    Returns
    -------
    array
        Pressure [Pa]; infinite above 647.096 K, where no liquid remains.

    Raises
    ------
    AirRangeError
        Below the melting point of ice.

    Source
    ------
    Wagner and Pruss (1993), J. Phys. Chem. Ref. Data 22, 783, equation 1.
    """
    t = np.asarray(temperature, float)
    if np.any(~(t >= 273.15)):
        raise AirRangeError("water vapour pressure", float(np.min(t)), float(np.min(t)))
    critical = WATER_CRITICAL_TEMPERATURE
    v = np.clip(1.0 - t / critical, 0.0, None)
    exponent = (
        -7.85951783 * v
        + 1.84408259 * v**1.5
        - 11.7866497 * v**3
        + 22.6807411 * v**3.5
        - 15.9618719 * v**4
        + 1.80122502 * v**7.5
    )
    return np.where(t < critical, WATER_CRITICAL_PRESSURE * np.exp(exponent * critical / t), np.inf)
