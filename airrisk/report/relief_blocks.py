"""The relief area of the vessel that is worked out, beside the bores that runs have proven."""

from __future__ import annotations

from collections.abc import Iterator

from airrisk.installation.model import Installation, Vessel
from airrisk.report.blocks import Block, Formula, Heading, Paragraph
from airrisk.study.fire_hand_calculation import (
    relief_area_traces,
    relief_inputs,
    relieving_traces,
)
from airrisk.study.heat_by_hand import HeatByHand
from airrisk.study.records import FireRecord
from airrisk.wording.formulas import render_trace
from airrisk.wording.sentences import fire_lead
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, number_text

USUAL_COEFFICIENT = 0.6  # of a plug whose coefficient nobody has stated


def relief_blocks(
    installation: Installation, fire: FireRecord, vessel: Vessel, heat: HeatByHand, units: Units
) -> Iterator[Block]:
    """The rule for gas-filled vessels, worked for the surface of the vessel in the fire.

    Parameters
    ----------
    installation, fire, vessel
        That are worked out.
    heat : HeatByHand
        Its surface in the fire.
    units : Units
        Of the results.
    """
    plug = next((one for one in installation.plugs if one.on == vessel.id), None)
    coefficient = USUAL_COEFFICIENT if plug is None else plug.discharge_coefficient
    inputs = relief_inputs(installation, vessel, heat.area_m2, coefficient)
    steps = tuple(relief_area_traces(inputs))
    if not steps:
        return
    yield Heading(
        tr("{lead}, relief area of {part} by API 521").format(lead=fire_lead(fire), part=vessel.id)
    )
    yield Paragraph(
        tr(
            "For an opening on the vessel itself with a discharge coefficient of {number}. The "
            "rule keeps the pressure near the design pressure; the runs ask only that the hot "
            "wall holds, so that their bores are smaller."
        ).format(number=number_text(coefficient)),
        "small",
    )
    for step in (*relieving_traces(installation, vessel, inputs), *steps):
        yield Formula(render_trace(step, units))
