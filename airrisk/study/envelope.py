"""All the runs that a verdict on one fire answers for: it is safe only if every one of them is.

A verdict answers for every fire up to the stated one, not for one run. Where all stands in the
flames, the plugs too, the runs start from the stated pressure and from the highest that can stand
there, with the whole heat and half of it, and the air and all metal at the melting point of the
plug are looked at as the end of a very slow fire. Where plugs are out of the flames or a part of a
shell is heated, they also start from 0.7 and 0.5 of the highest pressure (thinner air warms a
distant plug later) and heat 0.5, 0.25, 0.125 and 0.05 of the shell. Where condensate is stated,
also with 0.3, 0.1, 0.03 and none of it: much water keeps a vessel cool, little of it boils off and
adds its steam, and nobody knows how much there is on the day. Where a device opens, also fires
that end shortly before: the hot metal goes on heating the air, and nothing opens any more. They
rule only where they are not safe. Where a compressor goes on feeding,
also with it stopped: it may fail in the fire, and its air cools. All of it with the devices that
nobody may count on shut, and with them working. Between neighbours near the limit the worst is
sought by halving.

"Heat f" is a flame whose radiation is f times the stated one: its absolute temperature is that of
the curve times f^(1/4), for radiation and convection alike; of a flux it is f times the flux.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from airrisk.fire import changes as change
from airrisk.installation.sections import holder_volume
from airrisk.physics import alloys
from airrisk.study.fire_runs import CAUTIOUS_BASIS, STATED, Corner, Devices, Ending, FireStudy
from airrisk.study.records import ALL_OF_THEM, HALF_BORE
from airrisk.study.shut_in_air import ShutInAir
from airrisk.verdict.rule import Outcome, ReasonCode, Verdict, badness, is_safe

HEATS = (1.0, 0.5)
SHARES = (0.5, 0.25, 0.125, 0.05)
THINNER = (1.0, 0.7, 0.5)  # of the highest gauge pressure, plugs out of the flames
WATERS = (0.3, 0.1, 0.03, 0.0)  # of the stated condensate
# a fire that ends at this share of the time to an opening; of 1,474 random vessels whose plugs
# open in time the strength use then was at least 0.93 of the most of all shorter fires, and that
# up to 1.22 of the use in the whole fire
SOONER = 0.94
SOONER_STILL = (0.84, 0.88, 0.91, 0.96, 0.975, 0.985, 0.995, 0.999)
NEAR_LIMIT = 0.8  # of the limit, from where the worst is sought between the corners
HALVINGS = 3
FULL_LIFT = 1.1  # of the set gauge pressure of a relief valve
# doubts of a safe verdict
SLOW_PLUG = ("contact", "flames on the plug", "metal at the plug")
CREEP_RATE = "creep rate"  # of study.creep_doubt
INSULATION = "insulation"
RESISTS_SHARE = 0.5  # of what insulation is stated to resist: wet, open joints, age; judgement
DOUBTS = (
    "relief valve", "strength basis", "convection 0.6", "convection 1.4", *SLOW_PLUG, ALL_OF_THEM,
    HALF_BORE, CREEP_RATE, INSULATION,
)  # fmt: skip
CONTACT_SHARE = 1.0 / 3.0
MORE_METAL = 0.5 * 520.0  # J/K: half a kilogramme of steel, as in the boss


@dataclass(frozen=True)
class Isothermal:
    """Air and metal of a vessel at the melting point of its plug, or as hot as its fire gets."""

    part: str
    plug: str  # empty: the fire never gets so hot that one opens
    temperature: float  # K
    pressure: float  # Pa absolute
    use: float


@dataclass(frozen=True)
class Doubt:
    """A safe fire again with one assumption the other way, in the worst of the corners asked."""

    what: str  # of DOUBTS
    at: Literal["stated", "worst", "most creep"]
    ending: Ending


@dataclass(frozen=True)
class Envelope:
    """The worst of all runs of one fire."""

    corner: Corner
    ending: Ending
    runs: int
    isothermal: Isothermal | None  # when it is worse than every run
    working: Ending | None  # the worst with all devices working; None: all are credited
    credited: Ending  # the worst with only the credited ones
    most_crept: tuple[Corner, float]  # the run with the highest creep damage, and that

    @property
    def safe(self) -> bool:
        """Whether every run is."""
        return is_safe(self.ending.outcome)


def corners(study: FireStudy) -> list[Corner]:
    """The corners to run for a fire."""
    starts: list[float | None] = [None, 1.0]
    shares: list[float | None] = [None]
    if not study.plugs_in_flames:
        starts = [None, *THINNER]
        most = max((share for _, share in study.fire.exposed_share), default=0.0)
        shares = [None, *(share for share in SHARES if share < most)]
    devices: list[Devices] = ["credited", "working"] if study.may_still_work else ["credited"]
    waters: list[float | None] = [None, *WATERS] if study.has_condensate else [None]
    return [
        Corner(start, heat, share, which, water=water, layers=layers, machines=machines)
        for machines in study.machines
        for layers in study.layers
        for which in devices
        for water in waters
        for share in shares
        for start in starts
        for heat in HEATS
    ]


def run_corners(study: FireStudy, wanted: Sequence[Corner]) -> dict[Corner, Ending]:
    """What each corner comes to; those of one case go together."""
    groups: dict[tuple[object, ...], list[Corner]] = {}
    for corner in wanted:
        alike = (
            corner.share, corner.water, corner.devices, corner.radiation, corner.layers,
            corner.machines,
        )  # fmt: skip
        groups.setdefault(alike, []).append(corner)
    found: dict[Corner, Ending] = {}
    for group in groups.values():
        case = study.case(replace(group[0], start=None, heat=1.0, lasts=None))
        changes = [study.changes(case, corner) for corner in group]
        found.update(zip(group, study.endings(case, changes), strict=True))
    return found


def envelope(study: FireStudy) -> Envelope:
    """Run all corners of a fire and keep the worst.

    Parameters
    ----------
    study
        The fire.

    Returns
    -------
    Envelope

    Raises
    ------
    Cancelled
        The caller asked to stop.
    """
    found = run_corners(study, corners(study))
    limit = study.case().limit
    worst = _worst(found)
    if is_safe(found[worst].outcome) and found[worst].load > NEAR_LIMIT:
        found.update(_between(study, found, worst))
        worst = _worst(found)
    made = len(found)
    if is_safe(found[worst].outcome):
        sooner = _ending_sooner(study, found)
        made += len(sooner)
        found.update((c, e) for c, e in sooner.items() if not is_safe(e.outcome))
        worst = _worst(found)
    by_devices = {
        which: max((e for c, e in found.items() if c.devices == which), key=Ending.rank)
        for which in {corner.devices for corner in found}
    }
    slow = isothermal(study)
    ending = found[worst]
    crept = max(found, key=lambda corner: found[corner].creep_damage)
    if slow is not None:
        as_ending = Ending(_outcome_at(slow, limit), slow.use, None, limit)
        if as_ending.rank() > ending.rank():
            ending = as_ending
        else:
            slow = None
    return Envelope(
        corner=worst if slow is None else Corner(start=1.0),
        ending=ending,
        runs=made,
        isothermal=slow,
        working=by_devices.get("working"),
        credited=by_devices["credited"],
        most_crept=(crept, found[crept].creep_damage),
    )


def _ending_sooner(study: FireStudy, found: Mapping[Corner, Ending]) -> dict[Corner, Ending]:
    """Fires that end before something opens that opens in a run; more of them near the limit."""
    most = study.fire.duration  # what opens after the fire asks for no longer one
    first = run_corners(
        study, [one for c, e in found.items() for one in _sooner(c, e, (SOONER,), most)]
    )
    more = []
    for corner, ending in found.items():
        near = [ending.load, *(first[c].load for c in _sooner(corner, ending, (SOONER,), most))]
        if max(near) > NEAR_LIMIT:
            more += _sooner(corner, ending, SOONER_STILL, most)
    return first | run_corners(study, more)


def _sooner(corner: Corner, ending: Ending, shares: Iterable[float], most: float) -> list[Corner]:
    return [
        replace(corner, lasts=share * time)
        for time in ending.opened
        for share in shares
        if 0.0 < share * time < most
    ]


def _worst(found: dict[Corner, Ending]) -> Corner:
    return max(found, key=lambda corner: found[corner].rank())


def _outcome_at(slow: Isothermal, limit: float) -> Outcome:
    """The outcome of a very slow fire when the plug begins to open, or nothing gets hotter."""
    if not math.isfinite(slow.use):
        return "not converged"
    if slow.use > limit:
        return "ruptures" if slow.use >= 1.0 else "passes the limit"
    return "vents in time" if slow.plug else "outlasts the fire"


def _axis(corner: Corner, axis: str, study: FireStudy) -> float:
    """Where a corner stands on one axis."""
    if axis == "heat":
        return corner.heat
    if axis == "share":
        most = max((share for _, share in study.fire.exposed_share), default=0.0)
        return most if corner.share is None else corner.share
    if axis == "water":
        return 1.0 if corner.water is None else corner.water
    return math.inf if corner.start is None else corner.start


def _between(study: FireStudy, found: dict[Corner, Ending], worst: Corner) -> dict[Corner, Ending]:
    """Corners between the worst and its neighbours, on the axis that moves it most."""
    best: tuple[float, str, list[Corner]] = (0.0, "", [])
    for axis in ("start", "heat", "share", "water"):
        if axis == "start" and worst.start is None:
            continue
        line = sorted(
            (
                corner
                for corner in found
                if replace(corner, **{axis: getattr(worst, axis)}) == worst
                and math.isfinite(_axis(corner, axis, study))
            ),
            key=lambda corner: _axis(corner, axis, study),
        )
        place = line.index(worst)
        near = [line[k] for k in (place - 1, place + 1) if 0 <= k < len(line)]
        moves = max((abs(found[c].load - found[worst].load) for c in near), default=0.0)
        if moves > best[0]:
            best = (moves, axis, near)
    _, axis, near = best
    more: dict[Corner, Ending] = {}
    for other in near:
        here, there = worst, other
        for _ in range(HALVINGS):
            middle = 0.5 * (_axis(here, axis, study) + _axis(there, axis, study))
            corner = replace(worst, **{axis: middle})  # type: ignore[arg-type]
            more |= run_corners(study, [corner])
            known = found | more
            if known[corner].rank() > known[here].rank():
                here, there = corner, here
            else:
                there = corner
    return more


def isothermal(study: FireStudy) -> Isothermal | None:
    """Air and metal of each vessel at the melting point of its plug, the worst of them.

    A fire too weak to hurry heats all alike; the plug of a vessel opens at its liquidus at the
    latest, and in flames colder than that nothing gets hotter than they are. Where all stands in
    the flames only; ``None`` where no credited plug can be reached. A relief valve that the air
    can reach keeps the pressure to that of its full lift.
    """
    if not study.plugs_in_flames:
        return None
    case = study.case()
    ambient = study.installation.site.ambient_pressure
    highest = dict(study.cut.highest)
    parts = {part.id: part for part in study.installation.holders()}
    sets = [
        valve.set_pressure - ambient
        for valve in study.installation.relief_valves
        if valve.id not in study.uncredited
    ]
    credited = {
        plug.id: alloys.alloy(plug.alloy).liquidus
        for plug in study.installation.plugs
        if plug.id not in study.uncredited and plug.alloy is not None
    }
    hottest = change.hottest_wall_of(case)
    worst: Isothermal | None = None
    for index in case.vessel_indices:
        name = case.names[index]
        usable = {p: t for p, t in credited.items() if p in case.reach.get(name, frozenset())}
        if not usable:
            continue
        plug = min(usable, key=lambda one: usable[one])
        start = change.start_temperature(case, name)
        opens = usable[plug] <= max(hottest, start)
        temperature = usable[plug] if opens else max(hottest, start)
        part = parts[name]
        shut = ShutInAir(highest[name], start, holder_volume(part), part.condensate)
        gauge = float(shut.pressure(max(temperature, start))) - ambient
        if sets and temperature < change.relief_valve_dies_at(case):
            gauge = min(gauge, max(FULL_LIFT * min(sets), highest[name] - ambient))
        burst = change.burst_gauge(case, index, temperature)
        use = gauge / burst if burst > 0.0 else math.inf
        if worst is None or use > worst.use:
            worst = Isothermal(name, plug if opens else "", temperature, gauge + ambient, use)
    return worst


def doubts(study: FireStudy, worst: Corner) -> tuple[Doubt, ...]:
    """A safe fire with each assumption the other way, as stated and in its worst corner.

    Parameters
    ----------
    study
        The fire.
    worst
        The corner that ruled.

    Returns
    -------
    tuple of Doubt
        One for each of ``DOUBTS`` that applies, in its worse corner.
    """
    answers: dict[str, Doubt] = {}
    places: dict[str, Corner] = {"stated": STATED}
    if worst != STATED:
        places["worst"] = worst
    for place, corner in places.items():
        for what, ending in _doubted(study, corner):
            known = answers.get(what)
            if known is None or ending.rank() > known.ending.rank():
                answers[what] = Doubt(what, place, ending)  # type: ignore[arg-type]
    return tuple(answers[what] for what in DOUBTS if what in answers)


def _doubted(study: FireStudy, corner: Corner) -> Iterable[tuple[str, Ending]]:
    case = study.case(corner)
    changes = {
        "convection 0.6": change.inner_convection(0.6),
        "convection 1.4": change.inner_convection(1.4),
    }
    if case.relief_valves:
        changes["relief valve"] = change.relief_valves_stay_shut(case)
    if any(one.struck > 0.0 for one in case.covers.values()):
        changes[INSULATION] = change.insulation_resists(case, RESISTS_SHARE)
    if case.plugs:
        changes[HALF_BORE] = change.bore_opens_in_part(case, case.plugs, 0.5)
    bodies = [
        plug
        for plug in case.plugs
        if plug in case.bodies and case.plug_records[plug].response == "own body"
    ]
    if bodies:
        changes["contact"] = change.plug_contact(case, bodies, CONTACT_SHARE)
        changes["flames on the plug"] = change.no_flames_on(case, bodies)
        changes["metal at the plug"] = change.more_metal_at(case, bodies, MORE_METAL)
        changes[ALL_OF_THEM] = change.slow_plugs(case, bodies, CONTACT_SHARE, MORE_METAL)
    yield from zip(changes, study.endings(case, list(changes.values())), strict=True)
    if study.basis != CAUTIOUS_BASIS:
        other = study.case(corner, basis=CAUTIOUS_BASIS)
        (ending,) = study.endings(other, [{}])
        yield "strength basis", ending


def worse(verdict: Verdict, ending: Ending) -> Verdict:
    """The verdict of a full run, or the ending of the quick one where that is worse.

    The two follow the same case with other steps; on the limit they may fall on either side.
    """
    if badness(ending.outcome) <= badness(verdict.outcome) or is_safe(ending.outcome):
        return verdict
    codes: dict[str, ReasonCode] = {"ruptures": "ruptured", "passes the limit": "limit passed"}
    return replace(
        verdict,
        outcome=ending.outcome,
        peak_use=ending.peak_use,
        creep_damage=ending.creep_damage,
        rupture_time=ending.rupture_time,
        reason=replace(
            verdict.reason,
            code=codes.get(ending.outcome, "solver"),
            creep=ending.by_creep,
        ),
    )
