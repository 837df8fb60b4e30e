"""Invented networks of any size, wilder than a plant would be."""

from __future__ import annotations

import random

from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Consumer,
    Installation,
    Junction,
    Line,
    Plug,
    ReliefValve,
    Valve,
    Vessel,
)


def _vessel(name: str, draw: random.Random) -> Vessel:
    return Vessel(
        id=name, inside_diameter=1.0, volume=2.0, cylinder_length=2.0, wall_thickness=0.01,
        material="P265GH", design_pressure=1.1e6, pressure=8e5,
        orientation=draw.choice(("vertical", "horizontal")),
    )  # fmt: skip


def network(seed: int, parts: int) -> Installation:
    """A network of this many parts with rings, twin lines, open ends, devices and valves."""
    draw = random.Random(seed)
    count = {"C": 1 + parts // 12, "J": parts // 3, "U": parts // 5}
    count["R"] = max(parts - sum(count.values()), 1)
    names = [f"{kind}{i + 1}" for kind, many in count.items() for i in range(many)]
    lines = []

    def join(first: str, last: str) -> None:
        lines.append(Line(id=f"L{len(lines) + 1}", from_=first, to=last, length=5.0,
                          inside_diameter=0.05, wall_thickness=0.003))  # fmt: skip

    order = [name for name in names if name[0] != "U"]
    for number, name in enumerate(order[1:], 1):
        if draw.random() < 0.93:  # else nothing joins it, or what stands behind it
            join(draw.choice(order[max(0, number - 4) : number]), name)
    for name in names:
        if name[0] == "U":
            join(draw.choice(order), name)
    for _ in range(parts // 8):
        first, last = draw.sample(order, 2)
        join(first, last)
    for end in ("closed", "atmosphere"):
        join(draw.choice(order), end)
    return _furnished(names, lines, draw)


def _furnished(names: list[str], lines: list[Line], draw: random.Random) -> Installation:
    """The network with valves and devices in every place that they can have."""
    holders = [line.id for line in lines] + [name for name in names if name[0] == "R"]
    valves = [
        Valve(id=f"V{i}", on=line.id, end=end, kind=draw.choice(("isolating", "non-return")),
              reverse=draw.random() < 0.3)
        for i, (line, end) in enumerate((line, end) for line in lines for end in ("from", "to"))
        if draw.random() < 0.4
    ]  # fmt: skip
    plugs = [
        Plug(id=f"FP{i}", on=draw.choice(holders), discharge_coefficient=0.6, alloy=None, bore=0.01,
             place=draw.choice(("top", "side", "bottom", "drain")))
        for i in range(len(names) // 3)
    ]  # fmt: skip
    reliefs = [
        ReliefValve(id=f"Safety-{i}", on=draw.choice(holders), set_pressure=1e6, area=1e-4)
        for i in range(len(names) // 5)
    ]
    discs = [
        BurstingDisc(id=f"B{i}", on=draw.choice(holders), burst_pressure=1e6, area=1e-4,
                     discharge_coefficient=0.62)
        for i in range(len(names) // 10)
    ]  # fmt: skip
    under = [device.id for device in [*plugs, *reliefs, *discs] if draw.random() < 0.3]
    valves += [Valve(id=f"W{i}", on=name) for i, name in enumerate(under)]
    return Installation(
        title="Network",
        compressors=tuple(
            Compressor(id=name, delivery=0.1, discharge_pressure=8e5)
            for name in names
            if name[0] == "C"
        ),
        vessels=tuple(_vessel(name, draw) for name in names if name[0] == "R"),
        junctions=tuple(Junction(id=name) for name in names if name[0] == "J"),
        consumers=tuple(Consumer(id=name) for name in names if name[0] == "U"),
        lines=tuple(lines), valves=tuple(valves), plugs=tuple(plugs),
        relief_valves=tuple(reliefs), bursting_discs=tuple(discs),
    )  # fmt: skip
