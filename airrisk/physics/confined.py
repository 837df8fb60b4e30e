"""What the air of a vessel does to a closed room when the vessel lets go in it."""

from __future__ import annotations


def closed_room_pressure(pressure: float, volume: float, ambient: float, room: float) -> float:
    """Pressure in a closed room when the air of a vessel has mixed with its own [Pa absolute].

    Parameters
    ----------
    pressure, volume
        Of the vessel [Pa absolute, m3].
    ambient
        In the room before [Pa absolute].
    room
        Volume of the room's air [m3].

    Source
    ------
    Balance of an ideal gas in rigid walls without loss of heat: p = (p1 V + p0 Vr)/(V + Vr). The
    wave that runs ahead, openings and walls that give way are not in it.
    """
    return (pressure * volume + ambient * room) / (volume + room)
