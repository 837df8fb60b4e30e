"""Flow out of and between vessels: scalar functions that can be compiled.

Plain Python without decorators, restricted to what numba compiles in nopython mode.

A table on the stagnation state (density, ln T) holds the real-gas critical mass flux as
C = G*/sqrt(p0 rho0) and the exponent n that has the real critical pressure ratio. Below the
critical flow the closed form with n is used, scaled to meet C at the critical ratio.
"""

from __future__ import annotations

import math
from collections import namedtuple

from airrisk.physics.air_kernel import STRETCH

LINEAR_BELOW = 100.0  # Pa; flow is proportional to the difference below it
ROUGHNESS = 0.05e-3  # m, commercial steel pipe
ENTRY_LOSS = 0.5
THIN = 20.0  # kg/m3
COLD = 110.0  # K
OUTLET_ROWS = 4  # numbers from which the flow of a throat with a pipe is found anew

# cells ``[i, j, q, 4 a + b]`` of X^a Y^b, q = 0 for C and q = 1 for n, and their axes:
# ln T (T in K) and density [kg/m3] at the nodes
FlowArrays = namedtuple("FlowArrays", ("coefficients", "x_axis", "rho_axis"))


def flow_constants(table, rho, temperature):
    """Critical flow coefficient and exponent from the table.

    Parameters
    ----------
    table : FlowArrays
        The table, see the module.
    rho : float
        Stagnation density [kg/m3].
    temperature : float
        Stagnation temperature [K].

    Returns
    -------
    tuple
        C, n; NaN outside the table.
    """
    coefficients, x_axis, rho_axis = table
    if rho < THIN:
        # colder and thin, the air in the throat is below its dew point, but has no time to
        # condense; as a vapour it flows as it does here
        temperature = max(temperature, COLD)
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


def critical_flow_number(exponent):
    """Isentropic mass flux over sqrt(p0 rho0) at the critical ratio.

    Parameters
    ----------
    exponent : float
        Isentropic exponent n, not 1.

    Returns
    -------
    float
        sqrt(n (2/(n+1))^((n+1)/(n-1))).
    """
    return flow_number_at(critical_ratio(exponent), exponent)


def flow_number_at(critical, exponent):
    """``critical_flow_number`` where the critical ratio is known: r sqrt(n (n+1) / 2)."""
    return critical * math.sqrt(0.5 * exponent * (exponent + 1.0))


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
    log_ratio = math.log(ratio)
    power = math.exp(log_ratio / exponent)
    # r^(1/n) - r written with expm1: exact for small differences
    difference = power * -math.expm1((1.0 - 1.0 / exponent) * log_ratio)
    return math.sqrt(max(2.0 * exponent / (exponent - 1.0) * power * difference, 0.0))


