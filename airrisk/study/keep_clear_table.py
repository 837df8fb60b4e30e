"""From which distance pools of some sizes are survived, with the plugs of a vessel and without.

Each vessel is heated alone, in still air and without the walls of the file, from the side on which
it shows most of itself. A larger pool is never survived from nearer than a smaller one, nor a
vessel without plugs from nearer than with them: what is known of the one bounds the other.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import FireSource, Installation, Vessel
from airrisk.installation.sections import Section, section_of, shut_in
from airrisk.study.envelope import corners, envelope, run_corners
from airrisk.study.exposures import Exposure
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.fire_map_reach import Harmless, PoolHeat
from airrisk.study.fire_runs import Corner, FireStudy
from airrisk.study.keep_clear import FARTHEST, STEP
from airrisk.study.outlines import touching
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import FireSlice, Slicer
from airrisk.study.standing_fires import source_fire
from airrisk.verdict.rule import is_safe

DIAMETERS = (0.5, 1.0, 2.0, 4.0)  # m
NO_PLUGS = "left out"
MOST_STEPS = round(FARTHEST / STEP)
NEVER = MOST_STEPS + 1


@dataclass(frozen=True)
class ClearRow:
    """One vessel and one fuel: by the diameter of the pool the least distance, m, edge to shell.

    0: survived beside the pool, not over it; None: not even at ``FARTHEST``.
    """

    vessel: str
    fuel: str
    with_plugs_m: Mapping[float, float | None]
    without_plugs_m: Mapping[float, float | None]
    has_plugs: bool  # that its air can reach
    failed: str = ""  # why nothing is known; empty: it is


@dataclass(frozen=True)
class _Asking:
    """What the distances of one vessel are asked with."""

    installation: Installation
    slicer: Slicer
    section: Section
    vessel: Vessel
    should_stop: Callable[[], bool] | None
    hard: list[Corner]  # runs that were unsafe before, asked first


def keep_clear_table(
    installation: Installation,
    fuels: Sequence[str],
    on: dt.date,
    *,
    diameters: Sequence[float] = DIAMETERS,
    progress: Callable[[float, str], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> tuple[ClearRow, ...]:
    """Rows for every vessel with a place and every fuel.

    Parameters
    ----------
    installation
        With the places of its vessels.
    fuels
        Keys of the table of fuels.
    on
        Date that decides which devices are credited.
    diameters
        Of the pools [m], rising.
    progress
        Called with the share done and the vessel.
    should_stop
        Asked at least every 50 ms.

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    """
    bare = replace(installation, walls=())
    slicer = Slicer(bare, on)
    sections = shut_in(bare)
    wanted = [(one, fuel) for one in bare.vessels if one.at is not None for fuel in fuels]
    done = 0

    def row(asked: tuple[Vessel, str]) -> ClearRow:
        nonlocal done
        vessel, fuel = asked
        section = section_of(sections, vessel.id)
        asking = _Asking(bare, slicer, section, vessel, should_stop, [])
        try:
            found = _row(asking, fuel, diameters)
        except Cancelled:
            raise
        except Exception as error:  # told in its place, never a distance
            found = ClearRow(vessel.id, fuel, {}, {}, bool(section.plugs), str(error))
        done += 1
        if progress is not None:
            progress(done / len(wanted), vessel.id)
        return found

    return tuple(side_by_side(row, wanted))


def _row(asking: _Asking, fuel: str, diameters: Sequence[float]) -> ClearRow:
    has_plugs = bool(asking.section.plugs)
    without: dict[float, float | None] = {}
    fitted: dict[float, float | None] = {}
    most_without = most_with = NEVER
    for diameter in sorted(diameters, reverse=True):
        source = pool_to_move(fuel, diameter)
        most_without = _least(_holding(asking, source, plugs=False), most_without)
        if has_plugs:
            most_with = _least(_holding(asking, source, plugs=True), min(most_with, most_without))
        else:
            most_with = most_without
        without[diameter], fitted[diameter] = _metres(most_without), _metres(most_with)
    return ClearRow(asking.vessel.id, fuel, fitted, without, has_plugs)


def _metres(steps: int) -> float | None:
    return None if steps >= NEVER else steps * STEP


def _least(holds: Callable[[int], bool], known: int) -> int:
    """The least step that holds, where ``known`` and all beyond it do (``NEVER``: nobody knows)."""
    if holds(0):
        return 0
    fails = 0
    if known >= NEVER:
        known = 4
        while not holds(known):
            fails = known
            if known >= MOST_STEPS:
                return NEVER
            known = min(2 * known, MOST_STEPS)
    while known - fails > 1:
        middle = (known + fails) // 2
        fails, known = (fails, middle) if holds(middle) else (middle, known)
    return known


def _holding(asking: _Asking, source: FireSource, *, plugs: bool) -> Callable[[int], bool]:
    """Whether a vessel is safe with a pool so many steps from its shell."""
    vessel, section = asking.vessel, asking.section
    at = vessel.at or (0.0, 0.0)
    turn = (vessel.direction or 0.0) + 0.5 * math.pi  # broadside of a lying one
    way = (math.cos(turn), math.sin(turn))
    alone = replace(asking.installation, vessels=(vessel,), lines=())
    radius = 0.5 * (source.diameter or 0.0)
    together = touching(vessel, (at[0] + way[0], at[1] + way[1]), radius)
    heat = PoolHeat.of(alone, source)
    harmless: list[float] = []

    def study_at(steps: int) -> FireStudy | None:
        away = together + steps * STEP
        moved = replace(source, id="pool", at=(at[0] + away * way[0], at[1] + away * way[1]))
        burning = source_fire(alone, moved)
        if vessel.id not in burning.struck:
            return None
        share = burning.fire.share(vessel.id)
        only = replace(
            burning.fire,
            reaches=(vessel.id,), exposed_share=((vessel.id, share),), plugs_in_fire=(),
        )  # fmt: skip
        patches = ((vessel.id, burning.struck[vessel.id]),)
        cut = asking.slicer.fire(Exposure(only, section, "stated", patches))
        return FireStudy(cut if plugs else _without_plugs(cut), asking.should_stop)

    def holds(steps: int) -> bool:
        study = study_at(steps)
        if study is None:
            return True
        if not harmless:
            flux = Harmless(study).flux
            harmless.append(heat.distance_of(flux) if flux > 0.0 else math.inf)
        if radius + steps * STEP >= harmless[0]:
            return True
        own = set(corners(study))
        for corner in tuple(asking.hard):
            if corner in own and not is_safe(run_corners(study, [corner])[corner].outcome):
                return False
        whole = envelope(study)
        if not whole.safe and whole.isothermal is None and whole.corner not in asking.hard:
            asking.hard.append(whole.corner)
        return whole.safe

    return holds


def _without_plugs(cut: FireSlice) -> FireSlice:
    """The same with every plug as if it were none."""
    plugs = {plug.id for plug in cut.installation.plugs}
    credits = tuple(
        replace(one, uncredited=NO_PLUGS, dead=True) if one.device in plugs else one
        for one in cut.credits
    )
    return replace(cut, credits=credits)
