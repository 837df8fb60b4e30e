"""Flow out of and between vessels: scalar functions that can be compiled.

Plain Python without decorators, restricted to what numba compiles in nopython mode.

A table on the stagnation state (density, ln T) holds the real-gas critical mass flux as
C = G*/sqrt(p0 rho0) and the exponent n that has the real critical pressure ratio. Below the
critical flow the closed form with n is used, scaled to meet C at the critical ratio.
"""

from __future__ import annotations

import math

from airrisk.physics.air_kernel import STRETCH

LINEAR_BELOW = 100.0  # Pa; flow is proportional to the difference below it
ROUGHNESS = 0.05e-3  # m, commercial steel pipe
ENTRY_LOSS = 0.5


def flow_constants(coefficients, x_axis, rho_axis, rho, temperature):
    """Critical flow coefficient and exponent from the table.

    Parameters
    ----------
    coefficients : array
        ``[i, j, q, 4 a + b]`` of X^a Y^b; q = 0 is C, q = 1 is n.
    x_axis, rho_axis : array
        ln T (T in K) and density [kg/m3] at the nodes.
    rho : float
        Stagnation density [kg/m3].
    temperature : float
        Stagnation temperature [K].

    Returns
    -------
    tuple
        C, n; NaN outside the table.
    """
    n_x = x_axis.shape[0] - 1
    n_rho = rho_axis.shape[0] - 1
    largest = rho_axis[n_rho]
    if not (temperature > 0.0 and 0.0 <= rho <= largest):
        return math.nan, math.nan
    position = (math.log(temperature) - x_axis[0]) / (x_axis[n_x] - x_axis[0]) * n_x
    if not -1e-9 <= position <= n_x + 1e-9:
        return math.nan, math.nan
    i = min(max(int(position), 0), n_x - 1)
    share = rho / largest
    s = 2.0 * share / (STRETCH + math.sqrt(STRETCH * STRETCH + 4.0 * (1.0 - STRETCH) * share))
    j = min(int(s * n_rho), n_rho - 1)
    x = position - i
    # the position along the axis itself, in which the table is smooth
    y = s * n_rho - j
    c = coefficients[i, j, 0]
    e = coefficients[i, j, 1]
    flux = 0.0
    exponent = 0.0
    for a in range(3, -1, -1):
        k = 4 * a
        flux = flux * x + (c[k] + y * (c[k + 1] + y * (c[k + 2] + y * c[k + 3])))
        exponent = exponent * x + (e[k] + y * (e[k + 1] + y * (e[k + 2] + y * e[k + 3])))
    return flux, exponent


def critical_ratio(exponent):
    """Critical pressure ratio of a gas with this isentropic exponent.

    Parameters
    ----------
    exponent : float
        n, not 1.

    Returns
    -------
    float
        Throat over stagnation pressure, (2/(n+1))^(n/(n-1)).
    """
    return (2.0 / (exponent + 1.0)) ** (exponent / (exponent - 1.0))


def nozzle_flow_number(ratio, exponent):
    """Isentropic mass flux over sqrt(p0 rho0) at a throat pressure ratio.

    Parameters
    ----------
    ratio : float
        Throat over stagnation pressure, 0 to 1.
    exponent : float
        Isentropic exponent n.

    Returns
    -------
    float
        sqrt(2 n/(n-1) (r^(2/n) - r^((n+1)/n))).
    """
    power = ratio ** (1.0 / exponent)
    # r^(1/n) - r written with expm1: exact for small differences
    difference = power * -math.expm1((1.0 - 1.0 / exponent) * math.log(ratio))
    return math.sqrt(max(2.0 * exponent / (exponent - 1.0) * power * difference, 0.0))


def nozzle_mass_flux(coefficients, x_axis, rho_axis, p0, rho0, t0, p_back):
    """Real-gas isentropic mass flux through a throat, choked or not.

    Parameters
    ----------
    coefficients, x_axis, rho_axis : array
        The flow table.
    p0, rho0, t0 : float
        Stagnation pressure [Pa], density [kg/m3] and temperature [K].
    p_back : float
        Absolute pressure behind the throat [Pa].

    Returns
    -------
    tuple
        Mass flux [kg/m2/s], throat pressure [Pa] (the critical one when choked); flux 0
        without pressure difference, NaN outside the table.
    """
    if not p0 > p_back:
        return 0.0, p0
    flux, exponent = flow_constants(coefficients, x_axis, rho_axis, rho0, t0)
    critical = critical_ratio(exponent)
    scale = math.sqrt(p0 * rho0)
    if p_back <= critical * p0:
        return flux * scale, critical * p0
    slope = 1.0
    ratio = p_back / p0
    if p0 - p_back < LINEAR_BELOW:
        slope = (p0 - p_back) / LINEAR_BELOW
        ratio = max(1.0 - LINEAR_BELOW / p0, critical)
    # scaled to C at the critical ratio (without slope, so that the flux is largest there), to
    # the incompressible limit towards no difference
    share = (1.0 - ratio) / (1.0 - critical)
    match = 1.0 + share * (2.0 - share) * (flux / nozzle_flow_number(critical, exponent) - 1.0)
    return slope * match * nozzle_flow_number(ratio, exponent) * scale, p_back


