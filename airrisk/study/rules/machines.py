"""Rules about compressors, and about values that were assumed."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.physics.compression import oil_ignition
from airrisk.study.records import Finding
from airrisk.study.rules.context import RuleContext, finding

# Defaults that can turn a verdict, by kind of record.
DECIDING_VESSEL = ("weld_factor", "measured")
DECIDING_LINE = ("measured",)
DECIDING_PLUG = ("condition", "discharge_coefficient", "place")
DECIDING_RELIEF = ("discharge_coefficient",)
DECIDING_COMPRESSOR = ("in_fire", "lubrication", "efficiency")


def hot_discharges(context: RuleContext) -> Iterator[Finding]:
    """Compressors that run hotter than their kind should."""
    for machine in context.installation.compressors:
        record = context.compressors.get(machine.id)
        if record is None or record.limit_k is None:
            continue
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


def compressors_without_stop(context: RuleContext) -> Iterator[Finding]:
    """Compressors that keep feeding a fire."""
    for machine in context.installation.compressors:
        if machine.in_fire == "keeps running":
            yield finding(
                "no-stop-on-fire-alarm",
                "warning",
                machine.id,
                variant="typed" if "in_fire" in machine.given else "assumed",
                delivery_m3_s=machine.delivery,
                pressure_pa=machine.discharge_pressure,
            )


def oil_inside(context: RuleContext) -> Iterator[Finding]:
    """Oil in the air: what burns inside is not part of the model."""
    low, high = oil_ignition()
    for machine in context.installation.compressors:
        if machine.lubrication != "oil-free":
            yield finding(
                "oil-film-can-burn-inside",
                "note",
                machine.id,
                lubrication=machine.lubrication,
                ignition_low_k=low,
                ignition_high_k=high,
            )


def assumed_values(context: RuleContext) -> Iterator[Finding]:
    """Values that nobody typed and that can turn a verdict, one note a record."""
    plant = context.installation
    groups: tuple[tuple[tuple, tuple[str, ...]], ...] = (
        (plant.vessels, DECIDING_VESSEL),
        (plant.lines, DECIDING_LINE),
        (plant.plugs, DECIDING_PLUG),
        (plant.relief_valves, DECIDING_RELIEF),
        (plant.compressors, DECIDING_COMPRESSOR),
    )
    for records, deciding in groups:
        for record in records:
            missing = tuple(name for name in deciding if name not in record.given)
            if missing:
                yield finding(
                    "value-assumed",
                    "note",
                    record.id,
                    fields=tuple(name.replace("_", " ") for name in missing),
                    values=tuple(_shown(getattr(record, name)) for name in missing),
                )


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
