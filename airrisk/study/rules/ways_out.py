"""Rules about where the air goes: unprotected stretches, plugs and relief valves cut off."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from typing import Any

import networkx as nx

from airrisk.installation.model import (
    ENGULFING,
    BurstingDisc,
    Compressor,
    Installation,
    Line,
    Plug,
    ReliefValve,
    Valve,
    Vessel,
)
from airrisk.installation.naming import in_order
from airrisk.installation.sections import ATMOSPHERE
from airrisk.messages import said
from airrisk.study.protection import (
    NOT_HEATED,
    NOTHING,
    PRESSURE,
    smallest_cut_from,
    sure_plugs,
)
from airrisk.study.records import Finding, FireRecord, ProtectionRecord
from airrisk.study.rules.asking import (
    all_compressors,
    all_plugs,
    all_pressure_devices,
    all_vessels,
    asked_in_turn,
    for_each,
)
from airrisk.study.rules.context import RuleContext, Unanswered, finding, fire_named
from airrisk.study.rules.doubts import turned_sections

FURTHER_VALVES = 0.05  # gauge, above the design pressure, for valves beside a first one

Group = tuple[ProtectionRecord, tuple[str, ...]]


def _groups(context: RuleContext, whys: Iterable[str]) -> Iterator[Group]:
    """Parts of one shut-in section that the same valves leave in the same state."""
    wanted = set(whys)
    grouped: dict[tuple[object, ...], list[str]] = {}
    records: dict[tuple[object, ...], ProtectionRecord] = {}
    for part, record in context.protection.items():
        if record.protected or record.why not in wanted:
            continue
        key: tuple[object, ...] = (
            context.section_at(part).id,
            record.why,
            record.worst_valves,
            record.last_valves,
            record.area,
        )
        grouped.setdefault(key, []).append(part)
        records.setdefault(key, record)
    for key, parts in grouped.items():
        yield records[key], in_order(parts)


def _describe(context: RuleContext, group: Group) -> dict[str, Any]:
    record, parts = group
    section = context.section_at(parts[0])
    return {
        "parts": parts,
        "section": section.id,
        "volume_m3": sum(context.volume(name) for name in parts),
        "stored_pa_m3": context.stored(parts),
        "section_volume_m3": section.volume,
        "section_pa_m3": context.stored(section.holders),
        "small_pa_m3": context.installation.choices.small_section,
        "worst_valves": record.worst_valves,
        "last_valves": record.last_valves,
        "left": record.left,
        "at_best": record.at_best,
        "area": record.area or said("not-stated"),
    }


def _lock_or_fit(context: RuleContext, record: ProtectionRecord, variant: str) -> dict[str, Any]:
    """Which cure: locking a valve open helps only where the plug behind it may be counted on."""
    behind = tuple(
        plug.id
        for plug in context.installation.plugs
        if plug.id in record.at_best and context.plug_state(plug).credited
    )
    alone = {"cure_variant": f"{variant}_alone"}
    if not record.worst_valves:
        return {}
    return {"reassures": behind, "otherwise": alone} if behind else alone


def unprotected_sections(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Stretches that some position of the valves leaves without a plug that a fire heats."""
    for group in _groups(context, (NOTHING, NOT_HEATED)):
        yield from asked_in_turn(group[1][0], _unprotected(context, group))


def _unprotected(context: RuleContext, group: Group) -> Iterator[Finding]:
    record, parts = group
    small = context.is_small(context.section_at(parts[0]))
    variant = "nothing" if record.why == NOTHING else "not_heated"
    if not record.worst_valves:
        variant += "_ever" if record.last_valves or variant == "not_heated" else "_at_all"
    elif variant == "nothing" and record.worst_valves == record.last_valves:
        variant = "nothing_same"
    yield finding(
        "unprotected-section",
        "note" if small else "danger",
        context.largest_holder(parts),
        variant="small" if small else variant,
        **_describe(context, group),
        **({} if small else _lock_or_fit(context, record, variant)),
    )


