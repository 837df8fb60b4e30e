"""Random valid systems as text of the system file, from a seed.

One to six vessels joined by lines in a chain, with a ring now and then, stubs to consumers and
blank ends, valves at the ends, plugs, relief valves and discs, one or two fires. Every text is
one that the reader accepts; the systems themselves may be good or bad. The same seed gives the
same text on every machine.
"""

from __future__ import annotations

import datetime as dt
import random
import sys
from dataclasses import dataclass, field

STEELS = ("P235GH", "P265GH", "P355GH", "P275SL", "S235", "SA-516-70")
METALS = (*STEELS, "304L", "316L", "6061-T6")
THICKEST = 50.0  # mm, of a shell; flat heads are four times as thick
# mm, in which the strength of the metal is known, where that is less than of such heads
KNOWN_TO = {"P275SL": 60.0, "6061-T6": 100.0}
PIPES = ("P235TR1", "P235GH", "A106B", "316L", "copper")
# with the melting range in degC, so that none stands above its own melting point at the start
ALLOYS = {
    "tin": 232, "indium": 157, "lead": 327, "Bi58Sn42": 138, "Bi55.5Pb44.5": 124, "In52Sn48": 118,
    "Bi50Pb28Sn22": 94, "Sn63Pb37": 183, "Sn50Pb50": 183, "Sn96.5Ag3.5": 221,
}  # fmt: skip
BORES = ("4 mm", "6 mm", "0.25 in", "8 mm", "10 mm", "12.7 mm", "16 mm", "20 mm", "25 mm", "40 mm")
PIPE_SIZES = ((12.5, 2.3), (16.0, 2.6), (27.3, 3.2), (41.8, 3.2), (54.5, 2.9), (82.5, 3.2))
CONDITIONS = ("clean", "clean", "clean", "oil film", "corroded", "scaled", "painted over")


@dataclass
class _Text:
    """Blocks of the file as they are drawn."""

    rng: random.Random
    plain: bool = False
    blocks: list[str] = field(default_factory=list)

    def add(self, table: str, /, **values: object) -> None:
        lines = [f"[[{table}]]"]
        for key, value in values.items():
            if value is None:
                continue
            if isinstance(value, bool):
                text = "true" if value else "false"
            elif isinstance(value, str):
                text = f'"{value}"'
            elif isinstance(value, list):
                text = "[" + ", ".join(f'"{v}"' for v in value) + "]"
            elif isinstance(value, dict):
                inner = ", ".join(f"{k} = {v}" for k, v in value.items())
                text = f"{{ {inner} }}"
            else:
                text = str(value)
            lines.append(f"{key.rstrip('_')} = {text}")
        self.blocks.append("\n".join(lines))


def random_system(seed: int, *, plain: bool = False) -> str:
    """Text of one random system.

    Parameters
    ----------
    seed : int
        Any whole number.
    plain : bool
        Only what the plain solver knows: one vessel of carbon steel without lines, outlet pipes,
        compressors or water, and no fire by table.

    Returns
    -------
    str
        A system file of format 1.
    """
    rng = random.Random(f"system {seed} {plain}")
    out = _Text(rng, plain)
    count = 1 if plain else rng.choice((1, 1, 1, 2, 2, 3, 3, 4, 5, 6))
    level = round(10 ** rng.uniform(0.3, 1.75), 1)  # bar(g), 2 to 56
    temperature = round(rng.uniform(5, 45), 1)
    names = [f"R{i + 1}" for i in range(count)]
    for name in names:
        _vessel(out, name, level, temperature)
    lines, valves = ([], []) if plain else _lines(out, names, level, temperature)
    plugs = _devices(out, names, lines, level)
    if not plain and rng.random() < 0.3:
        out.add(
            "compressor", id="C1", delivery=f"{round(rng.uniform(0.2, 10), 2)} m3/min",
            discharge_pressure=f"{level} bar(g)", cooling="oil-flooded",
            lubrication="oil-flooded", discharge_temperature="85 degC",
            in_fire=rng.choice(("stops", "keeps running")),
        )  # fmt: skip
        out.add(
            "line", id="LC", from_="C1", to=names[0], length="5 m", inside_diameter="41.8 mm",
            wall_thickness="3.2 mm", measured=True, loss=2.0,
        )  # fmt: skip
        lines.append("LC")
        if rng.random() < 0.6:
            out.add("valve", id="VC", on="LC", end="to", kind="non-return")
    for number in range(rng.choice((1, 1, 2))):
        _fire(out, f"F{number + 1}", names, lines, valves, plugs)
    head = [
        "format = 1",
        f'title = "Random system {seed}"',
        "[choices]\n"
        f'strength_basis = "{rng.choice(("tensile", "tensile", "yield", "annex-a"))}"\n'
        "audit_date = 2026-11-01",
        f'[site]\nambient_temperature = "{round(rng.uniform(-10, 35), 1)} degC"\n'
        f'ambient_pressure = "{rng.randint(850, 1040)} mbar(a)"',
    ]
    return "\n\n".join(head + out.blocks) + "\n"


