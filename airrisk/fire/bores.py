"""How small a plug may be, how late it may melt and how thin the wall may be, by the transient.

Each is a bracketed root on runs of the same case. The measure is how far the strength use of a run
is past its limit; below 0 it passes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from airrisk.fire.case import FireCase, wall_of
from airrisk.fire.outcome import classify
from airrisk.fire.plug_body import plug_body
from airrisk.fire.run import FireRun, Workspace, run
from airrisk.installation.geometry import shell_grade
from airrisk.installation.model import Line, Vessel
from airrisk.kernel import layout as at
from airrisk.physics import api521, metal
from airrisk.tables import read_toml
from airrisk.verdict.rule import DAMAGE_LIMIT

SEARCH_TOLERANCE = 1e-5  # of the time steps
SMALLEST_BORE = 1e-3  # m
LARGEST_BORE = 0.12  # m
BORE_TOLERANCE = 2e-3  # relative
MELTING_TOLERANCE = 0.2  # K
WALL_TOLERANCE = 2e-3  # relative
SMALLEST_SHARE = 0.01  # of the bore
SHARE_TOLERANCE = 1e-2  # relative; it is told in whole percents, rounded up
MOST_RUNS = 30


@dataclass(frozen=True)
class BoreResult:
    """Smallest bore of one plug that passes one fire, and what lies around it."""

    exact_m: float | None  # None: no bore is enough
    usual_m: float | None  # next usual bore at or above ``exact_m`` that passes
    late_by_s: float | None  # when none is enough: how long after the limit the plug opens
    latest_melting_k: float | None  # highest melting temperature that passes, bore as fitted
    thinnest_wall_m: float | None  # of the controlling vessel, bore as fitted
    api521_area_m2: float | None
    api521_inputs: Mapping[str, float] = field(default_factory=dict)
    runs: int = 0
    least_opening_share: float | None = None  # of the fitted bore that must open, extras only


def excess(result: FireRun) -> float:
    """How far a run is past its limits; not above 0 when it vents in time."""
    verdict = classify(result)
    if verdict.outcome == "not converged":
        return math.inf
    if verdict.outcome == "ruptures":
        return 2.0 - verdict.limit
    if verdict.outcome == "outlasts the fire":
        return 1.0  # the plug played no part
    return max(verdict.peak_use - verdict.limit, verdict.creep_damage - DAMAGE_LIMIT)


class _Search:
    """Runs of one case with something changed."""

    def __init__(
        self,
        case: FireCase,
        workspace: Workspace | None,
        should_stop: Callable[[], bool] | None = None,
        ran: Callable[[int], None] | None = None,
    ) -> None:
        self.ran = ran
        self.case = case.with_tolerance(SEARCH_TOLERANCE)
        self.workspace = workspace or Workspace()
        self.should_stop = should_stop
        self.runs = 0

    def run(
        self,
        floats: Mapping[int, float],
        *,
        fine: FireCase | None = None,
    ) -> FireRun:
        """The case with these numbers; ``fine``: another one with the steps of its own."""
        found = run(
            (self.case if fine is None else fine).changed(floats),
            workspace=self.workspace,
            store=False,
            should_stop=self.should_stop,
        )
        self.runs += 1
        if self.ran is not None:
            self.ran(1)
        return found

    def over(self, floats: Mapping[int, float]) -> float:
        """How far the run with these numbers is past its limits."""
        return excess(self.run(floats))

    def boundary(
        self,
        passing: float,
        failing: float,
        over: Callable[[float], float],
        tolerance: float,
        *,
        relative: bool,
        over_passing: float | None = None,
        over_failing: float | None = None,
    ) -> float:
        """The passing end of a bracket narrowed to a tolerance (Illinois, guarded)."""
        low, high = passing, failing
        g_low, g_high = over_passing, over_failing
        side = 0
        for _ in range(MOST_RUNS):
            if abs(high - low) <= tolerance * (abs(low) if relative else 1.0):
                break
            share = 0.5
            if g_low is not None and g_high is not None and math.isfinite(g_high - g_low):
                share = min(max(-g_low / (g_high - g_low), 0.05), 0.95)
            middle = low + share * (high - low)
            g = over(middle)
            if g <= 0.0:
                low, g_low = middle, g
                if side == -1 and g_high is not None:
                    g_high *= 0.5
                side = -1
            else:
                high, g_high = middle, g
                if side == 1 and g_low is not None:
                    g_low *= 0.5
                side = 1
        return low


def bore_floats(case: FireCase, plug: str, bore: float) -> dict[int, float]:
    """The numbers of a plug with another bore; what the file does not fix follows the bore."""
    record = replace(case.plug_records[plug], bore=bore)
    row = list(plug_body(record, "clean").row())
    block = case.plug_at(plug, 0)
    row[at.P_FOULING] = float(case.floats[block + at.P_FOULING])
    return {block + k: float(value) for k, value in enumerate(row)}


def usual_bores() -> tuple[float, ...]:
    """Usual clear bores of plugs, m, rising."""
    return tuple(1e-3 * value for value in read_toml("plug_body.toml")["usual_bores"]["mm"])


def _enabled(case: FireCase, plug: str) -> FireCase:
    place = int(case.integers[at.I_I_PLUG]) + case.plugs.index(plug) * at.PI_SIZE + at.PI_ENABLED
    return case.changed(integers={place: 1})


def smallest_bore(
    case: FireCase,
    plug: str,
    *,
    extras: bool = True,
    workspace: Workspace | None = None,
    should_stop: Callable[[], bool] | None = None,
    ran: Callable[[int], None] | None = None,
) -> BoreResult:
    """Smallest bore of one plug that vents in time, the other plugs as in the case.

    Parameters
    ----------
    case
        The fire; the plug is reckoned as working whether it is credited or not.
    plug
        Id of the plug; its alloy must be stated.
    extras
        Also the latest melting temperature and the thinnest wall, with the bore as fitted; not
        asked when no bore is enough.
    workspace
        Reused arrays of this thread.
    should_stop
        As for ``run``, in every run of the search.
    ran
        Called after every run of the search, with 1.

    Returns
    -------
    BoreResult

    Raises
    ------
    Cancelled
        ``should_stop`` said so.
    """
    case = _enabled(case, plug)
    search = _Search(case, workspace, should_stop, ran)
    area, inputs = api521_area(case, plug)
    if case.plug_records[plug].alloy is None:
        return BoreResult(None, None, None, None, None, area, inputs, 0)
    known: dict[float, float] = {}

    def over(bore: float) -> float:
        if bore not in known:
            known[bore] = search.over(bore_floats(case, plug, bore))
        return known[bore]

    fitted = case.plug_records[plug].bore
    failing, passing = _bracket(over, fitted)
    exact: float | None = None
    usual: float | None = None
    late: float | None = None
    if passing is None:
        late = _late_by(search, case, plug, fitted)
    else:
        exact = passing
        if failing is not None:
            exact = search.boundary(
                passing,
                failing,
                over,
                BORE_TOLERANCE,
                relative=True,
                over_passing=known[passing],
                over_failing=known[failing],
            )
        exact = _confirmed(search, case, plug, exact)
        usual = next((b for b in usual_bores() if b >= exact and over(b) <= 0.0), None)
    melting = wall = opening = None
    if extras and exact is not None:
        melting = _latest_melting(search, case, plug)
        wall = _thinnest_wall(search, case)
        if known.get(fitted, 0.0) <= 0.0:
            opening = _least_opening(search, case, plug, (exact / fitted) ** 2)
    return BoreResult(exact, usual, late, melting, wall, area, inputs, search.runs, opening)


def _confirmed(search: _Search, case: FireCase, plug: str, bore: float) -> float:
    """A bore that passes with the fine steps of a full run too."""
    for _ in range(8):
        result = search.run(bore_floats(case, plug, bore), fine=case)
        if excess(result) <= 0.0:
            break
        bore *= 1.0 + 0.5 * BORE_TOLERANCE
    return bore


def _bracket(over: Callable[[float], float], start: float) -> tuple[float | None, float | None]:
    """A failing bore below a passing one; (None, smallest) or (a failing one, None) at the ends.

    A plug of a larger bore is heavier and opens later, so that bores may pass which lie below
    a failing one.
    """
    begin = min(max(start, SMALLEST_BORE), LARGEST_BORE)
    bore = begin
    while over(bore) > 0.0 and bore < LARGEST_BORE:
        bore = min(1.6 * bore, LARGEST_BORE)
    if over(bore) > 0.0:
        bore = begin
        while over(bore) > 0.0:
            if bore <= SMALLEST_BORE:
                return begin, None
            bore = max(0.6 * bore, SMALLEST_BORE)
    while bore > SMALLEST_BORE:
        lower = max(0.6 * bore, SMALLEST_BORE)
        if over(lower) > 0.0:
            return lower, bore
        bore = lower
    return None, bore


def _late_by(search: _Search, case: FireCase, plug: str, bore: float) -> float | None:
    """How long after the metal reached its limit the plug opens, were the metal to hold, s."""
    strong = {
        case.space_at(name, at.S_BURST_FACTOR): 1e6
        * float(case.floats[case.space_at(name, at.S_BURST_FACTOR)])
        for name in case.parts
    }
    opened = search.run({**strong, **bore_floats(case, plug, bore)})
    time = next((e.time for e in opened.events if e.event == "plug opens" and e.part == plug), None)
    closed = search.run({}, fine=search.case.without_plugs())
    limits = [float(t) for t in closed.limit_time[list(case.vessel_indices)] if math.isfinite(t)]
    if time is None or not limits:
        return None
    return time - min(limits)


def _least_opening(search: _Search, case: FireCase, plug: str, guess: float) -> float | None:
    """Least share of the fitted bore that lets out enough, the body as fitted; None: not even all.

    ``guess`` is where it lies if a smaller bore with its smaller body opened at the same time.
    """
    place = case.plug_at(plug, at.P_AREA)
    whole = float(case.floats[place])
    known: dict[float, float | None] = {1.0: None}

    def over(share: float) -> float:
        found = known[share] = search.over({place: share * whole})
        return found

    passing, failing = 1.0, None
    share = min(max(1.05 * guess, SMALLEST_SHARE), 1.0)
    while passing > SMALLEST_SHARE:
        if share < passing and over(share) > 0.0:
            failing = share
            break
        passing = share
        share = max(0.8 * passing, SMALLEST_SHARE)
    if failing is not None:
        passing = search.boundary(
            passing,
            failing,
            over,
            SHARE_TOLERANCE,
            relative=True,
            over_passing=known[passing],
            over_failing=known[failing],
        )
    for _ in range(8):
        if excess(search.run({place: passing * whole}, fine=case)) <= 0.0:
            return passing
        passing = min(passing * (1.0 + 0.5 * SHARE_TOLERANCE), 1.0)
    return 1.0 if excess(search.run({}, fine=case)) <= 0.0 else None


def _latest_melting(search: _Search, case: FireCase, plug: str) -> float | None:
    """Highest liquidus that still passes, K; None when none above 40 °C does."""
    solidus, liquidus = case.plug_at(plug, at.P_SOLIDUS), case.plug_at(plug, at.P_LIQUIDUS)
    span = float(case.floats[liquidus] - case.floats[solidus])
    start = float(case.floats[case.plug_at(plug, at.P_START)])

    def over(temperature: float) -> float:
        return search.over({solidus: temperature - span, liquidus: temperature})

    fitted = float(case.floats[liquidus])
    lowest = max(start + span + 5.0, 313.15)
    highest = 1200.0
    if over(fitted) <= 0.0:
        if over(highest) <= 0.0:
            return highest
        return search.boundary(fitted, highest, over, MELTING_TOLERANCE, relative=False)
    if over(lowest) > 0.0:
        return None
    return search.boundary(lowest, fitted, over, MELTING_TOLERANCE, relative=False)


def _thinnest_wall(search: _Search, case: FireCase) -> float | None:
    """Smallest wall of the controlling vessel that still passes, m; None when 5 x does not."""
    first = search.run({})
    worst = max(case.vessel_indices, key=lambda i: float(first.peak_use[i]))
    part = case.parts[case.names[worst]]
    block = case.space_at(part.id, 0)
    heads = part.head_thickness if isinstance(part, Vessel) else None

    def floats(wall: float) -> dict[int, float]:
        changed = replace(part, wall_thickness=wall)
        if isinstance(changed, Vessel) and heads is not None:
            changed = replace(changed, head_thickness=heads * wall / part.wall_thickness)
        shape, factor = wall_of(changed, case.burst_formula, case.basis)
        # the case keeps the strength of the wall that stands; a thicker plate is weaker, but a
        # wall that corrosion has thinned is not stronger
        weaker = metal.strength_over(shell_grade(changed), shell_grade(part), case.basis)
        factor *= min(weaker, 1.0)
        return {
            **case.wall_columns(part.id, shape.outer_surface, shape.metal_mass),
            block + at.S_BURST_FACTOR: factor,
        }

    def over(wall: float) -> float:
        return search.over(floats(wall))

    here = part.wall_thickness
    if excess(first) <= 0.0:
        thin = here
        while thin > 0.02 * here:
            lower = 0.6 * thin
            if over(lower) > 0.0:
                return search.boundary(thin, lower, over, WALL_TOLERANCE, relative=True)
            thin = lower
        return thin
    thick, most = here, min(5.0, _room_for_wall(part)) * here
    while thick < most:
        higher = min(1.5 * thick, most)
        if over(higher) <= 0.0:
            return search.boundary(higher, thick, over, WALL_TOLERANCE, relative=True)
        thick = higher
    return None


def _room_for_wall(part: Vessel | Line) -> float:
    """How many times as thick a part could be until nothing is known of its metal."""
    walls = [part.wall_thickness]
    if isinstance(part, Vessel) and part.head_thickness is not None:
        walls.append(part.head_thickness)
    return metal.grades(part.material)[-1].greatest_thickness / max(walls)


def api521_area(case: FireCase, plug: str) -> tuple[float | None, dict[str, float]]:
    """Relief area of the plug's vessel by the rule for gas-filled vessels, and its inputs.

    The relieving pressure is 121 % of the design pressure (gauge), as in a fire, or the start.

    Parameters
    ----------
    case
        The fire.
    plug
        Id of the plug.

    Returns
    -------
    tuple
        Area [m2], None when the rule gives none; inputs by name, SI.
    """
    numbers = int(case.integers[at.I_I_PLUG]) + case.plugs.index(plug) * at.PI_SIZE
    home = int(case.integers[numbers + at.PI_SPACE])
    name = case.names[home]
    part = case.parts.get(name)
    exposed = 0.0 if part is None else case.struck_area(name)
    if part is None or exposed <= 0.0:
        return None, {}
    ambient = float(case.floats[at.F_AMBIENT_P])
    design = part.design_pressure
    normal = float(case.floats[case.space_at(name, at.S_PRESSURE)])
    relieving = normal if design is None else max(ambient + 1.21 * (design - ambient), normal)
    inputs = {
        "normal_pressure": normal,
        "normal_temperature": float(case.floats[case.space_at(name, at.S_TEMPERATURE)]),
        "relieving_pressure": relieving,
        "exposed_area": exposed,
        "discharge_coefficient": float(case.floats[case.plug_at(plug, at.P_COEFFICIENT)]),
        "wall_temperature": api521.CARBON_STEEL_WALL,
    }
    return api521.gas_filled_relief(**inputs).area, inputs
