"""Every field of the system file, declared once: for reader, form and report.

``FIELDS`` gives the fields of each kind of table in the order in which they are written. The
tables that stand once are "" (the top of the file), "about", "choices", "spread" and "site".
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from airrisk.installation import model
from airrisk.installation.field_spec import FieldSpec
from airrisk.messages import Codes, said
from airrisk.physics import fires, pool_fires
from airrisk.physics.metal import CARBON_BASES, STRENGTH_USE_LIMITS
from airrisk.physics.shells import BURST_FORMULAS, HEADS
from airrisk.verdict.rule import OUTCOMES

# what a line may end at without a part
OPEN_ENDS = ("closed", "atmosphere")
ALLOY_UNSTATED = "unknown"  # a plug whose alloy nobody knows
OUTDOORS, PEOPLE_PASS = "outdoors, nobody passes", "people pass"
OUTLET_PLACES = (OUTDOORS, PEOPLE_PASS)  # where an outlet may be, apart from a room of the file

BAR = 1e5
_USUAL = "the usual case, judgement"
_JUDGEMENT = "judgement"
_COMMON = "common practice, no source"

HOLDERS = ("vessel", "line")
DEVICES = ("plug", "relief_valve", "bursting_disc")
PARTS = ("compressor", "vessel", "line", "junction", "consumer")


def _id(of: str) -> FieldSpec:
    return FieldSpec(
        "id", "id", "id", required=True, label="Id",
        help=f"Short name of the {of}, used to refer to it.",
    )  # fmt: skip


_AT = FieldSpec(
    "at", "at", "point", low=-1e5, high=1e5, label="Plan position", unit="m", us_unit="ft",
    help="Place on the plan, metres east and north of any origin.",
    left_out="placed automatically",
)  # fmt: skip
_AREA = FieldSpec(
    "area", "area", "text", label="Fire area",
    help="Fire compartment that the part stands in; a fire is taken to reach one area.",
    left_out="not stated",
)  # fmt: skip
_NOTES = FieldSpec(
    "notes", "notes", "notes", label="Remarks",
    help="Remarks by field, for example where a measured value comes from.", left_out="none",
)  # fmt: skip
_PLACED = (_AT, _AREA, _NOTES)


def _material(default: str | None) -> FieldSpec:
    return FieldSpec(
        "material", "material", "material", default=default, required=default is None,
        label="Material", source=_JUDGEMENT if default else "",
        help="Grade of the metal; decides strength and heat capacity. Aluminium counts "
        "as welded unless the grade says seamless.",
    )  # fmt: skip


def _condensate() -> FieldSpec:
    return FieldSpec(
        "condensate", "condensate", "volume", "0 L", 0.0, 100.0, label="Condensate",
        unit="L", us_unit="gal(US)", source="taken as drained",
        help="Liquid water inside; it boils in a fire and adds its vapour pressure.",
    )  # fmt: skip


def _measured() -> FieldSpec:
    return FieldSpec(
        "measured", "measured", "flag", "false", label="Thickness is the measured minimum",
        source="cautious: nominal thickness less the usual tolerance",
        help="Whether the wall thickness is the thinnest one measured; if not, the usual minus "
        "tolerance is taken off.",
    )  # fmt: skip


def _emissivity(default: str | None, of: str, source: str, left_out: str = "") -> FieldSpec:
    return FieldSpec(
        "emissivity", "emissivity", "number", default, 0.01, 1.0, label="Emissivity",
        source=source, help=f"Share of radiation {of} takes up.", left_out=left_out,
    )  # fmt: skip


def _coefficient(default: str, source: str) -> FieldSpec:
    return FieldSpec(
        "discharge_coefficient", "discharge_coefficient", "number", default, 0.05, 1.0,
        label="Discharge coefficient", source=source,
        help="Real flow over that of the ideal nozzle; a matched pair with the area.",
    )  # fmt: skip


PLUG_CONDITIONS: tuple[model.Condition, ...] = get_args(model.Condition)


def _usual_limits() -> str:
    """What a left-out limit of strength use counts as, basis by basis, in words."""
    bases: dict[float, list[str]] = {}
    for basis in CARBON_BASES:
        bases.setdefault(STRENGTH_USE_LIMITS[basis], []).append(basis)
    return ", ".join(f"{limit:g} for {' and '.join(names)}" for limit, names in bases.items())


def _usual_convection() -> str:
    """What a left-out heat transfer counts as, curve by curve, in words."""
    other = [
        f"{value:g} W/m2/K for {'a heat flux' if curve == 'flux' else f'the {curve} curve'}"
        for curve, value in fires.CONVECTION.items()
        if value != fires.USUAL_CONVECTION
    ]
    return ", ".join([*other, f"{fires.USUAL_CONVECTION:g} W/m2/K else"])


_ON = FieldSpec(
    "on", "on", "reference", required=True, label="Fitted on", targets=HOLDERS,
    help="Vessel or line that it is fitted on.",
)  # fmt: skip
_DISCHARGES_TO = FieldSpec(
    "discharges_to", "discharges_to", "text", label="Discharges to",
    help="Remark on where the air goes, in words; what counts is the place of the outlet.",
    left_out="not stated",
)  # fmt: skip
_OUTLET_PLACE = FieldSpec(
    "outlet_place", "outlet_place", "outlet", label="Place of the outlet",
    choices=OUTLET_PLACES, targets=("room",), since=2,
    help="Where the air comes out: outdoors where nobody passes, in a room of the file, or where "
    "people pass.", left_out="not stated",
)  # fmt: skip
_OFFERED = FieldSpec(
    "offered", "offered", "keys", label="Offered, not confirmed", since=2,
    help="Fields that the program filled in and nobody has confirmed; changing or confirming one "
    "takes its name off.", left_out="none",
)  # fmt: skip
_FLOW_AREA = FieldSpec(
    "area", "area", "area", low=1e-7, high=1.0, required=True, label="Flow area",
    help="Area that the discharge coefficient belongs to.", unit="mm2", us_unit="in2",
)  # fmt: skip


def _pressure(key: str, label: str, text: str, **more: object) -> FieldSpec:
    given: dict[str, object] = {"required": True, "low": 0.01 * BAR, "high": 1000 * BAR, **more}
    return FieldSpec(key, key, "pressure", label=label, help=text, **given)  # type: ignore[arg-type]


def _length(key: str, low: float, high: float, label: str, text: str, **more: object) -> FieldSpec:
    given: dict[str, object] = {"unit": "mm", "us_unit": "in", **more}
    return FieldSpec(key, key, "length", low=low, high=high, label=label, help=text, **given)  # type: ignore[arg-type]


def _text(key: str, label: str, text: str) -> FieldSpec:
    return FieldSpec(key, key, "text", label=label, help=text, left_out="not stated")


_METRES = {"unit": "m", "us_unit": "ft"}

FIELDS: dict[str, tuple[FieldSpec, ...]] = {
    "": (
        FieldSpec(
            "format", "format", "integer", required=True, low=1, high=2, label="Format",
            help="Version of this file format.",
        ),
        _text("title", "Title", "Name of the installation, first line of every report."),
    ),
    "about": (
        _text("site", "Site", "Place of the installation."),
        _text("prepared_by", "Prepared by", "Who described the installation."),
        _text("checked_by", "Checked by", "Who checked the description."),
        _text("revision", "Revision", "Revision mark of the description."),
        FieldSpec(
            "date", "date", "date", label="Date", help="Date of the description.",
            left_out="not stated",
        ),
    ),
    "choices": (
        FieldSpec(
            "strength_basis", "strength_basis", "choice", "tensile",
            choices=CARBON_BASES, label="Strength basis",
            source=_JUDGEMENT,
            help="How the strength of hot metal is counted; the yield basis is the cautious one "
            "and is always shown beside it.",
        ),
        FieldSpec(
            "burst_formula", "burst_formula", "choice", "mean diameter",
            choices=BURST_FORMULAS, label="Burst formula",
            source=_COMMON, help="Formula from strength and wall to the pressure that bursts it.",
        ),
        FieldSpec(
            "strength_use_limit", "strength_use_limit", "number", low=0.05, high=1.0,
            label="Limit of strength use", source=_JUDGEMENT,
            left_out=_usual_limits(),
            help="Highest share of the hot burst pressure that still counts as safe.",
        ),
        FieldSpec(
            "inner_radiation", "inner_radiation", "choice", "worse of both",
            choices=get_args(model.InnerRadiation), label="Inner radiation", source="cautious",
            help="Whether hot and cold walls exchange radiation inside the vessel.",
        ),
        FieldSpec(
            "tnt_energy", "tnt_energy", "specific_energy", "4.184 MJ/kg", 1e6, 1e7,
            label="Energy of TNT", source="4.184 MJ/kg by convention (1000 thermochemical cal/g)",
            unit="MJ/kg", us_unit="Btu/lb", help="Energy that counts as one kilogramme of TNT.",
        ),
        FieldSpec(
            "audit_date", "audit_date", "date", label="Audit date",
            help="Date that upkeep is judged on.", left_out="today",
        ),
        FieldSpec(
            "running_margin", "running_margin", "temperature_difference", "30 K", 0.0, 200.0,
            label="Running margin", source=_JUDGEMENT, unit="K", us_unit="degF",
            help="Least distance from the hottest normal running temperature to the temperature "
            "at which a plug begins to melt.",
        ),
        FieldSpec(
            "small_section", "small_section", "pressure_volume", "50 bar L", 0.0, 1e7,
            label="Small section", source=_JUDGEMENT, unit="bar L", us_unit="psi ft3",
            help="Gauge pressure times volume below which a section without plug is only noted.",
        ),
        FieldSpec(
            "due_soon", "due_soon", "calendar", "2 months", label="Due soon",
            source=_JUDGEMENT, help="How long before its date a renewal counts as due soon.",
        ),
        FieldSpec(
            "assumed_fire", "assumed_fire", "fire",
            '{ curve = "hydrocarbon", duration = "60 min" }', choices=fires.NOMINAL_CURVES,
            label="Assumed fire", source="cautious: the hottest curve; judgement", since=2,
            help="The fire that every section is tested with although nobody has stated it: its "
            "curve, and how long it lasts.",
        ),
        FieldSpec(
            "flame_radiation_factor", "flame_radiation_factor", "number", "2", 1.0, 5.0,
            label="Factor on radiation", since=2,
            source="cautious: twice the flux in design, after Shokri and Beyler 1989, from memory; "
            "a hundred gauges beside a burner read a sixth less than the form without it",
            help="Factor on what a pool's flame radiates to the parts around it.",
        ),
        FieldSpec(
            "beside_flux", "beside_flux", "flux", "50 kW/m2", 1000.0, 500000.0,
            label="Heat of a fire beside", unit="kW/m2", us_unit="Btu/h/ft2", since=2,
            source="judgement: what sooty pool fires of 1 to 20 m give off, seen in full (57 to "
            "40 kW/m2 by Shokri and Beyler 1989, from memory)",
            help="Heat onto the surface from an assumed fire that stands beside a part.",
        ),
    ),
    "spread": (),
    "site": (
        FieldSpec(
            "ambient_temperature", "ambient_temperature", "temperature", "15 degC",
            223.15, 333.15, label="Ambient temperature", unit="degC", us_unit="degF",
            source="ISO 2533 standard atmosphere, from memory",
            help="Temperature of the surroundings.",
        ),
        FieldSpec(
            "ambient_pressure", "ambient_pressure", "pressure", "1013.25 mbar(a)",
            0.4 * BAR, 1.2 * BAR, label="Ambient pressure", unit="mbar(a)", us_unit="psia",
            absolute=True, source="ISO 2533 standard atmosphere, from memory",
            help="Atmospheric pressure that gauge pressures count from.",
        ),
    ),
    "compressor": (
        _id("compressor"),
        FieldSpec(
            "delivery", "delivery", "flow", low=1 / 60000, high=50.0, required=True,
            label="Delivery", unit="m3/min", us_unit="cfm",
            help="Free air delivered, at the ambient pressure and temperature of the site.",
        ),
        FieldSpec(
            "stages", "stages", "integer", "1", 1, 8, label="Stages", source=_JUDGEMENT,
            help="Number of stages of compression.",
        ),
        FieldSpec(
            "inlet_temperature", "inlet_temperature", "temperature", "20 degC", 223.15, 353.15,
            label="Inlet temperature", unit="degC", us_unit="degF", source=_JUDGEMENT,
            help="Temperature of the air that is drawn in.",
        ),
        _pressure(
            "discharge_pressure", "Discharge pressure",
            "Highest pressure in normal running, where the machine cuts out.",
        ),
        _pressure(
            "cut_in_pressure", "Cut-in pressure", "Pressure at which the machine starts again.",
            required=False, left_out="90 % of the discharge gauge pressure",
        ),
        FieldSpec(
            "efficiency", "efficiency", "number", "0.75", 0.2, 1.0, label="Isentropic efficiency",
            source=_JUDGEMENT, help="Isentropic efficiency of each stage.",
        ),
        FieldSpec(
            "cooling", "cooling", "choice", "none",
            choices=get_args(model.Cooling), label="Cooling",
            source="cautious", help="How the air is cooled while it is compressed.",
        ),
        FieldSpec(
            "lubrication", "lubrication", "choice",
            choices=get_args(model.Lubrication), label="Lubrication",
            help="Whether oil reaches the compressed air.",
            left_out="oil-flooded where the cooling is, else oil-lubricated",
        ),
        FieldSpec(
            "discharge_temperature", "discharge_temperature", "temperature", low=273.15,
            high=673.15, label="Discharge temperature", unit="degC", us_unit="degF",
            help="Measured temperature of the delivered air.",
            left_out="computed from the stages",
        ),
        FieldSpec(
            "in_fire", "in_fire", "choice", "keeps running",
            choices=get_args(model.CompressorInFire), label="In a fire", source="cautious",
            help="Whether the machine goes on delivering when a fire is found.",
        ),
        *_PLACED,
        _OFFERED,
    ),
    "vessel": (
        _id("vessel"),
        FieldSpec(
            "role", "role", "choice", "receiver",
            choices=get_args(model.Role),
            label="Role", source=_USUAL, help="What the vessel does in the installation.",
        ),
        _length("inside_diameter", 0.005, 10.0, "Inside diameter",
                "Inside diameter of the cylinder.", required=True),
        FieldSpec(
            "volume", "volume", "volume", low=1e-5, high=2000.0, label="Volume",
            unit="m3", us_unit="ft3", help="Inside volume, both heads included.",
            left_out="computed from the length of the cylinder",
        ),
        _length("cylinder_length", 0.0, 200.0, "Cylinder length",
                "Length of the cylinder between the heads; with a volume given both must agree "
                "to 1 %.", left_out="computed from the volume"),
        FieldSpec(
            "heads", "heads", "choice", "torispherical",
            choices=HEADS, label="Heads",
            source="the usual head of receivers; common practice, no source",
            help="Shape of both heads: torispherical (R = Do, r = 0.1 Do), ellipsoidal (2:1), "
            "hemispherical or flat.",
        ),
        _length("head_thickness", 0.0002, 0.5, "Head thickness",
                "Thickness of the heads; needed for flat heads.",
                left_out="as the wall thickness"),
        FieldSpec(
            "orientation", "orientation", "choice", "vertical",
            choices=get_args(model.Orientation), label="Orientation", source=_JUDGEMENT,
            help="How the axis of the cylinder stands.",
        ),
        _length("wall_thickness", 0.0002, 0.5, "Wall thickness",
                "Thickness of the cylinder wall.", required=True),
        _measured(),
        FieldSpec(
            "weld_factor", "weld_factor", "number", "0.85", 0.4, 1.0, label="Weld factor",
            source=_JUDGEMENT,
            help="Strength of the seams over that of sound ones. What the heat of welding takes "
            "from the metal beside them is counted apart, by the material.",
        ),
        _material(None),
        _pressure("design_pressure", "Design pressure", "Pressure on the name plate."),
        _pressure("pressure", "Pressure", "Pressure when the fire starts."),
        FieldSpec(
            "temperature", "temperature", "temperature", low=223.15, high=573.15,
            label="Temperature", unit="degC", us_unit="degF",
            help="Temperature of the air when the fire starts.",
            left_out="the ambient temperature of the site",
        ),
        _condensate(),
        *_PLACED,
        _OFFERED,
    ),
    "line": (
        _id("line"),
        FieldSpec(
            "from", "from_", "end", required=True, label="From",
            targets=("compressor", "vessel", "junction", "consumer"),
            help="Where the line begins: a part, closed, or atmosphere.",
        ),
        FieldSpec(
            "to", "to", "end", required=True, label="To",
            targets=("compressor", "vessel", "junction", "consumer"),
            help="Where the line ends: a part, closed, or atmosphere.",
        ),
        _length("length", 0.01, 10000.0, "Length", "Length of the pipe.", required=True,
                **_METRES),
        _length("inside_diameter", 0.002, 3.0, "Inside diameter", "Inside diameter of the pipe.",
                required=True),
        _length("wall_thickness", 0.0001, 0.2, "Wall thickness", "Thickness of the pipe wall.",
                required=True),
        _measured(),
        FieldSpec(
            "weld_factor", "weld_factor", "number", "1", 0.4, 1.0, label="Weld factor",
            source="seamless or fully tested pipe; judgement",
            help="Strength of the seams over that of sound ones. What the heat of welding takes "
            "from the metal beside them is counted apart, by the material.",
        ),
        _material("P235TR1"),
        FieldSpec(
            "loss", "loss", "number", "0", 0.0, 10000.0, label="Loss of fittings",
            source="no fittings counted", help="Sum of the loss coefficients K of the fittings.",
        ),
        _pressure("design_pressure", "Design pressure", "Pressure that the pipe is made for.",
                  required=False, left_out="not stated"),
        _pressure("pressure", "Pressure", "Pressure when the fire starts; must be given where "
                  "both ends are closed.", required=False,
                  left_out="the highest of the nearest vessels, else that of a compressor that "
                  "feeds it, else none above the atmosphere"),
        FieldSpec(
            "temperature", "temperature", "temperature", low=223.15, high=573.15,
            label="Temperature", unit="degC", us_unit="degF",
            help="Temperature of the air when the fire starts.",
            left_out="the ambient temperature of the site",
        ),
        _condensate(),
        FieldSpec(
            "joints", "joints", "choice", choices=get_args(model.Joints), label="Joints", since=2,
            help="How its pieces are joined; welded also stands for brazed. In a fire a joint may "
            "leak before the pipe gives way: that is told, and never counted as a way out.",
            left_out="not stated",
        ),
        *_PLACED,
        _OFFERED,
    ),
    "junction": (_id("junction"), *_PLACED),
    "consumer": (_id("consumer"), *_PLACED),
    "valve": (
        _id("valve"),
        FieldSpec(
            "on", "on", "reference", required=True, label="On", targets=("line", *DEVICES),
            help="Line that the valve stands in, or device that it stands under.",
        ),
        FieldSpec(
            "end", "end", "choice", choices=get_args(model.End), label="End",
            help="End of the line at which the valve stands; several at one end count from the "
            "part outward in the order of the file.",
            left_out="between part and device",
        ),
        FieldSpec(
            "kind", "kind", "choice", "isolating", choices=get_args(model.ValveKind),
            label="Kind", source="cautious", help="Isolating valve or non-return valve.",
        ),
        FieldSpec(
            "state", "state", "choice", "open", choices=get_args(model.ValveState),
            label="State", source="cautious",
            help="State as drawn; only a valve locked open is counted on to be open.",
        ),
        FieldSpec(
            "reverse", "reverse", "flag", "false", label="Fitted backwards", source=_USUAL,
            help="Whether a non-return valve opens from the to end towards the from end.",
        ),
        _NOTES,
    ),
    "plug": (
        _id("plug"),
        _ON,
        FieldSpec(
            "alloy", "alloy", "alloy", required=True, label="Alloy",
            help=f'Fusible metal; "{ALLOY_UNSTATED}" when nobody knows it: the plug then gets '
            "no credit.",
        ),
        _length("bore", 0.0005, 0.3, "Bore", "Narrowest diameter when the metal has run out.",
                required=True),
        FieldSpec(
            "place", "place", "choice", "top", choices=get_args(model.PlugPlace),
            label="Place", source=_JUDGEMENT, help="Where on the part the plug stands.",
        ),
        _coefficient("0.6", "sharp-edged opening; common practice, no source"),
        FieldSpec(
            "outlet", "outlet", "choice", "open", choices=get_args(model.Outlet), label="Outlet",
            source=_USUAL, help="Whether the plug blows freely or into a pipe.",
        ),
        _length("outlet_length", 0.001, 500.0, "Outlet length",
                "Length of the outlet pipe; needed when the outlet is piped.",
                left_out="no outlet pipe", **_METRES),
        _length("outlet_diameter", 0.001, 1.0, "Outlet diameter",
                "Inside diameter of the outlet pipe; needed when the outlet is piped.",
                left_out="no outlet pipe"),
        _DISCHARGES_TO,
        _OUTLET_PLACE,
        FieldSpec(
            "fitted", "fitted", "date", label="Fitted",
            help="Date on which the plug was fitted or last renewed.",
            left_out="counts as overdue",
        ),
        FieldSpec(
            "renew_every", "renew_every", "months", "12 months", 1, 1200, label="Renew every",
            source=_COMMON, help="Interval of renewal in calendar months.",
        ),
        FieldSpec(
            "condition", "condition", "choice", "unknown", choices=PLUG_CONDITIONS,
            label="Condition", source="cautious: treated as corroded",
            help="What the plug looked like at the last inspection.",
        ),
        FieldSpec(
            "response", "response", "choice", "own body", choices=get_args(model.Response),
            label="Response", source=_JUDGEMENT,
            help="Whether the plug heats as a body of its own or exactly follows the wall.",
        ),
        FieldSpec(
            "body_mass", "body_mass", "mass", low=1e-4, high=50.0, label="Body mass",
            unit="g", us_unit="oz", help="Mass of the plug with its alloy.",
            left_out="from the bore, judgement",
        ),
        FieldSpec(
            "boss_mass", "boss_mass", "mass", low=0.0, high=50.0, label="Boss mass", since=2,
            unit="g", us_unit="oz", left_out="from the bore, judgement",
            help="Metal between the wall and the plug: half a coupling, a pad. 0: none.",
        ),
        _length("core_length", 0.0005, 0.5, "Core length", "Length of the core of fusible metal.",
                left_out="from the bore, judgement"),
        FieldSpec(
            "contact_conductance", "contact_conductance", "conductance", low=1e-4, high=1e4,
            label="Contact conductance", unit="W/K", us_unit="Btu/h/degF",
            help="Heat that passes from the wall into the plug, by degree.",
            left_out="from the bore, judgement",
        ),
        FieldSpec(
            "exposed_area", "exposed_area", "area", low=0.0, high=1.0, label="Exposed area",
            unit="mm2", us_unit="in2", help="Surface of the plug that flames can reach.",
            left_out="from the bore, 0 where the outlet is piped; judgement",
        ),
        _emissivity(None, "that the plug's surface", "", "judgement of the plug model"),
        _NOTES,
        _OFFERED,
    ),
    "relief_valve": (
        _id("relief valve"),
        _ON,
        _pressure("set_pressure", "Set pressure", "Pressure at which the valve begins to lift."),
        _FLOW_AREA,
        _coefficient("0.8", _JUDGEMENT),
        _DISCHARGES_TO,
        _OUTLET_PLACE,
        _NOTES,
        _OFFERED,
    ),
    "bursting_disc": (
        _id("bursting disc"),
        _ON,
        _pressure("burst_pressure", "Burst pressure", "Pressure at which the disc bursts."),
        _FLOW_AREA,
        _coefficient("0.62", "sharp-edged opening; common practice, no source"),
        _DISCHARGES_TO,
        _OUTLET_PLACE,
        _NOTES,
        _OFFERED,
    ),
    "inspection": (
        FieldSpec(
            "on", "on", "reference", required=True, label="Of",
            targets=(*DEVICES, "valve", *PARTS), help="What was inspected.",
        ),
        FieldSpec("date", "date", "date", required=True, label="Date", help="Day of it."),
        _text("by", "By", "Who inspected it."),
        FieldSpec(
            "condition", "condition", "choice", label="Condition",
            choices=get_args(model.Found),
            help="What was found; the last entry rules. Of a plug: no seized, no leaking.",
            left_out="not stated",
        ),
        FieldSpec(
            "renewed", "renewed", "flag", "false", label="Renewed", source=_USUAL,
            help="Whether the plug was renewed on that day.",
        ),
        _text("note", "Remark", "What else was found."),
    ),
    "fire": (
        _id("fire"),
        FieldSpec(
            "curve", "curve", "choice", required=True, choices=fires.CURVES, label="Curve",
            help="How hot the fire is over time.",
        ),
        FieldSpec(
            "flux", "flux", "flux", low=100.0, high=1e6, label="Heat flux", unit="kW/m2",
            us_unit="Btu/h/ft2", help="Heat onto the surface; for the curve flux.",
            left_out="not used",
        ),
        FieldSpec(
            "absorbed", "absorbed", "flag", "false", label="Net flux", source=_USUAL,
            help="Whether the flux is what the wall takes up, without radiating back.",
        ),
        FieldSpec(
            "temperature", "temperature", "temperature", low=273.15, high=2273.15,
            label="Flame temperature", unit="degC", us_unit="degF",
            help="Constant temperature of the flames; for the curve temperature.",
            left_out="not used",
        ),
        FieldSpec(
            "points", "points", "points", label="Points", left_out="not used",
            help="Pairs of time and temperature; for the curve table.",
        ),
        FieldSpec(
            "reaches", "reaches", "references", required=True, label="Reaches", targets=HOLDERS,
            help="Vessels and lines that stand in the fire.",
        ),
        FieldSpec(
            "exposed_share", "exposed_share", "shares", "1", 0.001, 1.0, label="Exposed share",
            source="cautious", help="Share of each part's outer surface and metal in the fire.",
        ),
        FieldSpec(
            "plugs_in_fire", "plugs_in_fire", "references", label="Plugs in the fire",
            targets=("plug",), help="Plugs that the flames reach.",
            left_out="those on parts with an exposed share of 1",
        ),
        FieldSpec(
            "closed", "closed", "references", label="Closed valves", targets=("valve",),
            help="Valves that are shut in this fire.",
            left_out="every valve that may be closed",
        ),
        _emissivity("0.8", "that the wall", "EN 1993-1-2 and EN 1991-1-2, from memory"),
        FieldSpec(
            "convection", "convection", "heat_transfer", low=0.0, high=500.0,
            label="Convection", unit="W/m2/K", us_unit="Btu/h/ft2/degF",
            source="EN 1991-1-2, from memory",
            help="Heat transfer from flames to wall; under a heat flux from wall to air.",
            left_out=_usual_convection(),
        ),
        FieldSpec(
            "duration", "duration", "time", "60 min", 6.0, 86400.0, label="Duration",
            unit="min", us_unit="min", source=_JUDGEMENT, help="How long the fire lasts.",
        ),
        _NOTES,
    ),
    "fire_source": (
        _id("fire source"),
        FieldSpec(
            "kind", "kind", "choice", "pool", choices=get_args(model.SourceKind), label="Kind",
            since=2, source="the only kind there is",
            help="What burns: a pool of liquid on the ground.",
        ),
        FieldSpec(
            "fuel", "fuel", "choice", required=True, choices=tuple(pool_fires.fuels()),
            label="Fuel", since=2, source="table of fuels, each row with its source",
            help="Liquid that burns.",
        ),
        FieldSpec(
            "diameter", "diameter", "length", low=0.2, high=50.0, required=True,
            label="Diameter", unit="m", us_unit="ft", since=2,
            help="Of the pool; of another shape that of a round pool of its area.",
        ),
        FieldSpec(
            "volume", "volume", "volume", low=1e-4, high=1e4, label="Volume of liquid",
            unit="L", us_unit="gal(US)", since=2, left_out="it burns for 60 min",
            help="How much can burn; it gives the time.",
        ),
        FieldSpec(
            "at", "at", "point", low=-1e5, high=1e5, required=True, label="Plan position",
            unit="m", us_unit="ft", since=2, help="Middle of the pool, metres east and north.",
        ),
        _NOTES,
    ),
    "people": (
        _id("place"),
        FieldSpec(
            "kind", "kind", "choice", "outdoors", choices=get_args(model.PeopleKind),
            label="Kind", source=_JUDGEMENT, help="Where the people are.",
        ),
        FieldSpec(
            "at", "at", "point", low=-1e5, high=1e5, required=True, label="Plan position",
            unit="m", us_unit="ft", help="Place on the plan, metres east and north.",
        ),
    ),
    "room": (
        _id("room"),
        FieldSpec(
            "volume", "volume", "volume", low=0.1, high=1e7, required=True, label="Volume",
            unit="m3", us_unit="ft3", help="Volume of air in the room.",
        ),
        FieldSpec(
            "extinguishing", "extinguishing", "choice", "none",
            choices=get_args(model.Extinguishing), label="Extinguishing", source=_USUAL,
            help="Fixed extinguishing that the let-out air would disturb.",
        ),
        FieldSpec(
            "area", "area", "text", label="Fire area", left_out="the same as the id",
            help="Fire compartment that the room is.",
        ),
    ),
}  # fmt: skip

FIELDS["action"] = (
    _id("action"),
    FieldSpec(
        "rule", "rule", "rule", required=True, label="Rule", since=2,
        help="Rule of the finding that something was decided about.",
    ),
    FieldSpec(
        "part", "part", "reference", label="Part", since=2, targets=tuple(
            kind for kind, found in FIELDS.items() if any(one.kind == "id" for one in found)
        ),
        help="Part, device or other table that the finding is about.",
        left_out="the installation as a whole",
    ),
    FieldSpec(
        "section", "section", "text", label="Section", since=2,
        help="Isolable section that the finding is about: the ids of its parts with + between.",
        left_out="not about a section",
    ),
    FieldSpec(
        "class", "fire_class", "choice", choices=model.FIRE_CLASSES, label="Fire", since=2,
        help="Which fires the finding is about: stated in the file, around the whole section, "
        "beside it, or on a spot of it.", left_out="not about a fire",
    ),
    FieldSpec(
        "decision", "decision", "choice", required=True, choices=get_args(model.Decision), since=2,
        label="Decision", help="Whether something is to be done, or the finding is accepted.",
    ),
    *(
        FieldSpec(key, key, "text", label=label, help=text, left_out="not stated", since=2)
        for key, label, text in (
            ("text", "What to do", "What is to be done; needed unless the finding is accepted."),
            ("owner", "Owner", "Who has to see to it."),
        )
    ),
    FieldSpec(
        "due", "due", "date", label="Due", help="Day by which it is to be done.", since=2,
        left_out="not stated",
    ),
    FieldSpec(
        "done", "done", "date", label="Done", help="Day on which it was done.", since=2,
        left_out="still to be done",
    ),
    *(
        FieldSpec(key, key, "text", label=label, help=text, left_out="not stated", since=2)
        for key, label, text in (
            ("evidence", "Evidence", "What shows that it was done."),
            ("reason", "Reason", "Why the finding is accepted; needed then."),
            ("by", "Accepted by", "Who accepts the finding; needed then."),
        )
    ),
    FieldSpec(
        "until", "until", "date", label="Accepted until", since=2, left_out="not accepted",
        help="Day on which the acceptance lapses; needed for one.",
    ),
    FieldSpec(
        "accepted", "accepted", "accepted", label="Accepted result", choices=OUTCOMES, since=2,
        help="What the fire did when its finding was accepted; written by the program. A worse "
        "result is not accepted.", left_out="no result of a fire",
    ),
)  # fmt: skip

# Kinds of tables that a later format has brought: the first format that has them.
KINDS_SINCE = {"action": 2, "fire_source": 2}
OFFERING = tuple(kind for kind, found in FIELDS.items() if _OFFERED in found)

SINGLE = ("", "about", "choices", "spread", "site")
REPEATED = tuple(kind for kind in FIELDS if kind not in SINGLE)
WITH_ID = tuple(kind for kind in REPEATED if kind != "inspection")


def spec(kind: str, key: str) -> FieldSpec:
    """The declaration of one field.

    Parameters
    ----------
    kind : str
        Kind of table, for example "vessel".
    key : str
        Key in the file.

    Raises
    ------
    KeyError
        No such kind or key.
    """
    for found in FIELDS[kind]:
        if found.key == key:
            return found
    raise KeyError(key)


def keys_of(kind: str) -> tuple[str, ...]:
    """All keys of one kind of table, in the order in which they are written."""
    return tuple(found.key for found in FIELDS[kind])


def all_fields() -> Iterator[tuple[str, FieldSpec]]:
    """Every kind of table with each of its fields."""
    for kind, found in FIELDS.items():
        for one in found:
            yield kind, one


def kind_name(kind: str) -> str:
    """A kind of table in words, for example "relief valve"."""
    return said(_KIND_WORDS[kind]) if kind in _KIND_WORDS else kind.replace("_", " ")


_KIND_WORDS: Codes[dict[str, str]] = {
    "": "file", "about": "about", "choices": "choices", "site": "site", "spread": "spread",
    "compressor": "compressor", "vessel": "vessel", "line": "line", "junction": "junction",
    "consumer": "consumer", "valve": "valve", "plug": "plug", "relief_valve": "relief-valve",
    "bursting_disc": "bursting-disc", "inspection": "inspection", "fire": "fire",
    "fire_source": "fire-source", "people": "people", "room": "room", "action": "action",
}  # fmt: skip


def named_place(kind: str, name: str, index: int) -> str:
    """A table for people: "vessel R1", or "inspection number 3" for one without an id."""
    word = kind_name(kind)
    if name:
        return said("kind-and-name", kind=word, name=name)
    return said("kind-and-number", kind=word, number=index + 1)
