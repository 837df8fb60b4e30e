"""The chapter on where a fire may stand: maps, and the distances that pools must keep."""

from __future__ import annotations

from collections.abc import Sequence

from airrisk.installation.model import Installation
from airrisk.report.blocks import Block, Bullets, Drawn, Heading, Paragraph, Section, table_of
from airrisk.report.fire_map_drawing import draw_fire_map
from airrisk.study.fire_map_records import FireMap
from airrisk.study.keep_clear_table import ClearRow
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.fire_map_texts import cautions, map_title, section_rows
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text

WIDTH = 470.0  # points


def fire_maps_section(
    maps: Sequence[FireMap], rows: Sequence[ClearRow], installation: Installation, units: Units
) -> Section:
    """Maps with what they rest on, then the table of distances.

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
    """
    blocks: list[Block] = []
    for seen in maps:
        title = map_title(seen, units)
        figure = draw_fire_map(seen, installation, units, WIDTH).figure
        blocks += [Heading(title), Drawn(figure, title), Bullets(cautions(seen, units))]
        found = section_rows(seen, units)
        if len(found) > 1:
            blocks.append(table_of(found[0], found[1:], [3, 1, 1, 2], (1, 2), strong_first=True))
    blocks += _distances(rows, units)
    return Section("fire-maps", tr("Where a fire may stand"), tuple(blocks))


def _distances(rows: Sequence[ClearRow], units: Units) -> list[Block]:
    if not rows:
        return []
    sizes = sorted({size for row in rows for size in row.with_plugs_m})
    table = [
        [
            labels.named("vessel", [row.vessel]),
            choice_word(row.fuel),
            *(_cell(row, size, units) for size in sizes),
        ]
        for row in rows
    ]
    heads = [
        tr("Pool of {diameter}").format(diameter=quantity_text(size, "distance", units, 3))
        for size in sizes
    ]
    return [
        Heading(tr("How far a pool must stay from each vessel")),
        Paragraph(
            tr(
                "From the pool's edge to the shell, so that every run is safe: with the plugs as "
                "they are / without them. 0 is beside the vessel, not under it."
            )
        ),
        table_of(
            [tr("Vessel"), tr("Fuel"), *heads], table, [2, 2, *(2 for _ in sizes)],
            tuple(range(2, 2 + len(sizes))), strong_first=True,
        ),
        Paragraph(
            tr(
                "Each vessel is heated alone, in still air and without walls, on its broad side; "
                "its plugs count as heated by its wall only. Doubts are not counted: keep a "
                "margin. The lines beside it may need more: see the maps."
            ),
            "small",
        ),
    ]  # fmt: skip


def _cell(row: ClearRow, size: float, units: Units) -> str:
    if row.failed:
        return tr("not assessed")
    without = _distance(row.without_plugs_m[size], units)
    if not row.has_plugs:
        return tr("no plug / {without}").format(without=without)
    return f"{_distance(row.with_plugs_m[size], units)} / {without}"


def _distance(metres: float | None, units: Units) -> str:
    return tr("none found") if metres is None else quantity_text(metres, "distance", units, 3)
