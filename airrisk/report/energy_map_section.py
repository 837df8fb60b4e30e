"""A chapter for students: energy and rupture temperature against pressure, volume, temperature."""

from __future__ import annotations

from airrisk.report.blocks import Block, Bullets, Drawn, Heading, Paragraph, Section
from airrisk.study.energy_map import EnergyMap
from airrisk.wording.energy_map_charts import (
    energy_chart,
    energy_map_texts,
    rupture_chart,
)
from airrisk.wording.translation import tr
from airrisk.wording.units import Units


def energy_map_section(found: EnergyMap, units: Units) -> Section:
    """The sweeps of one vessel with the differences explained.

    Parameters
    ----------
    found : EnergyMap
        The sweeps.
    units : Units
        Unit set and atmosphere.
    """
    blocks: list[Block] = [
        Paragraph(
            tr("One quantity of {part} is varied, the others are as in the file.").format(
                part=found.vessel
            )
        ),
        Bullets(energy_map_texts(found, units)),
    ]
    for sweep in found.sweeps:
        energies, rupture = energy_chart(found, sweep), rupture_chart(found, sweep)
        blocks += [
            Heading(energies.title),
            Drawn(energies, energies.caption, 1.0, 0.42),
            Drawn(rupture, f"{rupture.title}. {rupture.caption}", 1.0, 0.34),
        ]
    return Section(
        f"energy-{found.vessel}",
        tr("What pressure, volume and temperature do to {part}").format(part=found.vessel),
        tuple(blocks),
    )
