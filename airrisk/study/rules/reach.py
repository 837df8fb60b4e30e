"""Rules about people near a vessel that does not survive a fire."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from airrisk.installation.model import Vessel
from airrisk.installation.naming import in_order
from airrisk.installation.people_places import rings, unknown_from
from airrisk.messages import quoted
from airrisk.study.consequence_records import CaseRecord
from airrisk.study.consequences import PEOPLE_HARM, people_reach, vessel_consequences
from airrisk.study.records import Finding, FireRecord
from airrisk.study.rules.asking import all_vessels, for_each
from airrisk.study.rules.context import RuleContext, finding, fire_named

BUILDING_HARM = "walls and roofs collapse in part"


@for_each(all_vessels)
def people_within_reach(context: RuleContext, vessel: Vessel) -> Iterator[Finding]:
    """Vessels that rupture in a fire, as stated or in the worst of its runs, with people so near
    that the blast hurts them: eardrums in the open, falling walls in a building.

    The bursting-vessel method decides; both are shown. Pieces fly farther than any of these
    distances, so they are stated and do not decide. Where a plan position is missing nobody can
    say who is near, and that is found too, whoever else is known to be.
    """
    plant = context.installation
    record = context.parts.get(vessel.id)
    fires = tuple(fire for fire in context.fires if fire.ruptures(vessel.id))
    if record is None or not fires or not plant.people:
        return
    yield from _not_known(context, vessel, fires[0])
    cases = vessel_consequences(plant, vessel, record, fires, only="fire_transient")
    case = cases.get("fire_transient")
    if case is None:
        return
    reached = []
    for place in people_reach(plant, {vessel.id: {"fire_transient": case}}):
        harm = BUILDING_HARM if place.kind == "building" else PEOPLE_HARM
        if place.distance_m <= _reach_of(case, "burst", harm):
            reached.append((place, harm))
    if not reached:
        return
    nearest, harm = min(reached, key=lambda pair: pair[0].distance_m)
    yield finding(
        "people-within-reach",
        "warning",
        vessel.id,
        variant="several" if len(reached) > 1 else "",
        places=tuple(place.people for place, _ in reached),
        distances_m={place.people: place.distance_m for place, _ in reached},
        place=nearest.people,
        distance_m=nearest.distance_m,
        incident_overpressure_pa=nearest.methods["burst"].incident_pa,
        tnt_overpressure_pa=nearest.methods["tnt"].incident_pa,
        harm=quoted(harm),
        reach_m=_reach_of(case, "burst", harm),
        tnt_reach_m=_reach_of(case, "tnt", harm),
        range_50_m=case.fragments.ways[0].range_50_m,
        **fire_named(next(fire for fire in fires if fire.id == case.fire)),
        rupture_pressure_pa=case.pressure_pa,
    )


def _not_known(context: RuleContext, vessel: Vessel, fire: FireRecord) -> Iterator[Finding]:
    """Places of which nobody can say how near they are."""
    plant = context.installation
    places = unknown_from(plant, vessel)
    if not places:
        return
    told_from = in_order({r.vessel for one, r in rings(plant) if one.id in places})
    known: dict[str, Any] = fire_named(fire)
    alone = vessel.at is None
    if not alone:
        known["parts"] = told_from
    yield finding(
        "people-within-reach",
        "warning",
        vessel.id,
        variant="unplaced" if alone else "unknown",
        places=places,
        stored_pa_m3=context.stored((vessel.id,)),
        **known,
    )


def _reach_of(case: CaseRecord, method: str, harm: str) -> float:
    rows = (row.distance_m for row in case.methods[method].thresholds if row.harm == harm)
    return next(rows, math.nan)
