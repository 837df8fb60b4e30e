"""The answers of a study as plain frozen records: SI numbers, never formatted text.

Field names equal the keys of the JSON output: they end in their unit, ``_pa`` is absolute,
``_gauge_pa`` above the site's atmosphere. ``None`` means "does not apply" or "not computed".
One record feeds window, report, JSON and tests.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias, get_args

from airrisk.installation import model
from airrisk.installation.model import Action, FireClass, SourceKind
from airrisk.quantities import STANDARD_ATMOSPHERE
from airrisk.study.curve import Curve
from airrisk.verdict.rule import Outcome, Reason, load_of

Severity: TypeAlias = model.Severity
SEVERITIES: tuple[Severity, ...] = get_args(Severity)  # the worst first
KeptBy = Literal["heat", "pressure", "none"]
# of the shell that an assumed fire heats, by its class
ASSUMED_SHARES: Mapping[str, float] = {"whole": 1.0, "beside": 0.25, "spot": 0.05}
# W/m2, of a jet flame on a spot: judgement, between the two levels of 250 and 350 kW/m2 by which
# NORSOK S-001 designs (read in an abstract). Natural-gas jets of 2.9 to 19.5 kg/s on a pipe gave
# 60 to 290 as the mean of a side's gauges and 350 to 425 kW/m2 as the highest (read).
JET_FLUX = 300e3
Burning = Literal[SourceKind, "room"]  # what burns where it stands, or all of a room with it
EventKind = Literal[
    "plug opens", "relief valve lifts", "relief valve reseats", "disc bursts",
    "rupture", "line ruptures", "empty", "fire ends",
]  # fmt: skip
FORMAT = 2


@dataclass(frozen=True)
class Trace:
    """One computed number with its formula key (resources/formulas.toml) and the values put in."""

    key: str
    inputs: Mapping[str, float]
    result: float
    state: Literal["", "cold", "start", "lift", "design", "rupture"] = ""  # of the part


@dataclass(frozen=True)
class EnergiesRecord:
    """Stored energy by five measures, J."""

    brode: float
    isentropic: float
    isothermal: float
    availability: float
    isentropic_real: float


FALL = 10.0  # m, a house of three storeys
CAR_MASS = 1500.0  # kg


@dataclass(frozen=True)
class StoredEnergy:
    """What the air of one part could do as it is shut in at the start."""

    energies: EnergiesRecord  # J
    pressure_times_volume_j: float  # gauge pressure times volume: no energy that can be had
    falling_mass_kg: float  # that falls by ``FALL`` with the isentropic energy
    car_speed_m_s: float  # of a car of ``CAR_MASS`` with the isentropic energy


@dataclass(frozen=True)
class HeatingCurve:
    """Heating at constant volume: pressure and burst pressure against temperature."""

    temperature_k: Curve
    pressure_pa: Curve
    burst_pressure_pa: Curve  # absolute: ambient + burst gauge, chosen basis


@dataclass(frozen=True)
class RulerMark:
    """One tick of the order of events on the temperature axis."""

    kind: Literal[
        "running", "plug solidus", "plug liquidus", "relief lift", "design pressure", "rupture"
    ]
    source: str  # id of the device or part, or the strength basis for "rupture"
    temperature_k: float | None  # None: never within the range
    pressure_pa: float | None = None


@dataclass(frozen=True)
class OilForPlug:
    """How much oil burned inside goes with the melting of a plug; None: the oxygen is too little.

    ``air_kg`` brings the air alone to the plug's liquidus: with less it cannot melt. ``metal_kg``
    brings air and wall there together: with so much it does.
    """

    air_kg: float | None
    metal_kg: float | None


@dataclass(frozen=True)
class OilInside:
    """Oil that burns at once in the shut-in air of a part, its walls still as at the start.

    The film is that of so much oil evenly on the inner surface.
    """

    surface_m2: float
    most_kg: float  # what the oxygen inside can burn
    most_film_thickness_m: float
    most_pressure_pa: float  # an upper bound
    rupture_pressure_pa: float
    rupture_kg: float | None  # None: all the oxygen is not enough
    rupture_film_thickness_m: float | None
    rupture_gas_temperature_k: float | None
    plugs: Mapping[str, OilForPlug]


@dataclass(frozen=True)
class HeatingRecord:
    """One vessel or line heated shut in: its air, its limits and their order."""

    id: str
    kind: Literal["vessel", "line"]
    volume_m3: float
    surface_m2: float
    wall_mass_kg: float
    gas_mass_kg: float
    pressure_pa: float
    temperature_k: float
    burst_pressure_cold_gauge_pa: float
    design_pressure_temperature_k: float | None
    relief_lift_temperature_k: float | None
    rupture_temperature_k: float | None
    rupture_pressure_pa: float | None
    rupture_temperature_by_basis_k: Mapping[str, float | None]
    curve: HeatingCurve
    marks: tuple[RulerMark, ...]
    plug_margin_k: Mapping[str, float | None]  # plug id -> rupture T less liquidus


@dataclass(frozen=True)
class PartRecord(HeatingRecord):
    """Screening of one vessel or line: the order of events and the stored energy."""

    stored_energy_j: EnergiesRecord
    rupture_energy_j: EnergiesRecord | None
    tnt_kg: float
    pcc2_energy_j: float
    pcc2_tnt_kg: float
    traces: tuple[Trace, ...] = ()  # not part of the JSON answer
    oil_inside: OilInside | None = None


@dataclass(frozen=True)
class SectionRecord:
    """Parts that stay joined when the given valves are closed."""

    id: str
    members: tuple[str, ...]
    closed_valves: tuple[str, ...]
    volume_m3: float
    plugs: tuple[str, ...]
    relief_valves: tuple[str, ...]


@dataclass(frozen=True)
class ProtectionRecord:
    """Whether a part can always vent through a heated plug, and the worst valve position.

    ``why`` is what the part is sure to have in every position of the valves. ``worst_valves``
    is the smallest set of closed valves that robs it of its heated plug (empty: protected, or
    never had one), ``last_valves`` the smallest set that leaves it nothing better than ``why``.
    """

    protected: bool
    by: tuple[str, ...]  # heated plugs (or open line ends) that can always be reached
    worst_valves: tuple[str, ...]
    why: str  # heated plug | open end | reachable, not heated | pressure alone | nothing
    last_valves: tuple[str, ...] = ()
    left: tuple[str, ...] = ()  # devices that can always be reached and back ``why``
    at_best: tuple[str, ...] = ()  # heated plugs reached when every valve is open
    area: str | None = None  # the compartment on fire that decides
    fire: str | None = None  # the file's fire that decides; None: the whole compartment burns


@dataclass(frozen=True)
class EventRecord:
    """Something that happened in a fire."""

    time_s: float
    event: EventKind
    part: str


NO_CURVE = Curve()


@dataclass(frozen=True)
class PartCurves:
    """Time histories of one part in a fire (same length as ``time_s``)."""

    pressure_pa: Curve
    gas_temperature_k: Curve
    hot_wall_temperature_k: Curve
    cold_wall_temperature_k: Curve
    strength_use: Curve
    gas_mass_kg: Curve
    creep_damage: Curve = NO_CURVE  # empty: hardly any
    creep_damage_mean: Curve = NO_CURVE  # by the middle of the tests
    creep_damage_omega: Curve = NO_CURVE  # by the creep rate


@dataclass(frozen=True)
class PlugCurves:
    """Time histories of one plug in a fire."""

    temperature_k: Curve
    melted_share: Curve
    open: tuple[bool, ...]


@dataclass(frozen=True)
class FireCurves:
    """Sampled histories of a fire run, at most 2000 points, event times included."""

    time_s: Curve
    parts: Mapping[str, PartCurves]
    plugs: Mapping[str, PlugCurves]


@dataclass(frozen=True)
class Balance:
    """Closure of a run, relative, checked outside the solver."""

    mass_rel: float
    energy_rel: float


@dataclass(frozen=True)
class BoreSearch:
    """Smallest bore of one plug that passes one fire."""

    exact_m: float | None  # None: no bore is enough
    usual_m: float | None  # next usual bore at or above ``exact_m``
    late_by_s: float | None  # when none is enough: how late the plug opens
    latest_melting_k: float | None  # highest melting temperature that still passes
    thinnest_wall_m: float | None  # smallest wall of the controlling vessel that still passes
    api521_area_m2: float | None
    api521_inputs: Mapping[str, float] = field(default_factory=dict)
    least_opening_share: float | None = None  # of the fitted bore that must open to pass


@dataclass(frozen=True)
class Margins:
    """How far the answer is from the other one."""

    # rupture of a vessel when nothing opens, less the vent of its air: of two different runs
    vent_before_rupture_s: float | None
    strength_use: float  # limit less peak use
    strength_use_limit: float
    plug_temperature_at_limit_k: Mapping[str, float | None]  # when the metal reaches its limit
    controlling_part: str | None  # the vessel with the smallest margin


@dataclass(frozen=True)
class Cure:
    """A change of the file after which a fire is safe, proven by its whole envelope."""

    kind: Literal["renew", "bore", "place", "alloy", "place and bore", "alloy and bore", "fit"]
    device: str  # the plug it is about; of "fit" the id of the new one
    changes: tuple[tuple[str, str, str], ...]  # (record id, field, new value text)
    bore_m: float
    melting_k: float
    peak_strength_use: float
    added: tuple[tuple[str, str], ...] = ()  # fields of a plug to add: (field, value text)
    advised_m: float | None = None  # the bore that ``changes`` or ``added`` write, with a margin
    api521_area_m2: float | None = None  # by the rule for gas-filled vessels, to compare
    runs: int = 0  # that prove it
    creep_damage: float = 0.0


@dataclass(frozen=True)
class NoCure:
    """Why no change of a plug makes an unsafe fire safe."""

    code: Literal["out of the flames", "too hot", "too late"]
    tried: tuple[str, ...]  # alloys
    lowest_solidus_k: float  # that normal running leaves


@dataclass(frozen=True)
class CreepOtherwise:
    """The creep damage of the worst vessel of a run, counted in two other ways."""

    mean: float  # by the middle of the tests
    omega: float  # by the creep rate


@dataclass(frozen=True)
class InsulationRecord:
    """The insulation of a part in a fire."""

    counted: bool  # whether it is confirmed and holds in this fire
    outer_k: float  # the hottest that its outer face can come to; infinite: no bound
    holds_to_k: float | None  # None: not stated
    resistance_m2_k_w: float  # in this fire, if it is there
    unconfirmed: bool  # nobody may count on it in any fire


@dataclass(frozen=True)
class CornerRecord:
    """The run of an envelope that ruled: what sets it apart from the fire as stated."""

    start_pa: float  # of the controlling part, absolute
    start: Literal["stated", "highest", "thinner"]
    heat: float  # incident radiation over the stated one
    share: float | None  # largest share of a shell in the fire
    devices: Literal["credited", "working"]
    inner_radiation: Literal["on", "off"]
    # air and metal all at the melting point of the plug, or as hot as the fire gets
    isothermal_k: float | None = None
    condensate: float | None = None  # share of the stated condensate; None: all of it
    # insulation that is there: what counts, the rest too where no fire strikes it, or all
    layers: Literal["counted", "unstruck", "all"] = "counted"
    machines: Literal["as stated", "stopped"] = "as stated"  # compressors in the fire
    lasts_s: float | None = None  # the fire ends then; None: as stated


@dataclass(frozen=True)
class EnvelopeRecord:
    """The worst of all the runs that the verdict on one fire answers for."""

    runs: int
    corner: CornerRecord
    outcome: Outcome
    reason: Reason
    peak_strength_use: float | None
    peak_pressure_pa: float | None
    rupture_s: float | None
    first_vent_s: float | None
    first_vent_by_part_s: Mapping[str, float]
    controlling_part: str
    creep_damage: float | None = None  # None: no data for the metal of any vessel
    creep_otherwise: CreepOtherwise | None = None  # None: hardly any damage
    rupture_state: Mapping[str, float] = field(default_factory=dict)  # of the controlling part
    # the worst with only the devices that may be counted on, and with all of them working
    outcome_credited: Outcome = "not converged"
    outcome_working: Outcome | None = None  # None: nothing else could work


ALL_OF_THEM = "slow plug"
HALF_BORE = "half the bore"
# unlikely enough to leave a verdict sure; judgement
TOLD_ONLY = frozenset({ALL_OF_THEM, HALF_BORE})


@dataclass(frozen=True)
class DoubtRecord:
    """A safe fire again with one assumption the other way."""

    what: str  # see study.envelope.DOUBTS
    outcome: Outcome
    safe: bool
    peak_strength_use: float
    at: Literal["stated", "worst", "most creep"]
    creep_damage: float = 0.0

    @property
    def counts(self) -> bool:
        """Whether a safe verdict that it turns is not sure; else it is only told."""
        return self.what not in TOLD_ONLY


@dataclass(frozen=True)
class FireRecord:
    """One fire against one section, on the chosen strength basis.

    Numbers, events, curves and ``outcome`` are those of the run as stated (its start pressure,
    full heat). ``safe`` is the verdict: true only if every run of the envelope is safe; ``None``
    while the envelope of a changing value has not been run.
    """

    id: str
    section: str
    closed_valves: tuple[str, ...]
    fire_class: FireClass
    outcome: Outcome
    reason: Reason
    kept_by: KeptBy
    safe: bool | None
    events: tuple[EventRecord, ...]
    peak_pressure_pa: float | None
    peak_strength_use: float | None
    rupture_nothing_opens_s: float | None  # no plug, disc or relief valve opens
    smallest_bore_m: Mapping[str, float | None]
    by_basis: Mapping[str, Outcome]
    inner_radiation: Literal["on", "off"]
    balance: Balance | None
    curves: FireCurves | None
    members: tuple[str, ...] = ()
    vessels: tuple[str, ...] = ()  # of the members
    exposed: tuple[str, ...] = ()
    envelope: EnvelopeRecord | None = None
    sure: bool | None = None  # of a safe verdict: no doubt turns it
    doubts: tuple[DoubtRecord, ...] = ()
    unconfirmed: tuple[str, ...] = ()  # parts with offered values: never sure
    bores: Mapping[str, BoreSearch] = field(default_factory=dict)
    margins: Margins | None = None
    cures: tuple[Cure, ...] = ()
    no_cure: NoCure | None = None  # None: there are cures, or none was sought
    uncredited: Mapping[str, str] = field(default_factory=dict)  # device -> why
    # compressors that feed an unsafe fire, which is safe in every run with all of them stopped
    safe_if_stopped: tuple[str, ...] = ()
    reaction_force_n: Mapping[str, float] = field(default_factory=dict)
    first_vent_s: float | None = None  # of any device
    first_vent_by_part_s: Mapping[str, float] = field(default_factory=dict)  # missing: none
    line_rupture_nothing_opens_s: tuple[str, float] | None = None  # line, s
    rupture_state: Mapping[str, float] = field(default_factory=dict)  # pressure_pa, temperature_k
    wet_parts: tuple[str, ...] = ()  # with condensate whose steam counts
    creep_damage: float | None = None  # of the run as stated; None: no data for its metals
    creep_otherwise: CreepOtherwise | None = None  # of the run as stated; None: hardly any
    no_creep_data: tuple[str, ...] = ()  # vessels, or lines alone, whose metal has no curve
    # lines that part at their joints, or hoses that burst, in the run as stated or the worst one
    lines_come_apart: tuple[str, ...] = ()
    insulation: Mapping[str, InsulationRecord] = field(default_factory=dict)  # by part
    much_water: tuple[str, ...] = ()  # parts of which condensate fills more than a fifth
    not_placed: tuple[str, ...] = ()  # parts of the section whose place a pool's fire does not know
    leaned_on: tuple[str, ...] = ()  # parts that a pool's flame touches or leaves in wind
    source_kind: Burning | None = None  # what stands somewhere and burns; ``id`` is its id
    hot_room: str = ""  # room whose hot gas the run leaves out
    reached_plugs: tuple[str, ...] = ()  # plugs that such a fire must reach for the verdict to hold
    runs: int = 0  # made for this record, searches of bores and cures left out
    # where the fire is outlasted as stated: the rupture were it to go on; None: not in six hours
    rupture_if_fire_goes_on_s: float | None = None

    def ruptures(self, vessel: str) -> bool:
        """Whether a vessel ruptures in the run as stated or in the worst of the envelope."""
        worst = self.envelope
        return any(e.event == "rupture" and e.part == vessel for e in self.events) or (
            worst is not None and worst.outcome == "ruptures" and worst.controlling_part == vessel
        )

    @property
    def worst_outcome(self) -> Outcome:
        """The outcome that the verdict goes by."""
        return self.outcome if self.envelope is None else self.envelope.outcome

    @property
    def worst_use(self) -> float | None:
        """The highest strength use of the worst run."""
        return self.peak_strength_use if self.envelope is None else self.envelope.peak_strength_use

    @property
    def worst_damage(self) -> float | None:
        """The creep damage of the worst run."""
        return self.creep_damage if self.envelope is None else self.envelope.creep_damage

    @property
    def worst_otherwise(self) -> CreepOtherwise | None:
        """The creep damage of the worst run, counted in two other ways."""
        return self.creep_otherwise if self.envelope is None else self.envelope.creep_otherwise

    @property
    def worst_load(self) -> float:
        """What the worst run takes of what is allowed, 1 at the limit."""
        limit = 1.0 if self.margins is None else self.margins.strength_use_limit
        return load_of(self.worst_use or 0.0, self.worst_damage or 0.0, limit)


@dataclass(frozen=True)
class VerdictRecord:
    """The verdict on one section for one class of fires; the numbers are of its worst run."""

    section: str
    members: tuple[str, ...]
    closed_valves: tuple[str, ...]
    fire_class: FireClass
    fire: str | None  # the worst one; None: no fire of this class reaches the section
    part: str
    outcome: Outcome | None
    safe: bool | None  # None: there is no such fire
    sure: bool | None  # None: not safe
    reason: Reason | None
    limit: float | None
    basis: str
    corner: CornerRecord | None
    peak_strength_use: float | None
    first_vent_s: float | None
    rupture_s: float | None
    rupture_nothing_opens_s: float | None
    runs: int
    creep_damage: float | None = None


@dataclass(frozen=True)
class FlameAway:
    """How long a vessel stands heat on a part of its shell away from its plugs."""

    rupture_s: float | None
    first_vent_s: float | None


@dataclass(frozen=True)
class StageRecord:
    """One stage of compression."""

    suction_pa: float
    delivery_pa: float
    inlet_temperature_k: float
    discharge_temperature_k: float


@dataclass(frozen=True)
class CompressorRecord:
    """Discharge temperature of one compressor and its limits."""

    id: str
    discharge_temperature_k: float
    measured: bool
    computed_temperature_k: float
    stages: tuple[StageRecord, ...]
    power_w: float
    limit_k: float | None
    limit_source: str
    limit_title: str = ""
    assumed: str = ""  # key of what was assumed: "oil-flooded trip" | "intercooler approach" | ""
    approach_k: float | None = None  # of the intercoolers


@dataclass(frozen=True)
class Finding:
    """One rule's answer about one part.

    ``values`` are the numbers and names that the text needs; the text itself is made by
    ``wording``. A value whose key ends in a unit suffix is SI. ``section`` and ``fire_class`` say
    of a finding about a section, or about its fires, which one it is.
    """

    rule: str
    severity: Severity
    part: str
    source: str
    values: Mapping[str, Any] = field(default_factory=dict)
    section: str = ""
    fire_class: FireClass | None = None
    kinds: Mapping[str, str] = field(default_factory=dict)  # what each id in ``values`` is
    accepted: str = ""  # id of the acceptance that takes it out of what counts
    lapsed: tuple[tuple[str, str], ...] = ()  # acceptances that no longer do: id, why

    @property
    def counts(self) -> bool:
        """Whether nobody has accepted it."""
        return not self.accepted


@dataclass(frozen=True)
class UpkeepRow:
    """One device in the upkeep register on a given date."""

    device: str
    on: str
    fitted: dt.date | None
    last_renewed: dt.date | None
    renew_every_months: int
    due: dt.date | None
    status: Literal["in date", "due soon", "overdue", "no date", "no credit"]
    condition: str
    last_inspection: dt.date | None
    days_left: int | None
    uncredited: str = ""  # why nobody may count on it; empty: it is credited


@dataclass(frozen=True)
class WalkStop:
    """One row of the walk sheet, in flow order."""

    number: int
    place: str  # valve or device id, or part
    kind: str
    what: str  # "valve" | "plug" | "relief valve" | "bursting disc" | "part"
    on: str
    section: str
    question_key: str


@dataclass(frozen=True)
class Failure:
    """A calculation that failed; its answer is withheld and never shown as safe."""

    step: str
    part: str
    message: str


@dataclass(frozen=True)
class Assessment:
    """Everything the study says about one installation on one date."""

    title: str
    inputs_sha256: str
    on: dt.date
    choices: Mapping[str, tuple[Any, Literal["typed", "default"]]]
    parts: Mapping[str, PartRecord]
    ambient_pressure_pa: float = STANDARD_ATMOSPHERE
    as_drawn: tuple[SectionRecord, ...] = ()
    shut_in: tuple[SectionRecord, ...] = ()
    protection: Mapping[str, ProtectionRecord] = field(default_factory=dict)
    fires: tuple[FireRecord, ...] = ()
    verdicts: tuple[VerdictRecord, ...] = ()
    flame_away: Mapping[str, FlameAway] = field(default_factory=dict)  # flames on a quarter
    jet_spot: Mapping[str, FlameAway] = field(default_factory=dict)  # a jet on a twentieth
    runs: int = 0  # fire runs made, searches of bores and cures left out
    consequences: Mapping[str, Any] = field(default_factory=dict)  # vessel -> case -> CaseRecord
    people_reach: tuple[Any, ...] = ()  # ReachRecord
    discharges: Mapping[str, Any] = field(default_factory=dict)  # device -> DischargeRecord
    heard: tuple[Any, ...] = ()  # HeardRecord: plugs at places with a stated background
    compressors: Mapping[str, CompressorRecord] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    upkeep: tuple[UpkeepRow, ...] = ()
    examinations: tuple[Any, ...] = ()  # ExaminationRow, the most urgent first
    wear: tuple[Any, ...] = ()  # Wear, by part and spot
    walk: tuple[WalkStop, ...] = ()
    failures: tuple[Failure, ...] = ()
    offered: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # id -> keys of fields
    action_register: tuple[Any, ...] = ()  # ActionRow, the most urgent first
    actions: tuple[Action, ...] = ()
    fire_sources: Mapping[str, Any] = field(default_factory=dict)  # pool -> SourceRecord
    kinds: Mapping[str, str] = field(default_factory=dict)  # what each id of the file is
    causes: tuple[Any, ...] | None = None  # CauseRecord; None: not asked for
    plans: Any = None  # PlanSearch; None: not asked for