def darcy_friction(reynolds, relative_roughness):
    """Darcy friction factor (four times the Fanning factor).

    Parameters
    ----------
    reynolds : float
        Reynolds number.
    relative_roughness : float
        Roughness over diameter.

    Returns
    -------
    float
        64/Re to 2000, Haaland from 4000, a straight line between.

    Source
    ------
    Haaland (1983), J. Fluids Eng. 105, 89.
    """
    if reynolds <= 2000.0:
        return 64.0 / max(reynolds, 1e-6)
    at = max(reynolds, 4000.0)
    root = -1.8 * math.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / at)
    turbulent = 1.0 / (root * root)
    if reynolds >= 4000.0:
        return turbulent
    return 0.032 + (turbulent - 0.032) * (reynolds - 2000.0) / 2000.0


def friction_to_sonic(mach_squared, exponent):
    """Friction length f L/D from a Mach number to the speed of sound (adiabatic, constant bore).

    Parameters
    ----------
    mach_squared : float
        Mach number squared, above 0 to 1.
    exponent : float
        Isentropic exponent.

    Returns
    -------
    float
        f L/D with the Darcy factor.
    """
    m, k = mach_squared, exponent
    return (1.0 - m) / (k * m) + (k + 1.0) / (2.0 * k) * math.log(
        (k + 1.0) * m / (2.0 + (k - 1.0) * m)
    )


def pipe_flow_number(ratio, exponent, slenderness, loss, relative_roughness, reynolds_scale):
    """Adiabatic flow with friction through a pipe from a stagnation state, over sqrt(p0 rho0).

    Isentropic entry, then constant-bore adiabatic flow with friction to the end, where the
    pressure is the outer one or the flow is sonic. For small differences this is
    p0 - p = (f L/D + loss + 1) rho v^2 / 2: the velocity head is lost at the outlet.

    Parameters
    ----------
    ratio : float
        Pressure behind the pipe over stagnation pressure, below 1.
    exponent : float
        Isentropic exponent.
    slenderness : float
        Length over diameter.
    loss : float
        Loss coefficients of entry and fittings, without the velocity head at the outlet.
    relative_roughness : float
        Roughness over diameter.
    reynolds_scale : float
        Reynolds number over flow number, sqrt(p0 rho0) D / viscosity.

    Returns
    -------
    tuple
        Flow number and exit over stagnation pressure (the ratio itself unless the end is
        sonic); NaN if not converged.
    """
    k = exponent
    a = 0.5 * (k - 1.0)
    power = -(k + 1.0) / (k - 1.0)
    ratio = max(ratio, 1e-6)
    low = -40.0
    high = 0.0
    head = max(1.0 - ratio * ratio, 1e-14)
    friction = darcy_friction(1e8, relative_roughness) * slenderness + loss
    # entry Mach number squared of isothermal flow, m = exp(w)
    m = min(head / (k * (friction + 1.0 + head - math.log(ratio) * (ratio > 0.3))), 0.9)
    w = math.log(m)
    y = 1.0
    number = 0.0
    found = False
    for _ in range(100):
        m = math.exp(w)
        grown = 1.0 + a * m
        squared = k * m * grown**power
        number = math.sqrt(squared)
        # friction follows the flow found so far; it hardly depends on it
        friction = darcy_friction(number * reynolds_scale, relative_roughness) * slenderness + loss
        q = squared / (ratio * ratio * k)
        # exit Mach number squared from q = y (1 + a y)
        y = 2.0 * q / (1.0 + math.sqrt(1.0 + 4.0 * a * q))
        rest = friction_to_sonic(m, k) - friction
        slope = -(1.0 - m) / (k * m * grown)  # per ln m
        if y < 1.0:
            rest -= friction_to_sonic(y, k)
            y_slope = (1.0 - m) / grown * y * (1.0 + a * y) / (1.0 + 2.0 * a * y)  # per ln m
            slope += (1.0 - y) / (k * y * y * (1.0 + a * y)) * y_slope
        if rest > 0.0:
            low = max(low, w)
        else:
            high = min(high, w)
        new = w - rest / slope if slope < 0.0 else high
        if not low < new < high:
            new = 0.5 * (low + high)
        step = new - w
        w = new
        if abs(step) < 1e-9:
            found = True
            break
    if not found:
        return math.nan, math.nan
    if y < 1.0:
        return number, ratio
    return number, number / math.sqrt(k * (1.0 + a))


