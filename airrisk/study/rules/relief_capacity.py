"""Relief valves against all that machines can deliver, in every position of the valves."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from airrisk.installation.model import BurstingDisc, ReliefValve
from airrisk.installation.naming import in_order
from airrisk.physics import air
from airrisk.physics.flow import mass_flux
from airrisk.study.records import Finding
from airrisk.study.relief_positions import Shortfall, shortfalls
from airrisk.study.rules.context import RuleContext, finding

# Of the design pressure above the atmosphere: 30 CFR 57.13011 and 29 CFR 1910.169 (read).
OVER = 1.1


def relief_capacities(context: RuleContext) -> Iterator[Finding]:
    """Vessels into which machines deliver more than the relief valves that they reach pass.

    Of vessels with the same machines and the same relief valves the weakest one is told.
    """
    plant = context.installation
    if not plant.compressors:
        return
    vessels = {one.id: one for one in plant.vessels}
    devices: list[ReliefValve | BurstingDisc] = [*plant.relief_valves, *plant.bursting_discs]
    known = {one.id: one for one in devices if one.id not in context.distrusted}
    density = float(air.density(plant.site.ambient_pressure, plant.site.ambient_temperature))
    flows: dict[tuple[str, str], float] = {}

    def passed(vessel: str, devices: frozenset[str]) -> float:
        for name in devices:
            if (vessel, name) not in flows:
                flows[vessel, name] = _flow(
                    known[name], allowed(vessel), context.ambient, vessels[vessel].temperature
                )
        return math.fsum(flows[vessel, name] for name in devices)

    def allowed(vessel: str) -> float:
        return context.ambient + OVER * (vessels[vessel].design_pressure - context.ambient)

    told: dict[tuple[tuple[str, ...], tuple[str, ...]], Shortfall] = {}
    deliveries = {one.id: density * one.delivery for one in plant.compressors}
    for one in shortfalls(plant, deliveries, frozenset(known), passed):
        key = one.machines, one.devices
        if key not in told or _weaker(one, told[key], allowed):
            told[key] = one
    for one in told.values():
        yield _found(one, allowed(one.vessel))


def _weaker(one: Shortfall, other: Shortfall, allowed: Callable[[str], float]) -> bool:
    return (one.turned, allowed(one.vessel)) < (other.turned, allowed(other.vessel))


def _found(short: Shortfall, allowed: float) -> Finding:
    position = "turned" if short.opened else "shut" if short.shut else ""
    nothing = "" if short.passed_kg_s > 0.0 else "none"
    return finding(
        "relief-capacity-too-small",
        "warning",
        short.vessel,
        variant="_".join(piece for piece in (position, nothing) if piece),
        cure_variant="shut" if position else "",
        stops=in_order(short.machines),
        left=in_order(short.devices),
        valves=in_order((*short.shut, *short.opened)),
        delivered_kg_s=short.delivered_kg_s,
        passed_kg_s=short.passed_kg_s,
        allowed_pa=allowed,
    )


def _flow(
    device: ReliefValve | BurstingDisc, pressure: float, ambient: float, temperature: float
) -> float:
    """What a device passes at a pressure [kg/s]: its lift grows from the set pressure to 10 %."""
    opens = device.set_pressure if isinstance(device, ReliefValve) else device.burst_pressure
    above, own = pressure - ambient, opens - ambient
    if above < own:
        return 0.0
    lift = 1.0
    if isinstance(device, ReliefValve):
        lift = min((above - own) / (0.1 * own), 1.0) if own > 0.0 else 1.0
    flux = float(mass_flux(pressure, temperature, ambient))
    return lift * device.discharge_coefficient * device.area * flux
