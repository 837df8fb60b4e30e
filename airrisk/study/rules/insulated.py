"""Rules about insulation: the plugs under it, and layers that count for little or nothing."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from airrisk.installation.insulation import (
    insulation_of,
    is_covered,
    unconfirmed_insulation,
)
from airrisk.installation.model import Plug
from airrisk.study.records import Finding, FireRecord
from airrisk.study.rules.asking import all_plugs, for_each
from airrisk.study.rules.context import RuleContext, finding, fire_named

VARIANTS = {"offered": "offered", "no limit": "limit"}


@for_each(all_plugs)
def plugs_under_insulation(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs that insulation lies over: the flames heat them late or never."""
    if is_covered(context.installation, plug):
        yield finding("plug-under-insulation", "warning", plug.id, on=context.part_of(plug))


def layers_that_do_not_count(context: RuleContext) -> Iterator[Finding]:
    """Insulation that no fire is counted with, or not the hottest one that a part stands in."""
    unconfirmed = unconfirmed_insulation(context.installation, context.on)
    for name, why in unconfirmed.items():
        if why != "offered":  # that is told with the other values that nobody has confirmed
            yield finding(
                "insulation-counts-for-nothing",
                "warning",
                name,
                variant=VARIANTS.get(why, "fault"),
            )
    yield from _lost_in_fires(context, unconfirmed)


def _lost_in_fires(context: RuleContext, unconfirmed: Collection[str]) -> Iterator[Finding]:
    """Insulation that anybody may count on, but that does not stand a fire."""
    hot: dict[str, FireRecord] = {}
    unbounded: dict[str, FireRecord] = {}
    torn: dict[str, FireRecord] = {}
    for fire in context.fires:
        for name, one in fire.insulation.items():
            if one.counted or name in unconfirmed or one.holds_to_k is None:
                continue
            if fire.source_kind == "jet":
                torn.setdefault(name, fire)
            elif not math.isfinite(one.outer_k):  # the wall takes in what is stated
                unbounded.setdefault(name, fire)
            elif name not in hot or one.outer_k > hot[name].insulation[name].outer_k:
                hot[name] = fire
    for variant, fires in (("jet", torn), ("unbounded", unbounded)):
        for name, fire in fires.items():
            yield finding(
                "insulation-counts-for-nothing",
                "warning",
                name,
                variant=variant,
                **fire_named(fire),
            )
    for name, fire in hot.items():
        yield finding(
            "insulation-counts-for-nothing",
            "warning",
            name,
            variant="hot",
            outer_k=fire.insulation[name].outer_k,
            holds_to_k=fire.insulation[name].holds_to_k,
            **fire_named(fire),
        )


def layers_known_cold(context: RuleContext) -> Iterator[Finding]:
    """Insulation of which nobody says at which mean temperature its number holds."""
    for part in context.installation.holders():
        found = insulation_of(part)
        if found is not None and part.insulation_known_at is None:
            yield finding("insulation-known-cold", "note", part.id, known_at_k=found.known_at)
