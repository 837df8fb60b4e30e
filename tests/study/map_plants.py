"""Invented plants on a plan, and what the full answer says of a pool that burns at one place."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

from airrisk.installation.model import Installation, Valve
from airrisk.study.exposures import exposures
from airrisk.study.fire_map_records import (
    BETWEEN,
    BY_FOUR,
    LIMIT,
    NOT_ASSESSED,
    NOT_SURE,
    RUPTURES,
    SURVIVED,
    FireMap,
)
from airrisk.study.fire_outcomes import fire_record
from airrisk.study.records import FireRecord
from tests.fire.systems import installation, line, plug, vessel

DAY = dt.date(2026, 11, 1)
OF_OUTCOME = {"not converged": NOT_ASSESSED, "passes the limit": LIMIT, "ruptures": RUPTURES}


def lone_vessel(**changes: object) -> Installation:
    """A receiver without any device that opens."""
    return installation(vessel(at=(0.0, 0.0), orientation="vertical", **changes))


def two_vessels() -> Installation:
    """A receiver with a plug, a line with a valve, and a small vessel that lies behind it."""
    return installation(
        vessel(at=(0.0, 0.0), orientation="vertical"),
        vessel(
            "R2", at=(9.0, 4.0), orientation="horizontal", volume=0.5, inside_diameter=0.6,
            cylinder_length=1.5, wall_thickness=0.007,
        ),
        line("L1", "R1", "R2"),
        Valve(id="V1", on="L1", end="from", kind="isolating", state="open"),
        plug(bore=0.020, alloy="Bi58Sn42"),
    )  # fmt: skip


def full_answer_at(
    whole: Installation, seen: FireMap, row: int, column: int
) -> tuple[int, list[FireRecord]]:
    """Class of the worst section in all runs while the pool of a map stands at one position."""
    where = (float(seen.x_m[column]), float(seen.y_m[row]))
    source = replace(seen.source, id="Tank", at=where)
    there = replace(whole, fires=(), fire_sources=(source,))
    found = [fire_record(there, one, DAY, bores=False) for one in exposures(there) if one.patches]
    return max((_class_of(one) for one in found), default=SURVIVED), found


def _class_of(record: FireRecord) -> int:
    if not record.safe:
        return OF_OUTCOME.get(record.worst_outcome, NOT_ASSESSED)
    return SURVIVED if record.sure else NOT_SURE


def contradiction(
    seen: FireMap, row: int, column: int, full: int, records: list[FireRecord]
) -> str:
    """What a map says of a position against the full answer there; empty: they agree."""
    shown = int(seen.outcome[row, column])
    grounds = int(seen.grounds[row, column])
    place = f"{seen.x_m[column]:.2f}, {seen.y_m[row]:.2f}"
    told = f"{place}: map {shown} by {grounds}, full answer {full}"
    if shown == SURVIVED and full != SURVIVED:
        return told
    if shown > NOT_SURE >= full and grounds != BETWEEN:
        return told
    if full > NOT_SURE >= shown and grounds not in (BY_FOUR, BETWEEN):
        return told
    if shown == full == RUPTURES and grounds == BY_FOUR:
        shown_s = float(seen.rupture_s[row, column])
        first = min(
            one.envelope.rupture_s or math.inf for one in records if one.envelope is not None
        )
        # the worst of more runs is never later; nor is it another fire
        if not 0.5 * shown_s <= first <= 1.02 * shown_s:
            return f"{told}: after {shown_s} s, full answer {first} s"
    return ""
