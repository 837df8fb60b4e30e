"""The map of where a fire is survived as data for other programs: JSON and CSV, always SI."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airrisk import __version__
from airrisk.report.clear_data import clear_dict, degrees_of, sides_dict
from airrisk.study.fire_map_records import CLASSES, DOUBTFUL, GROUNDS, FireMap
from airrisk.study.keep_clear_table import ClearRow
from airrisk.study.plug_sides import SidesOfVessel
from airrisk.study.records import FORMAT
from airrisk.study.upkeep import safe_cell

COLUMNS = (
    "x_m", "y_m", "outcome", "section", "rupture_s", "first_vent_s", "peak_strength_use",
    "grounds", "doubtful",
)  # fmt: skip


def fire_map_dict(seen: FireMap) -> dict[str, Any]:
    """A map with the keys of the JSON answer; rows follow ``y_m``, null for what is absent."""
    source = seen.source
    return {
        "source": source.id or None,
        "fuel": source.fuel,
        "kind": source.kind,
        "diameter_m": seen.diameter_m,
        "volume_m3": source.volume,
        "flame_height_m": seen.flame_height_m,
        "direction_deg": degrees_of(source.direction),
        "stage": seen.stage,
        "pitch_m": seen.pitch_m,
        "runs": seen.runs,
        "not_placed": list(seen.not_placed),
        "hot_room": seen.hot_room or None,
        "sections": [
            {
                "id": one.id, "vessels": list(one.vessels), "lines": list(one.lines),
                "plugs": list(one.plugs), "struck_within_m": one.struck_within_m,
                "runs_within_m": one.runs_within_m, "failed": one.failed or None,
            }
            for one in seen.sections
        ],
        "x_m": _numbers(seen.x_m),
        "y_m": _numbers(seen.y_m),
        "outcome": [[CLASSES[k] for k in row] for row in seen.outcome.tolist()],
        "grounds": [[GROUNDS[k] for k in row] for row in seen.grounds.tolist()],
        "doubtful": [[DOUBTFUL[k] or None for k in row] for row in seen.doubtful.tolist()],
        "section": [[k if k >= 0 else None for k in row] for row in seen.section.tolist()],
        "peak_strength_use": [_numbers(row) for row in seen.peak_strength_use],
        "load_of_allowed": [_numbers(row) for row in seen.load],
        "rupture_s": [_numbers(row) for row in seen.rupture_s],
        "first_vent_s": [_numbers(row) for row in seen.vent_s],
    }  # fmt: skip


def fire_map_json(
    seen: FireMap,
    title: str,
    digest: str,
    sides: Sequence[SidesOfVessel] = (),
    clear: Sequence[ClearRow] = (),
) -> str:
    """A map as a JSON document, ending in a line end.

    Parameters
    ----------
    seen
        The map.
    title, digest
        Of the system file: its title and the hash of its bytes.
    sides, clear
        Which side a plug should face and how far pools must stay; left out where not asked.
    """
    document = {
        "format": FORMAT,
        "program": {"name": "airrisk", "version": __version__},
        "title": title,
        "inputs_sha256": digest,
        "fire_map": fire_map_dict(seen),
    }
    if sides:
        document["plug_sides"] = sides_dict(sides)
    if clear:
        document["keep_clear"] = clear_dict(clear)
    lines = [
        f"{json.dumps(key)}: {json.dumps(value, ensure_ascii=False, allow_nan=False)}"
        for key, value in document.items()
    ]
    return "{\n" + ",\n".join(lines) + "\n}\n"


def fire_map_csv(seen: FireMap) -> str:
    """A row for each position, lines end in CR LF."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row, y in enumerate(seen.y_m.tolist()):
        for column, x in enumerate(seen.x_m.tolist()):
            place = (row, column)
            number = int(seen.section[place])
            writer.writerow(
                [
                    f"{x:.3f}", f"{y:.3f}", CLASSES[int(seen.outcome[place])],
                    safe_cell(seen.sections[number].id) if number >= 0 else "",
                    _cell(seen.rupture_s[place]), _cell(seen.vent_s[place]),
                    _cell(seen.peak_strength_use[place]), GROUNDS[int(seen.grounds[place])],
                    DOUBTFUL[int(seen.doubtful[place])],
                ]
            )  # fmt: skip
    return out.getvalue()


def _numbers(values: NDArray[np.float64]) -> list[float | None]:
    return [float(f"{one:.6g}") if math.isfinite(one) else None for one in values.tolist()]


def _cell(value: float) -> str:
    return f"{value:.6g}" if math.isfinite(value) else ""
