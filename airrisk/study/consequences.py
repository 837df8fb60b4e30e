"""If a vessel lets go: blast by two methods, fragments, stand-off, and who is within reach.

Four cases of each vessel: cold at its working pressure; cold, pressurised to the burst pressure of
a strong specimen; in a fire without any vent, at the crossing of heated air and strong metal; and
the rupture of the computed transient itself. A stronger vessel lets go with more energy, so these
cases take the high strength and the full wall; fire verdicts take the low one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from airrisk.installation.geometry import burst_factor, part_geometry, shell_grade
from airrisk.installation.model import Installation, Vessel
from airrisk.installation.people_places import away
from airrisk.messages import said
from airrisk.physics import blast, energy, harm, metal
from airrisk.physics.vessel_burst import VesselBurst, vessel_burst
from airrisk.study.consequence_records import (
    Case,
    CaseRecord,
    HarmReach,
    MethodRecord,
    OverpressureRow,
    PlaceBlast,
    ReachRecord,
    StandOffRecord,
    ThresholdRow,
    WayOfBreaking,
)
from airrisk.study.consequence_traces import case_traces
from airrisk.study.pieces import QUANTILES, fragment_record
from airrisk.study.records import FireRecord, PartRecord
from airrisk.study.shut_in_air import WATER_GAS_CONSTANT, ShutInAir

# preferred numbers, ten steps a decade
DISTANCES = tuple(
    round(float(base * 10**power), 6)
    for power in range(3)
    for base in (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)
    if base * 10**power <= 500
)
HOT = 700.0  # K
DENSE = 200e5  # Pa absolute
BOILING = 373.15  # K
# steam expands with k about 1.3: 1/(1.3 - 1) [1 - x^0.23] over 1/(1.4 - 1) [1 - x^0.29] is 1.14-1.2
STEAM_NOTE = said("steam-counts-as-air")
NOTABLE_FLASHING = 1.05  # of the distance; judgement
FAR = 10.0  # R*, end of the burst table
MERGE = 2.0  # R* beyond which a bursting vessel and an explosive make the same wave
ELONGATED = 1.25  # length over diameter from which the cylinder factors are taken; judgement
PEOPLE_HARM = "eardrum rupture begins"
ROOM_TEMPERATURE = 293.15


def vessel_consequences(
    installation: Installation,
    vessel: Vessel,
    part: PartRecord,
    fires: tuple[FireRecord, ...] = (),
    note: Callable[[str, Exception], object] | None = None,
    only: Case | None = None,
) -> dict[Case, CaseRecord]:
    """What happens if one vessel lets go, in up to four cases.

    Parameters
    ----------
    installation
        The checked installation.
    vessel, part
        The vessel and its screening record.
    fires
        Fire records, for the rupture of the transient.
    note
        Called with the vessel and the error where a case cannot be computed; the others follow.
        Left out: the error goes to the caller.
    only
        The one case that is asked; left out: all.

    Returns
    -------
    dict
        By case; one that cannot happen (never ruptures, or no pressure above ambient) is absent.
    """
    ambient = installation.site.ambient_pressure
    found: dict[Case, CaseRecord] = {}
    for case, state in _CASES.items():
        if only not in (None, case):
            continue
        try:
            at = state(installation, vessel, part, fires)
            if at is not None and at.pressure > ambient * 1.001:
                found[case] = _case_record(
                    installation, vessel, at.pressure, at.temperature, at.fire, at.metal_temperature
                )
        except Exception as error:
            if note is None:
                raise
            note(vessel.id, error)
    return found


@dataclass(frozen=True)
class _State:
    """Air in which a vessel lets go."""

    pressure: float  # Pa absolute
    temperature: float  # K
    fire: str | None = None
    # K, where the strength of a strong specimen gives the pressure
    metal_temperature: float | None = None


_Fires = tuple[FireRecord, ...]


def _cold_working(_: Installation, __: Vessel, part: PartRecord, ___: _Fires) -> _State:
    return _State(part.pressure_pa, part.temperature_k)


def _cold_burst(installation: Installation, vessel: Vessel, part: PartRecord, _: _Fires) -> _State:
    burst = strong_burst_pressure(installation, vessel, ROOM_TEMPERATURE)
    return _State(
        installation.site.ambient_pressure + burst,
        part.temperature_k,
        metal_temperature=ROOM_TEMPERATURE,
    )


def _fire_unvented(
    installation: Installation, vessel: Vessel, part: PartRecord, _: _Fires
) -> _State | None:
    crossing = _unvented_rupture(installation, vessel, part)
    return None if crossing is None else _State(*crossing, metal_temperature=crossing[1])


def _fire_transient(
    _: Installation, vessel: Vessel, __: PartRecord, fires: _Fires
) -> _State | None:
    own = transient_rupture(vessel.id, fires)
    return None if own is None else _State(*own)


_CASES: dict[Case, Callable[[Installation, Vessel, PartRecord, _Fires], _State | None]] = {
    "cold_working": _cold_working,
    "cold_burst": _cold_burst,
    "fire_unvented": _fire_unvented,
    "fire_transient": _fire_transient,
}


def strong_burst_pressure(installation: Installation, vessel: Vessel, temperature: float) -> float:
    """Gauge pressure at which a strong specimen of the vessel bursts.

    Parameters
    ----------
    installation
        Gives the burst formula.
    vessel
        Full wall and sound welds are taken.
    temperature
        Of the metal [K].

    Returns
    -------
    float
        Pa above ambient: the greatest tensile strength of the grade (or 1.25 times the least),
        reduced by temperature like the tensile strength.
    """
    steel = shell_grade(vessel)
    basis = metal.resolve_basis(vessel.material, "tensile")
    factor = burst_factor(vessel, installation.choices.burst_formula, "tensile", full_wall=True)
    hot = float(metal.strength(steel, basis, temperature))
    cold = float(metal.strength(steel, basis, ROOM_TEMPERATURE))
    return factor * steel.high_strength * hot / cold


def _unvented_rupture(
    installation: Installation, vessel: Vessel, part: PartRecord
) -> tuple[float, float] | None:
    """Where the heated air meets the strength of a strong specimen; None: not in range."""
    t = np.asarray(part.curve.temperature_k)
    p = np.asarray(part.curve.pressure_pa)
    cold = strong_burst_pressure(installation, vessel, ROOM_TEMPERATURE)
    basis = metal.resolve_basis(vessel.material, "tensile")
    curve = metal.strength(shell_grade(vessel), basis, t)
    cold_strength = float(metal.strength(shell_grade(vessel), basis, ROOM_TEMPERATURE))
    burst = installation.site.ambient_pressure + cold * curve / cold_strength
    over = p - burst
    above = np.flatnonzero(over >= 0)
    if not above.size:
        return None
    i = int(above[0])
    if i == 0:
        return float(p[0]), float(t[0])
    share = over[i - 1] / (over[i - 1] - over[i])
    return (
        float(p[i - 1] + share * (p[i] - p[i - 1])),
        float(t[i - 1] + share * (t[i] - t[i - 1])),
    )


def transient_rupture(name: str, fires: tuple[FireRecord, ...]) -> tuple[float, float, str] | None:
    """The rupture with the highest pressure, as stated or in a worst run, and its fire's id."""
    worst: tuple[float, float, str] | None = None
    for record in fires:
        beyond = record.envelope
        if beyond is not None and beyond.controlling_part == name and beyond.rupture_state:
            found = beyond.rupture_state["pressure_pa"], beyond.rupture_state["temperature_k"]
            if worst is None or found[0] > worst[0]:
                worst = (*found, record.id)
        event = next((e for e in record.events if e.event == "rupture" and e.part == name), None)
        if event is None:
            continue
        pressure: float | None = None
        temperature: float | None = None
        if record.curves is not None and name in record.curves.parts:
            at = int(np.searchsorted(record.curves.time_s, event.time_s * (1 - 1e-9)))
            at = min(at, len(record.curves.time_s) - 1)
            own = record.curves.parts[name]
            pressure, temperature = own.pressure_pa[at], own.gas_temperature_k[at]
        elif record.rupture_state:
            pressure = record.rupture_state["pressure_pa"]
            temperature = record.rupture_state["temperature_k"]
        if pressure is None or temperature is None:
            continue
        if worst is None or pressure > worst[0]:
            worst = (pressure, temperature, record.id)
    return worst