def nozzle_mass_flux(table, p0, rho0, t0, p_back):
    """Real-gas isentropic mass flux through a throat, choked or not.

    Parameters
    ----------
    table : FlowArrays
        The table, see the module.
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
    flux, exponent = flow_constants(table, rho0, t0)
    return mass_flux_of(flux, exponent, p0, rho0, p_back)


def throat_mass_flux(table, p0, rho0, t0, p_back):
    """Mass flux of ``nozzle_mass_flux`` alone, kg/m2/s; sooner when it is far from not choked."""
    if not p0 > p_back:
        return 0.0
    flux, exponent = flow_constants(table, rho0, t0)
    if exponent <= 2.0 and p_back <= 0.44 * p0:
        # the critical ratio falls with the exponent and is 0.444 at 2
        return flux * math.sqrt(p0 * rho0)
    flux, _throat = mass_flux_of(flux, exponent, p0, rho0, p_back)
    return flux


def mass_flux_at(flux, exponent, critical, number, p0, rho0, p_back):
    """Mass flux of ``mass_flux_of`` where the critical ratio and its flow number are known."""
    scale = math.sqrt(p0 * rho0)
    if p_back <= critical * p0:
        return flux * scale
    slope = 1.0
    ratio = p_back / p0
    if p0 - p_back < LINEAR_BELOW:
        slope = (p0 - p_back) / LINEAR_BELOW
        ratio = max(1.0 - LINEAR_BELOW / p0, critical)
    # scaled to C at the critical ratio (without slope, so that the flux is largest there), to
    # the incompressible limit towards no difference
    share = (1.0 - ratio) / (1.0 - critical)
    match = 1.0 + share * (2.0 - share) * (flux / number - 1.0)
    return slope * match * nozzle_flow_number(ratio, exponent) * scale


def mass_flux_of(flux, exponent, p0, rho0, p_back):
    """Mass flux and throat pressure of ``nozzle_mass_flux`` from the constants of the flow."""
    critical = critical_ratio(exponent)
    if p_back <= critical * p0:
        return flux * math.sqrt(p0 * rho0), critical * p0
    number = flow_number_at(critical, exponent)
    return mass_flux_at(flux, exponent, critical, number, p0, rho0, p_back), p_back


def friction_and_slope(reynolds, rough):
    """Darcy friction factor and its change with the logarithm of the Reynolds number.

    Parameters
    ----------
    reynolds : float
        Reynolds number.
    rough : float
        (roughness / (3.7 diameter))^1.11.

    Returns
    -------
    tuple
        Factor (four times the Fanning factor), d factor / d ln Re.
    """
    if reynolds <= 2000.0:
        factor = 64.0 / max(reynolds, 1e-6)
        return factor, -factor
    at = 6.9 / max(reynolds, 4000.0)
    root = -0.7817300674258533 * math.log(rough + at)  # 1.8 log10
    turbulent = 1.0 / (root * root)
    if reynolds >= 4000.0:
        return turbulent, -1.5634601348517065 * turbulent / root * at / (rough + at)
    slope = (turbulent - 0.032) / 2000.0
    return 0.032 + slope * (reynolds - 2000.0), slope * reynolds


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
    return friction_and_slope(reynolds, (relative_roughness / 3.7) ** 1.11)[0]


def friction_between(entry, end, exponent):
    """Friction length f L/D between two Mach numbers (adiabatic, constant bore).

    Parameters
    ----------
    entry, end : float
        Squares of the Mach numbers, above 0 to 1.
    exponent : float
        Isentropic exponent.

    Returns
    -------
    float
        f L/D with the Darcy factor.
    """
    m, y, k = entry, end, exponent
    a = 0.5 * (k - 1.0)
    return (1.0 / m - 1.0 / y) / k + (k + 1.0) / (2.0 * k) * math.log(
        m * (1.0 + a * y) / (y * (1.0 + a * m))
    )


def pipe_state(u, exponent, ratio, slenderness, loss, rough, reynolds_scale):
    """Flow number of a pipe with an entry Mach number, and what friction that leaves over.

    Parameters
    ----------
    u : float
        1 over the square of the Mach number at the entry, above 1.
    exponent, ratio, slenderness, loss, reynolds_scale : float
        As for ``pipe_flow_number``.
    rough : float
        As for ``friction_and_slope``.

    Returns
    -------
    tuple
        Flow number; friction number that brings the air to the ratio, or to sonic speed before
        it, less that of the pipe; change of that with ``u``; change of ln number with ``u``;
        whether the end is sonic.
    """
    k = exponent
    a = 0.5 * (k - 1.0)
    m = 1.0 / u
    grown = 1.0 + a * m
    squared = k * m * math.exp(-(k + 1.0) / (k - 1.0) * math.log(grown))
    number = math.sqrt(squared)
    factor, factor_slope = friction_and_slope(number * reynolds_scale, rough)
    # exit Mach number squared from q = y (1 + a y)
    q = squared / (ratio * ratio * k)
    y = 2.0 * q / (1.0 + math.sqrt(1.0 + 4.0 * a * q))
    sonic = y >= 1.0
    y = min(y, 1.0)
    rest = friction_between(m, y, k) - factor * slenderness - loss
    # per ln m first
    number_slope = 0.5 * (1.0 - m) / grown
    slope = -(1.0 - m) * u / (k * grown) - slenderness * factor_slope * number_slope
    if not sonic:
        slope += 2.0 * (1.0 - y) / (k * y * (1.0 + 2.0 * a * y)) * number_slope
    return number, rest, -slope * m, -number_slope * m, sonic


def pipe_flow_number(ratio, exponent, slenderness, loss, relative_roughness, reynolds_scale, start):
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
    start : float
        Guess of the third result; 0: none.

    Returns
    -------
    tuple
        Flow number, exit over stagnation pressure (the ratio itself unless the end is sonic)
        and 1 over the square of the Mach number at the entry; NaN if not converged.
    """
    ratio = max(ratio, 1e-6)
    rough = (relative_roughness / 3.7) ** 1.11
    low = 1.0
    high = 1e18
    u = start
    if not u > 1.0:
        # isothermal flow in a fully rough pipe
        head = max(1.0 - ratio * ratio, 1e-14)
        friction = friction_and_slope(1e8, rough)[0] * slenderness + loss
        u = exponent * (friction + 1.0 + head - math.log(ratio) * (ratio > 0.3)) / head
        u = max(u, 1.1)
    for _ in range(100):
        number, rest, slope, number_slope, sonic = pipe_state(
            u, exponent, ratio, slenderness, loss, rough, reynolds_scale
        )
        if rest > 0.0:
            high = min(high, u)
        else:
            low = max(low, u)
        step = -rest / slope if slope > 0.0 else math.inf
        if abs(step) < 3e-6 * (u - 1.0):
            # what is left after this step is of second order
            number *= 1.0 + number_slope * step
            end = ratio
            if sonic:
                end = number / math.sqrt(0.5 * exponent * (exponent + 1.0))
            return number, end, u + step
        if not low < u + step < high:
            step = (0.5 * (low + high) if high < 1e18 else 4.0 * u) - u
        u += step
    return math.nan, math.nan, math.nan


