"""The report marks every value that nobody typed."""

from __future__ import annotations

import dataclasses

from airrisk.report.blocks import Paragraph, Table
from airrisk.report.input_sections import inputs_section
from airrisk.wording.units import Units
from tests.report import hand_made


def test_offered_default_and_computed_values_have_their_mark():
    plant = hand_made.installation()
    vessel = dataclasses.replace(plant.vessels[0], offered=("wall_thickness",))
    section = inputs_section(
        dataclasses.replace(plant, vessels=(vessel,)), Units("metric", hand_made.AMBIENT)
    )
    shown = str([block for block in section.blocks if isinstance(block, Table)])
    assert "8\\xa0mm [o]" in shown
    assert "[d]" in shown
    assert "[c]" in shown
    first = section.blocks[0]
    assert isinstance(first, Paragraph)
    assert "[o] marks a value that the program offered and nobody has confirmed" in first.text
