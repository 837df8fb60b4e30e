"""Rules about insulation: the plugs under it, and layers that count for little or nothing."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.insulation import (
    insulation_of,
    is_covered,
    unconfirmed_insulation,
)
from airrisk.installation.model import Plug
from airrisk.study.records import Finding
from airrisk.study.rules.asking import all_plugs, for_each
from airrisk.study.rules.context import RuleContext, finding

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
    lost: dict[str, tuple[float, float, str]] = {}
    torn: dict[str, str] = {}
    for fire in context.fires:
        for name, one in fire.insulation.items():
            if one.counted or name in unconfirmed or one.holds_to_k is None:
                continue
            if fire.source_kind == "jet":
                torn.setdefault(name, fire.id)
                continue
            if one.outer_k > lost.get(name, (0.0, 0.0, ""))[0]:
                lost[name] = (one.outer_k, one.holds_to_k, fire.id)
    for name, fire_id in torn.items():
        yield finding("insulation-counts-for-nothing", "warning", name, variant="jet", fire=fire_id)
    for name, (outer, holds, fire_id) in lost.items():
        yield finding(
            "insulation-counts-for-nothing",
            "warning",
            name,
            variant="hot",
            outer_k=outer,
            holds_to_k=holds,
            fire=fire_id,
        )


def layers_known_cold(context: RuleContext) -> Iterator[Finding]:
    """Insulation of which nobody says at which mean temperature its number holds."""
    for part in context.installation.holders():
        found = insulation_of(part)
        if found is not None and part.insulation_known_at is None:
            yield finding("insulation-known-cold", "note", part.id, known_at_k=found.known_at)