def pipe_mass_flow(table, p0, rho0, t0, viscosity, p_back, length, diameter, loss, start):
    """Mass flow through a pipe from a stagnation state to a pressure, choked where it must.

    Parameters
    ----------
    table : FlowArrays
        The table, see the module.
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
    start : float
        Third result of a flow that is not far from it; 0: none is known.

    Returns
    -------
    tuple
        Mass flow [kg/s], pressure at the pipe end [Pa] and a start for similar flows; flow 0
        without pressure difference, NaN outside the table.
    """
    if not p0 > p_back:
        return 0.0, p0, start
    flux, exponent = flow_constants(table, rho0, t0)
    if math.isnan(flux):
        return math.nan, math.nan, start
    critical = critical_ratio(exponent)
    slope = 1.0
    ratio = p_back / p0
    if p0 - p_back < LINEAR_BELOW < 0.5 * p0:
        slope = (p0 - p_back) / LINEAR_BELOW
        ratio = 1.0 - LINEAR_BELOW / p0
    scale = math.sqrt(p0 * rho0)
    number, end, near = pipe_flow_number(
        ratio, exponent, length / diameter, loss + ENTRY_LOSS, ROUGHNESS / diameter,
        scale * diameter / viscosity, start,
    )  # fmt: skip
    # the real gas differs from the exponent's closed form where it expands much
    real = flux / flow_number_at(critical, exponent) - 1.0
    share = min((1.0 - end) / (1.0 - critical), 1.0)
    match = 1.0 + share * (2.0 - share) * real
    area = 0.25 * math.pi * diameter * diameter
    return slope * match * number * scale * area, max(end * p0, p_back), near


def throat_and_pipe(
    table, flux, exponent, critical, p0, rho0, t0, viscosity, p_back, throat, length, diameter,
    share, start, bend, rise,
):  # fmt: skip
    """Flow through a throat and an outlet pipe behind it, from that of a similar state.

    Parameters
    ----------
    table : FlowArrays
        The table, see the module.
    flux, exponent, critical : float
        Its constants for the state in the vessel, and the critical ratio of this exponent.
    p0, rho0, t0, viscosity, p_back, throat, length, diameter : float
        As for ``piped_outlet_mass_flow``; ``p0`` above ``p_back``.
    share, start, bend, rise : float
        The last four results of a flow that is not far from it; ``share`` 0: none is known.

    Returns
    -------
    tuple
        Mass flow [kg/s], pressure between [Pa], pressure at the pipe end [Pa], then for similar
        flows: place of the pressure between, from that behind (0) to that in the vessel (1); third
        result of ``pipe_mass_flow``; change with that place of the difference of the squares of
        both flows, over that of the free flow of the throat; change of the throat's flow, over it.
    """
    number = flow_number_at(critical, exponent)
    free = throat * mass_flux_at(flux, exponent, critical, number, p0, rho0, p_back)
    span = p0 - p_back
    low, high = p_back, p0
    # the flow of the throat falls and that of the pipe rises with the pressure between them;
    # density there as of a perfect gas relative to the vessel, throttled at equal temperature
    known = 0.0 < share < 1.0 and bend < 0.0
    if known:
        between = p_back + share * span
    else:
        most, end, start = pipe_mass_flow(
            table, p0, rho0, t0, viscosity, p_back, length, diameter, 0.0, 0.0
        )
        share = free * free / (most * most + free * free)
        between = math.sqrt(p_back * p_back + (p0 * p0 - p_back * p_back) * share)
        if span <= 1.0001 * LINEAR_BELOW:
            between = (free * p0 + most * p_back) / (free + most)
        elif between - p_back < 2.0 * LINEAR_BELOW:
            between = p_back + min(LINEAR_BELOW, 0.5 * span)
    # squares of flows are nearly straight in the pressure between
    before, rest_before = p_back, free * free
    through_before = free
    through, flow, end = 0.0, 0.0, p_back
    for _ in range(80):
        through = 0.0
        if between < p0:
            through = throat * mass_flux_at(flux, exponent, critical, number, p0, rho0, between)
        flow, end, start = pipe_mass_flow(
            table, between, rho0 * between / p0, t0, viscosity, p_back, length, diameter, 0.0, start
        )
        rest = through * through - flow * flow
        if not abs(through - flow) > 1e-10 * flow or high - low <= 1e-12 * p0:
            break
        if rest > 0.0:
            low = between
        else:
            high = between
        if known:
            known = False
        else:
            bend = (rest - rest_before) / (between - before) * span / (free * free)
            rise = (through - through_before) / (between - before) * span / free
        new = between - rest / bend * span / (free * free)
        # of the flow at the new place what is left is of second order; with the smaller drop in
        # the pipe it hardly hangs on the place
        near = 4e-6 if between - p_back < p0 - between else 1e-7
        if abs(through - flow) < near * flow:
            through += rise * (new - between) / span * free
            return through, new, end, (new - p_back) / span, start, bend, rise
        before, rest_before, through_before = between, rest, through
        between = new if low < new < high else 0.5 * (low + high)
    # the flow of the element with the larger drop hangs less on the pressure between
    found = through if between - p_back < p0 - between else flow
    return found, between, end, (between - p_back) / span, start, bend, rise


