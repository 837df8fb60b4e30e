"""The program's fire run against the plain solver: two implementations of one description.

Convergence check between independent solvers, not a validation: both rest on the same physics,
one with tables and its own stepper, one with the reference equation at every step and LSODA.
Strength use within 0.3 %, event times within 0.5 % or 0.2 s.
"""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

import pytest

from airrisk.fire.run import run
from tests.independent import plain_fire
from tests.independent.same_case import cases_of, installation_of, plain_case

HEAD = """
format = 1
[choices]
strength_basis = "{basis}"
audit_date = 2026-11-01
[site]
ambient_temperature = "20 degC"
ambient_pressure = "1013 mbar(a)"
"""
VESSEL = """
[[vessel]]
id = "{id}"
inside_diameter = "{diameter} mm"
cylinder_length = "{length} mm"
heads = "hemispherical"
wall_thickness = "{wall} mm"
measured = true
weld_factor = 0.85
material = "P265GH"
design_pressure = "16 bar(g)"
pressure = "10 bar(g)"
temperature = "20 degC"
"""
PLUG = """
[[plug]]
id = "FP1"
on = "R1"
alloy = "{alloy}"
bore = "{bore} mm"
condition = "{condition}"
response = "{response}"
fitted = 2026-03-02
"""
RELIEF = """
[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "60 mm2"
discharge_coefficient = 0.8
"""
WATER = 'condensate = "{} L"\n'
FIRE = """
[[fire]]
id = "F1"
curve = "{curve}"
reaches = [{reaches}]
exposed_share = {share}
plugs_in_fire = [{hot_plugs}]
closed = []
emissivity = 0.8
convection = "{convection} W/m2/K"
duration = "{minutes} min"
"""


def _vessel(name: str = "R1", diameter: int = 600, length: int = 1500, wall: float = 6) -> str:
    return VESSEL.format(id=name, diameter=diameter, length=length, wall=wall)


def _plug(
    bore: float, alloy: str = "tin", condition: str = "clean", response: str = "own body"
) -> str:
    return PLUG.format(bore=bore, alloy=alloy, condition=condition, response=response)


def _fire(
    curve: str, share: float = 1.0, flames: bool = True, reaches: str = '"R1"', minutes: int = 30
) -> str:
    return FIRE.format(
        minutes=minutes,
        curve=curve, share=share, hot_plugs='"FP1"' if flames else "", reaches=reaches,
        convection=50 if curve == "hydrocarbon" else 25,
    )  # fmt: skip


LINE = """
[[line]]
id = "L1"
from = "R1"
to = "R2"
length = "2 m"
inside_diameter = "41.8 mm"
wall_thickness = "3.2 mm"
measured = true
loss = 8.0
"""

# text, basis, inner radiation
CASES: dict[str, tuple[str, str, bool]] = {
    "vessel engulfed, plug with own body": (
        _vessel() + _plug(16) + RELIEF + _fire("standard"), "tensile", True
    ),
    "vessel engulfed, plug follows the wall, bore too small": (
        _vessel() + _plug(3, response="follows wall") + _fire("hydrocarbon"), "tensile", True
    ),
    "alloy with a melting range behind an oil film": (
        _vessel(wall=9) + _plug(20, "Sn50Pb50", "oil film") + _fire("hydrocarbon"), "yield", True
    ),
    "local fire, plug out of it, radiation inside": (
        _vessel() + _plug(16, "Bi58Sn42") + RELIEF + _fire("hydrocarbon", 0.25, False),
        "tensile", True,
    ),
    "local fire, plug out of it, no radiation inside": (
        _vessel() + _plug(16, "Bi58Sn42") + RELIEF + _fire("standard", 0.4, False),
        "tensile", False,
    ),
    "local fire, plug in the flames": (
        _vessel() + _plug(12, "Bi58Sn42") + _fire("hydrocarbon", 0.25), "annex-a", True
    ),
    "creep under a relief valve in a long moderate fire": (
        _vessel(wall=7) + RELIEF
        + _fire("temperature", flames=False, minutes=120).replace(
            'curve = "temperature"', 'curve = "temperature"\ntemperature = "610 degC"'
        ),
        "tensile", True,
    ),
    "water that boils away after the vent": (
        _vessel(wall=12) + WATER.format(2) + _plug(30) + _fire("standard"), "tensile", True
    ),
    "water that holds the pressure up until the vessel ruptures": (
        _vessel() + WATER.format(40) + _plug(12) + _fire("hydrocarbon"), "tensile", True
    ),
    "water below a relief valve, no plug": (
        _vessel() + WATER.format(10) + RELIEF + _fire("external", flames=False), "yield", True
    ),
    "water and a local fire, radiation inside": (
        _vessel() + WATER.format(20) + _plug(16, "Bi58Sn42") + RELIEF
        + _fire("hydrocarbon", 0.25, False),
        "tensile", True,
    ),
    "two vessels with a line, water in the one without a plug": (
        _vessel() + _plug(20) + _vessel("R2", 500, 1000) + WATER.format(10) + LINE
        + _fire("hydrocarbon", reaches='"R1", "R2"', minutes=5),
        "tensile", True,
    ),
    "two vessels with a line, one in the fire": (
        _vessel() + _vessel("R2", 500, 1000) + _plug(14) + LINE + _fire("hydrocarbon"),
        "tensile", True,
    ),
}  # fmt: skip


