"""Small invented installations of which the cheapest cure can be found by trying every set."""

from __future__ import annotations

import datetime as dt
from itertools import combinations

from airrisk.installation.reading import read
from airrisk.installation.splice import SystemText
from airrisk.study.assessment import assess
from airrisk.study.cache import StepCache
from airrisk.study.costs import usual_costs
from airrisk.study.cure_candidates import Candidates
from airrisk.study.cure_changes import Change
from airrisk.study.cure_trials import Bench

ON = dt.date(2026, 11, 1)

HEAD = """format = 2
title = "Cure bench"

[choices]
audit_date = 2026-11-01
{choices}
"""

VESSEL = """
[[vessel]]
id = "{name}"
inside_diameter = "600 mm"
volume = "0.5 m3"
wall_thickness = "{wall}"
measured = true
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "8 bar(g)"
temperature = "20 degC"
{more}
"""

PLUG = """
[[plug]]
id = "{name}"
on = "{on}"
alloy = "Bi58Sn42"
bore = "20 mm"
place = "{place}"
outlet_place = "outdoors, nobody passes"
fitted = 2026-05-01
condition = "{condition}"
"""

LINE = """
[[line]]
id = "L1"
from = "R1"
to = "R2"
length = "4 m"
inside_diameter = "54.5 mm"
wall_thickness = "2.9 mm"
measured = true
joints = "welded"

[[valve]]
id = "V1"
on = "L1"
end = "from"
"""

CALM = 'beside_flux = "20 kW/m2"'


def vessel(name: str = "R1", wall: str = "8 mm", more: str = "") -> str:
    """A receiver of half a cubic metre."""
    return VESSEL.format(name=name, wall=wall, more=more)


def plug(name: str, on: str, place: str = "top", condition: str = "clean") -> str:
    """A plug of 20 mm that is in date."""
    return PLUG.format(name=name, on=on, place=place, condition=condition)


POOL = """
[[fire_source]]
id = "Oil"
kind = "pool"
fuel = "lubricating oil"
diameter = "1.2 m"
volume = "60 L"
at = [1.4, 0.0]
"""

FED = """
[[compressor]]
id = "C1"
delivery = "1 m3/min"
discharge_pressure = "8 bar(g)"
discharge_temperature = "30 degC"
cut_in_pressure = "7 bar(g)"
lubrication = "oil-free"
in_fire = "stops"

[[line]]
id = "L1"
from = "C1"
to = "R1"
length = "2 m"
inside_diameter = "27.3 mm"
wall_thickness = "3.2 mm"
measured = true
joints = "welded"
"""

RELIEF = """
[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "100 mm2"
outlet_place = "outdoors, nobody passes"
"""

PLANTS: dict[str, str] = {
    "a painted plug": HEAD.format(choices=CALM)
    + vessel()
    + plug("FP1", "R1", condition="painted over"),
    "a plug in the water": HEAD.format(choices=CALM)
    + vessel(more='condensate = "10 L"')
    + plug("FP1", "R1", place="drain"),
    "no plug": HEAD.format(choices=CALM) + vessel(),
    "a pool beside it": HEAD.format(choices=CALM)
    + vessel(more="at = [0.0, 0.0]", wall="5 mm")
    + plug("FP1", "R1")
    + POOL,
    "much pressure": HEAD.format(choices="")
    + vessel(wall="4 mm")
    + plug("FP1", "R1")
    + FED
    + RELIEF,
    "too hot beside it": HEAD.format(choices="") + vessel(wall="5 mm") + plug("FP1", "R1"),
    "a second vessel behind a valve": HEAD.format(choices=CALM)
    + vessel()
    + vessel("R2")
    + LINE
    + plug("FP1", "R1", condition="painted over"),
}


def bench_of(text: str) -> Bench:
    """The installation of a file, assessed, where changes can be tried."""
    cache = StepCache()
    installation = read(text)
    before = assess(installation, ON, bores=False, cache=cache)
    return Bench(SystemText(text), installation, ON, before, cache)


def changes_of(bench: Bench) -> tuple[Change, ...]:
    """What is tried on it, at the usual costs."""
    return Candidates(bench, usual_costs()).all()


def cheapest_by_trying_all(bench: Bench, changes: tuple[Change, ...], most: int) -> float | None:
    """The least cost of all sets of up to some changes after which every verdict is safe."""
    best: float | None = None
    for count in range(1, most + 1):
        for chosen in combinations(changes, count):
            cost = sum(change.cost for change in chosen)
            if best is not None and cost >= best:
                continue
            places = [place for change in chosen for place in change.places]
            if len(places) != len(set(places)):
                continue
            trial = bench.trial(chosen)
            if trial is None or trial.harm:
                continue
            verdicts = [one for one in trial.assessment.verdicts if one.outcome is not None]
            if verdicts and all(one.safe for one in verdicts):
                best = cost
    return best