def _vessel(out: _Text, name: str, level: float, temperature: float) -> None:
    rng = out.rng
    diameter = round(10 ** rng.uniform(2.0, 3.25))  # mm
    metal = rng.choice(STEELS if out.plain else METALS)
    # wall for a stress of 50 to 160 MPa at design, hollow spots and generous shells included
    design = level * rng.uniform(1.0, 1.5)
    wall = max(round(design * 0.1 * diameter / (2 * rng.uniform(50, 160)), 1), 1.5)
    if wall > THICKEST:  # a narrower vessel of the same stress
        diameter, wall = round(diameter * THICKEST / wall), THICKEST
    heads = rng.choice(("torispherical", "torispherical", "ellipsoidal", "hemispherical", "flat"))
    if heads == "flat" and 4 * wall > KNOWN_TO.get(metal, 4 * THICKEST):
        metal = "SA-516-70"
    length = round(diameter * rng.uniform(0.5, 4))
    cylinder = 0.785 * diameter**2 * length * 1e-6  # L
    wet = not out.plain and rng.random() < 0.15
    water = cylinder * rng.uniform(0.001, 0.05) if wet else 0.0
    out.add(
        "vessel", id=name,
        role=rng.choice(("receiver", "receiver", "dryer", "separator", "header")),
        inside_diameter=f"{diameter} mm",
        cylinder_length=f"{length} mm",
        heads=heads,
        head_thickness=f"{round(wall * 4, 1)} mm" if heads == "flat" else f"{wall} mm",
        orientation=rng.choice(("vertical", "horizontal")),
        wall_thickness=f"{wall} mm",
        measured=rng.random() < 0.5,
        weld_factor=rng.choice((0.7, 0.85, 1.0)),
        material=metal,
        design_pressure=f"{round(design, 2)} bar(g)",
        pressure=f"{level} bar(g)",
        temperature=f"{temperature} degC",
        condensate=f"{round(water, 4)} L",
        area=rng.choice(("hall", "hall", "yard")) if rng.random() < 0.7 else None,
    )  # fmt: skip


def _lines(
    out: _Text, names: list[str], level: float, temperature: float
) -> tuple[list[str], list[str]]:
    """Lines that join the vessels, and the valves on them that people can shut."""
    rng = out.rng
    lines: list[str] = []
    valves: list[str] = []
    joints = [(rng.choice(names[:i]), names[i]) for i in range(1, len(names))]
    if len(names) > 2 and rng.random() < 0.4:
        joints.append((names[-1], names[0]))
    ends: list[tuple[str, str]] = list(joints)
    for number in range(rng.choice((0, 0, 1, 2))):
        kind = rng.choice(("closed", "consumer", "junction"))
        if kind == "closed":
            ends.append((rng.choice(names), "closed"))
            continue
        end = f"E{number + 1}"
        out.add(kind, id=end)
        ends.append((rng.choice(names), end))
        if kind == "junction":
            ends.append((end, rng.choice(("closed", rng.choice(names)))))
    for number, (start, end) in enumerate(ends):
        line = f"L{number + 1}"
        lines.append(line)
        inside, wall = rng.choice(PIPE_SIZES)
        out.add(
            "line", id=line, from_=start, to=end, length=f"{round(10 ** rng.uniform(0, 1.7), 1)} m",
            inside_diameter=f"{inside} mm", wall_thickness=f"{wall} mm",
            measured=rng.random() < 0.5, material=rng.choice(PIPES),
            loss=round(rng.uniform(0, 8), 1), pressure=f"{level} bar(g)",
            temperature=f"{temperature} degC",
        )  # fmt: skip
        for side in ("from", "to"):
            if (end == "closed" and side == "to") or rng.random() > 0.45:
                continue
            valve = f"V{number + 1}{side[0]}"
            if rng.random() < 0.25:
                out.add(
                    "valve", id=valve, on=line, end=side, kind="non-return",
                    reverse=rng.random() < 0.3,
                )  # fmt: skip
                continue
            state = rng.choice(("open", "open", "locked open", "closed"))
            out.add("valve", id=valve, on=line, end=side, kind="isolating", state=state)
            if state != "locked open":
                valves.append(valve)
    return lines, valves


