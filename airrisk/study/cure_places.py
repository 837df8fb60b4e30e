"""Changes of the place worth trying: fires moved or kept away, and walls before them.

They are promises that somebody goes on keeping; no part of the installation does it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from airrisk.installation.model import FireClass, FireSource, Point, Vessel
from airrisk.study.cure_changes import Change, Edit
from airrisk.study.cure_trials import Bench
from airrisk.study.source_flames import LEANS
from airrisk.study.standing_fires import SourceRecord

BESIDE: tuple[FireClass, ...] = ("beside", "spot")  # fires whose flux the file assumes
FARTHER = 0.05  # m, more than the distance found, so that rounding takes nothing of it
CALMER = (0.8, 0.6, 0.4)  # of the flux of an assumed fire beside a vessel
NARROWEST = 0.4  # m between a fire and a shell, for a wall to stand there; judgement
OVERLAP = 1.0  # m that a wall stands out on each side and above the flame; judgement
TALLEST = 6.0  # m, of a wall inside a hall; judgement
RATINGS_S = (1800.0, 3600.0, 5400.0, 7200.0)  # 30 to 120 min, as walls are rated; EN 13501-2


def changes_of_place(bench: Bench, costs: Mapping[str, float]) -> Iterator[Change]:
    """Sources moved away, walls before them, and what may burn anywhere kept away.

    Parameters
    ----------
    bench
        Where they are tried.
    costs
        By kind, see ``costs``.
    """
    for source, record, vessel in _standing(bench):
        at = _clear_place(source, record, vessel)
        if at is not None:
            place, gap = at
            edits = (Edit(source.id, "at", place),)
            values = {"on": vessel.id, "gap_m": gap}
            yield Change("away", source.id, edits, values=values, cost=costs["away"])
        wall = _wall_between(source, record, vessel)
        if wall is not None:
            added, values = wall
            yield Change(
                "wall", source.id, added=added, values=values, cost=costs["wall"], table="wall"
            )
    yield from _kept_away(bench, costs["keep_away"])


def _standing(bench: Bench) -> Iterator[tuple[FireSource, SourceRecord, Vessel]]:
    """Sources with each vessel that is not safe in a stated fire, both with their places."""
    endangered = {
        name for cell in bench.cells if cell.fire_class == "stated" for name in cell.holders
    }
    for source in bench.installation.fire_sources:
        record = bench.before.fire_sources.get(source.id)
        if record is None:
            continue
        for vessel in bench.installation.vessels:
            if vessel.id in endangered and vessel.at is not None and vessel.id in record.gap_m:
                yield source, record, vessel


def _clear_place(
    source: FireSource, record: SourceRecord, vessel: Vessel
) -> tuple[Point, float] | None:
    """As far from a vessel as the runs have found it to need, and what the gap is then.

    And farther than its flame reaches when it leans over, which no run answers.
    """
    clear = record.keep_clear_m.get(vessel.id)
    if clear is None or vessel.at is None:
        return None
    clear = max(clear, LEANS * record.flame_height_m + FARTHER)
    at = _farther(vessel.at, source.at, clear - record.gap_m[vessel.id])
    return None if at is None else (at, clear)


def _wall_between(
    source: FireSource, record: SourceRecord, vessel: Vessel
) -> tuple[tuple[tuple[str, object], ...], dict[str, object]] | None:
    """A straight wall in the middle between a fire and a shell, wider and taller than the flame.

    A flame that is hidden in part counts as if no wall stood there, so that the trial tells
    whether it is wide and tall enough.
    """
    gap, rated = record.gap_m[vessel.id], _rating(record.burning_time_s)
    if vessel.at is None or record.diameter_m is None or rated is None or gap < NARROWEST:
        return None
    height = math.ceil(2.0 * (record.flame_height_m + OVERLAP)) / 2.0
    across, along = vessel.at[0] - source.at[0], vessel.at[1] - source.at[1]
    apart = math.hypot(across, along)
    if height > TALLEST or apart <= 0.0:
        return None
    x, y = across / apart, along / apart
    reach = 0.5 * record.diameter_m + 0.5 * gap
    middle = (source.at[0] + reach * x, source.at[1] + reach * y)
    half = max(0.5 * record.diameter_m, apart - reach) + OVERLAP
    ends = tuple(
        (round(middle[0] + side * half * y, 2), round(middle[1] - side * half * x, 2))
        for side in (-1.0, 1.0)
    )
    added = (
        ("points", ends),
        ("height", f"{height:g} m"),
        ("resists", f"{rated / 60.0:g} min"),
    )
    return added, {"on": vessel.id, "height_m": height, "resists_s": rated}


def _rating(lasts: float) -> float | None:
    return next((one for one in RATINGS_S if one >= lasts), None)


def _kept_away(bench: Bench, usual: float) -> Iterator[Change]:
    """Less flux of the assumed fires, step by step until it cures all that it can."""
    cells = {cell for cell in bench.cells if cell.fire_class in BESIDE}
    flux = bench.installation.choices.beside_flux
    for share in CALMER if cells else ():
        text = f"{share * flux / 1e3:.4g} kW/m2"
        change = Change(
            "keep_away", "choices", (Edit("choices", "beside_flux", text),),
            values={"flux_w_m2": share * flux, "from_w_m2": flux},
            cost=usual * CALMER[0] / share,
        )  # fmt: skip
        yield change
        trial = bench.trial([change])
        if trial is not None and cells <= trial.cured:
            return


def _farther(fixed: Point, moved: Point, by: float) -> Point | None:
    """A place farther from another one, m, away from it and rounded up; None: it need not move."""
    across, along = moved[0] - fixed[0], moved[1] - fixed[1]
    apart = math.hypot(across, along)
    if by <= 0.0 or apart < 1e-6:
        return None
    share = (apart + by + FARTHER) / apart
    return (round(fixed[0] + across * share, 2), round(fixed[1] + along * share, 2))
