"""Run fire cases: one, or many on threads; what came out as arrays and events."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from time import sleep

import numpy as np
from numpy.typing import NDArray

from airrisk.fire.case import FireCase
from airrisk.fire.patches import by_severity
from airrisk.fire.stopping import Cancelled
from airrisk.kernel import batch_entries, compiled, moments
from airrisk.kernel import layout as at
from airrisk.kernel.places import (
    damage_place,
    first_pool,
    first_source,
    patch_row,
    state_count,
)
from airrisk.kernel.pools import STEAM_AS_AIR
from airrisk.kernel.records import Output, State, Tables, Work
from airrisk.kernel.rhs import G_ROWS
from airrisk.physics.air import AirRangeError, air_table
from airrisk.physics.flow import flow_table

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

STEPS_PER_CALL = 2000  # of one space; some 20 ms, a network takes as many times as it has spaces
PLAIN_STEPS_PER_CALL = 10  # interpreted, one space takes some 20 ms for them
FIRST_ROWS = 512
NO_PLACES = np.zeros(0, dtype=np.int64)
NO_VALUES = np.zeros((0, 0))
MOST_EVENTS = 512
_EVENTS = {
    at.E_PLUG: "plug opens",
    at.E_LIFT: "relief valve lifts",
    at.E_RESEAT: "relief valve reseats",
    at.E_DISC: "disc bursts",
    at.E_RUPTURE: "rupture",
    at.E_LINE_RUPTURE: "line ruptures",
    at.E_EMPTY: "empty",
    at.E_FIRE_END: "fire ends",
    at.E_FEED_ON: "compressor starts",
    at.E_FEED_OFF: "compressor stops",
    at.E_FEED_HOLDS: "compressor holds its pressure",
    at.E_RELIEF_DEAD: "relief valve lost to heat",
}
STATUS = {
    at.ENDED: "ended",
    at.RUPTURED: "ruptured",
    at.BUDGET_SPENT: "evaluation budget spent",
    at.STEP_TOO_SMALL: "time step too small",
    at.OUT_OF_RANGE: "air left the range of its table",
}


@dataclass(frozen=True)
class RunEvent:
    """Something that happened; ``part`` is the device or the part."""

    time: float  # s
    event: str
    part: str


@dataclass(frozen=True, eq=False)
class CumulatedFlows:
    """What passed until the end of a run."""

    mass_out: float  # kg to the atmosphere
    energy_out: float  # J, enthalpy with it
    mass_in: float  # kg from compressors, and steam as so many moles of air
    energy_in: float  # J, enthalpy with it
    heat: float  # J through the walls into the air
    vapour_out: float  # kg of steam out of the spaces with condensate


@dataclass(frozen=True, eq=False)
class FireRun:
    """What one run gave. Arrays have one row for each time; columns are spaces or plugs."""

    case: FireCase
    status: str
    converged: bool
    events: tuple[RunEvent, ...]
    time: Floats
    states: Floats
    modes: Integers
    peak_use: Floats  # by space
    peak_use_time: Floats
    peak_pressure: Floats
    end_use: Floats
    empty_time: Floats  # NaN: not emptied
    rupture_time: Floats  # NaN: did not rupture
    limit_time: Floats  # strength use first at the limit, NaN: never
    creep_damage: Floats  # by space, at the end
    first_vent: float | None  # s, first plug or disc
    evaluations: int
    steps: int
    end_time: float

    def _columns(self, block: int) -> Floats:
        n = len(self.case.spaces)
        return self.states[:, block * n : (block + 1) * n]

    @property
    def mass(self) -> Floats:
        """Air in each space, kg."""
        return self._columns(0)

    @property
    def gas_temperature(self) -> Floats:
        """K."""
        return self._columns(1)

    @property
    def hot_wall(self) -> Floats:
        """Temperature of the zone in the fire, K."""
        return self._columns(2)

    def patch_temperature(self, part: str, patch: str) -> Floats:
        """Temperature of one patch of a part whose wall is cut into patches, K."""
        index = self.case.names.index(part)
        place = self.case.patches[part][patch].place
        return self.states[:, int(patch_row(index, place, self.case.integers))]

    def walls(self, index: int) -> tuple[Floats, Floats]:
        """Temperatures of the hottest metal of a space in the fire and out of it [K].

        A wall that has nothing in the fire, or nothing out of it, has one temperature.
        """
        case = self.case
        name = case.names[index]
        laid = case.patches.get(name)
        if laid is None:
            table = (at.S_HOT_AREA, at.S_COLD_AREA)
            there = [float(case.floats[case.space_at(name, key)]) > 0.0 for key in table]
            hot, cold = self._columns(2)[:, index], self._columns(3)[:, index]
            return hot if there[0] else cold, cold if there[1] else hot
        struck = [one.place for one in by_severity(laid.values())]
        rows: list[list[Floats]] = [[], []]
        for name_of_patch, one in laid.items():
            rows[one.place not in struck].append(self.patch_temperature(name, name_of_patch))
        inside, outside = rows
        return np.max(inside or outside, axis=0), np.max(outside or inside, axis=0)

    @property
    def cumulated(self) -> CumulatedFlows:
        """Flows added up along the run, of a stored run."""
        first = int(state_count(self.case.integers))
        return CumulatedFlows(*self.states[-1, first : first + at.SECTION_FLOWS].tolist())

    @property
    def pools(self) -> Mapping[str, Floats]:
        """Liquid [kg], its temperature [K] and vapour [kg], columns, by part with condensate."""
        found = {}
        for w, name in enumerate(self.case.pools):
            first = int(first_pool(self.case.integers)) + at.POOL_STATES * w
            pool = self.states[:, first : first + at.POOL_STATES].copy()
            pool[:, 2] *= self.mass[:, self.case.names.index(name)] / STEAM_AS_AIR
            found[name] = pool
        return found

    @property
    def opened(self) -> frozenset[str]:
        """Plugs and discs that opened."""
        kinds = ("plug opens", "disc bursts")
        return frozenset(event.part for event in self.events if event.event in kinds)

    @property
    def rupture(self) -> RunEvent | None:
        """The rupture of a vessel that ended the run."""
        return next((event for event in self.events if event.event == "rupture"), None)


class Workspace:
    """Arrays that one thread reuses for its runs."""

    def __init__(self) -> None:
        self.size = (-1, -1, -1, -1)
        self.tables = Tables(air_table().arrays(), flow_table().arrays())

    def fit(self, case: FireCase) -> None:
        """Make the scratch arrays match a case."""
        spaces = len(case.spaces)
        n = int(state_count(case.integers))
        width = matrix_width(case)
        widest = max(spaces, len(case.plugs), int(case.integers[at.I_LINKS]))
        size = (widest, n, n + int(case.integers[at.I_BLOCKS]), width)
        if self.size == size:
            return
        self.size = size
        columns = column_count(case)
        self.work = Work(
            air=np.zeros((G_ROWS, widest)),
            vectors=np.zeros((moments.V_ROWS, columns)),
            jacobian=np.zeros(size[2:]),
            factors=np.zeros(size[2:]),
            pivot=np.zeros(2 * n, dtype=np.int64),
            differences=np.zeros((8, columns)),
        )


def matrix_width(case: FireCase) -> int:
    """Columns of the matrices: the most that the rows of a space have."""
    i = case.integers
    own = int(i[at.I_I_OWN])
    width = 4 + int(np.diff(i[own : own + len(case.spaces) + 1]).max())
    for w in range(int(i[at.I_POOLS])):
        pool = int(i[at.I_I_POOL]) + w * at.WI_SIZE
        width = max(width, int(i[pool + at.WI_COLUMN] + 2 * i[pool + at.WI_COUNT]))
    return width


def mode_count(case: FireCase) -> int:
    """Length of the array of discrete states."""
    i = case.integers
    return int(first_source(i)) + int(i[at.I_PATCHES])


def column_count(case: FireCase) -> int:
    """Length of the state with the cumulated flows and the creep damage behind it."""
    return int(damage_place(case.integers)) + len(case.spaces)


def new_state(case: FireCase) -> State:
    """Room for the moments of a run of a case."""
    return State(
        modes=np.zeros(mode_count(case), dtype=np.int64),
        numbers=np.zeros(column_count(case)),
        clock=np.zeros(moments.C_HEAD + len(case.plugs) + len(case.discs)),
        worst=np.zeros((len(case.spaces), moments.K_COLUMNS)),
    )


def new_output(case: FireCase, rows: int) -> Output:
    """Room for so many points of the curves of a run; 1: none are kept."""
    return Output(
        times=np.empty(rows),
        numbers=np.empty((rows, column_count(case))),
        modes=np.empty((rows, mode_count(case)), dtype=np.int64),
        events=np.empty((MOST_EVENTS, 3)),
    )


def with_room(output: Output) -> Output:
    """The same points, with room for as many again."""
    times, numbers, modes = (np.concatenate((one, np.empty_like(one))) for one in output[:3])
    return Output(times, numbers, modes, output.events)


def steps_at_once(case: FireCase, plain: bool) -> int:
    """Steps after which the kernel returns, so that a wish to stop is heard within some 50 ms."""
    return max((PLAIN_STEPS_PER_CALL if plain else STEPS_PER_CALL) // len(case.spaces), 1)


def run(
    case: FireCase,
    *,
    workspace: Workspace | None = None,
    interpreted: bool = False,
    store: bool = True,
    should_stop: Callable[[], bool] | None = None,
) -> FireRun:
    """Run one case to its end.

    Parameters
    ----------
    case
        See ``build_case``.
    workspace
        Reused arrays of this thread; left out: new ones.
    interpreted
        Run the plain functions although compiled ones are there.
    store
        Keep the states of all time steps (for curves and balance).
    should_stop
        Asked at least every 50 ms.

    Returns
    -------
    FireRun
        ``converged`` is false when the solver gave up; ``status`` says why.

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    AirRangeError
        The start is outside the range of the air table.
    """
    workspace = workspace or Workspace()
    spaces = len(case.spaces)
    plain = interpreted or not _wait_for_kernel(spaces, should_stop)
    drive = compiled.entry("drive", interpreted=plain)
    steps_per_call = steps_at_once(case, plain)
    workspace.fit(case)
    state = new_state(case)
    rows = FIRST_ROWS if store else 1
    output = new_output(case, rows)
    status = at.RUNNING

    def call(task: int) -> int:
        return int(
            drive(
                task, case.floats, case.floats, case.integers, NO_PLACES, NO_VALUES, 0, 0,
                *state, *workspace.work, *workspace.tables.air, *workspace.tables.flow,
                *output, NO_VALUES, steps_per_call,
            )
        )  # fmt: skip

    started = call(batch_entries.TASK_BEGIN)
    if not started:
        first_space = case.spaces[0].id
        raise AirRangeError(
            f"start of {first_space}: density",
            float(case.floats[case.space_at(first_space, at.S_PRESSURE)]),
            float(case.floats[case.space_at(first_space, at.S_TEMPERATURE)]),
        )
    with np.errstate(all="ignore"):
        while status in (at.RUNNING, at.BUFFER_FULL):
            if should_stop is not None and should_stop():
                raise Cancelled
            status = call(batch_entries.TASK_ADVANCE)
            if status == at.BUFFER_FULL:
                output = with_room(output)
    kept = int(state.clock[moments.C_ROWS]) if store else 0
    # events that change nothing are noted after the fact, some out of order
    order = np.argsort(output.times[:kept], kind="stable")
    clock, worst = state.clock, state.worst
    first = float(clock[moments.C_FIRST_VENT])
    return FireRun(
        case=case,
        status=STATUS[int(status)],
        converged=status in (at.ENDED, at.RUPTURED),
        events=_events(case, output.events[: int(clock[moments.C_EVENTS])]),
        time=output.times[order],
        states=output.numbers[order],
        modes=output.modes[order],
        peak_use=worst[:, moments.K_PEAK_USE],
        peak_use_time=worst[:, moments.K_PEAK_USE_TIME],
        peak_pressure=worst[:, moments.K_PEAK_PRESSURE],
        end_use=worst[:, moments.K_END_USE],
        empty_time=worst[:, moments.K_EMPTY_TIME],
        rupture_time=worst[:, moments.K_RUPTURE_TIME],
        limit_time=worst[:, moments.K_LIMIT_TIME],
        creep_damage=worst[:, moments.K_DAMAGE],
        first_vent=None if math.isnan(first) else first,
        evaluations=int(clock[moments.C_EVALUATIONS]),
        steps=int(clock[moments.C_STEPS]),
        end_time=float(clock[moments.C_TIME]),
    )


def _wait_for_kernel(spaces: int, should_stop: Callable[[], bool] | None) -> bool:
    """Whether to use compiled code; one vessel alone need not wait until it is made."""
    while compiled.is_preparing():
        if spaces == 1:
            return False
        if should_stop is not None and should_stop():
            raise Cancelled
        sleep(compiled.LOOK_AGAIN)
    return True


def _events(case: FireCase, rows: Floats) -> tuple[RunEvent, ...]:
    names: dict[int, Sequence[str]] = {
        at.E_PLUG: case.plugs,
        at.E_LIFT: case.relief_valves,
        at.E_RESEAT: case.relief_valves,
        at.E_RELIEF_DEAD: case.relief_valves,
        at.E_DISC: case.discs,
        at.E_RUPTURE: case.names,
        at.E_LINE_RUPTURE: case.names,
        at.E_EMPTY: case.names,
        at.E_FEED_ON: case.feeds,
        at.E_FEED_OFF: case.feeds,
        at.E_FEED_HOLDS: case.feeds,
    }
    found = []
    for time, code, index in rows.tolist():
        known = names.get(int(code))
        part = case.fire.id if known is None else known[int(index)]
        found.append(RunEvent(time, _EVENTS[int(code)], part))
    return tuple(sorted(found, key=lambda event: event.time))


def run_many(
    cases: Iterable[FireCase],
    *,
    threads: int = 2,
    store: bool = True,
    should_stop: Callable[[], bool] | None = None,
) -> list[FireRun]:
    """Run cases on threads (compiled code does not hold the interpreter); order is kept.

    Parameters
    ----------
    cases
        See ``build_case``.
    threads
        Number of threads.
    store
        As for ``run``.
    should_stop
        As for ``run``.

    Returns
    -------
    list of FireRun

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    """
    waiting = list(cases)
    if not compiled.is_preparing():
        compiled.compile_now()
    if len(waiting) < 2 or threads < 2 or not compiled.is_ready():
        space = Workspace()
        return [
            run(case, workspace=space, store=store, should_stop=should_stop) for case in waiting
        ]
    free: list[Workspace] = [Workspace() for _ in range(threads)]

    def one(case: FireCase) -> FireRun:
        space = free.pop()
        try:
            return run(case, workspace=space, store=store, should_stop=should_stop)
        finally:
            free.append(space)

    with ThreadPoolExecutor(threads, thread_name_prefix="fire") as pool:
        return list(pool.map(one, waiting))


def thinned(run_: FireRun, most: int = 2000) -> Integers:
    """Rows for curves: all events, first and last, and others evenly among them.

    Parameters
    ----------
    run_
        A stored run.
    most
        Largest number of rows.

    Returns
    -------
    array of int
    """
    count = run_.time.size
    if count == 0:
        return np.zeros(0, dtype=np.int64)
    # one row for each time: the last, so that what an event changed shows
    last = np.append(np.flatnonzero(np.diff(run_.time) > 0.0), count - 1)
    if last.size <= most:
        return last
    wanted = {float(event.time) for event in run_.events}
    must = [int(row) for row in last if float(run_.time[row]) in wanted]
    must += [int(last[0]), int(last[-1])]
    room = max(most - len(set(must)), 0)
    even = last[np.unique(np.linspace(0, last.size - 1, room).astype(np.int64))]
    return np.unique(np.concatenate((even, np.array(must, dtype=np.int64))))[:most]
