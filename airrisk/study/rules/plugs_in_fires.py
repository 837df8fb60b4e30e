"""Rules about single plugs in the fires that were run: out of the flames, bore too small."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.model import Fire, Plug
from airrisk.installation.sections import devices_in_reach
from airrisk.study.fire_cures import BORE_MARGIN
from airrisk.study.protection import plugs_heated_by
from airrisk.study.records import Finding, FireRecord, Severity
from airrisk.study.rules.asking import all_fires, all_plugs, for_each
from airrisk.study.rules.context import RuleContext, at_most, finding, fire_named, worst_of
from airrisk.study.rules.fires import deciding_part, severity_of_fire

FAILS = frozenset({"passes the limit", "ruptures"})


def _cause(context: RuleContext, record: FireRecord) -> Fire | None:
    """The fire of the file behind a record."""
    if record.fire_class != "stated":
        return None
    return next((fire for fire in context.installation.fires if fire.id == record.id), None)


@for_each(all_fires)
def plugs_out_of_reach(context: RuleContext, fire: FireRecord) -> Iterator[Finding]:
    """Plugs that stand out of the flames of a stated fire and do not save the part that fails.

    A plug that the air of that part cannot flow to would not help in the flames either.
    """
    cause = _cause(context, fire)
    if fire.safe or cause is None or fire.worst_outcome not in FAILS:
        return
    part = deciding_part(context, fire)
    reached = devices_in_reach(context.installation, fire.closed_valves, part)
    heated = plugs_heated_by(context.installation, cause)
    opened = {e.part: e.time_s for e in fire.events if e.event == "plug opens"}
    for plug in context.installation.plugs:
        if plug.id not in reached or plug.id in heated or plug.id in fire.uncredited:
            continue
        if fire.outcome not in FAILS:
            variant = "weaker"
        else:
            variant = "late" if plug.id in opened else "never"
        margins = fire.margins
        at = None if margins is None else margins.plug_temperature_at_limit_k.get(plug.id)
        yield finding(
            "plug-out-of-reach-of-fire",
            severity_of_fire(context, fire),
            plug.id,
            variant=variant,
            on=context.part_of(plug),
            **fire_named(fire),
            fails=part,
            outcome=fire.worst_outcome,
            opens_s=opened.get(plug.id),
            plug_temperature_k=at,
        )


@for_each(all_plugs)
def bores_too_small(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs for which a larger bore would turn an unsafe outcome; the largest need counts."""
    needs = []
    for fire in context.fires:
        need = fire.smallest_bore_m.get(plug.id)
        if not fire.safe and need is not None and need > plug.bore * (1.0 + 1e-9):
            needs.append((need, fire))
    if not needs:
        return
    need, fire = max(needs, key=lambda pair: pair[0])
    proven = [c for c in fire.cures if c.kind == "bore" and c.device == plug.id]
    search = fire.bores.get(plug.id)
    yield finding(
        "bore-too-small",
        worst_of(severity_of_fire(context, other) for _, other in needs),
        plug.id,
        variant="proven" if proven else "searched",
        on=context.part_of(plug),
        **fire_named(fire),
        bore_m=plug.bore,
        smallest_bore_m=need,
        advised_bore_m=proven[0].advised_m if proven else None,
        usual_bore_m=None if search is None else search.usual_m,
        api521_area_m2=None if search is None else search.api521_area_m2,
        largest_volume_m3=context.largest[plug.id].volume,
    )


@for_each(all_plugs)
def bores_without_margin(context: RuleContext, plug: Plug) -> Iterator[Finding]:
    """Plugs of safe fires that a little smaller would not be enough; the largest need counts."""
    close: list[tuple[float, FireRecord]] = []
    for fire in context.fires:
        need = fire.smallest_bore_m.get(plug.id)
        if fire.safe and need is not None and need > BORE_MARGIN * plug.bore * (1.0 + 1e-9):
            close.append((need, fire))
    if not close:
        return
    need, fire = max(close, key=lambda pair: pair[0])
    weighs: list[Severity] = [
        at_most(severity_of_fire(context, other), "warning") for _, other in close
    ]
    yield finding(
        "bore-without-margin",
        worst_of(weighs),
        plug.id,
        on=context.part_of(plug),
        **fire_named(fire),
        bore_m=plug.bore,
        smallest_bore_m=need,
        found_share=need / plug.bore,
        wanted_share=BORE_MARGIN,
    )
