"""How much oil, burned in a shut vessel or line, bursts it or brings it to its plug's melting."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.geometry import (
    burst_factor,
    inner_surface,
    part_geometry,
    shell_grade,
)
from airrisk.installation.model import Installation, Line, Plug, Vessel
from airrisk.physics import alloys, metal
from airrisk.physics.oil_burning import HeatedAir, metal_heat, oil
from airrisk.study.records import OilForPlug, OilInside, Trace
from airrisk.study.shut_in_air import ShutInAir


def oil_inside(installation: Installation, part: Vessel | Line, gas: ShutInAir) -> OilInside:
    """The oil that ruptures a part, that its oxygen can burn, and that its plugs need.

    Parameters
    ----------
    installation
        The part with its plugs; gives strength basis and burst formula.
    part
        Vessel or line.
    gas
        The air in it at the start. The vapour of condensate keeps its share of the pressure; no
        water evaporates while the oil burns.

    Returns
    -------
    OilInside

    Raises
    ------
    AirRangeError
        The air lies outside the table.

    Source
    ------
    First law at constant volume; numbers of the oil in resources/oil.toml.
    """
    lube, surface = oil(), inner_surface(part)
    hot = HeatedAir(gas.density, gas.start_temperature)
    per_oil = gas.mass / lube.heat_of_combustion
    most = gas.mass * lube.burnt_by_air

    def film(mass: float) -> float:
        return mass / (lube.density * surface)

    def total(dry: float) -> float:
        """Pressure of the whole where the dry air has this one: vapour follows in proportion."""
        return dry * gas.start_pressure / hot.pressure(hot.start)

    hottest = hot.temperature_of_heat(most / per_oil)
    bursts_at = _burst_pressure(installation, part, gas.start_temperature)
    dry = bursts_at / total(1.0)
    gas_at_rupture = hot.temperature_of_pressure(dry)
    rupture = 0.0 if gas_at_rupture is None else hot.heat(gas_at_rupture) * per_oil
    enough = rupture <= most
    plugs = {
        plug.id: _for_plug(plug, part, gas, hot, most)
        for plug in installation.plugs
        if plug.on.casefold() == part.id.casefold() and plug.alloy is not None
    }
    return OilInside(
        surface_m2=surface,
        most_kg=most,
        most_film_thickness_m=film(most),
        most_pressure_pa=total(hot.pressure(hottest)),
        rupture_pressure_pa=bursts_at,
        rupture_kg=rupture if enough else None,
        rupture_film_thickness_m=film(rupture) if enough else None,
        rupture_gas_temperature_k=gas_at_rupture if enough else None,
        plugs=plugs,
    )


def _burst_pressure(installation: Installation, part: Vessel | Line, wall: float) -> float:
    """Absolute pressure at which a part bursts with its wall at a temperature, Pa."""
    choices = installation.choices
    basis = metal.resolve_basis(part.material, choices.strength_basis)
    strength = float(metal.strength(shell_grade(part), basis, wall))
    factor = burst_factor(part, choices.burst_formula, basis)
    return installation.site.ambient_pressure + factor * strength


def _for_plug(
    plug: Plug, part: Vessel | Line, gas: ShutInAir, hot: HeatedAir, most: float
) -> OilForPlug:
    """The least and the most oil that a plug's melting takes."""
    molten = alloys.alloy(plug.alloy or "").liquidus
    if molten <= hot.start:
        return OilForPlug(0.0, 0.0)
    lube = oil()
    heat = hot.heat(molten) * gas.mass
    family = metal.material(part.material).family_code
    walls = metal_heat(family, part_geometry(part).metal_mass, hot.start, molten)
    least = heat / lube.heat_of_combustion
    slow = (heat + walls) / lube.heat_of_combustion
    return OilForPlug(
        least if least <= most else None,
        slow if slow <= most else None,
    )


def oil_traces(gas: ShutInAir, found: OilInside) -> Iterator[Trace]:
    """The steps of the oil that ruptures a part, for a check with a calculator.

    Parameters
    ----------
    gas
        The air at the start.
    found
        Answer of ``oil_inside``.
    """
    lube = oil()
    inputs = {"m": gas.mass, "w_o": lube.oxygen_in_air, "s_o": lube.oxygen_demand}
    yield Trace("oil_for_oxygen", inputs, found.most_kg)
    mass, at = found.rupture_kg, found.rupture_gas_temperature_k
    if mass is None or at is None:
        return
    hot = HeatedAir(gas.density, gas.start_temperature)
    taken = hot.heat(at)
    yield Trace("oil_for_heat", {"m": gas.mass, "q_h": taken, "H": lube.heat_of_combustion}, mass)
    thickness = mass / (lube.density * found.surface_m2)
    yield Trace(
        "oil_film", {"m_o": mass, "rho_o": lube.density, "A_i": found.surface_m2}, thickness
    )
