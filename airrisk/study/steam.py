"""The steam of condensate in a fire run, until the vessel's air first gets out.

The transient carries dry air. Water in a vessel or a line adds the pressure of its vapour,
saturated at the temperature of the air until all of it has evaporated: in the part itself, where
its rupture decides, and in every vessel that its air can flow to, no more than fills both. The heat
that this takes and the steam that a relief valve lets out are left out, which is cautious. Once a
plug or disc that the air of the wet part can reach has opened, the steam is taken to leave with the
air; what boils on in a vessel after that is bounded in ``boil_off``, and where the bound passes the
limit the vessel does not vent in time.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import networkx as nx
import numpy as np

from airrisk.firetest import layout as at
from airrisk.firetest.case import FireCase
from airrisk.firetest.curves import RunCurves, at_times, curves
from airrisk.firetest.outcome import SingleEnd, end_of, verdict_of
from airrisk.firetest.run import FireRun
from airrisk.installation.model import Installation, Line, Vessel
from airrisk.installation.sections import devices_in_reach, gas_graph, holder_volume
from airrisk.installation.start import start_state
from airrisk.study.boil_off import Opening, boil_off
from airrisk.study.records import EventRecord
from airrisk.study.shut_in_air import ShutInAir
from airrisk.study.vents import VENTING, first_vents
from airrisk.verdict.rule import Verdict

PIPE_FRICTION = 0.03  # of an outlet pipe, rough, judgement
STORED, CLOSE = 600, 1200  # points of a run with a wet vessel: of its steps, and besides


@dataclass(frozen=True)
class WetVessel:
    """A part with condensate in one run: its peaks with the steam."""

    name: str
    peak_use: float
    peak_pressure: float
    rupture_time: float | None  # s, when the strength use with steam reaches 1
    lifts: Mapping[str, float]  # relief valve on the vessel -> s, when the steam lifts it


def steam_pressure(
    part: Vessel | Line, gas_temperature: np.ndarray, start: tuple[float, float] | None = None
) -> np.ndarray:
    """Pressure that condensate adds [Pa], above what the start pressure holds already.

    ``start`` is the pressure [Pa] and temperature [K] at the start; left out: a vessel's own.
    """
    if start is None:
        assert isinstance(part, Vessel)
        start = part.pressure, part.temperature
    air = ShutInAir(*start, holder_volume(part), part.condensate)
    added = air.vapour_pressure(gas_temperature) - air.vapour_pressure(start[1])
    return np.maximum(added, 0.0)


def neighbour_steam(
    source: Vessel | Line,
    start: tuple[float, float],
    target: Vessel | Line,
    gas_temperature: np.ndarray,
) -> np.ndarray:
    """Pressure that the condensate of one part adds in another that its air can flow to [Pa].

    ``start`` and ``gas_temperature`` are those of the source; its steam fills both parts.
    """
    room = holder_volume(source) + holder_volume(target) - target.condensate
    air = ShutInAir(*start, room, source.condensate)
    added = air.vapour_pressure(gas_temperature) - air.vapour_pressure(start[1])
    return np.maximum(added, 0.0)


def with_steam(
    part: Vessel | Line,
    ambient: float,
    vent_time: float,
    time: np.ndarray,
    pressure: np.ndarray,
    gas_temperature: np.ndarray,
    use: np.ndarray,
    start: tuple[float, float] | None = None,
    more: float | np.ndarray = 0.0,
) -> tuple[np.ndarray, np.ndarray]:
    """Pressure [Pa] and strength use of a wet part over time, steam added until it vents.

    ``more`` is the pressure of steam from a neighbour [Pa]; the higher of both counts.
    """
    added = np.maximum(steam_pressure(part, gas_temperature, start), more)
    added = np.where(time <= vent_time, added, 0.0)
    gauge = np.maximum(pressure - ambient, 1.0)
    return pressure + added, use * (1.0 + added / gauge)


def wet_parts(run: FireRun) -> dict[str, Vessel | Line]:
    """The parts of a run that hold condensate and whose rupture decides."""
    names = [run.case.names[index] for index in run.case.vessel_indices]
    parts = {name: run.case.parts[name] for name in names if name in run.case.parts}
    return {name: part for name, part in parts.items() if part.condensate > 0.0}


def steam_sources(installation: Installation, run: FireRun) -> dict[str, tuple[str, ...]]:
    """For each part whose rupture decides, the wet parts whose air can flow to it, itself too."""
    wet = [name for name, part in run.case.parts.items() if part.condensate > 0.0]
    if not wet:
        return {}
    graph = gas_graph(installation, closed_valves(installation, run))
    reach = {name: {name, *nx.descendants(graph, name)} for name in wet}
    targets = [run.case.names[index] for index in run.case.vessel_indices]
    found = {
        target: tuple(name for name in wet if target in reach[name])
        for target in targets
        if target in run.case.parts
    }
    return {target: names for target, names in found.items() if names}


def counting_parts(installation: Installation, run: FireRun) -> tuple[str, ...]:
    """The parts with condensate whose steam counts in a run, in themselves or elsewhere."""
    counted = {name for names in steam_sources(installation, run).values() for name in names}
    return tuple(name for name in run.case.parts if name in counted)


def history(installation: Installation, run: FireRun) -> RunCurves:
    """Histories of a run, steam of condensate included.

    Steam rises faster than the dry air that the steps of a run follow, so that a run with a wet
    vessel is drawn on closer points, those at which steam bursts it or lifts a valve among them.
    """
    sources = _sources(installation, run)
    return _moistened(installation, run, sources)[0] if sources else curves(run)


def wet_vessels(installation: Installation, run: FireRun) -> dict[str, WetVessel]:
    """Every part of a run with condensate whose rupture decides, judged with its steam."""
    sources = _sources(installation, run)
    return _moistened(installation, run, sources)[1] if sources else {}


def _sources(installation: Installation, run: FireRun) -> dict[str, tuple[str, ...]]:
    return {} if run.time.size < 2 else steam_sources(installation, run)


# the answers about one run ask for the same histories up to five times
_KNOWN: WeakKeyDictionary[FireRun, tuple[Installation, tuple[RunCurves, dict[str, WetVessel]]]] = (
    WeakKeyDictionary()
)


def _moistened(
    installation: Installation, run: FireRun, sources: Mapping[str, tuple[str, ...]]
) -> tuple[RunCurves, dict[str, WetVessel]]:
    known = _KNOWN.get(run)
    if known is not None and known[0] is installation:
        return known[1]
    found = _with_their_steam(installation, run, sources)
    _KNOWN[run] = (installation, found)
    return found


def _with_their_steam(
    installation: Installation, run: FireRun, sources: Mapping[str, tuple[str, ...]]
) -> tuple[RunCurves, dict[str, WetVessel]]:
    wet = _Wet(run.case.parts, sources)
    dry = curves(run, most=STORED)
    vents = vent_times(installation, run)
    times = np.union1d(dry.time_s, np.linspace(dry.time_s[0], dry.time_s[-1], CLOSE))
    fine = _moist(installation, wet, vents, at_times(dry, times))
    judged = _judged(installation, wet, vents, fine)
    named = [
        time
        for vessel in judged.values()
        for time in (vessel.rupture_time, *vessel.lifts.values())
        if time is not None
    ]
    return _moist(installation, wet, vents, at_times(dry, np.union1d(times, named))), judged


@dataclass(frozen=True)
class _Wet:
    """The parts of a run, and which of them get steam from where."""

    parts: Mapping[str, Vessel | Line]
    sources: Mapping[str, tuple[str, ...]]

    def from_neighbours(
        self, installation: Installation, target: str, vents: Mapping[str, float], dry: RunCurves
    ) -> float | np.ndarray:
        """Pressure of the steam that comes from other parts, until they vent [Pa]."""
        most: float | np.ndarray = 0.0
        for name in self.sources[target]:
            if name == target:
                continue
            source, hot = self.parts[name], dry.parts[name].gas_temperature_k
            start = start_state(installation, source)
            added = neighbour_steam(source, start, self.parts[target], hot)
            most = np.maximum(most, np.where(dry.time_s <= vents.get(name, math.inf), added, 0.0))
        return most


def _moist(
    installation: Installation, wet: _Wet, vents: Mapping[str, float], dry: RunCurves
) -> RunCurves:
    parts = dict(dry.parts)
    for name in wet.sources:
        part, curve = wet.parts[name], dry.parts[name]
        pressure, use = with_steam(
            part,
            installation.site.ambient_pressure,
            vents.get(name, math.inf),
            dry.time_s,
            curve.pressure_pa,
            curve.gas_temperature_k,
            curve.strength_use,
            start_state(installation, part),
            wet.from_neighbours(installation, name, vents, dry),
        )
        parts[name] = replace(curve, pressure_pa=pressure, strength_use=use)
    return replace(dry, parts=parts)


def _judged(
    installation: Installation, wet: _Wet, vents: Mapping[str, float], moist: RunCurves
) -> dict[str, WetVessel]:
    found = {}
    for name in wet.sources:
        curve, time = moist.parts[name], moist.time_s
        shut = time <= vents.get(name, math.inf)
        burst = _first_at(time[shut], curve.strength_use[shut], 1.0)
        intact = shut if burst is None else shut & (time <= burst)
        lifts = {
            valve.id: lift
            for valve in installation.relief_valves
            if valve.on == name
            and (lift := _first_at(time[intact], curve.pressure_pa[intact], valve.set_pressure))
            is not None
        }
        found[name] = WetVessel(
            name,
            1.0 if burst is not None else float(np.max(curve.strength_use[intact])),
            float(np.max(curve.pressure_pa[intact]))
            if burst is None
            else float(np.interp(burst, time, curve.pressure_pa)),
            burst,
            lifts,
        )
    return found


def _first_at(time: np.ndarray, values: np.ndarray, level: float) -> float | None:
    """When a history first reaches a level, s, on straight lines; None: not at all."""
    above = np.flatnonzero(values >= level * (1.0 - 1e-9))
    if not above.size:
        return None
    k = int(above[0])
    if k == 0 or values[k] <= level:
        return float(time[k])
    share = (level - values[k - 1]) / (values[k] - values[k - 1])
    return float(time[k - 1] + share * (time[k] - time[k - 1]))


def with_steam_lifts(
    events: Iterable[EventRecord], wet: Mapping[str, WetVessel]
) -> list[EventRecord]:
    """Events of the dry run, with relief valves that steam lifts sooner lifting then."""
    lifts = {name: time for vessel in wet.values() for name, time in vessel.lifts.items()}
    found = []
    seen: set[str] = set()
    for event in events:
        first = event.event == "relief valve lifts" and event.part not in seen
        if first and lifts.get(event.part, math.inf) < event.time_s:
            seen.add(event.part)
            found.append(replace(event, time_s=lifts[event.part]))
        else:
            found.append(event)
    lifted = {event.part for event in found if event.event == "relief valve lifts"}
    found += [
        EventRecord(time, "relief valve lifts", name)
        for name, time in lifts.items()
        if name not in lifted
    ]
    return sorted(found, key=lambda event: event.time_s)


def vent_times(installation: Installation, run: FireRun) -> dict[str, float]:
    """When the air of each part of a run first gets out, s."""
    events = [
        EventRecord(event.time, event.event, event.part)  # type: ignore[arg-type]
        for event in run.events
        if event.event in VENTING
    ]
    shut = closed_valves(installation, run)
    return first_vents(installation, shut, tuple(run.case.parts), events)


def closed_valves(installation: Installation, run: FireRun) -> tuple[str, ...]:
    """Valves that are shut in the run's fire."""
    fire = run.case.fire
    if fire.closed is not None:
        return fire.closed
    return tuple(valve.id for valve in installation.valves if valve.can_close)


