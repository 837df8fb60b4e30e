"""A small assessment written by hand, for tests of wording and report; its numbers are invented."""

from __future__ import annotations

import dataclasses
import datetime as dt
import math

import numpy as np

from airrisk.installation.model import (
    AssumedFire,
    Choices,
    Compressor,
    Fire,
    Installation,
    Line,
    People,
    Plug,
    ReliefValve,
    Site,
    Valve,
    Vessel,
)
from airrisk.study.consequence_records import (
    CaseRecord,
    FragmentRecord,
    MethodRecord,
    OverpressureRow,
    StandOffRecord,
    ThresholdRow,
    WayOfBreaking,
)
from airrisk.study.records import (
    Assessment,
    Balance,
    BoreSearch,
    CornerRecord,
    DoubtRecord,
    EnergiesRecord,
    EnvelopeRecord,
    EventRecord,
    Finding,
    FireCurves,
    FireRecord,
    FlameAway,
    HeatingCurve,
    Margins,
    PartCurves,
    PartRecord,
    PlugCurves,
    ProtectionRecord,
    RulerMark,
    SectionRecord,
    UpkeepRow,
    WalkStop,
)
from airrisk.study.verdicts import verdict_records
from airrisk.verdict.rule import Reason

AMBIENT = 101300.0


def installation(title: str = "Bench shop") -> Installation:
    """One compressor, one line, one receiver with a plug and a relief valve, a canteen."""
    return Installation(
        title=title,
        choices=Choices(audit_date=dt.date(2026, 11, 1), given=frozenset({"audit_date"})),
        site=Site(ambient_pressure=AMBIENT, given=frozenset({"ambient_pressure"})),
        compressors=(
            Compressor(id="C1", delivery=0.1, discharge_pressure=1.1013e6, at=(0.0, 0.0),
                       given=frozenset({"delivery", "discharge_pressure"})),
        ),
        vessels=(
            Vessel(
                id="R1", inside_diameter=1.1, volume=2.0, cylinder_length=1.8,
                wall_thickness=0.008, material="P265GH", design_pressure=1.2013e6,
                pressure=1.1013e6, temperature=308.15, at=(6.0, 0.0),
                notes=(("wall_thickness", "ultrasonic survey, low point"),),
                given=frozenset({
                    "inside_diameter", "volume", "wall_thickness", "material",
                    "design_pressure", "pressure", "temperature",
                }),
            ),
        ),
        lines=(
            Line(id="L1", from_="C1", to="R1", length=12.0, inside_diameter=0.0545,
                 wall_thickness=0.0029, given=frozenset({"length", "inside_diameter"})),
        ),
        valves=(Valve(id="V1", on="L1", end="to"),),
        plugs=(Plug(id="FP1", on="R1", alloy="tin", bore=0.010, fitted=dt.date(2026, 2, 10),
                    condition="clean", given=frozenset({"alloy", "bore", "fitted"})),),
        relief_valves=(ReliefValve(id="RV1", on="R1", set_pressure=1.2013e6, area=78.5e-6),),
        fires=(Fire(id="F1", curve="hydrocarbon", reaches=("R1", "L1"),
                    exposed_share=(("R1", 1.0), ("L1", 1.0)), convection=50.0),),
        people=(People(id="Canteen", at=(40.0, 10.0), kind="building"),),
    )  # fmt: skip


def _energies(scale: float) -> EnergiesRecord:
    return EnergiesRecord(5.0e6 * scale, 2.70e6 * scale, 5.25e6 * scale, 3.25e6 * scale,
                          2.69e6 * scale)  # fmt: skip


def part(name: str = "R1", kind: str = "vessel") -> PartRecord:
    """A screening record with invented numbers of the right size."""
    temperature = np.linspace(290.0, 900.0, 80)
    pressure = 1.1013e6 * temperature / 308.15
    factor = np.interp(temperature, [290, 573, 673, 773, 873], [1, 1, 0.8, 0.624, 0.376])
    burst = AMBIENT + 5.0e6 * factor
    return PartRecord(
        id=name, kind=kind, volume_m3=2.0, surface_m2=8.9, wall_mass_kg=560.25, gas_mass_kg=24.95,
        pressure_pa=1.1013e6, temperature_k=308.15, burst_pressure_cold_gauge_pa=5.0e6,
        design_pressure_temperature_k=336.1, relief_lift_temperature_k=336.1,
        rupture_temperature_k=798.0, rupture_pressure_pa=2.85e6,
        rupture_temperature_by_basis_k={
            "tensile": 798.0, "annex-a": 725.0, "yield": 690.0, "tensile-ky": 840.0,
        },
        stored_energy_j=_energies(1.0), rupture_energy_j=_energies(3.1), tnt_kg=0.6453,
        pcc2_energy_j=2.71e6, pcc2_tnt_kg=0.6351,
        curve=HeatingCurve(tuple(temperature), tuple(pressure), tuple(burst)),
        marks=(
            RulerMark("running", "C1", 438.15),
            RulerMark("plug solidus", "FP1", 505.078, 1.805e6),
            RulerMark("plug liquidus", "FP1", 505.078, 1.805e6),
            RulerMark("relief lift", "RV1", 336.1, 1.2013e6),
            RulerMark("design pressure", name, 336.1, 1.2013e6),
            RulerMark("rupture", "tensile", 798.0, 2.85e6),
        ),
        plug_margin_k={"FP1": 292.9},
    )  # fmt: skip


