"""The chapter on sources of fire that stand somewhere."""

from __future__ import annotations

from airrisk.report.blocks import Block, Heading, Paragraph, Section, Table, table_of
from airrisk.study.overview import keep_away
from airrisk.study.records import Assessment
from airrisk.study.room_layers import RoomLayer
from airrisk.study.standing_fires import InSight, SourceRecord
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    Units,
    and_list,
    kept_distance,
    percent_text,
    quantity_text,
    time_text,
)


def sources_section(assessment: Assessment, units: Units) -> Section | None:
    """Flame, duration and heat of every source of the file; None: there is none."""
    if not assessment.fire_sources:
        return None
    sources = list(assessment.fire_sources.values())
    upright = [one for one in sources if one.kind != "jet"]
    jets = [one for one in sources if one.kind == "jet"]
    blocks: list[Block] = [
        Paragraph(
            tr(
                "Each source burns alone. A lying vessel without a direction is taken broadside to "
                "it, as near as its end can come; a line without a height at the one that gets "
                "most. Wind and a spill that spreads are not counted."
            )
        )
    ]
    if upright:
        blocks += [
            Paragraph(
                tr("The flame of a pool or of goods is an upright cylinder over it in still air.")
            ),
            _flames_table(upright, units),
        ]
    if jets:
        blocks += [
            Paragraph(
                tr(
                    "The flame of a jet is level and straight. Around it a row of points on its "
                    "axis radiates. A jet without a direction is pointed at each part in turn."
                )
            ),
            _jets_table(jets, units),
        ]
    for source in sources:
        blocks += _one_source(source, assessment, units)
    return Section("sources", tr("Sources of fire"), tuple(blocks))


def _one_source(source: SourceRecord, assessment: Assessment, units: Units) -> list[Block]:
    """What one source does to parts, plugs and people."""
    blocks: list[Block] = [
        Heading(labels.sentence(labels.named(source.kind, [source.id]))),
        _parts_table(source, assessment, units),
    ]
    if source.plugs:
        blocks.append(Paragraph(_plugs_text(source, units)))
    blocks += _time_to_leave(source, assessment, units)
    if source.people:
        told = [
            tr("{place} {flux}").format(place=name, flux=quantity_text(flux, "flux", units, 2))
            for name, flux in sorted(source.people.items(), key=lambda one: -one[1])
        ]
        blocks.append(
            Paragraph(
                tr("Heat on people, without the factor of caution: {places}.").format(
                    places=and_list(told)
                )
            )
        )
    if source.people_unknown:
        blocks.append(
            Paragraph(
                tr("Not known is the heat on {places}: the vessel that they are told from has no "
                   "plan position.").format(places=and_list(list(source.people_unknown)))
            )
        )  # fmt: skip
    if source.layer is not None:
        blocks.append(Paragraph(_layer_text(source.layer, units)))
    if source.not_placed:
        blocks.append(
            Paragraph(
                tr("Left out, since the file does not say where they stand: {parts}.").format(
                    parts=and_list(list(source.not_placed))
                )
            )
        )
    return blocks


def _time_to_leave(source: SourceRecord, assessment: Assessment, units: Units) -> list[Block]:
    """When the first rupture in its fire may come, and how far people must be by then."""
    own = [one for one in assessment.fires if one.source_kind is not None and one.id == source.id]
    times = [
        (one.envelope.rupture_s, one)
        for one in own
        if one.envelope is not None and one.envelope.rupture_s is not None
    ]
    if not times:
        return []
    first = min(time for time, _ in times)
    away = [keep_away(assessment, name) for _, one in times for name in one.vessels]
    far = max((one.farthest_m for one in away if one is not None), default=None)
    if far is None:
        text = tr("In its fire something ruptures after {time} at the earliest.")
        return [Paragraph(text.format(time=time_text(first, 2)), "strong")]
    text = tr(
        "In its fire something ruptures after {time} at the earliest: by then everybody must be "
        "{distance} away from what ruptures."
    )
    distance = quantity_text(far, "distance", units, 2)
    return [Paragraph(text.format(time=time_text(first, 2), distance=distance), "strong")]


