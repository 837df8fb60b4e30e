"""Rules about sources of fire: where parts and plugs stand to them, and people in their heat."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.model import Plug
from airrisk.installation.naming import in_order
from airrisk.study.records import Finding, Severity
from airrisk.study.room_layers import parts_in
from airrisk.study.rules.context import RuleContext, finding
from airrisk.study.standing_fires import InSight, SourceRecord

# W/m2. Above 4.6 fire-fighters in their clothing stand some three minutes, above 1.5 the clothing
# of operators no longer suffices (IFV report 2016, read); 4.7 and 1.6 are levels of API 521 (read
# in quotations). Bare skin hurts after 13 s at 5 and 45 s at 2 kW/m2 (Handbook of Chemical Hazard
# Analysis Procedures 1989, read in a quotation).
HURTS_SOON = 4.6e3
HURTS = 1.5e3
MATTERS = 5e3  # W/m2: steel in less settles at most some 150 K above the air; judgement
PAIN_DOSE = 113.0  # (kW/m2)^(4/3) s: fits the nine printed times to pain there within 5


def not_placed(context: RuleContext) -> Iterator[Finding]:
    """Parts of which the file does not say where they stand, while a source stands somewhere."""
    for name, source in context.sources.items():
        if source.not_placed:
            yield finding(
                "place-not-stated",
                "warning",
                name,
                parts=in_order(source.not_placed),
            )


def _is_unsafe(context: RuleContext, source: str, vessel: str) -> bool:
    """Whether the fire of a source, where it stands, is not safe for what holds a vessel."""
    fires = (one for one in context.fires if one.source_kind and one.id == source)
    return any(vessel in one.members and not one.safe for one in fires)


def too_near(context: RuleContext) -> Iterator[Finding]:
    """Vessels that a source stands nearer to than the runs leave safe."""
    for name, source in context.sources.items():
        for vessel, clear in source.keep_clear_m.items():
            gap = source.gap_m[vessel]
            if clear is not None and gap >= clear:
                continue
            if gap < 0.0 and not _is_unsafe(context, name, vessel):
                continue  # the distance is that of a source beside it
            under = gap < 0.0 and clear == 0.0
            yield finding(
                "fire-source-too-near",
                "warning",
                vessel,
                variant="under"
                if under
                else "nowhere"
                if clear is None
                else "over"
                if gap < 0.0
                else "",
                source=name,
                gap_m=max(gap, 0.0),
                clear_m=clear,
            )


def flames_that_can_touch(context: RuleContext) -> Iterator[Finding]:
    """Vessels that a flame may touch when it leans over, with no plug where it does."""
    for name, source in context.sources.items():
        for vessel, seen in source.exposures.items():
            away = context.flame_away.get(vessel)
            if away is None or not seen.may_touch or seen.flames_share > 0.0:
                continue  # of what it touches in still air its own run is the answer
            if _reached(context, source, vessel, "flames") or away.rupture_s is None:
                continue
            soon = away.rupture_s <= source.burning_time_s
            yield finding(
                "flame-can-touch-vessel",
                "danger" if soon else "note",
                vessel,
                variant="" if soon else "late",
                source=name,
                rupture_s=away.rupture_s,
                burning_time_s=source.burning_time_s,
            )


def walls_that_hide_nothing(context: RuleContext) -> Iterator[Finding]:
    """Walls that would hide something if somebody had stated how long they stand."""
    if not context.sources:
        return
    for wall in context.installation.walls:
        if wall.resists is None:
            yield finding("wall-resistance-not-stated", "note", wall.id)


def rooms_that_burn(context: RuleContext) -> Iterator[Finding]:
    """Rooms that a source makes burn as a whole, and those of which nobody knows it."""
    told: set[tuple[str, bool]] = set()
    for name, source in context.sources.items():
        layer = source.layer
        if layer is None or not parts_in(context.installation, layer.room):
            continue
        unknown = layer.rise_k is None
        if (layer.room, unknown) in told or not (unknown or layer.burns_whole_after_s is not None):
            continue
        told.add((layer.room, unknown))
        yield finding(
            "room-burns-whole",
            "note" if unknown else "warning",
            layer.room,
            variant="unknown" if unknown else "",
            source=name,
            rise_k=layer.rise_k,
            after_s=layer.burns_whole_after_s,
        )


def _on(context: RuleContext, vessel: str) -> list[Plug]:
    wanted = vessel.casefold()
    return [plug for plug in context.installation.plugs if plug.on.casefold() == wanted]


def _reached(context: RuleContext, source: SourceRecord, vessel: str, by: str) -> bool:
    """Whether a plug of a vessel is surely reached."""
    plugs = _on(context, vessel)
    return any(plug.id in source.plugs and source.plugs[plug.id].reached_by == by for plug in plugs)


def below_top_plugs(context: RuleContext) -> Iterator[Finding]:
    """Sources under a vessel whose plugs stand on top and out of the flame."""
    for name, source in context.sources.items():
        for vessel, gap in source.gap_m.items():
            plugs = _on(context, vessel)
            on_top = [plug.id for plug in plugs if plug.place == "top"]
            # the middle of the fire is under it, not only its edge
            under = source.diameter_m is not None and gap <= -0.5 * source.diameter_m
            under = under and source.exposures[vessel].flames_share > 0.0
            if not under or not on_top or len(on_top) < len(plugs):
                continue
            if not _reached(context, source, vessel, "flames"):
                yield finding(
                    "fire-below-top-plug", "warning", vessel, source=name, plugs=in_order(on_top)
                )


def plugs_away(context: RuleContext) -> Iterator[Finding]:
    """Plugs that surely feel none of the sources that their vessel is in the heat of."""
    vessels = {vessel.id.casefold(): vessel.id for vessel in context.installation.vessels}
    for plug in context.installation.plugs:
        vessel = vessels.get(plug.on.casefold())
        if vessel is None:
            continue
        near = {
            name: source
            for name, source in context.sources.items()
            if vessel in source.exposures and _heats(source.exposures[vessel])
        }
        if not near or any(one.plugs[plug.id].reached_by != "nothing" for one in near.values()):
            continue
        unsafe = [name for name in near if _is_unsafe(context, name, vessel)]
        yield finding(
            "plug-away-from-sources",
            "warning" if unsafe else "note",
            plug.id,
            variant="unstated" if plug.place == "side" and plug.faces is None else "",
            vessel=vessel,
            sources=in_order(near),
        )


def _heats(seen: InSight) -> bool:
    return seen.flames_share > 0.0 or seen.incident_w_m2 >= MATTERS


def drain_plugs(context: RuleContext) -> Iterator[Finding]:
    """Plugs that open downwards into a pool that burns under them."""
    for name, source in context.sources.items():
        if source.kind != "pool":
            continue
        for vessel, gap in source.gap_m.items():
            low = [p.id for p in _on(context, vessel) if p.place in ("bottom", "drain")]
            if gap <= 0.0 and low and source.exposures[vessel].flames_share > 0.0:
                yield finding(
                    "drain-plug-over-pool", "warning", vessel, source=name, plugs=in_order(low)
                )


def heat_at_people(context: RuleContext) -> Iterator[Finding]:
    """Places with people who are hurt by the heat of a source that burns."""
    for name, source in context.sources.items():
        reached = {place: flux for place, flux in source.people.items() if flux >= HURTS}
        if source.people_unknown:
            yield finding(
                "heat-reaches-people",
                "warning",
                name,
                variant="unknown",
                places=in_order(source.people_unknown),
                release_w=source.heat_release_w,
            )
        if not reached:
            continue
        worst = max(reached, key=lambda place: reached[place])
        severity: Severity = "warning" if reached[worst] >= HURTS_SOON else "note"
        yield finding(
            "heat-reaches-people",
            severity,
            name,
            variant="soon" if severity == "warning" else "",
            places=in_order(reached),
            place=worst,
            flux_w_m2=reached[worst],
            heat_w_m2=reached,
            pain_s=PAIN_DOSE / (1e-3 * reached[worst]) ** (4.0 / 3.0),
        )
