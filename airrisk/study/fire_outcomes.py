"""One fire against one section as a record: the worst of its runs, and how far from the limit.

For each start pressure, inner radiation on and off (where a part has both wall zones), and each
strength basis one run is made; the worst on the chosen basis gives the verdict. With its settings
follow the run without any plug, the run that credits doubtful plugs, and the two runs with weaker
and stronger convection inside.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from airrisk.firetest.balance import closure
from airrisk.firetest.case import FireCase, build_case
from airrisk.firetest.curves import plug_temperatures_at
from airrisk.firetest.outcome import Verdict
from airrisk.firetest.run import FireRun, run_many
from airrisk.installation.model import Installation
from airrisk.installation.plug_state import plug_state
from airrisk.study.exposures import Exposure, Start
from airrisk.study.outlet_forces import outlet_forces
from airrisk.study.records import (
    Balance,
    BoreSearch,
    Cure,
    EventRecord,
    FireCurves,
    FireRecord,
    Margins,
    Outcome,
    PartCurves,
    PlugCurves,
)
from airrisk.study.steam import (
    counting_parts,
    earliest_rupture,
    history,
    judge,
    wet_vessels,
    with_steam_lifts,
)
from airrisk.study.vents import VENTING, first_vents

CAUTIOUS_BASIS = "yield"
CONVECTION_DOUBT = {"0.6": 0.6, "1.4": 1.4}
_BADNESS: dict[str, int] = {
    "not converged": 5,
    "ruptures": 4,
    "vents too late": 3,
    "outlasts the fire": 1,
    "vents in time": 0,
}
Radiation = Literal["on", "off"]
RECORDED_EVENTS = frozenset(
    {
        "plug opens",
        "relief valve lifts",
        "relief valve reseats",
        "disc bursts",
        "rupture",
        "line ruptures",
        "empty",
        "fire ends",
    }
)
StopTest = Callable[[], bool]


@dataclass(frozen=True)
class Setting:
    """What distinguishes the runs of one fire."""

    start: Start
    radiation: Radiation
    basis: str


class FireStudy:
    """Builds and runs the cases of one exposure.

    Parameters
    ----------
    installation, exposure
        What burns.
    on
        Date that decides which plugs are credited.
    should_stop
        Asked during the runs.
    """

    def __init__(
        self,
        installation: Installation,
        exposure: Exposure,
        on: dt.date,
        should_stop: StopTest | None = None,
    ) -> None:
        self.installation = installation
        self.exposure = exposure
        self.on, self.should_stop = on, should_stop
        inside = set(exposure.section.plugs)
        plugs = [plug for plug in installation.plugs if plug.id in inside]
        states = {plug.id: plug_state(installation, plug, on) for plug in plugs}
        self.uncredited = tuple(name for name, state in states.items() if not state.credited)
        self.conditions = {name: str(state.condition) for name, state in states.items()}
        # of a plug of unknown alloy nobody can say what it does if it works
        self.may_still_work = any(
            plug.id in self.uncredited and plug.alloy is not None for plug in plugs
        )

    def changed(
        self, installation: Installation, exposure: Exposure, renewed: str | None
    ) -> FireStudy:
        """The study of a changed installation; a renewed plug is credited and clean."""
        study = FireStudy(installation, exposure, self.on, self.should_stop)
        study.uncredited = tuple(name for name in self.uncredited if name != renewed)
        if renewed is not None:
            study.conditions[renewed] = "clean"
        return study

    def settings(self, basis: str) -> list[Setting]:
        """Start pressures and inner radiation to run on one basis."""
        choice = self.installation.choices.inner_radiation
        radiations: tuple[Radiation, ...] = ("off", "on")
        if choice == "on":
            radiations = ("on",)
        elif choice == "off" or not self._has_two_zones():
            radiations = ("off",)
        return [
            Setting(start, radiation, basis)
            for start in self.exposure.starts
            for radiation in radiations
        ]

    def _has_two_zones(self) -> bool:
        shares = [self.exposure.fire.share(name) for name in self.exposure.section.holders]
        return any(0.0 < share < 1.0 for share in shares)

    def case(
        self,
        setting: Setting,
        credit: Literal["as fitted", "none", "all"] = "as fitted",
        convection: float = 1.0,
    ) -> FireCase:
        """The case of one setting."""
        return build_case(
            self.installation,
            self.exposure.fire,
            self.exposure.section,
            basis=setting.basis,
            inner_radiation=setting.radiation == "on",
            credit=credit,
            start=setting.start,
            convection_factor=convection,
            uncredited=self.uncredited,
            conditions=self.conditions,
        )

    def run(self, cases: Sequence[FireCase]) -> list[FireRun]:
        """Run cases in the order given."""
        return run_many(cases, should_stop=self.should_stop)


def badness(verdict: Verdict) -> tuple[int, int, float]:
    """Sorts verdicts: unsafe before safe, then by outcome, then by the use of the strength."""
    return (int(not verdict.safe), _BADNESS[verdict.outcome], verdict.peak_use)


def fire_record(
    installation: Installation,
    exposure: Exposure,
    on: dt.date,
    *,
    bores: bool = True,
    should_stop: StopTest | None = None,
) -> FireRecord:
    """The record of one fire against one section.

    Parameters
    ----------
    installation
        The checked installation.
    exposure
        Fire, section and start pressures.
    on
        Date (``datetime.date``) that decides which plugs are credited.
    bores
        Whether to search smallest bores and cures.
    should_stop
        Asked at least every 50 ms.

    Returns
    -------
    FireRecord
        ``safe`` only where a converged run on the chosen basis says so.

    Raises
    ------
    FireCaseError
        The section cannot be run.
    """
    study = FireStudy(installation, exposure, on, should_stop)
    chosen = installation.choices.strength_basis
    settings = study.settings(chosen)
    cautious = study.settings(CAUTIOUS_BASIS) if chosen != CAUTIOUS_BASIS else []
    runs = study.run([study.case(setting) for setting in (*settings, *cautious)])
    verdicts = [judge(installation, run) for run in runs]
    # of two ruptures the earlier one is the worse
    first = max(
        range(len(settings)),
        key=lambda n: (badness(verdicts[n]), -(first_rupture(installation, runs[n])[0] or 0.0)),
    )
    setting, run, verdict = settings[first], runs[first], verdicts[first]
    by_basis: dict[str, Outcome] = {chosen: verdict.outcome}
    side_safe = {chosen: verdict.safe}
    if cautious:
        worst = max(verdicts[len(settings) :], key=badness)
        by_basis[CAUTIOUS_BASIS] = _in_a_word(worst) if verdict.safe else worst.outcome
        side_safe[CAUTIOUS_BASIS] = worst.safe

    follow = {"without": study.case(setting, "none")}
    if study.may_still_work:
        follow["all"] = study.case(setting, "all")
    for name, factor in CONVECTION_DOUBT.items():
        follow[name] = study.case(setting, convection=factor)
    after = dict(zip(follow, study.run(list(follow.values())), strict=True))
    unvented = after["without"]
    doubts: dict[str, Outcome] = {}
    for name in CONVECTION_DOUBT:
        other = judge(installation, after[name])
        doubts[name] = _in_a_word(other) if verdict.safe else other.outcome
        side_safe[name] = other.safe
    working = judge(installation, after["all"]) if "all" in after else None
    if working is not None:
        side_safe["plugs work"] = working.safe

    searches: dict[str, BoreSearch] = {}
    cures: tuple[Cure, ...] = ()
    if bores and verdict.outcome != "not converged" and exposure.default_case in (None, "a"):
        from airrisk.study.fire_cures import find_cures, search_bores

        searches = search_bores(study, setting)
        if not verdict.safe:
            cures = find_cures(study, setting, searches)
    balance = closure(run) if run.time.size > 1 else None
    return FireRecord(
        **answer_of(installation, exposure, run, verdict, unvented),
        id=exposure.fire.id,
        section=exposure.section.id,
        closed_valves=exposure.section.closed_valves,
        default_case=exposure.default_case,
        smallest_bore_m={plug: search.exact_m for plug, search in searches.items()},
        by_basis=by_basis,
        inner_radiation=setting.radiation,
        balance=None if balance is None else Balance(balance.mass_rel, balance.energy_rel),
        members=exposure.section.members,
        exposed=tuple(name for name in exposure.section.holders if exposure.fire.share(name) > 0.0),
        start=setting.start,
        bores=searches,
        cures=cures,
        uncredited_plugs=study.uncredited,
        outcome_if_plugs_work=None if working is None else _in_a_word(working),
        side_runs_safe=side_safe,
        convection_doubt=doubts,
        reaction_force_n=outlet_forces(installation, run),
    )


def _in_a_word(verdict: Verdict) -> Outcome:
    """The outcome where no reason stands beside it: "ruptures" also where a line does so alone."""
    kept = verdict.outcome in ("vents in time", "outlasts the fire")
    broken = kept and not verdict.safe and verdict.peak_use <= verdict.limit
    return "ruptures" if broken else verdict.outcome


def _reason(verdict: Verdict, events: Sequence[EventRecord], vents: Mapping[str, float]) -> str:
    """The reason of a verdict, naming devices that opened but do not empty what ruptured."""
    if verdict.outcome != "vents too late" or verdict.controlling_part in vents:
        return verdict.reason
    opened = sorted({event.part for event in events if event.event in VENTING})
    verb = "lets" if len(opened) == 1 else "let"
    return verdict.reason.replace(
        "a device had opened",
        f"{' and '.join(opened)} had opened, which {verb} no air out of {verdict.controlling_part}",
    )


def answer_of(
    installation: Installation,
    exposure: Exposure,
    run: FireRun,
    verdict: Verdict,
    unvented: FireRun,
    *,
    brief: bool = False,
) -> dict[str, Any]:
    """The fields of a fire's record that a run and the same run without any plug give.

    ``brief`` leaves the temperature of plugs at the limit and the state at rupture empty.
    """
    section = exposure.section
    events = recorded_events(installation, run)
    vents = first_vents(installation, section.closed_valves, section.holders, events)
    without, ruptured = first_rupture(installation, unvented)
    shown = fire_curves(installation, run)
    return {
        "outcome": verdict.outcome,
        "reason": _reason(verdict, events, vents),
        "kept_by": verdict.kept_by,
        "safe": verdict.safe,
        "events": events,
        "peak_pressure_pa": _finite(verdict.peak_pressure),
        "peak_strength_use": _finite(verdict.peak_use),
        "time_to_rupture_without_vent_s": without,
        "curves": shown,
        "margins": Margins(
            vent_before_rupture_s=(
                None if without is None or ruptured not in vents else without - vents[ruptured]
            ),
            strength_use=verdict.limit - verdict.peak_use,
            strength_use_limit=verdict.limit,
            plug_temperature_at_limit_k={} if brief else _plugs_at_limit(unvented),
            controlling_part=verdict.controlling_part,
        ),
        "first_vent_s": run.first_vent,
        "first_vent_by_part_s": vents,
        "line_rupture_without_vent_s": _line_rupture(unvented),
        "wet_parts": counting_parts(installation, run),
        "rupture_state": {} if brief else _rupture_state(installation, run, shown),
    }


def failed_record(exposure: Exposure, reason: str) -> FireRecord:
    """The record of a fire whose calculation failed: never safe."""
    return FireRecord(
        id=exposure.fire.id,
        section=exposure.section.id,
        closed_valves=exposure.section.closed_valves,
        default_case=exposure.default_case,
        outcome="not converged",
        reason=reason,
        kept_by="none",
        safe=False,
        events=(),
        peak_pressure_pa=None,
        peak_strength_use=None,
        time_to_rupture_without_vent_s=None,
        smallest_bore_m={},
        by_basis={},
        inner_radiation="off",
        balance=None,
        curves=None,
        members=exposure.section.members,
    )


def recorded_events(installation: Installation, run: FireRun) -> tuple[EventRecord, ...]:
    """Events of a run for the record; with steam a rupture may come before the rest of them."""
    events = [
        EventRecord(event.time, event.event, event.part)  # type: ignore[arg-type]
        for event in run.events
        if event.event in RECORDED_EVENTS
    ]
    wet = wet_vessels(installation, run)
    events = with_steam_lifts(events, wet)
    time, part = earliest_rupture(wet, rupture_time(run))
    if time is not None and time < (rupture_time(run)[0] or math.inf):
        events = [event for event in events if event.time_s < time]
        events.append(EventRecord(time, "rupture", part))
    return tuple(events)


def first_rupture(installation: Installation, run: FireRun) -> tuple[float | None, str]:
    """Time of the first vessel that ruptures, steam of condensate included, s, and its id."""
    return earliest_rupture(wet_vessels(installation, run), rupture_time(run))


def fire_curves(installation: Installation, run: FireRun) -> FireCurves | None:
    """Sampled histories of a run as plain tuples, up to a rupture, with the steam of condensate."""
    if run.time.size == 0:
        return None
    whole = history(installation, run)
    end, _ = first_rupture(installation, run)
    keep = whole.time_s <= (math.inf if end is None else end)
    parts = {
        name: PartCurves(
            _numbers(part.pressure_pa[keep]),
            _numbers(part.gas_temperature_k[keep]),
            _numbers(part.hot_wall_temperature_k[keep]),
            _numbers(part.cold_wall_temperature_k[keep]),
            _numbers(part.strength_use[keep]),
            _numbers(part.gas_mass_kg[keep]),
        )
        for name, part in whole.parts.items()
    }
    plugs = {
        name: PlugCurves(
            _numbers(plug.temperature_k[keep]),
            _numbers(plug.melted_share[keep]),
            tuple(bool(is_open) for is_open in plug.open[keep]),
        )
        for name, plug in whole.plugs.items()
    }
    return FireCurves(_numbers(whole.time_s[keep]), parts, plugs)


def _numbers(values: np.ndarray) -> tuple[float, ...]:
    return tuple(values.tolist())


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


def rupture_time(run: FireRun) -> tuple[float | None, str]:
    """Time of the first vessel that ruptures, s, and its id."""
    times = [
        (float(run.rupture_time[index]), run.case.names[index])
        for index in run.case.vessel_indices
        if np.isfinite(run.rupture_time[index])
    ]
    return min(times, default=(None, ""))


def _line_rupture(run: FireRun) -> tuple[str, float] | None:
    """The first line that ruptures, and when, s."""
    found = [(event.time, event.part) for event in run.events if event.event == "line ruptures"]
    return (min(found)[1], min(found)[0]) if found else None


def _plugs_at_limit(run: FireRun) -> Mapping[str, float | None]:
    """Temperature of each plug when the metal of a vessel first reaches its limit."""
    times = [run.limit_time[index] for index in run.case.vessel_indices]
    finite = [float(time) for time in times if np.isfinite(time)]
    if not finite or run.time.size < 2:
        return dict.fromkeys(run.case.plugs)
    found = plug_temperatures_at(run, min(finite))
    return {name: found.get(name) for name in run.case.plugs}


def _rupture_state(
    installation: Installation, run: FireRun, shown: FireCurves | None
) -> Mapping[str, float]:
    time, name = first_rupture(installation, run)
    if time is None or shown is None:
        return {}
    part = shown.parts[name]
    return {
        "pressure_pa": part.pressure_pa[-1],
        "temperature_k": part.gas_temperature_k[-1],
        "time_s": time,
    }
