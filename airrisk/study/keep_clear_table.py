"""From which distance pools of some sizes are survived, by direction, with the plugs and without.

A pool is moved away from a vessel in each of eight directions and heats it behind the walls of the
file; less heat is taken to be no worse where no plug acts, and tried at some distances where one
does. Its plugs get their heat from its wall only: a distance that hangs on flames which meet a plug
would be lost to wind or to a smaller fire. At each distance found, the worst runs are made again
with all of its section in the heat; where one is not safe, the distance grows until they are.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import Installation, Vessel
from airrisk.messages import told_of
from airrisk.study.fire_map_grid import pool_to_move
from airrisk.study.fire_runs import Corner
from airrisk.study.keep_clear import FARTHEST, STEP
from airrisk.study.pool_beside_vessel import Plant, PoolBesideVessel
from airrisk.study.side_by_side import side_by_side

DIAMETERS = (0.5, 1.0, 2.0, 4.0)  # m
# rad from the plan's x axis: y (north) first, then clockwise
DIRECTIONS = tuple(math.radians(90.0 - 45.0 * k) for k in range(8))
MOST_STEPS = round(FARTHEST / STEP)
NEVER = MOST_STEPS + 1
Distances = tuple[float | None, ...]
Holds = Callable[[int], bool]


@dataclass(frozen=True)
class ClearRow:
    """One vessel and one fuel: by the diameter of the pool the least distances, m, edge to shell.

    In each of ``DIRECTIONS``; 0: survived beside the pool, not over it; None: not even at
    ``FARTHEST``.
    """

    vessel: str
    fuel: str
    with_plugs_m: Mapping[float, Distances]
    without_plugs_m: Mapping[float, Distances]
    has_plugs: bool  # that its air can reach
    failed: str = ""  # why nothing is known; empty: it is
    # diameter, number of the direction and whether with plugs, where another part of its section
    # needs more than the vessel
    others_decide: frozenset[tuple[float, int, bool]] = frozenset()
    runs: int = 0


@dataclass
class _Found:
    """What is found of one vessel and fuel, by diameter."""

    without: dict[float, Distances] = field(default_factory=dict)
    fitted: dict[float, Distances] = field(default_factory=dict)
    others: set[tuple[float, int, bool]] = field(default_factory=set)
    runs: int = 0


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
        Of the pools [m].
    progress
        Called with the share done and the vessel.
    should_stop
        Asked at least every 50 ms.

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    """
    fitted = Plant.of(installation, on, should_stop)
    bare = Plant.of(replace(installation, plugs=()), on, should_stop)
    wanted = [(one, fuel) for one in installation.vessels if one.at is not None for fuel in fuels]
    done = 0

    def row(asked: tuple[Vessel, str]) -> ClearRow:
        nonlocal done
        vessel, fuel = asked
        has_plugs = False
        try:
            plugs = PoolBesideVessel(fitted, vessel, pool_to_move(fuel, 1.0)).section.plugs
            has_plugs = bool(plugs)
            found = _distances(fitted if has_plugs else None, bare, vessel, fuel, diameters)
            answer = ClearRow(
                vessel.id, fuel, found.fitted, found.without, has_plugs, "",
                frozenset(found.others), found.runs,
            )  # fmt: skip
        except Cancelled:
            raise
        except Exception as error:  # told in its place, never a distance
            answer = ClearRow(
                vessel.id, fuel, {}, {}, has_plugs, told_of(error) or type(error).__name__
            )
        done += 1
        if progress is not None:
            progress(done / len(wanted), vessel.id)
        return answer

    return tuple(side_by_side(row, wanted))


