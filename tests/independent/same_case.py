"""The same fire for both solvers: a system file on one side, a plain dict on the other.

What the file says is turned into the dict here by plain formulas. Only the body of a plug (its
masses and contact, judgements of the program), the geometry of heads other than
hemispherical and the surface over standing water are taken over from the program; they are
inputs to the comparison.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from airrisk.fire.case import FireCase
from airrisk.fire.case_building import build_case
from airrisk.fire.case_scene import CaseSettings
from airrisk.fire.patches import Exposures
from airrisk.installation.geometry import wetted_surface
from airrisk.installation.model import Fire, Installation, Vessel
from airrisk.installation.reading import check
from airrisk.installation.sections import section_of, sections_with
from airrisk.kernel import layout as at

# least strengths of the steels (EN 10028-2, EN 10028-3, EN 10025-2,
# ASME II-D as the system file's table of materials cites them)
# tensile and yield strength in MPa, by the greatest thickness in mm
STEELS = {
    "P235GH": {16: (360, 235), 40: (360, 225), 60: (360, 215)},
    "P265GH": {16: (410, 265), 40: (410, 255), 60: (410, 245)},
    "P355GH": {16: (510, 355), 40: (510, 345), 60: (510, 335)},
    "P275SL": {16: (390, 275), 40: (390, 265), 60: (390, 255)},
    "S235": {16: (360, 235), 40: (360, 225), 60: (360, 215)},
    "SA-516-70": {60: (485, 260)},
}


# least life, WRC 541 as in API 579-1: kelvin, lg MPa, hours; low- or medium-carbon steel
LOW = (20509.4, -512.137, -713.761, -138.889, 18.15)
MEDIUM = (18864.1, -742.323, -465.958, -166.667, 15.60)
CREEP = {
    "P235GH": LOW, "P275SL": LOW, "S235": LOW,
    "P265GH": MEDIUM, "P355GH": MEDIUM, "SA-516-70": MEDIUM,
}  # fmt: skip


def installation_of(text: str) -> Installation:
    """The installation that a text describes; the text must be valid."""
    installation, problems = check(text)
    assert installation is not None, problems
    return installation


def cases_of(installation: Installation, fire: Fire, **options: Any) -> list[FireCase]:
    """One case for every section that the fire reaches."""
    closed = fire.closed
    if closed is None:
        closed = tuple(v.id for v in installation.valves if v.can_close)
    shut = set(closed) | {v.id for v in installation.valves if v.state == "closed"}
    if fire.closed is not None:
        shut = set(fire.closed)
    sections = sections_with(installation, shut)
    reached = {section_of(sections, part).id: section_of(sections, part) for part in fire.reaches}
    assumed = CaseSettings(**options)
    return [build_case(installation, fire, reached[key], assumed) for key in sorted(reached)]


def hemispherical_shell(vessel: Vessel, density: float) -> tuple[float, float, float]:
    """Outer surface (m2), metal mass (kg) and burst factor (-) of a vessel with round ends."""
    D, s, length = vessel.inside_diameter, vessel.wall_thickness, vessel.cylinder_length
    e = s if vessel.head_thickness is None else vessel.head_thickness
    surface = math.pi * (D + 2 * s) * length + math.pi * (D + 2 * e) ** 2
    mass = density * (math.pi * (D + s) * s * length + math.pi * (D + e) ** 2 * e)
    # mean diameter; a sphere carries twice what a cylinder of the same wall does
    cylinder = 2 * s / (D + s)
    sphere = 4 * e / (D + e)
    return surface, mass, min(cylinder, sphere) * vessel.weld_factor


def _insulation(case: FireCase, name: str) -> dict[str, Any]:
    """What insulation resists where the fire strikes, and elsewhere."""
    cover = case.covers.get(name)
    return {} if cover is None else {"insulation": (cover.struck, cover.unstruck)}


def _water(vessel: Vessel, fire: Fire, surface: float) -> dict[str, Any]:
    """The water of a vessel: its room, mass, and the surface over it that the fire heats."""
    if vessel.condensate <= 0.0:
        return {}
    wetted = wetted_surface(vessel)
    share = fire.share(vessel.id) if vessel.id in fire.reaches else 0.0
    return {
        "volume": vessel.volume - vessel.condensate,
        "water": 998.0 * vessel.condensate,
        "wetted": min(wetted, share * surface),
        "water_surface": wetted,
    }


def _patches(vessel: Vessel, fire: Fire, exposures: Exposures, surface: float) -> dict[str, Any]:
    """The patches of a wall; the fire burns where the water stands, the worst first."""
    if vessel.id not in exposures:
        return {}
    patches = []
    for patch in exposures[vessel.id]:
        exposure = patch.exposure
        usual = fire.convection if exposure.kind == "flames" else 4.0  # EN 1991-1-2 3.1
        patches.append(
            {
                "name": patch.name,
                "share": patch.share,
                "kind": exposure.kind,
                "emissivity": exposure.emissivity or fire.emissivity,
                "convection": usual if exposure.convection is None else exposure.convection,
                "flux": exposure.flux,
                "begins": exposure.begins,
                "ends": math.inf if exposure.ends is None else exposure.ends,
                "wetted": 0.0,
            }
        )
    if vessel.condensate > 0.0:
        left = wetted_surface(vessel)
        struck = [one for one in patches if one["kind"] != "ambient"]
        for one in sorted(struck, key=lambda one: (one["kind"] == "radiation", -one["flux"])):
            one["wetted"] = min(left, one["share"] * surface)
            left -= one["wetted"]
    return {"patches": patches}


def plain_case(
    installation: Installation,
    fire: Fire,
    case: FireCase,
    basis: str,
    inner_radiation: bool,
    exposures: Exposures | None = None,
    plug_patches: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """The dict of the plain solver for one or two vessels and the lines between them.

    ``exposures`` are the patches of walls, ``plug_patches`` where the plugs on them stand.
    """
    exposures, plug_patches = exposures or {}, plug_patches or {}
    members = set(case.names)
    vessels = []
    for vessel in installation.vessels:
        if vessel.id not in members:
            continue
        rows = STEELS[vessel.material]
        least = min(mm for mm in rows if vessel.wall_thickness <= mm * 1e-3 * (1 + 1e-9))
        tensile, yield_ = (mpa * 1e6 for mpa in rows[least])
        if vessel.heads == "hemispherical" and vessel.measured:
            surface, mass, factor = hemispherical_shell(vessel, 7850.0)
        else:
            surface, mass = (
                float(
                    case.floats[case.space_at(vessel.id, hot)]
                    + case.floats[case.space_at(vessel.id, cold)]
                )
                for hot, cold in (
                    (at.S_HOT_AREA, at.S_COLD_AREA),
                    (at.S_HOT_MASS, at.S_COLD_MASS),
                )
            )
            factor = float(case.floats[case.space_at(vessel.id, at.S_BURST_FACTOR)])
        vessels.append(
            {
                "id": vessel.id,
                "volume": vessel.volume,
                "pressure": vessel.pressure,
                "temperature": vessel.temperature,
                "surface": surface,
                "metal_mass": mass,
                "share": fire.share(vessel.id) if vessel.id in fire.reaches else 0.0,
                "burst_factor": factor,
                "tensile": tensile,
                "yield": yield_,
                "basis": basis,
                "inner_radiation": inner_radiation,
                "creep": CREEP[vessel.material],
            }
            | _insulation(case, vessel.id)
            | _water(vessel, fire, surface)
            | _patches(vessel, fire, exposures, surface)
        )
    shares = {v["id"]: v["share"] for v in vessels}
    engulfed = {
        v["id"]: all(one["kind"] != "ambient" for one in v["patches"])
        if "patches" in v
        else v["share"] >= 1.0
        for v in vessels
    }
    plugs = []
    for plug in installation.plugs:
        if plug.id not in case.plugs:
            continue
        body = case.bodies[plug.id]
        if fire.plugs_in_fire is None:
            flames = shares[plug.on] >= 1.0
        else:
            flames = plug.id in fire.plugs_in_fire
        hot = (flames or shares[plug.on] >= 1.0) and shares[plug.on] > 0.0
        plugs.append(
            {
                "id": plug.id, "on": plug.on, "in_fire": flames, "hot_zone": hot,
                "bore": plug.bore, "coefficient": plug.discharge_coefficient,
                "solidus": body.solidus, "liquidus": body.liquidus, "response": plug.response,
                "body_heat_capacity": body.heat_capacity, "alloy_mass": 1.0,
                "alloy_specific_heat": 0.0, "latent_heat": body.latent_heat,
                "contact": body.contact, "boss_heat_capacity": body.boss_capacity,
                "boss_contact": body.boss_contact, "boss_area": body.boss_area,
                "flame_area": body.flame_area,
                "emissivity": body.emissivity, "gas_area": body.air_area,
                "fouling": body.fouling, "patch": plug_patches.get(plug.id),
                "blocked": plug.id in case.uncredited,
            }
        )  # fmt: skip
    valves = [
        {
            "id": v.id, "on": v.on, "set_pressure": v.set_pressure, "area": v.area,
            "coefficient": v.discharge_coefficient, "in_fire": engulfed[v.on],
        }
        for v in installation.relief_valves
        if v.id in case.relief_valves
    ]  # fmt: skip
    discs = [
        {
            "id": d.id, "on": d.on, "burst_pressure": d.burst_pressure, "area": d.area,
            "coefficient": d.discharge_coefficient,
        }
        for d in installation.bursting_discs
        if d.id in case.discs
    ]  # fmt: skip
    lines = [
        {
            "id": line.id, "from": line.from_, "to": line.to, "length": line.length,
            "diameter": line.inside_diameter, "loss": line.loss,
        }
        for line in installation.lines
        if line.from_ in shares and line.to in shares
    ]  # fmt: skip
    return {
        "ambient": {
            "pressure": installation.site.ambient_pressure,
            "temperature": installation.site.ambient_temperature,
        },
        "fire": {
            "kind": fire.curve, "temperature": fire.temperature, "flux": fire.flux,
            "absorbed": fire.absorbed, "emissivity": fire.emissivity,
            "convection": fire.convection, "duration": fire.duration,
        },
        "vessels": vessels, "plugs": plugs, "valves": valves, "discs": discs, "lines": lines,
        "limit": case.limit, "end": fire.duration + 1800.0,
    }  # fmt: skip