def _case_record(
    installation: Installation,
    vessel: Vessel,
    pressure: float,
    temperature: float,
    fire: str | None,
    metal_temperature: float | None,
) -> CaseRecord:
    site, choices = installation.site, installation.choices
    volume = vessel.volume - vessel.condensate
    ambient = site.ambient_pressure
    energies = {
        "brode": energy.brode_energy(pressure, volume, ambient),
        "isentropic": energy.isentropic_energy(pressure, volume, ambient),
        "isothermal": energy.isothermal_energy(pressure, volume, ambient),
        "availability": energy.availability(pressure, volume, ambient),
    }
    stored = energies["isentropic"]
    tnt = stored / choices.tnt_energy
    wave = burst_of(installation, vessel, pressure, temperature)
    methods = {"tnt": _tnt_method(tnt, choices.tnt_energy), "burst": _burst_method(wave)}
    pcc2_energy = energy.pcc2_energy(pressure, volume)
    pcc2_tnt = pcc2_energy / energy.PCC2_TNT_ENERGY
    offs = []
    for edition in ("2005/2008", "later"):
        found = harm.stand_off(pcc2_energy, pcc2_tnt, edition)
        offs.append(
            StandOffRecord(
                edition, pcc2_energy, pcc2_tnt, found.minimum_m, found.scaled_m, found.distance_m
            )
        )
    ratios = {
        a.harm: a.distance_m / b.distance_m
        for a, b in zip(methods["tnt"].thresholds, methods["burst"].thresholds, strict=True)
        if a.plan and b.distance_m > 0
    }
    thrown = fragment_record(installation, vessel, pressure, temperature, energies["brode"])
    notes = [
        said("flat-open-ground"),
        said("no-energy-for-fragments"),
        said("energies-of-tnt-and-burst"),
    ]
    if wave.shape == "cylinder":
        notes.append(said("burst-raised-for-length"))
    if methods["burst"].thresholds[0].distance_m > FAR * wave.length:
        notes.append(said("tnt-falls-faster-far-away"))
    if temperature > HOT:
        notes.append(said("constant-heat-ratio"))
    if pressure > DENSE:
        notes.append(said("real-air-above-200-bar"))
    if vessel.condensate > 0.0 and temperature > BOILING:
        notes.append(STEAM_NOTE)
        longer = longer_by_flashing(vessel, temperature, stored)
        if longer > NOTABLE_FLASHING:
            notes.append(said("flashing-water-reaches-farther", factor=f"{longer:.2g}"))
    if not wave.in_range:
        notes.append(said("outside-burst-table"))
    record = CaseRecord(
        energy_j=stored,
        tnt_kg=tnt,
        methods=methods,
        fragments=thrown,
        pressure_pa=pressure,
        temperature_k=temperature,
        energies_j=energies,
        tnt_energy_j_kg=choices.tnt_energy,
        believe="burst near, both far",
        believe_beyond_m=MERGE * wave.length,
        tnt_over_burst=ratios,
        stand_off=tuple(offs),
        fire=fire,
        notes=tuple(notes),
    )
    traces = case_traces(installation, vessel, record, wave, metal_temperature)
    return replace(record, traces=tuple(traces))