def judge(installation: Installation, run: FireRun) -> Verdict:
    """The verdict on a run, steam of condensate included; never better than of its dry air.

    Parameters
    ----------
    installation
        The checked installation.
    run
        A finished run.

    Returns
    -------
    Verdict
    """
    end = end_of(run)
    if end.converged:
        end = _with_steam(installation, run, end)
        if verdict_of(end, run.case.limit).outcome == "vents in time":
            end = _with_boil_off(installation, run, end)
    return verdict_of(end, run.case.limit)


def _with_boil_off(installation: Installation, run: FireRun, end: SingleEnd) -> SingleEnd:
    """The end with a bound on what the condensate that boils on after the vent may do."""
    wet = {name: part for name, part in wet_parts(run).items() if isinstance(part, Vessel)}
    if not wet or run.time.size < 2:
        return end
    site, case = installation.site, run.case
    drawn = curves(run, most=STORED)
    vessels = {vessel.name: vessel for vessel in end.vessels}
    for name, part in wet.items():
        curve = drawn.parts[name]
        found = boil_off(
            part,
            case.fire,
            openings(installation, run, name),
            dry=(drawn.time_s, curve.pressure_pa, curve.hot_wall_temperature_k),
            basis=case.basis,
            burst_factor=float(case.floats[case.space_at(name, at.S_BURST_FACTOR)]),
            metal_load=_metal_load(case, name),
            ambient=(site.ambient_pressure, site.ambient_temperature),
        )
        if found is not None and found.strength_use > max(case.limit, vessels[name].peak_use):
            vessels[name] = replace(
                vessels[name], peak_use=found.strength_use, steam=True, boils_on=True
            )
    return replace(end, vessels=tuple(vessels.values()))


