"""Pairs of receivers, the second worse than the first in one thing: none may look safer for it.

``python -m tests.study.worse_pairs --count 5000`` prints the figures of the long study. A pair
counts as a fault when the better one has a strength use above 1.05 of its limit and the worse one
is called safe. Closer to the limit the verdict may fall on either side: many things decide there
by less than the runs are sure of.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
from collections import Counter
from dataclasses import dataclass, field, replace

from airrisk.installation.model import Fire, Installation, Plug, ReliefValve, Vessel
from airrisk.physics import alloys
from airrisk.study.envelope import Envelope, envelope
from airrisk.study.exposures import Exposure, exposures
from airrisk.study.fire_runs import FireStudy
from airrisk.study.slices import fire_slice

ON = dt.date(2026, 11, 1)
CLEAR = 1.05  # of the limit, from where no change for the worse may give a safe verdict
CHANGES = (
    "pressure", "wall", "share", "heat", "duration", "bore", "alloy", "condition", "condensate",
)  # fmt: skip
CONDITIONS = ("clean", "oil film", "unknown")


@dataclass
class Tally:
    """What came out of many pairs."""

    pairs: Counter[str] = field(default_factory=Counter)
    unsafe_to_safe: Counter[str] = field(default_factory=Counter)  # also near the limit
    faults: list[str] = field(default_factory=list)


def receiver(rng: random.Random) -> Installation:
    """A receiver with one plug in a fire of some kind; good or bad."""
    diameter = rng.choice((0.4, 0.6, 0.8, 1.1, 1.4))
    length = diameter * rng.uniform(1.0, 3.0)
    design = 1e5 * rng.choice((9.0, 12.0, 17.0, 41.0))
    wall = max(0.002, (design - 1e5) * diameter / (2.0 * 1e6 * rng.uniform(70.0, 140.0)))
    metal = rng.choice(("P265GH", "P235GH", "P355GH", "304L"))
    # as the reader counts it: two heads of a tenth of the cube of the diameter each
    volume = 0.785 * diameter**2 * length + 0.2 * diameter**3
    vessel = Vessel(
        id="R1", inside_diameter=diameter, volume=volume, cylinder_length=length,
        wall_thickness=wall, material=metal, design_pressure=design,
        pressure=1e5 + rng.uniform(0.5, 0.95) * (design - 1e5), temperature=308.15, measured=True,
        condensate=rng.choice((0.0, 0.0, 0.0, 0.01)) * volume,
    )  # fmt: skip
    plug = Plug(
        id="FP1", on="R1", alloy=rng.choice(("tin", "Bi58Sn42", "Sn63Pb37", "In52Sn48")),
        bore=rng.choice((0.006, 0.01, 0.016, 0.025)), fitted=ON, body_mass=0.15, core_length=0.02,
        condition=rng.choice(CONDITIONS), place=rng.choice(("top", "top", "bottom")),
    )  # fmt: skip
    valves = ()
    if rng.random() < 0.4:
        valves = (ReliefValve(id="RV1", on="R1", set_pressure=design, area=2e-4),)
    share = rng.choice((1.0, 1.0, 0.6, 0.25, 0.1))
    fire = Fire(
        id="F1", curve="temperature", temperature=rng.uniform(700.0, 1400.0), reaches=("R1",),
        exposed_share=(("R1", share),), duration=rng.choice((600.0, 1800.0, 3600.0)),
        plugs_in_fire=None if rng.random() < 0.7 else (), convection=25.0,
    )  # fmt: skip
    return Installation(vessels=(vessel,), plugs=(plug,), relief_valves=valves, fires=(fire,))


def worsened(whole: Installation, what: str, rng: random.Random) -> Installation | None:
    """The same with one thing worse; ``None`` where it cannot be."""
    (vessel,), (plug,), (fire,) = whole.vessels, whole.plugs, whole.fires
    share = fire.share("R1")
    if what == "pressure":
        vessel = replace(vessel, pressure=vessel.pressure * rng.uniform(1.02, 1.4))
    elif what == "wall":
        vessel = replace(vessel, wall_thickness=vessel.wall_thickness * rng.uniform(0.7, 0.98))
    elif what == "share":
        if share >= 1.0 or fire.plugs_in_fire is None:
            return None
        fire = replace(fire, exposed_share=(("R1", min(0.95, share * rng.uniform(1.1, 3.0))),))
    elif what == "heat":
        fire = replace(fire, temperature=(fire.temperature or 0.0) * rng.uniform(1.02, 1.3))
    elif what == "duration":
        fire = replace(fire, duration=fire.duration * rng.uniform(1.1, 3.0))
    elif what == "bore":
        plug = replace(plug, bore=plug.bore * rng.uniform(0.3, 0.95))
    elif what == "alloy":
        own = alloys.alloy(plug.alloy or "tin").liquidus
        higher = [one.key for one in alloys.alloys() if one.solidus > own]
        if not higher:
            return None
        plug = replace(plug, alloy=rng.choice(higher))
    elif what == "condition":
        place = CONDITIONS.index(plug.condition)
        if place + 1 >= len(CONDITIONS):
            return None
        plug = replace(plug, condition=rng.choice(CONDITIONS[place + 1 :]))
    else:
        more = vessel.condensate + rng.uniform(0.005, 0.05) * vessel.volume
        vessel = replace(vessel, condensate=more)
    return replace(whole, vessels=(vessel,), plugs=(plug,), fires=(fire,))


def asked(whole: Installation, rank: int) -> Exposure:
    """One of the fires of a receiver."""
    every = exposures(whole)
    return every[rank % len(every)]


def judged(whole: Installation, rank: int) -> tuple[Envelope, float]:
    """The envelope of one fire and its limit."""
    study = FireStudy(fire_slice(whole, asked(whole, rank), ON))
    return envelope(study), study.case().limit


def run_pairs(seeds: range) -> Tally:
    """Draw and judge pairs."""
    tally = Tally()
    for seed in seeds:
        rng = random.Random(f"pair {seed}")
        better = receiver(rng)
        what = CHANGES[seed % len(CHANGES)]
        worse = worsened(better, what, rng)
        if worse is None:
            continue
        rank = 0 if what in ("share", "heat", "duration") else rng.randrange(4)
        first, limit = judged(better, rank)
        second, _ = judged(worse, rank)
        tally.pairs[what] += 1
        if first.safe or not second.safe:
            continue
        tally.unsafe_to_safe[what] += 1
        if first.ending.peak_use > CLEAR * limit:
            tally.faults.append(
                f"seed {seed}, {what}: {first.ending} in {first.corner}, then {second.ending}"
            )
    return tally


def main() -> None:
    """The long study."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--first", type=int, default=0)
    chosen = parser.parse_args()
    tally = run_pairs(range(chosen.first, chosen.first + chosen.count))
    print(f"{sum(tally.pairs.values())} pairs: {dict(tally.pairs)}")
    print(f"unsafe to safe near the limit too: {dict(tally.unsafe_to_safe)}")
    print(f"above {CLEAR} of the limit: {len(tally.faults)}")
    print("\n".join(tally.faults))


if __name__ == "__main__":
    main()
