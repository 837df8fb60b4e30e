"""Rules about pressure, wall and water."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from airrisk.installation.geometry import reckoned_wall
from airrisk.installation.model import BurstingDisc, Line, ReliefValve, Vessel
from airrisk.physics import air, alloys
from airrisk.study.carried import carried_pressure, design_stress
from airrisk.study.records import Finding
from airrisk.study.rules.asking import all_holders, all_pressure_devices, for_each
from airrisk.study.rules.context import RuleContext, Unanswered, finding
from airrisk.study.shut_in_air import WATER_DENSITY

NOTABLE_VAPOUR = 0.1  # of the gauge design (else start) pressure; judgement


def pressures_above_design(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Parts that stand, or can be pumped, above their design pressure."""
    yield from _standing_above_design(context)
    yield from _pumped_above_design(context)


@for_each(all_holders)
def _standing_above_design(context: RuleContext, holder: Vessel | Line) -> Iterator[Finding]:
    """The part stands above its design pressure."""
    design = holder.design_pressure
    pressure = context.pressure(holder.id)
    if design is not None and pressure > design * (1.0 + 1e-9):
        yield finding(
            "pressure-above-design",
            "danger",
            holder.id,
            variant="stands",
            pressure_pa=pressure,
            design_pressure_pa=design,
        )


@for_each(all_pressure_devices)
def relief_set_below_running(
    context: RuleContext, device: ReliefValve | BurstingDisc
) -> Iterator[Finding]:
    """Relief valves and discs that open at or below the pressure that stands before them.

    A part counts from which an always open way leads to the device, its own part in any case.
    """
    openings = context.opening_pressures
    own = context.part_of(device)
    before = [
        holder.id
        for holder in context.installation.holders()
        if holder.id == own or nx.has_path(context.sure_ways, holder.id, device.id)
    ]
    highest = max(before, key=lambda name: (context.pressure(name), name == own))
    pressure = context.pressure(highest)
    if openings[device.id] <= pressure * (1.0 + 1e-9):
        yield finding(
            "relief-set-below-running",
            "warning",
            device.id,
            on=highest,
            set_pressure_pa=openings[device.id],
            pressure_pa=pressure,
        )


@for_each(all_holders)
def _pumped_above_design(context: RuleContext, holder: Vessel | Line) -> Iterator[Finding]:
    """A compressor can reach the part, delivers more than its design, and no relief is sure."""
    design = holder.design_pressure
    if design is None or context.pressure(holder.id) > design * (1.0 + 1e-9):
        return
    limit = design * (1.0 + 1e-9)
    if any(
        pressure <= limit
        and device not in context.distrusted
        and nx.has_path(context.sure_ways, holder.id, device)
        for device, pressure in context.opening_pressures.items()
    ):
        return
    pumping = [
        machine
        for machine in context.installation.compressors
        if machine.discharge_pressure > limit and nx.has_path(context.ways, machine.id, holder.id)
    ]
    if pumping:
        machine = max(pumping, key=lambda m: m.discharge_pressure)
        yield finding(
            "pressure-above-design",
            "danger",
            holder.id,
            variant="pumped",
            compressor=machine.id,
            pressure_pa=machine.discharge_pressure,
            design_pressure_pa=design,
        )


@for_each(all_holders)
def walls_too_thin(context: RuleContext, holder: Vessel | Line) -> Iterator[Finding]:
    """Parts whose wall, or heads, do not carry the design pressure at the design stress."""
    if holder.design_pressure is None:
        return
    design = holder.design_pressure - context.ambient
    carried = carried_pressure(holder)
    if carried >= design * (1.0 - 1e-9):
        return
    standing = context.pressure(holder.id) - context.ambient
    by_measuring = holder.measured or holder.worn_to is not None
    yield finding(
        "wall-thinner-than-design-needs",
        "danger" if carried < standing else "warning",
        holder.id,
        variant="measured" if by_measuring else "nominal",
        wall_m=reckoned_wall(holder) if by_measuring else holder.wall_thickness,
        carried_gauge_pa=carried,
        design_gauge_pa=design,
        standing_gauge_pa=standing,
        allowed_stress_pa=design_stress(holder),
        weld_factor=holder.weld_factor,
    )


@for_each(all_holders)
def condensate_pressures(context: RuleContext, holder: Vessel | Line) -> Iterator[Finding]:
    """Water that boils when the part burns and adds its pressure."""
    if holder.condensate <= 0.0:
        return
    plugs = [
        alloys.alloy(plug.alloy).liquidus
        for plug in context.installation.plugs
        if plug.alloy is not None and context.part_of(plug) == holder.id
    ]
    at = min(plugs, default=423.15)
    room = context.volume(holder.id) - holder.condensate
    added = float(air.saturation_pressure_water(at))
    if room > 0.0:
        mass = holder.condensate * WATER_DENSITY
        added = min(added, mass * air.WATER_GAS_CONSTANT * at / room)
    base = holder.design_pressure or context.pressure(holder.id)
    notable = NOTABLE_VAPOUR * max(base - context.ambient, 0.0)
    yield finding(
        "condensate-raises-pressure",
        "warning" if added > notable else "note",
        holder.id,
        variant="plug" if plugs else "no_plug",
        condensate_m3=holder.condensate,
        at_temperature_k=at,
        vapour_difference_pa=added,
        notable_difference_pa=notable,
        pressure_pa=context.pressure(holder.id),
    )
