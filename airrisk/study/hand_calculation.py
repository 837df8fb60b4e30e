"""The numbers of a screening as formulas with values put in, for a check with a calculator."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Literal

from airrisk.installation.geometry import (
    head_grade,
    part_geometry,
    reckoned_head_wall,
    reckoned_wall,
    shell_grade,
    weld_share,
)
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.physics import air, energy, metal, shells
from airrisk.physics.air import WATER_CRITICAL_PRESSURE, WATER_CRITICAL_TEMPERATURE
from airrisk.physics.ideal_gas import EXPONENT
from airrisk.physics.water_kernel import ICE_POINT
from airrisk.study.records import EnergiesRecord, Trace
from airrisk.study.shut_in_air import WATER_GAS_CONSTANT, ShutInAir

State = Literal["", "cold", "start", "lift", "design", "rupture"]
COLD = 293.15
STRENGTH_KEYS = {
    "tensile": ("strength_tensile", "R_m", "f"),
    "annex-a": ("strength_annex_a", "R_e", "f"),
    "yield": ("strength_yield", "R_e", "k_y"),
    "tensile-ky": ("strength_tensile_ky", "R_m", "k_y"),
    "ultimate": ("strength_ultimate", "R_m", "k_u"),
    "proof": ("strength_proof", "R_p", "k_p"),
}


def hand_calculation(
    installation: Installation,
    part: Vessel | Line,
    gas: ShutInAir,
    basis: str,
    rupture: tuple[float, float] | None,
    energies: tuple[EnergiesRecord, EnergiesRecord | None],
    limits: Mapping[State, float | None],
) -> Iterator[Trace]:
    """Every step of one part's screening, in the order in which a person would do it.

    Parameters
    ----------
    installation, part, gas
        What was screened.
    basis
        The metal's own strength basis.
    rupture
        Temperature [K] and pressure [Pa absolute] of the rupture, ``None`` when the metal outlasts
        its range.
    energies
        Stored energy at the start and at rupture.
    limits
        Temperatures [K] at which the first relief valve lifts and the design pressure is reached.
    """
    ambient = installation.site.ambient_pressure
    yield from _geometry(part)
    vapour = float(gas.vapour_pressure(gas.start_temperature))
    dry = gas.start_pressure - vapour
    if gas.water > 0.0:
        yield from _vapour(gas, gas.start_temperature, vapour, "start")
        yield Trace("dry_pressure", {"p": gas.start_pressure, "p_w": vapour}, dry, "start")
    yield Trace(
        "air_density",
        {
            "p": dry,
            "Z": dry / (gas.density * air.GAS_CONSTANT * gas.start_temperature),
            "R": air.GAS_CONSTANT,
            "T": gas.start_temperature,
        },
        gas.density,
        "start",
    )
    yield Trace("gas_mass", {"rho": gas.density, "V": gas.volume}, gas.mass, "start")
    told: list[float] = []
    for state, reached in limits.items():
        if reached is not None and not any(math.isclose(reached, one) for one in told):
            told.append(reached)
            yield from _pressure_at(gas, reached, state)
    yield from burst_traces(installation, part, basis, COLD, "cold")
    if rupture is not None:
        yield from burst_traces(installation, part, basis, rupture[0], "rupture")
        # where liquid ends its steam comes up in a jump, and the metal lets go on the way
        if math.isclose(rupture[1], float(gas.pressure(rupture[0])), rel_tol=1e-9):
            yield from _pressure_at(gas, rupture[0], "rupture")
    start = (gas.start_temperature, gas.start_pressure)
    yield from _energies(installation, gas, *start, energies[0], "start")
    if rupture is not None and energies[1] is not None:
        yield from _energies(installation, gas, *rupture, energies[1], "rupture")
    rule = energy.pcc2_energy(gas.start_pressure, gas.volume)
    if gas.start_pressure > energy.PCC2_AMBIENT and ambient > 0:
        inputs = {"p": gas.start_pressure, "V": gas.volume, "p_at": energy.PCC2_AMBIENT}
        yield Trace("pcc2_energy", inputs, rule, "start")


def _geometry(part: Vessel | Line) -> Iterator[Trace]:
    shape = part_geometry(part)
    density = metal.material(part.material).density
    wall, bore = reckoned_wall(part), part.inside_diameter
    inputs = {"D": bore, "L": shape.cylinder_length, "V_h": shape.head_volume}
    yield Trace("cylinder_volume", inputs, shape.volume)
    inputs = {
        "rho_m": density,
        "D": bore,
        "t": wall,
        "L": shape.cylinder_length,
        "B_h": shape.head_metal_mass / density,
    }
    yield Trace("metal_mass", inputs, shape.metal_mass)


def burst_traces(
    installation: Installation,
    part: Vessel | Line,
    basis: str,
    temperature: float,
    state: State = "",
) -> Iterator[Trace]:
    """Strength of the metal at a temperature and what shell and heads bear, gauge.

    Parameters
    ----------
    installation, part
        What is strained; the wall to reckon with.
    basis
        The metal's own strength basis.
    temperature
        Of the metal [K].
    state
        Printed beside the titles.
    """
    shell = shell_grade(part)
    strength = float(metal.strength(shell, basis, temperature))
    cold = _cold_strength(shell, basis)
    yield from _reduction_factor(shell, basis, temperature, cold, state)
    yield _strength_trace(shell, basis, strength, state)
    head_strength, head = strength, 0.0
    if isinstance(part, Vessel):
        head = reckoned_head_wall(part)
        head_strength *= metal.strength_over(head_grade(part), shell, basis)
        if head_strength != strength:
            yield _strength_trace(head_grade(part), basis, head_strength, state)
    softened = shell.weld_share(basis)
    weld = weld_share(part, basis)
    if softened != 1.0:
        yield Trace("weld_zone_share", {"w_s": part.weld_factor, "h_w": softened}, weld, state)
    walls = (reckoned_wall(part), head)
    strengths = (strength, head_strength)
    yield from _shell_and_heads(installation, part, basis, strengths, walls, weld, state)


def strong_burst_traces(
    installation: Installation, vessel: Vessel, temperature: float
) -> Iterator[Trace]:
    """What a strong specimen of a vessel bears: greatest strength, full wall, sound welds.

    Parameters
    ----------
    installation, vessel
        What is strained.
    temperature
        Of the metal [K].
    """
    steel = shell_grade(vessel)
    basis = metal.resolve_basis(vessel.material, "tensile")
    cold = float(metal.strength(steel, basis, COLD))
    factor = float(metal.strength(steel, basis, temperature)) / cold
    yield from _reduction_factor(steel, basis, temperature, cold, "")
    strength = steel.high_strength * factor
    yield Trace("strength_strong", {"R_h": steel.high_strength, "f": factor}, strength)
    head = vessel.wall_thickness if vessel.head_thickness is None else vessel.head_thickness
    walls = (vessel.wall_thickness, head)
    heads = strength * metal.strength_over(head_grade(vessel), steel, basis)
    yield from _shell_and_heads(installation, vessel, basis, (strength, heads), walls, None, "")


def _cold_strength(grade: metal.Grade, basis: str) -> float:
    """The cold strength that the factors of a basis belong to."""
    return grade.tensile_min if STRENGTH_KEYS[basis][1] == "R_m" else grade.yield_min


def _strength_trace(grade: metal.Grade, basis: str, strength: float, state: State) -> Trace:
    """Strength at temperature, from the cold one in this thickness."""
    key, cold_symbol, factor_symbol = STRENGTH_KEYS[basis]
    cold = _cold_strength(grade, basis)
    inputs = {cold_symbol: cold, factor_symbol: strength / cold}
    if basis == "annex-a":
        inputs = {**inputs, "R_m": grade.tensile_min}
    return Trace(key, inputs, strength, state)


def _reduction_factor(
    grade: metal.Grade, basis: str, temperature: float, cold: float, state: State
) -> Iterator[Trace]:
    """The straight line of the strength table; nothing where the table is level."""
    kelvin, strength = metal.strength_curve(grade, basis)
    above = int(kelvin.searchsorted(temperature))
    if not 0 < above < kelvin.size or strength[above] == strength[above - 1]:
        return
    inputs = {
        "f_a": float(strength[above - 1]) / cold,
        "f_b": float(strength[above]) / cold,
        "T_m": temperature,
        "T_a": float(kelvin[above - 1]),
        "T_b": float(kelvin[above]),
    }
    found = float(metal.strength(grade, basis, temperature)) / cold
    yield Trace("reduction_factor", inputs, found, state)


def _shell_and_heads(
    installation: Installation,
    part: Vessel | Line,
    basis: str,
    strengths: tuple[float, float],
    walls: tuple[float, float],
    weld: float | None,
    state: State,
) -> Iterator[Trace]:
    """Burst pressure of the heads, where there are some, and of the shell; no weld: sound ones."""
    formula = installation.choices.burst_formula
    ratio = shell_grade(part).yield_ratio(basis, welded=weld is not None)
    weld = 1.0 if weld is None else weld
    bore, (wall, head_wall), (shell, heads) = part.inside_diameter, walls, strengths

    def cylinder(thickness: float, strength: float) -> Trace:
        inputs = {"z": weld, "S": strength, "D": bore}
        if formula == "mean diameter":
            key, inputs = "burst_mean_diameter", {**inputs, "t": thickness}
        elif formula == "thick wall":
            key, inputs = "burst_thick_wall", {**inputs, "D_o": bore + 2 * thickness}
        else:
            key = "burst_faupel"
            inputs = {**inputs, "D_o": bore + 2 * thickness, "q_y": min(ratio, 1.0)}
        factor = weld * shells.cylinder_stress_factor(bore, thickness, formula, ratio)
        return Trace(key, inputs, strength * factor, state)

    if isinstance(part, Vessel):
        head = weld * shells.head_stress_factor(bore, head_wall, part.heads, formula, ratio)
        if formula == "mean diameter" or part.heads == "flat":
            inputs = {"z": weld, "S": heads, "t_h": head_wall, "D": bore}
            yield Trace(f"burst_head_{part.heads}", inputs, heads * head, state)
        else:
            like = cylinder(head_wall, heads)
            if head_wall != wall or heads != shell:
                yield like
            inputs = {"a_h": heads * head / like.result, "p_cyl": like.result}
            yield Trace("burst_head_share", inputs, heads * head, state)
    yield cylinder(wall, shell)


def _pressure_at(gas: ShutInAir, heated: float, state: State) -> Iterator[Trace]:
    vapour = float(gas.vapour_pressure(heated))
    dry = float(gas.pressure(heated)) - vapour
    inputs = {
        "Z": dry / (gas.density * air.GAS_CONSTANT * heated),
        "rho": gas.density,
        "R": air.GAS_CONSTANT,
        "T": heated,
    }
    yield Trace("isochore_pressure", inputs, dry, state)
    if gas.water > 0.0:
        yield from _vapour(gas, heated, vapour, state)
        yield Trace("wet_pressure", {"p_a": dry, "p_w": vapour}, dry + vapour, state)


def _vapour(gas: ShutInAir, heated: float, vapour: float, state: State) -> Iterator[Trace]:
    """Pressure of the condensate's vapour: saturated, over ice as at its point, or of all water."""
    wet = max(heated, ICE_POINT)
    if vapour < float(air.saturation_pressure_water(wet)):
        inputs = {"m_w": gas.water, "R_w": WATER_GAS_CONSTANT, "T": heated, "V": gas.volume}
        yield Trace("condensate_pressure", inputs, vapour, state)
    else:
        inputs = {
            "p_cr": WATER_CRITICAL_PRESSURE,
            "T_cr": WATER_CRITICAL_TEMPERATURE,
            "T": wet,
            "v_w": 1.0 - wet / WATER_CRITICAL_TEMPERATURE,
        }
        yield Trace("saturation_pressure", inputs, vapour, state)


def _energies(
    installation: Installation,
    gas: ShutInAir,
    temperature: float,
    pressure: float,
    found: EnergiesRecord,
    state: State,
) -> Iterator[Trace]:
    ambient = installation.site.ambient_pressure
    if pressure <= ambient:
        return
    ideal = {"p": pressure, "p_0": ambient, "V": gas.volume, "k": EXPONENT}
    bare = {"p": pressure, "p_0": ambient, "V": gas.volume}
    yield Trace("brode_energy", ideal, found.brode, state)
    yield Trace("isentropic_energy", ideal, found.isentropic, state)
    yield Trace("isothermal_energy", bare, found.isothermal, state)
    yield Trace("availability_energy", bare, found.availability, state)
    density = float(air.density(pressure, temperature))
    end = air.isentropic_state(density, temperature, ambient)
    inputs = {
        "m": density * gas.volume,
        "u_1": float(air.internal_energy(density, temperature)),
        "u_2": end.internal_energy,
    }
    yield Trace("isentropic_real_energy", inputs, found.isentropic_real, state)
    tnt = installation.choices.tnt_energy
    inputs = {"E": found.isentropic, "e_T": tnt}
    yield Trace("tnt_mass", inputs, found.isentropic / tnt, state)
