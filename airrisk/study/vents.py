"""When the air of each part first gets out in a fire: through a device that it can reach.

A plug that opens on the far side of a non-return valve empties its own stretch and nothing
else; a vessel's margin counts from the first open device that its own air can flow to.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from airrisk.study.records import EventRecord

VENTING = frozenset({"plug opens", "disc bursts"})


def first_vents(
    reach: Mapping[str, frozenset[str]], members: Iterable[str], events: Iterable[EventRecord]
) -> dict[str, float]:
    """Time at which the air of each vessel and line first gets out through a plug or disc, s.

    Parameters
    ----------
    reach
        Part -> plugs and discs that its air can flow to, see ``FireCase``.
    members
        Parts to ask for.
    events
        Events of the fire run.

    Returns
    -------
    dict
        Part -> time, s. A part is missing when no plug or disc that its air can reach opened.
    """
    opened = [event for event in events if event.event in VENTING]
    found: dict[str, float] = {}
    for name in members:
        times = [event.time_s for event in opened if event.part in reach.get(name, ())]
        if times:
            found[name] = min(times)
    return found
