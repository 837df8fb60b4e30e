"""One fire against one section as a record: the run as stated, and the worst of its envelope."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from airrisk.fire.balance import closure
from airrisk.fire.changes import fire_lasts
from airrisk.fire.curves import air_at_the_end, curves, hottest_wall, plug_temperatures_at
from airrisk.fire.known_runs import KnownRuns
from airrisk.fire.outcome import classify
from airrisk.fire.run import FireRun
from airrisk.installation.geometry import MUCH_CONDENSATE, condensate_share
from airrisk.installation.model import ENGULFING, Installation
from airrisk.physics.joints import come_apart, lets_go
from airrisk.study.creep_doubt import creep_doubt, creep_otherwise
from airrisk.study.curve import Curve
from airrisk.study.envelope import (
    Envelope,
    Isothermal,
    doubts,
    envelope,
    run_corners,
    worse,
)
from airrisk.study.exposures import Exposure
from airrisk.study.fire_runs import (
    CAUTIOUS_BASIS,
    STATED,
    Corner,
    FireStudy,
    Radiation,
    StopTest,
)
from airrisk.study.outlet_forces import outlet_forces
from airrisk.study.progressing import Ran
from airrisk.study.records import (
    Balance,
    CornerRecord,
    Cure,
    DoubtRecord,
    EnvelopeRecord,
    EventRecord,
    FireCurves,
    FireRecord,
    FlameAway,
    InsulationRecord,
    Margins,
    NoCure,
    Outcome,
    PartCurves,
    PlugCurves,
)
from airrisk.study.slices import FireSlice, fire_slice
from airrisk.study.vents import first_vents
from airrisk.verdict.rule import Reason, Verdict, badness, is_safe

GOING_ON = 6 * 3600.0  # s, of a fire that goes on
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


@dataclass(frozen=True)
class Given:
    """What is known of a fire before its record is made, and how much is asked.

    Attributes
    ----------
    whole
        Its envelope, or of one that is not safe as much of it as shows that; None: to be run.
    doubted
        Whether a safe one is asked again with its doubts; without them it is not sure.
    runs
        Answers of earlier runs; None: there are none.
    """

    whole: Envelope | None = None
    doubted: bool = True
    runs: KnownRuns | None = None


NOTHING_GIVEN = Given()


def fire_record(
    installation: Installation,
    exposure: Exposure,
    on: dt.date,
    *,
    bores: bool = True,
    should_stop: StopTest | None = None,
) -> FireRecord:
    """The record of one fire of an installation: see ``record_of``."""
    return record_of(fire_slice(installation, exposure, on), bores=bores, should_stop=should_stop)


def record_of(
    cut: FireSlice,
    *,
    bores: bool = True,
    cures: bool = True,
    should_stop: StopTest | None = None,
    early: Callable[[FireRecord], None] | None = None,
    ran: Ran | None = None,
    given: Given = NOTHING_GIVEN,
) -> FireRecord:
    """The record of one fire against one section.

    Parameters
    ----------
    cut
        What burns, and all that its runs may read.
    bores
        Whether to search smallest bores.
    cures
        Whether to search cures too, and with the bores the latest melting point and the thinnest
        wall.
    should_stop
        Asked at least every 50 ms.
    early
        Called with the record before what is searched is in it.
    ran
        Called with how many runs were made, again and again.
    given
        What is known already.

    Returns
    -------
    FireRecord
        ``safe`` only where every run of the envelope on the chosen basis is.

    Raises
    ------
    FireCaseError
        The section cannot be run.
    """
    study = FireStudy(cut, should_stop, ran, given.runs)
    whole = envelope(study) if given.whole is None else given.whole
    study.runs = max(study.runs, whole.runs)
    stated = [Corner(radiation=which) for which in radiations(study)]
    cases = [*(study.case(corner) for corner in stated), study.case().without_devices()]
    *runs, shut = study.run(cases)
    verdicts = [classify(run) for run in runs]
    first = max(range(len(runs)), key=lambda n: verdicts[n].rank())
    run, verdict = runs[first], verdicts[first]
    worst, worst_run = _worst_record(study, whole, verdicts, runs)
    safe = whole.safe and all(one.safe for one in verdicts) and is_safe(worst.outcome)
    by_basis: dict[str, Outcome] = {study.basis: verdict.outcome}
    if study.basis != CAUTIOUS_BASIS:
        (other,) = study.endings(study.case(stated[first], basis=CAUTIOUS_BASIS), [{}])
        by_basis[CAUTIOUS_BASIS] = other.outcome
    longer = None
    if verdict.outcome == "outlasts the fire":
        (going_on,) = study.endings(study.case(stated[first]), [fire_lasts(GOING_ON)])
        longer = going_on.rupture_time
    found: tuple[DoubtRecord, ...] = ()
    if safe and given.doubted:
        creep = creep_doubt(study, whole, {"stated": runs, "worst": [worst_run]})
        found = tuple(
            DoubtRecord(
                doubt.what,
                doubt.ending.outcome,
                is_safe(doubt.ending.outcome),
                doubt.ending.peak_use,
                doubt.at,
                doubt.ending.creep_damage,
            )
            for doubt in (*doubts(study, whole.corner), *([] if creep is None else [creep]))
        )
    feeding: tuple[str, ...] = ()
    if not safe and is_fed_and_safe_when_stopped(study, whole.corner):
        feeding = _feeding(study)
    balance = closure(run) if run.time.size > 1 else None
    parting = lines_that_come_apart(cut, (*runs, worst_run))
    reached = _must_be_reached(study) if safe and given.doubted else ()
    record = FireRecord(
        **answer_of(study, run, verdict, shut),
        **named_by(cut),
        safe=safe,
        smallest_bore_m={},
        by_basis=by_basis,
        inner_radiation=stated[first].radiation,
        balance=None if balance is None else Balance(balance.mass_rel, balance.energy_rel),
        envelope=worst,
        sure=given.doubted and _is_sure(cut, run, found, (*parting, *reached)) if safe else None,
        reached_plugs=reached,
        lines_come_apart=parting,
        doubts=found,
        safe_if_stopped=feeding,
        reaction_force_n=outlet_forces(study.installation, run),
        runs=study.runs,
        rupture_if_fire_goes_on_s=longer,
    )
    if not bores or verdict.outcome == "not converged":
        return record
    searched = whole.corner
    if worst.outcome == "outlasts the fire":  # no plug opens there, of whatever bore
        if verdict.outcome == "outlasts the fire":
            return record
        searched = stated[first]
    if cut.fire_class not in ENGULFING:
        return record
    if early is not None:
        early(record)
    return _with_searches(study, record, searched, cures)


def _is_sure(
    cut: FireSlice, run: FireRun, found: tuple[DoubtRecord, ...], parting: tuple[str, ...]
) -> bool:
    """Whether a safe verdict hangs on nothing doubted, unconfirmed, unknown or not reckoned."""
    held = all(one.safe for one in found if one.counts)
    of = cut.exposure
    source = (of.not_placed, of.leaned_on, of.hot_room)
    known = not any((cut.unconfirmed, *source, run.case.no_creep_data, _much_water(run)))
    return held and known and not parting


def _must_be_reached(study: FireStudy) -> tuple[str, ...]:
    """Plugs that a fire which stands somewhere reaches, if it is not safe without that.

    The same source burning smaller, or leaning over, may miss them and still heat the wall.
    """
    exposure = study.exposure
    if not exposure.plug_patches:
        return ()
    missed = replace(exposure, plug_patches=(), fire=replace(exposure.fire, plugs_in_fire=()))
    cut = replace(study.cut, exposure=missed)
    other = FireStudy(cut, study.should_stop, study.ran, study.known)
    held = envelope(other).safe
    study.runs += other.runs
    return () if held else tuple(name for name, _ in exposure.plug_patches)


def lines_that_come_apart(cut: FireSlice, runs: Sequence[FireRun]) -> tuple[str, ...]:
    """Lines in the fire that get so hot in any of some runs that they part, or burst as a hose.

    The runs reckon a line as whole as its pipe; what it lets out then is in none of them.
    """
    found = []
    for line in cut.installation.lines:
        if line.joints is None or not come_apart(line.joints) or cut.fire.share(line.id) <= 0.0:
            continue
        limit = lets_go(line.joints) or 0.0
        if any(line.id in run.case.names and hottest_wall(run, line.id) >= limit for run in runs):
            found.append(line.id)
    return tuple(found)


def _with_searches(study: FireStudy, record: FireRecord, corner: Corner, cures: bool) -> FireRecord:
    """A record with the smallest bores in the corner that ruled, and cures where it is unsafe."""
    from airrisk.study.fire_cures import find_cures, search_bores

    searches = search_bores(study, corner, extras=cures)
    proven: tuple[Cure, ...] = ()
    no_cure: NoCure | None = None
    if cures and not record.safe:
        proven, no_cure = find_cures(study, searches)
    return replace(
        record,
        smallest_bore_m={plug: search.exact_m for plug, search in searches.items()},
        bores=searches,
        cures=proven,
        no_cure=no_cure,
    )


def named_by(cut: FireSlice) -> dict[str, Any]:
    """The fields of a record that the slice alone gives."""
    return {
        "id": cut.fire.id,
        "section": cut.section.id,
        "closed_valves": cut.closed_valves,
        "fire_class": cut.fire_class,
        "source_kind": cut.exposure.source_kind,
        "hot_room": cut.exposure.hot_room,
        "not_placed": cut.exposure.not_placed,
        "leaned_on": cut.exposure.leaned_on,
        "members": cut.section.members,
        "vessels": cut.section.vessels,
        "exposed": tuple(name for name in cut.section.holders if cut.fire.share(name) > 0.0),
        "unconfirmed": cut.unconfirmed,
        "uncredited": {one.device: one.uncredited for one in cut.credits if one.uncredited},
    }


def _feeding(study: FireStudy) -> tuple[str, ...]:
    """Compressors of a section that go on delivering into its fire."""
    machines = study.installation.compressors
    return tuple(one.id for one in machines if one.in_fire == "keeps running")


def is_fed_and_safe_when_stopped(study: FireStudy, worst: Corner) -> bool:
    """Whether an unsafe fire is safe in every run with its compressors stopped.

    The run that ruled is asked first; where it stays unsafe the others need no asking.
    """
    if not _feeding(study):
        return False
    machines = tuple(replace(one, in_fire="stops") for one in study.installation.compressors)
    cut = replace(study.cut, installation=replace(study.installation, compressors=machines))
    stopped = FireStudy(cut, study.should_stop, known=study.known)
    first = run_corners(stopped, [worst])[worst]
    found = is_safe(first.outcome) and envelope(stopped).safe
    study.runs += stopped.runs
    return found


def _worst_rupture(verdict: Verdict, run: FireRun, slow: Isothermal | None) -> Mapping[str, float]:
    """Air in the vessel that ruptures in the worst run; empty where none does."""
    if verdict.outcome != "ruptures":
        return {}
    if slow is not None:
        return {"pressure_pa": slow.pressure, "temperature_k": slow.temperature}
    return _rupture_state(run)


def radiations(study: FireStudy) -> tuple[Radiation, ...]:
    """Inner radiation of the runs as stated; off is always among the runs of the envelope."""
    choice = study.installation.choices.inner_radiation
    if choice == "on":
        return ("on",)
    if choice == "off" or not study.has_two_zones:
        return ("off",)
    return ("off", "on")


def _worst_record(
    study: FireStudy, whole: Envelope, verdicts: list[Verdict], runs: list[FireRun]
) -> tuple[EnvelopeRecord, FireRun]:
    """The worst corner with the numbers of a full run, and that run."""
    corner = whole.corner
    slow = whole.isothermal
    at_stated = [n for n, one in enumerate(radiations(study)) if one == corner.radiation]
    if slow is None and corner == STATED and at_stated:
        run, verdict = runs[at_stated[0]], verdicts[at_stated[0]]
    else:
        (run,) = study.run([study.case(corner)])
        verdict = classify(run)
    if badness(verdict.outcome) > badness(whole.ending.outcome):
        slow = None  # a run that failed is not hidden behind it
    if slow is not None:
        opened = (slow.plug,) if slow.plug else ()
        verdict = replace(
            verdict,
            outcome=whole.ending.outcome,
            reason=Reason("isothermal", slow.part, opened, opened),
            peak_use=slow.use,
            peak_pressure=slow.pressure,
            controlling_part=slow.part,
            rupture_time=None,
        )
    else:
        verdict = worse(verdict, whole.ending)
    # both settings of the inner radiation were run on the fire as stated
    for radiation, other, its in zip(radiations(study), verdicts, runs, strict=True):
        if other.rank() > verdict.rank():
            run, verdict, corner, slow = its, other, Corner(radiation=radiation), None
    part = verdict.controlling_part
    record = EnvelopeRecord(
        runs=whole.runs,
        corner=corner_record(study, corner, part, None if slow is None else slow.temperature),
        outcome=verdict.outcome,
        reason=verdict.reason,
        peak_strength_use=_finite(verdict.peak_use),
        peak_pressure_pa=_finite(verdict.peak_pressure),
        rupture_s=verdict.rupture_time,
        first_vent_s=None if slow is not None else run.first_vent,
        first_vent_by_part_s={} if slow is not None else _vents(study, run),
        controlling_part=part,
        creep_damage=_damage(run, verdict.creep_damage),
        creep_otherwise=creep_otherwise(run),
        rupture_state=_worst_rupture(verdict, run, slow),
        outcome_credited=whole.credited.outcome,
        outcome_working=None if whole.working is None else whole.working.outcome,
    )
    return record, run


def corner_record(
    study: FireStudy, corner: Corner, part: str, isothermal: float | None = None
) -> CornerRecord:
    """What sets a run apart, for the part that it is told of."""
    starts = study.starts(corner)
    named: dict[float | None, str] = {None: "stated", 1.0: "highest"}
    share = corner.share
    if share is None:
        share = max((own for _, own in study.fire.exposed_share), default=None)
    return CornerRecord(
        start_pa=starts.get(part, max(starts.values())),
        start=named.get(corner.start, "thinner"),  # type: ignore[arg-type]
        heat=corner.heat,
        share=share,
        devices=corner.devices,
        inner_radiation=corner.radiation,
        isothermal_k=isothermal,
        condensate=corner.water,
        layers=corner.layers,
        machines=corner.machines,
        lasts_s=corner.lasts,
    )


def _vents(study: FireStudy, run: FireRun) -> dict[str, float]:
    return first_vents(
        run.case.reach,
        study.exposure.section.holders,
        recorded_events(run),
    )


def answer_of(
    study: FireStudy, run: FireRun, verdict: Verdict, shut: FireRun, *, brief: bool = False
) -> dict[str, Any]:
    """The fields of a record that the run as stated and that in which nothing opens give.

    ``brief`` leaves the temperature of plugs at the limit and the state at rupture empty.
    """
    events = recorded_events(run)
    vents = _vents(study, run)
    without, ruptured = rupture_time(shut)
    shown = fire_curves(run)
    return {
        "outcome": verdict.outcome,
        "reason": verdict.reason,
        "kept_by": verdict.kept_by,
        "events": events,
        "peak_pressure_pa": _finite(verdict.peak_pressure),
        "peak_strength_use": _finite(verdict.peak_use),
        "rupture_nothing_opens_s": without,
        "curves": shown,
        "margins": Margins(
            vent_before_rupture_s=(
                None if without is None or ruptured not in vents else without - vents[ruptured]
            ),
            strength_use=verdict.limit - verdict.peak_use,
            strength_use_limit=verdict.limit,
            plug_temperature_at_limit_k={} if brief else _plugs_at_limit(shut),
            controlling_part=verdict.controlling_part,
        ),
        "first_vent_s": run.first_vent,
        "first_vent_by_part_s": vents,
        "line_rupture_nothing_opens_s": _line_rupture(shut),
        "wet_parts": run.case.pools,
        "insulation": _insulation(study, run),
        "much_water": _much_water(run),
        "creep_damage": _damage(run, verdict.creep_damage),
        "creep_otherwise": creep_otherwise(run),
        "no_creep_data": run.case.no_creep_data,
        "rupture_state": {} if brief else _rupture_state(run),
    }


def _insulation(study: FireStudy, run: FireRun) -> dict[str, InsulationRecord]:
    """The insulation of the parts that have some."""
    return {
        name: InsulationRecord(
            counted=one.counted,
            outer_k=one.outer,
            holds_to_k=one.insulation.holds_to,
            resistance_m2_k_w=one.insulation.resistance_in(one.outer),
            unconfirmed=name in study.cut.unconfirmed_layers,
        )
        for name, one in run.case.covers.items()
    }


def _much_water(run: FireRun) -> tuple[str, ...]:
    """Parts with so much condensate that its expansion, which no run counts, tells."""
    parts = run.case.parts
    return tuple(name for name in run.case.pools if condensate_share(parts[name]) > MUCH_CONDENSATE)


def _damage(run: FireRun, damage: float) -> float | None:
    """Creep damage of a run, where there are data for a metal that decides."""
    known = len(run.case.no_creep_data) < len(run.case.vessel_indices)
    return _finite(damage) if known else None


def failed_record(exposure: Exposure, reason: str) -> FireRecord:
    """The record of a fire whose calculation failed: never safe."""
    return FireRecord(
        id=exposure.fire.id,
        section=exposure.section.id,
        closed_valves=exposure.section.closed_valves,
        fire_class=exposure.fire_class,
        source_kind=exposure.source_kind,
        outcome="not converged",
        reason=Reason("solver", detail=reason),
        kept_by="none",
        safe=False,
        events=(),
        peak_pressure_pa=None,
        peak_strength_use=None,
        rupture_nothing_opens_s=None,
        smallest_bore_m={},
        by_basis={},
        inner_radiation="off",
        balance=None,
        curves=None,
        members=exposure.section.members,
        vessels=exposure.section.vessels,
    )


def flame_away_record(
    cut: FireSlice, should_stop: StopTest | None = None, ran: Ran | None = None
) -> FlameAway:
    """How long a vessel stands a flame away from its plugs: the earlier of both starts."""
    study = FireStudy(cut, should_stop, ran)
    runs = study.run([study.case(), study.case(Corner(start=1.0))])
    name = cut.fire.reaches[0]
    ruptures = [rupture_time(run)[0] for run in runs]
    vents = [_vents(study, run).get(name) for run in runs]
    return FlameAway(_earliest(ruptures), _earliest(vents))


def _earliest(times: Iterable[float | None]) -> float | None:
    return min((time for time in times if time is not None), default=None)


def recorded_events(run: FireRun) -> tuple[EventRecord, ...]:
    """Events of a run for the record."""
    return tuple(
        EventRecord(event.time, event.event, event.part)  # type: ignore[arg-type]
        for event in run.events
        if event.event in RECORDED_EVENTS
    )


def fire_curves(run: FireRun) -> FireCurves | None:
    """Sampled histories of a run."""
    if run.time.size == 0:
        return None
    whole = curves(run)
    parts = {
        name: PartCurves(
            Curve(part.pressure_pa),
            Curve(part.gas_temperature_k),
            Curve(part.hot_wall_temperature_k),
            Curve(part.cold_wall_temperature_k),
            Curve(part.strength_use),
            Curve(part.gas_mass_kg),
            Curve(part.creep_damage),
            Curve(part.creep_damage_mean),
            Curve(part.creep_damage_omega),
        )
        for name, part in whole.parts.items()
    }
    plugs = {
        name: PlugCurves(
            Curve(plug.temperature_k),
            Curve(plug.melted_share),
            tuple(bool(is_open) for is_open in plug.open),
        )
        for name, plug in whole.plugs.items()
    }
    return FireCurves(Curve(whole.time_s), parts, plugs)


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


def _rupture_state(run: FireRun) -> Mapping[str, float]:
    time, name = rupture_time(run)
    if time is None or run.time.size == 0:
        return {}
    pressure, temperature = air_at_the_end(run, name)
    return {"pressure_pa": pressure, "temperature_k": temperature, "time_s": time}