def _distances(
    fitted: Plant | None, bare: Plant, vessel: Vessel, fuel: str, diameters: Sequence[float]
) -> _Found:
    """Of one vessel; ``fitted`` is None where no plug is."""
    found = _Found()
    known: dict[bool, list[int]] = {one: [NEVER] * len(DIRECTIONS) for one in (False, True)}
    hard: dict[bool, list[Corner]] = {False: [], True: []}
    for diameter in sorted(diameters, reverse=True):
        source = pool_to_move(fuel, diameter)
        for plugs, plant in ((False, bare), (True, fitted)):
            if plant is None:
                found.fitted[diameter] = found.without[diameter]
                continue
            beside = PoolBesideVessel(plant, vessel, source, by_wall=True, hard=hard[plugs])
            most = known[plugs]  # what a larger pool needs, and with plugs what none need
            if plugs:
                most = [
                    min(one, bare_one) for one, bare_one in zip(most, known[False], strict=True)
                ]
            steps: list[int] = []
            for angle, far, bare_far in zip(DIRECTIONS, most, known[False], strict=True):
                holds = _holding(beside, angle)
                least = _least(holds, far, max(steps, default=None))
                steps.append(_lasting(holds, least, bare_far) if plugs else least)
            known[plugs] = steps
            grown = [_with_others(beside, *one) for one in zip(DIRECTIONS, steps, strict=True)]
            found.others |= {(diameter, k, plugs) for k, own in enumerate(steps) if grown[k] > own}
            told = found.fitted if plugs else found.without
            told[diameter] = tuple(map(_metres, grown))
            found.runs += beside.runs
    return found


def reach_without_plugs(beside: PoolBesideVessel) -> float:
    """How far from the middle of a vessel a pool may stand and be dangerous to it, m.

    The farthest of all directions; ``beside`` counts no plugs.
    """
    steps: list[int] = []
    for angle in DIRECTIONS:
        steps.append(_least(_holding(beside, angle), NEVER, max(steps, default=None)))
    at = beside.vessel.at or (0.0, 0.0)
    return max(
        math.dist(beside.place(angle, min(own, MOST_STEPS) * STEP), at)
        for angle, own in zip(DIRECTIONS, steps, strict=True)
    )


def _holding(beside: PoolBesideVessel, angle: float) -> Holds:
    """Whether the vessel is safe with the pool so many steps away in a direction."""
    return lambda steps: beside.safe(beside.place(angle, steps * STEP))


def _with_others(beside: PoolBesideVessel, angle: float, steps: int) -> int:
    """The distance from which the rest of its section holds too, as far as was asked outwards."""

    def holds(asked: int) -> bool:
        return beside.others_hold(beside.place(angle, asked * STEP))

    fails, tried, more = -1, steps, 1
    while tried < NEVER and not holds(tried):
        fails, tried, more = tried, tried + more, 2 * more
    return NEVER if tried >= NEVER else tried if fails < 0 else _halved(holds, fails, tried)


def _metres(steps: int) -> float | None:
    return None if steps >= NEVER else steps * STEP


def _least(holds: Holds, known: int, guess: int | None = None) -> int:
    """The least step that holds, where ``known`` and all beyond it do (``NEVER``: nobody knows).

    A ``guess`` that is right saves the search.
    """
    if holds(0):
        return 0
    fails = 0
    if guess is not None and 0 < guess < known:
        if holds(guess):
            known = guess
            if guess > 1 and not holds(guess - 1):
                return guess
        else:
            fails = guess
    if known >= NEVER:
        known = min(max(4, 2 * fails), MOST_STEPS)
        while not holds(known):
            fails = known
            if known >= MOST_STEPS:
                return NEVER
            known = min(2 * known, MOST_STEPS)
    return _halved(holds, fails, known)


def _lasting(holds: Holds, least: int, bare: int) -> int:
    """The step from which all hold that are asked on the way to where no plug is needed.

    A plug that much heat opens may stay shut in less of it, which still weakens the wall.
    """
    end = bare if bare < NEVER else min(4 * least + 8, MOST_STEPS)
    while True:
        asked = {least + (end - least) * k // 5 for k in (1, 2, 3, 4)} - {least}
        fails = [step for step in asked if not holds(step)]
        if not fails:
            return least
        if not holds(end):
            return NEVER
        least = _halved(holds, max(fails), end)


def _halved(holds: Holds, fails: int, known: int) -> int:
    while known - fails > 1:
        middle = (known + fails) // 2
        fails, known = (fails, middle) if holds(middle) else (middle, known)
    return known
