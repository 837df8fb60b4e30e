"""Rules about the plugs themselves: melting point, place, outlet, upkeep."""

from __future__ import annotations

import math
from collections.abc import Iterator

from airrisk.installation.model import Compressor, Plug, Vessel
from airrisk.installation.plug_state import is_under_water
from airrisk.messages import said
from airrisk.physics import air, alloys, flow_kernel
from airrisk.physics.compression import deposit_ignition
from airrisk.physics.flow import flow_table
from airrisk.study.records import Finding
from airrisk.study.rules.asking import all_compressors, all_plugs, for_each
from airrisk.study.rules.context import RuleContext, Unanswered, finding
from airrisk.study.rules.ways_out import discharge_stretch

RUPTURE_MARGIN = 30.0  # K between liquidus and rupture; judgement
LEAST_OUTLET_FLOW = 0.9  # of the flow without outlet pipe; judgement
WET_ROLES = frozenset({"receiver", "separator", "aftercooler"})


def _melting(plug: Plug) -> alloys.Alloy | None:
    return None if plug.alloy is None else alloys.alloy(plug.alloy)


@for_each(all_plugs)
def plugs_melt_too_low(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs whose metal begins to melt too near to the hottest normal running."""
    wanted = context.installation.choices.running_margin
    metal = _melting(plug)
    if metal is None:
        return
    source = context.heated[context.part_of(plug)]
    hottest = source.temperature
    margin = metal.solidus - hottest
    if margin < wanted - 1e-9:
        rupture = _rupture_temperature(context, context.part_of(plug))
        latest = None if rupture is None else rupture - RUPTURE_MARGIN
        yield finding(
            "plug-melts-too-low",
            "danger" if margin <= 0.0 else "warning",
            plug.id,
            text_variant="carried" if source.carried else "fed" if source.compressor else "own",
            compressor=source.compressor,
            variant="alloy" if _an_alloy_fits(context, plug, latest) else "no_alloy",
            on=context.part_of(plug),
            alloy=metal.name,
            solidus_k=metal.solidus,
            least_solidus_k=hottest + wanted,
            most_liquidus_k=latest,
            running_temperature_k=hottest,
            found_margin_k=margin,
            wanted_margin_k=wanted,
        )


def _rupture_temperature(context: RuleContext, part: str) -> float | None:
    """Temperature at which a part ruptures when heated as a whole, K; none: not in its range."""
    record = context.parts.get(part)
    return None if record is None else record.rupture_temperature_k


def _an_alloy_fits(context: RuleContext, plug: Plug, latest: float | None) -> bool:
    """Whether a listed alloy keeps its distance from normal running and is molten in time.

    ``latest`` is the temperature at which it has to be molten, K; none: no such limit.
    """
    least = context.running[context.part_of(plug)] + context.installation.choices.running_margin
    return any(
        metal.solidus >= least - 1e-9 and (latest is None or metal.liquidus <= latest + 1e-9)
        for metal in alloys.alloys()
    )


def plugs_melt_too_high(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Plugs that are molten only near rupture, above design pressure, or above oil's limits."""
    yield from _near_rupture(context)
    yield from _above_deposits(context)


@for_each(all_plugs)
def _near_rupture(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs that are molten only near rupture, or above design pressure."""
    metal = _melting(plug)
    part = context.part_of(plug)
    record = context.parts.get(part)
    if metal is None:
        return
    rupture = _rupture_temperature(context, part)
    least = context.running[part] + context.installation.choices.running_margin
    design = None if record is None else record.design_pressure_temperature_k
    if rupture is not None and rupture - metal.liquidus < RUPTURE_MARGIN - 1e-9:
        yield finding(
            "plug-melts-too-high",
            "danger" if metal.liquidus >= rupture else "warning",
            plug.id,
            variant="rupture"
            if _an_alloy_fits(context, plug, rupture - RUPTURE_MARGIN)
            else "rupture_no_alloy",
            on=part,
            alloy=metal.name,
            liquidus_k=metal.liquidus,
            least_solidus_k=least,
            most_liquidus_k=rupture - RUPTURE_MARGIN,
            rupture_temperature_k=rupture,
            found_margin_k=rupture - metal.liquidus,
            wanted_margin_k=RUPTURE_MARGIN,
        )
    elif design is not None and metal.liquidus > design and not _relieved(context, part):
        yield finding(
            "plug-melts-too-high",
            "warning",
            plug.id,
            variant="design" if _an_alloy_fits(context, plug, design) else "design_no_alloy",
            on=part,
            alloy=metal.name,
            liquidus_k=metal.liquidus,
            least_solidus_k=least,
            most_liquidus_k=design,
            design_pressure_temperature_k=design,
            design_pressure_pa=context.holder(part).design_pressure,
        )


def _relieved(context: RuleContext, part: str) -> bool:
    """Whether a device on the part itself opens at or below its design pressure."""
    design = context.holder(part).design_pressure
    plant = context.installation
    openings = [(v.id, v.on, v.set_pressure) for v in plant.relief_valves]
    openings += [(d.id, d.on, d.burst_pressure) for d in plant.bursting_discs]
    return design is not None and any(
        context.network.name(on) == part
        and pressure <= design * (1.0 + 1e-9)
        and name not in context.distrusted
        and not any(v.can_close for v in context.network.before_device.get(name, ()))
        for name, on, pressure in openings
    )


@for_each(all_compressors)
def _above_deposits(context: RuleContext, machine: Compressor) -> Iterator[Finding]:
    low, high = deposit_ignition()
    if machine.lubrication != "oil-lubricated":
        return
    stretch, _ = discharge_stretch(context, machine.id)
    for plug in context.installation.plugs:
        metal = _melting(plug)
        if metal is not None and metal.liquidus > high and context.part_of(plug) in stretch:
            yield finding(
                "plug-melts-too-high",
                "note",
                plug.id,
                variant="oil",
                on=context.part_of(plug),
                compressor=machine.id,
                alloy=metal.name,
                liquidus_k=metal.liquidus,
                deposits_low_k=low,
                deposits_high_k=high,
            )


@for_each(all_plugs)
def plugs_of_unknown_alloy(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs whose alloy nobody has stated."""
    if plug.alloy is None:
        yield finding("plug-alloy-unstated", "warning", plug.id, on=context.part_of(plug))


@for_each(all_plugs)
def plugs_without_heat_lag(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs that the runs take to be as hot as their wall; real ones lag behind it."""
    if plug.response == "follows wall":
        yield finding("plug-without-heat-lag", "warning", plug.id, on=context.part_of(plug))


@for_each(all_plugs)
def plugs_in_liquid(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs under the stated water, at the drain, or low on a part where water collects."""
    part = context.part_of(plug)
    holder = context.holder(part)
    under = is_under_water(context.installation, plug)
    if not under and plug.place not in ("drain", "bottom"):
        return
    wet = isinstance(holder, Vessel) and holder.role in WET_ROLES
    yield finding(
        "plug-in-liquid",
        "warning" if under or wet or plug.place == "drain" else "note",
        plug.id,
        variant="under" if under else "may",
        on=part,
        place=plug.place,
        condensate_m3=holder.condensate,
    )


@for_each(all_plugs)
def outlets_too_tight(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Outlet pipes that hold back more than a tenth of what the plug's bore lets through."""
    if plug.outlet != "piped" or plug.outlet_length is None or plug.outlet_diameter is None:
        return
    part = context.part_of(plug)
    share = outlet_flow_share(plug, context.pressure(part), context.running[part], context.ambient)
    if share is not None and share < LEAST_OUTLET_FLOW:
        yield finding(
            "outlet-line-too-tight",
            "warning",
            plug.id,
            on=part,
            flow_share=share,
            wanted_share=LEAST_OUTLET_FLOW,
            pressure_pa=context.pressure(part),
            bore_m=plug.bore,
            outlet_diameter_m=plug.outlet_diameter,
            outlet_length_m=plug.outlet_length,
        )


def outlet_flow_share(
    plug: Plug, pressure: float, temperature: float, ambient: float
) -> float | None:
    """Flow through a plug with its outlet pipe over the flow through its bore alone.

    Parameters
    ----------
    plug : Plug
        With outlet length and diameter.
    pressure, temperature : float
        State of the air behind it [Pa absolute, K].
    ambient : float
        Pressure outside [Pa absolute].

    Returns
    -------
    float or None
        Share; none where nothing flows or the state is outside the flow table.
    """
    if pressure <= ambient:
        return None
    table = flow_table().arrays()
    rho = float(air.density(pressure, temperature))
    throat = plug.discharge_coefficient * 0.25 * math.pi * plug.bore**2
    free, _ = flow_kernel.nozzle_mass_flux(table, pressure, rho, temperature, ambient)
    piped, _, _ = flow_kernel.piped_outlet_mass_flow(
        table,
        pressure,
        rho,
        temperature,
        float(air.viscosity(temperature)),
        ambient,
        throat,
        plug.outlet_length,
        plug.outlet_diameter,
    )
    share = float(piped) / (float(free) * throat) if free > 0.0 else float("nan")
    return share if math.isfinite(share) else None


@for_each(all_plugs)
def overdue_plugs(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs past their renewal date, or without any date."""
    state = context.plug_state(plug)
    if not state.overdue:
        return
    variant = "dated"
    if state.due is None:
        variant = "no_date" if plug.fitted is None else "later"
    yield finding(
        "plug-overdue",
        "warning",
        plug.id,
        variant=variant,
        on=context.part_of(plug),
        fitted=plug.fitted,
        assessed=context.on,
        due=state.due,
        renewed=state.renewed,
        interval_months=plug.renew_every,
        days=None if state.due is None else (context.on - state.due).days,
    )


def plugs_due_soon(context: RuleContext) -> Iterator[Finding]:
    """Plugs whose renewal comes up."""
    for row in context.upkeep:
        if row.status == "due soon":
            yield finding(
                "plug-due-soon",
                "note",
                row.device,
                on=row.on,
                due=row.due,
                days=row.days_left,
                span=context.installation.choices.due_soon,
            )


@for_each(all_plugs)
def plugs_in_poor_condition(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs that are fouled, corroded, painted over, or that nobody has looked at."""
    state = context.plug_state(plug)
    if state.condition == "clean":
        return
    variant = {"oil film": "oil_film", "unknown": "unknown"}.get(state.condition, "poor")
    yield finding(
        "plug-condition",
        "note" if variant == "oil_film" else "warning",
        plug.id,
        variant=variant,
        on=context.part_of(plug),
        condition=state.condition,
        inspected=state.inspected or said("not-recorded"),
    )
