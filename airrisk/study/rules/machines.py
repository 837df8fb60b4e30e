"""Rules about compressors, about values that were assumed, and about a file with nothing in it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import networkx as nx

from airrisk.installation.fields import spec as field_spec
from airrisk.installation.model import Compressor, End, Line
from airrisk.installation.naming import in_order
from airrisk.installation.sections import ATMOSPHERE
from airrisk.messages import quoted, said
from airrisk.physics.compression import oil_ignition
from airrisk.study.records import Finding
from airrisk.study.rules.asking import all_compressors, asked_in_turn, for_each
from airrisk.study.rules.context import RuleContext, Unanswered, finding

# Defaults that can turn a verdict, by kind of record.
DECIDING_VESSEL = ("heads", "head_thickness", "weld_factor", "measured", "temperature")
DECIDING_LINE = ("measured", "temperature")
DECIDING_PLUG = ("condition", "discharge_coefficient", "place")
DECIDING_RELIEF = ("discharge_coefficient",)
DECIDING_COMPRESSOR = ("in_fire", "lubrication", "efficiency")


def nothing_to_assess(context: RuleContext) -> Iterator[Finding]:
    """A file without a single vessel or line: no answer about it can be safe."""
    if not context.installation.holders():
        yield finding("nothing-to-assess", "warning", "")


@for_each(all_compressors)
def compressors_that_cannot_deliver(context: RuleContext, machine: Compressor) -> Iterator[Finding]:
    """Compressors whose air reaches no vessel, consumer or open end, every valve being open.

    Such a machine belongs to no section and feeds no fire: mostly a line drawn the wrong way.
    """
    plant, network = context.installation, context.network
    fed = {part.id for part in (*plant.vessels, *plant.consumers)}
    reached = nx.descendants(context.ways, machine.id)
    if any(node in fed or _is_open_end(node) for node in reached):
        return
    leaving = [line.id for line in plant.lines if network.name(line.from_) == machine.id]
    arriving = [line.id for line in plant.lines if network.name(line.to) == machine.id]
    opposed = _opposed_valves(context, {machine.id, *reached})
    if not leaving:
        variant = "suction" if arriving else "unconnected"
    else:
        variant = "opposed" if opposed else "blank"
    yield finding(
        "compressor-cannot-deliver",
        "warning",
        machine.id,
        variant=variant,
        lines=in_order(leaving or arriving),
        valves=in_order(opposed),
    )


def _is_open_end(node: Any) -> bool:
    return isinstance(node, tuple) and node[0] == ATMOSPHERE


def _opposed_valves(context: RuleContext, reached: set[Any]) -> set[str]:
    """Non-return valves that stand against air from the places reached."""
    network = context.network
    ends: tuple[End, End] = ("from", "to")
    found: set[str] = set()
    for line in context.installation.lines:
        for end in ends:
            part = network.part_at(line, end)
            if part is None or (line.id in reached) == (part in reached):
                continue  # blank, or the same on both sides
            inward = part in reached
            found |= {
                valve.id
                for valve in network.at_end.get((line.id, end), ())
                if valve.kind == "non-return" and ((end == "from") != valve.reverse) != inward
            }
    return found


@for_each(all_compressors)
def hot_discharges(context: RuleContext, machine: Compressor) -> Iterator[Finding]:
    """Compressors that run hotter than their kind should."""
    record = context.compressors.get(machine.id)
    if record is None or record.limit_k is None:
        return
    if record.discharge_temperature_k > record.limit_k + 1e-9:
        yield finding(
            "discharge-temperature-too-hot",
            "warning",
            machine.id,
            variant="measured" if record.measured else "computed",
            discharge_temperature_k=record.discharge_temperature_k,
            limit_k=record.limit_k,
            limit=record.limit_title,
            limit_source=record.limit_source,
            power_w=record.power_w,
            stages=machine.stages,
        )


@for_each(all_compressors)
def compressors_without_stop(context: RuleContext, machine: Compressor) -> Iterator[Finding]:
    """Compressors that keep feeding a fire."""
    if machine.in_fire == "keeps running":
        yield finding(
            "no-stop-on-fire-alarm",
            "warning",
            machine.id,
            variant="typed" if "in_fire" in machine.given else "assumed",
            delivery_m3_s=machine.delivery,
            pressure_pa=machine.discharge_pressure,
        )


@for_each(all_compressors)
def oil_inside(context: RuleContext, machine: Compressor) -> Iterator[Finding]:
    """Oil in the air: what burns inside is not part of the model."""
    low, high = oil_ignition()
    if machine.lubrication == "oil-free":
        return
    worst = _burst_by_the_thinnest_film(context, machine)
    film: dict[str, Any] = {"variant": "alone"}
    if worst is not None:
        oil = context.parts[worst].oil_inside
        assert oil is not None
        film = {
            "variant": "film",
            "bursts": worst,
            "oil_kg": oil.rupture_kg,
            "film_thickness_m": oil.rupture_film_thickness_m,
        }
    yield finding(
        "oil-film-can-burn-inside",
        "note",
        machine.id,
        lubrication=machine.lubrication,
        ignition_low_k=low,
        ignition_high_k=high,
        **film,
    )


def _burst_by_the_thinnest_film(context: RuleContext, machine: Compressor) -> str | None:
    """Of the parts that a compressor's air reaches, the one that the thinnest oil film bursts."""
    films = {}
    for name in nx.descendants(context.ways, machine.id):
        record = context.parts.get(name)
        oil = None if record is None else record.oil_inside
        if oil is not None and oil.rupture_film_thickness_m is not None:
            films[name] = oil.rupture_film_thickness_m
    return min(films, key=lambda name: (films[name], str(name).casefold()), default=None)


def assumed_values(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Values that nobody typed and that can turn a verdict, one note a record."""
    plant = context.installation
    groups: tuple[tuple[str, tuple, tuple[str, ...]], ...] = (
        ("vessel", plant.vessels, DECIDING_VESSEL),
        ("line", plant.lines, DECIDING_LINE),
        ("plug", plant.plugs, DECIDING_PLUG),
        ("relief_valve", plant.relief_valves, DECIDING_RELIEF),
        ("compressor", plant.compressors, DECIDING_COMPRESSOR),
    )
    for kind, records, deciding in groups:
        for record in records:
            yield from asked_in_turn(record.id, _assumed_of(context, kind, record, deciding))


def _assumed_of(
    context: RuleContext, kind: str, record: Any, deciding: tuple[str, ...]
) -> Iterator[Finding]:
    missing = tuple(name for name in deciding if name not in record.given)
    if kind == "line" and _at_rest(context, record):
        missing += ("pressure",)
    if missing:
        names = tuple(name.replace("_", " ") for name in missing)
        values = tuple(_assumed(kind, record, name) for name in missing)
        yield finding(
            "value-assumed",
            "note",
            record.id,
            kind=kind,
            keys=missing,
            fields=names,
            values=values,
        )


def _at_rest(context: RuleContext, pipe: Line) -> bool:
    """Whether nothing says what pressure a line holds, and it counts as holding none."""
    return pipe.pressure is None and context.pressure(pipe.id) <= context.ambient


def _assumed(kind: str, record: Any, name: str) -> str:
    """What stands for a value that was left out."""
    if name == "pressure":
        return said("none-above-atmosphere")
    value = getattr(record, name)
    if isinstance(value, str) and value:
        return quoted(value)
    return quoted(field_spec(kind, name).left_out) or _shown(value)


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return said("yes") if value else said("no")
    return f"{value:g}" if isinstance(value, float) else str(value)
