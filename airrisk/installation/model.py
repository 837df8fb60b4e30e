"""What a system file says, read and checked: frozen records, SI units, absolute pressures.

Every record that stands in the file carries ``given``, the keys that were typed; all other
values are defaults. Pressures are absolute (the reader adds the site's ambient pressure to
gauge values); temperatures are kelvin; lengths metres; masses kilogrammes; times seconds.
A value that may be left out without a default is ``None``. ``offered`` are the keys of the
fields that the program filled in and nobody has confirmed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

from airrisk.physics.fires import CurveKind
from airrisk.physics.shells import Heads
from airrisk.quantities import STANDARD_ATMOSPHERE
from airrisk.verdict.rule import Outcome

Role = Literal["receiver", "aftercooler", "dryer", "filter", "separator", "header", "other"]
Orientation = Literal["vertical", "horizontal"]
Cooling = Literal["none", "between stages", "oil-flooded"]
Lubrication = Literal["oil-lubricated", "oil-flooded", "oil-free"]
CompressorInFire = Literal["keeps running", "stops"]
ValveKind = Literal["isolating", "non-return"]
ValveState = Literal["open", "closed", "locked open"]
End = Literal["from", "to"]
Joints = Literal[
    "welded", "threaded", "flanged, fibre gasket", "flanged, graphite", "soft-soldered", "hose"
]
PlugPlace = Literal["top", "side", "bottom", "drain"]
Outlet = Literal["open", "piped"]
Condition = Literal["clean", "oil film", "corroded", "scaled", "painted over", "unknown"]
Found = Literal[Condition, "seized", "leaking"]  # of any device, valve or part at an inspection
Response = Literal["own body", "follows wall"]
FireClass = Literal["stated", "whole", "beside", "spot"]
FIRE_CLASSES: tuple[FireClass, ...] = get_args(FireClass)
# classes in which plugs stand in the flames, or as somebody has stated: bores can cure these
ENGULFING: frozenset[FireClass] = frozenset({"stated", "whole"})
Decision = Literal["do", "accept"]
Severity = Literal["danger", "warning", "note"]  # of a finding, the worst first
SourceKind = Literal["pool", "jet", "goods"]
PeopleKind = Literal["outdoors", "building", "work place"]
Extinguishing = Literal["none", "gas", "water"]
ExaminationRules = Literal["none, local law", "BetrSichV", "PSSR"]
InnerRadiation = Literal["on", "off", "worse of both"]

Point = tuple[float, float]
Cell = tuple[int, int]
Path = tuple[Point, ...]
STANDS_AT = 0.3  # m, lowest point of a vessel above the floor if nobody says it; judgement
NO_KEYS: frozenset[str] = frozenset()


@dataclass(frozen=True, kw_only=True)
class About:
    """Who prepared the file and for what place."""

    site: str = ""
    prepared_by: str = ""
    checked_by: str = ""
    revision: str = ""
    date: dt.date | None = None
    # of the picture under the site plan; no calculation reads it
    plan_picture: str = ""  # its file, by the way from this one
    plan_picture_page: int | None = None  # of a PDF; None: the first
    plan_picture_width: float | None = None  # m of the whole picture; None: not set yet
    plan_picture_at: Point | None = None  # its lower left corner, m; None: where the plan begins
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class AssumedFire:
    """The fire that every section is tested with although nobody has stated it."""

    curve: CurveKind = "hydrocarbon"  # one that needs no number of its own
    duration: float = 3600.0  # s


@dataclass(frozen=True, kw_only=True)
class Choices:
    """Everything that can change a number or a verdict."""

    strength_basis: str = "tensile"
    burst_formula: str = "mean diameter"  # mean diameter | Faupel | thick wall
    strength_use_limit: float | None = None  # None: the basis' own limit
    inner_radiation: InnerRadiation = "worse of both"
    tnt_energy: float = 4.184e6  # J/kg
    audit_date: dt.date | None = None
    running_margin: float = 30.0  # K between hottest normal running and plug solidus
    small_section: float = 5000.0  # Pa m3 gauge, 50 bar L; below it a note, not a danger
    due_soon: str = "2 months"
    assumed_fire: AssumedFire = AssumedFire()
    # on what a flame that stands somewhere radiates; the cautious use of Shokri and Beyler's form
    flame_radiation_factor: float = 2.0
    beside_flux: float = 50e3  # W/m2 onto the surface, from an assumed fire beside a part
    examination_rules: ExaminationRules = "none, local law"
    keep_clear_of: str | None = None  # fuel whose distances the report tells
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Spread:
    """The distribution of one field of one part, for the what-if study."""

    part: str
    field: str
    distribution: str  # normal | uniform | triangular | lognormal
    parameters: tuple[tuple[str, float], ...]  # name -> SI value


@dataclass(frozen=True, kw_only=True)
class Site:
    """Surroundings of the installation."""

    ambient_temperature: float = 288.15
    ambient_pressure: float = STANDARD_ATMOSPHERE
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Part:
    """What holds or makes air, or joins what does."""

    id: str
    at: Point | None = None  # plan position, m
    drawn: Cell | None = None  # column and row in the schematic; None: where it is laid out
    area: str | None = None  # fire compartment
    notes: tuple[tuple[str, str], ...] = ()  # field -> remark
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Compressor(Part):
    """A machine that delivers air; a source in a fire unless it stops."""

    delivery: float  # m3/s, free air at site ambient
    discharge_pressure: float  # Pa absolute, also the cut-out pressure
    stages: int = 1
    inlet_temperature: float = 293.15
    efficiency: float = 0.75  # isentropic, each stage
    cooling: Cooling = "none"
    lubrication: Lubrication = "oil-lubricated"
    discharge_temperature: float | None = None  # measured; None: computed
    in_fire: CompressorInFire = "keeps running"
    cut_in_pressure: float | None = None  # Pa absolute; None: 90 % of discharge gauge
    offered: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Vessel(Part):
    """A pressure vessel: cylinder with two heads. Volume and cylinder_length are both resolved."""

    inside_diameter: float
    volume: float  # heads included
    cylinder_length: float
    wall_thickness: float
    material: str
    design_pressure: float  # Pa absolute
    pressure: float  # Pa absolute, when the fire starts
    temperature: float = 288.15
    role: Role = "receiver"
    heads: Heads = "torispherical"
    head_thickness: float | None = None  # None: wall_thickness
    orientation: Orientation = "vertical"
    direction: float | None = None  # rad from the plan's x axis, of a lying one; None: not stated
    elevation: float | None = None  # m, lowest point above the floor; None: ``STANDS_AT``
    measured: bool = False
    weld_factor: float = 0.85
    condensate: float = 0.0  # m3 of liquid water
    examined: dt.date | None = None  # last thorough examination
    examine_every: int | None = None  # calendar months; None: as the rules that were chosen ask
    maker: str = ""
    year_made: int | None = None
    test_pressure: float | None = None  # Pa absolute, of the name plate; None: not stated
    insulation_thickness: float | None = None  # m; None: none is stated
    insulation_conductivity: float | None = None  # W/m/K
    insulation_resistance: float | None = None  # m2 K/W, in place of the two
    insulation_known_at: float | None = None  # K, mean temperature at which that is known
    insulation_holds_to: float | None = None  # K, of its outer face; None: nothing in a fire
    offered: tuple[str, ...] = ()
    # by its thinnest reading, of the wall and the head to reckon with otherwise; None: not thinner
    worn_to: float | None = None
    head_worn_to: float | None = None


@dataclass(frozen=True, kw_only=True)
class Line(Part):
    """A pipe between two ends: a part id, "closed" or "atmosphere"."""

    from_: str
    to: str
    length: float
    inside_diameter: float
    wall_thickness: float
    material: str = "P235TR1"
    loss: float = 0.0  # sum of K of the fittings
    measured: bool = False
    weld_factor: float = 1.0  # seamless or welded line pipe
    design_pressure: float | None = None  # Pa absolute; None: not stated
    pressure: float | None = None  # Pa absolute; None: as ``start_state`` says
    temperature: float | None = None  # None: site ambient
    condensate: float = 0.0
    joints: Joints | None = None  # None: not stated
    route: Path = ()  # m, between its ends; empty: straight
    elevation: float | None = None  # m above the floor; None: where a flame gives most
    insulation_thickness: float | None = None  # m; these five as of a vessel
    insulation_conductivity: float | None = None
    insulation_resistance: float | None = None
    insulation_known_at: float | None = None
    insulation_holds_to: float | None = None
    offered: tuple[str, ...] = ()
    worn_to: float | None = None  # of the wall to reckon with otherwise, by its thinnest reading


@dataclass(frozen=True, kw_only=True)
class Junction(Part):
    """A tee; no volume."""


@dataclass(frozen=True, kw_only=True)
class Consumer(Part):
    """A point of use; a closed end in a fire."""


@dataclass(frozen=True, kw_only=True)
class Valve:
    """A valve at a line end, or between a part and a device."""

    id: str
    on: str  # line id or device id
    end: End | None = None  # for a line
    kind: ValveKind = "isolating"
    state: ValveState = "open"
    reverse: bool = False  # non-return valve that opens to -> from
    order: int = 0  # from the part outward, counted in file order at one end
    notes: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = NO_KEYS

    @property
    def can_close(self) -> bool:
        """Whether people can shut it (or it is shut)."""
        return self.kind == "isolating" and self.state != "locked open"


@dataclass(frozen=True, kw_only=True)
class Device:
    """A way out for the air, fitted on a vessel or line.

    ``outlet_place`` is one of the words of ``fields`` or the id of a room; ``discharges_to`` is a
    remark beside it and decides nothing.
    """

    id: str
    on: str
    discharge_coefficient: float
    discharges_to: str = ""
    outlet_place: str | None = None  # None: not stated
    notes: tuple[tuple[str, str], ...] = ()
    offered: tuple[str, ...] = ()
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Plug(Device):
    """A fusible plug."""

    alloy: str | None  # None: not stated
    bore: float
    discharge_coefficient: float = 0.6
    place: PlugPlace = "top"
    faces: float | None = None  # rad from the plan's x axis; None: not stated
    outlet: Outlet = "open"
    outlet_length: float | None = None
    outlet_diameter: float | None = None
    fitted: dt.date | None = None  # None: counts as overdue
    renew_every: int = 12  # calendar months
    condition: Condition = "unknown"
    response: Response = "own body"
    body_mass: float | None = None
    boss_mass: float | None = None
    core_length: float | None = None
    contact_conductance: float | None = None  # W/K
    exposed_area: float | None = None
    emissivity: float | None = None
    stands_free: bool = False  # of the insulation of its part, head and boss


@dataclass(frozen=True, kw_only=True)
class ReliefValve(Device):
    """A spring-loaded relief valve; answers pressure."""

    set_pressure: float  # Pa absolute
    area: float
    examined: dt.date | None = None  # last test of its set pressure
    examine_every: int | None = None  # calendar months; None: not stated
    maker: str = ""
    year_made: int | None = None
    discharge_coefficient: float = 0.8


@dataclass(frozen=True, kw_only=True)
class BurstingDisc(Device):
    """A bursting disc; answers pressure and stays open."""

    burst_pressure: float  # Pa absolute
    area: float
    discharge_coefficient: float = 0.62


@dataclass(frozen=True, kw_only=True)
class Inspection:
    """One entry of the upkeep history; the last entry about a device rules."""

    on: str
    date: dt.date
    by: str = ""
    condition: Found | None = None
    renewed: bool = False
    note: str = ""
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A wall thickness that was measured."""

    id: str
    on: str
    date: dt.date
    thickness: float  # m
    spot: str = ""  # where on the part, in words
    notes: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Fire:
    """One exposure case."""

    id: str
    curve: CurveKind
    reaches: tuple[str, ...]
    exposed_share: tuple[tuple[str, float], ...] = ()  # every part of ``reaches`` is listed
    plugs_in_fire: tuple[str, ...] | None = None  # None: those on parts with share 1
    closed: tuple[str, ...] | None = None  # None: every valve that may be closed
    flux: float | None = None  # W/m2
    absorbed: bool = False
    temperature: float | None = None
    points: tuple[tuple[float, float], ...] = ()  # (s, K)
    emissivity: float = 0.8
    convection: float  # W/m2/K; see ``physics.fires`` for what is usual
    duration: float = 3600.0
    notes: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = NO_KEYS

    def share(self, part: str) -> float:
        """Share of the part's outer surface in the fire, 0 when it is not reached."""
        return dict(self.exposed_share).get(part, 0.0)


