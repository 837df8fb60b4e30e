"""A plant without any finding, and what a rule says about a changed one."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from airrisk.installation.fields import OUTDOORS
from airrisk.installation.model import (
    Compressor,
    Installation,
    Site,
    Valve,
)
from airrisk.study.compressors import compressor_records
from airrisk.study.placement import audit
from airrisk.study.records import EventRecord, Finding, FireRecord, Margins
from airrisk.study.rules import RuleContext
from airrisk.study.upkeep import upkeep_rows
from airrisk.study.verdicts import verdict_records
from airrisk.verdict.rule import Reason
from airrisk.wording.findings import finding_cure, finding_text
from airrisk.wording.units import Units
from tests.study.networks import compressor, line, plug, relief, vessel

ON = dt.date(2026, 11, 1)
KELVIN = 273.15
TYPED = frozenset(
    {
        "heads", "head_thickness", "weld_factor", "measured", "temperature", "condition",
        "discharge_coefficient", "place", "in_fire", "lubrication", "efficiency",
    }
)  # fmt: skip


def sound_plug(name: str = "P1", on: str = "R1", **other: Any):
    """A plug in good order, given every value that matters."""
    values = {
        "alloy": "Bi58Sn42",
        "condition": "clean",
        "fitted": dt.date(2026, 5, 1),
        "outlet_place": OUTDOORS,
        "given": TYPED,
    }
    return plug(name, on, **(values | other))


def sound(**other: Any) -> Installation:
    """C1 - L1 - R1, plug and relief valve on the receiver, nothing that can be shut."""
    values: dict[str, Any] = {
        "compressors": (
            compressor(
                in_fire="stops", lubrication="oil-free", discharge_temperature=353.15, given=TYPED
            ),
        ),
        "vessels": (
            vessel(
                "R1",
                measured=True,
                given=TYPED,
                maker="Works",
                year_made=2020,
                test_pressure=30e5,
            ),
        ),
        "lines": (line("L1", "C1", "R1", measured=True, given=TYPED),),
        "plugs": (sound_plug(renew_every=9),),  # behind a machine without a dryer
        "relief_valves": (
            relief("S1", "R1", outlet_place=OUTDOORS, given=TYPED, maker="Works", year_made=2020),
        ),
    }
    return Installation(**(values | other))


MEMBERS = ("C1", "L1", "R1")


def fire_record(**other: Any) -> FireRecord:
    """A fire that ends well."""
    values: dict[str, Any] = {
        "id": "F1",
        "section": "C1+L1+R1",
        "closed_valves": (),
        "fire_class": "stated",
        "outcome": "vents in time",
        "reason": Reason("vented within the limit", "R1", ("P1",), ("P1",)),
        "kept_by": "heat",
        "safe": True,
        "sure": True,
        "events": (EventRecord(300.0, "plug opens", "P1"), EventRecord(500.0, "empty", "R1")),
        "peak_pressure_pa": 1.4e6,
        "peak_strength_use": 0.4,
        "rupture_nothing_opens_s": 700.0,
        "smallest_bore_m": {"P1": 0.007},
        "by_basis": {"tensile": "vents in time", "yield": "vents in time"},
        "inner_radiation": "on",
        "balance": None,
        "curves": None,
        "members": MEMBERS,
        "exposed": ("R1",),
        "margins": Margins(400.0, 0.267, 0.667, {"P1": 420.0}, "R1"),
        "first_vent_s": 300.0,
        "runs": 24,
    }
    return FireRecord(**(values | other))


@functools.cache
def machines(compressors: tuple[Compressor, ...], site: Site) -> Any:
    """Compressor records; the same few machines come again and again."""
    return compressor_records(Installation(compressors=compressors, site=site))


def context(plant: Installation, fires: Sequence[FireRecord] = (), **other: Any) -> RuleContext:
    compressors, failures = machines(plant.compressors, plant.site)
    values: dict[str, Any] = {
        "parts": {},
        "compressors": compressors,
        "upkeep": upkeep_rows(plant, ON),
        "failures": failures,
        "verdicts": verdict_records(fires, (), plant.choices.strength_basis),
    }
    return RuleContext(plant, ON, fires=tuple(fires), **(values | other))


def found(rule: str, plant: Installation, *args: Any, **other: Any) -> list[Finding]:
    """Findings of one rule; every text is filled in, so that a missing value shows."""
    findings = [f for f in audit(context(plant, *args, **other)) if f.rule == rule]
    for one in findings:
        assert "{" not in finding_text(one, Units()) + finding_cure(one, Units())
    return findings


def severities(rule: str, plant: Installation, *args: Any, **other: Any) -> list[str]:
    return [f.severity for f in found(rule, plant, *args, **other)]


def with_valve(**valve: Any) -> Installation:
    """The sound plant with a second receiver behind a valve."""
    plant = sound()
    return replace(
        plant,
        vessels=(*plant.vessels, vessel("R2", measured=True, given=TYPED)),
        lines=(*plant.lines, line("L2", "R1", "R2", measured=True, given=TYPED)),
        valves=(Valve(id="V1", on="L2", end="to", **valve),),
    )
