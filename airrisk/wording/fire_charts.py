"""Descriptions of the charts of one fire against time: temperatures, pressure, load, creep."""

from __future__ import annotations

from dataclasses import replace

from airrisk.study.records import FireRecord
from airrisk.verdict.rule import DAMAGE_LIMIT
from airrisk.wording import labels
from airrisk.wording.chart_kinds import (
    DASHES,
    ORDER,
    Axis,
    Chart,
    Guide,
    Role,
    Series,
    line_of,
)
from airrisk.wording.reasons import under_water
from airrisk.wording.sentences import fire_title
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text, quantity_text, time_text

MOST_PARTS = 4
LEAST_DAMAGE = 0.005  # by creep, from where it can be seen
_EVENT_ROLES: dict[str, Role] = {
    "plug opens": "plug", "disc bursts": "plug", "relief valve lifts": "device",
    "relief valve reseats": "device", "rupture": "rupture", "line ruptures": "rupture",
    "empty": "neutral", "fire ends": "neutral",
}  # fmt: skip


def shown_parts(fire: FireRecord, most: int = MOST_PARTS) -> tuple[str, ...]:
    """The parts worth drawing: the controlling one first, then by highest strength use."""
    if fire.curves is None:
        return ()
    parts = fire.curves.parts
    first = fire.margins.controlling_part if fire.margins else None

    def rank(name: str) -> tuple[bool, float, str]:
        return (name != first, -max(parts[name].strength_use, default=0.0), name)

    return tuple(sorted(parts, key=rank)[:most])


def event_guides(fire: FireRecord) -> tuple[Guide, ...]:
    """A labelled upright line for every first event of its kind at a part or device."""
    guides: list[Guide] = []
    seen: set[tuple[str, str]] = set()
    for event in sorted(fire.events, key=lambda e: (e.time_s, e.event, e.part)):
        if (event.event, event.part) in seen or event.event == "relief valve reseats":
            continue
        if event.time_s > shown_time(fire):
            continue
        seen.add((event.event, event.part))
        guides.append(
            Guide(
                "x",
                event.time_s,
                labels.event(event.event, event.part),
                _EVENT_ROLES[event.event],
                DASHES["limit"],
            )
        )
    return tuple(guides)


def shown_time(fire: FireRecord) -> float:
    """How long the charts of a fire last: past its last event that matters, not hours of calm."""
    curves = fire.curves
    end = curves.time_s[-1] if curves is not None and curves.time_s else 1.0
    empty = [e.time_s for e in fire.events if e.event == "empty"]
    if not empty or fire.first_vent_s is None:
        return end
    last = max([e.time_s for e in fire.events if e.event != "fire ends"])
    if fire.rupture_nothing_opens_s is not None:
        last = max(last, fire.rupture_nothing_opens_s)
    return min(end, 1.3 * last)


def _time_axis(fire: FireRecord) -> Axis:
    last = shown_time(fire)
    return Axis(tr("Time from the start of the fire"), "time", low=0.0, high=last)


def fire_temperature_chart(
    fire: FireRecord, units: Units, parts: tuple[str, ...] | None = None
) -> Chart | None:
    """Wall in the fire, wall out of it, air and plugs against time; None without curves."""
    curves = fire.curves
    if curves is None:
        return None
    shown = parts or shown_parts(fire, 1)
    series: list[Series] = []
    for name in shown:
        part = curves.parts[name]
        series += [
            line_of(
                f"{name} hot wall", tr("{part}, wall in the fire").format(part=name),
                curves.time_s, part.hot_wall_temperature_k, "metal", 1.5,
            ),
            *(
                [
                    line_of(
                        f"{name} cold wall", tr("{part}, wall out of the fire").format(part=name),
                        curves.time_s, part.cold_wall_temperature_k, "cold metal",
                    )
                ]
                if part.cold_wall_temperature_k != part.hot_wall_temperature_k  # else it has none
                else []
            ),
            line_of(
                f"{name} air", tr("{part}, air").format(part=name),
                curves.time_s, part.gas_temperature_k, "air", 1.5,
            ),
        ]  # fmt: skip
    roles: tuple[Role, ...] = ("plug", "device", "neutral", "fifth")
    # the run does not know of the water that keeps a plug cool, so its curve would mislead
    dry = [item for item in sorted(curves.plugs.items()) if not under_water(fire, item[0])]
    for role, (name, plug) in zip(roles, dry, strict=False):
        label = tr("{plug}, plug (no credit)") if name in fire.uncredited else tr("{plug}, plug")
        series.append(
            line_of(
                f"{name} plug", label.format(plug=name), curves.time_s, plug.temperature_k, role,
            )
        )  # fmt: skip
    return Chart(
        key=f"temperatures-{fire.id}-{fire.section}-{fire.fire_class}",
        title=tr("{fire}, as stated: temperatures of {parts}").format(
            fire=fire_title(fire), parts=", ".join(shown)
        ),
        x=_time_axis(fire),
        y=Axis(tr("Temperature"), "temperature"),
        series=tuple(series),
        guides=event_guides(fire),
        caption=_caption(fire, shown),
    )


