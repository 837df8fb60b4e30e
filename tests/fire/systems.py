"""Small invented installations for the tests of the fire transient."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from airrisk.fire.batch import BatchResult, Stepping, run_batch
from airrisk.fire.case import FireCase
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.installation.model import (
    BurstingDisc,
    Compressor,
    Fire,
    Installation,
    Junction,
    Line,
    Plug,
    ReliefValve,
    Site,
    Valve,
    Vessel,
)
from airrisk.installation.sections import as_drawn


def vessel(name: str = "R1", **changes: Any) -> Vessel:
    """A 2 m3 receiver at 10 bar(g)."""
    values: dict[str, Any] = {
        "id": name,
        "inside_diameter": 1.1,
        "volume": 2.0,
        "cylinder_length": 1.8,
        "wall_thickness": 0.008,
        "material": "P265GH",
        "design_pressure": 12.0e5,
        "pressure": 11.0e5,
        "temperature": 308.15,
        "measured": True,
    }
    return Vessel(**{**values, **changes})


def plug(name: str = "FP1", on: str = "R1", **changes: Any) -> Plug:
    """A clean tin plug of 10 mm."""
    values: dict[str, Any] = {
        "id": name,
        "on": on,
        "alloy": "tin",
        "bore": 0.010,
        "condition": "clean",
        "discharge_coefficient": 0.6,
    }
    return Plug(**{**values, **changes})


def relief(name: str = "RV1", on: str = "R1", **changes: Any) -> ReliefValve:
    """A relief valve set at 11 bar(g)."""
    values: dict[str, Any] = {
        "id": name,
        "on": on,
        "set_pressure": 12.0e5,
        "area": 78.5e-6,
        "discharge_coefficient": 0.8,
    }
    return ReliefValve(**{**values, **changes})


def line(name: str, from_: str, to: str, **changes: Any) -> Line:
    """A line of 12 m DN 50."""
    values: dict[str, Any] = {
        "id": name,
        "from_": from_,
        "to": to,
        "length": 12.0,
        "inside_diameter": 0.0545,
        "wall_thickness": 0.0029,
        "measured": True,
        "loss": 4.0,
    }
    return Line(**{**values, **changes})


def fire(reaches: Iterable[str] = ("R1",), share: float = 1.0, **changes: Any) -> Fire:
    """A hydrocarbon fire of one hour."""
    names = tuple(reaches)
    values: dict[str, Any] = {
        "id": "F1",
        "curve": "hydrocarbon",
        "reaches": names,
        "exposed_share": tuple((name, share) for name in names),
        "convection": 50.0,
    }
    return Fire(**{**values, **changes})


def installation(*records: Any, site: Site | None = None) -> Installation:
    """An installation of the given records, sorted into their groups."""
    groups: dict[str, list[Any]] = {}
    where = {
        Vessel: "vessels",
        Line: "lines",
        Plug: "plugs",
        ReliefValve: "relief_valves",
        BurstingDisc: "bursting_discs",
        Valve: "valves",
        Compressor: "compressors",
        Junction: "junctions",
        Fire: "fires",
    }
    for record in records:
        groups.setdefault(where[type(record)], []).append(record)
    return Installation(
        site=site or Site(), **{key: tuple(values) for key, values in groups.items()}
    )


def case_of(*records: Any, site: Site | None = None, **choices: Any) -> FireCase:
    """The case of the one fire against the section of the first vessel."""
    made = installation(*records, site=site)
    section = next(s for s in as_drawn(made) if made.vessels[0].id in s.members)
    return build_case(made, made.fires[0], section, CaseSettings(**choices))


def random_case(rng: np.random.Generator) -> FireCase:
    """A random valid system of one to four vessels in a row."""
    count = int(rng.integers(1, 5))
    names = [f"R{k}" for k in range(count)]
    records: list[Any] = []
    for name in names:
        diameter = float(rng.uniform(0.3, 1.4))
        length = float(rng.uniform(0.5, 4.0)) * diameter
        pressure = float(10 ** rng.uniform(5.4, 6.6))
        records.append(
            vessel(
                name,
                inside_diameter=diameter,
                cylinder_length=length,
                volume=0.785 * diameter**2 * length * 1.1,
                wall_thickness=float(diameter * rng.uniform(0.006, 0.02)) + 0.002,
                pressure=pressure,
                design_pressure=1.1 * pressure,
                temperature=float(rng.uniform(273.0, 330.0)),
                material=str(rng.choice(["P265GH", "S235", "304L"])),
            )
        )
    valves: list[Valve] = []
    for k in range(count - 1):
        records.append(
            line(
                f"L{k}",
                names[k],
                names[k + 1],
                length=float(rng.uniform(0.5, 30.0)),
                inside_diameter=float(rng.choice([0.0161, 0.0273, 0.0545, 0.1053])),
                loss=float(rng.uniform(0.0, 10.0)),
            )
        )
        if rng.random() < 0.4:
            valves.append(
                Valve(
                    id=f"NV{k}",
                    on=f"L{k}",
                    end="to",
                    kind="non-return",
                    reverse=bool(rng.random() < 0.5),
                )
            )
    records += valves
    for k, name in enumerate(names):
        if rng.random() < 0.6:
            records.append(
                plug(
                    f"FP{k}",
                    name,
                    bore=float(rng.uniform(0.004, 0.03)),
                    alloy=str(rng.choice(["tin", "indium", "Bi58Sn42"])),
                    condition=str(rng.choice(["clean", "oil film"])),
                    response=str(rng.choice(["own body", "follows wall"])),
                    outlet="piped" if rng.random() < 0.25 else "open",
                    outlet_length=5.0,
                    outlet_diameter=0.02,
                )
            )
        if rng.random() < 0.5:
            records.append(
                relief(
                    f"RV{k}",
                    name,
                    set_pressure=float(rng.uniform(1.02, 1.4)) * records[k].pressure,
                    area=float(10 ** rng.uniform(-5.0, -3.5)),
                )
            )
    reached = [name for name in names if rng.random() < 0.7] or names[:1]
    share = float(rng.choice([1.0, 0.25, 0.05]))
    curve = str(rng.choice(["hydrocarbon", "standard", "external", "slow", "temperature"]))
    records.append(
        fire(
            reached,
            share,
            curve=curve,
            temperature=float(rng.uniform(700.0, 1400.0)),
            duration=float(rng.choice([600.0, 1800.0, 3600.0])),
        )
    )
    return case_of(*records, inner_radiation=bool(rng.random() < 0.5), credit="all")


def run_brief(case: FireCase, **how: Any) -> BatchResult:
    """A batch of one, all as it is in the case."""
    return run_batch(
        case, {f"{case.fire.id}.duration": np.array([case.fire.duration])}, stepping=Stepping(**how)
    )