def longer_by_flashing(vessel: Vessel, temperature: float, stored: float) -> float:
    """Blast distance with the energy of the liquid water that flashes, over that without.

    Parameters
    ----------
    vessel
        With condensate.
    temperature
        Of air and water [K].
    stored
        Energy of the air and steam [J].

    Returns
    -------
    float
        Cube root of the energies' ratio; the water that has evaporated already is taken off.
    """
    air = ShutInAir(vessel.pressure, vessel.temperature, vessel.volume, vessel.condensate)
    steam = float(air.vapour_pressure(temperature)) * air.volume
    liquid = max(air.water - steam / (WATER_GAS_CONSTANT * temperature), 0.0)
    return float(((stored + liquid * energy.flash_energy(temperature)) / stored) ** (1.0 / 3.0))


def burst_of(
    installation: Installation, vessel: Vessel, pressure: float, temperature: float
) -> VesselBurst:
    """Bursting-vessel blast of a vessel standing on the ground at a given state.

    Parameters
    ----------
    installation
        Gives the surroundings.
    vessel
        Its volume and shape.
    pressure, temperature
        Of the air inside [Pa absolute, K].

    Returns
    -------
    VesselBurst
        Energy doubled for the ground; cylinder factors from a length of 1.25 diameters.
    """
    shape = part_geometry(vessel)
    long = shape.overall_length > ELONGATED * vessel.inside_diameter
    return vessel_burst(
        pressure,
        temperature,
        vessel.volume - vessel.condensate,
        installation.site.ambient_pressure,
        installation.site.ambient_temperature,
        ground="surface",
        shape="cylinder" if long else "sphere",
    )


def _rows(*columns: np.ndarray) -> tuple[OverpressureRow, ...]:
    return tuple(
        OverpressureRow(*row)
        for row in zip(DISTANCES, *(column.tolist() for column in columns), strict=True)
    )


def _threshold_rows(distances: np.ndarray) -> tuple[ThresholdRow, ...]:
    return tuple(
        ThresholdRow(
            row.harm, row.incident_pa, distance, row.source, row.target, row.standing, row.plan
        )
        for row, distance in zip(harm.thresholds(), distances.tolist(), strict=True)
    )


def _threshold_pressures() -> np.ndarray:
    return np.array([row.incident_pa for row in harm.thresholds()])


