"""How the numbers of a burst come about, as formulas with values put in."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.model import Installation, Vessel
from airrisk.physics import blast, energy
from airrisk.physics.ideal_gas import EXPONENT
from airrisk.physics.vessel_burst import VesselBurst
from airrisk.quantities import GRAVITY
from airrisk.study.consequence_records import CaseRecord, MethodRecord, StandOffRecord
from airrisk.study.hand_calculation import strong_burst_traces
from airrisk.study.pieces import burst_source
from airrisk.study.records import Trace

TRACED_HARM = "walls and roofs collapse in part"  # its distance is worked by hand


def case_traces(
    installation: Installation,
    vessel: Vessel,
    record: CaseRecord,
    wave: VesselBurst,
    metal_temperature: float | None,
) -> Iterator[Trace]:
    """Every step of one case, in the order in which a person would do it.

    Parameters
    ----------
    installation, vessel
        What lets go.
    record
        The case, without traces.
    wave
        Its blast by the bursting-vessel method.
    metal_temperature
        Of the metal [K], where the strength of a strong specimen gives the pressure.
    """
    if metal_temperature is not None:
        yield from strong_burst_traces(installation, vessel, metal_temperature)
    yield from _energy_traces(installation, vessel, record)
    yield from _blast_traces(installation, record, wave)
    yield from _fragment_traces(installation, vessel, record)
    yield from _stand_off_traces(vessel, record)


def _energy_traces(
    installation: Installation, vessel: Vessel, record: CaseRecord
) -> Iterator[Trace]:
    ambient, energies = installation.site.ambient_pressure, record.energies_j
    pressure, volume = record.pressure_pa, vessel.volume - vessel.condensate
    state = {"p": pressure, "p_0": ambient, "V": volume, "k": EXPONENT}
    yield Trace("isentropic_energy", state, energies["isentropic"])
    tnt = {"E": energies["isentropic"], "e_T": record.tnt_energy_j_kg}
    yield Trace("tnt_mass", tnt, record.tnt_kg)
    yield Trace("brode_energy", state, energies["brode"])
    yield Trace("ground_burst_energy", state, 2.0 * energies["brode"])


def _blast_traces(
    installation: Installation, record: CaseRecord, wave: VesselBurst
) -> Iterator[Trace]:
    """Start of the wave, and the distance of one harm by both methods."""
    ambient, tnt = installation.site.ambient_pressure, record.tnt_kg
    start = {
        "x_s": wave.starting_overpressure / ambient,
        "T": record.temperature_k,
        "T_0": installation.site.ambient_temperature,
        "k": EXPONENT,
    }
    yield Trace("starting_pressure_ratio", start, record.pressure_pa / ambient)
    reach = {name: _distance_of(method, TRACED_HARM) for name, method in record.methods.items()}
    if reach["burst"] > 0.0:
        scaled = {"r_v": reach["burst"], "p_0": ambient, "E_b": wave.scaled_energy}
        yield Trace("burst_scaled_distance", scaled, float(wave.scaled_radius(reach["burst"])))
    z = reach["tnt"] / tnt ** (1 / 3)
    if blast.NEAREST < z < blast.FAR_JOIN:
        yield Trace("tnt_scaled_distance", {"r_v": reach["tnt"], "W": tnt}, z)
        place = blast.curve_place(z)
        yield Trace("tnt_curve_place", {"Z_s": z}, place)
        incident = float(blast.scaled_incident_overpressure(z))
        yield Trace("tnt_incident", {"u_K": place}, incident)


def _distance_of(method: MethodRecord, harm_name: str) -> float:
    return next(row.distance_m for row in method.thresholds if row.harm == harm_name)


def _fragment_traces(
    installation: Installation, vessel: Vessel, record: CaseRecord
) -> Iterator[Trace]:
    """Speeds of the ways of breaking, and the farthest range of the likely one."""
    pressure, thrown = record.pressure_pa, record.fragments
    source = burst_source(installation, vessel, pressure, record.temperature_k)
    brode = record.energies_j["brode"]
    casing, head = thrown.casing_mass_kg, thrown.head_mass_kg
    for share, speed in (
        (thrown.kinetic_share_likely, thrown.speed_likely_m_s),
        (thrown.kinetic_share_bound, thrown.speed_bound_m_s),
    ):
        yield Trace("energy_share_speed", {"s_k": share, "E": brode, "M_c": casing}, speed)
    gas = {"E": brode, "M_c": casing, "m": thrown.gas_mass_kg}
    yield Trace("moore_speed", gas, thrown.speed_moore_m_s)
    state = {
        "a": source.sound_speed,
        "p": pressure,
        "p_0": source.ambient_pressure,
        "r_i": 0.5 * vessel.inside_diameter,
    }
    plate = {**state, "m_A": source.metal_density * vessel.wall_thickness}
    yield Trace("baum_many_speed", plate, thrown.speed_baum_many_m_s)
    yield Trace("baum_end_cap_speed", {**state, "M_h": head}, thrown.speed_baum_end_cap_m_s)
    rest = casing - head
    rocket = {"I": thrown.speed_rocket_m_s * rest, "M_v": rest}
    yield Trace("rocket_speed", rocket, thrown.speed_rocket_m_s)
    likely = thrown.ways[0]
    speed, length = likely.launch_speed_m_s, likely.farthest_drag_length_m
    yield Trace("vacuum_range", {"u": speed, "g": GRAVITY}, likely.vacuum_range_m)
    density, wall = source.metal_density, vessel.wall_thickness
    drag = {"rho_m": density, "t": wall, "rho_a": source.ambient_density}
    coefficient = 2.0 * density * wall / (source.ambient_density * length)
    yield Trace("flight_length", {**drag, "C_D": coefficient}, length)
    launch = {"u": speed, "g": GRAVITY, "L_d": length}
    yield Trace("flight_number", launch, speed**2 / (GRAVITY * length))
    farthest = likely.longest_range_m
    yield Trace("flight_range", {"k_r": farthest / length, "L_d": length}, farthest)


def _stand_off_traces(vessel: Vessel, record: CaseRecord) -> Iterator[Trace]:
    """The stand-off of the pressure-test rule in its later editions, from its own energy."""
    found: StandOffRecord = record.stand_off[-1]
    if found.energy_j <= 0.0:
        return
    volume = vessel.volume - vessel.condensate
    state = {"p": record.pressure_pa, "V": volume, "p_at": energy.PCC2_AMBIENT}
    yield Trace("pcc2_energy", state, found.energy_j)
    tnt = {"E": found.energy_j, "e_T": energy.PCC2_TNT_ENERGY}
    yield Trace("tnt_mass", tnt, found.tnt_kg)
    farthest = max(found.scaled_m.values())
    scaled = farthest / (2.0 * found.tnt_kg) ** (1 / 3)
    yield Trace("pcc2_distance", {"Z_p": scaled, "W_p": found.tnt_kg}, farthest)