def _layer_text(layer: RoomLayer, units: Units) -> str:
    """What it does to the gas in its room."""
    room = labels.named("room", [layer.room])
    if layer.rise_k is None:
        return tr(
            "How hot the gas in {room} gets is not known: height, openings and lining are missing."
        ).format(room=room)
    rise = quantity_text(layer.rise_k, "temperature_difference", units, 2)
    if layer.burns_whole_after_s is None:
        return tr(
            "The gas under the ceiling of {room} gets {rise} hotter: the fire stays where it is."
        ).format(room=room, rise=rise)
    return tr(
        "The gas under the ceiling of {room} gets 500 K hotter after {time}: all of the room is "
        "taken to burn."
    ).format(room=room, time=time_text(layer.burns_whole_after_s))


def _plugs_text(source: SourceRecord, units: Units) -> str:
    """Which plugs the fire surely reaches."""
    by: dict[str, list[str]] = {"flames": [], "radiation": [], "nothing": []}
    for name, heat in source.plugs.items():
        by[heat.reached_by].append(name)
    pieces = []
    if by["flames"]:
        pieces.append(
            tr("The flames surely reach {plugs}.").format(plugs=labels.named("plug", by["flames"]))
        )
    for name in by["radiation"]:
        flux = quantity_text(source.plugs[name].incident_w_m2, "flux", units, 2)
        pieces.append(
            tr("At least {flux} fall on {plug}.").format(
                flux=flux, plug=labels.named("plug", [name])
            )
        )
    if by["nothing"]:
        pieces.append(
            tr("The fire does not surely reach {plugs}.").format(
                plugs=labels.named("plug", by["nothing"])
            )
        )
    return " ".join(pieces)


def _flames_table(sources: list[SourceRecord], units: Units) -> Table:
    return table_of(
        [tr("Source"), tr("What burns"), tr("Diameter"), tr("Heat release"), tr("Flame height"),
         tr("Burns for"), tr("Its surface radiates")],
        [
            [
                one.id,
                tr("goods") if one.fuel is None else choice_word(one.fuel),
                quantity_text(one.diameter_m or 0.0, "distance", units, 3),
                quantity_text(one.heat_release_w, "power", units, 3),
                quantity_text(one.flame_height_m, "distance", units, 2),
                time_text(one.burning_time_s),
                quantity_text(one.emissive_power_w_m2 or 0.0, "flux", units, 2),
            ]
            for one in sources
        ],
        [1, 1, 1, 1, 1, 1, 1], (2, 3, 4, 5, 6), strong_first=True,
    )  # fmt: skip


def _jets_table(sources: list[SourceRecord], units: Units) -> Table:
    return table_of(
        [tr("Jet"), tr("What burns"), tr("Heat release"), tr("Length"), tr("Burns for")],
        [
            [
                one.id,
                tr("not stated") if one.fuel is None else choice_word(one.fuel),
                quantity_text(one.heat_release_w, "power", units, 3),
                quantity_text(one.flame_height_m, "distance", units, 2),
                time_text(one.burning_time_s),
            ]
            for one in sources
        ],
        [1, 1, 1, 1, 1], (2, 3, 4), strong_first=True,
    )  # fmt: skip


def _parts_table(source: SourceRecord, assessment: Assessment, units: Units) -> Table:
    rows = []
    for name, seen in sorted(source.exposures.items(), key=lambda one: one[1].distance_m):
        kind = assessment.kinds.get(name, "vessel")
        rows.append(
            [
                labels.named(kind, [name]),
                quantity_text(seen.distance_m, "distance", units, 2),
                percent_text(seen.flames_share, 2),
                percent_text(seen.facing_share, 2),
                quantity_text(seen.incident_w_m2, "flux", units, 2) if seen.facing_share else "–",
                _temperature(seen, units),
                _clear(source, name, units),
            ]
        )
    return table_of(
        [tr("Part"), tr("Nearest, from the middle"), tr("In the flames"),
         tr("In sight of the flame"),
         tr("Most that falls on it, with the factor of caution"), tr("Flame around it"),
         tr("Keep clear, from edge to shell")],
        rows, [1, 1, 1, 1, 1, 1, 1], (1, 2, 3, 4, 5, 6), strong_first=True,
    )  # fmt: skip


def _clear(source: SourceRecord, name: str, units: Units) -> str:
    """From which distance a vessel is safe."""
    if name not in source.keep_clear_m:
        return "–"
    least = source.keep_clear_m[name]
    if least is None:
        return tr("none found")
    return kept_distance(least, units, 3)


def _temperature(seen: InSight, units: Units) -> str:
    if seen.flame_temperature_k is None:
        return "–"
    return quantity_text(seen.flame_temperature_k, "temperature", units, 3)
