"""Rules about safe verdicts that one assumption turns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from airrisk.fire.case import strength_limit
from airrisk.installation.naming import in_order
from airrisk.study.fire_runs import CAUTIOUS_BASIS
from airrisk.study.records import DoubtRecord, Finding, FireRecord, Severity, VerdictRecord
from airrisk.study.rules.asking import asked_in_turn
from airrisk.study.rules.context import (
    RuleContext,
    RuleFunction,
    Unanswered,
    at_most,
    finding,
    fire_named,
    worst_of,
)
from airrisk.study.rules.fires import deciding_part, fires_of, severity_of
from airrisk.verdict.rule import badness, load_of

RULE = "verdict-depends-on-"
# what is doubted, by the last words of the rule
DOUBTED: dict[str, frozenset[str]] = {
    "strength-basis": frozenset({"strength basis"}),
    "relief-valve": frozenset({"relief valve"}),
    "convection": frozenset({"convection 0.6", "convection 1.4"}),
    "creep-rate": frozenset({"creep rate"}),
    "insulation": frozenset({"insulation"}),
    "slow-plug": frozenset({"contact", "flames on the plug", "metal at the plug", "slow plug"}),
    "whole-bore": frozenset({"half the bore"}),
}


@dataclass(frozen=True)
class _Turned:
    """A safe verdict and an assumption that turns one of its fires."""

    verdict: VerdictRecord
    fire: FireRecord
    doubt: DoubtRecord

    def rank(self) -> tuple[int, float]:
        use, damage = self.doubt.peak_strength_use, self.doubt.creep_damage
        return badness(self.doubt.outcome), load_of(use, damage, self.verdict.limit or 1.0)


def _turned(context: RuleContext, doubted: frozenset[str]) -> Iterable[list[_Turned]]:
    """What some doubts turn, section by section."""
    sections: dict[tuple[str, tuple[str, ...]], list[_Turned]] = {}
    for verdict in context.verdicts:
        if not verdict.safe:
            continue
        for fire in fires_of(context, verdict):
            for doubt in fire.doubts:
                if doubt.what in doubted and not doubt.safe:
                    key = (verdict.section, verdict.closed_valves)
                    sections.setdefault(key, []).append(_Turned(verdict, fire, doubt))
    return sections.values()


def turned_sections(context: RuleContext, doubt: str) -> frozenset[str]:
    """The sections of which one doubt turns a safe verdict."""
    groups = _turned(context, DOUBTED[doubt])
    return frozenset(one.verdict.section for group in groups for one in group)


def _depends(doubt: str, most: Severity) -> RuleFunction:
    def ask(context: RuleContext) -> Iterator[Finding | Unanswered]:
        for group in _turned(context, DOUBTED[doubt]):
            yield from asked_in_turn(group[0].verdict.part, _depending(context, doubt, most, group))

    return ask


def _depending(
    context: RuleContext, doubt: str, most: Severity, group: list[_Turned]
) -> Iterator[Finding]:
    worst = max(group, key=_Turned.rank)
    verdict = worst.verdict
    plant = context.installation
    limit = verdict.limit
    if worst.doubt.what == "strength basis":
        limit = strength_limit(plant, CAUTIOUS_BASIS)
    members = set(verdict.members)
    use = worst.doubt.peak_strength_use
    yield finding(
        RULE + doubt,
        worst_of(
            at_most(
                severity_of(
                    context, one.verdict.fire_class, one.doubt.outcome, one.verdict.members
                ),
                most,
            )
            for one in group
        ),
        deciding_part(context, worst.fire),
        section=verdict.section,
        fire_class=verdict.fire_class,
        doubt=worst.doubt.what,
        doubts=tuple(dict.fromkeys(one.doubt.what for one in group)),
        classes=tuple(dict.fromkeys(one.verdict.fire_class for one in group)),
        **fire_named(worst.fire),
        record=worst.fire,
        at=worst.doubt.at,
        basis=plant.choices.strength_basis,
        other_basis=CAUTIOUS_BASIS,
        outcome=worst.doubt.outcome,
        peak_strength_use=use,
        creep_damage=worst.doubt.creep_damage,
        strength_use_limit=limit,
        load_share=use / limit if limit else None,
        plugs=in_order(p.id for p in plant.plugs if context.part_of(p) in members),
        relief_valves=in_order(v.id for v in plant.relief_valves if context.part_of(v) in members),
    )


on_strength_basis = _depends("strength-basis", "warning")
on_relief_valve = _depends("relief-valve", "warning")
on_convection = _depends("convection", "warning")
on_creep_rate = _depends("creep-rate", "warning")
on_insulation = _depends("insulation", "warning")
on_slow_plug = _depends("slow-plug", "note")
on_whole_bore = _depends("whole-bore", "note")