@dataclass(frozen=True, kw_only=True)
class FireSource:
    """Something that can burn and stands somewhere.

    A pool of liquid has ``fuel`` and either ``diameter`` or ``surface``; a jet ``fuel`` and
    ``mass_flow``, or ``length``; goods ``heat_release`` and ``diameter``.
    """

    id: str
    at: Point  # middle of the pool or the goods; nozzle of the jet
    kind: SourceKind = "pool"
    fuel: str | None = None
    diameter: float | None = None  # m
    surface: float | None = None  # m2
    volume: float | None = None  # m3 of liquid; None: it burns for an hour
    heat_release: float | None = None  # W
    mass_flow: float | None = None  # kg/s
    length: float | None = None  # m
    incident_flux: float | None = None  # W/m2 in the jet; None: by its mass flow
    direction: float | None = None  # rad from the plan's x axis; None: any
    elevation: float | None = None  # m above the floor; None: see ``standing_fires``
    duration: float | None = None  # s; None: an hour
    area: str | None = None  # fire compartment that it burns in
    notes: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Wall:
    """A wall on the plan; it hides what is behind it from fires that stand somewhere."""

    id: str
    points: Path  # m
    height: float  # m above the floor
    resists: float | None = None  # s of a fire; None: not stated
    notes: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class People:
    """A place where people are."""

    id: str
    at: Point | None = None  # None: told by distance and from
    distance: float | None = None  # m from a vessel, on whichever side
    from_: str = ""  # id of that vessel
    kind: PeopleKind = "outdoors"
    background_level: float | None = None  # dB(A) in normal running; None: not stated
    alarm_after: float | None = None  # s from the start of a fire; None: no alarm is stated
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Room:
    """An enclosed space that the released air enters."""

    id: str
    volume: float
    extinguishing: Extinguishing = "none"
    area: str | None = None  # None: same as id
    height: float | None = None  # m; with the next three: how hot a fire makes the gas in it
    vent_area: float | None = None  # m2, openings
    vent_height: float | None = None  # m
    lining: str | None = None  # what walls and ceiling are made of
    lining_thickness: float | None = None  # m; None: as usual
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Accepted:
    """What a fire did when its finding was accepted."""

    outcome: Outcome
    # strength use, 1: rupture; where creep takes more of its limit, the use that takes as much
    use: float
    rupture_after: float | None = None  # s; None: no rupture