def piped_outlet_mass_flow(table, p0, rho0, t0, viscosity, p_back, throat, length, diameter):
    """Mass flow through a throat and an outlet pipe behind it; both may choke.

    Parameters
    ----------
    table : FlowArrays
        The table, see the module.
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
    flux, exponent = flow_constants(table, rho0, t0)
    flow, between, end, _, _, _, _ = throat_and_pipe(
        table, flux, exponent, critical_ratio(exponent), p0, rho0, t0, viscosity, p_back, throat,
        length, diameter, 0.0, 0.0, 0.0, 0.0,
    )  # fmt: skip
    return flow, between, end


def choked_outlet_flow(
    table, flux, critical, p0, rho0, t0, viscosity, p_back, throat, length, diameter
):
    """Mass flow through a throat that chokes whatever its outlet pipe does; else 0.

    It does not depend on what is behind, as long as the pipe can carry it with less than the
    critical pressure.

    Parameters
    ----------
    table : FlowArrays
        The table, see the module.
    flux, critical : float
        Its flow coefficient for the state in the vessel, and the critical ratio there.
    p0, rho0, t0, viscosity, p_back, throat, length, diameter : float
        As for ``piped_outlet_mass_flow``.

    Returns
    -------
    float
        Mass flow [kg/s].
    """
    between = critical * p0
    if not p_back + LINEAR_BELOW < between:
        return 0.0
    rho = rho0 * between / p0
    behind, exponent = flow_constants(table, rho, t0)
    scale = math.sqrt(between * rho)
    # in the pipe the real gas differs from the closed form by this at most
    match = min(behind / critical_flow_number(exponent), 1.0)
    choked = flux * math.sqrt(p0 * rho0) * throat
    wanted = choked / (match * scale * 0.25 * math.pi * diameter * diameter)
    squared = wanted * wanted / exponent
    if squared < 0.2:
        # entry Mach number of a little more flow: m (1 + a m)^-(k+1)/(k-1) >= squared
        u = (1.0 - 1.25 * exponent * squared) / squared
        number, rest, _, _, _ = pipe_state(
            u, exponent, p_back / between, length / diameter, ENTRY_LOSS,
            (ROUGHNESS / diameter / 3.7) ** 1.11, scale * diameter / viscosity,
        )  # fmt: skip
        if rest > 0.0 and number >= wanted:
            return choked
    return 0.0


def piped_outlet_flow(table, p0, rho0, t0, viscosity, p_back, throat, length, diameter, near, k):
    """Mass flow through a throat and an outlet pipe, as ``piped_outlet_mass_flow``.

    Parameters
    ----------
    table, p0, rho0, t0, viscosity, p_back, throat, length, diameter
        As for ``piped_outlet_mass_flow``.
    near : array
        In column ``k`` what is known of a similar flow (``throat_and_pipe``), 0: nothing; replaced
        by what this one shows.
    k : int
        The column.

    Returns
    -------
    float
        Mass flow [kg/s]; NaN outside the table.
    """
    if not p0 > p_back:
        return 0.0
    flux, exponent = flow_constants(table, rho0, t0)
    critical = critical_ratio(exponent)
    # a throat that was far from choked just before is so still
    if not p_back + near[0, k] * (p0 - p_back) > 1.1 * critical * p0:
        choked = choked_outlet_flow(
            table, flux, critical, p0, rho0, t0, viscosity, p_back, throat, length, diameter
        )
        if choked > 0.0:
            return choked
    flow, _, _, near[0, k], near[1, k], near[2, k], near[3, k] = throat_and_pipe(
        table, flux, exponent, critical, p0, rho0, t0, viscosity, p_back, throat, length,
        diameter, near[0, k], near[1, k], near[2, k], near[3, k],
    )  # fmt: skip
    return flow