def _curves() -> FireCurves:
    time = np.unique(np.concatenate([np.linspace(0, 1500, 200), [372.0, 560.0]]))
    wall = 293 + 800 * (1 - np.exp(-time / 500))
    gas = 308 + 250 * (1 - np.exp(-time / 600))
    pressure = np.where(
        time < 372, 1.1013e6 * gas / 308.15, AMBIENT + 1.5e6 * np.exp(-(time - 372) / 60)
    )
    return FireCurves(
        time_s=tuple(time.tolist()),
        parts={
            "R1": PartCurves(
                tuple(pressure), tuple(gas), tuple(wall), tuple(gas),
                tuple((pressure - AMBIENT) / 4.9e6), tuple(24.95 * pressure / 1.1e6),
                tuple(0.1 * (time / 1500) ** 4), tuple(0.035 * (time / 1500) ** 4),
                tuple(0.08 * (time / 1500) ** 4),
            )
        },
        plugs={
            "FP1": PlugCurves(
                tuple(np.minimum(wall, 505.0)), tuple(np.clip(time / 372, 0, 1)),
                tuple((time >= 372).tolist()),
            )
        },
    )  # fmt: skip


VENTED = Reason("vented within the limit", "R1", ("FP1",), ("FP1",))
LATE = Reason("ruptured", "R1", ("FP1",), ("FP1",))
SHUT = Reason("ruptured", "R1")
AS_STATED = CornerRecord(1.1013e6, "stated", 1.0, 1.0, "credited", "off")
HIGHEST = CornerRecord(1.2013e6, "highest", 0.5, 1.0, "credited", "off")


def envelope(**changes: object) -> EnvelopeRecord:
    """The worst of the runs of the fire: the plug vents in time from the highest pressure."""
    record = EnvelopeRecord(
        runs=8, corner=HIGHEST, outcome="vents in time", reason=VENTED, peak_strength_use=0.351,
        peak_pressure_pa=1.78e6, rupture_s=None, first_vent_s=655.0,
        first_vent_by_part_s={"L1": 655.0, "R1": 655.0}, controlling_part="R1",
        outcome_credited="vents in time",
    )  # fmt: skip
    return dataclasses.replace(record, **changes)


def ruptured(**changes: object) -> EnvelopeRecord:
    """A worst run in which the vessel ruptures although its plug had opened."""
    return dataclasses.replace(
        envelope(
            outcome="ruptures", reason=LATE, peak_strength_use=1.0, rupture_s=258.0,
            outcome_credited="ruptures",
        ),
        **changes,
    )  # fmt: skip


def fire(name: str = "F1", **changes: object) -> FireRecord:
    """A fire in which the plug vents in time, on the chosen basis only."""
    record = FireRecord(
        id=name, section="L1+R1", closed_valves=("V1",), fire_class="stated",
        outcome="vents in time", reason=VENTED, kept_by="heat",
        safe=True,
        events=(
            EventRecord(100.0, "relief valve lifts", "RV1"),
            EventRecord(372.0, "plug opens", "FP1"), EventRecord(560.0, "empty", "R1"),
        ),
        peak_pressure_pa=1.61e6, peak_strength_use=0.308,
        rupture_nothing_opens_s=588.0, smallest_bore_m={"FP1": 0.0061},
        by_basis={"tensile": "vents in time", "yield": "passes the limit"},
        inner_radiation="on", balance=Balance(2e-8, 3e-7), curves=_curves(),
        members=("L1", "R1"), vessels=("R1",), exposed=("L1", "R1"),
        margins=Margins(216.0, 0.359, 0.667, {"FP1": 431.0}, "R1"), first_vent_s=372.0,
        first_vent_by_part_s={"L1": 372.0, "R1": 372.0},
        reaction_force_n={"FP1": 185.0},
        bores={"FP1": BoreSearch(0.0061, 0.0064, None, None, None, None)},
        envelope=envelope(), sure=False, runs=24,
        doubts=(
            DoubtRecord("relief valve", "vents in time", True, 0.41, "worst"),
            DoubtRecord("strength basis", "passes the limit", False, 1.08, "worst"),
        ),
    )  # fmt: skip
    return dataclasses.replace(record, **changes)


def unsafe(name: str = "F1", **changes: object) -> FireRecord:
    """A fire of which one run ruptures, while the run as stated vents in time."""
    return dataclasses.replace(
        fire(name, safe=False, sure=None, doubts=(), envelope=ruptured()), **changes
    )