def pipe_mass_flow(
    coefficients, x_axis, rho_axis, p0, rho0, t0, viscosity, p_back, length, diameter, loss
):
    """Mass flow through a pipe from a stagnation state to a pressure, choked where it must.

    Parameters
    ----------
    coefficients, x_axis, rho_axis : array
        The flow table.
    p0, rho0, t0 : float
        Stagnation pressure [Pa], density [kg/m3] and temperature [K] at the entry.
    viscosity : float
        Viscosity at the entry [Pa s].
    p_back : float
        Absolute pressure behind the pipe [Pa].
    length, diameter : float
        Length and bore of the pipe [m].
    loss : float
        Sum of the loss coefficients of fittings, without entry and outlet.

    Returns
    -------
    tuple
        Mass flow [kg/s] and pressure at the pipe end [Pa]; flow 0 without pressure
        difference, NaN outside the table.
    """
    if not p0 > p_back:
        return 0.0, p0
    flux, exponent = flow_constants(coefficients, x_axis, rho_axis, rho0, t0)
    if math.isnan(flux):
        return math.nan, math.nan
    critical = critical_ratio(exponent)
    slope = 1.0
    ratio = p_back / p0
    if p0 - p_back < LINEAR_BELOW < 0.5 * p0:
        slope = (p0 - p_back) / LINEAR_BELOW
        ratio = 1.0 - LINEAR_BELOW / p0
    scale = math.sqrt(p0 * rho0)
    number, end = pipe_flow_number(
        ratio,
        exponent,
        length / diameter,
        loss + ENTRY_LOSS,
        ROUGHNESS / diameter,
        scale * diameter / viscosity,
    )
    if math.isnan(number):
        return math.nan, math.nan
    # the real gas differs from the exponent's closed form where it expands much
    real = flux / nozzle_flow_number(critical, exponent) - 1.0
    share = min((1.0 - end) / (1.0 - critical), 1.0)
    match = 1.0 + share * (2.0 - share) * real
    area = 0.25 * math.pi * diameter * diameter
    return slope * match * number * scale * area, max(end * p0, p_back)


def piped_outlet_mass_flow(
    coefficients, x_axis, rho_axis, p0, rho0, t0, viscosity, p_back, throat, length, diameter
):
    """Mass flow through a throat and an outlet pipe behind it; both may choke.

    Parameters
    ----------
    coefficients, x_axis, rho_axis : array
        The flow table.
    p0, rho0, t0 : float
        Stagnation pressure [Pa], density [kg/m3] and temperature [K] in the vessel.
    viscosity : float
        Viscosity of the air [Pa s].
    p_back : float
        Absolute pressure outside [Pa].
    throat : float
        Area x discharge coefficient of the throat [m2].
    length, diameter : float
        Outlet pipe [m].

    Returns
    -------
    tuple
        Mass flow [kg/s], pressure between throat and pipe [Pa], pressure at the pipe end
        [Pa]; NaN outside the table.
    """
    if not p0 > p_back:
        return 0.0, p0, p_back
    free, _ = nozzle_mass_flux(coefficients, x_axis, rho_axis, p0, rho0, t0, p_back)
    if math.isnan(free):
        return math.nan, math.nan, math.nan
    # the flow of the throat falls and that of the pipe rises with the pressure between them;
    # density there as of a perfect gas relative to the vessel, throttled at equal temperature
    low, high = p_back, p0
    low_rest, high_rest = free * throat, -1.0
    between = p_back
    flow = 0.0
    end = p_back
    side = 0
    for _ in range(80):
        if high_rest == -1.0 or side >= 3 or side <= -3:
            between = 0.5 * (low + high)
        else:
            between = (low * high_rest - high * low_rest) / (high_rest - low_rest)
        rho = rho0 * between / p0
        through, _ = nozzle_mass_flux(coefficients, x_axis, rho_axis, p0, rho0, t0, between)
        flow, end = pipe_mass_flow(
            coefficients, x_axis, rho_axis, between, rho, t0, viscosity, p_back, length,
            diameter, 0.0,
        )  # fmt: skip
        if math.isnan(flow):
            return math.nan, math.nan, math.nan
        rest = through * throat - flow
        if abs(rest) <= 1e-9 * flow or high - low <= 1e-11 * p0:
            break
        if rest > 0.0:
            low, low_rest = between, rest
            side = side + 1 if side > 0 else 1
        else:
            high, high_rest = between, rest
            side = side - 1 if side < 0 else -1
    return flow, between, end
