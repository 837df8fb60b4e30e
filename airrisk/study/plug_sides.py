"""Which side of a vessel its plug should face, by the runs of a pool at places all around it.

The places stand in a square grid about the vessel, as wide as the pool is dangerous to it without a
plug. Of those that are, each place of a plug is asked how many it answers: the flames reach it by
the ordinary rules or the wall heats it, and every run is safe. The pool heats the vessel alone,
behind the walls of the file, and no other plug helps.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from airrisk.fire.stopping import Cancelled
from airrisk.installation.model import FireSource, Installation, Plug, PlugPlace, Point, Vessel
from airrisk.messages import told_of
from airrisk.study.keep_clear_table import DIRECTIONS, reach_without_plugs
from airrisk.study.pool_beside_vessel import Plant, PoolBesideVessel
from airrisk.study.side_by_side import side_by_side

ACROSS = 11  # places in a row of the grid, the middle one over the vessel
TRIAL = "plug-to-try"
QUARTER = 0.5 * math.pi


@dataclass(frozen=True)
class PlugSide:
    """One place of a plug, and what it answers.

    Attributes
    ----------
    place, faces
        As in the file; ``faces`` [rad] is None on top.
    end
        Whether it is an end of a lying vessel.
    reached
        Dangerous places from which the fire surely reaches it.
    answered
        Dangerous places at which every run is safe with it.
    blind
        Numbers of ``DIRECTIONS`` in which it answers no dangerous place but those that a plug
        answers wherever it stands.
    """

    place: PlugPlace
    faces: float | None
    end: bool
    reached: int
    answered: int
    blind: tuple[int, ...]


@dataclass(frozen=True)
class SidesOfVessel:
    """What each place of a plug answers on one vessel.

    Attributes
    ----------
    vessel, fuel, diameter_m
        What is heated by which pool or goods; ``fuel`` is None of goods.
    like
        The plug of the file that was tried, clean and in date; empty: there is none to try.
    places, dangerous
        Places asked, and those at which a run is not safe without a plug.
    pitch_m
        Between them.
    anywhere
        Dangerous places that a plug answers wherever it stands.
    sides
        The best first.
    pair
        Numbers of two of ``sides`` that answer most together, and how many; None: no two.
    runs
        How many were made.
    failed
        Why nothing is known; empty: it is.
    """

    vessel: str
    fuel: str | None
    diameter_m: float
    like: str = ""
    places: int = 0
    dangerous: int = 0
    pitch_m: float = 0.0
    anywhere: int = 0
    sides: tuple[PlugSide, ...] = ()
    pair: tuple[int, int, int] | None = None
    runs: int = 0
    failed: str = ""


def plug_sides(
    installation: Installation,
    source: FireSource,
    on: dt.date,
    *,
    across: int = ACROSS,
    progress: Callable[[float, str], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> tuple[SidesOfVessel, ...]:
    """Of every vessel with a place.

    Parameters
    ----------
    installation
        With the places of its vessels.
    source
        A pool or goods, whose place does not matter.
    on
        Date that decides which devices are credited; the tried plug is in date.
    across
        Places in a row of the grid, odd.
    progress
        Called with the share done and the vessel.
    should_stop
        Asked at least every 50 ms.

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    """
    bare = Plant.of(replace(installation, plugs=()), on, should_stop)
    wanted = [one for one in installation.vessels if one.at is not None]
    done = 0

    def ask(vessel: Vessel) -> SidesOfVessel:
        nonlocal done
        beside = PoolBesideVessel(bare, vessel, source)
        try:
            found = _sides(installation, beside, on, across)
        except Cancelled:
            raise
        except Exception as error:  # told in its place, never a count
            found = replace(_nothing(beside), failed=told_of(error) or type(error).__name__)
        done += 1
        if progress is not None:
            progress(done / len(wanted), vessel.id)
        return found

    return tuple(side_by_side(ask, wanted))


def plug_like(installation: Installation, vessel: str) -> Plug | None:
    """The plug that is tried on a vessel: its widest of a stated alloy, or that of any other."""
    stated = [one for one in installation.plugs if one.alloy is not None]
    own = [one for one in stated if one.on.casefold() == vessel.casefold()]
    return max(own or stated, key=lambda one: one.bore, default=None)


def candidates(vessel: Vessel) -> tuple[tuple[PlugPlace, float | None, bool], ...]:
    """Where a plug may stand: place, side that it faces [rad], and whether that is an end.

    No low place: water and dirt lie there, and what it lets out blows at the fire.
    """
    top: tuple[PlugPlace, float | None, bool] = ("top", None, False)
    if vessel.orientation == "horizontal" and vessel.direction is not None:
        along = vessel.direction
        return (top, *(("side", _turned(along + k * QUARTER), k % 2 == 0) for k in (1, 3, 0, 2)))
    return (top, *(("side", _turned(angle), False) for angle in DIRECTIONS))


def _nothing(beside: PoolBesideVessel) -> SidesOfVessel:
    return SidesOfVessel(beside.vessel.id, beside.source.fuel, beside.diameter)


def _sides(
    installation: Installation, beside: PoolBesideVessel, on: dt.date, across: int
) -> SidesOfVessel:
    vessel = beside.vessel
    nothing = _nothing(beside)
    like = plug_like(installation, vessel.id)
    if like is None:
        return nothing
    places, pitch = _grid(beside, across)
    dangerous = [at for at in places if not beside.safe(at)]
    trial = replace(
        like, id=TRIAL, on=vessel.id, condition="clean", fitted=on, offered=(), place="top",
        faces=None,
    )  # fmt: skip
    first = PoolBesideVessel(
        Plant.of(replace(installation, plugs=(trial,)), on, beside.plant.should_stop),
        vessel, beside.source,
    )  # fmt: skip
    found: list[tuple[PlugSide, frozenset[int]]] = []
    anywhere = frozenset(range(len(dangerous)))
    for place, faces, end in candidates(vessel):
        put = replace(trial, place=place, faces=faces)
        plant = Plant.of(replace(installation, plugs=(put,)), on, beside.plant.should_stop)
        asked = PoolBesideVessel(plant, vessel, beside.source, known=first.known, hard=first.hard)
        reached = sum(bool(asked.reaches(at)) for at in dangerous)
        held = frozenset(k for k, at in enumerate(dangerous) if asked.safe(at))
        first.runs += asked.runs
        anywhere &= held
        found.append((PlugSide(place, faces, end, reached, len(held), ()), held))
    found.sort(key=lambda one: -one[0].answered)
    blind = [_blind(vessel, dangerous, held, anywhere) for _, held in found]
    return replace(
        nothing,
        like=like.id, places=len(places), dangerous=len(dangerous), pitch_m=pitch,
        anywhere=len(anywhere),
        sides=tuple(replace(one, blind=dark) for (one, _), dark in zip(found, blind, strict=True)),
        pair=_best_pair([held for _, held in found]),
        runs=beside.runs + first.runs,
    )  # fmt: skip


def _grid(beside: PoolBesideVessel, across: int) -> tuple[list[Point], float]:
    """Places about a vessel, in rows along it, as far as the pool is dangerous without a plug."""
    vessel = beside.vessel
    x, y = vessel.at or (0.0, 0.0)
    far = reach_without_plugs(beside)
    pitch = 2.0 * far / (across - 1)
    turn = vessel.direction or 0.0
    along, aside = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    steps = [(k - (across - 1) / 2) * pitch for k in range(across)]
    found = [
        (x + a * along[0] + b * aside[0], y + a * along[1] + b * aside[1])
        for a, b in itertools.product(steps, steps)
    ]
    return found, pitch


def _blind(
    vessel: Vessel, places: Sequence[Point], held: frozenset[int], anywhere: frozenset[int]
) -> tuple[int, ...]:
    """Directions from the vessel in which a place of a plug answers nothing of its own."""
    x, y = vessel.at or (0.0, 0.0)
    seen: dict[int, bool] = {}
    for number, at in enumerate(places):
        if number not in anywhere and math.dist(at, (x, y)) > 0.0:
            turn = math.degrees(math.atan2(at[1] - y, at[0] - x))
            direction = round((90.0 - turn) / 45.0) % len(DIRECTIONS)
            seen[direction] = seen.get(direction, False) or number in held
    return tuple(sorted(one for one, answered in seen.items() if not answered))


def _best_pair(held: Sequence[frozenset[int]]) -> tuple[int, int, int] | None:
    """The two places that answer most together; None where one of them does as much alone."""
    pairs = [(i, j, len(held[i] | held[j])) for i, j in itertools.combinations(range(len(held)), 2)]
    best = max(pairs, key=lambda one: one[2], default=None)
    alone = max((len(one) for one in held), default=0)
    return best if best is not None and best[2] > alone else None


def _turned(angle: float) -> float:
    """An angle between -pi and pi."""
    return math.remainder(angle, 2.0 * math.pi)