def assumed(fire_class: str, **changes: object) -> FireRecord:
    """An assumed fire, safe and sure."""
    names = {"whole": "Engulfed L1+R1", "beside": "Beside R1", "spot": "Spot on R1"}
    return fire(
        names[fire_class], fire_class=fire_class, exposed=("R1",), sure=True, doubts=(), **changes
    )


def answered(*fires: FireRecord, **changes: object) -> Assessment:
    """The answer with these fires in place of its own, and the verdicts that they give."""
    whole = assessment()
    verdicts = verdict_records(
        fires, [(one.id, one.members, one.closed_valves) for one in whole.shut_in], "tensile"
    )
    runs = sum(one.runs for one in fires)
    return dataclasses.replace(
        whole, **({"fires": fires, "verdicts": verdicts, "runs": runs} | changes)
    )


def case(energy: float) -> CaseRecord:
    """One case of one vessel, invented."""
    distance = np.geomspace(1.0, 100.0, 30)
    incident = 3.0e5 * (energy / 2.7e6) ** 0.4 * distance**-1.3
    rows = tuple(
        OverpressureRow(float(d), float(p), float(2.2 * p), float(60.0 / d))
        for d, p in zip(distance, incident, strict=True)
    )
    thresholds = (
        ThresholdRow("typical glass breakage", 1030.0, 78.4, "Clancey", "glass", "read", True),
        ThresholdRow("eardrum rupture begins", 35000.0, 5.2, "Clancey", "people", "read", True),
    )  # fmt: skip
    method = MethodRecord(rows, thresholds, None, True)
    ways = tuple(
        WayOfBreaking(name, speed, "1 to 3", 50.0, 180.0, 300.0, 90.0, 140.0, 180.0,
                      410.0, speed**2 / 9.81, 1.0, 300.0, (0.0, 90.0, 410.0))
        for name, speed in (("few pieces, likely", 44.0), ("few pieces, bound", 76.0))
    )  # fmt: skip
    fragments = FragmentRecord(560.0, 90.0, 25.0, 0.2, 0.6, 44.0, 76.0, 60.0, 50.0, 40.0, 30.0,
                               ways, (), 79.0)  # fmt: skip
    return CaseRecord(energy, energy / 4.184e6, {"tnt": method, "burst": method}, fragments,
                      1.1013e6, 308.15, {"brode": 1.9 * energy}, 4.184e6, "burst near, both far",
                      12.0, {},
                      (StandOffRecord("later", energy, 0.6, 30.0, {}, 30.0),))  # fmt: skip


def consequences() -> dict:
    """Distances of one vessel, invented."""
    return {"R1": {"cold_working": case(2.7e6), "fire_unvented": case(8.1e6)}}


KINDS = {
    "R1": "vessel", "R2": "vessel", "L1": "line", "C1": "compressor", "V1": "valve", "FP1": "plug",
    "RV1": "relief valve", "F1": "fire",
}  # fmt: skip


def assessment(title: str = "Bench shop") -> Assessment:
    """The whole hand-made answer."""
    return Assessment(
        title=title, inputs_sha256="0" * 64, on=dt.date(2026, 11, 1),
        choices={
            "strength_basis": ("tensile", "default"), "burst_formula": ("mean diameter", "default"),
            "tnt_energy": (4.184e6, "default"), "audit_date": (dt.date(2026, 11, 1), "typed"),
            "strength_use_limit": (None, "default"),
            "assumed_fire": (AssumedFire(), "default"), "beside_flux": (50e3, "default"),
        },
        parts={"R1": part(), "L1": part("L1", "line")},
        as_drawn=(SectionRecord("L1+R1", ("L1", "R1"), (), 2.028, ("FP1",), ("RV1",)),),
        shut_in=(SectionRecord("L1+R1", ("L1", "R1"), ("V1",), 2.028, ("FP1",), ("RV1",)),),
        protection={
            "R1": ProtectionRecord(True, ("FP1",), (), "heated plug"),
            "L1": ProtectionRecord(False, (), ("V1",), "nothing"),
        },
        fires=(record := fire(),),
        verdicts=verdict_records([record], [("L1+R1", ("L1", "R1"), ("V1",))], "tensile"),
        flame_away={"R1": FlameAway(272.0, None)}, jet_spot={"R1": FlameAway(139.0, None)},
        runs=26,
        consequences=consequences(),
        findings=(
            Finding("verdict-depends-on-strength-basis", "warning", "R1", "engineering judgement",
                    {"fire": "F1", "doubt": "strength basis", "at": "stated", "record": fire(),
                     "outcome": "passes the limit", "basis": "tensile", "other_basis": "yield",
                     "peak_strength_use": 1.08, "strength_use_limit": 1.0,
                     "other_temperature_k": math.nan},
                    section="L1+R1", fire_class="stated"),
        ),
        upkeep=(
            UpkeepRow("FP1", "R1", dt.date(2026, 2, 10), None, 12, dt.date(2027, 2, 10),
                      "in date", "clean", None, 101),
        ),
        walk=(WalkStop(1, "V1", "isolating", "valve", "L1", "L1+R1", "valve-state"),),
        kinds=KINDS,
    )  # fmt: skip
