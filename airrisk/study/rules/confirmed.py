"""Rules about what nobody has confirmed, and about what inspections have found."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from airrisk.installation.inspected import last_found
from airrisk.installation.model import Device, Line, Plug, Vessel
from airrisk.messages import said
from airrisk.study.records import Finding
from airrisk.study.rules.asking import asked_in_turn
from airrisk.study.rules.context import RuleContext, Unanswered, finding


def offered_values(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Parts and devices with values that the program filled in and nobody has confirmed."""
    plant = context.installation
    groups: tuple[tuple[str, tuple[Any, ...]], ...] = (
        ("vessel", plant.vessels),
        ("line", plant.lines),
        ("compressor", plant.compressors),
        ("plug", plant.plugs),
        ("relief_valve", plant.relief_valves),
        ("bursting_disc", plant.bursting_discs),
    )
    for kind, records in groups:
        for record in records:
            if record.offered:
                yield from asked_in_turn(record.id, _offered_of(context, kind, record))


def _offered_of(context: RuleContext, kind: str, record: Any) -> Iterator[Finding]:
    device = isinstance(record, Device)
    part = context.part_of(record) if device else record.id
    holds = device or isinstance(record, Vessel | Line)
    yield finding(
        "value-offered",
        "note" if holds and context.is_small(context.section_at(part)) else "warning",
        record.id,
        variant="device" if device else "part" if holds else "compressor",
        kind=kind,
        record=record,
        fields=record.offered,
    )


def overdue_actions(context: RuleContext) -> Iterator[Finding]:
    """Actions that should be done by now."""
    for action in context.installation.actions:
        done = action.done is not None and action.done <= context.on
        late = action.due is not None and action.due < context.on
        if action.decision == "do" and late and not done:
            yield finding(
                "action-overdue",
                "warning",
                action.part or "",
                action=action.id,
                what=action.text,
                due=action.due,
                owner=action.owner,
                variant="" if action.owner else "nobody",
            )


def faults_found(context: RuleContext) -> Iterator[Finding | Unanswered]:
    """Devices, valves and parts that the last inspection found not in order.

    The condition of a plug has a rule of its own; of a plug only the remark is looked at here.
    """
    plant = context.installation
    inspected = dict.fromkeys(context.network.name(entry.on) for entry in plant.inspections)
    for name in inspected:
        yield from asked_in_turn(name, _faults_of(context, name))


def _faults_of(context: RuleContext, name: str) -> Iterator[Finding]:
    plant = context.installation
    seen = last_found(plant, name, context.on)
    record = plant.find(name)
    if isinstance(record, Plug) and not context.plug_state(record).credited:
        return
    if seen.faulty and not isinstance(record, Plug):
        variant = "credit" if isinstance(record, Device) else "condition"
    elif seen.doubtful_remark:
        variant = "remark"
    else:
        return
    yield finding(
        "inspection-found-fault",
        "note" if variant == "remark" and seen.condition is not None else "warning",
        name,
        variant=variant,
        condition=seen.condition or said("not-stated"),
        inspected=seen.date,
        remark=seen.remark,
    )