def _tnt_method(tnt_mass: float, tnt_energy: float) -> MethodRecord:
    answer = blast.tnt_blast(np.array(DISTANCES), tnt_mass)
    far = blast.distance_for_overpressure(_threshold_pressures(), tnt_mass)
    return MethodRecord(
        overpressure=_rows(
            answer.incident_overpressure, answer.reflected_overpressure, answer.incident_impulse
        ),
        thresholds=_threshold_rows(far),
        starting_overpressure_pa=None,
        in_range=bool(answer.in_range.all()),
        inputs={"tnt_kg": tnt_mass, "tnt_energy_j_kg": tnt_energy, "ground": "hemispherical"},
    )


def _burst_method(wave: VesselBurst) -> MethodRecord:
    at = np.array(DISTANCES)
    return MethodRecord(
        overpressure=_rows(
            wave.incident(at),
            wave.reflected(at),
            wave.incident_impulse(at),
            wave.sphere_incident(at),
        ),
        thresholds=_threshold_rows(wave.distance_for(_threshold_pressures())),
        starting_overpressure_pa=wave.starting_overpressure,
        in_range=wave.in_range,
        inputs={
            "brode_energy_j": wave.energy,
            "scaled_energy_j": wave.scaled_energy,
            "vessel_radius_m": wave.vessel_radius,
            "ground": wave.ground,
            "shape": wave.shape,
        },
    )


def _share_beyond(way: WayOfBreaking, distance: float) -> float:
    return float(1 - np.interp(distance, way.range_quantiles_m, QUANTILES, left=0.0, right=1.0))


def people_reach(
    installation: Installation,
    results: Mapping[str, Mapping[Case, CaseRecord]],
    note: Callable[[str, Exception], object] | None = None,
) -> tuple[ReachRecord, ...]:
    """Which harm reaches which place with people, by both methods.

    Parameters
    ----------
    installation
        Its people and the plan positions of its vessels.
    results
        Answers of ``vessel_consequences`` by vessel.
    note
        Called with the place and the error where an answer cannot be computed; the others follow.
        Left out: the error goes to the caller.

    Returns
    -------
    tuple of ReachRecord
        One for each place, vessel whose distance is known and case. The distance is at least the
        vessel's radius; where the direction is not known it is the least that may be.
    """
    found = []
    vessels = {vessel.id: vessel for vessel in installation.vessels}
    for place in installation.people:
        for name, cases in results.items():
            vessel = vessels[name]
            far = away(installation, place, vessel)
            if far is None:
                continue
            distance = max(far.nearest, 0.5 * vessel.inside_diameter)
            for case, record in cases.items():
                try:
                    found.append(
                        _reach(installation, vessel, place.id, place.kind, case, record, distance)
                    )
                except Exception as error:
                    if note is None:
                        raise
                    note(place.id, error)
    return tuple(found)


def _place_blast(
    method: MethodRecord, incident: float, reflected: float, impulse: float, distance: float
) -> PlaceBlast:
    return PlaceBlast(
        incident_pa=incident,
        reflected_pa=reflected,
        incident_impulse_pa_s=impulse,
        harms=tuple(
            HarmReach(
                row.harm,
                row.target,
                row.distance_m >= distance,
                row.distance_m,
                distance - row.distance_m,
            )
            for row in method.thresholds
        ),
        share_affected={
            probit.harm: float(harm.share_affected(probit, incident)) for probit in harm.probits()
        },
    )


def _reach(
    installation: Installation,
    vessel: Vessel,
    people: str,
    kind: str,
    case: Case,
    record: CaseRecord,
    distance: float,
) -> ReachRecord:
    tnt = blast.tnt_blast(distance, record.tnt_kg)
    wave = burst_of(installation, vessel, record.pressure_pa, record.temperature_k)
    methods = {
        "tnt": _place_blast(
            record.methods["tnt"],
            float(tnt.incident_overpressure[0]),
            float(tnt.reflected_overpressure[0]),
            float(tnt.incident_impulse[0]),
            distance,
        ),
        "burst": _place_blast(
            record.methods["burst"],
            float(wave.incident(distance)[0]),
            float(wave.reflected(distance)[0]),
            float(wave.incident_impulse(distance)[0]),
            distance,
        ),
    }
    flat = record.fragments.flat_flight
    speed = float(
        np.interp(
            distance, [row.distance_m for row in flat], [row.median_speed_m_s for row in flat]
        )
    )
    ears = next(row for row in methods["burst"].harms if row.harm == PEOPLE_HARM)
    return ReachRecord(
        people=people,
        kind=kind,
        vessel=vessel.id,
        case=case,
        distance_m=distance,
        methods=methods,
        incident_ratio=methods["tnt"].incident_pa / methods["burst"].incident_pa,
        beyond_share={way.way: _share_beyond(way, distance) for way in record.fragments.ways},
        flat_speed_m_s=speed,
        reached_by_people_harm=ears.reaches,
        stand_off_kept=distance >= record.stand_off[-1].distance_m,
    )
