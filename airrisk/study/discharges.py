"""What the open plugs and valves let out: rate, time, force, noise, jet, and the room it enters."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import networkx as nx

from airrisk.installation.fields import OUTDOORS, OUTLET_PLACES
from airrisk.installation.model import (
    BurstingDisc,
    Device,
    Installation,
    Line,
    Plug,
    ReliefValve,
    Room,
    Vessel,
)
from airrisk.installation.people_places import away
from airrisk.installation.sections import Section, as_drawn, gas_graph
from airrisk.messages import said
from airrisk.physics import air, flow, flow_kernel
from airrisk.physics.discharge import free_jet, pipe_exit, room_effect, time_to_empty
from airrisk.physics.noise import vent_noise
from airrisk.physics.shells import bore_area
from airrisk.study.consequence_records import DischargeRecord, RoomRecord
from airrisk.study.records import PartRecord, Trace

PAIN_DB = 140.0  # limit of peak exposure, EU directive 2003/10/EC (from memory)
PROTECTION_DB = 85.0  # daily exposure that calls for ear protection, same source
STRONG_JET = 20.0  # m/s, hard to stand in; judgement
WEAK_JET = 5.0  # m/s, stirs dust and flames; judgement


def discharges(
    installation: Installation,
    parts: Mapping[str, PartRecord],
    note: Callable[[str, Exception], object] | None = None,
) -> dict[str, DischargeRecord]:
    """What each plug, relief valve and disc lets out when it stands fully open.

    Parameters
    ----------
    installation
        The checked installation.
    parts
        Screening records by id, for the state of the air.
    note
        Called with the device and the error where an answer cannot be computed; the others follow.
        Left out: the error goes to the caller.

    Returns
    -------
    dict
        Device id -> DischargeRecord: plugs at the present pressure of their part, relief valves
        and discs at their set pressure and the part's temperature. A device on a part without a
        screening record or without pressure is left out.
    """
    records = {name.casefold(): record for name, record in parts.items()}
    sections = as_drawn(installation)
    closed = [valve.id for valve in installation.valves if valve.state == "closed"]
    graph = gas_graph(installation, closed)
    found = {}
    for device in installation.devices():
        record = records.get(device.on.casefold())
        if record is None:
            continue
        pressure = _opening_pressure(device, record)
        if pressure <= installation.site.ambient_pressure * 1.001:
            continue
        members = _emptied(graph, sections, device)
        try:
            found[device.id] = _discharge(installation, device, record, pressure, records, members)
        except Exception as error:
            if note is None:
                raise
            note(device.id, error)
    return found


def _emptied(graph: nx.DiGraph[Any], sections: Sequence[Section], device: Device) -> list[str]:
    """Parts of the section as drawn whose air can flow to a device, by folded ids."""
    on = device.on.casefold()
    upstream = nx.ancestors(graph, device.id)
    members = next((s.members for s in sections if on in map(str.casefold, s.members)), ())
    return [on, *(m.casefold() for m in members if m in upstream and m.casefold() != on)]


def _opening_pressure(device: Device, record: PartRecord) -> float:
    if isinstance(device, ReliefValve):
        return device.set_pressure
    if isinstance(device, BurstingDisc):
        return device.burst_pressure
    return record.pressure_pa


def opening_area(device: Device) -> float:
    """Opening of a device, m2, without its discharge coefficient."""
    if isinstance(device, Plug):
        return bore_area(device.bore)
    if isinstance(device, (ReliefValve, BurstingDisc)):
        return device.area
    raise TypeError(f"{type(device).__name__} has no opening")


def room_entered(installation: Installation, device: Device) -> Room | None:
    """The room that the air of a device enters, as far as the file tells.

    Parameters
    ----------
    installation
        Its rooms and parts.
    device
        Plug, relief valve or disc.

    Returns
    -------
    Room or None
        The room that is stated as the place of the outlet. Without a room stated, one that the
        remark on the outlet names, else the room of the part's area unless the outlet is piped
        away: whoever has not said otherwise is not believed to be outdoors. Outdoors stated: the
        room of an open plug all the same, none for others. None: the open air or another place.
    """
    place = device.outlet_place
    if place is not None and place not in OUTLET_PLACES:
        wanted = place.casefold()
        return next((room for room in installation.rooms if room.id.casefold() == wanted), None)
    open_plug = isinstance(device, Plug) and device.outlet == "open"
    if place == OUTDOORS and not open_plug:
        return None
    rooms = {}
    for room in installation.rooms:
        for name in (room.id, room.area or room.id):
            rooms[" ".join(name.casefold().split())] = room
    named = rooms.get(" ".join(device.discharges_to.casefold().split()))
    if named is not None and place != OUTDOORS:
        return named
    if isinstance(device, Plug) and not open_plug:
        return None
    try:
        part = installation.find(device.on)
    except KeyError:
        return None
    area = part.area if isinstance(part, (Vessel, Line)) else None
    return None if area is None else rooms.get(" ".join(area.casefold().split()))


def _discharge(
    installation: Installation,
    device: Device,
    record: PartRecord,
    pressure: float,
    records: Mapping[str, PartRecord],
    members: Sequence[str],
) -> DischargeRecord:
    ambient = installation.site.ambient_pressure
    surroundings = installation.site.ambient_temperature
    temperature = record.temperature_k
    area = opening_area(device) * device.discharge_coefficient
    free_flow = float(flow.mass_flux(pressure, temperature, ambient)) * area
    rate, force = outlet_flow_and_force(device, pressure, temperature, ambient)
    area *= rate / free_flow
    joined = [records[name] for name in members if name in records] or [record]
    volume = sum(part.volume_m3 for part in joined)
    empty = {
        isothermal: time_to_empty(
            pressure, temperature, volume, area, ambient, isothermal=isothermal
        )
        for isothermal in (True, False)
    }
    sound = float(air.speed_of_sound(air.density(pressure, temperature), temperature))
    # no credit for an outlet pipe: what the throat makes leaves through the pipe's end
    noise = vent_noise(rate, sound, pressure / ambient)
    jet = free_jet(rate, force, ambient, surroundings)
    distances = _distances_to_people(installation, device)
    room = room_entered(installation, device)
    return DischargeRecord(
        device=device.id,
        on=device.on,
        pressure_pa=pressure,
        temperature_k=temperature,
        flow_kg_s=rate,
        emptied_parts=tuple(part.id for part in joined),
        emptied_volume_m3=volume,
        empty_isothermal_s=empty[True],
        empty_adiabatic_s=empty[False],
        reaction_force_n=force,
        noise_at_1_m_db=noise.level_at(1.0),
        noise_at_30_m_db=noise.level_at_30_m_db,
        noise_in_range=noise.in_range,
        noise_140_db_m=noise.distance_for(PAIN_DB),
        noise_85_db_m=noise.distance_for(PROTECTION_DB),
        noise_at_people_db={name: noise.level_at(max(d, 1.0)) for name, d in distances.items()},
        jet_speed_m_s=jet.speed,
        jet_20_m_s_m=jet.reach(STRONG_JET),
        jet_5_m_s_m=jet.reach(WEAK_JET),
        jet_at_people_m_s={name: jet.speed_at(d) for name, d in distances.items()},
        towards=device.outlet_place or "",
        remark=device.discharges_to,
        piped=isinstance(device, Plug) and device.outlet == "piped",
        room=None if room is None else _room_record(installation, joined, room),
        traces=(
            Trace(
                "opening_flow",
                {
                    "C_d": device.discharge_coefficient,
                    "A": opening_area(device),
                    "G": free_flow / (opening_area(device) * device.discharge_coefficient),
                },
                free_flow,
            ),
            Trace(
                "jet_speed", {"d_j": jet.diameter, "u_e": jet.speed, "x": 10.0}, jet.speed_at(10.0)
            ),
        ),
    )


def outlet_flow_and_force(
    device: Device, pressure: float, temperature: float, ambient: float
) -> tuple[float, float]:
    """Flow of an open device and the reaction force on its outlet.

    Parameters
    ----------
    device
        Plug, relief valve at full lift, or disc.
    pressure, temperature
        State of the air behind it [Pa absolute, K].
    ambient
        Pressure outside [Pa absolute].

    Returns
    -------
    tuple
        Mass flow [kg/s], force [N].

    Raises
    ------
    AirRangeError
        The state is outside the tables.
    ArithmeticError
        The flow through the outlet pipe was not found.
    """
    area = opening_area(device) * device.discharge_coefficient
    if isinstance(device, Plug) and device.outlet == "piped":
        diameter = device.outlet_diameter or device.bore
        rate = _piped_flow(device, pressure, temperature, ambient, area, diameter)
        return rate, float(pipe_exit(rate, temperature, ambient, diameter).force)
    rate = float(flow.mass_flux(pressure, temperature, ambient)) * area
    return rate, float(flow.open_outlet_force(pressure, temperature, ambient, area))


def _piped_flow(
    plug: Plug,
    pressure: float,
    temperature: float,
    ambient: float,
    throat: float,
    diameter: float,
) -> float:
    """Flow through a plug and its outlet pipe, kg/s."""
    density = float(air.density(pressure, temperature))
    rate, _, _ = flow_kernel.piped_outlet_mass_flow(
        flow.flow_table().arrays(),
        pressure,
        density,
        temperature,
        float(air.viscosity(temperature)),
        ambient,
        throat,
        plug.outlet_length or 0.0,
        diameter,
    )
    if not rate > 0:
        raise ArithmeticError(
            said(
                "outlet-flow-not-found",
                plug=plug.id,
                pressure=f"{pressure:g}",
            )
        )
    return float(rate)


def _distances_to_people(installation: Installation, device: Device) -> dict[str, float]:
    """Least distance from the part that carries the device to each place with people, m."""
    try:
        part = installation.find(device.on)
    except KeyError:
        return {}
    if not isinstance(part, (Vessel, Line)):
        return {}
    known = {one.id: away(installation, one, part) for one in installation.people}
    return {name: far.nearest for name, far in known.items() if far is not None}


def _room_record(
    installation: Installation, joined: Sequence[PartRecord], room: Room
) -> RoomRecord:
    effect = room_effect(
        [(part.pressure_pa, part.temperature_k, part.volume_m3) for part in joined],
        room.volume,
        installation.site.ambient_pressure,
        installation.site.ambient_temperature,
    )
    gas = room.extinguishing == "gas"
    return RoomRecord(
        room=room.id,
        from_parts=tuple(part.id for part in joined),
        free_air_m3=effect.free_air,
        room_share=effect.room_share,
        sealed_pressure_rise_pa=effect.sealed_pressure_rise,
        agent_left_share=effect.agent_left if gas else None,
        spoils_extinguishing_gas=gas and effect.spoils_gas,
        feeds_fire=True,
    )