def _devices(out: _Text, names: list[str], lines: list[str], level: float) -> list[tuple[str, str]]:
    """Devices; gives the plugs with the part they stand on."""
    rng = out.rng
    plugs: list[tuple[str, str]] = []
    holders = names + lines
    for number in range(rng.choice((0, 1, 1, 1, 2, 3))):
        plug = f"FP{number + 1}"
        on = rng.choice(names if rng.random() < 0.8 else holders)
        piped = not out.plain and rng.random() < 0.3
        own_body = rng.random() < 0.75
        out.add(
            "plug", id=plug, on=on, alloy=rng.choice(tuple(ALLOYS)), bore=rng.choice(BORES),
            place=rng.choice(("top", "top", "side", "bottom")),
            outlet="piped" if piped else "open",
            outlet_length=f"{round(rng.uniform(0.5, 12), 1)} m" if piped else None,
            outlet_diameter=f"{rng.choice((27.3, 41.8, 54.5))} mm" if piped else None,
            discharges_to="outdoors", fitted=dt.date(2026, rng.randint(1, 9), 15),
            condition=rng.choice(CONDITIONS),
            response="own body" if own_body else "follows wall",
        )  # fmt: skip
        plugs.append((plug, on))
    for number in range(rng.choice((0, 1, 1, 2))):
        valve = f"RV{number + 1}"
        out.add(
            "relief_valve", id=valve, on=rng.choice(names),
            set_pressure=f"{round(level * rng.uniform(1.02, 1.5), 2)} bar(g)",
            area=f"{round(10 ** rng.uniform(1, 3))} mm2",
        )  # fmt: skip
    if rng.random() < 0.15:
        out.add(
            "bursting_disc", id="BD1", on=rng.choice(names),
            burst_pressure=f"{round(level * rng.uniform(1.1, 2.5), 2)} bar(g)",
            area=f"{round(10 ** rng.uniform(1, 3))} mm2",
        )  # fmt: skip
    return plugs


def _fire(
    out: _Text,
    name: str,
    names: list[str],
    lines: list[str],
    valves: list[str],
    plugs: list[tuple[str, str]],
) -> None:
    rng = out.rng
    reached = sorted(rng.sample(names, rng.randint(1, len(names))))
    if lines and rng.random() < 0.4:
        reached += sorted(rng.sample(lines, rng.randint(1, len(lines))))
    curves = ["standard", "hydrocarbon", "hydrocarbon", "external", "slow", "temperature", "flux"]
    curve = rng.choice(curves if out.plain else [*curves, "table"])
    share: object = rng.choice((1.0, 1.0, 0.5, 0.25, 0.05))
    if rng.random() < 0.3:
        share = {part: rng.choice((1.0, 0.6, 0.25, 0.05)) for part in reached}
    exposed = [plug for plug, on in plugs if on in reached]
    chosen = sorted(rng.sample(exposed, rng.randint(0, len(exposed)))) if exposed else []
    points = '[["0 min", "20 degC"], ["5 min", "700 degC"], ["20 min", "900 degC"]]'
    out.add(
        "fire", id=name, curve=curve, reaches=reached, exposed_share=share,
        plugs_in_fire=chosen if rng.random() < 0.6 else None,
        closed=(sorted(rng.sample(valves, rng.randint(0, len(valves)))) if rng.random() < 0.7
                else None),
        flux=f"{rng.choice((25, 60, 100, 200))} kW/m2" if curve == "flux" else None,
        absorbed=rng.random() < 0.2 if curve == "flux" else None,
        temperature=f"{rng.choice((400, 700, 1000))} degC" if curve == "temperature" else None,
        emissivity=rng.choice((0.5, 0.8, 0.9)),
        convection=f"{rng.choice((10, 25, 50))} W/m2/K",
        duration=f"{rng.choice((5, 15, 30, 60))} min",
    )  # fmt: skip
    if curve == "table":
        out.blocks[-1] += f"\npoints = {points}"


if __name__ == "__main__":
    from tests.independent.random_runs import main

    sys.exit(main())