def kept_by_pressure_alone(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Stretches and fires in which only a relief valve or disc lets air out.

    Where a safe verdict turns if the relief valve stays shut, that is told in its place.
    """
    told: set[str] = set()
    for group in _groups(context, (PRESSURE,)):
        told.update(group[1])
        yield from asked_in_turn(group[1][0], _kept_by_pressure(context, group))
    turned = turned_sections(context, "relief-valve")
    sections: dict[str, list[FireRecord]] = {}
    for fire in context.fires:
        kept = fire.safe and fire.kept_by == "pressure" and not told & set(fire.members)
        if kept and fire.section not in turned:
            sections.setdefault(fire.section, []).append(fire)
    for fires in sections.values():
        yield from asked_in_turn(fires[0].id, _fires_kept_by_pressure(context, fires))


def _kept_by_pressure(context: RuleContext, group: Group) -> Iterator[Finding]:
    record, parts = group
    small = context.is_small(context.section_at(parts[0]))
    yield finding(
        "kept-by-pressure-alone",
        "note" if small else "warning",
        context.largest_holder(parts),
        variant="section" if record.worst_valves else "section_ever",
        **_describe(context, group),
    )


def _fires_kept_by_pressure(context: RuleContext, fires: list[FireRecord]) -> Iterator[Finding]:
    engulfing = [fire for fire in fires if fire.fire_class in ENGULFING]
    worst = max(engulfing or fires, key=lambda fire: fire.peak_strength_use or 0.0)
    holders = context.holders_of(worst.members)
    yield finding(
        "kept-by-pressure-alone",
        "note" if not engulfing or context.is_little(holders) else "warning",
        context.largest_holder(holders),
        section=worst.section,
        variant="fire",
        **fire_named(worst),
        fires=tuple(fire.id for fire in fires),
        peak_strength_use=worst.peak_strength_use,
    )


def isolated_relief_valves(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Relief valves behind a valve that can be shut, and vessels cut off from all of them."""
    yield from _valves_before_relief(context)
    yield from _vessels_cut_off(context)


@for_each(all_pressure_devices)
def _valves_before_relief(
    context: RuleContext, device: ReliefValve | BurstingDisc
) -> Iterator[Finding]:
    shut = _closable_before(context, device.id)
    if shut:
        yield finding(
            "relief-valve-can-be-isolated",
            "danger",
            device.id,
            variant="device",
            on=context.part_of(device),
            valves=shut,
        )


@for_each(all_vessels)
def _vessels_cut_off(context: RuleContext, vessel: Vessel) -> Iterator[Finding]:
    targets = [device.id for device in all_pressure_devices(context)]
    if not targets:
        return
    direct = {valve for device in targets for valve in _closable_before(context, device)}
    valves = smallest_cut_from(context.vent_ways, vessel.id, targets)
    if not valves or set(valves) <= direct:
        return
    plugs = _proven_plugs(context, vessel)
    small = context.is_small(context.section_at(vessel.id))
    yield finding(
        "relief-valve-can-be-isolated",
        "note" if small else "warning",
        vessel.id,
        variant="vessel_with_plug" if plugs else "vessel",
        valves=valves,
        plugs=plugs,
        reassures=plugs,
        otherwise={"variant": "vessel", "plugs": ()},
    )


def _proven_plugs(context: RuleContext, vessel: Vessel) -> tuple[str, ...]:
    """Plugs that vent a vessel in time in every run of the fires that engulf it, shut in.

    Empty where it cannot always reach a plug that may be counted on, or where a stated fire, or
    the one all around, is not safe.
    """
    section = context.section_at(vessel.id)
    key = (section.id, section.closed_valves)
    verdicts = {
        one.fire_class: one
        for one in context.verdicts
        if (one.section, one.closed_valves) == key and one.safe is not None
    }
    whole = verdicts.get("whole")
    stated = verdicts.get("stated")
    if whole is None or whole.outcome != "vents in time" or not whole.safe:
        return ()
    if stated is not None and not stated.safe:
        return ()
    sure = context.protection[vessel.id].by
    return tuple(
        plug.id
        for plug in context.installation.plugs
        if plug.id in sure and context.plug_state(plug).credited
    )


def _closable_before(context: RuleContext, device: str) -> tuple[str, ...]:
    return tuple(
        valve.id for valve in context.network.before_device.get(device, ()) if valve.can_close
    )


@for_each(all_plugs)
def outlets_that_can_be_shut(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs behind a valve that can be shut."""
    shut = _closable_before(context, plug.id)
    if shut:
        yield finding(
            "outlet-can-be-shut",
            "danger",
            plug.id,
            on=context.part_of(plug),
            valves=shut,
        )


def _blocks(valves: Iterable[Valve]) -> str | None:
    """The first valve that separates in some position: closable, or non-return."""
    return next((v.id for v in valves if v.can_close or v.kind == "non-return"), None)


def discharge_stretch(context: RuleContext, compressor: str) -> tuple[set[str], tuple[str, ...]]:
    """What lies between a compressor and the first valve, non-return valve or cooler.

    Returns
    -------
    tuple
        Ids of the vessels and lines of the stretch, and of the valves and coolers that end it.
    """
    plant = context.installation
    network = context.network
    vessels = {vessel.id: vessel for vessel in plant.vessels}
    stretch: set[str] = set()
    stops: list[str] = []
    waiting = [compressor]
    seen: set[str] = set()
    while waiting:
        place = waiting.pop(0)
        if place in seen:
            continue
        seen.add(place)
        for line in plant.lines:
            if network.name(line.from_) != place or line.id in seen:
                continue
            seen.add(line.id)
            near = _blocks(network.at_end.get((line.id, "from"), ()))
            if near is not None:
                stops.append(near)
                continue
            stretch.add(line.id)
            far = _blocks(network.at_end.get((line.id, "to"), ())[::-1])
            goal = network.part_at(line, "to")
            if far is not None:
                stops.append(far)
            elif goal in vessels and vessels[goal].role == "aftercooler":
                stops.append(goal)
            elif goal is not None and goal != ATMOSPHERE:
                if goal in vessels:
                    stretch.add(goal)
                waiting.append(goal)
    return stretch, tuple(stops)


def _unguarded(context: RuleContext, compressor: str) -> tuple[set[str], tuple[str, ...]] | None:
    """The discharge stretch of a compressor and what ends it, where no plug stands on it."""
    stretch, stops = discharge_stretch(context, compressor)
    if not stretch and not stops:
        return None  # nothing is connected
    guarded = any(
        context.part_of(plug) in stretch
        and _blocks(context.network.before_device.get(plug.id, ())) is None
        for plug in context.installation.plugs
    )
    return None if guarded else (stretch, stops)


@for_each(all_compressors)
def discharge_without_plug(context: RuleContext, machine: Compressor) -> Iterator[Finding]:
    """Compressors with no plug before the first valve, non-return valve or cooler."""
    found = _unguarded(context, machine.id)
    if found is None:
        return
    stretch, stops = found
    behind = plugs_behind_first_valve(context, machine.id)
    yield finding(
        "no-plug-after-compressor",
        "warning",
        machine.id,
        variant="behind" if behind else "ended" if stops else "open",
        stops=stops,
        stretch=in_order(stretch),
        valves=in_order({valve for valve, _ in behind}),
        plugs=in_order({plug for _, plug in behind}),
        **({} if behind else _hot_delivery(context, machine)),
    )


def _hot_delivery(context: RuleContext, machine: Compressor) -> dict[str, Any]:
    """How hot the air of a compressor is, and below which no plug there may begin to melt."""
    record = context.compressors.get(machine.id)
    if record is None:
        return {}
    return {
        "cure_variant": "hot",
        "discharge_temperature_k": record.discharge_temperature_k,
        "least_solidus_k": record.discharge_temperature_k
        + context.installation.choices.running_margin,
    }


def plugs_behind_first_valve(context: RuleContext, compressor: str) -> set[tuple[str, str]]:
    """Non-return valves at the outlet of a compressor, with the plugs on the line behind each."""
    plant, network = context.installation, context.network
    valves = {valve.id: valve for valve in plant.valves}
    found = set()
    for line in plant.lines:
        if network.name(line.from_) != compressor:
            continue
        first = _blocks(network.at_end.get((line.id, "from"), ()))
        if first is not None and valves[first].kind == "non-return":
            found |= {(first, p.id) for p in plant.plugs if context.part_of(p) == line.id}
    return found


def _with_passing(plant: Installation, valve: Valve) -> Installation:
    """The installation with one non-return valve passing both ways."""
    open_both = replace(valve, kind="isolating", state="locked open", reverse=False)
    return replace(plant, valves=tuple(open_both if v.id == valve.id else v for v in plant.valves))


def plugs_behind_non_return_valves(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Plugs that a non-return valve keeps from what they seem to protect.

    A plug on the far side of the valve at a compressor's outlet is told with the compressor,
    which has no plug.
    """
    told = {
        pair
        for machine in context.installation.compressors
        if _unguarded(context, machine.id) is not None
        for pair in plugs_behind_first_valve(context, machine.id)
    }
    yield from asked_in_turn("", _plugs_behind_any_valve(context, told))


def _plugs_behind_any_valve(
    context: RuleContext, told: Collection[tuple[str, str]]
) -> Iterator[Finding]:
    plant = context.installation
    lost = {
        part: record
        for part, record in context.protection.items()
        if not record.protected and not context.is_small(context.section_at(part))
    }
    if not lost:
        return
    for valve in plant.valves:
        if valve.kind != "non-return":
            continue
        passing = sure_plugs(_with_passing(plant, valve))
        gained: dict[str, list[str]] = {}
        for part in lost:
            for plug_id in passing[part]:
                gained.setdefault(plug_id, []).append(part)
        for plug_id, parts in gained.items():
            if (valve.id, plug_id) in told:
                continue
            yield finding(
                "plug-behind-non-return-valve",
                "warning",
                plug_id,
                valve=valve.id,
                parts=in_order(parts),
            )


@for_each(all_pressure_devices)
def relief_set_above_design(
    context: RuleContext, device: ReliefValve | BurstingDisc
) -> Iterator[Finding]:
    """Relief valves and discs that open above the design pressure of what they stand on.

    One device must open at or below the design pressure; further ones may be set up to 5 %
    (gauge) higher while it can always be reached. A part that no device serves for certain is
    held against those that it reaches while the valves stand open.
    """
    plant = context.installation
    openings = context.opening_pressures
    worst: tuple[float, str, bool] | None = None
    for holder in plant.holders():
        design = holder.design_pressure
        ways = context.sure_ways
        if not any(_serves(ways, holder, one) for one in openings):
            ways = context.ways
        if design is None or not _serves(ways, holder, device.id):
            continue
        lower = [
            other
            for other, pressure in openings.items()
            if other != device.id
            and other not in context.distrusted
            and pressure <= design * (1.0 + 1e-9)
            and _serves(ways, holder, other)
        ]
        own = context.part_of(device) == holder.id
        if lower and not own:
            continue  # it is not this valve that keeps the part
        allowed = design + (FURTHER_VALVES * (design - context.ambient) if lower else 0.0)
        if openings[device.id] > allowed * (1.0 + 1e-9) and (worst is None or allowed < worst[0]):
            worst = (allowed, holder.id, bool(lower))
    if worst is not None:
        allowed, part, kept = worst
        yield finding(
            "relief-set-above-design",
            "warning" if kept else "danger",
            device.id,
            variant="further" if kept else "only",
            protects=part,
            set_pressure_pa=openings[device.id],
            allowed_pressure_pa=allowed,
            design_pressure_pa=context.holder(part).design_pressure,
        )


def _serves(ways: nx.DiGraph[Any], holder: Vessel | Line, device: str) -> bool:
    return bool(nx.has_path(ways, holder.id, device))
