"""Places where nobody may count on hearing the air of an open plug."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.study.audibility import heard_records
from airrisk.study.discharges import discharges
from airrisk.study.records import Finding
from airrisk.study.rules.context import RuleContext, finding


def plugs_not_heard(context: RuleContext) -> Iterator[Finding]:
    """Places with a stated background at which no plug is likely to be heard."""
    plant = context.installation
    if not any(one.background_level is not None for one in plant.people):
        return
    records = heard_records(
        plant, discharges(plant, context.parts, lambda *_: None), (), context.on
    )
    for place in plant.people:
        here = [one for one in records if one.place == place.id]
        if not here or any(one.heard == "likely" for one in here):
            continue
        best = max(here, key=lambda one: (one.heard == "not sure", one.lowest_db))
        yield finding(
            "plug-not-heard",
            "warning" if place.alarm_after is None else "note",
            place.id,
            variant="unsure" if best.heard == "not sure" else "",
            cure_variant="alarm" if place.alarm_after is not None else "",
            plugs=(best.device,),
            level_db=best.level_db,
            needed_db=best.needed_db,
            background_db=best.background_db,
        )
