"""The chapter on where a fire may stand: maps, and the distances that pools must keep."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.installation.model import Installation
from airrisk.report.blocks import Block, Bullets, Drawn, Heading, Section, table_of
from airrisk.report.clear_sections import distance_blocks, side_blocks
from airrisk.report.fire_map_drawing import draw_fire_map
from airrisk.study.fire_map_records import FireMap
from airrisk.study.keep_clear_table import ClearRow
from airrisk.study.plug_sides import SidesOfVessel
from airrisk.wording.fire_map_texts import cautions, map_title, section_rows
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

WIDTH = 470.0  # points


def fire_maps_section(
    maps: Sequence[FireMap],
    rows: Sequence[ClearRow],
    installation: Installation,
    units: Units,
    sides: Sequence[Sequence[SidesOfVessel]] = (),
) -> Section:
    """Maps with what they rest on, then the table of distances and those of the sides of plugs.

    Parameters
    ----------
    maps
        Of one source or pool each.
    rows
        Distances of the vessels.
    installation
        Whose parts are drawn.
    units
        Unit set and atmosphere.
    sides
        What the places of a plug answer, for one pool each.
    """
    blocks: list[Block] = []
    for seen in maps:
        title = map_title(seen, units)
        figure = draw_fire_map(seen, installation, units, WIDTH).figure
        blocks += [Heading(title), Drawn(figure, title), Bullets(cautions(seen, units))]
        found = section_rows(seen, units)
        if len(found) > 1:
            blocks.append(table_of(found[0], found[1:], [3, 1, 1, 2], (1, 2), strong_first=True))
    blocks += distance_blocks(rows, units)
    for one in sides:
        blocks += side_blocks(one, units)
    return Section("fire-maps", tr("Where a fire may stand"), tuple(blocks))
