"""Flow of air out of openings and through pipes, for single states and arrays."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from airrisk.physics import air, flow_kernel
from airrisk.physics.ideal_gas import EXPONENT
from airrisk.tables import load_arrays

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class FlowTable:
    """Critical flow by stagnation state; see ``flow_kernel.flow_constants`` for the layout."""

    x_axis: Array
    rho_axis: Array
    coefficients: Array

    def arrays(self) -> flow_kernel.FlowArrays:
        """First argument of the functions of ``flow_kernel``."""
        return flow_kernel.FlowArrays(self.coefficients, self.x_axis, self.rho_axis)


# value and slope at both ends of [0, 1] -> polynomial coefficients
_CUBIC = np.array([[1, 0, 0, 0], [0, 1, 0, 0], [-3, -2, 3, -1], [2, 1, -2, 1]], dtype=float)


def _slopes(values: Array, axis: int) -> Array:
    """Slope per node step: fourth order inside, lower beside gaps and edges."""
    f = np.moveaxis(values, axis, 0)
    padded = np.full((f.shape[0] + 4, *f.shape[1:]), np.nan)
    padded[2:-2] = f
    before2, before, after, after2 = padded[:-4], padded[1:-3], padded[3:-1], padded[4:]
    choices = (
        (8.0 * (after - before) - (after2 - before2)) / 12.0,
        0.5 * (after - before),
        -1.5 * f + 2.0 * after - 0.5 * after2,
        1.5 * f - 2.0 * before + 0.5 * before2,
        after - f,
        f - before,
    )
    slope = choices[0]
    for other in choices[1:]:
        slope = np.where(np.isnan(slope), other, slope)
    return np.moveaxis(slope, 0, axis)


@cache
def flow_table() -> FlowTable:
    """The table of critical flow, read once; bicubic cells, NaN where a throat would condense."""
    stored = load_arrays("flow_table.npz")
    cells = []
    for name in ("critical_flux", "exponent"):
        f = stored[name]
        f_x, f_y = _slopes(f, 0), _slopes(f, 1)
        f_xy = _slopes(f_x, 1)
        # rows (X: value, slope), columns (Y: value, slope) at each corner
        node = np.stack((np.stack((f, f_y), -1), np.stack((f_x, f_xy), -1)), -2)
        left = np.concatenate((node[:, :-1], node[:, 1:]), -1)  # (n_x, cells, 2, 4)
        corners = np.concatenate((left[:-1], left[1:]), -2)  # (cells, cells, 4, 4)
        cells.append((_CUBIC @ corners @ _CUBIC.T).reshape(*corners.shape[:2], 16))
    return FlowTable(stored["x_axis"], stored["rho_axis"], np.ascontiguousarray(np.stack(cells, 2)))


def _each(function, *values: ArrayLike) -> Array:
    arrays = np.broadcast_arrays(*(np.asarray(value, float) for value in values))
    flat = [function(*row) for row in zip(*(a.ravel().tolist() for a in arrays), strict=True)]
    return np.array(flat).reshape(arrays[0].shape)


def mass_flux(p0: ArrayLike, t0: ArrayLike, p_back: ArrayLike) -> Array:
    """Real-gas isentropic mass flux from a stagnation state, critical or not.

    Parameters
    ----------
    p0 : array
        Stagnation pressure [Pa].
    t0 : array
        Stagnation temperature [K].
    p_back : array
        Absolute pressure behind the opening [Pa]; at or above ``p0`` the flux is 0.

    Returns
    -------
    array
        Mass flux [kg/m2/s], without discharge coefficient; proportional to the difference
        below 100 Pa.

    Raises
    ------
    AirRangeError
        The state is outside the tables or the throat would condense.

    Source
    ------
    Isentropic nozzle with the reference equation for air; see ``build_flow_table``.
    """
    rho0 = air.density(p0, t0)
    table = flow_table().arrays()
    flux = _each(
        lambda p, rho, t, back: flow_kernel.nozzle_mass_flux(table, p, rho, t, back)[0],
        p0, rho0, t0, p_back,
    )  # fmt: skip
    if np.isnan(flux).any():
        at = int(np.flatnonzero(np.isnan(flux).ravel())[0])
        p_, t_ = np.broadcast_arrays(p0, t0, p_back)[:2]
        raise air.AirRangeError("mass flux", float(p_.ravel()[at]), float(t_.ravel()[at]))
    return flux


def critical_pressure_ratio(p0: float, t0: float) -> float:
    """Throat over stagnation pressure of a choked opening.

    Parameters
    ----------
    p0 : float
        Stagnation pressure [Pa].
    t0 : float
        Stagnation temperature [K].

    Returns
    -------
    float
        Real-gas critical pressure ratio.

    Raises
    ------
    AirRangeError
        The state is outside the tables or the throat would condense.
    """
    rho0 = float(air.density(p0, t0))
    _, exponent = flow_kernel.flow_constants(flow_table().arrays(), rho0, t0)
    if math.isnan(exponent):
        raise air.AirRangeError("critical pressure ratio", p0, t0)
    return flow_kernel.critical_ratio(exponent)


def ideal_mass_flux(
    p0: ArrayLike,
    t0: ArrayLike,
    p_back: ArrayLike,
    exponent: float = EXPONENT,
    gas_constant: float = air.GAS_CONSTANT,
) -> Array:
    """Ideal-gas isentropic mass flux, closed form.

    Parameters
    ----------
    p0 : array
        Stagnation pressure [Pa].
    t0 : array
        Stagnation temperature [K].
    p_back : array
        Absolute pressure behind the opening [Pa].
    exponent : float
        Isentropic exponent k.
    gas_constant : float
        R [J/kg/K].

    Returns
    -------
    array
        Mass flux [kg/m2/s].

    Source
    ------
    Text-book isentropic nozzle flow.
    """
    critical = flow_kernel.critical_ratio(exponent)

    def one(p: float, t: float, back: float) -> float:
        if back >= p:
            return 0.0
        ratio = max(back / p, critical)
        return flow_kernel.nozzle_flow_number(ratio, exponent) * p / math.sqrt(gas_constant * t)

    return _each(one, p0, t0, p_back)


@dataclass(frozen=True)
class PipeFlow:
    """Steady flow through a pipe from a stagnation state."""

    mass_flow: float  # kg/s
    end_pressure: float  # Pa absolute, at the pipe end; above the outer one when choked
    choked: bool


def pipe_mass_flow(
    p0: float, t0: float, p_back: float, *, length: float, diameter: float, loss: float = 0.0
) -> PipeFlow:
    """Adiabatic flow with friction through a pipe, choked where it must.

    Parameters
    ----------
    p0 : float
        Stagnation pressure at the entry [Pa].
    t0 : float
        Stagnation temperature [K].
    p_back : float
        Absolute pressure behind the pipe [Pa].
    length, diameter : float
        Pipe [m]; roughness 0.05 mm.
    loss : float
        Sum of the loss coefficients of fittings; entry 0.5 and outlet 1.0 are added.

    Returns
    -------
    PipeFlow
        Mass flow and pressure at the end.

    Raises
    ------
    AirRangeError
        The state is outside the tables.
    ArithmeticError
        The flow was not found.

    Source
    ------
    Isentropic entry and adiabatic constant-bore flow with friction, text-book closed form with
    the real-gas exponent; friction after Haaland (1983).
    """
    rho0 = float(air.density(p0, t0))
    table = flow_table().arrays()
    if math.isnan(flow_kernel.flow_constants(table, rho0, t0)[0]):
        raise air.AirRangeError("pipe flow", p0, t0)
    mu = float(air.viscosity(t0))
    flow, end, _ = flow_kernel.pipe_mass_flow(
        table, p0, rho0, t0, mu, p_back, length, diameter, loss, 0.0
    )
    if math.isnan(flow):
        raise ArithmeticError(
            f"pipe flow did not converge: {p0:.6g} Pa to {p_back:.6g} Pa, "
            f"{length:.6g} m of {diameter:.6g} m"
        )
    return PipeFlow(float(flow), float(end), end > p_back * (1.0 + 1e-9))


def reaction_force(
    mass_flow: float, velocity: float, exit_pressure: float, ambient_pressure: float, area: float
) -> float:
    """Reaction force of a jet on its outlet.

    Parameters
    ----------
    mass_flow : float
        Mass flow [kg/s].
    velocity : float
        Velocity at the exit [m/s].
    exit_pressure, ambient_pressure : float
        Absolute pressures [Pa].
    area : float
        Exit area [m2].

    Returns
    -------
    float
        Force [N].

    Source
    ------
    Momentum balance: m v + (p_e - p_0) A.
    """
    return mass_flow * velocity + (exit_pressure - ambient_pressure) * area


def open_outlet_force(p0: float, t0: float, p_back: float, area: float) -> float:
    """Reaction force of an opening that discharges straight into the air.

    Parameters
    ----------
    p0 : float
        Stagnation pressure [Pa].
    t0 : float
        Stagnation temperature [K].
    p_back : float
        Absolute pressure outside [Pa].
    area : float
        Opening x discharge coefficient [m2].

    Returns
    -------
    float
        Force [N].

    Raises
    ------
    AirRangeError
        The state is outside the tables.
    """
    rho0 = float(air.density(p0, t0))
    flux, throat = flow_kernel.nozzle_mass_flux(flow_table().arrays(), p0, rho0, t0, p_back)
    if math.isnan(flux):
        raise air.AirRangeError("reaction force", p0, t0)
    if flux == 0.0:
        return 0.0
    end = air.isentropic_state(rho0, t0, throat)
    return reaction_force(flux * area, flux / end.density, throat, p_back, area)
