"""Distances that pools must keep and the sides of plugs as data: CSV and JSON."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from typing import Any

from airrisk.study.keep_clear_table import DIRECTIONS, ClearRow
from airrisk.study.plug_sides import SidesOfVessel
from airrisk.study.upkeep import safe_cell

SIDE_COLUMNS = (
    "vessel", "fuel", "diameter_m", "like", "place", "faces_deg", "end", "places", "dangerous",
    "reached", "answered", "anywhere",
)  # fmt: skip


def degrees_of(angle: float | None) -> float | None:
    """A direction on the plan from its x axis towards y, as a file has it."""
    return None if angle is None else float(f"{math.degrees(angle):.6g}")


def sides_dict(found: Sequence[SidesOfVessel]) -> list[dict[str, Any]]:
    """What the places of a plug answer, with the keys of the JSON answer."""
    return [
        {
            "vessel": one.vessel, "fuel": one.fuel, "diameter_m": one.diameter_m,
            "like": one.like or None, "places": one.places, "dangerous": one.dangerous,
            "pitch_m": one.pitch_m, "anywhere": one.anywhere, "runs": one.runs,
            "failed": one.failed or None,
            "sides": [
                {
                    "place": side.place, "faces_deg": degrees_of(side.faces), "end": side.end,
                    "reached": side.reached, "answered": side.answered,
                    "missed_from_deg": [degrees_of(DIRECTIONS[k]) for k in side.blind],
                }
                for side in one.sides
            ],
            "pair": None if one.pair is None else {
                "sides": list(one.pair[:2]), "answered": one.pair[2],
            },
        }
        for one in found
    ]  # fmt: skip


def clear_dict(rows: Sequence[ClearRow]) -> list[dict[str, Any]]:
    """The distances by direction, with the keys of the JSON answer."""
    return [
        {
            "vessel": row.vessel, "fuel": row.fuel, "has_plugs": row.has_plugs,
            "runs": row.runs, "failed": row.failed or None,
            "directions_deg": [degrees_of(one) for one in DIRECTIONS],
            "sizes": [
                {
                    "diameter_m": size,
                    "with_plugs_m": list(row.with_plugs_m[size]),
                    "without_plugs_m": list(row.without_plugs_m[size]),
                    "others_decide_with_plugs": _others(row, size, True),
                    "others_decide_without_plugs": _others(row, size, False),
                }
                for size in sorted(row.without_plugs_m)
            ],
        }
        for row in rows
    ]  # fmt: skip


def _others(row: ClearRow, size: float, plugs: bool) -> list[bool]:
    return [(size, k, plugs) in row.others_decide for k in range(len(DIRECTIONS))]


def sides_csv(found: Sequence[SidesOfVessel]) -> str:
    """A row for each vessel and place of a plug, lines end in CR LF."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(SIDE_COLUMNS)
    for one in found:
        for side in one.sides:
            faces = degrees_of(side.faces)
            writer.writerow(
                [
                    safe_cell(one.vessel), one.fuel or "", f"{one.diameter_m:g}",
                    safe_cell(one.like), side.place, "" if faces is None else f"{faces:g}",
                    "yes" if side.end else "no", one.places, one.dangerous, side.reached,
                    side.answered, one.anywhere,
                ]
            )  # fmt: skip
    return out.getvalue()
