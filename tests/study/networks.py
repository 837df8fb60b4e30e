"""Builders of small invented installations for tests of sections, protection and rules."""

from __future__ import annotations

import random
from typing import Any

from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Installation,
    Junction,
    Line,
    Plug,
    ReliefValve,
    Valve,
    Vessel,
)


def vessel(name: str, volume: float = 1.0, **other: Any) -> Vessel:
    """A receiver of 1 m3 at 10 bar(g)."""
    values: dict[str, Any] = {
        "inside_diameter": 0.8,
        "cylinder_length": 1.8,
        "wall_thickness": 0.008,
        "material": "P265GH",
        "design_pressure": 1.2e6,
        "pressure": 1.101325e6,
        "temperature": 308.15,
    }
    return Vessel(id=name, volume=volume, **(values | other))


def line(name: str, start: str, goal: str, **other: Any) -> Line:
    """A pipe of 10 m."""
    values: dict[str, Any] = {"length": 10.0, "inside_diameter": 0.05, "wall_thickness": 0.003}
    return Line(id=name, from_=start, to=goal, **(values | other))


def plug(name: str, on: str, **other: Any) -> Plug:
    """A tin plug of 10 mm."""
    return Plug(id=name, on=on, **({"alloy": "tin", "bore": 0.01} | other))


def relief(name: str, on: str, **other: Any) -> ReliefValve:
    """A relief valve set below the receivers' design pressure."""
    values: dict[str, Any] = {"discharge_coefficient": 0.8, "set_pressure": 1.15e6, "area": 8e-5}
    return ReliefValve(id=name, on=on, **(values | other))


def disc(name: str, on: str) -> BurstingDisc:
    """A bursting disc."""
    return BurstingDisc(id=name, on=on, discharge_coefficient=0.62, burst_pressure=1.3e6, area=8e-5)


def compressor(name: str = "C1", **other: Any) -> Compressor:
    """A compressor to 10 bar(g)."""
    return Compressor(id=name, **({"delivery": 0.1, "discharge_pressure": 1.101325e6} | other))


def random_network(seed: int, most_valves: int = 12) -> Installation:
    """A random network of vessels, tees, lines, valves and devices; every area is stated."""
    dice = random.Random(seed)
    areas = ["hall", "yard"]
    vessels = tuple(
        vessel(f"R{i}", area=dice.choice([*areas, "hall"])) for i in range(dice.randint(2, 4))
    )
    junctions = tuple(
        Junction(id=f"J{i}", area=dice.choice(areas)) for i in range(dice.randint(0, 3))
    )
    places = [part.id for part in (*vessels, *junctions)] + ["closed", "atmosphere"]
    weights = [4] * (len(places) - 2) + [1, 1]
    lines = tuple(
        line(f"L{i}", *dice.choices(places, weights, k=2), area=dice.choice(areas))
        for i in range(dice.randint(3, 8))
    )
    holders = [part.id for part in (*vessels, *lines)]
    plugs = tuple(plug(f"P{i}", dice.choice(holders)) for i in range(dice.randint(0, 3)))
    reliefs = tuple(relief(f"S{i}", dice.choice(holders)) for i in range(dice.randint(0, 2)))
    discs = tuple(disc(f"B{i}", dice.choice(holders)) for i in range(dice.randint(0, 1)))
    devices = [d.id for d in (*plugs, *reliefs, *discs)]
    valves = []
    for i in range(dice.randint(0, most_valves)):
        non_return = dice.random() < 0.25
        extra: dict[str, Any] = {
            "kind": "non-return" if non_return else "isolating",
            "state": "open"
            if non_return
            else dice.choices(["open", "closed", "locked open"], [6, 2, 2])[0],
            "reverse": non_return and dice.random() < 0.5,
            "order": i,
        }
        if devices and dice.random() < 0.15:
            valves.append(Valve(id=f"V{i}", on=dice.choice(devices), **extra))
        else:
            end: Any = dice.choice(["from", "to"])
            valves.append(Valve(id=f"V{i}", on=dice.choice(lines).id, end=end, **extra))
    return Installation(
        vessels=vessels,
        junctions=junctions,
        lines=lines,
        plugs=plugs,
        relief_valves=reliefs,
        bursting_discs=discs,
        valves=tuple(valves),
    )
