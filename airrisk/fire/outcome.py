"""What a single fire run means: its end as a record, and the verdict on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from airrisk.fire.run import FireRun
from airrisk.verdict.rule import OUTCOMES, EndOfRun, Reason, Verdict, outcome_numbers

SAME_MOMENT = 1e-6  # relative; what equal parts differ by from rounding says nothing


@dataclass(frozen=True)
class VesselEnd:
    """The end of one vessel in one run."""

    name: str
    peak_use: float
    rupture_time: float | None = None  # s
    creep_damage: float = 0.0
    end_use: float = 0.0  # strength use when the run ended


@dataclass(frozen=True)
class SingleEnd:
    """The end of one run, for the rule and for the words about it."""

    status: str
    converged: bool
    vessels: tuple[VesselEnd, ...]
    line_rupture: tuple[float, str] | None  # s, line
    opened: dict[str, float] = field(default_factory=dict)  # plug or disc -> s
    lifted: bool = False  # a relief valve
    melted: bool = False  # a plug
    burst: bool = False  # a disc
    reach: dict[str, frozenset[str]] = field(default_factory=dict)  # vessel -> plugs and discs
    peak_pressure: float = math.nan  # Pa

    def vented(self, vessel: str, by: float = math.inf) -> tuple[str, ...]:
        """Plugs and discs open by a time that the air of a vessel can reach."""
        reached = self.reach.get(vessel, frozenset())
        return tuple(
            sorted(name for name, time in self.opened.items() if time <= by and name in reached)
        )

    def as_arrays(self) -> EndOfRun:
        """The record that the rule looks at."""
        times = [vessel.rupture_time for vessel in self.vessels if vessel.rupture_time is not None]
        line = math.nan if self.line_rupture is None else self.line_rupture[0]
        uses = np.array([vessel.peak_use for vessel in self.vessels])
        return EndOfRun(
            converged=np.array([self.converged]),
            peak_use=np.array([uses.max()]),  # NaN stays
            rupture_time=np.array([min(times, default=math.nan)]),
            line_rupture_time=np.array([line]),
            vented=np.array([all(self.vented(vessel.name) for vessel in self.vessels)]),
            creep_damage=np.array([max(vessel.creep_damage for vessel in self.vessels)]),
        )


def end_of(run: FireRun) -> SingleEnd:
    """The end of a run."""
    case = run.case
    vents = {"plug opens", "disc bursts"}
    opened: dict[str, float] = {}
    for event in run.events:
        if event.event in vents:
            opened.setdefault(event.part, event.time)
    lines = [(event.time, event.part) for event in run.events if event.event == "line ruptures"]
    kinds = {event.event for event in run.events}
    return SingleEnd(
        status=run.status,
        converged=run.converged,
        vessels=tuple(
            VesselEnd(
                case.names[index],
                float(run.peak_use[index]),
                float(run.rupture_time[index]) if np.isfinite(run.rupture_time[index]) else None,
                float(run.creep_damage[index]),
                float(run.end_use[index]),
            )
            for index in case.vessel_indices
        ),
        line_rupture=_first(lines),
        opened=opened,
        lifted="relief valve lifts" in kinds,
        melted="plug opens" in kinds,
        burst="disc bursts" in kinds,
        reach=dict(case.reach),
        peak_pressure=float(run.peak_pressure.max()),
    )


def verdict_of(end: SingleEnd, limit: float) -> Verdict:
    """The verdict on the end of a run, with its reason.

    Parameters
    ----------
    end
        See ``end_of``.
    limit
        Largest strength use that counts as safe.

    Returns
    -------
    Verdict
        Safe only as ``verdict.rule`` says.
    """
    outcome = OUTCOMES[int(outcome_numbers(end.as_arrays(), limit)[0])]
    worst = max(end.vessels, key=lambda v: v.peak_use if v.peak_use == v.peak_use else math.inf)
    crept = max(end.vessels, key=lambda v: v.creep_damage)
    if outcome == "passes the limit" and worst.peak_use <= limit:
        worst = crept
    first = _first_vessel(end.vessels)
    when: float | None = None
    part = worst
    if outcome == "not converged":
        reason = Reason("solver", worst.name, detail=end.status)
    elif outcome == "ruptures" and first is None and end.line_rupture is not None:
        when, line = end.line_rupture
        reason = Reason("line ruptured", line, _opened_by(end, when))
    elif outcome == "ruptures":
        part = first or worst
        when = part.rupture_time
        by = math.inf if when is None else when
        reason = replace(_about(end, part, "ruptured", by), creep=part.peak_use < 1.0)
    elif outcome == "passes the limit":
        reason = replace(_about(end, worst, "limit passed"), creep=worst.peak_use <= limit)
    elif outcome == "vents in time":
        reason = _about(end, worst, "vented within the limit")
    else:
        reason = _about(end, worst, "within the limit")
    kept = "none"
    if outcome in ("vents in time", "outlasts the fire", "passes the limit"):
        helped = end.melted and outcome != "outlasts the fire"
        kept = "heat" if helped else "pressure" if end.lifted or end.burst else "none"
    return Verdict(
        outcome=outcome,
        reason=reason,
        kept_by=kept,  # type: ignore[arg-type]
        peak_use=min(worst.peak_use, 1.0) if outcome == "ruptures" else worst.peak_use,
        peak_pressure=end.peak_pressure,
        controlling_part=part.name if reason.code != "line ruptured" else reason.part,
        limit=limit,
        creep_damage=crept.creep_damage,
        rupture_time=when,
    )


def _first(ruptures: Sequence[tuple[float, str]]) -> tuple[float, str] | None:
    """The first of ruptures (time [s], part); of those at the same moment the lowest id."""
    soonest = min((time for time, _ in ruptures), default=math.inf)
    together = [one for one in ruptures if one[0] <= soonest * (1.0 + SAME_MOMENT)]
    return min(together, key=lambda one: one[1], default=None)


def _first_vessel(vessels: Sequence[VesselEnd]) -> VesselEnd | None:
    """The vessel that ruptures first; the run ends there, with others about to at that moment."""
    times = [v.rupture_time for v in vessels if v.rupture_time is not None]
    if not times:
        return None
    soonest = min(times)
    first = _first(
        [(v.rupture_time, v.name) for v in vessels if v.rupture_time is not None]
        + [(soonest, v.name) for v in vessels if v.end_use >= 1.0 - SAME_MOMENT]
    )
    return next(replace(v, rupture_time=soonest) for v in vessels if first and v.name == first[1])


def _opened_by(end: SingleEnd, time: float) -> tuple[str, ...]:
    return tuple(sorted(name for name, opened in end.opened.items() if opened <= time))


def _about(end: SingleEnd, vessel: VesselEnd, code: str, by: float = math.inf) -> Reason:
    return Reason(
        code,  # type: ignore[arg-type]
        vessel.name,
        _opened_by(end, by),
        end.vented(vessel.name, by),
    )


def classify(run: FireRun, limit: float | None = None) -> Verdict:
    """Verdict on a run.

    Parameters
    ----------
    run
        A finished run.
    limit
        Largest strength use that counts as safe; left out: that of the case.
    """
    return verdict_of(end_of(run), run.case.limit if limit is None else limit)