def _metal_load(case: FireCase, name: str) -> float:
    fields = ((at.S_HOT_MASS, at.S_COLD_MASS), (at.S_HOT_AREA, at.S_COLD_AREA))
    mass, area = (sum(case.floats[case.space_at(name, field)] for field in two) for two in fields)
    return float(mass / area)


def openings(installation: Installation, run: FireRun, part: str) -> list[Opening]:
    """The plugs and discs of a run that opened and that the air of a part can reach."""
    reach = devices_in_reach(installation, closed_valves(installation, run), part)
    case = run.case
    areas = {}
    for k, name in enumerate(case.discs):
        block = int(case.integers[at.I_F_DISC]) + k * at.D_SIZE
        areas[name] = float(case.floats[block + at.D_AREA] * case.floats[block + at.D_COEFFICIENT])
    for name in case.plugs:
        bore, coefficient, across, length = (
            float(case.floats[case.plug_at(name, field)])
            for field in (at.P_AREA, at.P_COEFFICIENT, at.P_PIPE_DIAMETER, at.P_PIPE_LENGTH)
        )
        areas[name] = bore * coefficient
        if across > 0.0:
            pipe = 0.25 * math.pi * across**2 / math.sqrt(1.5 + PIPE_FRICTION * length / across)
            areas[name] = 1.0 / math.sqrt(areas[name] ** -2 + pipe**-2)
    return [
        Opening(event.time, areas[event.part])
        for event in run.events
        if event.event in VENTING and event.part in reach
    ]