@cache
def _both(name: str) -> tuple[Any, dict[str, Any], plain_fire.PlainRun]:
    text, basis, radiation = CASES[name]
    installation = installation_of(HEAD.format(basis=basis) + text)
    fire = installation.fires[0]
    (case,) = cases_of(installation, fire, basis=basis, inner_radiation=radiation)
    plain = plain_case(installation, fire, case, basis, radiation)
    return run(case), plain, plain_fire.run(plain)


def differences(ours: Any, plain: plain_fire.PlainRun) -> list[str]:
    """In words, where the two runs lie further apart than allowed."""
    found = []
    names = ours.case.names
    for vessel, use in plain.peak_use.items():
        mine = float(ours.peak_use[names.index(vessel)])
        if abs(mine - use) > 0.003 * use:
            found.append(f"{vessel}: strength use {mine:.5f} against {use:.5f}")
        mine = float(ours.creep_damage[names.index(vessel)])
        damage = plain.final[vessel]["damage"]
        if abs(mine - damage) > 0.02 * damage + 1e-4:
            found.append(f"{vessel}: creep damage {mine:.5f} against {damage:.5f}")
    kinds = ("plug opens", "relief valve lifts", "rupture", "empty", "disc bursts")
    first: dict[tuple[str, str], float] = {}
    for event in ours.events:
        if event.event in kinds:
            first.setdefault((event.event, event.part), event.time)
    other = {(e, p): t for t, e, p in reversed(plain.events) if e in kinds}
    if set(first) != set(other):
        found.append(f"events {sorted(first)} against {sorted(other)}")
    for key in first.keys() & other.keys():
        if abs(first[key] - other[key]) > max(0.005 * other[key], 0.2):
            found.append(f"{key}: {first[key]:.2f} s against {other[key]:.2f} s")
    return found


SLOW = {"two vessels with a line, water in the one without a plug"}  # two minutes, by hand


@pytest.mark.parametrize(
    "name", [pytest.param(n, marks=pytest.mark.long) if n in SLOW else n for n in CASES]
)
def test_agrees_with_the_plain_solver(name):
    ours, _, plain = _both(name)
    assert ours.converged
    assert plain.outcome != "not converged", plain.message
    assert differences(ours, plain) == []


# what must show when one side only is changed: (change of the plain case, case that shows it)
def _less_emissive(case: dict[str, Any]) -> None:
    case["fire"]["emissivity"] *= 0.9


def _twice_the_contact(case: dict[str, Any]) -> None:
    for plug in case["plugs"]:
        plug["contact"] *= 2.0


def _no_latent_heat(case: dict[str, Any]) -> None:
    for plug in case["plugs"]:
        plug["latent_heat"] = 0.0


def _less_wetted(case: dict[str, Any]) -> None:
    case["vessels"][0]["wetted"] *= 0.9


@pytest.mark.parametrize(
    ("change", "name"),
    [
        (_less_emissive, "vessel engulfed, plug with own body"),
        (_twice_the_contact, "vessel engulfed, plug with own body"),
        (_no_latent_heat, "vessel engulfed, plug with own body"),
        (_less_wetted, "water that holds the pressure up until the vessel ruptures"),
    ],
)
def test_a_wrong_input_on_one_side_makes_the_comparison_fail(change, name):
    """Property: the comparison is sharp enough to see these four."""
    ours, plain_dict, _ = _both(name)
    changed = copy.deepcopy(plain_dict)
    change(changed)
    assert differences(ours, plain_fire.run(changed)) != []
