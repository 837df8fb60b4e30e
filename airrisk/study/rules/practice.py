"""What practitioners check besides: examinations, wear, rooms, clean air."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from airrisk.installation.model import Compressor, Vessel
from airrisk.installation.naming import in_order
from airrisk.installation.values import fold
from airrisk.installation.worn_walls import thinnest_readings
from airrisk.physics.confined import closed_room_pressure
from airrisk.study.examinations import examination_rows
from airrisk.study.records import Finding, Severity
from airrisk.study.rules.asking import all_vessels, for_each
from airrisk.study.rules.context import RuleContext, finding
from airrisk.study.wear import wear_of

ROOM_LIMIT = 5e3  # Pa: ordinary walls and windows give way from about there; judgement
OIL_STOPS, WATER_STOPS = frozenset({"filter"}), frozenset({"dryer"})
USUAL_MONTHS = 12  # renewal of a plug; common practice, no source
LEAST_YEARS = 4.0  # a wall that is used up sooner is told as a warning; judgement


def examinations_due(context: RuleContext) -> Iterator[Finding]:
    """Examinations that are overdue, and those of which nobody knows the last one."""
    for row in examination_rows(context.installation, context.on):
        if row.status in ("overdue", "no date"):
            overdue = row.status == "overdue"
            yield finding(
                "examination-due",
                "warning" if overdue else "note",
                row.part,
                variant="" if overdue else "unknown",
                due=row.due,
                examined=row.examined,
            )


def examined_too_rarely(context: RuleContext) -> Iterator[Finding]:
    """Vessels whose examinations lie farther apart than the chosen rules allow."""
    for row in examination_rows(context.installation, context.on):
        if row.longest_months is not None and (row.every_months or 0) > row.longest_months:
            yield finding(
                "examined-too-rarely",
                "warning",
                row.part,
                every_months=row.every_months,
                longest_months=row.longest_months,
                pressure_volume_j=row.pressure_volume_j,
            )


def wear(context: RuleContext) -> Iterator[Finding]:
    """Walls that wear away, and readings that are thinner than the file's wall."""
    for one in wear_of(context.installation):
        if one.left_years is None:
            continue
        yield finding(
            "wall-wears-away",
            _severity_of(one.left_years),
            one.part,
            variant="used" if one.left_years <= 0.0 else "",
            rate_wall_m=one.rate_m_per_year,
            thinnest_wall_m=one.thinnest_m,
            needed_wall_m=one.needed_m,
            left_years=one.left_years,
            first=one.first,
            last=one.last,
        )  # fmt: skip


def _severity_of(years: float) -> Severity:
    if years <= 0.0:
        return "danger"
    return "warning" if years < LEAST_YEARS else "note"


def thin_readings(context: RuleContext) -> Iterator[Finding]:
    """Parts whose wall was measured thinner than the file has it."""
    walls = {fold(part.id): part for part in context.installation.holders()}
    for name, least in thinnest_readings(context.installation).items():
        part = walls.get(name)
        if part is not None and least < part.wall_thickness * (1.0 - 1e-9):
            yield finding(
                "reading-thinner-than-file",
                "warning",
                part.id,
                least_wall_m=least,
                wall_m=part.wall_thickness,
            )


@for_each(all_vessels)
def rooms(context: RuleContext, vessel: Vessel) -> Iterator[Finding]:
    """Vessels that raise the pressure in their closed room when they let go."""
    if vessel.area is None:
        return
    for room in context.installation.rooms:
        if (room.area or room.id).casefold() != vessel.area.casefold():
            continue
        pressure = closed_room_pressure(
            context.pressure(vessel.id), vessel.volume, context.ambient, room.volume
        )
        rise = pressure - context.ambient
        if rise > ROOM_LIMIT:
            yield finding(
                "room-bursts-with-vessel",
                "note",
                vessel.id,
                room=room.id,
                rise_difference_pa=rise,
                volume_m3=room.volume,
            )


def plugs_in_foul_air(context: RuleContext) -> Iterator[Finding]:
    """Machines that send oil or water to plugs: nothing on the way takes it out."""
    for machine in context.installation.compressors:
        fouled: dict[str, set[str]] = {}
        for what, roles in (("oil", OIL_STOPS), ("water", WATER_STOPS)):
            if what == "oil" and machine.lubrication == "oil-free":
                continue
            fouled[what] = _reached_plugs(context, machine, roles)
        both = set().union(*fouled.values())
        if not both:
            continue
        which = [what for what, plugs in fouled.items() if plugs]
        yield finding(
            "plug-can-foul",
            "note",
            machine.id,
            variant=which[0] if len(which) == 1 else "",
            plugs=in_order(both),
        )


def _reached_plugs(context: RuleContext, machine: Compressor, roles: frozenset[str]) -> set[str]:
    """Plugs renewed once a year or less often that its air reaches past no vessel of some roles."""
    plant = context.installation
    cleaning = {vessel.id for vessel in plant.vessels if vessel.role in roles}
    clear = context.ways.subgraph([node for node in context.ways if node not in cleaning])
    if machine.id not in clear:
        return set()
    reached = nx.descendants(clear, machine.id)
    return {
        plug.id
        for plug in plant.plugs
        if plug.renew_every >= USUAL_MONTHS and context.part_of(plug) in reached
    }
