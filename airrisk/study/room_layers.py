"""The gas under the ceiling of a room in which a source burns: whether all of the room burns."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from airrisk.installation.model import Fire, FireSource, Installation, Room
from airrisk.physics import room_fires
from airrisk.physics.fires import CONVECTION
from airrisk.study.source_flames import flame_of

HOT = 100.0  # K: from there on a verdict that leaves the hot gas out is not sure; judgement
IN_LAYER = 0.95  # of a part, with its top: the floor and plugs lower down stay cool; judgement
STEPS = 60  # at which the time is looked for


@dataclass(frozen=True)
class RoomLayer:
    """The room of a source, and its hot gas."""

    room: str
    rise_k: float | None  # when the source ends; None: the openings or walls are not stated
    burns_whole_after_s: float | None  # None: it does not, or nobody knows


def room_of(installation: Installation, source: FireSource) -> Room | None:
    """The room that a source stands in; None: in none that the file describes."""
    if source.area is None:
        return None
    wanted = source.area.casefold()
    for room in installation.rooms:
        if (room.area or room.id).casefold() == wanted:
            return room
    return None


def room_layer(installation: Installation, source: FireSource) -> RoomLayer | None:
    """How hot the gas under the ceiling gets; None: the source stands in no room of the file.

    Parameters
    ----------
    installation
        With its rooms.
    source
        One of its sources of fire.
    """
    room = room_of(installation, source)
    if room is None:
        return None
    flame = flame_of(installation, source)
    ends = _rise(room, flame.heat, flame.lasts)
    if ends is None:
        return RoomLayer(room.id, None, None)
    after = None
    if ends >= room_fires.BURNS_WHOLE:
        times = [flame.lasts * (step + 1) / STEPS for step in range(STEPS)]
        after = next(
            time
            for time in times
            if (_rise(room, flame.heat, time) or 0.0) >= room_fires.BURNS_WHOLE
        )
    return RoomLayer(room.id, ends, after)


def _rise(room: Room, heat: float, time: float) -> float | None:
    if room.height is None or room.vent_area is None or room.vent_height is None:
        return None
    if room.lining is None:
        return None
    lining = room_fires.linings()[room.lining]
    lost = room_fires.lost_into(lining, room.lining_thickness or lining.thickness, time)
    surface = room_fires.surface_of(room.volume, room.height) - room.vent_area
    return room_fires.layer_rise(heat, max(surface, 1.0), (room.vent_area, room.vent_height), lost)


def burning_rooms(installation: Installation) -> Iterator[Fire]:
    """The fire of all that stands in a room, for each room that gets hot by one of its sources.

    From ``BURNS_WHOLE`` on its parts and their plugs stand in the standard curve, for the time of
    the assumed fire. Below, from ``HOT`` on, they stand in gas of the highest temperature that any
    of its sources makes, as long as the one that burns longest; of the plugs only those on top.
    """
    for room in installation.rooms:
        inside = parts_in(installation, room.id)
        hot = [
            (layer.rise_k, flame_of(installation, source).lasts)
            for source in installation.fire_sources
            if (layer := room_layer(installation, source)) is not None
            and layer.room == room.id
            and layer.rise_k is not None
            and layer.rise_k > HOT
        ]
        if not hot or not inside:
            continue
        rise = max(one for one, _ in hot)
        whole = rise >= room_fires.BURNS_WHOLE
        yield Fire(
            id=room.id,
            curve="standard" if whole else "temperature",
            temperature=None if whole else installation.site.ambient_temperature + rise,
            reaches=inside,
            exposed_share=tuple((name, 1.0 if whole else IN_LAYER) for name in inside),
            plugs_in_fire=None if whole else _on_top(installation, inside),
            convection=CONVECTION["standard" if whole else "temperature"],
            duration=installation.choices.assumed_fire.duration
            if whole
            else max(lasts for _, lasts in hot),
        )


def _on_top(installation: Installation, parts: tuple[str, ...]) -> tuple[str, ...]:
    known = {name.casefold() for name in parts}
    vessels = {one.id.casefold() for one in installation.vessels} & known
    return tuple(
        plug.id
        for plug in installation.plugs
        if plug.place == "top" and plug.on.casefold() in vessels
    )


def parts_in(installation: Installation, room: str) -> tuple[str, ...]:
    """Vessels and lines that stand in a room, by its area."""
    area = next((one.area or one.id).casefold() for one in installation.rooms if one.id == room)
    return tuple(
        part.id
        for part in installation.holders()
        if part.area is not None and part.area.casefold() == area
    )
