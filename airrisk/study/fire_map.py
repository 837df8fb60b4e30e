"""The map: what becomes of each section while one fire burns at each of many positions.

Where the heat of a pool does not strike a section, or leaves it within its limit however long it
lasts, no run is needed (``fire_map_reach``). Elsewhere at most four runs of a section are made:
from the highest and the stated pressure, with the whole heat and half of it. The positions come
coarse first. One that has four around it is not run where all of them rupture, or where all are
safe by far and no part is nearer than to each of them; it never reads "survived" for that. At last
every run of the full answer is made along the borders, outwards until they hold: what the full
answer calls unsafe there is unsafe in the map. So it is made where each section bears most.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.stopping import Cancelled, go_on
from airrisk.installation.model import FireSource, Installation
from airrisk.installation.sections import Section, shut_in
from airrisk.study.exposures import Exposure, struck_by
from airrisk.study.fire_map_grid import Grid, Place, grid_of, ring_of, squares_around
from airrisk.study.fire_map_reach import part_distance
from airrisk.study.fire_map_records import (
    BETWEEN,
    BY_DOUBT,
    BY_ENVELOPE,
    BY_FEW_RUNS,
    BY_FOUR,
    BY_PLACE,
    BY_REACH,
    BY_WIND,
    NO_DOUBT,
    NOT_ASKED,
    NOT_ASSESSED,
    NOT_SURE,
    RUPTURES,
    SURVIVED,
    FireMap,
    Stage,
)
from airrisk.study.fire_map_sections import SAFE_BY_FAR, Asking, Found, Reached, all_runs, few_runs
from airrisk.study.fire_map_sheet import Sheet
from airrisk.study.fire_runs import FireStudy
from airrisk.study.pool_beside_vessel import with_parts
from airrisk.study.room_layers import HOT, room_layer
from airrisk.study.side_by_side import side_by_side
from airrisk.study.slices import Slicer
from airrisk.study.source_flames import diameter_of
from airrisk.study.source_heat import heat_of
from airrisk.study.standing_fires import source_fire

Floats = NDArray[np.float64]
COARSE = 8  # steps of the first positions
ALIKE = 2.0  # between rupture times around a position that is not run
MOST_LOADED = 4  # positions of each section that get all runs wherever they are
AT_ONCE = 16  # positions between two words on how far it is


@dataclass(frozen=True)
class MapWatcher:
    """Who waits for a map.

    Attributes
    ----------
    progress
        Called with the share done, from 0 to 1, and the stage.
    should_stop
        Asked at least every 50 ms.
    partial
        Called with the map as far as it is.
    """

    progress: Callable[[float, Stage], None] | None = None
    should_stop: Callable[[], bool] | None = None
    partial: Callable[[FireMap], None] | None = None


NOBODY = MapWatcher()


class _Mapper:
    """One map while it is drawn."""

    def __init__(
        self,
        installation: Installation,
        source: FireSource,
        on: dt.date,
        positions: int,
        should_stop: Callable[[], bool] | None = None,
    ) -> None:
        self.installation, self.source, self.watcher = installation, source, NOBODY
        self.heat = heat_of(installation, source)
        self.grid: Grid = grid_of(installation, self.heat, positions)
        self.x, self.y = np.meshgrid(self.grid.x, self.grid.y)
        first = source_fire(installation, self._moved((0, 0)))
        self.lost = first.not_placed
        self.slicer = Slicer(installation, on)
        asked = Asking(first.fire, self.slicer, self.lost)
        self.reached = []
        for number, section in enumerate(shut_in(installation)):
            go_on(should_stop)
            distances = self.distances_to(section)
            self.reached.append(Reached.of(number, section, distances, self.heat, asked))
        layer = room_layer(installation, source)
        hot = layer is not None and (layer.rise_k is None or layer.rise_k > HOT)
        self.hot_room = layer.room if layer is not None and hot else ""
        self.held: dict[frozenset[int], Installation] = {}
        self.runs = 0
        self.lock = threading.Lock()
        self.sheet = Sheet(self.x.shape)
        self.open = np.zeros(self.x.shape, dtype=bool)
        self.step = COARSE
        self._without_runs()

    def distances_to(self, section: Section) -> Floats:
        """From each position to each placed part of a section, m; infinite where none is."""
        parts = [part for part in self.installation.holders() if part.id in section.holders]
        found = [part_distance(self.installation, part, self.x, self.y) for part in parts]
        known = [one for one in found if one is not None]
        return np.stack(known or [np.full(self.x.shape, np.inf)])

    def _without_runs(self) -> None:
        """What needs no run: nothing is struck, or too little."""
        leans = np.zeros(self.x.shape, dtype=bool)
        doubted = np.zeros(self.x.shape, dtype=bool)
        nearest = np.full(self.x.shape, np.inf)
        for one in self.reached:
            self.open |= one.open
            leans |= one.touched & (one.distance - self.heat.radius < self.heat.leans)
            doubted |= one.touched & (one.doubted or bool(one.lost))
            nearer = one.touched & (one.distance < nearest)
            nearest = np.where(nearer, one.distance, nearest)
            self.sheet.section[nearer] = one.number
        self.leans = leans
        quiet = ~self.open
        self.sheet.outcome[quiet] = SURVIVED
        if self.hot_room:  # it may be all around, wherever the source stands
            doubted[:] = True
        for which, why in ((doubted, BY_DOUBT), (leans, BY_WIND)):
            self.sheet.outcome[quiet & which] = NOT_SURE
            self.sheet.doubtful[quiet & which] = why
        if self.lost:
            self.sheet.outcome[quiet] = NOT_SURE
            self.sheet.doubtful[quiet] = BY_PLACE

    # -- the picture

    def draw(self, borders: bool, watcher: MapWatcher) -> FireMap:
        """All stages, one after the other; what was asked before it was stopped is kept."""
        self.watcher = watcher
        step = COARSE
        wanted = max(int(self.open.sum()), 1)
        done = int((self.open & (self.sheet.outcome != NOT_ASKED)).sum())
        while step >= 1:
            rows, columns = np.nonzero(self.open & (self.sheet.outcome == NOT_ASKED))
            here = [
                (int(r), int(c))
                for r, c in zip(rows, columns, strict=True)
                if r % step == 0 and c % step == 0 and not self._between(int(r), int(c), step)
            ]
            self.step = step
            stage: Stage = "coarse" if step == COARSE else "picture"
            self._ask(here, self._four, stage, (done, wanted))
            if self.watcher.partial is not None and step > 1:
                self.watcher.partial(self.map(stage))
            done = int((self.open & (self.sheet.outcome != NOT_ASKED)).sum())
            step //= 2
        found = self.map("picture")
        if not borders:
            return found
        if self.watcher.partial is not None:
            self.watcher.partial(found)
        self._check_borders()
        return self.map("borders")

    def _ask(
        self,
        places: Sequence[Place],
        ask: Callable[[Place], Found],
        stage: Stage,
        done: tuple[int, int],
    ) -> None:
        """Ask about positions on threads and write down what they say; so many of all are done."""
        for first in range(0, len(places), AT_ONCE):
            self._look_up((done[0] + first) / done[1], stage)
            these = places[first : first + AT_ONCE]
            for place, found in zip(these, side_by_side(ask, these), strict=True):
                self.sheet.write(place, found)

    def _look_up(self, share: float, stage: Stage) -> None:
        go_on(self.watcher.should_stop)
        if self.watcher.progress is not None:
            self.watcher.progress(min(share, 1.0), stage)

    def _between(self, row: int, column: int, step: int) -> bool:
        """Take over an answer from around; whether that was possible."""
        place = (row, column)
        if 2 * step > COARSE or not self.heat.smooth:
            return False
        for corners in squares_around(row, column, 2 * step, self.x.shape):
            found = [self.sheet.outcome[corner] for corner in corners]
            if all(one == RUPTURES for one in found):
                times = [float(self.sheet.rupture[corner]) for corner in corners]
                alike = bool(np.max(times) <= ALIKE * np.min(times))  # no, where one is unknown
                worst = corners[int(np.argmin(times))]
            else:
                alike = self._far_from_the_limit(place, corners)
                worst = max(corners, key=lambda corner: float(self.sheet.load[corner]))
            if alike:
                safe = self.sheet.outcome[worst] != RUPTURES
                why = max(BY_FEW_RUNS, self.worst_doubt(place)) if safe else NO_DOUBT
                self.sheet.write(
                    place, replace(self.sheet.found(worst), grounds=BETWEEN, doubtful=why,
                                   outcome=NOT_SURE if safe else RUPTURES),
                )  # fmt: skip
                return True
        return False

    def _far_from_the_limit(self, place: Place, corners: Sequence[Place]) -> bool:
        """Whether all around is safe by far and no part is nearer than to all of them."""
        for corner in corners:
            asked = self.open[corner] or self.sheet.outcome[corner] == SURVIVED
            load = float(self.sheet.load[corner])
            if self.sheet.outcome[corner] > NOT_SURE or not asked or load > SAFE_BY_FAR:
                return False
        return all(one.no_nearer(place, corners) for one in self._open_at(place))

    def _holding(self, sections: frozenset[int]) -> Installation:
        """The installation without the parts of sections that need no run.

        What is over the pool always needs one: the flames are as hot as around all of it.
        """
        known = self.held.get(sections)
        if known is None:
            inside = [name for n in sections for name in self.reached[n].section.holders]
            known = with_parts(self.installation, inside)
            self.held[sections] = known
        return known

    def _moved(self, place: Place) -> FireSource:
        return replace(self.source, at=(float(self.x[place]), float(self.y[place])))

    def _exposures(
        self, place: Place, asked: Sequence[Reached]
    ) -> Iterable[tuple[Reached, Exposure]]:
        """Sections that are open at a position with what strikes them there."""
        if not asked:
            return
        source = self._moved(place)
        burning = source_fire(self._holding(frozenset(one.number for one in asked)), source)
        for one in asked:
            found = struck_by(self.installation, source, burning, one.section)
            if found is not None:
                yield one, replace(found, not_placed=one.lost)

    def _worst(self, place: Place, found: list[Found]) -> Found:
        """The worst of the sections, as sure as the least sure of them and of what was not run."""
        worst = max(
            found,
            key=Found.rank,
            default=Found(SURVIVED, int(self.sheet.section[place]), grounds=BY_REACH),
        )
        if worst.outcome > NOT_SURE:
            return worst
        why = max((one.doubtful for one in found), default=NO_DOUBT)
        why = max(why, self.worst_doubt(place))
        return replace(worst, outcome=SURVIVED if why == NO_DOUBT else NOT_SURE, doubtful=why)

    def _unstruck(self, place: Place) -> Found:
        return Found(SURVIVED, int(self.sheet.section[place]), grounds=BY_REACH)

    def worst_doubt(self, place: Place) -> int:
        """What makes a safe answer unsure there whatever the runs say."""
        if self.lost:
            return BY_PLACE
        if self.leans[place]:
            return BY_WIND
        doubted = any(one.touched[place] and (one.doubted or one.lost) for one in self.reached)
        return BY_DOUBT if doubted or self.hot_room else NO_DOUBT

    def _four(self, place: Place) -> Found:
        """At most four runs of every section that is open there, unless those around tell."""
        known = []
        asked = []
        for one in self._open_at(place):
            within = self.heat.smooth and 2 * self.step <= COARSE
            load = one.load_around(place, 2 * self.step) if within else None
            if load is None:
                asked.append(one)
                continue
            one.note(place, NOT_SURE, load)
            known.append(
                Found(
                    NOT_SURE, one.number, load=load, grounds=BETWEEN, doubtful=BY_FEW_RUNS
                )
            )  # fmt: skip
        return self._asked(place, asked, few_runs, known)

    def _open_at(self, place: Place) -> list[Reached]:
        return [one for one in self.reached if one.open[place]]

    def _full(self, place: Place) -> Found:
        """Every run of the full answer."""
        unsure = bool(self.leans[place] or self.lost or self.hot_room)
        stop = self.watcher.should_stop

        def ask(one: Reached, study: FireStudy) -> Found:
            return all_runs(one, study, unsure, stop)

        found = self._asked(place, self._open_at(place), ask, [])
        return replace(found, grounds=BY_ENVELOPE)

    def _asked(
        self,
        place: Place,
        asked: Sequence[Reached],
        ask: Callable[[Reached, FireStudy], Found],
        known: Sequence[Found],
    ) -> Found:
        """The worst of some sections, with what is known of others."""
        found = list(known)
        for one in asked:
            one.note(place, SURVIVED, 0.0)  # unless it is struck
        for one, exposure in self._exposures(place, asked):
            try:
                study = FireStudy(self.slicer.fire(exposure), self.watcher.should_stop)
                found.append(ask(one, study))
            except Cancelled:
                raise
            except Exception:  # it reads "not assessed", never safe
                found.append(Found(NOT_ASSESSED, one.number))
            one.note(place, found[-1].outcome, found[-1].load)
        with self.lock:
            self.runs += sum(one.runs for one in found)
        return self._worst(place, found)

    # -- the borders

    def _check_borders(self) -> None:
        """The full answer at each safe position beside an unsafe one, until the border holds."""
        checked = 0
        waiting = self._most_loaded()
        while True:
            waiting = sorted({*waiting, *self._border()})
            if not waiting:
                return
            self._ask(waiting, self._full, "borders", (checked, checked + len(waiting)))
            checked += len(waiting)
            waiting = []
            if self.watcher.partial is not None:
                self.watcher.partial(self.map("picture"))

    def _most_loaded(self) -> list[Place]:
        """Safe positions at which each section bears most: there may be no unsafe one beside."""
        found: list[Place] = []
        run = (self.sheet.grounds == BY_FOUR) & (self.sheet.outcome <= NOT_SURE)
        for one in self.reached:
            rows, columns = np.nonzero(run & (self.sheet.section == one.number))
            order = np.argsort(-self.sheet.load[rows, columns])[:MOST_LOADED]
            found += [(int(rows[k]), int(columns[k])) for k in order]
        return found

    def _border(self) -> list[Place]:
        """Positions with too few runs beside an unsafe one."""
        beside = ring_of(self.sheet.outcome >= NOT_ASSESSED)
        few = (self.sheet.grounds != BY_ENVELOPE) & self.open & (self.sheet.outcome <= NOT_SURE)
        rows, columns = np.nonzero(beside & few)
        return [(int(r), int(c)) for r, c in zip(rows, columns, strict=True)]

    def map(self, stage: Stage) -> FireMap:
        """The map as far as it is."""
        return FireMap(
            source=self.source,
            diameter_m=diameter_of(self.source),
            flame_height_m=self.heat.height,
            x_m=self.grid.x,
            y_m=self.grid.y,
            **self.sheet.copies(),
            sections=tuple(one.record() for one in self.reached),
            not_placed=self.lost,
            hot_room=self.hot_room,
            pitch_m=self.grid.pitch,
            runs=self.runs,
            stage=stage,
        )


def fire_map(
    installation: Installation,
    source: FireSource,
    on: dt.date,
    *,
    positions: int = 2000,
    borders: bool = True,
    watcher: MapWatcher = NOBODY,
    kept: dict[str, Any] | None = None,
) -> FireMap:
    """What becomes of each section while a fire burns at each of many positions.

    Parameters
    ----------
    installation
        With the places of its parts.
    source
        The pool, goods or jet; where it stands does not matter.
    on
        Date that decides which devices are credited.
    positions
        About so many; more where a pool is smaller than the pitch.
    borders
        Whether every run of the full answer is made along the borders.
    watcher
        Who waits for it.
    kept
        Empty at first; handed over again after a call that was stopped, the next one goes on from
        there. It belongs to these arguments alone.

    Raises
    ------
    FireMapError
        Nothing has a place, the plan is too large, or the pool is not one.
    Cancelled
        The watcher said so.
    """
    found: _Mapper | None = None if kept is None else kept.get("map")
    if found is None:
        found = _Mapper(installation, source, on, positions, watcher.should_stop)
        if kept is not None:
            kept["map"] = found
    return found.draw(borders, watcher)