# what was found under one key: names, a number in SI, or a number for each name
Kept = tuple[str, ...] | float | tuple[tuple[str, float], ...]


@dataclass(frozen=True, kw_only=True)
class Action:
    """What somebody has decided about a finding: to do something, or to accept it."""

    id: str
    rule: str
    decision: Decision
    part: str | None = None  # None: the installation as a whole
    section: str = ""  # id of the section; empty: not about one
    fire_class: FireClass | None = None  # None: not about a fire
    text: str = ""
    owner: str = ""
    due: dt.date | None = None
    done: dt.date | None = None
    evidence: str = ""
    reason: str = ""
    by: str = ""
    until: dt.date | None = None  # the day on which an acceptance lapses
    accepted: Accepted | None = None
    found: tuple[tuple[str, Kept], ...] | None = None  # when it was accepted; None: not stated
    severity: Severity | None = None  # of the finding when it was accepted; None: not stated
    given: frozenset[str] = NO_KEYS


@dataclass(frozen=True, kw_only=True)
class Installation:
    """One system file, read and checked; record order is file order."""

    title: str = ""
    about: About = field(default_factory=About)
    choices: Choices = field(default_factory=Choices)
    spreads: tuple[Spread, ...] = ()
    site: Site = field(default_factory=Site)
    compressors: tuple[Compressor, ...] = ()
    vessels: tuple[Vessel, ...] = ()
    lines: tuple[Line, ...] = ()
    junctions: tuple[Junction, ...] = ()
    consumers: tuple[Consumer, ...] = ()
    valves: tuple[Valve, ...] = ()
    plugs: tuple[Plug, ...] = ()
    relief_valves: tuple[ReliefValve, ...] = ()
    bursting_discs: tuple[BurstingDisc, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    readings: tuple[Reading, ...] = ()
    fires: tuple[Fire, ...] = ()
    fire_sources: tuple[FireSource, ...] = ()
    walls: tuple[Wall, ...] = ()
    people: tuple[People, ...] = ()
    rooms: tuple[Room, ...] = ()
    actions: tuple[Action, ...] = ()

    def devices(self) -> tuple[Device, ...]:
        """All plugs, relief valves and bursting discs."""
        return (*self.plugs, *self.relief_valves, *self.bursting_discs)

    def holders(self) -> tuple[Vessel | Line, ...]:
        """All parts that hold air."""
        return (*self.vessels, *self.lines)

    def parts(self) -> Iterator[Part]:
        """All parts, compressors first."""
        yield from self.compressors
        yield from self.vessels
        yield from self.lines
        yield from self.junctions
        yield from self.consumers

    def find(self, name: str) -> object:
        """The record with this id (compared without case).

        Raises
        ------
        KeyError
            No record has the id.
        """
        wanted = name.casefold()
        for group in (
            self.compressors, self.vessels, self.lines, self.junctions, self.consumers,
            self.valves, self.plugs, self.relief_valves, self.bursting_discs,
            self.readings, self.fires, self.fire_sources, self.walls, self.people,
            self.rooms, self.actions,
        ):  # fmt: skip
            for record in group:
                if record.id.casefold() == wanted:
                    return record
        raise KeyError(name)


# Kinds of tables and the record that each becomes.
RECORDS: dict[str, type[Any]] = {
    "about": About, "choices": Choices, "site": Site, "compressor": Compressor,
    "vessel": Vessel, "line": Line, "junction": Junction, "consumer": Consumer, "valve": Valve,
    "plug": Plug, "relief_valve": ReliefValve, "bursting_disc": BurstingDisc,
    "inspection": Inspection, "reading": Reading, "fire": Fire, "fire_source": FireSource,
    "wall": Wall, "people": People, "room": Room, "action": Action,
}  # fmt: skip