def fire_pressure_chart(
    fire: FireRecord, units: Units, parts: tuple[str, ...] | None = None
) -> Chart | None:
    """Pressure of the parts against time; None without curves."""
    curves = fire.curves
    if curves is None:
        return None
    shown = parts or shown_parts(fire)
    series = [
        line_of(name, name, curves.time_s, curves.parts[name].pressure_pa, ORDER[i % 6], 1.5)
        for i, name in enumerate(shown)
    ]
    return Chart(
        key=f"pressure-{fire.id}-{fire.section}-{fire.fire_class}",
        title=tr("{fire}, as stated: pressure").format(fire=fire_title(fire)),
        x=_time_axis(fire),
        y=Axis(tr("Pressure"), "pressure", low=units.ambient_pressure),
        series=tuple(series),
        guides=event_guides(fire),
        caption=tr("Highest pressure {pressure}.").format(
            pressure=quantity_text(fire.peak_pressure_pa, "pressure", units)
        ),
    )


def fire_strength_chart(
    fire: FireRecord, units: Units, parts: tuple[str, ...] | None = None
) -> Chart | None:
    """Strength use (1 is rupture) against time with the limit; None without curves."""
    curves = fire.curves
    if curves is None:
        return None
    shown = parts or shown_parts(fire)
    series = [
        line_of(name, name, curves.time_s, curves.parts[name].strength_use, ORDER[i % 6], 1.5)
        for i, name in enumerate(shown)
    ]
    guides = [Guide("y", 1.0, tr("rupture"), "rupture", ())]
    caption = tr("Strength use is gauge pressure over burst pressure of the hottest wall.")
    if fire.margins is not None:
        limit = fire.margins.strength_use_limit
        guides.append(
            Guide(
                "y", limit, tr("limit {limit}").format(limit=number_text(limit, 3)), "limit",
                DASHES["limit"],
            )
        )  # fmt: skip
    if fire.peak_strength_use is not None:
        caption += " " + tr("Highest {use}.").format(use=number_text(fire.peak_strength_use, 3))
    top = max([1.0, fire.peak_strength_use or 0.0])
    return Chart(
        key=f"strength-{fire.id}-{fire.section}-{fire.fire_class}",
        title=tr("{fire}, as stated: strength use").format(fire=fire_title(fire)),
        x=_time_axis(fire),
        y=Axis(tr("Strength use"), "ratio", low=0.0, high=1.08 * top),
        series=tuple(series),
        guides=(*guides, *event_guides(fire)),
        caption=caption,
    )


def fire_creep_chart(
    fire: FireRecord, units: Units, parts: tuple[str, ...] | None = None
) -> Chart | None:
    """Creep damage (1 is rupture) against time with the limit; None where there is hardly any.

    Of the first part also what the mean of the tests and the creep rate give.
    """
    curves = fire.curves
    if curves is None:
        return None
    shown = [
        name
        for name in parts or shown_parts(fire)
        if max(curves.parts[name].creep_damage, default=0.0) >= LEAST_DAMAGE
    ]
    if not shown:
        return None
    series = [
        line_of(name, name, curves.time_s, curves.parts[name].creep_damage, ORDER[i % 6], 1.5)
        for i, name in enumerate(shown)
    ]
    first = curves.parts[shown[0]]
    edges = (
        ("mean", tr("{part}, mean of the tests"), first.creep_damage_mean, "limit"),
        ("omega", tr("{part}, Omega rate"), first.creep_damage_omega, "metal"),
    )
    for key, label, damage, dash in edges:
        beside = line_of(
            f"{shown[0]} {key}", label.format(part=shown[0]), curves.time_s, damage, "neutral"
        )
        series.append(replace(beside, dash=DASHES[dash]))
    highest = max(max(curves.parts[name].creep_damage) for name in shown)
    limit = tr("limit {limit}").format(limit=number_text(DAMAGE_LIMIT, 3))
    return Chart(
        key=f"creep-{fire.id}-{fire.section}-{fire.fire_class}",
        title=tr("{fire}, as stated: creep damage").format(fire=fire_title(fire)),
        x=_time_axis(fire),
        y=Axis(tr("Creep damage"), "ratio", low=0.0, high=1.08),
        series=tuple(series),
        guides=(
            Guide("y", 1.0, tr("rupture"), "rupture", ()),
            Guide("y", DAMAGE_LIMIT, limit, "limit", DASHES["limit"]),
            *event_guides(fire),
        ),
        caption=tr(
            "Creep damage is the share of its life at that heat that the metal has used up, by the "
            "lower bound of rupture tests. Highest {damage}."
        ).format(damage=number_text(min(highest, 1.0), 3)),
    )


def _caption(fire: FireRecord, shown: tuple[str, ...]) -> str:
    texts = [
        tr("Valves shut: {valves}.").format(
            valves=", ".join(fire.closed_valves) if fire.closed_valves else tr("none")
        ),
        tr("Inner radiation {state}.").format(state=tr(fire.inner_radiation)),
    ]
    texts += [
        tr("Air gets out of {part} from {time}.").format(
            part=name, time=time_text(fire.first_vent_by_part_s[name])
        )
        for name in shown
        if name in fire.first_vent_by_part_s
    ]
    return " ".join(texts)
