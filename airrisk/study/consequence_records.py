"""Records of what happens when a vessel lets go or vents: SI numbers, keys end in their unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from airrisk.study.records import Trace

Case = Literal["cold_working", "cold_burst", "fire_unvented", "fire_transient"]
Believe = Literal["burst near, both far", "burst"]


@dataclass(frozen=True)
class OverpressureRow:
    """Blast at one distance from the vessel's centre."""

    distance_m: float
    incident_pa: float
    reflected_pa: float
    incident_impulse_pa_s: float
    sphere_incident_pa: float | None = None  # bursting vessel: without the factor of its shape


@dataclass(frozen=True)
class ThresholdRow:
    """How far one kind of harm reaches; distance 0: not even at the vessel."""

    harm: str
    incident_pa: float
    distance_m: float
    source: str
    target: str
    standing: str
    plan: bool  # one line of each kind, for plans and short tables


@dataclass(frozen=True)
class MethodRecord:
    """Blast by one method."""

    overpressure: tuple[OverpressureRow, ...]
    thresholds: tuple[ThresholdRow, ...]
    starting_overpressure_pa: float | None  # bursting vessel: at its surface
    in_range: bool  # False: an edge of the curves or of the table was taken
    inputs: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True)
class WayOfBreaking:
    """Pieces of one way of breaking and how far they fly."""

    way: str
    launch_speed_m_s: float
    pieces: str  # how many
    mass_10_kg: float
    mass_50_kg: float
    mass_90_kg: float
    range_50_m: float
    range_90_m: float
    range_99_m: float
    longest_range_m: float  # best elevation of the farthest-flying piece
    vacuum_range_m: float  # v^2/g
    hazardous_share: float  # of pieces that land with the hazardous energy or more
    hazardous_range_m: float | None
    range_quantiles_m: tuple[float, ...]  # at 0, 5, ... 100 % of pieces
    farthest_drag_length_m: float = 0.0  # M / (rho Cd A) of the piece of ``longest_range_m``


@dataclass(frozen=True)
class FlightSpeedRow:
    """Speed and energy in flat flight at one distance (few pieces, likely share)."""

    distance_m: float
    median_speed_m_s: float
    fast_speed_m_s: float  # 99 % of pieces are slower
    median_energy_j: float


@dataclass(frozen=True)
class FragmentRecord:
    """Pieces of one vessel in one case; bounded apart from the blast (not a share of it)."""

    casing_mass_kg: float
    head_mass_kg: float
    gas_mass_kg: float
    kinetic_share_likely: float
    kinetic_share_bound: float
    speed_likely_m_s: float
    speed_bound_m_s: float
    speed_moore_m_s: float
    speed_baum_many_m_s: float
    speed_baum_end_cap_m_s: float
    speed_rocket_m_s: float
    ways: tuple[WayOfBreaking, ...]
    flat_flight: tuple[FlightSpeedRow, ...]
    hazardous_energy_j: float


@dataclass(frozen=True)
class StandOffRecord:
    """Stand-off distance of ASME PCC-2, by the standard's own energy and TNT mass."""

    edition: str
    energy_j: float
    tnt_kg: float
    minimum_m: float | None
    scaled_m: Mapping[str, float]
    distance_m: float


@dataclass(frozen=True)
class CaseRecord:
    """One vessel letting go in one case."""

    energy_j: float  # isentropic, the measure of the TNT mass
    tnt_kg: float
    methods: Mapping[str, MethodRecord]
    fragments: FragmentRecord
    pressure_pa: float
    temperature_k: float
    energies_j: Mapping[str, float]  # brode, isentropic, isothermal, availability
    tnt_energy_j_kg: float
    believe: Believe
    believe_beyond_m: float  # beyond it (R* = 2) both methods hold, nearer TNT overstates
    tnt_over_burst: Mapping[str, float]  # plan threshold -> ratio of distances
    stand_off: tuple[StandOffRecord, ...]
    fire: str | None = None  # fire_transient: the fire it is taken from
    notes: tuple[str, ...] = ()
    traces: tuple[Trace, ...] = ()


@dataclass(frozen=True)
class HarmReach:
    """Whether one kind of harm reaches a place, and by how much."""

    harm: str
    target: str
    reaches: bool
    distance_m: float  # how far the harm reaches
    margin_m: float  # distance of the place less that; negative: inside


@dataclass(frozen=True)
class PlaceBlast:
    """Blast at one place by one method."""

    incident_pa: float
    reflected_pa: float
    incident_impulse_pa_s: float
    harms: tuple[HarmReach, ...]
    share_affected: Mapping[str, float]  # probit -> 0 to 1


@dataclass(frozen=True)
class ReachRecord:
    """One place with people against one vessel in one case."""

    people: str
    kind: str
    vessel: str
    case: Case
    distance_m: float
    methods: Mapping[str, PlaceBlast]
    incident_ratio: float  # TNT over bursting vessel at this place
    beyond_share: Mapping[str, float]  # way of breaking -> share of pieces flying farther
    flat_speed_m_s: float  # median piece in flat flight, likely share
    reached_by_people_harm: bool  # eardrum threshold or worse, bursting vessel method
    stand_off_kept: bool  # farther than the PCC-2 distance, later edition


@dataclass(frozen=True)
class RoomRecord:
    """What the air of the parts joined with a device (as drawn) does to the room it enters."""

    room: str
    from_parts: tuple[str, ...]
    free_air_m3: float
    room_share: float
    sealed_pressure_rise_pa: float
    agent_left_share: float | None  # None: no extinguishing gas
    spoils_extinguishing_gas: bool
    feeds_fire: bool  # always where it enters a room: fresh air on a fire


@dataclass(frozen=True)
class DischargeRecord:
    """What an open plug or valve lets out of the part it stands on."""

    device: str
    on: str
    pressure_pa: float
    temperature_k: float
    flow_kg_s: float
    emptied_parts: tuple[str, ...]  # joined with the device's part as drawn
    emptied_volume_m3: float
    empty_isothermal_s: float  # no heat from a fire; joined parts at this pressure
    empty_adiabatic_s: float
    reaction_force_n: float
    noise_at_1_m_db: float
    noise_at_30_m_db: float
    noise_in_range: bool
    noise_140_db_m: float
    noise_85_db_m: float
    noise_at_people_db: Mapping[str, float]
    jet_speed_m_s: float
    jet_20_m_s_m: float  # distance at which the mean axis speed is 20 m/s
    jet_5_m_s_m: float
    jet_at_people_m_s: Mapping[str, float]  # if it points at them
    towards: str  # place of the outlet; empty: not stated
    remark: str  # on where the air goes, in free words
    piped: bool
    room: RoomRecord | None
    traces: tuple[Trace, ...] = ()
