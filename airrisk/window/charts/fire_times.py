"""The events of one fire on a time axis, drawn like the order ruler."""

from __future__ import annotations

from airrisk.study.records import FireRecord
from airrisk.wording import labels
from airrisk.wording.chart_kinds import Axis, Role, Ruler, Shape, Tick
from airrisk.wording.sentences import fire_title
from airrisk.wording.translation import tr

_LOOKS: dict[str, tuple[Role, Shape]] = {
    "plug opens": ("plug", "diamond"), "disc bursts": ("plug", "triangle"),
    "relief valve lifts": ("device", "square"), "rupture": ("rupture", "cross"),
    "line ruptures": ("rupture", "cross"), "empty": ("neutral", "circle"),
    "fire ends": ("neutral", "plus"),
}  # fmt: skip


def fire_time_ruler(fire: FireRecord) -> Ruler:
    """First events of a fire as stated in their order, with the rupture if nothing opened."""
    ticks = []
    seen: set[tuple[str, str]] = set()
    for event in sorted(fire.events, key=lambda e: e.time_s):
        if event.event not in _LOOKS or (event.event, event.part) in seen:
            continue
        seen.add((event.event, event.part))
        role, shape = _LOOKS[event.event]
        ticks.append(
            Tick(event.event, labels.event(event.event, event.part), event.time_s, role, shape)
        )
    without = fire.rupture_nothing_opens_s
    ruptured = any(event.event == "rupture" for event in fire.events)
    if without is not None and not ruptured:
        text = tr("rupture if nothing opened")
        ticks.append(Tick("rupture", text, without, "rupture", "cross"))
    others = [tick.value for tick in ticks if tick.kind != "fire ends"]
    if others:  # a fire that burns on long after would press the rest together
        ticks = [t for t in ticks if t.kind != "fire ends" or t.value < 2 * max(others)]
    return Ruler(
        key=f"times-{fire.id}-{fire.section}",
        title=tr("{fire} as stated: order in time").format(fire=fire_title(fire)),
        axis=Axis(tr("Time in the fire"), "time", low=0.0),
        ticks=tuple(sorted(ticks, key=lambda tick: tick.value)),
        band=None,
        basis_ticks=(),
    )