def _with_steam(installation: Installation, run: FireRun, end: SingleEnd) -> SingleEnd:
    """The end with the steam of condensate, until the air of a part first gets out."""
    vessels = {vessel.name: vessel for vessel in end.vessels}
    highest = end.peak_pressure
    for wet in wet_vessels(installation, run).values():
        dry = vessels[wet.name]
        if wet.peak_use <= dry.peak_use and wet.rupture_time is None:
            continue
        times = [time for time in (dry.rupture_time, wet.rupture_time) if time is not None]
        vessels[wet.name] = replace(
            dry,
            peak_use=max(wet.peak_use, dry.peak_use),
            rupture_time=min(times, default=None),
            steam=True,
            held_back=tuple(sorted(wet.lifts)),
        )
        highest = max(highest, wet.peak_pressure)
    return replace(end, vessels=tuple(vessels.values()), peak_pressure=highest)


def earliest_rupture(
    wet: Mapping[str, WetVessel], dry: tuple[float | None, str]
) -> tuple[float | None, str]:
    """The first rupture, s, and its vessel: of the dry air, or sooner with steam."""
    times = [(v.rupture_time, v.name) for v in wet.values() if v.rupture_time is not None]
    if dry[0] is not None:
        times.append((dry[0], dry[1]))
    return min(times, default=(None, ""))
