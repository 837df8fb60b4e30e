"""Where the air of plugs, relief valves and discs comes out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from airrisk.installation.fields import OUTDOORS, PEOPLE_PASS
from airrisk.installation.model import Device, Installation, Plug, Room
from airrisk.messages import said
from airrisk.physics.discharge import room_effect
from airrisk.study.discharges import room_entered
from airrisk.study.records import Finding, Severity
from airrisk.study.rules.asking import all_devices, for_each
from airrisk.study.rules.context import RuleContext, finding


@for_each(all_devices)
def outlets_into_occupied_places(context: RuleContext, device: Device) -> Iterator[Finding]:
    """Outlets anywhere but outdoors where nobody passes.

    What counts is ``outlet_place``. The free words of ``discharges_to`` never make an outlet a
    stated one; where the place is not stated they only tell of a room or of people that the air
    meets. An open plug that stands in a room blows into it, whatever is stated.
    """
    place = device.outlet_place
    room = room_entered(context.installation, device)
    if place == OUTDOORS and room is None:
        return
    severity: Severity = "warning"
    values: dict[str, Any] = {}
    named = room.id if room is not None else ""
    gas = room is not None and room.extinguishing == "gas"
    if room is not None and gas:
        variant = "gas"
        values = _gas_left(context, device, room)
        severity = "danger" if values.pop("spoils_gas") else "warning"
    elif place == OUTDOORS:
        variant = "inside"
    elif place == PEOPLE_PASS:
        variant = "people"
    elif place is not None:
        variant, named = "occupied", place
    else:
        named = _occupied(context.installation, device.discharges_to)
        variant = "occupied" if named else "unstated"
        severity = "warning" if named else "note"
    yield finding(
        "outlet-into-occupied-place",
        severity,
        device.id,
        variant=variant,
        text_variant="gas_at_most" if gas and not isinstance(device, Plug) else variant,
        on=context.part_of(device),
        place=named or said("not-stated"),
        **values,
    )


def _gas_left(context: RuleContext, device: Device, room: Room) -> dict[str, Any]:
    """What the air of all that can empty through a device does to the gas in a room."""
    effect = room_effect(
        [
            (context.pressure(name), context.running[name], context.volume(name))
            for name in context.largest[device.id].holders
        ],
        room.volume,
        context.ambient,
        context.installation.site.ambient_temperature,
    )
    return {
        "free_air_m3": effect.free_air,
        "room_m3": room.volume,
        "agent_left_share": effect.agent_left,
        "room": room.id,
        "spoils_gas": effect.spoils_gas,
    }


def _occupied(plant: Installation, text: str) -> str:
    """The place with people or the compartment that free words name; empty: they name none."""
    if "no access" in text.casefold():
        return ""
    names = {name for room in plant.rooms for name in (room.id, room.area)}
    names |= {place.id for place in plant.people} | {part.area for part in plant.parts()}
    found = [name for name in names if name and _mentions(text, name)]
    return max(found, key=lambda name: (len(name), name), default="")


def _mentions(text: str, name: str) -> bool:
    plain = re.sub(r"[-_]", " ", text.casefold())
    wanted = re.sub(r"[-_]", " ", name.casefold())
    return re.search(rf"(?<!\w){re.escape(wanted)}(?!\w)", plain) is not None
