"""The name plate against the file: what is missing of it, and what contradicts the rest."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.inspected import inspections_of
from airrisk.installation.model import ReliefValve, Vessel
from airrisk.installation.naming import in_order
from airrisk.study.records import Finding
from airrisk.study.rules.asking import all_vessels, for_each
from airrisk.study.rules.context import RuleContext, finding

# Of the design pressure above the atmosphere. The lowest usual test is a pneumatic one at 1.1
# times (ASME VIII UG-100); EN 286-1 asks for 1.5, PED annex I 7.4 for 1.43 (all from memory).
LEAST_TEST = 1.1
ROUNDING = 0.005  # of the test pressure: plates print two or three digits; judgement
FEW = 4  # names that one sentence holds


def plates_missing(context: RuleContext) -> Iterator[Finding]:
    """One note for all vessels and relief valves of which the plate is not in the file."""
    plant = context.installation
    left = [one.id for one in plant.vessels if _lacks(one) or one.test_pressure is None]
    left += [one.id for one in plant.relief_valves if _lacks(one)]
    if left:
        yield finding(
            "name-plate-not-in-file",
            "note",
            "",
            variant="" if len(left) <= FEW else "many",
            parts=in_order(left),
            count=len(left),
        )


def _lacks(device: Vessel | ReliefValve) -> bool:
    return not device.maker.strip() or device.year_made is None


@for_each(all_vessels)
def tested_too_low(context: RuleContext, vessel: Vessel) -> Iterator[Finding]:
    """Vessels whose test pressure does not go with the pressures of the file."""
    if vessel.test_pressure is None:
        return
    tested = vessel.test_pressure - context.ambient
    highest = max(vessel.pressure, context.highest_pressure(vessel.id))
    least = LEAST_TEST * (vessel.design_pressure - context.ambient)
    never = tested <= highest - context.ambient
    if not never and tested * (1.0 + ROUNDING) >= least:
        return
    yield finding(
        "test-pressure-too-low",
        "danger" if never else "warning",
        vessel.id,
        variant="never" if never else "",
        test_pressure_pa=vessel.test_pressure,
        pressure_pa=highest,
        design_pressure_pa=vessel.design_pressure,
        least_pressure_pa=least + context.ambient,
    )


def years(context: RuleContext) -> Iterator[Finding]:
    """Vessels and relief valves made in a year to come, or looked at before they were made."""
    plant = context.installation
    devices: list[Vessel | ReliefValve] = [*plant.vessels, *plant.relief_valves]
    for device in devices:
        made = device.year_made
        if made is None:
            continue
        seen = [one.date for one in inspections_of(plant, device.id, context.on)]
        earliest = min([*seen, *([device.examined] if device.examined else [])], default=None)
        if made > context.on.year:
            yield finding("year-made-impossible", "warning", device.id, variant="", year=str(made))
        elif earliest is not None and earliest.year < made:
            yield finding(
                "year-made-impossible",
                "warning",
                device.id,
                variant="before",
                year=str(made),
                examined=earliest,
            )
