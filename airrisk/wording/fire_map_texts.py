"""The map of where a fire is survived, in words: its classes, one position, what it rests on."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from airrisk.messages import Texts
from airrisk.study.fire_map_records import (
    BETWEEN,
    BY_DOUBT,
    BY_FEW_RUNS,
    BY_FOUR,
    BY_PLACE,
    BY_WIND,
    LIMIT,
    NO_DOUBT,
    NOT_ASKED,
    NOT_ASSESSED,
    NOT_SURE,
    RUPTURES,
    SURVIVED,
    FireMap,
    MapSection,
)
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, and_list, percent_text, quantity_text, time_text

SOON = 300.0  # s, a rupture that leaves hardly any time; judgement
# kinds of areas, the worst of a square's corners counts
SAFE, FEW, UNSURE, WAITING, UNKNOWN, OVER, BURSTS, BURSTS_SOON = range(8)
_AREAS: Texts[tuple[str, ...]] = (
    "every section survives, whatever is doubted",
    "every section survives in the few runs of the picture",
    "survives, but not sure: in still air, or not in all doubts",
    "not asked yet",
    "not assessed",
    "a section passes the limit",
    "a section ruptures",
    "a section ruptures within 5 min",
)


def area_name(kind: int) -> str:
    """What an area of the map means, as in the legend."""
    return tr(_AREAS[kind])


def kinds_of(seen: FireMap) -> NDArray[np.int8]:
    """Kind of area of each position."""
    kinds = np.full(seen.outcome.shape, UNKNOWN, dtype=np.int8)
    few = (seen.outcome == NOT_SURE) & (seen.doubtful == BY_FEW_RUNS)
    soon = (seen.outcome == RUPTURES) & (seen.rupture_s <= SOON)
    for chosen, kind in (
        (seen.outcome == SURVIVED, SAFE), (seen.outcome == NOT_SURE, UNSURE), (few, FEW),
        (seen.outcome == NOT_ASKED, WAITING), (seen.outcome == NOT_ASSESSED, UNKNOWN),
        (seen.outcome == LIMIT, OVER), (seen.outcome == RUPTURES, BURSTS), (soon, BURSTS_SOON),
    ):  # fmt: skip
        kinds[chosen] = kind
    return kinds


def squares_of(kinds: NDArray[np.int8]) -> NDArray[np.int8]:
    """The worst kind of the four positions around each square between them."""
    found = np.maximum(kinds[:-1, :-1], kinds[1:, 1:])
    return np.asarray(np.maximum(found, np.maximum(kinds[1:, :-1], kinds[:-1, 1:])))


def pool_words(seen: FireMap, units: Units) -> str:
    """What burns: "diesel, pool of 2 m"."""
    if seen.source.kind == "jet":
        length = quantity_text(seen.flame_height_m, "distance", units, 3)
        return tr("level jet flame of {length}").format(length=length)
    diameter = quantity_text(seen.diameter_m, "distance", units, 3)
    if seen.source.fuel is None:
        return tr("goods of {diameter}").format(diameter=diameter)
    return tr("{fuel}, pool of {diameter}").format(
        fuel=choice_word(seen.source.fuel), diameter=diameter
    )


def map_title(seen: FireMap, units: Units) -> str:
    """Name of a map."""
    if seen.source.id:
        return tr("Where {source} may burn: {pool}").format(
            source=labels.named(seen.source.kind, [seen.source.id]), pool=pool_words(seen, units)
        )
    if seen.source.kind == "jet":
        return tr("Where a jet may burn: {pool}").format(pool=pool_words(seen, units))
    return tr("Where a pool may burn: {pool}").format(pool=pool_words(seen, units))


def place_sentences(seen: FireMap, row: int, column: int, units: Units) -> tuple[str, ...]:
    """What one position says: what becomes of which section, and what that rests on."""
    kind = int(seen.outcome[row, column])
    number = int(seen.section[row, column])
    section = seen.sections[number] if number >= 0 else None
    if kind == NOT_ASKED:
        return (tr("Not asked yet."),)
    if section is None:
        told = [tr("Nothing is struck from here.")]
        return (*told, *_doubt(seen, row, column))
    if kind == SURVIVED:
        return (tr("Every section survives, whatever is doubted."), *_load(seen, row, column))
    if kind == NOT_SURE:
        return (
            tr("Every section survives as far as was asked."),
            *_load(seen, row, column),
            *_doubt(seen, row, column),
        )
    return (*_unsafe(seen, section, row, column), *_between(seen, row, column))


def _unsafe(seen: FireMap, section: MapSection, row: int, column: int) -> tuple[str, ...]:
    what = section_words(section)
    kind = int(seen.outcome[row, column])
    if kind == NOT_ASSESSED:
        if section.failed:
            return (tr("{what} is not assessed: {why}.").format(what=what, why=tr(section.failed)),)
        return (tr("{what} is not assessed: its runs failed.").format(what=what),)
    if kind == LIMIT:
        return (
            tr("{what} passes the limit.").format(what=what),
            *_load(seen, row, column),
            *_device(seen, section, row, column),
        )
    time = float(seen.rupture_s[row, column])
    first = (
        tr("{what} ruptures after {time}.").format(what=what, time=time_text(time, 2))
        if math.isfinite(time)
        else tr("{what} ruptures in a slow fire.").format(what=what)
    )
    return (first, *_device(seen, section, row, column))


def _device(seen: FireMap, section: MapSection, row: int, column: int) -> tuple[str, ...]:
    """What the devices of a section that fails do."""
    vent = float(seen.vent_s[row, column])
    time = float(seen.rupture_s[row, column])
    if not section.plugs:
        return (tr("No fusible plug on it can be counted on."),)
    plugs = labels.named("plug", list(section.plugs))
    if not math.isfinite(vent):
        if seen.grounds[row, column] == BETWEEN or int(seen.outcome[row, column]) == LIMIT:
            return ()
        return (tr("Before that nothing opens of {plugs}.").format(plugs=plugs),)
    if math.isfinite(time) and vent >= time:
        return (tr("Before that nothing opens of {plugs}.").format(plugs=plugs),)
    return (
        tr("A device opens after {time} and is not enough ({plugs}).").format(
            time=time_text(vent, 2), plugs=plugs
        ),
    )


def _load(seen: FireMap, row: int, column: int) -> tuple[str, ...]:
    load = float(seen.load[row, column])
    if not math.isfinite(load):
        return ()
    return (
        tr("The worst of its runs takes {load} of the allowed load.").format(
            load=percent_text(load, 2)
        ),
    )


def _between(seen: FireMap, row: int, column: int) -> tuple[str, ...]:
    if seen.grounds[row, column] != BETWEEN:
        return ()
    return (tr("Taken over from the positions around: not run itself."),)


def _doubt(seen: FireMap, row: int, column: int) -> tuple[str, ...]:
    why = int(seen.doubtful[row, column])
    told = {
        BY_PLACE: lambda: not_placed_sentence(seen),
        BY_WIND: lambda: tr("Only in still air: wind may lean the flame over a part."),
        BY_DOUBT: lambda: tr("Not in all doubts, or on values that nobody has confirmed."),
    }.get(why)
    first = () if told is None else (told(),)
    if why != NO_DOUBT and seen.grounds[row, column] in (BY_FOUR, BETWEEN):
        # whatever else is doubted: nobody knows what the other runs would say
        few = tr("Only the few runs of the picture were made: a click makes all of them.")
        return (*first, few, *_between(seen, row, column))
    return first


def section_words(section: MapSection) -> str:
    """A section at the beginning of a sentence: "Section of vessel R1"."""
    return tr("Section of {parts}").format(parts=_parts(section))


def _parts(section: MapSection) -> str:
    """The vessels of a section, or its lines where it has none."""
    if section.vessels:
        return labels.named("vessel", list(section.vessels))
    return labels.named("line", list(section.lines))


def not_placed_sentence(seen: FireMap) -> str:
    """Which parts the map leaves out."""
    if len(seen.not_placed) == 1:
        return tr("The position of {part} is not stated: it is left out of the map.").format(
            part=seen.not_placed[0]
        )
    return tr("The positions of {parts} are not stated: they are left out of the map.").format(
        parts=and_list(list(seen.not_placed))
    )


def cautions(seen: FireMap, units: Units) -> tuple[str, ...]:
    """What a reader must know before using a map, the gravest first."""
    told = []
    if seen.not_placed:
        told.append(not_placed_sentence(seen))
        told.append(tr("So nothing on the map reads survived for the whole installation."))
    if seen.hot_room:
        told.append(
            tr(
                "The hot gas under the ceiling of room {room} is left out: nothing on the map "
                "reads survived."
            ).format(room=seen.hot_room)
        )
    if seen.source.kind == "jet":
        told.append(_jet_sentence(seen))
        told.append(
            tr("A wall hides from the radiation of the jet; it is not taken to stop the flame.")
        )
    told.append(
        tr(
            "The picture rests on at most four runs of each section at a position, {pitch} apart: "
            "highest and stated pressure, whole and half heat."
        ).format(pitch=quantity_text(seen.pitch_m, "distance", units, 3))
    )
    if seen.stage == "borders" and seen.unsafe.any():
        told.append(
            tr("Along the thick line all runs were made; farther out only those of the picture.")
        )
    elif seen.stage == "borders":
        told.append(tr("No position is unsafe. All runs were made only where sections bear most."))
    else:
        told.append(tr("The runs along its borders are not made yet: they may move outwards."))
    if _has_few(seen):
        told.append(
            tr("What survives on few runs, or is not sure, may be unsafe when all runs are made.")
        )
    told.append(
        tr(
            "Still air, the walls of the file, one fire at a time; hot gas under a ceiling is left "
            "out. A position under a vessel counts as a fire under it."
        )
    )
    return tuple(told)


def _has_few(seen: FireMap) -> bool:
    """Whether a safe position rests on the runs of the picture alone."""
    few = np.isin(seen.grounds, (BY_FOUR, BETWEEN))
    return bool((few & (seen.outcome <= NOT_SURE)).any())


def _jet_sentence(seen: FireMap) -> str:
    """Which way the jet of a map points."""
    direction = seen.source.direction
    if direction is None:
        return tr("The jet is pointed at each part in turn; a place is that of its nozzle.")
    return tr(
        "The jet points {angle}° from the plan's x axis towards y; a place is that of its nozzle."
    ).format(angle=f"{math.degrees(direction) % 360.0:.0f}")


def row_words(seen: FireMap, row: int, column: int) -> str:
    """The kind of area of one position, for a table."""
    return area_name(int(kinds_of(seen)[row, column]))


_STAGES: Texts[dict[str, str]] = {
    "coarse": "map: first positions", "picture": "map: positions", "borders": "map: its borders",
}  # fmt: skip


def stage_text(stage: str) -> str:
    """What is being worked out of a map."""
    return tr(_STAGES[stage])


def summary_rows(seen: FireMap) -> list[tuple[str, ...]]:
    """How many positions are of each kind, the worst first."""
    kinds = kinds_of(seen)
    rows = [(tr("Positions"), tr("What becomes of the sections"))]
    for kind in range(BURSTS_SOON, -1, -1):
        count = int(np.count_nonzero(kinds == kind))
        if count:
            rows.append((str(count), area_name(kind)))
    return rows  # type: ignore[return-value]


def section_rows(seen: FireMap, units: Units) -> list[tuple[str, ...]]:
    """Sections that fail somewhere: the earliest rupture and from where."""
    rows: list[tuple[str, ...]] = [
        (tr("Worst section"), tr("Unsafe positions"), tr("Earliest rupture"), tr("Fire at"))
    ]
    for number, section in enumerate(seen.sections):
        here = seen.unsafe & (seen.section == number)
        if not here.any():
            continue
        times = np.where(here, seen.rupture_s, np.nan)
        if np.isfinite(times).any():
            row, column = np.unravel_index(int(np.nanargmin(times)), times.shape)
            when = time_text(float(times[row, column]), 2)
            where = place_text(seen, int(row), int(column), units)
        else:
            when, where = tr("none"), "–"
        rows.append((labels.sentence(_parts(section)), str(int(here.sum())), when, where))
    return rows


def place_text(seen: FireMap, row: int, column: int, units: Units) -> str:
    """A position: metres east and north."""
    east, north = float(seen.x_m[column]), float(seen.y_m[row])
    return tr("{east} east, {north} north").format(
        east=quantity_text(east, "distance", units, 3),
        north=quantity_text(north, "distance", units, 3),
    )
