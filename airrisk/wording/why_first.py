"""Why something acts first in a fire, in the numbers of the run as stated."""

from __future__ import annotations

from bisect import bisect_left

from airrisk.study.records import EventRecord, FireRecord
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, percent_text, quantity_text, time_text

RUPTURES = ("rupture", "line ruptures")
ACTS = ("plug opens", "relief valve lifts", "disc bursts", *RUPTURES)


def first_act(fire: FireRecord) -> EventRecord | None:
    """What acts first in the run as stated: a device opens, or metal gives way."""
    acts = (one for one in fire.events if one.event in ACTS)
    return min(acts, key=lambda one: one.time_s, default=None)


def why_first(fire: FireRecord, part: str, units: Units) -> str:
    """Why that acts first which does, in the numbers of a part at that moment.

    Parameters
    ----------
    fire : FireRecord
        With its curves.
    part : str
        The vessel or line that is looked at.
    units : Units
        For the numbers.

    Returns
    -------
    str
        Empty when the record has no curves of the part.
    """
    curves = fire.curves
    if curves is None or part not in curves.parts:
        return ""
    act = first_act(fire)
    if act is None:
        return _why_nothing(fire, part)
    moment = min(bisect_left(curves.time_s, act.time_s), len(curves.time_s) - 1)
    seen = curves.parts[part]
    texts = {
        "part": part,
        "device": act.part,
        "time": time_text(act.time_s),
        "wall": quantity_text(seen.hot_wall_temperature_k[moment], "temperature", units, 3),
        "pressure": quantity_text(seen.pressure_pa[moment], "pressure", units, 3),
        "use": percent_text(seen.strength_use[moment], 2),
    }
    if act.event in RUPTURES and act.part != part:
        told = tr("{device} gives way after {time}, before anything on {part} acts.")
        return told.format(**texts)
    if act.event in RUPTURES:
        told = tr(
            "After {time} the wall of {part} is at {wall} and bears no more than its air at "
            "{pressure}."
        ).format(**texts)
        return " ".join([told, *_plugs_at(fire, moment, units)])
    if act.event == "plug opens":
        told = tr(
            "After {time} the core of plug {device} has melted. The wall of {part} is at {wall} "
            "and bears {use} of what would rupture it."
        ).format(**texts)
    elif act.event == "relief valve lifts":
        told = tr(
            "After {time} the air at {pressure} lifts relief valve {device}. No plug has opened "
            "and the wall of {part} at {wall} bears {use} of what would rupture it."
        ).format(**texts)
    else:
        told = tr(
            "After {time} the air at {pressure} bursts disc {device}. The wall of {part} at {wall} "
            "bears {use} of what would rupture it."
        ).format(**texts)
    return f"{told} {_if_nothing_opens(fire)}".strip()


def _if_nothing_opens(fire: FireRecord) -> str:
    at = fire.rupture_nothing_opens_s
    if at is None:
        return ""
    return tr("If nothing opened, a vessel would rupture after {time}.").format(time=time_text(at))


def _plugs_at(fire: FireRecord, moment: int, units: Units) -> list[str]:
    """How warm the plugs are that are still shut."""
    assert fire.curves is not None
    return [
        tr("Plug {plug} is at {temperature} then and still shut.").format(
            plug=name, temperature=quantity_text(one.temperature_k[moment], "temperature", units, 3)
        )
        for name, one in fire.curves.plugs.items()
        if not one.open[moment]
    ]


def _why_nothing(fire: FireRecord, part: str) -> str:
    assert fire.curves is not None
    most = percent_text(max(fire.curves.parts[part].strength_use), 2)
    return tr(
        "{part} bears at most {use} of what would rupture it, and no device opens before the fire "
        "ends."
    ).format(part=part, use=most)
