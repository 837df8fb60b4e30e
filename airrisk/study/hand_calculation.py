"""The numbers of a screening as formulas with values put in, for a check with a calculator."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from airrisk.installation.geometry import part_geometry, reckoned_head_wall, reckoned_wall
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.physics import air, energy, metal, shells
from airrisk.study.records import EnergiesRecord, Trace
from airrisk.study.shut_in_air import (
    WATER_CRITICAL_PRESSURE,
    WATER_CRITICAL_TEMPERATURE,
    WATER_GAS_CONSTANT,
    ShutInAir,
)

State = Literal["", "cold", "start", "rupture"]
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
    rupture: float | None,
    energies: tuple[EnergiesRecord, EnergiesRecord | None],
) -> Iterator[Trace]:
    """Every step of one part's screening, in the order in which a person would do it.

    Parameters
    ----------
    installation, part, gas
        What was screened.
    basis
        The metal's own strength basis.
    rupture
        Rupture temperature [K], ``None`` when the metal outlasts its range.
    energies
        Stored energy at the start and at rupture.
    """
    ambient = installation.site.ambient_pressure
    yield from _geometry(part)
    dry = gas.start_pressure - float(gas.vapour_pressure(gas.start_temperature))
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
    yield from _burst(installation, part, basis, COLD, "cold")
    if rupture is not None:
        yield from _burst(installation, part, basis, rupture, "rupture")
        yield from _pressure_at_rupture(gas, rupture)
    yield from _energies(installation, gas, gas.start_pressure, energies[0], "start")
    if rupture is not None and energies[1] is not None:
        pressure = float(gas.pressure(rupture))
        yield from _energies(installation, gas, pressure, energies[1], "rupture")
    rule = energy.pcc2_energy(gas.start_pressure, gas.volume)
    if gas.start_pressure > energy.PCC2_AMBIENT and ambient > 0:
        inputs = {"p": gas.start_pressure, "V": gas.volume, "p_a": energy.PCC2_AMBIENT}
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


def _burst(
    installation: Installation, part: Vessel | Line, basis: str, temperature: float, state: State
) -> Iterator[Trace]:
    steel = metal.material(part.material)
    strength = float(metal.strength(part.material, basis, temperature))
    key, cold_symbol, factor_symbol = STRENGTH_KEYS[basis]
    cold = steel.tensile_min if cold_symbol == "R_m" else steel.yield_min
    inputs = {cold_symbol: cold, factor_symbol: strength / cold}
    if basis == "annex-a":
        inputs = {**inputs, "R_m": steel.tensile_min}
    yield Trace(key, inputs, strength, state)

    formula = installation.choices.burst_formula
    ratio = 1.0 if metal.is_proof_like(basis) else steel.yield_min / steel.tensile_min
    wall, bore = reckoned_wall(part), part.inside_diameter
    shell = part.weld_factor * shells.cylinder_stress_factor(bore, wall, formula, ratio)
    head = float("inf")
    if isinstance(part, Vessel):
        t_head = reckoned_head_wall(part)
        head = part.weld_factor * shells.head_stress_factor(
            bore, t_head, part.heads, formula, ratio
        )
        head_inputs = {"z": part.weld_factor, "S": strength, "t": t_head, "D": bore}
        if formula == "mean diameter" or part.heads == "flat":
            yield Trace(f"burst_head_{part.heads}", head_inputs, strength * head, state)
    inputs = {"z": part.weld_factor, "S": strength, "D": bore}
    if formula == "mean diameter":
        yield Trace("burst_mean_diameter", {**inputs, "t": wall}, strength * shell, state)
    elif formula == "thick wall":
        outside = {**inputs, "D_o": bore + 2 * wall}
        yield Trace("burst_thick_wall", outside, strength * shell, state)
    else:
        outside = {**inputs, "D_o": bore + 2 * wall, "q": min(ratio, 1.0)}
        yield Trace("burst_faupel", outside, strength * shell, state)


def _pressure_at_rupture(gas: ShutInAir, rupture: float) -> Iterator[Trace]:
    vapour = float(gas.vapour_pressure(rupture))
    dry = float(gas.pressure(rupture)) - vapour
    inputs = {
        "Z": dry / (gas.density * air.GAS_CONSTANT * rupture),
        "rho": gas.density,
        "R": air.GAS_CONSTANT,
        "T": rupture,
    }
    yield Trace("isochore_pressure", inputs, dry, "rupture")
    if gas.water == 0.0:
        return
    if vapour < float(air.saturation_pressure_water(rupture)):
        inputs = {"m_w": gas.water, "R_w": WATER_GAS_CONSTANT, "T": rupture, "V": gas.volume}
        yield Trace("condensate_pressure", inputs, vapour, "rupture")
    else:
        inputs = {
            "p_c": WATER_CRITICAL_PRESSURE,
            "T_c": WATER_CRITICAL_TEMPERATURE,
            "T": rupture,
            "v": 1.0 - rupture / WATER_CRITICAL_TEMPERATURE,
        }
        yield Trace("saturation_pressure", inputs, vapour, "rupture")
    yield Trace("wet_pressure", {"p_a": dry, "p_w": vapour}, dry + vapour, "rupture")


def _energies(
    installation: Installation, gas: ShutInAir, pressure: float, found: EnergiesRecord, state: State
) -> Iterator[Trace]:
    ambient = installation.site.ambient_pressure
    if pressure <= ambient:
        return
    ideal = {"p": pressure, "p_0": ambient, "V": gas.volume, "k": energy.EXPONENT}
    bare = {"p": pressure, "p_0": ambient, "V": gas.volume}
    yield Trace("brode_energy", ideal, found.brode, state)
    yield Trace("isentropic_energy", ideal, found.isentropic, state)
    yield Trace("isothermal_energy", bare, found.isothermal, state)
    yield Trace("availability_energy", bare, found.availability, state)
    if state == "start":
        density = float(air.density(pressure, gas.start_temperature))
        end = air.isentropic_state(density, gas.start_temperature, ambient)
        inputs = {
            "m": density * gas.volume,
            "u_1": float(air.internal_energy(density, gas.start_temperature)),
            "u_2": end.internal_energy,
        }
        yield Trace("isentropic_real_energy", inputs, found.isentropic_real, state)
    tnt = installation.choices.tnt_energy
    inputs = {"E": found.isentropic, "e": tnt}
    yield Trace("tnt_mass", inputs, found.isentropic / tnt, state)
